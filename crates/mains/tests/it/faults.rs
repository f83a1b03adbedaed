//! Residual currents and their devices, a lost earth, a line on metal, what nobody recorded.

use mains::{Aspect, CellVerdict, FaultEnd};

use crate::support::{camper, cell, matrix, row, verdict};

fn leaking(residual: &str, leakage: &str) -> mains::Row {
    let unit = format!(r#"bond = "never", rated = "16 A", residual = "{residual}""#);
    let heater = format!(
        r#"heater = {{ kind = "mains appliance", power = "900 W", leakage = "measured {leakage}" }}"#
    );
    row(&camper(
        "europe",
        &unit,
        &heater,
        r#"a3 = "unit.out to heater.ac, 3 x 2.5 mm2, 1 m""#,
        r#"shore = "plugged", supply = "correct", on = ["heater"]"#,
    ))
    .1
}

/// EN 61008-1: a 30 mA device holds up to half its rated residual current and trips at the whole.
#[test]
fn a_30_ma_device_holds_below_15_and_trips_at_30() {
    assert_eq!(verdict(&leaking("30 mA", "14.8 mA"), Aspect::Residual), "holds");
    for (leakage, words) in [
        ("15.2 mA", "may or may not trip"),
        ("29.5 mA", "may or may not trip"),
        ("30.5 mA", "30 mA trips"),
    ] {
        let row = leaking("30 mA", leakage);
        assert_eq!(verdict(&row, Aspect::Residual), "fails");
        let said = &cell(&row, Aspect::Residual).words;
        assert!(said.contains(words), "{leakage}: {said}");
    }
}

/// UL 943 class A: must not trip below 4 mA, must trip from 6 mA.
#[test]
fn a_class_a_interrupter_holds_below_4_and_trips_from_6() {
    assert_eq!(verdict(&leaking("6 mA", "3.9 mA"), Aspect::Residual), "holds");
    for (leakage, words) in [("5 mA", "may or may not trip"), ("6.1 mA", "6 mA trips")] {
        let row = leaking("6 mA", leakage);
        let said = &cell(&row, Aspect::Residual).words;
        assert!(said.contains(words), "{leakage}: {said}");
    }
}

#[test]
fn leakage_that_nobody_measured_cannot_be_told() {
    let row = row(&camper(
        "europe",
        r#"bond = "never", rated = "16 A", residual = "30 mA""#,
        r#"heater = { kind = "mains appliance", power = "900 W" }"#,
        r#"a3 = "unit.out to heater.ac, 3 x 2.5 mm2, 1 m""#,
        r#"shore = "plugged", supply = "correct", on = ["heater"]"#,
    ))
    .1;
    assert_eq!(verdict(&row, Aspect::Residual), "cannot tell");
    assert_eq!(verdict(&row, Aspect::Polarity), "holds");
}

/// Line lying on an earthed case: 230 V over 0.25 + 0.19 (line) and 0.19 + 0.2 (earth) ohm, a tenth
/// of an ohm for the fault and some metres of 2.5 mm2: about 230/0.97 = 240 A, and a 30 mA device
/// and a 16 A breaker (10 times: 160 A) both open.
#[test]
fn a_line_on_an_earthed_case_opens_the_breaker() {
    let row = leaking("30 mA", "0.5 mA");
    assert_eq!(verdict(&row, Aspect::Fault), "holds");
    let on_case = row.faults.iter().find(|fault| !fault.on_body).unwrap();
    assert!((230.0..250.0).contains(&on_case.ampere), "{} A", on_case.ampere);
    assert_eq!(on_case.end, FaultEnd::Opens);
    assert_eq!(verdict(&leaking("0 A", "0.5 mA"), Aspect::Fault), "holds", "the breaker alone");
}

fn without_earth(supply: &str) -> mains::Row {
    let state = format!(r#"shore = "plugged", supply = "{supply}", on = ["heater"]"#);
    row(&camper(
        "europe",
        r#"bond = "never", rated = "16 A", residual = "30 mA""#,
        r#"heater = { kind = "mains appliance", power = "900 W", leakage = "measured 3.5 mA" }"#,
        r#"a3 = "unit.out to heater.ac, 3 x 2.5 mm2, 1 m""#,
        &state,
    ))
    .1
}

/// Without earth 3.5 mA of leakage (230 V over 65.7 kOhm of capacitance) bring the body to the line's
/// voltage on a meter of 10 MOhm: 230 V less 3.9 A of the heater over 0.44 ohm of supply and lead and
/// some of the vehicle, 228 V. Through a person of 1 kOhm go `228 / |1000 - j 65714|` = 3.47 mA.
#[test]
fn a_lost_earth_makes_the_body_live_by_leakage() {
    let row = without_earth("no earth");
    let touch = cell(&row, Aspect::Touch);
    assert!(matches!(touch.verdict, CellVerdict::Fails(model::Signal::Danger)));
    assert_eq!(touch.short, "228 V");
    assert!(touch.words.contains("3.47 mA"), "{}", touch.words);
}

/// A line on the body without earth: no current flows, so nothing opens until somebody closes the
/// circuit: 228 V (as above) / 1 kOhm = 228 mA, above 30 mA.
#[test]
fn a_lost_earth_leaves_the_body_live_until_somebody_touches_it() {
    let row = without_earth("no earth");
    assert_eq!(cell(&row, Aspect::Fault).short, "stays live");
    let on_body = row.faults.iter().find(|fault| fault.on_body).unwrap();
    assert_eq!((on_body.end, on_body.devices.len()), (FaultEnd::StaysLive, 1));
    assert!((on_body.metal_v - 228.2).abs() < 0.2, "{} V", on_body.metal_v);
}

/// By a rod of 100 ohm a fault draws about 230 / 101.5 = 2.27 A: no breaker sees it, the 30 mA device does.
#[test]
fn behind_a_rod_only_the_residual_current_device_opens() {
    let row = without_earth("earth by rod only");
    let on_body = row.faults.iter().find(|fault| fault.on_body).unwrap();
    assert!((2.2..2.3).contains(&on_body.ampere), "{} A", on_body.ampere);
    assert_eq!(on_body.end, FaultEnd::Opens);
    assert_eq!(verdict(&row, Aspect::Touch), "holds");
}

#[test]
fn ratings_that_nobody_read_cannot_be_told() {
    let row = row(&camper(
        "europe",
        r#"bond = "never""#,
        "",
        "",
        r#"shore = "plugged", supply = "correct""#,
    ))
    .1;
    assert_eq!(verdict(&row, Aspect::Fault), "cannot tell");
}

/// Whatever the vehicle is, a supply that nobody measured lets no cell on shore pass.
#[test]
fn without_evidence_about_the_supply_no_cell_on_shore_holds() {
    for unit in [r#"bond = "never""#, r#"bond = "never", rated = "16 A", residual = "30 mA""#, ""] {
        for state in [
            r#"shore = "plugged""#,
            r#"shore = "plugged", supply = "assumed correct because it is new""#,
        ] {
            let (_, row) = row(&camper("europe", unit, "", "", state));
            for cell in &row.cells {
                assert_ne!(cell.verdict, CellVerdict::Holds, "{:?} with {unit}", cell.aspect);
            }
        }
    }
}

/// A body that no recorded stud joins to earth may or may not be joined.
#[test]
fn a_body_without_recorded_earth_cannot_be_told() {
    let text = camper(
        "europe",
        r#"bond = "never", rated = "16 A", residual = "30 mA""#,
        "",
        "",
        r#"shore = "plugged", supply = "correct""#,
    )
    .replace("e1 = \"unit.in.PE to stud, 6 mm2, 0.5 m\"\n", "");
    let (_, row) = row(&text);
    assert_eq!(verdict(&row, Aspect::Touch), "cannot tell");
    assert_eq!(verdict(&row, Aspect::Fault), "cannot tell");
}

#[test]
fn an_inlet_that_no_state_uses_is_named() {
    let text = camper("europe", r#"bond = "never""#, "", "", r#"temperature = "12 C""#);
    let (vehicle, matrix) = matrix(&text);
    assert_eq!(matrix.rows.len(), 1);
    assert!(matrix.rows[0].feed.is_none() && matrix.rows[0].cells.is_empty());
    let unused: Vec<&str> =
        matrix.unused.iter().map(|id| vehicle.devices[*id].name.as_str()).collect();
    assert_eq!(unused, ["inlet"]);
    assert_eq!(matrix.unfed.len(), 1, "the socket");
}

#[test]
fn a_vehicle_without_mains_has_an_empty_matrix() {
    let (_, matrix) = matrix("unbury = 1\n[vehicle]\nname = \"test\"\n[states]\nrest = {}\n");
    assert!(matrix.rows.is_empty());
}

/// A two-core cable leaves the earth contact of the socket without a wire, or its wire was not written
/// down: with the supply right the metal on it would stand at the line.
#[test]
fn a_socket_without_recorded_earth_wire_cannot_be_told() {
    let row = row(&camper(
        "europe",
        r#"bond = "never", rated = "16 A", residual = "30 mA""#,
        r#"old = { kind = "mains socket" }"#,
        r#"
o1 = "unit.out.L to old.L, 1.5 mm2, 2 m"
o2 = "unit.out.N to old.N, 1.5 mm2, 2 m"
"#,
        r#"shore = "plugged", supply = "correct""#,
    ))
    .1;
    assert_eq!(verdict(&row, Aspect::Fault), "cannot tell");
    assert!(cell(&row, Aspect::Fault).words.contains("no earth wire"));
}

/// The only bond sits behind the residual-current device: what leaves by the line comes back by the
/// neutral through the device, its sum is zero (Kirchhoff), so it is blind, and only the breaker is left.
#[test]
fn a_bond_behind_the_residual_current_device_makes_it_blind() {
    let at = |rated: &str| {
        let text = format!(
            r#"
unbury = 1
[vehicle]
name = "test"
region = "europe"
[devices]
genset = {{ kind = "generator", bond = "never" }}
unit = {{ kind = "consumer unit", bond = "always", rated = "{rated}", residual = "30 mA" }}
socket = {{ kind = "mains socket" }}
stud = {{ kind = "earth stud" }}
[wires]
a1 = "genset.ac to unit.in, 3 x 2.5 mm2, 2 m"
a2 = "unit.out to socket.ac, 3 x 2.5 mm2, 2 m"
e1 = "unit.in.PE to stud, 6 mm2, 0.5 m"
[states]
runs = {{ on = ["genset"] }}
"#
        );
        row(&text).1
    };
    // 230 V over 1 ohm of generator, 0.1 ohm of fault and some wire: below 200 A, 3 to 10 times 32 A.
    assert_eq!(verdict(&at("32 A"), Aspect::Fault), "cannot tell");
    let large = at("100 A");
    assert_eq!(cell(&large, Aspect::Fault).short, "flows on", "3 x 100 A is never reached");
    assert!(large.faults.iter().all(|fault| fault.within_s.is_none()));
}
