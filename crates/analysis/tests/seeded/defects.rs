//! Defects of building, each with the check that has to name it and what it brings with it.

use testkit::Dice;

use super::Van;

/// A defect.
pub(crate) struct Defect {
    /// The check that has to find it.
    pub(crate) check: &'static str,
    /// Which part of the vehicle it changes: two defects of one part do not go together.
    pub(crate) touches: &'static str,
    /// Checks that may rightly fail as well because of it.
    pub(crate) brings: &'static [&'static str],
    /// Puts it in; where it has to be found.
    pub(crate) put_in: fn(&mut Van, &mut Dice) -> String,
}

const fn defect(
    check: &'static str,
    touches: &'static str,
    brings: &'static [&'static str],
    put_in: fn(&mut Van, &mut Dice) -> String,
) -> Defect {
    Defect { check, touches, brings, put_in }
}

const UNFUSED: &str = "source-end-without-protection";
const DROP: &str = "conductor-too-small-for-drop";
const STARVED: &str = "equipment-starved";
const LARGER: &str = "protection-larger-than-conductor";

const MIXED_BRINGS: &[&str] = &["monitor-capacity-wrong", "protection-cannot-break-the-fault"];

pub(crate) const DEFECTS: &[Defect] = &[
    defect(UNFUSED, "bank", &[], |van, _| {
        van.of_wire("h1", "0.15 m", "1.8 m");
        "wire h1".to_owned()
    }),
    defect(LARGER, "load", &["return-not-protected"], |van, dice| {
        let at = dice.below(van.loads.len());
        van.loads[at].amps = 100;
        format!("wire {}", van.loads[at].feed())
    }),
    defect(
        "protection-bypassed",
        "bank",
        &[UNFUSED, "source-without-isolator", LARGER, "return-not-protected"],
        |van, _| {
            van.wire("x1", "house.+ to plus-bar, 16 mm2, 1.5 m");
            "main-fuse".to_owned()
        },
    ),
    defect("protection-in-parallel", "load", &["wires-doubled-on-a-fuse"], |van, _| {
        let (one, two) = (van.loads[0].clone(), van.loads[1].clone());
        van.wire("x2", &format!("box.{} to {}.+, 6 mm2, 2 m", two.way, one.name));
        "box".to_owned()
    }),
    defect("protection-in-return", "load", &[], |van, dice| {
        let load = van.any_load(dice);
        van.device("odd", "kind = \"blade fuse\", rated = \"30 A\"");
        van.without(&load.back());
        van.wire("x3", &format!("{}.- to odd.in, 6 mm2, 1 m", load.name));
        van.wire("x4", "odd.out to minus-bar, 6 mm2, 1 m");
        "odd".to_owned()
    }),
    defect("fuse-behind-a-fuse", "load", &[], |van, dice| {
        let load = van.any_load(dice);
        van.device("hidden", "kind = \"blade fuse\", rated = \"30 A\"");
        van.without(&load.feed());
        van.wire("x5", &format!("box.{} to hidden.in, 6 mm2, 1 m", load.way));
        van.wire("x6", &format!("hidden.out to {}.+, 6 mm2, 1 m", load.name));
        "hidden".to_owned()
    }),
    defect("wires-doubled-on-a-fuse", "load", &[], |van, dice| {
        let load = van.any_load(dice);
        van.device("extra", "kind = \"led lights\", power = \"5 W\", cut_out = \"9 V\"");
        van.wire("x7", &format!("box.{} to extra.+, 6 mm2, 1 m", load.way));
        van.wire("x8", "extra.- to minus-bar, 6 mm2, 1 m");
        format!("box.{}", load.way)
    }),
    defect("return-not-protected", "load", &[DROP, STARVED], |van, dice| {
        let at = dice.below(van.loads.len());
        van.loads[at].amps = 30;
        let load = van.loads[at].clone();
        van.without(&load.feed());
        van.without(&load.back());
        van.wire(&load.feed(), &format!("box.{} to {}.+, 6 mm2, 1 m", load.way, load.name));
        van.wire(&load.back(), &format!("{}.- to minus-bar, 1 mm2, 1 m", load.name));
        format!("wire {}", load.back())
    }),
    defect("isolator-in-return", "bank", &[], |van, _| {
        van.device("key", "kind = \"isolator\", rated = \"275 A\"");
        van.without("h5");
        van.wire("x9", "shunt.system to key.in, 35 mm2, 0.3 m");
        van.wire("x10", "key.out to minus-bar, 35 mm2, 0.3 m");
        "key".to_owned()
    }),
    defect("lithium-on-alternator", "charging", &[], |van, _| {
        van.device("link", "kind = \"combiner relay\"");
        van.wire("x11", "start-fuse.out to link.a, 16 mm2, 1 m");
        van.wire("x12", "link.b to boost-fuse.in, 16 mm2, 1 m");
        "alternator".to_owned()
    }),
    defect("relay-on-commanded-alternator", "charging", &["lithium-on-alternator"], |van, _| {
        van.of_device("alternator", "\"alternator\"", "\"smart alternator\"");
        van.device("link", "kind = \"combiner relay\"");
        van.wire("x11", "start-fuse.out to link.a, 16 mm2, 1 m");
        van.wire("x12", "link.b to boost-fuse.in, 16 mm2, 1 m");
        "link".to_owned()
    }),
    defect("lithium-charged-cold", "board", &[], |van, _| {
        van.of_device("house", "cold_limit = \"0 C\"", "cold_limit = \"-10 C\"");
        "house".to_owned()
    }),
    defect("charging-voltage-too-high", "settings", &[], |van, _| {
        van.of_device("solar", "14.2 V", "15 V");
        "solar".to_owned()
    }),
    defect("solar-module-straight-on-battery", "roof", &["source-without-isolator"], |van, _| {
        van.without("p2");
        van.device("pv-fuse", "kind = \"blade fuse\", rated = \"20 A\"");
        van.wire("x13", "pv-switch.out to pv-fuse.in, 6 mm2, 1 m");
        van.wire("x14", "pv-fuse.out to plus-bar, 35 mm2, 0.15 m");
        "panel".to_owned()
    }),
    defect("modules-without-string-protection", "roof", &["source-without-isolator"], |van, _| {
        for name in ["panel-b", "panel-c"] {
            van.device(name, "kind = \"solar module\", isc = \"6 A\", voc = \"22 V\"");
            van.wire(&format!("{name}-1"), &format!("{name}.+ to panel.+, 6 mm2, 1 m"));
            van.wire(&format!("{name}-2"), &format!("{name}.- to panel.-, 6 mm2, 1 m"));
        }
        "panel".to_owned()
    }),
    // Two banks side by side bring more than blade fuses break.
    defect("batteries-mixed-in-one-bank", "bank", MIXED_BRINGS, |van, _| {
        van.device("old", "kind = \"agm battery\", holds = \"90 Ah\", resistance = \"5 mOhm\"");
        van.wire("x15", "house.+ to old.+, 35 mm2, 0.3 m");
        van.wire("x16", "house.- to old.-, 35 mm2, 0.3 m");
        "house".to_owned()
    }),
    defect("shunt-reversed", "meter", &[], |van, _| {
        van.of_wire("h4", "shunt.battery", "shunt.system");
        van.of_wire("h5", "shunt.system", "shunt.battery");
        van.of_wire("h8", "shunt.system", "shunt.battery");
        "shunt".to_owned()
    }),
    defect("monitor-scale-wrong", "scale", &[], |van, _| {
        van.of_device("display", "0.1 mOhm", "0.15 mOhm");
        "display".to_owned()
    }),
    defect("monitor-capacity-wrong", "capacity", &[], |van, _| {
        for holds in ["100 Ah", "150 Ah", "200 Ah"] {
            let (_, fields) =
                van.devices.iter_mut().find(|(name, _)| name == "display").expect("it");
            *fields = fields.replace(holds, "300 Ah");
        }
        "display".to_owned()
    }),
    defect("high-current-through-body", "inverter", &[], |van, _| {
        van.of_device("inverter", "200 W", "900 W");
        van.of_device("inverter-fuse", "60 A", "100 A");
        van.device("rib", "kind = \"chassis point\"");
        van.device("post", "kind = \"chassis point\"");
        van.without("i3");
        van.wire("x17", "inverter.- to rib, 35 mm2, 0.4 m");
        van.wire("x18", "minus-bar to post, 35 mm2, 0.4 m");
        "wire x17".to_owned()
    }),
    defect("contact-overloaded", "switch", &[], |van, _| {
        van.of_device("isolator", "275 A", "10 A");
        "isolator".to_owned()
    }),
    defect("earth-missing", "socket", &[], |van, _| {
        van.without("ac2");
        van.wire("x19", "unit.out.L to socket.L, 2.5 mm2, 2 m");
        van.wire("x20", "unit.out.N to socket.N, 2.5 mm2, 2 m");
        "socket".to_owned()
    }),
    defect("line-and-neutral-swapped", "socket", &[], |van, _| {
        van.without("ac2");
        van.wire("x21", "unit.out.L to socket.N, 2.5 mm2, 2 m");
        van.wire("x22", "unit.out.N to socket.L, 2.5 mm2, 2 m");
        van.wire("x23", "unit.out.PE to socket.PE, 2.5 mm2, 2 m");
        "socket".to_owned()
    }),
    defect("no-residual-current-protection", "unit", &[], |van, _| {
        van.of_device("unit", "30 mA", "0 A");
        "socket".to_owned()
    }),
    defect("mains-breaker-larger-than-cable", "unit", &[], |van, _| {
        van.of_device("unit", "rated = \"10 A\"", "rated = \"63 A\"");
        "wire ac2/L".to_owned()
    }),
    defect("inverter-feeds-its-own-charger", "inverter", &[], |van, _| {
        van.of_wire("ac3", "unit.out", "guard.out");
        "charger".to_owned()
    }),
    defect("two-mains-sources-joined", "unit", &[], |van, _| {
        van.device("engine", "kind = \"generator\"");
        van.wire("x24", "engine.ac to unit.in, 3 x 2.5 mm2, 2 m");
        "inlet".to_owned()
    }),
    defect("mains-joined-to-direct-current", "unit", &[], |van, _| {
        van.wire("x25", "unit.in.L to minus-bar, 2.5 mm2, 1 m");
        "inlet".to_owned()
    }),
    defect("no-neutral-earth-bond", "inverter", &[], |van, _| {
        van.of_device("inverter", "while inverting", "never");
        "state evening".to_owned()
    }),
    defect("two-neutral-earth-bonds", "unit", &[], |van, _| {
        van.shore = "plugged";
        van.of_device("unit", "bond = \"never\"", "bond = \"always\"");
        "state evening".to_owned()
    }),
    defect(
        "inverter-joined-to-inlet",
        "inverter",
        &["two-neutral-earth-bonds", "inverter-feeds-its-own-charger"],
        |van, _| {
            van.of_wire("ac4", "guard.in", "unit.in");
            "inverter".to_owned()
        },
    ),
    defect("solid-conductor", "load", &[], |van, dice| {
        let load = van.any_load(dice);
        van.of_wire(&load.feed(), "mm2,", "mm2, solid,");
        format!("wire {}", load.feed())
    }),
    defect("load-reversed", "load", &[], |van, dice| {
        let load = van.any_load(dice);
        van.of_wire(&load.feed(), &format!("{}.+", load.name), &format!("{}.-", load.name));
        van.of_wire(&load.back(), &format!("{}.-", load.name), &format!("{}.+", load.name));
        load.name
    }),
    defect("joint-too-hot", "load", &[STARVED], |van, dice| {
        let load = van.any_load(dice);
        let at = format!("{} at {}.+", load.feed(), load.name);
        van.joints.push(format!("\"{at}\" = \"spade, corroded, measured 250 mOhm\""));
        at
    }),
    defect("monitor-bypassed", "load", &[], |van, dice| {
        let load = van.any_load(dice);
        van.of_wire(&load.back(), "minus-bar", "house.-");
        load.name
    }),
    defect("washer-or-paint-in-current-path", "stack", &[], |van, _| {
        van.stacks[0] = "\"house.+\" = \"post, steel washer, h1, h6, nut\"".to_owned();
        "house.+".to_owned()
    }),
    defect("source-without-isolator", "switch", &[], |van, _| {
        van.without("h2");
        van.without("h3");
        van.wire("x26", "main-fuse.out to plus-bar, 35 mm2, 0.7 m");
        "house".to_owned()
    }),
    defect(DROP, "load", &[STARVED, LARGER, "return-not-protected"], |van, _| {
        let load = van.loads[0].clone();
        van.without(&load.feed());
        van.wire(&load.feed(), &format!("box.{} to {}.+, 0.75 mm2, 30 m", load.way, load.name));
        load.name
    }),
    defect("protection-cannot-break-the-fault", "bank", &[], |van, _| {
        van.of_device(
            "main-fuse",
            "rated = \"125 A\"",
            "rated = \"125 A\", interrupts = \"500 A\"",
        );
        "main-fuse".to_owned()
    }),
    defect(
        "conductor-burns-first",
        "load",
        &[DROP, STARVED, LARGER, "return-not-protected"],
        |van, dice| {
            let at = dice.below(van.loads.len());
            van.loads[at].amps = 30;
            let load = van.loads[at].clone();
            van.without(&load.feed());
            van.wire(&load.feed(), &format!("box.{} to {}.+, 0.5 mm2, 20 m", load.way, load.name));
            format!("wire {}", load.feed())
        },
    ),
    defect("protection-voltage-too-low", "roof", &[], |van, _| {
        van.device("odd", "kind = \"breaker\", rated = \"30 A\", made_for = \"0 V\"");
        van.without("m2");
        van.wire("x30", "charger-fuse.out to odd.in, 35 mm2, 0.15 m");
        van.wire("x31", "odd.out to plus-bar, 35 mm2, 0.15 m");
        "odd".to_owned()
    }),
    defect("module-voltage-too-high", "roof", &[], |van, _| {
        van.of_device("solar", "limit = ", "made_for = \"25 V\", limit = ");
        "solar".to_owned()
    }),
    defect("parallel-conductors-unequal", "bank", &[], |van, _| {
        van.wire("x32", "minus-bar to shunt.system, 16 mm2, 0.3 m");
        "wire h5".to_owned()
    }),
];
