//! Build defects that were the reason for published recalls of recreational vehicles and coaches, each
//! as a small record made up for it: the review must find every one. The facts are those of the
//! campaigns named beside each record (United States, NHTSA campaign numbers where they are known),
//! as restated in public copies of the notices; vehicles, wires and figures are our own.

use analysis::Case;

/// A defect: what the notice was about, the record, and what has to be found where.
struct Recall {
    about: &'static str,
    record: &'static str,
    check: &'static str,
    place: &'static str,
}

const RECALLS: [Recall; 13] = [
    Recall {
        about: "08V179000: the feed of the inverter left the factory without its fuse",
        record: r#"
[devices]
house    = { kind = "agm battery" }
inverter = { kind = "inverter", power = "1000 W" }
[wires]
feed = "house.+ to inverter.+, 50 mm2, 2.2 m"
back = "inverter.- to house.-, 50 mm2, 2.2 m"
"#,
        check: "source-end-without-protection",
        place: "wire feed",
    },
    Recall {
        about: "2016: wiring prepared for solar modules joined to the battery box without protection",
        record: r#"
[devices]
house = { kind = "flooded battery" }
solar = { kind = "solar controller", limit = "20 A" }
[wires]
prep = "house.+ to solar.+, 10 AWG, 4 m"
back = "solar.- to house.-, 10 AWG, 4 m"
"#,
        check: "source-end-without-protection",
        place: "wire prep",
    },
    Recall {
        about: "95E016004: solder bridged the contacts of a fuse",
        record: r#"
[devices]
house = { kind = "agm battery" }
fuse  = { kind = "blade fuse", rated = "10 A" }
lamp  = { kind = "led lights", power = "20 W" }
[wires]
a = "house.+ to fuse.in, 1.5 mm2, 0.2 m"
b = "fuse.out to lamp.+, 1.5 mm2, 2 m"
c = "lamp.- to house.-, 1.5 mm2, 2 m"
bridge = "fuse.in to fuse.out, 1.5 mm2, 0.03 m"
"#,
        check: "protection-bypassed",
        place: "fuse",
    },
    Recall {
        about: "17V-799: breakers of the wrong rating let cables overheat",
        record: r#"
[devices]
inlet  = { kind = "shore inlet" }
unit   = { kind = "consumer unit", rated = "32 A", residual = "30 mA" }
socket = { kind = "mains socket" }
[wires]
a1 = "inlet.ac to unit.in, 3 x 10 AWG, 60 C, 3 m, sheathed"
a2 = "unit.out to socket.ac, 3 x 14 AWG, 60 C, 4 m, sheathed"
"#,
        check: "mains-breaker-larger-than-cable",
        place: "wire a2/L",
    },
    Recall {
        about: "wiper motors of 23 coaches on a fuse too small for them",
        record: r#"
[devices]
house  = { kind = "agm battery", rest = "12.8 V" }
fuse   = { kind = "blade fuse", rated = "5 A" }
wipers = { kind = "heater", label = "wiper motors", power = "120 W" }
[wires]
a = "house.+ to fuse.in, 2.5 mm2, 0.2 m"
b = "fuse.out to wipers.+, 2.5 mm2, 2 m"
c = "wipers.- to house.-, 2.5 mm2, 2 m"
[states]
rain = { on = ["wipers"], charge = { house = "90 %" } }
"#,
        check: "protection-overloaded",
        place: "fuse",
    },
    Recall {
        about: "82V111: a cable through the wall of the battery box without a grommet",
        record: r#"
[devices]
house = { kind = "flooded battery" }
fuse  = { kind = "strip fuse", rated = "100 A" }
[wires]
main = "house.+ to fuse.in, 35 mm2, 0.4 m, no grommet"
"#,
        check: "edge-without-grommet",
        place: "wire main",
    },
    Recall {
        about: "93V043000: a moving cable rubbed on wires, 1122 vehicles",
        record: r#"
[devices]
fuse = { kind = "blade fuse", rated = "15 A" }
step = { kind = "motor" }
[wires]
step-feed = "fuse.out to step.+, 2.5 mm2, 3 m, moves, no loop"
"#,
        check: "moving-wire-without-loop",
        place: "wire step-feed",
    },
    Recall {
        about: "06V118000: a cable that came loose could touch the exhaust",
        record: r#"
[devices]
alternator = { kind = "alternator" }
fuse       = { kind = "strip fuse", rated = "100 A" }
[wires]
charge = "alternator.+ to fuse.in, 25 mm2, 3 m, 105 C, in engine space, near heat, unsupported"
"#,
        check: "wire-near-heat",
        place: "wire charge",
    },
    Recall {
        about: "07V538: the neutral of a converter on the bar of the earth wires, 207 vehicles",
        record: r#"
[devices]
inlet  = { kind = "shore inlet" }
unit   = { kind = "consumer unit", bond = "always", residual = "30 mA" }
socket = { kind = "mains socket" }
[wires]
a1 = "inlet.ac to unit.in, 3 x 2.5 mm2, 3 m, sheathed"
a2 = "unit.out to socket.ac, 3 x 1.5 mm2, 4 m, sheathed"
[states]
shore = { shore = "plugged" }
"#,
        check: "two-neutral-earth-bonds",
        place: "state shore",
    },
    Recall {
        about: "2018: neutrals of 14 and 12 AWG under one screw",
        record: r#"
[devices]
inverter = { kind = "inverter" }
a = { kind = "mains socket" }
b = { kind = "mains socket" }
[wires]
n1 = "inverter.out.N to a.N, 14 AWG, 3 m, sheathed"
n2 = "inverter.out.N to b.N, 12 AWG, 5 m, sheathed"
[joints]
"all at inverter" = "screw"
"#,
        check: "two-wires-under-one-screw",
        place: "inverter.out.N",
    },
    Recall {
        about: "2024: plain outlets where residual-current protection belongs, 1201 vehicles",
        record: r#"
[devices]
inlet  = { kind = "shore inlet" }
unit   = { kind = "consumer unit", rated = "16 A", residual = "0 A" }
socket = { kind = "mains socket" }
[wires]
a1 = "inlet.ac to unit.in, 3 x 2.5 mm2, 3 m, sheathed"
a2 = "unit.out to socket.ac, 3 x 1.5 mm2, 4 m, sheathed"
"#,
        check: "no-residual-current-protection",
        place: "socket",
    },
    Recall {
        about: "2024: wiring led the wrong way wore through the loom of the forward camera, 443 vehicles",
        record: r#"
[devices]
fuse   = { kind = "blade fuse", rated = "5 A" }
camera = { kind = "electronics", label = "forward camera" }
[wires]
loom = "fuse.out to camera.+, 1 mm2, 4 m, chafed"
"#,
        check: "insulation-damaged",
        place: "wire loom",
    },
    Recall {
        about: "a washer of stainless steel between lug and post melted a battery's case (a published account, no recall)",
        record: r#"
[devices]
house    = { kind = "agm battery" }
fuse     = { kind = "strip fuse", rated = "150 A" }
inverter = { kind = "inverter", power = "1200 W" }
[wires]
h1 = "house.+ to fuse.in, 50 mm2, 0.2 m"
h2 = "fuse.out to inverter.+, 50 mm2, 1 m"
h3 = "inverter.- to house.-, 50 mm2, 1 m"
[stacks]
"house.+" = "post, stainless washer, h1, nut"
"#,
        check: "washer-or-paint-in-current-path",
        place: "house.+",
    },
];

#[test]
fn every_recalled_build_defect_is_found() {
    let head =
        "unbury = 1\n[vehicle]\nname = \"Recall\"\nsystem = \"12 V\"\nregion = \"north america\"\n";
    let mut missed = Vec::new();
    for recall in &RECALLS {
        let case = Case::of(&format!("{head}{}", recall.record));
        let faults = case.record_faults();
        assert!(faults.is_empty(), "{}: {faults:#?}", recall.about);
        let review = case.review();
        let found = review
            .findings
            .iter()
            .any(|finding| finding.check == recall.check && finding.place.name == recall.place);
        if !found {
            let all: Vec<String> = review
                .findings
                .iter()
                .map(|finding| format!("{} at {}", finding.check, finding.place.name))
                .collect();
            missed.push(format!(
                "{}: {} at {}; found {all:?}",
                recall.about, recall.check, recall.place
            ));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

/// A gas hose that was too short for the slide-out pulled at its fittings (2014). Gas is never judged:
/// it has to be named, and asked for, and never to pass.
#[test]
fn gas_is_named_and_never_judged() {
    let text = "unbury = 1\n[vehicle]\nname = \"Recall\"\n[devices]\nhob = { kind = \"gas appliance\", label = \"hob in the slide-out\" }\n";
    let review = Case::of(text).review();
    let gas = |check: &str| check == "gas-appliance-seen";
    assert!(!review.findings.iter().any(|finding| gas(&finding.check)));
    assert!(review.cannot_tell.iter().any(|finding| gas(&finding.check)));
    let tally = review.tallies.iter().find(|tally| gas(&tally.check)).expect("a tally");
    assert_eq!((tally.fails, tally.holds, tally.cannot_tell), (0, 0, 1));
}
