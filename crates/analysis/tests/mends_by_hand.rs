//! Repairs of small vehicles, worked out by hand: isolators at both ends, years until a hatch has paid, the
//! suspects that choose what fixes the complaint, and a state that does not come to rest.

use std::collections::BTreeMap;

use analysis::{Case, LineUse, MendOffer, PriceAsked};

fn offer<'c>(case: &'c Case, id: &str) -> &'c MendOffer {
    let offers = &case.mends().offers;
    let names: Vec<&str> = offers.iter().map(|offer| offer.id.as_str()).collect();
    let found = offers.iter().find(|offer| offer.id == id);
    found.unwrap_or_else(|| panic!("{id} is not among {names:?}"))
}

/// Two batteries, joined by a cable that nothing protects.
const TWO: &str = r#"unbury = 1
[vehicle]
name = "Two batteries"
region = "europe"
system = "12 V"
[devices]
starter = { kind = "starter battery", holds = "80 Ah", rest = "12.6 V", resistance = "8 mOhm" }
house = { kind = "agm battery", holds = "100 Ah", rest = "12.6 V", resistance = "8 mOhm", mass = "10 kg", held = "tray, bolts through, into structure, rated 5000 N" }
[wires]
c1 = "starter.+ to house.+, 16 mm2, 3 m, fine, 90 C"
c2 = "house.- to starter.-, 16 mm2, 3 m, fine, 90 C"
[states]
rest = { charge = { house = "90 %" } }
"#;

/// A cable that a source feeds at each end is dead only when both ends are open: a fuse and an isolator at
/// each (two of each to buy), and with both isolators open nothing reaches it. How the live map tells what
/// reaches a wire has its own tests against an independent walk (`crates/live/tests`).
#[test]
fn isolators_at_both_ends_make_a_cable_between_two_sources_dead() {
    let case = Case::of(TWO);
    let isolators = offer(&case, "isolators-c1");
    let count = |sort: &str| -> f64 {
        let of_sort = isolators.parts.iter().filter(|part| part.sort == sort);
        of_sort.map(|part| part.quantity).sum()
    };
    assert!((count("fuse") - 2.0).abs() < 1e-9, "{:?}", isolators.parts);
    assert!((count("isolator") - 2.0).abs() < 1e-9, "{:?}", isolators.parts);
    assert!(
        isolators.title.ends_with("and an isolator into wire c1 at both ends"),
        "{}",
        isolators.title
    );
    let mended = case.with_mend("isolators-c1").expect("it fits");
    let names: Vec<&str> = mended
        .lines()
        .filter(|line| line.contains("kind = \"isolator\""))
        .filter_map(|line| line.split(" = ").next())
        .map(|name| name.trim().trim_matches('"'))
        .collect();
    assert_eq!(names.len(), 2, "{mended}");
    let of = |open: &str| {
        let state = format!("[states]\nopen = {{ open = [{open}] }}\n");
        let text = mended.replacen("[states]\n", &state, 1);
        let review = Case::of(&text).review();
        let row = review.live.iter().find(|row| row.state == "open" && row.wire == "c1");
        row.expect("c1 is in the map").status
    };
    assert_eq!(of(&format!("\"{}\", \"{}\"", names[0], names[1])), LineUse::NotReached);
    // One alone does not do: the other battery feeds it still.
    assert_eq!(of(&format!("\"{}\"", names[0])), LineUse::Live);
    assert_eq!(of(&format!("\"{}\"", names[1])), LineUse::Live);
}

/// A pump behind a panel that takes 30 minutes out and 30 back, serviced four times a year.
const BURIED: &str = r#"unbury = 1
[vehicle]
name = "Buried pump"
region = "europe"
system = "12 V"
[devices]
house = { kind = "agm battery", holds = "100 Ah", behind = "nothing" }
pump = { kind = "water pump", power = "40 W", behind = "board", serviced = "4 a year" }
[wires]
w1 = "house.+ to pump.+, 2.5 mm2, 3 m, fine, 90 C"
w2 = "pump.- to house.-, 2.5 mm2, 3 m, fine, 90 C"
[parts]
board = { is = "board", out = "30 min", back = "30 min" }
[states]
on = { on = ["pump"] }
"#;

/// The board alone takes 60 minutes out and back, and none when the pump has moved to where a hand reaches it.
/// Saved in a year, by hand: four times the minutes before. Years until it has paid: its own likely minutes
/// over those.
#[test]
fn the_years_until_a_better_place_has_paid_are_its_minutes_over_those_it_saves() {
    let case = Case::of(BURIED);
    let moved = offer(&case, "move-pump");
    let row = moved.figures.iter().find(|row| row.what == "minutes to pump and back");
    let row = row.expect("minutes before and after");
    assert_eq!(row.after, "0 min");
    let before = row.before.strip_suffix(" min").and_then(|min| min.parse::<f64>().ok());
    let saved = 4.0 * before.filter(|min| (60.0..75.0).contains(min)).expect("about an hour");
    let years = moved.minutes[1] / saved;
    let line = format!(
        "at 4 services a year it saves {saved:.0} min a year: its own minutes are back after {years:.1} years"
    );
    assert!(moved.because.contains(&line), "{line}: {:?}", moved.because);
    // Its work: 25 minutes to mount it elsewhere, and each wire moved (mending.toml).
    assert!(moved.minutes[1] > 25.0);
}

/// A heater that blows lukewarm, and 3.15 V across one of its lugs: 12.6 V over 1.2 ohm of heater and 0.4 ohm
/// of lug are 7.9 A and 3.15 V, by Ohm's law. Its return is solid, which is a defect and not the complaint.
const LUG: &str = r#"unbury = 1
[vehicle]
name = "Weak heater"
region = "europe"
system = "12 V"
[workshop]
hour = "60 EUR"
tax = "20 %"
[usual]
joint = "good"
[devices]
house = { kind = "agm battery", holds = "100 Ah", rest = "12.6 V", resistance = "1 mOhm", behind = "nothing" }
fuse = { kind = "strip fuse", rated = "40 A", resistance = "0.1 mOhm", behind = "nothing" }
heater = { kind = "heater", power = "120 W", behind = "nothing" }
lamp = { kind = "filament lamp", power = "21 W", behind = "nothing" }
[wires]
w1 = "house.+ to fuse.in, 10 mm2, 0.15 m, fine, 90 C"
w2 = "fuse.out to heater.+, 10 mm2, 2 m, fine, 90 C"
w3 = "heater.- to house.-, 10 mm2, 2 m, solid, 90 C"
w4 = "fuse.out to lamp.+, 6 mm2, 2 m, solid, 90 C"
w5 = "lamp.- to house.-, 6 mm2, 2 m, fine, 90 C"
[joints]
"w2 at heater.+" = "lug, loose"
[states]
on = { on = ["heater"] }
[symptoms]
weak = { words = "It blows lukewarm.", device = "heater", shows = "weak", state = "on" }
[readings]
r1 = "on: 3.15 V ± 0.02 V over w2 at heater.+, multimeter"
"#;

#[test]
fn the_complaint_is_fixed_by_what_the_leading_suspect_names() {
    let case = Case::of(LUG);
    assert!(case.record_faults().is_empty(), "{:?}", case.record_faults());
    let view = case.price(&PriceAsked::default()).expect("a price");
    let complaint = view.choices.iter().find(|choice| choice.id == "complaint").expect("a choice");
    assert!(view.notes.iter().any(|note| note.contains("leading suspects")), "{:?}", view.notes);
    assert_eq!(complaint.repairs, ["remake-w2-at-heater-plus"], "{:?}", view.notes);
    // The solid wires are no part of it, and are put right with everything.
    let all = view.choices.iter().find(|choice| choice.id == "all").expect("a choice");
    for other in ["strand-w3", "strand-w4"] {
        assert!(all.repairs.iter().any(|id| id == other), "{other}: {:?}", all.repairs);
    }
}

/// A fridge behind a lug of 0.3 ohm: at 5.6 A it loses 1.7 V of 12.5 V and falls below 11.5 V, rests at
/// 12.6 V and starts again, for ever. A thicker return does not help, a new lug does.
const HUNTS: &str = r#"unbury = 1
[vehicle]
name = "Starts and stops"
region = "europe"
system = "12 V"
[devices]
house = { kind = "agm battery", holds = "100 Ah", rest = "12.6 V", resistance = "10 mOhm" }
fuse = { kind = "strip fuse", rated = "40 A", resistance = "0.1 mOhm" }
fridge = { kind = "compressor fridge", power = "60 W", cut_out = "11.5 V", restart = "12.4 V" }
[wires]
w1 = "house.+ to fuse.in, 10 mm2, 0.15 m, fine, 90 C"
w2 = "fuse.out to fridge.+, 2.5 mm2, 2 m, fine, 90 C"
w3 = "fridge.- to house.-, 2.5 mm2, 2 m, fine, 90 C"
[joints]
"w2 at fridge.+" = "lug, corroded, measured 300 mOhm"
[states]
on = { on = ["fridge"] }
[mends]
MENDS
"#;

#[test]
fn a_proof_in_a_state_that_does_not_come_to_rest_says_so_and_keeps_its_rows() {
    let larger = "larger = { words = \"Larger\", sets = { \"wires.w3\" = \"fridge.- to house.-, 4 mm2, 2 m, fine, 90 C\" }, was = { \"wires.w3\" = \"fridge.- to house.-, 2.5 mm2, 2 m, fine, 90 C\" } }";
    let remake = "remake = { words = \"Remake\", sets = { \"joints.w2 at fridge.+\" = \"lug, good\" }, was = { \"joints.w2 at fridge.+\" = \"lug, corroded, measured 300 mOhm\" } }";
    let of = |mends: &str| Case::of(&HUNTS.replace("MENDS", mends)).proof(&BTreeMap::new());
    let still = of(larger);
    assert!(still.faults.iter().any(|fault| fault.contains("in state on")), "{:?}", still.faults);
    assert!(still.rows.iter().any(|row| row.phase == "live"), "nothing is lost");
    let cured = of(&format!("{larger}\n{remake}"));
    assert!(cured.faults.is_empty(), "{:?}", cured.faults);
}

/// The fuse of the page *protection-cannot-break-the-fault*: some 2840 A flow behind it (worked out there),
/// and it breaks 1000 A. Of what is sold in 100 A, bolt-down fuses break 2000 A (ISO 8820-5 as quoted) and
/// class T 20 kA: what is put in breaks more than flows, and keeps its rating.
#[test]
fn a_fuse_that_cannot_break_is_exchanged_for_one_of_the_same_rating_that_can() {
    let page = analysis::check_page("protection-cannot-break-the-fault").expect("a page");
    let record = page.split("```toml\n").nth(1).and_then(|piece| piece.split("```").next());
    let case = Case::of(record.expect("an example"));
    let breaks = offer(&case, "breaks-fuse");
    assert!(breaks.title.contains("of 100 A in the place of fuse"), "{}", breaks.title);
    let cures: Vec<&str> = breaks.cures.iter().map(|cured| cured.check.as_str()).collect();
    assert!(cures.contains(&"protection-cannot-break-the-fault"), "{cures:?}");
    let mended = Case::of(&case.with_mend("breaks-fuse").expect("it fits"));
    let fails = mended.review().findings;
    assert!(fails.iter().all(|finding| finding.check != "protection-cannot-break-the-fault"));
}
