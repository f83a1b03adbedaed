//! The 200-node tree of `tests/data/perf200.txt` as a circuit. Shared by the speed example and the
//! tests.

use std::collections::HashMap;

use circuit::{Circuit, Element, NodeId, REFERENCE};

/// Between the plus bars of two neighbouring trees, ohm.
const LINK_OHM: f64 = 0.01;

/// The tree: 28 fused circuits behind one battery.
pub(crate) fn tree() -> Circuit {
    let mut circuit = Circuit::new("0");
    plant(&mut circuit, "");
    circuit
}

/// Several trees, each with its battery, their plus bars joined in a row.
#[allow(dead_code, reason = "the tests need one tree, the speed example many")]
pub(crate) fn trees(count: usize) -> Circuit {
    let mut circuit = Circuit::new("0");
    let bars: Vec<NodeId> = (0..count).map(|k| plant(&mut circuit, &format!("t{k}_"))).collect();
    for (k, pair) in bars.windows(2).enumerate() {
        let link = Element::Resistor { a: pair[0], b: pair[1], ohm: LINK_OHM };
        circuit.add(format!("link{k}"), link);
    }
    circuit
}

/// Adds one tree and returns its plus bar.
fn plant(circuit: &mut Circuit, prefix: &str) -> NodeId {
    let mut nodes = HashMap::from([("0".to_owned(), REFERENCE)]);
    let lines = include_str!("../../tests/data/perf200.txt").lines();
    for line in lines.filter(|line| !line.starts_with('#')) {
        let words: Vec<&str> = line.split_whitespace().collect();
        let mut node = |name: &str| -> NodeId {
            let add = || circuit.add_node(format!("{prefix}{name}"));
            *nodes.entry(name.to_owned()).or_insert_with(add)
        };
        let (a, b) = (node(words[2]), node(words[3]));
        let number = |k: usize| words[k].parse::<f64>().expect("a number in a data line");
        let element = match words[0] {
            "R" => Element::Resistor { a, b, ohm: number(4) },
            "V" => Element::Voltage { plus: a, minus: b, volt: number(4) },
            "CPL" => {
                let (watt, cut_out_v) = (number(4), number(5));
                Element::ConstantPower { plus: a, minus: b, watt, cut_out_v }
            }
            _ => {
                let (rated_a, rated_v, exponent) = (number(4), number(5), number(6));
                Element::Lamp { a, b, rated_a, rated_v, exponent }
            }
        };
        circuit.add(format!("{prefix}{}", words[1]), element);
    }
    nodes["busp"]
}
