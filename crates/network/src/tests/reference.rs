//! A whole house system written as a record, against the same network solved elsewhere.
//!
//! Reference: a netlist of our own design (LFP battery, shunt, lights and fridge of constant power,
//! a pump, a filament lamp), solved by ngspice 39 and by an independent modified nodal analysis in
//! numpy, which agree to nine digits. The reference gives resistances; a record gives sizes and
//! lengths, so each length here is the reference's resistance over what IEC 60228:2004 Table 2
//! allows a metre of that size.
//!
//! What differs: every wire end of a record has a joint (0.0001 mOhm here, the least a record can
//! tell from nothing), which the reference has not; two wires the reference does not have (main
//! fuse to isolator; shunt to bond) are taken out of their neighbours, or carry no current; and the
//! fridge has a restart voltage here.

use super::{Bench, known, near, settled};

/// Greatest resistance of a metre, ohm: IEC 60228:2004 Table 2, class 2, plain copper, 20 C.
fn per_metre_ohm(size: &str) -> f64 {
    match size {
        "35" => 0.524e-3,
        "4" => 4.61e-3,
        "2.5" => 7.41e-3,
        "1.5" => 12.1e-3,
        "1" => 18.1e-3,
        other => panic!("{other} mm2 is not used here"),
    }
}

fn line(name: &str, ends: &str, size: &str, ohm: f64) -> String {
    // Two joints of 1e-7 ohm belong to the wire.
    let length_m = (ohm - 2e-7) / per_metre_ohm(size);
    format!("{name} = \"{ends}, {size} mm2, {length_m:.15} m, stranded\"\n")
}

fn house() -> Bench {
    let link_ohm = 0.05 * per_metre_ohm("35");
    let wires = [
        line("cabp", "house.+ to main-fuse.in", "35", 0.000_263_5),
        line("link", "main-fuse.out to isolator.in", "35", link_ohm + 2e-7),
        // The reference joins fuse and isolator stud to stud: the link comes off this cable.
        line("cabp2", "isolator.out to box.in", "35", 0.000_263_5 - link_ohm - 2e-7),
        line("cabn", "house.- to shunt.battery", "35", 0.000_158_1),
        line("bond", "shunt.system to body", "35", 0.000_1),
        line("lightp", "box.1 to light.+", "1.5", 0.0762),
        line("lightn", "light.- to shunt.system", "1.5", 0.0762),
        line("fridgep", "box.2 to fridge.+", "4", 0.023_55),
        line("fridgen", "fridge.- to shunt.system", "4", 0.023_55),
        line("pumpp", "box.3 to pump.+", "2.5", 0.0304),
        line("pumpn", "pump.- to shunt.system", "2.5", 0.0304),
        line("lampp", "box.4 to lamp.+", "1", 0.0555),
        line("lampn", "lamp.- to shunt.system", "1", 0.0555),
    ]
    .concat();
    Bench::new(&format!(
        "[devices]
house = {{ kind = \"lfp battery\", rest = \"13.28 V\", resistance = \"6 mOhm\" }}
main-fuse = {{ kind = \"strip fuse\", resistance = \"0.25 mOhm\" }}
isolator = {{ kind = \"isolator\", resistance = \"0.15 mOhm\" }}
box = {{ kind = \"blade fuse box\", ways = [\"5 A light\", \"15 A fridge\", \"10 A pump\", \"3 A lamp\"] }}
shunt = {{ kind = \"shunt\", resistance = \"0.1 mOhm\" }}
body = {{ kind = \"chassis point\", resistance = \"0.5 mOhm\" }}
light = {{ kind = \"led lights\", power = \"24 W\", cut_out = \"9 V\" }}
fridge = {{ kind = \"compressor fridge\", power = \"60 W\", cut_out = \"10 V\", restart = \"11 V\" }}
pump = {{ kind = \"water pump\", power = \"60 W\" }}
lamp = {{ kind = \"filament lamp\", power = \"21 W\" }}
[wires]
{wires}[usual]
joint = \"told 0.0001 mOhm\"
[states]
all = {{ on = [\"all loads\"] }}"
    ))
}

/// Voltages against the body and currents of the reference.
const STUDS_V: [(&str, f64); 13] = [
    ("box.in", 13.181_817_084),
    ("house.+", 13.194_484_348),
    ("house.-", -0.003_526_884),
    ("shunt.battery", -0.001_366_479),
    ("shunt.system", 0.0),
    ("box.1", 13.148_515_34),
    ("light.+", 13.006_353_274),
    ("light.-", 0.142_162_066),
    ("fridge.+", 13.050_376_313),
    ("fridge.-", 0.109_186_249),
    ("pump.+", 12.978_362_666),
    ("pump.-", 0.162_336_334),
    ("lamp.+", 13.023_964_245),
];
const BATTERY_A: f64 = 13.664_794_7;

#[test]
fn a_house_system_as_a_record_has_the_voltages_of_the_reference() {
    let bench = house();
    let network = bench.network("all");
    let point = settled(&network);
    for (stud, expected) in STUDS_V {
        let volt = known(&point, bench.stud(&network, stud)).expect("on the body");
        // A millionth of the system's 13.28 V.
        let miss = (volt - expected).abs();
        assert!(miss < 1e-6 * 13.28, "{stud}: {volt}, reference {expected}, off by {miss:e} V");
    }
    let bus = known(&point, bench.stud(&network, "box.in")).expect("on the body");
    near(bus, 13.181_817_084, 1e-6);
    near(bench.ampere(&network, &point, "cabp"), BATTERY_A, 1e-6);
}
