//! Faults in plain words: what they do to the circuit, against Ohm's law on paper and against a
//! real ngspice on the exported deck; and what is said where they are not understood.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

use std::collections::HashMap;
use std::process::Command;

use catalog::Catalog;
use circuit::{Change, Circuit, NodeId, deck_node, netlist};
use model::Vehicle;
use network::{Network, NoFault, build, read_fault};
use solve::{NodeVoltage, OperatingPoint, Outcome, settle};

const VAN: &str = r#"
unbury = 1

[vehicle]
name = "Bench"
region = "europe"
system = "12 V"

[devices]
house  = { kind = "lfp battery", holds = "100 Ah", resistance = "5 mOhm", rest = "13.2 V" }
box    = { kind = "blade fuse box", ways = ["10 A lamp", "10 A heater"] }
lamp   = { kind = "led lights", power = "24 W" }
heater = { kind = "heater", power = "48 W" }
bar    = { kind = "busbar" }

[wires]
w1 = "house.+ to box.in, 16 mm2, red, 1 m, stranded"
w2 = "box.1 to lamp.+, 1.5 mm2, red, 5 m, stranded"
w3 = "lamp.- to bar, 1.5 mm2, black, 5 m, stranded"
w4 = "box.2 to heater.+, 1.5 mm2, red, 3 m, stranded"
w5 = "heater.- to bar, 1.5 mm2, black, 3 m, stranded"
w6 = "bar to house.-, 16 mm2, black, 1 m, stranded"

[states]
evening = { on = ["lamp", "heater"], charge = { house = "60 %" } }
"#;

struct Bench {
    vehicle: Vehicle,
    catalog: Catalog,
    network: Network,
}

impl Bench {
    fn new() -> Bench {
        let catalog = Catalog::embedded();
        let record = record::read(VAN, &catalog);
        let errors: Vec<_> = record.diagnostics.iter().map(|d| d.message.clone()).collect();
        assert!(errors.is_empty(), "{errors:?}");
        let (_, state) = record.vehicle.states.iter().next().unwrap();
        let network = build(&record.vehicle, state, &catalog);
        Bench { vehicle: record.vehicle, catalog, network }
    }

    fn changes(&self, text: &str) -> Result<Vec<Change>, NoFault> {
        let (_, state) = self.vehicle.states.iter().next().unwrap();
        let fault = read_fault(text, &self.vehicle, state, &self.catalog, &self.network);
        fault.map(|fault| fault.changes)
    }

    fn faulted(&self, texts: &[&str]) -> (Circuit, OperatingPoint) {
        let changes: Vec<Change> =
            texts.iter().flat_map(|text| self.changes(text).unwrap()).collect();
        let circuit = self.network.circuit.changed(&changes).unwrap();
        match settle(&circuit) {
            Outcome::Settled(point) => (circuit, point),
            other => panic!("{texts:?}: {other:?}"),
        }
    }

    fn stud(&self, name: &str) -> NodeId {
        let id = self.vehicle.terminals.ids().find(|id| self.vehicle.terminal_name(*id) == name);
        self.network.stud_node(id.unwrap()).unwrap()
    }

    fn refused(&self, text: &str) -> String {
        self.changes(text).unwrap_err().to_string()
    }
}

fn ngspice(deck: &str) -> HashMap<String, f64> {
    use std::sync::atomic::{AtomicU32, Ordering};
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    let path = std::env::temp_dir().join(format!("fault-{}-{count}.cir", std::process::id()));
    std::fs::write(&path, deck).unwrap();
    let run = Command::new("ngspice").args(["-b", "-n"]).arg(&path).output();
    std::fs::remove_file(&path).ok();
    let output = run.expect("ngspice: run `cargo xtask test`, which installs what the tests need");
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    text.lines()
        .filter_map(|line| line.strip_prefix("v(")?.split_once(") = "))
        .map(|(name, value)| (name.to_owned(), value.trim().parse().unwrap()))
        .collect()
}

#[test]
fn the_deck_of_every_fault_gives_the_same_voltages_in_ngspice() {
    let bench = Bench::new();
    let cases: [&[&str]; 9] = [
        &["w2 open"],
        &["w2 at lamp.+ open"],
        &["box.2 blown"],
        &["w4 adds 0.5 Ohm"],
        &["box.1 adds 100 mOhm", "w6 adds 20 mOhm"],
        &["w2 touches w4 through 10 mOhm"],
        &["w4 lands on box.1 instead of box.2"],
        &["heater reversed", "lamp power is 40 W"],
        &["w2 touches house.- through 2 Ohm"],
    ];
    for texts in cases {
        let (circuit, point) = bench.faulted(texts);
        let spice = ngspice(&netlist(&circuit, &texts.join(", "), &point.guards));
        let mut compared = 0;
        for node in (1..circuit.node_count() as u32).map(NodeId) {
            let (NodeVoltage::Known(ours), Some(theirs)) =
                (point.voltage(node), spice.get(&deck_node(&circuit, node)))
            else {
                continue;
            };
            let allowed = 1e-6 * theirs.abs() + 1e-9;
            let name = circuit.node_name(node);
            assert!((ours - theirs).abs() <= allowed, "{texts:?} {name}: {ours} and {theirs}");
            compared += 1;
        }
        assert!(compared > 5, "{texts:?}: {compared} compared");
    }
}

#[test]
fn a_blown_fuse_leaves_its_load_without_and_the_other_with_volts() {
    let bench = Bench::new();
    let (_, point) = bench.faulted(&["box.2 blown"]);
    let across = |a: &str, b: &str| point.between(bench.stud(a), bench.stud(b)).unwrap();
    assert!(across("heater.+", "heater.-").abs() < 1e-9);
    assert!(across("lamp.+", "lamp.-") > 12.0);
}

#[test]
fn resistance_in_a_wire_drops_volts_by_ohms_law() {
    // The heating pad is a resistor of 12^2/48 = 3 ohm; 0.5 ohm more before it takes a sixth of
    // what the pad has: U(0.5 ohm)/U(pad) = 0.5/3.
    let bench = Bench::new();
    let (circuit, point) = bench.faulted(&["w4 adds 0.5 Ohm"]);
    let (wire, _) = bench.vehicle.wires.find(|wire| wire.name == "w4").unwrap();
    let branch = bench.network.wire_branch(wire).unwrap();
    let was = &bench.network.circuit.branch(branch).element;
    let circuit::Element::Resistor { a, b, ohm: was_ohm } = *was else { panic!("a resistor") };
    let dropped = point.between(a, b).unwrap();
    let pad = point.between(bench.stud("heater.+"), bench.stud("heater.-")).unwrap();
    let expected = (0.5 + was_ohm) / 3.0;
    assert!((dropped / pad - expected).abs() < 1e-9, "{dropped} {pad}");
    assert_eq!(circuit.branch_count(), bench.network.circuit.branch_count());
}

#[test]
fn what_is_not_understood_is_named_with_what_was_meant() {
    let bench = Bench::new();
    let cases = [
        ("w22 open", "did you mean `w2`?"),
        ("heeter reversed", "did you mean `heater`?"),
        ("box.3 blown", "did you mean `box."),
        ("lamp powr is 40 W", "did you mean `power`?"),
        ("lamp power is 40 V", "`40 V`"),
        ("lamp power is -40 W", "cannot be negative"),
        ("house bypass_groups is 1000000", "between 1 and 12"),
        ("w2 adds", "write for example"),
        ("w2 adds 0 Ohm", "above zero"),
        ("w2 touches w2", "one point"),
        ("w2 lands on box.2", "instead of"),
        ("w2 lands on box.2 instead of heater.+", "does not land on `heater.+`"),
        ("w2 reversed", "only a device"),
        ("it is broken", "which number of `it`"),
        ("", "write for example"),
    ];
    for (text, expected) in cases {
        let said = bench.refused(text);
        assert!(said.contains(expected), "`{text}`: {said}");
    }
}

#[test]
fn a_short_without_a_resistance_says_what_it_took() {
    let bench = Bench::new();
    let (_, state) = bench.vehicle.states.iter().next().unwrap();
    let fault = read_fault("w2  touches w4", &bench.vehicle, state, &bench.catalog, &bench.network);
    assert!(fault.unwrap().words.contains("(assumed)"));
}
