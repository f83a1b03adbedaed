//! Facts to take away, and what then cannot be told.

use super::Van;

/// A fact.
pub(crate) struct Unknown {
    /// The check that hangs on it.
    pub(crate) check: &'static str,
    /// Makes the fact decide.
    pub(crate) prepare: fn(&mut Van),
    /// Takes it away; where it is missed.
    pub(crate) take_away: fn(&mut Van) -> String,
}

fn as_it_is(_: &mut Van) {}

pub(crate) const UNKNOWNS: &[Unknown] = &[
    Unknown {
        check: "source-end-without-protection",
        prepare: as_it_is,
        take_away: |van| {
            van.of_wire("h1", ", 0.15 m", "");
            "wire h1".to_owned()
        },
    },
    Unknown {
        check: "source-end-without-protection",
        prepare: as_it_is,
        take_away: |van| {
            van.of_wire("h1", "0.15 m", "assumed 0.15 m because it is short");
            "wire h1".to_owned()
        },
    },
    Unknown {
        check: "protection-larger-than-conductor",
        prepare: as_it_is,
        take_away: |van| {
            van.of_wire("f1", "mm2", "mm2 X");
            let (_, line) = van.wires.iter_mut().find(|(name, _)| name == "f1").expect("f1");
            *line = line.replace("2.5 mm2 X, ", "").replace("6 mm2 X, ", "");
            "wire f1".to_owned()
        },
    },
    Unknown {
        check: "protection-larger-than-conductor",
        prepare: as_it_is,
        take_away: |van| {
            van.loads[0].amps = 0;
            "wire f1".to_owned()
        },
    },
    Unknown {
        check: "return-not-protected",
        prepare: as_it_is,
        take_away: |van| {
            van.loads[0].amps = 0;
            "wire r1".to_owned()
        },
    },
    Unknown {
        check: "solid-conductor",
        prepare: as_it_is,
        take_away: |van| {
            van.of_wire("b0", ", 0.5 m", ", 0.5 m, assumed stranded because others are");
            "wire b0".to_owned()
        },
    },
    Unknown {
        check: "contact-overloaded",
        prepare: |van| van.of_device("inverter", "200 W", "400 W"),
        take_away: |van| {
            van.of_device("isolator", ", rated = \"275 A\"", "");
            "isolator".to_owned()
        },
    },
    Unknown {
        check: "lithium-charged-cold",
        prepare: as_it_is,
        take_away: |van| {
            van.of_device("house", ", cold_limit = \"0 C\"", "");
            "house".to_owned()
        },
    },
    Unknown {
        check: "charging-voltage-too-high",
        prepare: as_it_is,
        take_away: |van| {
            van.of_device("solar", ", regulates = \"14.2 V\"", "");
            "solar".to_owned()
        },
    },
    Unknown {
        check: "lithium-on-alternator",
        prepare: as_it_is,
        take_away: |van| {
            van.wire("x1", "starter.+ to unknown, 16 mm2");
            "alternator".to_owned()
        },
    },
    Unknown {
        check: "solar-module-straight-on-battery",
        prepare: as_it_is,
        take_away: |van| {
            van.without("p2");
            van.wire("p2", "pv-switch.out to unknown, 6 mm2");
            "panel".to_owned()
        },
    },
    Unknown {
        check: "monitor-scale-wrong",
        prepare: as_it_is,
        take_away: |van| {
            van.of_device("display", ", resistance = \"0.1 mOhm\"", "");
            "display".to_owned()
        },
    },
    Unknown {
        check: "monitor-scale-wrong",
        prepare: as_it_is,
        take_away: |van| {
            van.of_device("shunt", ", resistance = \"0.1 mOhm\"", "");
            "display".to_owned()
        },
    },
    Unknown {
        check: "monitor-capacity-wrong",
        prepare: as_it_is,
        take_away: |van| {
            let (_, fields) =
                van.devices.iter_mut().find(|(name, _)| name == "house").expect("house");
            let at = fields.find(", holds").expect("it holds something");
            let end = at + 2 + fields[at + 2..].find(',').expect("more follows");
            fields.replace_range(at..end, "");
            "display".to_owned()
        },
    },
    Unknown {
        check: "no-residual-current-protection",
        prepare: as_it_is,
        take_away: |van| {
            van.of_device("unit", ", residual = \"30 mA\"", "");
            "socket".to_owned()
        },
    },
    Unknown {
        check: "mains-breaker-larger-than-cable",
        prepare: as_it_is,
        take_away: |van| {
            van.of_device("unit", "rated = \"10 A\", ", "");
            "wire ac2/L".to_owned()
        },
    },
    Unknown {
        check: "no-neutral-earth-bond",
        prepare: as_it_is,
        take_away: |van| {
            van.of_device("inverter", ", bond = \"while inverting\"", "");
            "state evening".to_owned()
        },
    },
    Unknown {
        check: "two-neutral-earth-bonds",
        prepare: |van| van.shore = "plugged",
        take_away: |van| {
            van.of_device("unit", ", bond = \"never\"", "");
            "state evening".to_owned()
        },
    },
    Unknown {
        check: "washer-or-paint-in-current-path",
        prepare: as_it_is,
        take_away: |van| {
            van.stacks.clear();
            van.joints.push("\"h1 at house.+\" = \"lug\"".to_owned());
            van.joints.push("\"h6 at house.+\" = \"lug\"".to_owned());
            "house.+".to_owned()
        },
    },
    Unknown {
        check: "earth-missing",
        prepare: as_it_is,
        take_away: |van| {
            van.without("ac2");
            van.wire("x1", "unit.out.L to socket.L, 2.5 mm2, 2 m");
            van.wire("x2", "unit.out.N to socket.N, 2.5 mm2, 2 m");
            van.wire("x3", "socket.PE to unknown, 2.5 mm2");
            "socket".to_owned()
        },
    },
    Unknown {
        check: "protection-cannot-break-the-fault",
        prepare: as_it_is,
        take_away: |_| "inverter-fuse".to_owned(),
    },
    Unknown {
        check: "conductor-burns-first",
        prepare: as_it_is,
        take_away: |van| {
            van.of_device("inverter-fuse", ", rated = \"60 A\"", "");
            "inverter-fuse".to_owned()
        },
    },
    Unknown {
        check: "protection-voltage-too-low",
        prepare: as_it_is,
        take_away: |van| {
            van.device("odd", "kind = \"breaker\", rated = \"30 A\"");
            van.without("m2");
            van.wire("x30", "charger-fuse.out to odd.in, 35 mm2, 0.15 m");
            van.wire("x31", "odd.out to plus-bar, 35 mm2, 0.15 m");
            "odd".to_owned()
        },
    },
    Unknown {
        check: "module-voltage-too-high",
        prepare: |van| van.of_device("solar", "limit = ", "made_for = \"100 V\", limit = "),
        take_away: |van| {
            van.of_device("panel", ", voc = \"22 V\"", "");
            "solar".to_owned()
        },
    },
    Unknown {
        check: "parallel-conductors-unequal",
        prepare: as_it_is,
        take_away: |van| {
            van.wire("x32", "minus-bar to shunt.system, 35 mm2");
            "wire h5".to_owned()
        },
    },
];
