//! Statements of the trade on the direct-current side. Expected states were worked out by hand from
//! the drawings in the records; the rules themselves are common practice, no source.

use live::Status::{Live, MayBeLive, NotReached, Return};

use crate::see;

/// Starter battery and alternator on the body, house battery behind an isolator, a fridge.
const VAN: &str = r#"
starter = { kind = "starter battery" }
alternator = { kind = "alternator" }
house = { kind = "lfp battery" }
main = { kind = "isolator" }
bus = { kind = "busbar" }
fuses = { kind = "blade fuse box", ways = ["15 A fridge", "10 A lamp"] }
fridge = { kind = "compressor fridge" }
minus = { kind = "busbar" }
ground = { kind = "chassis point" }
"#;

const VAN_WIRES: &str = r#"
a1 = "alternator.+ to starter.+, 25 mm2, 1 m"
w1 = "house.+ to main.in, 35 mm2, 0.4 m"
w2 = "main.out to bus, 35 mm2, 0.4 m"
w3 = "bus to fuses.in, 16 mm2, 1 m"
w4 = "fuses.1 to fridge.+, 4 mm2, 3 m"
w5 = "fridge.- to minus, 4 mm2, 3 m"
w6 = "minus to house.-, 35 mm2, 0.4 m"
w7 = "minus to ground, 35 mm2, 0.4 m"
"#;

fn van(more_devices: &str, more_wires: &str, state: &str) -> crate::Seen {
    see(&format!("{VAN}{more_devices}"), &format!("{VAN_WIRES}{more_wires}"), state)
}

#[test]
fn closed_isolator_makes_the_feed_live_and_the_minus_return() {
    let seen = van("", "", "");
    for wire in ["w1", "w2", "w3", "w4"] {
        assert_eq!(seen.status(wire), Live, "{wire}");
    }
    for wire in ["w5", "w6", "w7"] {
        assert_eq!(seen.status(wire), Return, "{wire}");
        assert!(seen.wire(wire).from.is_empty());
    }
    assert_eq!(seen.line("w4"), "house.+ > w1 > main > w2 > w3 > fuses");
    assert_eq!(seen.map.body.status, Return);
}

#[test]
fn open_isolator_leaves_only_the_battery_side_live() {
    let seen = van("", "", "open = [\"main\"]");
    assert_eq!(seen.status("w1"), Live);
    for wire in ["w2", "w3", "w4"] {
        assert_eq!(seen.status(wire), NotReached, "{wire}");
    }
    assert_eq!(seen.terminal("main", "in").status, Live);
    assert_eq!(seen.terminal("main", "out").status, NotReached);
}

#[test]
fn second_battery_still_energises_behind_an_open_isolator() {
    let seen = van(
        "second = { kind = \"agm battery\" }",
        "s1 = \"second.+ to bus, 35 mm2, 1 m\"\ns2 = \"second.- to minus, 35 mm2, 1 m\"",
        "open = [\"main\"]",
    );
    assert_eq!(seen.status("w4"), Live);
    assert_eq!(seen.sources("w4"), ["second"]);
    assert_eq!(seen.sources("w1"), ["house"]);
}

#[test]
fn both_batteries_are_named_when_both_reach() {
    let seen = van(
        "second = { kind = \"agm battery\" }",
        "s1 = \"second.+ to bus, 35 mm2, 1 m\"\ns2 = \"second.- to minus, 35 mm2, 1 m\"",
        "",
    );
    assert_eq!(seen.sources("w4"), ["house", "second"]);
    assert_eq!(seen.sources("w1"), ["house", "second"]);
}

#[test]
fn open_return_is_live_through_the_load() {
    let wires = VAN_WIRES.replace("w5 = \"fridge.- to minus,", "w5 = \"fridge.- to unknown,");
    let seen = see(VAN, &wires, "");
    assert_eq!(seen.status("w5"), Live);
    assert_eq!(seen.line("w5"), "house.+ > w1 > main > w2 > w3 > fuses > w4 > through fridge");
    let way = &seen.wire("w5").from[0];
    assert_eq!(way.loads().len(), 1);
    assert_eq!(seen.doubt("w5"), "");
}

#[test]
fn common_minus_lost_makes_every_minus_wire_live_through_the_loads() {
    // The house battery's only way back is w6; without it and without the body the bar floats.
    let wires = VAN_WIRES
        .replace("w6 = \"minus to house.-, 35 mm2, 0.4 m\"", "w6 = \"minus to unknown, 35 mm2\"")
        .replace("w7 = \"minus to ground, 35 mm2, 0.4 m\"", "");
    let seen = see(VAN, &wires, "");
    assert_eq!(seen.status("w5"), Live);
    assert_eq!(seen.status("w6"), Live);
}

#[test]
fn lifted_negative_cable_of_a_battery_is_live_while_its_plus_is_connected() {
    // The bar still stands on the body, so it is the lifted end at the battery that bites.
    let wires = VAN_WIRES
        .replace("w6 = \"minus to house.-, 35 mm2, 0.4 m\"", "w6 = \"house.- to unknown, 35 mm2\"");
    let seen = see(VAN, &wires, "");
    assert_eq!(seen.status("w6"), Live);
    assert_eq!(seen.sources("w6"), ["house"]);
    assert_eq!(seen.line("w6"), "house.-");
    assert_eq!(seen.status("w5"), Return);
    let open = see(VAN, &wires, "open = [\"main\"]");
    assert_eq!(open.status("w6"), Return);
}

#[test]
fn pulled_fuse_leaves_its_wire_not_reached() {
    let devices = format!(
        "{VAN}f1 = {{ kind = \"blade fuse\", rated = \"5 A\" }}\n\
        lamp = {{ kind = \"led lights\" }}"
    );
    let wires = format!(
        "{VAN_WIRES}l1 = \"bus to f1.in, 1 mm2, 1 m\"\nl2 = \"f1.out to lamp.+, 1 mm2, 1 m\"\n\
         l3 = \"lamp.- to minus, 1 mm2, 1 m\""
    );
    let seen = see(&devices, &wires, "open = [\"f1\"]");
    assert_eq!(seen.status("l1"), Live);
    assert_eq!(seen.status("l2"), NotReached);
    assert_eq!(seen.status("l3"), Return);
}

#[test]
fn empty_way_of_a_fuse_box_passes_nothing() {
    let devices = VAN.replace("\"10 A lamp\"", "\"empty\"");
    let wires = format!("{VAN_WIRES}x = \"fuses.2 to unknown, 1 mm2\"");
    assert_eq!(see(&devices, &wires, "").status("x"), NotReached);
}

#[test]
fn wire_vanishing_behind_a_panel_is_still_live() {
    let seen = van("", "x = \"bus to behind panel, 6 mm2\"", "");
    assert_eq!(seen.status("x"), Live);
    assert_eq!(seen.line("x"), "house.+ > w1 > main > w2");
}

#[test]
fn wire_seen_at_neither_end_is_not_reached() {
    assert_eq!(van("", "x = \"unknown to behind panel\"", "").status("x"), NotReached);
}

#[test]
fn stud_without_a_wire_can_be_live() {
    assert_eq!(van("", "", "").terminal("fuses", "2").status, Live);
}

#[test]
fn combiner_relay_makes_the_other_side_may_be_live() {
    let seen = van(
        "relay = { kind = \"combiner relay\" }",
        "r1 = \"starter.+ to relay.a, 25 mm2, 3 m\"\nr2 = \"relay.b to bus, 25 mm2, 1 m\"\n\
         r3 = \"relay.- to minus, 1 mm2, 1 m\"",
        "open = [\"main\"]",
    );
    assert_eq!(seen.status("r1"), Live);
    assert_eq!(seen.status("w4"), MayBeLive);
    assert_eq!(seen.sources("w4"), ["starter"]);
    assert_eq!(seen.doubt("w4"), "relay may close");
    assert_eq!(seen.status("w5"), Return);
}

#[test]
fn certain_source_stands_before_a_doubtful_one() {
    let seen = van(
        "relay = { kind = \"combiner relay\" }",
        "r1 = \"starter.+ to relay.a, 25 mm2, 3 m\"\nr2 = \"relay.b to bus, 25 mm2, 1 m\"",
        "",
    );
    assert_eq!(seen.status("w3"), Live);
    assert_eq!(seen.sources("w3"), ["house", "starter"]);
    assert_eq!(seen.doubt("w3"), "");
}

const CHARGER: &str = "b2b = { kind = \"dc-dc charger\" }";
const CHARGER_WIRES: &str = "c1 = \"starter.+ to b2b.in+, 10 mm2, 4 m\"\n\
    c2 = \"b2b.out+ to bus, 10 mm2, 1 m\"\nc3 = \"b2b.- to minus, 10 mm2, 1 m\"";

#[test]
fn converter_may_pass_energy_back_to_its_input() {
    // Starter side opened at the battery: what is left of it may be fed from the house.
    let wires = CHARGER_WIRES.replace("starter.+ to", "unknown to");
    let seen = van(CHARGER, &wires, "");
    assert_eq!(seen.status("c1"), MayBeLive);
    assert_eq!(seen.sources("c1"), ["house"]);
    assert_eq!(seen.doubt("c1"), "energy through b2b cannot be ruled out in either direction");
}

#[test]
fn charger_output_is_a_source_while_the_engine_runs() {
    let off = van(CHARGER, CHARGER_WIRES, "open = [\"main\"]");
    assert_eq!(off.status("c2"), MayBeLive);
    let running = van(CHARGER, CHARGER_WIRES, "open = [\"main\"], engine = \"running\"");
    assert_eq!(running.status("c2"), Live);
    assert_eq!(running.sources("c2")[0], "b2b");
    assert_eq!(running.status("w4"), Live);
}

#[test]
fn charger_without_a_recorded_feed_may_still_deliver() {
    let wires = CHARGER_WIRES.replace("c1 = \"starter.+ to b2b.in+, 10 mm2, 4 m\"", "");
    let seen = van(CHARGER, &wires, "open = [\"main\"], engine = \"running\"");
    assert_eq!(seen.status("w4"), MayBeLive);
    assert_eq!(seen.doubt("w4"), "the record does not tell whether b2b is fed");
}

#[test]
fn lifted_minus_of_a_charger_may_be_live() {
    let wires = CHARGER_WIRES.replace("b2b.- to minus", "b2b.- to unknown");
    assert_eq!(van(CHARGER, &wires, "").status("c3"), MayBeLive);
}

#[test]
fn floating_house_side_behind_an_isolated_charger_keeps_its_minus_as_return() {
    let devices = format!("{VAN}b2b = {{ kind = \"isolated dc-dc charger\" }}");
    let wires = format!(
        "{}c1 = \"starter.+ to b2b.in+, 10 mm2, 4 m\"\nc2 = \"b2b.out+ to bus, 10 mm2, 1 m\"\n\
         c3 = \"b2b.in- to ground, 10 mm2, 1 m\"\nc4 = \"b2b.out- to minus, 10 mm2, 1 m\"",
        VAN_WIRES.replace("w7 = \"minus to ground, 35 mm2, 0.4 m\"", "")
    );
    let seen = see(&devices, &wires, "engine = \"running\"");
    assert_eq!(seen.status("w4"), Live);
    for wire in ["w5", "w6", "c3", "c4"] {
        assert_eq!(seen.status(wire), Return, "{wire}");
    }
}

#[test]
fn alternator_is_a_source_only_while_the_engine_runs() {
    assert_eq!(van("", "", "").sources("a1"), ["starter"]);
    assert_eq!(van("", "", "engine = \"running\"").sources("a1"), ["starter", "alternator"]);
}

const SOLAR: &str = "pv = { kind = \"solar module\" }\nmppt = { kind = \"solar controller\" }";
const SOLAR_WIRES: &str = "p1 = \"pv.+ to mppt.pv+, 4 mm2, 5 m\"\n\
    p2 = \"pv.- to mppt.pv-, 4 mm2, 5 m\"\np3 = \"mppt.+ to bus, 6 mm2, 2 m\"\n\
    p4 = \"mppt.- to minus, 6 mm2, 2 m\"";

#[test]
fn solar_cable_is_live_by_day_with_the_battery_isolated() {
    let seen = van(SOLAR, SOLAR_WIRES, "open = [\"main\"], sun = \"500 W/m2\"");
    assert_eq!(seen.status("p1"), Live);
    assert_eq!(seen.sources("p1"), ["pv"]);
    assert_eq!(seen.status("p2"), Return);
    assert_eq!(seen.status("p3"), MayBeLive);
    assert_eq!(seen.status("w4"), MayBeLive);
    assert_eq!(seen.sources("w4"), ["pv"]);
}

#[test]
fn battery_may_feed_back_to_the_module_by_night() {
    let seen = van(SOLAR, SOLAR_WIRES, "");
    assert_eq!(seen.status("p1"), MayBeLive);
    assert_eq!(seen.sources("p1"), ["house"]);
    assert_eq!(seen.status("p3"), Live);
}

#[test]
fn lifted_minus_of_a_module_may_be_live_by_day() {
    let wires = SOLAR_WIRES.replace("p2 = \"pv.- to mppt.pv-,", "p2 = \"pv.- to unknown,");
    let seen = van(SOLAR, &wires, "sun = \"500 W/m2\"");
    assert_eq!(seen.status("p2"), MayBeLive);
    assert_eq!(seen.sources("p2"), ["pv"]);
}

#[test]
fn between_modules_in_series_the_lead_is_live() {
    let devices = format!("{SOLAR}\npv2 = {{ kind = \"solar module\" }}");
    let wires = SOLAR_WIRES.replace(
        "pv.+ to mppt.pv+, 4 mm2, 5 m\"",
        "pv.+ to pv2.-, 4 mm2\"\n\
        p5 = \"pv2.+ to mppt.pv+, 4 mm2, 5 m\"",
    );
    let seen = van(&devices, &wires, "open = [\"main\"], sun = \"500 W/m2\"");
    assert_eq!(seen.status("p1"), Live);
    assert_eq!(seen.sources("p1"), ["pv"]);
    assert_eq!(seen.status("p5"), Live);
    assert_eq!(seen.sources("p5"), ["pv", "pv2"]);
    assert_eq!(seen.status("p2"), Return);
}

const BANK: &str = r#"
lower = { kind = "agm battery" }
upper = { kind = "agm battery" }
fridge = { kind = "compressor fridge" }
tap = { kind = "led lights" }
ground = { kind = "chassis point" }
"#;

const BANK_WIRES: &str = r#"
m = "lower.+ to upper.-, 50 mm2, 0.3 m"
g = "lower.- to ground, 50 mm2, 0.3 m"
p = "upper.+ to fridge.+, 4 mm2, 3 m"
n = "fridge.- to ground, 4 mm2, 3 m"
t = "upper.- to tap.+, 1 mm2, 3 m"
u = "tap.- to ground, 1 mm2, 3 m"
"#;

#[test]
fn midpoint_of_a_series_bank_is_live_from_the_lower_battery() {
    let seen = see(BANK, BANK_WIRES, "");
    assert_eq!(seen.status("m"), Live);
    assert_eq!(seen.sources("m"), ["lower"]);
    assert_eq!(seen.status("t"), Live);
    assert_eq!(seen.sources("p"), ["lower", "upper"]);
    assert_eq!(seen.line("p"), "lower.+ > m > upper");
    for wire in ["g", "n", "u"] {
        assert_eq!(seen.status(wire), Return, "{wire}");
    }
}

#[test]
fn lifted_link_of_a_series_bank_is_live_at_both_ends() {
    let wires = BANK_WIRES.replace(
        "m = \"lower.+ to upper.-, 50 mm2, 0.3 m\"",
        "m1 = \"lower.+ to unknown, 50 mm2\"\nm2 = \"upper.- to unknown, 50 mm2\"",
    );
    let seen = see(BANK, &wires, "");
    assert_eq!(seen.status("m1"), Live);
    assert_eq!(seen.status("m2"), Live);
    assert!(seen.sources("m2").contains(&"upper"));
    assert_eq!(seen.status("n"), Return);
}

#[test]
fn plus_shorted_to_the_body_neither_hangs_nor_hides() {
    let seen = van("", "x = \"bus to ground, 6 mm2, 1 m\"", "");
    for wire in ["w1", "w2", "w3", "w4", "w6", "w7", "x"] {
        assert_eq!(seen.status(wire), Live, "{wire}");
        assert_eq!(seen.sources(wire), ["house"], "{wire}");
    }
    assert_eq!(seen.map.body.status, Live);
}

#[test]
fn reversed_battery_makes_the_wire_on_its_minus_live() {
    // Plus on the body, minus on the feed: polarity mistake at the battery.
    let wires = VAN_WIRES
        .replace("house.+ to main.in", "house.- to main.in")
        .replace("minus to house.-", "minus to house.+");
    let seen = see(VAN, &wires, "");
    assert_eq!(seen.status("w1"), Live);
    assert_eq!(seen.status("w4"), Live);
    assert_eq!(seen.line("w1"), "house.-");
    assert_eq!(seen.status("w7"), Return);
}

#[test]
fn reversed_battery_beside_a_good_one_leaves_both_named() {
    let seen = van(
        "second = { kind = \"agm battery\" }",
        "s1 = \"second.- to bus, 35 mm2, 1 m\"\ns2 = \"second.+ to minus, 35 mm2, 1 m\"",
        "",
    );
    assert_eq!(seen.status("w3"), Live);
    assert_eq!(seen.sources("w3"), ["house", "second"]);
    assert_eq!(seen.status("w7"), Return);
}

#[test]
fn relay_onto_a_reversed_charger_is_not_hidden_by_its_minus() {
    // No body. The lead x is the charger's own minus, and the relay may put plus on it.
    let devices = "good = { kind = \"agm battery\" }\nrelay = { kind = \"combiner relay\" }\n\
        b2b = { kind = \"isolated dc-dc charger\" }\nbar = { kind = \"busbar\" }";
    let wires = "a = \"good.+ to relay.a\"\nx = \"relay.b to b2b.out-\"\n\
        m = \"good.- to bar\"\nn = \"b2b.out+ to bar\"";
    let seen = see(devices, wires, "engine = \"running\"");
    assert_eq!(seen.status("x"), MayBeLive);
    assert_eq!(seen.sources("x"), ["good"]);
}

#[test]
fn more_sources_than_any_vehicle_has_hide_nothing() {
    let mut devices = "ground = { kind = \"chassis point\" }\n".to_owned();
    let mut wires = String::new();
    for index in 0..live::MAX_SOURCES + 6 {
        devices += &format!("b{index} = {{ kind = \"agm battery\" }}\n");
        wires += &format!("p{index} = \"b{index}.+ to unknown\"\n");
        wires += &format!("m{index} = \"b{index}.- to ground\"\n");
    }
    let seen = see(&devices, &wires, "");
    for index in 0..live::MAX_SOURCES + 6 {
        assert_eq!(seen.status(&format!("p{index}")), Live, "p{index}");
    }
}

#[test]
fn long_way_is_told_from_its_end() {
    let mut devices = "house = { kind = \"agm battery\" }\nd0 = { kind = \"busbar\" }\n".to_owned();
    let mut wires = "w0 = \"house.+ to d0\"\n".to_owned();
    for index in 1..150 {
        devices += &format!("d{index} = {{ kind = \"busbar\" }}\n");
        wires += &format!("w{index} = \"d{} to d{index}\"\n", index - 1);
    }
    let seen = see(&devices, &wires, "");
    let names = seen.wire("w149").from[0].names(&seen.vehicle);
    assert_eq!(names.len(), live::MAX_NAMES + 1);
    assert_eq!((names[0].as_str(), names[1].as_str()), ("...", "w49"));
    assert_eq!(names.last().map(String::as_str), Some("w148"));
}

#[test]
fn body_is_a_conductor_like_others_while_no_battery_stands_on_it() {
    let devices = VAN.replace("starter = { kind = \"starter battery\" }\n", "").replace(
        "alternator = { kind = \"alternator\" }\n",
        "stray = { kind = \"chassis point\" }\n",
    );
    let wires = VAN_WIRES
        .replace("a1 = \"alternator.+ to starter.+, 25 mm2, 1 m\"", "x = \"bus to stray, 4 mm2\"")
        .replace("w7 = \"minus to ground, 35 mm2, 0.4 m\"", "");
    let seen = see(&devices, &wires, "");
    assert_eq!(seen.map.body.status, Live);
    assert_eq!(seen.status("x"), Live);
    assert_eq!(seen.status("w5"), Return);
}

#[test]
fn diode_passes_energy_forward_only() {
    let devices = "d = { kind = \"diode\" }";
    let wires = "d1 = \"bus to d.in, 6 mm2, 1 m\"\nd2 = \"d.out to unknown, 6 mm2\"";
    assert_eq!(van(devices, wires, "").status("d2"), Live);
    let wires = "d1 = \"bus to d.out, 6 mm2, 1 m\"\nd2 = \"d.in to unknown, 6 mm2\"";
    assert_eq!(van(devices, wires, "").status("d2"), NotReached);
}

#[test]
fn device_of_unknown_kind_may_pass_what_reaches_it() {
    let devices = "box = { kind = \"other\" }";
    let wires = "x1 = \"bus to box.+, 6 mm2, 1 m\"\nx2 = \"box.- to unknown, 6 mm2\"";
    let seen = van(devices, wires, "");
    assert_eq!(seen.status("x2"), MayBeLive);
    assert_eq!(seen.doubt("x2"), "what box joins inside is not known");
}

#[test]
fn first_of_two_doubts_is_told() {
    let devices = "relay = { kind = \"combiner relay\" }\nbox = { kind = \"other\" }";
    let wires = "r1 = \"bus to relay.a\"\nr2 = \"relay.b to box.+\"\nx = \"box.- to unknown\"";
    let seen = van(devices, wires, "");
    assert_eq!(seen.status("x"), MayBeLive);
    assert_eq!(seen.doubt("x"), "relay may close");
}

#[test]
fn shortest_of_two_ways_is_told() {
    let seen = van(
        "far = { kind = \"busbar\" }",
        "f1 = \"main.out to far, 35 mm2\"\nf2 = \"far to fuses.in, 35 mm2\"\n\
         f3 = \"main.out to fuses.in, 10 mm2\"",
        "",
    );
    assert_eq!(seen.line("w4"), "house.+ > w1 > main > f3 > fuses");
}

#[test]
fn same_record_gives_the_same_map() {
    let make = || van(SOLAR, SOLAR_WIRES, "sun = \"500 W/m2\", engine = \"running\"").map;
    assert_eq!(make(), make());
}

#[test]
fn empty_vehicle_has_an_empty_map() {
    let seen = see("", "", "");
    assert!(seen.map.wires.is_empty());
    assert_eq!(seen.map.body.status, NotReached);
}

#[test]
fn what_only_an_unseen_joint_could_feed_may_be_live() {
    let lines = "a = \"bus to behind panel, 6 mm2\"\nb = \"behind panel to lamp.+, 6 mm2\"";
    let seen = van("lamp = { kind = \"led lights\" }\n", lines, "");
    assert_eq!(seen.status("a"), Live);
    assert_eq!(seen.status("b"), MayBeLive);
}
