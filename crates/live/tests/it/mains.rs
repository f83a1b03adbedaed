//! Statements of the trade on the mains side; worked out by hand. **Hazard:** mains kills; local
//! codes and licensed practice come first.

use live::Status::{Live, MayBeLive, NotReached, Return};

use crate::see;

const DEVICES: &str = r#"
house = { kind = "lfp battery" }
main = { kind = "isolator" }
ground = { kind = "chassis point" }
inlet = { kind = "shore inlet" }
unit = { kind = "consumer unit" }
socket = { kind = "mains socket" }
charger = { kind = "mains charger" }
earth = { kind = "earth stud" }
"#;

const WIRES: &str = r#"
i = "inlet.ac to unit.in, 3 x 2.5 mm2, 1 m"
o = "unit.out to socket.ac, 3 x 2.5 mm2, 3 m"
c = "unit.out to charger.ac, 3 x 1.5 mm2, 3 m"
e = "unit.out.PE to earth, 4 mm2, 1 m"
d1 = "charger.+ to main.out, 6 mm2, 1 m"
d2 = "charger.- to house.-, 6 mm2, 1 m"
h = "house.+ to main.in, 35 mm2, 1 m"
g = "house.- to ground, 35 mm2, 1 m"
"#;

#[test]
fn plugged_shore_makes_line_and_neutral_live_and_earth_return() {
    let seen = see(DEVICES, WIRES, "shore = \"plugged\"");
    for wire in ["i/L", "i/N", "o/L", "o/N", "c/L"] {
        assert_eq!(seen.status(wire), Live, "{wire}");
        assert_eq!(seen.sources(wire), ["inlet"], "{wire}");
    }
    for wire in ["i/PE", "o/PE", "e"] {
        assert_eq!(seen.status(wire), Return, "{wire}");
    }
    assert_eq!(seen.line("o/N"), "inlet.N > i/N > unit");
}

#[test]
fn unplugged_shore_reaches_nothing() {
    let seen = see(DEVICES, WIRES, "");
    assert_eq!(seen.status("o/L"), NotReached);
    assert_eq!(seen.status("i/PE"), NotReached);
}

#[test]
fn consumer_unit_switched_off_opens_both_poles_but_its_inlet_side_stays_live() {
    let seen = see(DEVICES, WIRES, "shore = \"plugged\", open = [\"unit\"]");
    for wire in ["i/L", "i/N"] {
        assert_eq!(seen.status(wire), Live, "{wire}");
    }
    for wire in ["o/L", "o/N"] {
        assert_eq!(seen.status(wire), NotReached, "{wire}");
    }
    assert_eq!(seen.status("o/PE"), Return);
}

#[test]
fn charger_output_is_live_behind_an_open_isolator_while_shore_feeds_it() {
    let seen = see(DEVICES, WIRES, "shore = \"plugged\", open = [\"main\"]");
    assert_eq!(seen.status("d1"), Live);
    assert_eq!(seen.sources("d1"), ["charger"]);
    assert_eq!(seen.status("d2"), Return);
    let off = see(DEVICES, WIRES, "shore = \"plugged\", open = [\"main\", \"unit\"]");
    assert_eq!(off.status("d1"), NotReached);
}

#[test]
fn charger_whose_mains_feed_nobody_followed_may_deliver() {
    let wires = WIRES.replace("c = \"unit.out to charger.ac, 3 x 1.5 mm2, 3 m\"", "");
    let seen = see(DEVICES, &wires, "shore = \"plugged\", open = [\"main\"]");
    assert_eq!(seen.status("d1"), MayBeLive);
    assert_eq!(seen.doubt("d1"), "the record does not tell whether charger is fed");
}

#[test]
fn broken_neutral_is_live_through_the_appliance() {
    let devices = "inlet = { kind = \"shore inlet\" }\nkettle = { kind = \"mains appliance\" }";
    let wires = "l = \"inlet.L to kettle.L, 2.5 mm2\"\nn = \"kettle.N to unknown, 2.5 mm2\"";
    let seen = see(devices, wires, "shore = \"plugged\"");
    assert_eq!(seen.status("n"), Live);
    assert_eq!(seen.line("n"), "inlet.L > l > through kettle");
}

#[test]
fn neutral_bonded_to_earth_stays_live_and_the_body_stays_return() {
    let wires = format!("{WIRES}b = \"unit.out.N to earth, 4 mm2, 0.3 m\"");
    let seen = see(DEVICES, &wires, "shore = \"plugged\"");
    assert_eq!(seen.status("b"), Live);
    assert_eq!(seen.status("o/N"), Live);
    assert_eq!(seen.status("e"), Return);
    assert_eq!(seen.map.body.status, Return);
}

const INVERTER: &str = r#"
house = { kind = "lfp battery" }
main = { kind = "isolator" }
inverter = { kind = "inverter" }
socket = { kind = "mains socket" }
"#;

const INVERTER_WIRES: &str = r#"
h = "house.+ to main.in, 50 mm2, 1 m"
p = "main.out to inverter.+, 50 mm2, 1 m"
n = "inverter.- to house.-, 50 mm2, 1 m"
o = "inverter.out to socket.ac, 3 x 2.5 mm2, 3 m"
"#;

#[test]
fn inverter_makes_sockets_live_with_shore_out() {
    let seen = see(INVERTER, INVERTER_WIRES, "on = [\"inverter\"]");
    assert_eq!(seen.status("o/L"), Live);
    assert_eq!(seen.status("o/N"), Live);
    assert_eq!(seen.status("o/PE"), Return);
    assert_eq!(seen.sources("o/L"), ["inverter"]);
    let off = see(INVERTER, INVERTER_WIRES, "");
    assert_eq!(off.status("o/L"), NotReached);
}

#[test]
fn inverter_cut_off_from_its_battery_may_still_be_live_at_its_output() {
    let seen = see(INVERTER, INVERTER_WIRES, "on = [\"inverter\"], open = [\"main\"]");
    assert_eq!(seen.status("o/L"), MayBeLive);
    // Its capacitors hold charge after it is cut off.
    assert_eq!(seen.status("p"), MayBeLive);
    assert_eq!(seen.doubt("p"), "inverter holds charge after everything is off");
}

#[test]
fn inlet_pins_may_be_live_from_an_inverter_with_a_changeover() {
    let devices = "house = { kind = \"lfp battery\" }\ncombi = { kind = \"inverter charger\" }\n\
        inlet = { kind = \"shore inlet\" }\nsocket = { kind = \"mains socket\" }";
    let wires = "p = \"house.+ to combi.+, 50 mm2, 1 m\"\nn = \"combi.- to house.-, 50 mm2, 1 m\"\n\
        i = \"inlet.ac to combi.in, 3 x 2.5 mm2, 1 m\"\no = \"combi.out to socket.ac, 3 x 2.5 mm2, 3 m\"";
    let seen = see(devices, wires, "on = [\"combi\"]");
    assert_eq!(seen.status("o/L"), Live);
    assert_eq!(seen.status("i/L"), MayBeLive);
    assert_eq!(seen.doubt("i/L"), "the changeover contact in combi may be closed");
    assert_eq!(seen.terminal("inlet", "L").status, MayBeLive);
    let through = see(devices, wires, "shore = \"plugged\"");
    assert_eq!(through.status("i/L"), Live);
    assert_eq!(through.status("o/L"), MayBeLive);
}

#[test]
fn inverter_that_can_charge_may_feed_the_battery_cable_while_shore_is_in() {
    let devices = "combi = { kind = \"inverter charger\" }\nhouse = { kind = \"lfp battery\" }\n\
        main = { kind = \"isolator\" }\ninlet = { kind = \"shore inlet\" }";
    let wires = "p = \"main.out to combi.+, 50 mm2\"\nh = \"house.+ to main.in, 50 mm2\"\n\
        n = \"combi.- to house.-, 50 mm2\"\ni = \"inlet.ac to combi.in, 3 x 2.5 mm2\"";
    let seen = see(devices, wires, "shore = \"plugged\", open = [\"main\"]");
    assert_eq!(seen.status("p"), MayBeLive);
    let off = see(devices, wires, "open = [\"main\"]");
    assert_eq!(off.status("p"), MayBeLive);
    assert_eq!(off.doubt("p"), "combi holds charge after everything is off");
    assert_eq!(seen.doubt("p"), "energy through combi cannot be ruled out in either direction");
}
