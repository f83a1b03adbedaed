//! What a multimeter shows, against the published table for a 120 V outlet.
//!
//! Table: expected readings L-N, L-G, N-G of a 120 V outlet. The correct case and the reversed case
//! are published in how-to pages for camper owners (seen second-hand); the other rows follow from
//! circuit theory and are worked out beside each test.

use mains::Reading;

use crate::support::{assert_volt, camper, readings, row, verdict};

const UNIT: &str = r#"bond = "never", rated = "20 A", residual = "6 mA""#;

fn outlet(supply: &str) -> [Reading; 3] {
    let state = format!(r#"shore = "plugged", supply = "{supply}""#);
    let (vehicle, row) = row(&camper("north america", UNIT, "", "", &state));
    readings(&vehicle, &row, "socket")
}

#[test]
fn a_correct_outlet_reads_120_120_and_next_to_nothing() {
    let [ln, lg, ng] = outlet("correct");
    assert_volt(ln, 120.0, 0.1);
    assert_volt(lg, 120.0, 0.1);
    assert_volt(ng, 0.0, 2.0);
}

#[test]
fn a_reversed_outlet_reads_120_nothing_and_120() {
    let [ln, lg, ng] = outlet("reversed");
    assert_volt(ln, 120.0, 0.1);
    assert_volt(lg, 0.0, 0.1);
    assert_volt(ng, 120.0, 0.1);
}

#[test]
fn an_open_earth_leaves_both_readings_to_earth_floating() {
    let [ln, lg, ng] = outlet("no earth");
    assert_volt(ln, 120.0, 0.1);
    assert_eq!([lg, ng], [Reading::Floats, Reading::Floats]);
}

#[test]
fn an_open_neutral_floats_without_a_load() {
    let [ln, lg, ng] = outlet("no neutral");
    assert_eq!([ln, ng], [Reading::Floats, Reading::Floats]);
    assert_volt(lg, 120.0, 0.1);
}

/// Backfed through a load: the neutral contact stands at the line, so 0 / 120 / 120.
#[test]
fn an_open_neutral_is_at_the_line_behind_a_load() {
    let (vehicle, row) = row(&camper(
        "north america",
        UNIT,
        r#"heater = { kind = "mains appliance", power = "900 W", leakage = "0 A" }"#,
        r#"a3 = "unit.out to heater.ac, 3 x 2.5 mm2, 1 m""#,
        r#"shore = "plugged", supply = "no neutral", on = ["heater"]"#,
    ));
    let [ln, lg, ng] = readings(&vehicle, &row, "socket");
    assert_volt(ln, 0.0, 1e-6);
    assert_volt(lg, 120.0, 1e-6);
    assert_volt(ng, 120.0, 1e-6);
}

#[test]
fn a_floating_source_floats_against_earth() {
    let [ln, lg, ng] = outlet("floating");
    assert_volt(ln, 120.0, 0.1);
    assert_eq!([lg, ng], [Reading::Floats, Reading::Floats]);
}

/// Line and earth swapped at one socket: 0 / 120 / 120 by the table.
#[test]
fn line_and_earth_swapped_at_a_socket_reads_nothing_120_and_120() {
    let text = camper(
        "north america",
        UNIT,
        r#"bad = { kind = "mains socket" }"#,
        r#"
b1 = "unit.out.L to bad.PE, 2.5 mm2, 1 m"
b2 = "unit.out.PE to bad.L, 2.5 mm2, 1 m"
b3 = "unit.out.N to bad.N, 2.5 mm2, 1 m"
"#,
        r#"shore = "plugged", supply = "correct""#,
    );
    let (vehicle, row) = row(&text);
    let [ln, lg, ng] = readings(&vehicle, &row, "bad");
    assert_volt(ln, 0.0, 0.1);
    assert_volt(lg, 120.0, 0.1);
    assert_volt(ng, 120.0, 0.1);
    assert_eq!(verdict(&row, mains::Aspect::Polarity), "fails");
}

/// With a second bond the difference N-PE is small even under load, where one bond shows the drop in
/// the neutral: 900 W / 120 V = 7.5 A over 0.39 ohm = 2.9 V (the supply and lead this program
/// assumes), half and half with two bonds and no more than the bond itself.
#[test]
fn a_second_bond_hides_the_drop_in_the_neutral() {
    let at = |bond: &str| {
        let unit = format!(r#"bond = "{bond}", rated = "20 A", residual = "0 A""#);
        let (vehicle, row) = row(&camper(
            "north america",
            &unit,
            r#"heater = { kind = "mains appliance", power = "900 W", leakage = "0 A" }"#,
            r#"a3 = "unit.out to heater.ac, 3 x 2.5 mm2, 1 m""#,
            r#"shore = "plugged", supply = "correct", on = ["heater"]"#,
        ));
        readings(&vehicle, &row, "socket")[2]
    };
    assert_volt(at("never"), 2.9, 0.1);
    assert_volt(at("always"), 0.0, 0.1);
}

/// Split phase: 120 V on each leg; without neutral 240 V divide over 1200 W (12 ohm) and 400 W
/// (36 ohm) as 60 V and 180 V (series connection).
#[test]
fn a_lost_neutral_puts_180_volts_on_the_weaker_appliance() {
    let text = |supply: &str| {
        format!(
            r#"
unbury = 1
[vehicle]
name = "test"
region = "north america"
[devices]
inlet = {{ kind = "shore inlet 120/240 V" }}
panel = {{ kind = "consumer unit 120/240 V", bond = "never", rated = "50 A", residual = "0 A" }}
stud = {{ kind = "earth stud" }}
strong = {{ kind = "mains appliance", power = "1200 W", leakage = "0 A" }}
weak = {{ kind = "mains appliance", power = "400 W", leakage = "0 A" }}
[wires]
i1 = "inlet.L1 to panel.in.L1, 10 mm2, 1 m"
i2 = "inlet.L2 to panel.in.L2, 10 mm2, 1 m"
i3 = "inlet.N to panel.in.N, 10 mm2, 1 m"
i4 = "inlet.PE to panel.in.PE, 10 mm2, 1 m"
e1 = "panel.in.PE to stud, 6 mm2, 1 m"
s1 = "panel.out.L1 to strong.L, 4 mm2, 1 m"
s2 = "panel.out.N to strong.N, 4 mm2, 1 m"
s3 = "panel.out.PE to strong.PE, 4 mm2, 1 m"
k1 = "panel.out.L2 to weak.L, 4 mm2, 1 m"
k2 = "panel.out.N to weak.N, 4 mm2, 1 m"
k3 = "panel.out.PE to weak.PE, 4 mm2, 1 m"
[states]
here = {{ shore = "plugged", supply = "{supply}", on = ["strong", "weak"] }}
"#
        )
    };
    let (vehicle, right) = row(&text("correct"));
    // 10 A and 3.3 A through 0.44 ohm of line and, between them, 0.39 ohm of neutral: a few volts.
    assert_volt(readings(&vehicle, &right, "strong")[0], 120.0, 8.0);
    assert_volt(readings(&vehicle, &right, "weak")[0], 120.0, 8.0);
    let (vehicle, lost) = row(&text("no neutral"));
    // 240 V / 48 ohm = 5 A through two lines of 0.46 ohm: 4.6 V are lost, the rest divides 1 : 3.
    assert_volt(readings(&vehicle, &lost, "strong")[0], 60.0, 1.5);
    assert_volt(readings(&vehicle, &lost, "weak")[0], 180.0, 4.5);
    let polarity = |row: &mains::Row| verdict(row, mains::Aspect::Polarity);
    assert_eq!([polarity(&right), polarity(&lost)], ["holds", "fails"]);
}

/// An inverter with a floating winding: L-N full, both poles floating against earth; with its centre
/// tap on earth: half the voltage each.
#[test]
fn an_inverter_reads_by_its_bond() {
    let at = |bond: &str| {
        let text = format!(
            r#"
unbury = 1
[vehicle]
name = "test"
region = "europe"
[devices]
inverter = {{ kind = "inverter", bond = "{bond}", power = "300 W" }}
socket = {{ kind = "mains socket" }}
[wires]
a1 = "inverter.out to socket.ac, 3 x 1.5 mm2, 1 m"
[states]
here = {{ on = ["inverter"] }}
"#
        );
        let (vehicle, row) = row(&text);
        readings(&vehicle, &row, "socket")
    };
    let [ln, lg, ng] = at("never");
    assert_volt(ln, 230.0, 1e-6);
    assert_eq!([lg, ng], [Reading::Floats, Reading::Floats]);
    let [ln, lg, ng] = at("while inverting");
    assert_volt(ln, 230.0, 1e-6);
    assert_volt(lg, 230.0, 1e-6);
    assert_volt(ng, 0.0, 1e-6);
    for half in &at("centre tap")[1..] {
        assert_volt(*half, 115.0, 1e-6);
    }
}
