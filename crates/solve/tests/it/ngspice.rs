//! Exported decks run through a real ngspice (39 or later): node voltages to one part in a
//! million. A missing ngspice fails the test and names the command that installs it.

use std::collections::HashMap;

use circuit::{Circuit, Element, NodeId, deck_node, netlist};
use solve::{NodeVoltage, OperatingPoint, Options, operating_point};

use crate::support::{assert_close, check_networks, ngspice};
use crate::van::van;

const PART: f64 = 1e-6;
/// What ngspice's own convergence test leaves where the true value is zero.
const VOLT_FLOOR: f64 = 1e-9;
const VANS: u64 = 40;

fn compare(name: &str, circuit: &Circuit, point: &OperatingPoint, spice: &HashMap<String, f64>) {
    let mut compared = 0;
    for node in (1..circuit.node_count() as u32).map(NodeId) {
        let Some(theirs) = spice.get(&deck_node(circuit, node)) else { continue };
        if let NodeVoltage::Known(ours) = point.voltage(node) {
            let what = format!("{name} {}", circuit.node_name(node));
            assert_close(&what, ours, *theirs, PART, VOLT_FLOOR);
            compared += 1;
        }
    }
    assert!(compared > 0, "{name}: nothing compared");
}

fn solve_and_compare(name: &str, circuit: &Circuit) {
    let point = operating_point(circuit, &Options::default())
        .unwrap_or_else(|trouble| panic!("{name}: {trouble}"));
    let deck = netlist(circuit, name, &point.guards);
    compare(name, circuit, &point, &ngspice(&deck, name));
}

#[test]
fn decks_of_the_check_networks_give_the_same_voltages_in_ngspice() {
    for network in check_networks() {
        solve_and_compare(&network.name, &network.named.circuit);
    }
}

#[test]
fn decks_of_forty_vans_give_the_same_voltages_in_ngspice() {
    for seed in 0..VANS {
        solve_and_compare(&format!("van{seed}"), &van(4 + (seed as u32 % 24), seed));
    }
}

#[test]
fn a_deck_follows_the_positions_of_the_guards() {
    let circuit = van(6, 3);
    let options = Options { guards: Some(vec![false]) };
    let point = operating_point(&circuit, &options).unwrap();
    let deck = netlist(&circuit, "charger locked out", &[false]);
    compare("guard_off", &circuit, &point, &ngspice(&deck, "guard_off"));
}

#[test]
fn differences_inside_a_floating_part_agree_with_ngspice() {
    // A radio with its own cells, joined to nothing: only differences have a meaning.
    let mut circuit = Circuit::new("chassis");
    let [p, u, v, w] = ["stud", "radio +", "radio mid", "radio -"].map(|n| circuit.add_node(n));
    let reference = circuit::REFERENCE;
    circuit.add("battery", Element::Voltage { plus: p, minus: reference, volt: 12.8 });
    circuit.add("cells", Element::Voltage { plus: u, minus: w, volt: 6.0 });
    circuit.add("r1", Element::Resistor { a: u, b: v, ohm: 100.0 });
    circuit.add("r2", Element::Resistor { a: v, b: w, ohm: 50.0 });
    let point = operating_point(&circuit, &Options::default()).unwrap();
    let spice = ngspice(&netlist(&circuit, "floating", &[]), "floating");
    let at = |n| spice[&deck_node(&circuit, n)];
    for (a, b) in [(u, v), (v, w), (u, w)] {
        let ours = point.between(a, b).expect("one island");
        assert_close("difference", ours, at(a) - at(b), PART, VOLT_FLOOR);
    }
    assert!(matches!(point.voltage(v), NodeVoltage::Floating { .. }));
}
