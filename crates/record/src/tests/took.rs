//! Jobs that were done, and how often things are serviced.

use model::{Attribute, Fact, Origin};

use super::{clean, read, underlined};

const PARTS: &str = "[parts]
lid = { fixings = \"4 screws\" }
splash = { how = \"prise it off\", out = \"20 min\", or = [{ how = \"from behind\", out = \"15 min\", after = \"lid or box\" }] }
box = { out = \"3 min\" }
wall = \"never taken out\"
";

fn took(line: &str) -> String {
    format!("{PARTS}[took]\n{line}\n")
}

#[test]
fn a_job_names_the_part_the_way_the_minutes_and_who_says_so() {
    let record = clean(&took(
        "a = \"lid: 4 min out, 6 min back\"\n\
         b = \"splash, from behind: measured 1 h 2 min out by RK on 2026-05-02\"\n\
         c = \"box: told 5 min back by the owner\"",
    ));
    let jobs = &record.vehicle.took;
    let [a, b, c] = jobs.as_slice() else { panic!("{jobs:?}") };
    assert_eq!((a.out_min, a.back_min, a.removals.len()), (Some(4.0), Some(6.0), 1));
    assert_eq!((b.out_min, b.back_min), (Some(62.0), None));
    assert_eq!(b.removals.len(), 2, "one way with two alternatives of what must be out first");
    let by = Some("RK".to_owned());
    let on = Some("2026-05-02".to_owned());
    assert_eq!(b.origin, Origin::Measured { spread: None, by, on });
    assert_eq!((c.out_min, c.back_min, c.origin.word()), (None, Some(5.0), "told"));
}

#[test]
fn what_cannot_be_a_job_is_said_with_its_line() {
    for (line, slug, marked, words) in [
        ("a = \"lit: 4 min out\"", "unknown-part", "lit", "there is no part `lit`"),
        ("a = \"lid: -4 min out\"", "bad-quantity", "-4 min", "too small for a time"),
        ("a = \"lid: 0 min back\"", "took-line", "0 min back", "nothing takes no time"),
        ("a = \"lid: 4 min\"", "took-line", "4 min", "out or back"),
        ("a = \"lid: 4 min out, 5 min out\"", "took-line", "5 min out", "said twice"),
        ("a = \"lid 4 min out\"", "took-line", "lid 4 min out", "starts with the part"),
        ("a = \"lid: assumed 4 min out\"", "took-line", "assumed 4 min out", "assumed"),
        ("a = \"lid: unknown\"", "took-line", "unknown", "teaches nothing"),
        ("a = \"splash: 4 min out\"", "took-way", "splash", "several ways"),
        ("a = \"splash, saw it: 4 min out\"", "took-way", "saw it", "no way `saw it`"),
        ("a = \"wall: 4 min out\"", "took-way", "wall", "no way of taking this part out"),
    ] {
        let text = took(line);
        let record = read(&text);
        let [fault] = record.diagnostics.as_slice() else { panic!("{line}: {record:?}") };
        assert_eq!(fault.slug, slug, "{line}: {fault:?}");
        assert_eq!(underlined(&text, fault), marked, "{line}");
        assert!(fault.message.contains(words), "{line}: {}", fault.message);
        assert!(record.vehicle.took.is_empty(), "{line}");
    }
}

#[test]
fn how_often_is_usual_unless_it_is_said() {
    let rate = |serviced: &str| {
        let text = format!("[devices]\npump = {{ kind = \"water pump\"{serviced} }}\n");
        let vehicle = clean(&text).vehicle;
        let (_, pump) = vehicle.devices.iter().next().unwrap();
        assert!(pump.number(Attribute::Power).is_some());
        pump.service.clone().unwrap().per_year
    };
    assert!(rate("").is_assumed());
    let told = rate(", serviced = \"told 4 a year by the owner\"");
    assert_eq!((told.value(), told.origin().unwrap().word()), (Some(&4.0), "told"));
    assert_eq!(rate(", serviced = \"unknown\""), Fact::Unknown);
}

#[test]
fn how_often_that_cannot_be_is_said() {
    for serviced in ["4", "often", "-1 a year", "x a year"] {
        let text =
            format!("[devices]\npump = {{ kind = \"water pump\", serviced = \"{serviced}\" }}\n");
        let record = read(&text);
        let [fault] = record.diagnostics.as_slice() else { panic!("{serviced}: {record:?}") };
        assert!(underlined(&text, fault).starts_with(serviced.split(' ').next().unwrap()));
        let (_, pump) = record.vehicle.devices.iter().next().unwrap();
        assert_eq!(pump.service.as_ref().unwrap().per_year, Fact::Unknown);
    }
}
