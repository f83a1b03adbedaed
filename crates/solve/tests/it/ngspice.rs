//! Exported decks run through a real ngspice (39 or later): node voltages to one part in a
//! million. A missing ngspice fails the test and names the command that installs it.

use std::collections::HashMap;

use circuit::{Circuit, Element, NodeId, REFERENCE, deck_node, netlist};
use solve::{NodeVoltage, OperatingPoint, Options, operating_point};

use crate::support::{Named, assert_close, check_networks, ngspice};
use crate::van::van;

const PART: f64 = 1e-6;
/// What ngspice's own convergence test leaves where the true value is zero.
const VOLT_FLOOR: f64 = 1e-9;
const VANS: u64 = 200;

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

/// The deck with every node started at our answer instead of the deck's own guess.
fn started_at(deck: &str, circuit: &Circuit, point: &OperatingPoint) -> String {
    let guess = |line: &&str| !line.starts_with(".nodeset") && !line.starts_with(".control");
    let head: Vec<&str> =
        deck.lines().take_while(|line| *line != ".control").filter(guess).collect();
    let start =
        (1..circuit.node_count() as u32).map(NodeId).filter_map(|node| match point.voltage(node) {
            NodeVoltage::Known(volt) => {
                Some(format!(".nodeset v({})={volt:.12}", deck_node(circuit, node)))
            }
            NodeVoltage::Floating { .. } => None,
        });
    let tail = deck.lines().skip_while(|line| *line != ".control").map(str::to_owned);
    let lines: Vec<String> = head.into_iter().map(str::to_owned).chain(start).chain(tail).collect();
    lines.join("\n")
}

/// A battery that feeds a converter has two operating points, and ngspice may fall into the lower one
/// from its own start. Then ours has to be one too: started at our answer, ngspice has to stay there,
/// and the one it fell into must lie lower.
#[test]
fn decks_of_two_hundred_vans_give_the_same_voltages_in_ngspice() {
    let mut fell_lower = Vec::new();
    for seed in 0..VANS {
        let (name, circuit) = (format!("van{seed}"), van(4 + (seed as u32 % 24), seed));
        let point = operating_point(&circuit, &Options::default())
            .unwrap_or_else(|trouble| panic!("{name}: {trouble}"));
        let deck = netlist(&circuit, &name, &point.guards);
        let theirs = ngspice(&deck, &name);
        let lowered = (1..circuit.node_count() as u32).map(NodeId).any(|node| {
            match (theirs.get(&deck_node(&circuit, node)), point.voltage(node)) {
                (Some(theirs), NodeVoltage::Known(ours)) => *theirs < ours - 1.0,
                _ => false,
            }
        });
        if lowered {
            fell_lower.push(seed);
            let again = ngspice(&started_at(&deck, &circuit, &point), &name);
            compare(&name, &circuit, &point, &again);
        } else {
            compare(&name, &circuit, &point, &theirs);
        }
    }
    assert!(fell_lower.len() as u64 <= VANS / 20, "{fell_lower:?}");
}

/// A board of two opposite ways with its leak, a low-loss isolator that blocks on one side, a
/// converter at its power limit, and a module with a dark group that its diode passes by.
#[test]
fn decks_of_one_way_elements_power_limits_and_bypassed_groups_agree_with_ngspice() {
    let mut board = Named::from_lines([
        "BAT cells c 0 13.1 0.009 0.009",
        "R leak c p 2200000",
        "R cable p q 0.004",
        "CPL fridge q 0 60 10",
    ]);
    let (c, p) = (board.nodes["c"], board.nodes["p"]);
    for (from, to) in [(c, p), (p, c)] {
        let way = Element::OneWay { from, to, ohm: 0.001, blocked_ohm: 1e9 };
        board.circuit.add("way", way);
    }
    solve_and_compare("board", &board.circuit);

    let mut isolator = Named::from_lines([
        "LIM alt a 0 14.4 0.02 90",
        "BAT starter s 0 14.6 0.005 2",
        "BAT house h 0 12.6 0.006 0.05",
        "R link a i 0.002",
    ]);
    for out in ["s", "h"] {
        let (from, to) = (isolator.nodes["i"], isolator.nodes[out]);
        isolator.circuit.add("way", Element::OneWay { from, to, ohm: 0.002, blocked_ohm: 1e9 });
    }
    solve_and_compare("isolator", &isolator.circuit);

    let mut charger = Named::from_lines(["V feed f 0 13.5", "R w f in 0.01"]);
    let (in_plus, out_plus) = (charger.nodes["in"], charger.node("out"));
    let cells = Element::Battery {
        plus: out_plus,
        minus: REFERENCE,
        rest_v: 12.6,
        discharge_ohm: 0.02,
        charge_ohm: 0.02,
    };
    charger.circuit.add("house", cells);
    let converter = Element::Converter {
        in_plus,
        in_minus: REFERENCE,
        out_plus,
        out_minus: REFERENCE,
        set_v: 14.4,
        droop_ohm: 0.01,
        limit_a: 60.0,
        power_w: 480.0,
        efficiency: 0.9,
        idle_w: 5.0,
    };
    charger.circuit.add("charger", converter);
    solve_and_compare("power_limit", &charger.circuit);

    let mut module =
        Named::from_lines(["V bus b 0 6.5", "R cable b p 0.05", "D pass m p 1e-6 1.1"]);
    let (plus, middle) = (module.nodes["p"], module.nodes["m"]);
    module.circuit.add("post", Element::Resistor { a: middle, b: REFERENCE, ohm: 1e6 });
    let group = |light_a| circuit::SingleDiode {
        light_a,
        saturation_a: 1e-9,
        series_ohm: 0.1,
        shunt_ohm: 100.0,
        modified_ideality_v: 0.45,
    };
    let (dark, lit) = (group(0.1), group(6.0));
    module.circuit.add("dark", Element::SolarModule { plus, minus: middle, diode: dark });
    let element = Element::SolarModule { plus: middle, minus: REFERENCE, diode: lit };
    module.circuit.add("lit", element);
    solve_and_compare("bypassed", &module.circuit);
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
