//! Repairs on the example records: each cures, raises nothing, and put in twice changes nothing.

use std::collections::{BTreeMap, BTreeSet};

use std::sync::LazyLock;

use analysis::{Case, MendList};

const RECORDS: [&str; 5] = ["bracken", "dunlin", "plover", "tarn", "wren"];

/// The records, read once: working repairs out takes seconds in a debug build.
static CASES: LazyLock<BTreeMap<&str, Case>> =
    LazyLock::new(|| RECORDS.map(|name| (name, Case::of(&text_of(name)))).into());

fn text_of(name: &str) -> String {
    let path = format!("{}/../../records/{name}/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).expect("an example record")
}

/// The vehicle is looked at anew, which shares nothing with what was known before.
fn each_cures_and_raises_nothing(name: &str, list: &MendList, case: &Case) {
    let before = case.failing();
    for offer in &list.offers {
        let mended = case.with_mend(&offer.id).expect("it fits the record it was made for");
        let after = Case::of(&mended);
        let now = after.failing();
        for cured in &offer.cures {
            let key = (cured.check.clone(), cured.place.clone());
            assert!(!now.contains_key(&key), "{name} {}: {key:?} is not cured", offer.id);
        }
        for (key, rank) in &now {
            let was = before.get(key);
            assert!(was.is_some_and(|was| rank >= was), "{name} {}: {key:?} is raised", offer.id);
        }
        // The same again finds nothing to do.
        let section = format!("[mends]\n{}\n", offer.line);
        let chosen = match mended.contains("[mends]\n") {
            true => mended.replacen("[mends]\n", &section, 1),
            false => format!("{mended}\n{section}"),
        };
        let stand = after.anew(&chosen).chosen_mends();
        let mine = stand.iter().find(|mend| mend.name == offer.id);
        assert_eq!(mine.map(|mend| mend.stands.as_str()), Some("done"), "{name} {}", offer.id);
    }
}

#[test]
fn every_offer_cures_and_raises_nothing() {
    for (name, case) in &*CASES {
        let list = case.mends();
        let ids: BTreeSet<&str> = list.offers.iter().map(|offer| offer.id.as_str()).collect();
        assert_eq!(ids.len(), list.offers.len(), "{name}: names tell offers apart");
        each_cures_and_raises_nothing(name, list, case);
    }
}

#[test]
fn every_finding_has_an_offer_or_a_reason() {
    for (name, case) in &*CASES {
        let list = case.mends();
        let cured: BTreeSet<(&str, &str)> = list
            .offers
            .iter()
            .flat_map(|offer| offer.cures.iter().map(|of| (of.check.as_str(), of.place.as_str())))
            .collect();
        for (check, place) in case.failing().keys() {
            let without =
                list.without.iter().find(|no| no.check == *check && no.place.name == *place);
            let has = cured.contains(&(check.as_str(), place.as_str()));
            assert_ne!(has, without.is_some(), "{name}: {check} {place}");
            assert!(without.is_none_or(|no| !no.why.is_empty()), "{name}: {check} {place}");
        }
    }
}

#[test]
fn a_chosen_repair_is_planned_then_done_then_refused() {
    let case = &CASES["dunlin"];
    let planned = case.with_chosen("mount-house").expect("it is offered");
    let of = |text: &str| Case::of(text).chosen_mends().remove(0);
    assert_eq!(of(&planned).stands, "planned");
    assert!(Case::of(&planned).record_faults().is_empty());
    let done = Case::of(&planned).with_mend("mount-house").expect("nothing has changed");
    assert_eq!(of(&done).stands, "done");
    // Somebody else writes what holds it in the meantime.
    let other = planned.replacen(
        "held = \"strap, 2 screws 4 mm, into 9 mm lining\"",
        "held = \"strap\"",
        1,
    );
    let refused = of(&other);
    assert_eq!(refused.stands, "refused");
    assert!(refused.why.contains("devices.house.held"), "{}", refused.why);
    assert!(refused.why.contains("strap"), "{}", refused.why);
    let error = Case::of(&other).with_mend("mount-house").expect_err("the record has changed");
    assert!(error.contains("devices.house.held"), "{error}");
}

/// Worked out by hand from the tables, not by the program: what each repair must be.
#[test]
fn repairs_are_those_worked_out_by_hand() {
    let offer = |name: &str, id: &str| CASES[name].mends().offers.iter().find(|o| o.id == id);
    let title = |name: &str, id: &str| {
        offer(name, id).map_or_else(|| format!("no {id}"), |offer| offer.title.clone())
    };
    // Dunlin m1, m2: 1.5 mm2 at 90 C may carry what 33 CFR 183.425 Table 5 prints for 16 AWG (1.31 mm²),
    // 25 A. The mixer draws some 8 A (12.5 V - 8 V over 0.5 Ohm); 8/0.8 = 10 A, less the drop, 10 A
    // carries it; the way is then fused by a size that is at most 25 A.
    let fuse = title("dunlin", "smaller-bench-box-way-2");
    assert!(["10 A", "15 A"].iter().any(|a| fuse.contains(a)), "{fuse}");
    // Table 5, column 90 C: 14 AWG (2.08 mm²) 30 A; a nominal 2.5 mm² is the next size above 1.5.
    assert!(title("dunlin", "larger-m1").contains("2.5 mm2"), "{}", title("dunlin", "larger-m1"));
    // 62 kg x 9.80665 m/s² x 20 = 12 160 N (49 CFR 571.207 S4.2), in steps of 500 N.
    assert!(
        title("dunlin", "mount-house").contains("12500 N"),
        "{}",
        title("dunlin", "mount-house")
    );
    // The clay bin heater's return goes to the battery post: it belongs on the bar behind the shunt.
    assert!(
        title("dunlin", "land-k3").contains("land it on neg-bar"),
        "{}",
        title("dunlin", "land-k3")
    );
    // One strap from the battery to the frame carries every return of bracken past the shunt.
    let strap = offer("bracken", "land-g1");
    assert!(strap.is_some_and(|offer| offer.cures.len() >= 6));
    // Table 5, column 105 C: 16 AWG 25 A under a 30 A fuse; 14 AWG 35 A.
    assert!(title("bracken", "larger-e1").contains("14 AWG"), "{}", title("bracken", "larger-e1"));
}
