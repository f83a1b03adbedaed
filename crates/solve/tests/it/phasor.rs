//! Steady alternating current: ngspice on generated three-wire networks, closed forms, and laws.

use circuit::{AcCircuit, AcElement, BranchId, Complex, NodeId, REFERENCE, ac_netlist};
use solve::{PhasorPoint, PhasorTrouble, phasor_point};

use crate::support::{assert_close, ngspice};

const PART: f64 = 1e-6;
const NETWORKS: u64 = 60;

fn real(value: f64) -> Complex {
    Complex::new(value, 0.0)
}

fn source(circuit: &mut AcCircuit, name: &str, plus: NodeId, volt: Complex) -> BranchId {
    circuit.add(name, AcElement::Source { plus, minus: REFERENCE, volt })
}

/// 230 V shore supply, neutral and earth joined at the supply and again in the vehicle. Expected
/// currents: ngspice 39 on the same network, run as direct current because it is resistive; and by
/// hand: `R = 0.25 + 0.19 + 35.2667 + (0.39 || 0.40)`, 230 V / R = 6.4059 A.
#[test]
fn a_second_bond_sends_half_the_neutral_current_through_the_earth_wire() {
    let mut c = AcCircuit::new("star point", 50.0);
    let [lsrc, lped, lv, nv, nped, pev, peped] =
        ["lsrc", "lped", "lv", "nv", "nped", "pev", "peped"].map(|name| c.add_node(name));
    source(&mut c, "supply", lsrc, real(230.0));
    c.add_resistance("zs", lsrc, lped, 0.25);
    let line = c.add_resistance("lead L", lped, lv, 0.19);
    let neutral = c.add_resistance("lead N", nv, nped, 0.19);
    let earth = c.add_resistance("lead PE", pev, peped, 0.19);
    c.add_resistance("n supply", nped, REFERENCE, 0.2);
    c.add_resistance("pe supply", peped, REFERENCE, 0.2);
    c.add_resistance("bond", nv, pev, 0.01);
    c.add_resistance("heater", lv, nv, 35.266_666_67);
    let point = phasor_point(&c).unwrap();
    for (what, branch, ampere) in
        [("line", line, 6.405_947), ("neutral", neutral, 3.243_518), ("earth", earth, 3.162_430)]
    {
        assert_close(what, point.current(branch).norm(), ampere, 2e-7, 0.0);
    }
}

/// A generated supply with lead, two to five appliances with reactance and leakage, and by the
/// seed: a second bond, a lost earth, split phase, a person.
fn three_wire(seed: u64) -> AcCircuit {
    let mut draw = Draw(seed * 2 + 1);
    let split = seed.is_multiple_of(3);
    let hertz = if split { 60.0 } else { 50.0 };
    let mut c = AcCircuit::new("soil", hertz);
    let star = c.add_node("star");
    c.add_resistance("electrode", star, REFERENCE, draw.between(0.5, 20.0));
    let [n, pe] = ["N", "PE"].map(|name| c.add_node(name));
    let legs: Vec<NodeId> = (0..if split { 2 } else { 1 })
        .map(|leg| {
            let volt = if split { real(120.0 - 240.0 * leg as f64) } else { real(230.0) };
            let behind = c.add_node(format!("source {leg}"));
            let node = c.add_node(format!("L{leg}"));
            c.add(format!("V{leg}"), AcElement::Source { plus: behind, minus: star, volt });
            let ohm = Complex::new(draw.between(0.1, 0.5), draw.between(0.01, 0.3));
            c.add(format!("lead L{leg}"), AcElement::Impedance { a: behind, b: node, ohm });
            node
        })
        .collect();
    c.add_resistance("lead N", n, star, draw.between(0.1, 0.6));
    let earth_ohm = if seed % 4 == 1 { 2e5 } else { draw.between(0.1, 0.6) };
    c.add_resistance("lead PE", pe, star, earth_ohm);
    if seed.is_multiple_of(2) {
        c.add_resistance("second bond", n, pe, draw.between(0.005, 0.1));
    }
    for k in 0..2 + seed % 4 {
        let leg = legs[(k as usize) % legs.len()];
        let ohm = Complex::new(draw.between(15.0, 400.0), draw.between(-60.0, 60.0));
        c.add(format!("appliance {k}"), AcElement::Impedance { a: leg, b: n, ohm });
        let leak = Complex::new(0.0, -draw.between(4e4, 4e5));
        c.add(format!("leak {k}"), AcElement::Impedance { a: leg, b: pe, ohm: leak });
    }
    c.add_resistance("person", pe, REFERENCE, 1000.0);
    c
}

#[test]
fn sixty_three_wire_networks_give_the_same_voltages_in_ngspice() {
    for seed in 0..NETWORKS {
        let circuit = three_wire(seed);
        let point = phasor_point(&circuit).unwrap();
        let spice = ngspice(&ac_netlist(&circuit, "three wires"), &format!("ac{seed}"));
        for node in (1..circuit.node_count() as u32).map(NodeId) {
            let ours = point.voltage(node).unwrap();
            let theirs =
                Complex::new(spice[&format!("re_n{}", node.0)], spice[&format!("im_n{}", node.0)]);
            let miss = (ours - theirs).norm();
            assert!(
                miss <= PART * theirs.norm() + 1e-9,
                "seed {seed}, {}: ours {ours}, ngspice {theirs}",
                circuit.node_name(node)
            );
        }
    }
}

/// Resistance and coil in series on 230 V: `I = U / (R + jX)`, here 230 / (30 + j40) = 4.6 A at
/// -53.13 degrees (the 3-4-5 triangle).
#[test]
fn a_coil_turns_the_current_by_its_angle() {
    let mut c = AcCircuit::new("0", 50.0);
    let [top, middle] = ["top", "middle"].map(|name| c.add_node(name));
    source(&mut c, "u", top, real(230.0));
    let r = c.add_resistance("r", top, middle, 30.0);
    c.add("x", AcElement::Impedance { a: middle, b: REFERENCE, ohm: Complex::new(0.0, 40.0) });
    let (size, angle) = phasor_point(&c).unwrap().current(r).to_polar();
    assert_close("current", size, 4.6, 1e-12, 0.0);
    assert_close("angle", angle, -(4.0_f64 / 3.0).atan(), 1e-12, 0.0);
}

/// Split phase 120/240 V without neutral: two appliances in series on 240 V divide it by their
/// resistances. 12 ohm (1200 W) and 36 ohm (400 W): 60 V and 180 V.
#[test]
fn a_lost_neutral_divides_240_volts_over_the_appliances() {
    let mut c = AcCircuit::new("star", 60.0);
    let [l1, l2, n] = ["L1", "L2", "N"].map(|name| c.add_node(name));
    source(&mut c, "leg 1", l1, real(120.0));
    source(&mut c, "leg 2", l2, real(-120.0));
    c.add_resistance("1200 W", l1, n, 12.0);
    c.add_resistance("400 W", l2, n, 36.0);
    let point = phasor_point(&c).unwrap();
    assert_close("strong", point.between(l1, n).unwrap().norm(), 60.0, 1e-12, 0.0);
    assert_close("weak", point.between(l2, n).unwrap().norm(), 180.0, 1e-12, 0.0);
}

/// A pedestal whose earth contact had only a rod, as a field report gives it: N-L1 120 V, N-L2
/// 118 V, G-N 22 V, and G-L1 143 V, G-L2 93 V. With the 22 V in phase with leg 2 the sums are
/// 142 V and 96 V; the meter agrees within 3.2 %.
#[test]
fn a_rod_alone_lets_the_earth_contact_drift_as_measured_at_a_pedestal() {
    let mut c = AcCircuit::new("soil", 60.0);
    let [l1, l2, g] = ["L1", "L2", "G"].map(|name| c.add_node(name));
    source(&mut c, "leg 1", l1, real(120.0));
    source(&mut c, "leg 2", l2, real(-118.0));
    // The leak that puts 22 V on a rod of 100 ohm: (118 - 22)/22 of the rod's resistance.
    c.add_resistance("rod", g, REFERENCE, 100.0);
    c.add_resistance("leak", l2, g, 100.0 * 96.0 / 22.0);
    let point = phasor_point(&c).unwrap();
    let volt = |a, b| point.between(a, b).unwrap().norm();
    assert_close("G-N", volt(g, REFERENCE), 22.0, 1e-12, 0.0);
    for (what, a, sum, measured) in [("G-L1", l1, 142.0, 143.0), ("G-L2", l2, 96.0, 93.0)] {
        assert_close(what, volt(g, a), sum, 1e-12, 0.0);
        assert_close(what, volt(g, a), measured, 0.033, 0.0);
    }
}

#[test]
fn a_winding_joined_to_nothing_floats_and_is_not_at_zero() {
    let mut c = AcCircuit::new("soil", 50.0);
    let [l, n, pe] = ["L", "N", "PE"].map(|name| c.add_node(name));
    c.add("winding", AcElement::Source { plus: l, minus: n, volt: real(230.0) });
    c.add_resistance("heater", l, n, 53.0);
    c.add_resistance("rod", pe, REFERENCE, 50.0);
    let point = phasor_point(&c).unwrap();
    assert_eq!(point.voltage(l), None);
    assert_eq!(point.between(l, pe), None);
    assert_close("L-N", point.between(l, n).unwrap().norm(), 230.0, 1e-12, 0.0);
}

#[test]
fn ideal_sources_in_parallel_contradict() {
    let mut c = AcCircuit::new("0", 50.0);
    let l = c.add_node("L");
    source(&mut c, "shore", l, real(230.0));
    source(&mut c, "inverter", l, real(225.0));
    assert_eq!(phasor_point(&c), Err(PhasorTrouble::Contradiction));
}

#[test]
fn power_taken_is_power_delivered() {
    for seed in 0..NETWORKS {
        let circuit = three_wire(seed);
        let point = phasor_point(&circuit).unwrap();
        let delivered: f64 = powers(&circuit, &point).filter(|p| *p < 0.0).sum();
        assert!(point.imbalance_va <= 1e-9 * delivered.abs(), "seed {seed}");
    }
}

fn powers<'a>(circuit: &'a AcCircuit, point: &'a PhasorPoint) -> impl Iterator<Item = f64> + 'a {
    circuit.branches().map(|(id, branch)| {
        let (a, b) = branch.element.ends();
        (point.between(a, b).unwrap() * point.current(id).conj()).re
    })
}

/// The order in which nodes and branches are written down changes no voltage.
#[test]
fn other_labels_give_the_same_network() {
    for seed in 0..NETWORKS {
        let circuit = three_wire(seed);
        let mut other = AcCircuit::new("soil", circuit.hertz());
        let count = circuit.node_count() as u32;
        for node in (1..count).rev() {
            other.add_node(circuit.node_name(NodeId(node)));
        }
        let moved = |node: NodeId| NodeId(if node.0 == 0 { 0 } else { count - node.0 });
        let branches: Vec<_> = circuit.branches().map(|(_, branch)| branch.clone()).collect();
        for branch in branches.iter().rev() {
            let element = match branch.element {
                AcElement::Impedance { a, b, ohm } => {
                    AcElement::Impedance { a: moved(b), b: moved(a), ohm }
                }
                AcElement::Source { plus, minus, volt } => {
                    AcElement::Source { plus: moved(minus), minus: moved(plus), volt: -volt }
                }
            };
            other.add(branch.name.clone(), element);
        }
        let (first, second) = (phasor_point(&circuit).unwrap(), phasor_point(&other).unwrap());
        for node in (1..count).map(NodeId) {
            let miss = (first.voltage(node).unwrap() - second.voltage(moved(node)).unwrap()).norm();
            assert!(miss < 1e-9, "seed {seed}, node {node:?}: {miss:e}");
        }
    }
}

/// Reciprocity: a source in branch one sends through branch two what it would send from there
/// through branch one (linear passive networks; any textbook of circuit theory).
#[test]
fn source_and_ammeter_may_change_places() {
    let build = |feed: usize| {
        let mut c = AcCircuit::new("0", 50.0);
        let [a, b, m] = ["a", "b", "m"].map(|name| c.add_node(name));
        let volts = [if feed == 0 { 100.0 } else { 0.0 }, if feed == 1 { 100.0 } else { 0.0 }];
        let first = source(&mut c, "one", a, real(volts[0]));
        let second = source(&mut c, "two", b, real(volts[1]));
        c.add("za", AcElement::Impedance { a, b: m, ohm: Complex::new(3.0, 4.0) });
        c.add("zb", AcElement::Impedance { a: b, b: m, ohm: Complex::new(7.0, -2.0) });
        c.add("zm", AcElement::Impedance { a: m, b: REFERENCE, ohm: Complex::new(1.0, 9.0) });
        let point = phasor_point(&c).unwrap();
        point.current(if feed == 0 { second } else { first })
    };
    assert!((build(0) - build(1)).norm() < 1e-12 * build(0).norm());
}

/// Numbers that look drawn at random and never change (Knuth's MMIX constants, from memory).
struct Draw(u64);

impl Draw {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }
}
