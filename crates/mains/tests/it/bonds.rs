//! Bonds of neutral and earth, and the residual current a second one makes.
//!
//! Rules: NFPA 70 (NEC) 2023 250.24 and 250.142(B), no neutral-to-earth connection on the load side
//! of the service; 250.30(A)(1), one bond for a separately derived source (both seen in a copy of
//! the text); 551.54(C), none inside the vehicle (from memory).

use mains::Aspect;

use crate::support::{camper, cell, matrix, row, verdict};

const HEATER: &str = r#"heater = { kind = "mains appliance", power = "1500 W", leakage = "0 A" }"#;
const HEATER_WIRE: &str = r#"a3 = "unit.out to heater.ac, 3 x 2.5 mm2, 1 m""#;

fn on_shore(unit: &str, supply: &str) -> mains::Row {
    let state = format!(r#"shore = "plugged", {supply} on = ["heater"]"#);
    row(&camper("europe", unit, HEATER, HEATER_WIRE, &state)).1
}

#[test]
fn on_shore_the_bond_of_the_supply_is_the_only_one() {
    let row = on_shore(r#"bond = "never""#, r#"supply = "correct","#);
    assert_eq!(verdict(&row, Aspect::Bond), "holds");
    assert_eq!(cell(&row, Aspect::Bond).short, "1, supply");
}

/// 230 V, 1.5 kW, joined at the supply and in the vehicle: line 6.406 A, neutral 3.244 A, earth
/// 3.162 A (ngspice 39 on the network of supply, lead, bond and heater; the vehicle's own few
/// metres are not in it and move the split by their share, 20 to 30 mOhm of 390: within 5 %).
#[test]
fn a_bond_left_closed_on_shore_sends_half_the_current_through_the_earth() {
    let row = on_shore(r#"bond = "always", residual = "30 mA""#, r#"supply = "correct","#);
    assert_eq!(verdict(&row, Aspect::Bond), "fails");
    assert_eq!(cell(&row, Aspect::Bond).short, "2 at once");
    assert!((row.earth_a - 3.162_430).abs() < 0.05 * 3.162_430, "{} A", row.earth_a);
    let residual = cell(&row, Aspect::Residual);
    assert_eq!(verdict(&row, Aspect::Residual), "fails");
    assert!(residual.words.contains("30 mA trips"), "{}", residual.words);
}

/// Without evidence about the supply the vehicle's own bond still is one too many.
#[test]
fn a_bond_in_the_vehicle_fails_on_any_supply() {
    let row = on_shore(r#"bond = "always""#, "");
    assert_eq!(verdict(&row, Aspect::Bond), "fails");
}

#[test]
fn an_unknown_bond_cannot_be_told_and_names_its_place() {
    let row = on_shore("", r#"supply = "correct","#);
    assert_eq!(verdict(&row, Aspect::Bond), "cannot tell");
    let mains::CellVerdict::CannotTell(open) = &cell(&row, Aspect::Bond).verdict else { panic!() };
    assert!(open.iter().any(|item| item.what.contains("continuity")));
}

#[test]
fn an_assumed_bond_decides_nothing() {
    let row = on_shore(r#"bond = "assumed never because it looks new""#, r#"supply = "correct","#);
    assert_eq!(verdict(&row, Aspect::Bond), "cannot tell");
}

fn combi(bond: &str, state: &str) -> mains::Matrix {
    let text = format!(
        r#"
unbury = 1
[vehicle]
name = "test"
region = "europe"
[devices]
inlet = {{ kind = "shore inlet" }}
combi = {{ kind = "inverter charger", bond = "{bond}" }}
unit = {{ kind = "consumer unit", bond = "never", rated = "16 A", residual = "30 mA" }}
stud = {{ kind = "earth stud" }}
socket = {{ kind = "mains socket" }}
[wires]
a1 = "inlet.ac to combi.in, 3 x 2.5 mm2, 1 m"
a2 = "combi.out to unit.in, 3 x 2.5 mm2, 1 m"
a3 = "unit.out to socket.ac, 3 x 2.5 mm2, 1 m"
e1 = "unit.in.PE to stud, 6 mm2, 0.5 m"
[states]
here = {{ {state} }}
"#
    );
    matrix(&text).1
}

const PLUGGED: &str = r#"shore = "plugged", supply = "correct", on = ["combi"]"#;

#[test]
fn a_bond_relay_opens_on_shore_and_closes_while_inverting() {
    let shore = combi("while inverting", PLUGGED);
    assert_eq!(shore.rows.len(), 1, "the inverter passes shore power on: one source");
    assert_eq!(cell(&shore.rows[0], Aspect::Bond).short, "1, supply");
    let battery = combi("while inverting", r#"on = ["combi"]"#);
    assert_eq!(cell(&battery.rows[0], Aspect::Bond).short, "1, source");
    assert_eq!(verdict(&battery.rows[0], Aspect::Bond), "holds");
}

#[test]
fn a_bond_relay_that_never_opens_doubles_the_bond_on_shore() {
    let shore = combi("always", PLUGGED);
    assert_eq!(cell(&shore.rows[0], Aspect::Bond).short, "2 at once");
}

#[test]
fn an_inverter_without_bond_has_none_and_a_fault_shows_nothing() {
    let battery = combi("never", r#"on = ["combi"]"#);
    assert_eq!(cell(&battery.rows[0], Aspect::Bond).short, "none");
    assert_eq!(cell(&battery.rows[0], Aspect::Fault).short, "unnoticed");
}

#[test]
fn neutral_wired_to_an_earth_bar_is_a_bond() {
    let text = camper(
        "europe",
        r#"bond = "never", rated = "16 A", residual = "30 mA""#,
        "",
        r#"x1 = "unit.out.N to stud, 2.5 mm2, 0.2 m""#,
        r#"shore = "plugged", supply = "correct""#,
    );
    let (_, row) = row(&text);
    assert_eq!(verdict(&row, Aspect::Bond), "fails");
    assert!(cell(&row, Aspect::Bond).words.contains("wires at"));
}

#[test]
fn two_sources_on_one_wire_fight() {
    let text = camper(
        "europe",
        r#"bond = "never""#,
        r#"inverter = { kind = "inverter", bond = "never" }"#,
        r#"b1 = "inverter.out to unit.out, 3 x 2.5 mm2, 1 m""#,
        r#"shore = "plugged", supply = "correct", on = ["inverter"]"#,
    );
    let (_, matrix) = matrix(&text);
    assert_eq!(matrix.rows.len(), 2);
    for row in &matrix.rows {
        assert!(matches!(row.trouble, Some(mains::Trouble::Fights(_))));
        assert!(row.cells.is_empty());
    }
}

#[test]
fn a_running_generator_is_a_source_of_its_own() {
    let text = r#"
unbury = 1
[vehicle]
name = "test"
region = "australia"
[devices]
genset = { kind = "generator", bond = "never" }
unit = { kind = "consumer unit", bond = "always", rated = "16 A", residual = "30 mA" }
socket = { kind = "mains socket" }
stud = { kind = "earth stud" }
[wires]
a1 = "genset.ac to unit.in, 3 x 2.5 mm2, 2 m"
a2 = "unit.out to socket.ac, 3 x 2.5 mm2, 2 m"
e1 = "unit.in.PE to stud, 6 mm2, 0.5 m"
[states]
runs = { on = ["genset"] }
"#;
    let (_, row) = row(text);
    assert_eq!(row.feed.unwrap().kind, mains::FeedKind::Generator);
    assert_eq!(cell(&row, Aspect::Bond).short, "1, vehicle");
}
