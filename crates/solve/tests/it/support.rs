//! Reads the check networks of `tests/data`, compares answers, and runs ngspice. Shared by the
//! tests of this crate; knows nothing of how the crate solves.

use std::collections::HashMap;
use std::process::Command;

use circuit::{BranchId, Circuit, Element, NodeId, REFERENCE};
use solve::{NodeVoltage, OperatingPoint};

/// A circuit whose nodes and branches can be asked for by name.
pub(crate) struct Named {
    pub(crate) circuit: Circuit,
    pub(crate) nodes: HashMap<String, NodeId>,
    pub(crate) branches: HashMap<String, BranchId>,
}

impl Named {
    pub(crate) fn new() -> Named {
        let circuit = Circuit::new("0");
        Named { circuit, nodes: HashMap::from([("0".into(), REFERENCE)]), branches: HashMap::new() }
    }

    /// Builds from lines `kind name node... value...` as described in `networks.toml`.
    pub(crate) fn from_lines<'a>(lines: impl IntoIterator<Item = &'a str>) -> Named {
        let mut named = Named::new();
        for line in lines {
            named.add_line(line);
        }
        named
    }

    pub(crate) fn node(&mut self, name: &str) -> NodeId {
        if let Some(&node) = self.nodes.get(name) {
            return node;
        }
        let node = self.circuit.add_node(name);
        self.nodes.insert(name.into(), node);
        node
    }

    pub(crate) fn branch(&self, name: &str) -> BranchId {
        self.branches[name]
    }

    fn add_line(&mut self, line: &str) {
        let words: Vec<&str> = line.split_whitespace().collect();
        let (kind, name) = (words[0], words[1]);
        let n = |k: usize| words[2 + k];
        let v = |k: usize| words[k].parse::<f64>().expect(line);
        let (a, b) = (self.node(n(0)), self.node(n(1)));
        let element = match kind {
            "R" => Element::Resistor { a, b, ohm: v(4) },
            "V" => Element::Voltage { plus: a, minus: b, volt: v(4) },
            "BAT" => Element::Battery {
                plus: a,
                minus: b,
                rest_v: v(4),
                discharge_ohm: v(5),
                charge_ohm: v(6),
            },
            "I" => Element::Current { from: a, to: b, ampere: v(4) },
            "D" => Element::Diode { anode: a, cathode: b, saturation_a: v(4), emission: v(5) },
            "CPL" => Element::ConstantPower { plus: a, minus: b, watt: v(4), cut_out_v: v(5) },
            "LAMP" => Element::Lamp { a, b, rated_a: v(4), rated_v: v(5), exponent: v(6) },
            "LIM" => Element::LimitedSource {
                plus: a,
                minus: b,
                set_v: v(4),
                droop_ohm: v(5),
                limit_a: v(6),
            },
            "DCDC" => Element::Converter {
                in_plus: a,
                in_minus: b,
                out_plus: self.node(n(2)),
                out_minus: self.node(n(3)),
                set_v: v(6),
                droop_ohm: v(7),
                limit_a: v(8),
                power_w: f64::INFINITY,
                efficiency: v(9),
                idle_w: v(10),
            },
            other => panic!("unknown kind {other}"),
        };
        let id = self.circuit.add(name, element);
        self.branches.insert(name.into(), id);
    }
}

/// A check network with its answers.
pub(crate) struct CheckNetwork {
    pub(crate) name: String,
    pub(crate) named: Named,
    pub(crate) volt: Vec<(String, f64)>,
    pub(crate) ampere: Vec<(String, f64)>,
}

/// All networks of `networks.toml`.
pub(crate) fn check_networks() -> Vec<CheckNetwork> {
    let table: toml::Table = include_str!("../data/networks.toml").parse().unwrap();
    let pairs = |value: &toml::Value| -> Vec<(String, f64)> {
        let table = value.as_table().unwrap();
        table.iter().map(|(k, v)| (k.clone(), v.as_float().unwrap())).collect()
    };
    let networks = table["network"].as_array().unwrap().iter();
    networks
        .map(|n| CheckNetwork {
            name: n["name"].as_str().unwrap().into(),
            named: Named::from_lines(
                n["elements"].as_array().unwrap().iter().map(|e| e.as_str().unwrap()),
            ),
            volt: pairs(&n["volt"]),
            ampere: pairs(&n["ampere"]),
        })
        .collect()
}

/// The voltage of a node that must be known.
pub(crate) fn known(point: &OperatingPoint, node: NodeId) -> f64 {
    match point.voltage(node) {
        NodeVoltage::Known(volt) => volt,
        NodeVoltage::Floating { island } => panic!("{node:?} floats in island {island}"),
    }
}

/// Fails unless two numbers agree to a part of the second, or to a floor near zero.
#[track_caller]
pub(crate) fn assert_close(what: &str, ours: f64, theirs: f64, part: f64, floor: f64) {
    let allowed = part * theirs.abs() + floor;
    assert!((ours - theirs).abs() <= allowed, "{what}: ours {ours:e}, reference {theirs:e}");
}

/// Runs decks through one ngspice process each and reads `v(node) = number` lines, and those of
/// real and imaginary parts, `re_node = number`.
///
/// A missing ngspice is a failure, never a skipped test.
pub(crate) fn ngspice(deck: &str, file_stem: &str) -> HashMap<String, f64> {
    let path = std::env::temp_dir().join(format!("{file_stem}-{}.cir", std::process::id()));
    std::fs::write(&path, deck).unwrap();
    let run = Command::new("ngspice").args(["-b", "-n"]).arg(&path).output();
    std::fs::remove_file(&path).ok();
    let output = run.unwrap_or_else(|error| {
        panic!(
            "ngspice could not be started ({error}). Run `cargo xtask test`, which installs what \
             the tests need, or install the Debian package `ngspice`."
        )
    });
    let text = String::from_utf8_lossy(&output.stdout);
    let mut found = HashMap::new();
    for line in text.lines() {
        let Some((name, value)) = line.split_once(" = ") else { continue };
        let Some(name) = name
            .strip_prefix("v(")
            .and_then(|name| name.strip_suffix(')'))
            .or_else(|| Some(name).filter(|n| n.starts_with("re_") || n.starts_with("im_")))
        else {
            continue;
        };
        found.insert(name.to_owned(), value.trim().parse().unwrap());
    }
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(
        !found.is_empty(),
        "ngspice gave no voltages for {file_stem}:\n{text}\n{errors}\n{deck}"
    );
    found
}
