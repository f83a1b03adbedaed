//! Laws that hold for every circuit: Kirchhoff, reciprocity, superposition, power balance, and
//! agreement with `rsparse`, a general sparse solver of independent origin.

use circuit::{Circuit, Element, NodeId, REFERENCE};
use proptest::prelude::*;
use solve::{OperatingPoint, Options, Outcome, Trouble, operating_point, settle};

use crate::support::known;
use crate::van::van;

/// Chains of loads tried.
const TRIALS: usize = 500;

/// A connected resistor network: a random tree to the reference and some chords.
#[derive(Clone, Debug)]
struct Mesh {
    nodes: usize,
    resistors: Vec<(usize, usize, f64)>,
}

fn mesh() -> impl Strategy<Value = Mesh> {
    let edge = (any::<prop::sample::Index>(), any::<prop::sample::Index>(), -3.0..4.0_f64);
    (3..25_usize, prop::collection::vec(edge, 25..60)).prop_map(|(nodes, edges)| {
        let mut resistors = Vec::new();
        for (k, (a, b, decade)) in edges.into_iter().enumerate() {
            let ohm = 10_f64.powf(decade);
            if k + 1 < nodes {
                // Node k + 1 hangs on some earlier node.
                resistors.push((k + 1, a.index(k + 1), ohm));
            } else {
                resistors.push((a.index(nodes), b.index(nodes), ohm));
            }
        }
        Mesh { nodes, resistors }
    })
}

impl Mesh {
    /// The network with currents pushed from the reference into nodes.
    fn pushed(&self, pushes: &[(usize, f64)]) -> Circuit {
        let mut circuit = Circuit::new("0");
        for k in 1..self.nodes {
            circuit.add_node(format!("n{k}"));
        }
        let id = |k: usize| NodeId(k as u32);
        for (k, &(a, b, ohm)) in self.resistors.iter().enumerate() {
            circuit.add(format!("r{k}"), Element::Resistor { a: id(a), b: id(b), ohm });
        }
        for &(node, ampere) in pushes {
            circuit.add("push", Element::Current { from: REFERENCE, to: id(node), ampere });
        }
        circuit
    }

    /// What two solutions of this network in double precision may differ by, relative to the largest
    /// voltage: nodes × unit roundoff × ratio of the extreme resistances. The ratio bounds the
    /// condition number of a conductance matrix but for a factor of the size, and the error of
    /// Gaussian elimination follows that number (Higham, Accuracy and Stability of Numerical
    /// Algorithms, 2nd ed. 2002, theorem 9.4 and section 7.1; cited from memory). `rsparse` differs
    /// from itself by as much when the unit changes: 2.4e-9 where the ratio is 3.9e6.
    fn accuracy(&self) -> f64 {
        let (least, most) = self.extreme_ohms();
        self.nodes as f64 * f64::EPSILON * most / least
    }

    fn extreme_ohms(&self) -> (f64, f64) {
        let ohms = self.resistors.iter().map(|&(.., ohm)| ohm);
        ohms.fold((f64::MAX, 0.0), |(least, most), ohm| (least.min(ohm), most.max(ohm)))
    }

    fn solved(&self, pushes: &[(usize, f64)]) -> OperatingPoint {
        operating_point(&self.pushed(pushes), &Options::default()).unwrap()
    }

    fn volts(&self, pushes: &[(usize, f64)]) -> Vec<f64> {
        let point = self.solved(pushes);
        (0..self.nodes).map(|k| known(&point, NodeId(k as u32))).collect()
    }

    /// Node voltages by `rsparse` on the conductance matrix, assembled here.
    fn volts_by_rsparse(&self, pushes: &[(usize, f64)]) -> Vec<f64> {
        let size = self.nodes - 1;
        let mut matrix = rsparse::data::Trpl::new();
        matrix.m = size;
        matrix.n = size;
        for &(a, b, ohm) in &self.resistors {
            for (row, col, sign) in [(a, a, 1.0), (b, b, 1.0), (a, b, -1.0), (b, a, -1.0)] {
                if row > 0 && col > 0 && a != b {
                    matrix.append(row - 1, col - 1, sign / ohm);
                }
            }
        }
        matrix.sum_dupl();
        let mut volts = vec![0.0; size];
        for &(node, ampere) in pushes {
            volts[node - 1] += ampere;
        }
        rsparse::lusol(&matrix.to_sprs(), &mut volts, 1, 1e-6).unwrap();
        std::iter::once(0.0).chain(volts).collect()
    }
}

/// The same circuit with batteries that accept so many times less than they can deliver.
fn with_full_batteries(mut circuit: Circuit, times: f64) -> Circuit {
    let ids: Vec<_> = circuit.branches().map(|(id, _)| id).collect();
    for id in ids {
        if let Element::Battery { discharge_ohm, charge_ohm, .. } =
            &mut circuit.branch_mut(id).element
        {
            *charge_ohm = times * *discharge_ohm;
        }
    }
    circuit
}

fn largest(values: &[f64]) -> f64 {
    values.iter().fold(f64::MIN_POSITIVE, |m, v| m.max(v.abs()))
}

/// Currents summed from the element equations, at every node.
fn imbalance(circuit: &Circuit, point: &OperatingPoint) -> (f64, f64) {
    let mut net = vec![0.0; circuit.node_count()];
    let mut most = 0.0_f64;
    for (id, branch) in circuit.branches() {
        let nodes = branch.element.nodes();
        let flows = [point.current(id), -point.output_current(id).unwrap_or(0.0)];
        for (ends, ampere) in nodes.chunks(2).zip(flows) {
            net[ends[0].0 as usize] -= ampere;
            net[ends[1].0 as usize] += ampere;
            most = most.max(ampere.abs());
        }
    }
    (largest(&net), most)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..Default::default() })]

    #[test]
    fn resistor_networks_agree_with_rsparse(mesh in mesh(), at in 1..3_usize, ampere in 0.001..100.0_f64) {
        let pushes = [(at, ampere), (mesh.nodes - 1, -0.3 * ampere)];
        let (ours, theirs) = (mesh.volts(&pushes), mesh.volts_by_rsparse(&pushes));
        let size = largest(&theirs);
        for (a, b) in ours.iter().zip(&theirs) {
            prop_assert!((a - b).abs() <= mesh.accuracy() * size, "{} {}", a, b);
        }
    }

    #[test]
    fn what_one_node_does_to_another_it_suffers_from_it(mesh in mesh()) {
        let (p, q) = (1, mesh.nodes - 1);
        let (by_p, by_q) = (mesh.volts(&[(p, 1.0)]), mesh.volts(&[(q, 1.0)]));
        let size = largest(&by_p).max(largest(&by_q));
        prop_assert!((by_p[q] - by_q[p]).abs() <= mesh.accuracy() * size, "{} {}", by_p[q], by_q[p]);
    }

    #[test]
    fn two_sources_act_as_the_sum_of_each_alone(mesh in mesh(), a in -50.0..50.0_f64, b in -50.0..50.0_f64) {
        let (p, q) = (1, mesh.nodes - 1);
        let both = mesh.volts(&[(p, a), (q, b)]);
        let (first, second) = (mesh.volts(&[(p, a)]), mesh.volts(&[(q, b)]));
        let size = largest(&first).max(largest(&second));
        for k in 0..mesh.nodes {
            prop_assert!((both[k] - first[k] - second[k]).abs() <= mesh.accuracy() * size);
        }
    }

    #[test]
    fn currents_balance_at_every_node_and_power_overall(mesh in mesh(), ampere in 0.001..100.0_f64) {
        let pushes = [(1, ampere)];
        let point = mesh.solved(&pushes);
        // Each resistor leaves a roundoff of what the best conductor would carry at the largest
        // voltage where it is eliminated, and one of the largest current where it is summed.
        let (net, most) = imbalance(&mesh.pushed(&pushes), &point);
        let best = largest(&mesh.volts(&pushes)) / mesh.extreme_ohms().0;
        let residue = mesh.resistors.len() as f64 * f64::EPSILON * (best + most.max(ampere));
        prop_assert!(net <= residue, "{} of {}", net, residue);
        let heat_w: f64 = (0..mesh.resistors.len() as u32).map(|k| point.power(circuit::BranchId(k))).sum();
        let pushed_w = ampere * known(&point, NodeId(1));
        prop_assert!((heat_w - pushed_w).abs() <= mesh.accuracy() * pushed_w.abs());
    }

    #[test]
    fn another_unit_of_voltage_or_resistance_changes_no_physics(mesh in mesh(), scale in -2.0..2.0_f64) {
        // In units of s ohm, the same amperes give volts that are s times as many.
        let by = 10_f64.powf(scale);
        let resistors = mesh.resistors.iter().map(|&(a, b, ohm)| (a, b, by * ohm)).collect();
        let scaled = Mesh { nodes: mesh.nodes, resistors };
        let pushes = [(1, 2.0), (mesh.nodes - 1, -0.5)];
        let (ours, theirs) = (mesh.volts(&pushes), scaled.volts(&pushes));
        let size = largest(&ours);
        for (a, b) in ours.iter().zip(&theirs) {
            prop_assert!((a - b / by).abs() <= mesh.accuracy() * size, "{} {}", a, b);
        }
    }

    #[test]
    fn other_names_and_another_order_change_no_physics(mesh in mesh()) {
        // Nodes numbered from the other end (the reference stays), branches written backwards.
        let other = |k: usize| if k == 0 { 0 } else { mesh.nodes - k };
        let resistors = mesh.resistors.iter().rev().map(|&(a, b, ohm)| (other(b), other(a), ohm));
        let renamed = Mesh { nodes: mesh.nodes, resistors: resistors.collect() };
        let ours = mesh.volts(&[(1, 2.0)]);
        let theirs = renamed.volts(&[(other(1), 2.0)]);
        let size = largest(&ours);
        for k in 0..mesh.nodes {
            prop_assert!((ours[k] - theirs[other(k)]).abs() <= mesh.accuracy() * size);
        }
    }

    #[test]
    fn raising_a_resistance_never_lowers_what_a_source_sees(mesh in mesh(), at in any::<prop::sample::Index>(), more in 0.01..100.0_f64) {
        // Rayleigh's monotonicity law.
        let mut raised = mesh.clone();
        let at = at.index(mesh.resistors.len());
        raised.resistors[at].2 *= 1.0 + more;
        let node = mesh.nodes - 1;
        let (was, is) = (mesh.volts(&[(node, 1.0)])[node], raised.volts(&[(node, 1.0)])[node]);
        prop_assert!(is >= was * (1.0 - raised.accuracy().max(mesh.accuracy())), "{} {}", was, is);
    }

    #[test]
    fn every_generated_van_has_an_operating_point(
        seed in any::<u64>(),
        circuits in 0..30_u32,
        decade in 0.0..3.5_f64,
    ) {
        let circuit = with_full_batteries(van(circuits, seed), 10_f64.powf(decade));
        let point = operating_point(&circuit, &Options::default());
        let point = point.map_err(|t| TestCaseError::fail(t.to_string()))?;
        let (net, most) = imbalance(&circuit, &point);
        prop_assert!(net <= 1e-8 * most, "{} of {}", net, most);
        let total_w: f64 = circuit.branches().map(|(id, _)| point.power(id)).sum();
        prop_assert!(total_w.abs() <= 1e-8 * point.delivered_w, "{}", total_w);
    }

    #[test]
    fn a_van_with_any_one_resistance_gone_bad_is_still_answered(
        seed in any::<u64>(),
        at in any::<prop::sample::Index>(),
        decade in -7.0..9.0_f64,
    ) {
        let mut circuit = van(8, seed);
        let resistors: Vec<_> = circuit
            .branches()
            .filter(|(_, b)| matches!(b.element, Element::Resistor { .. }))
            .map(|(id, _)| id)
            .collect();
        let victim = resistors[at.index(resistors.len())];
        if let Element::Resistor { ohm, .. } = &mut circuit.branch_mut(victim).element {
            *ohm = 10_f64.powf(decade);
        }
        match settle(&circuit) {
            Outcome::Settled(_) | Outcome::Hunts { .. } => {}
            Outcome::Trouble(trouble) => prop_assert!(false, "{}: {}", circuit.branch(victim).name, trouble),
        }
    }

    #[test]
    fn the_same_circuit_gives_the_same_bits(seed in any::<u64>()) {
        let circuit = van(5, seed);
        prop_assert_eq!(settle(&circuit), settle(&circuit));
    }

    #[test]
    fn loads_that_ask_for_anything_never_bring_a_panic(
        watts in prop::collection::vec(-500.0..5000.0_f64, 1..8),
        ohms in prop::collection::vec(-4.0..1.0_f64, 8),
    ) {
        let mut circuit = Circuit::new("0");
        let mut last = circuit.add_node("source");
        circuit.add("battery", Element::Voltage { plus: last, minus: REFERENCE, volt: 12.8 });
        for (watt, decade) in watts.iter().zip(&ohms) {
            let next = circuit.add_node("tap");
            circuit.add("wire", Element::Resistor { a: last, b: next, ohm: 10_f64.powf(*decade) });
            let load = Element::ConstantPower { plus: next, minus: REFERENCE, watt: *watt, cut_out_v: 10.0 };
            circuit.add("load", load);
            last = next;
        }
        match operating_point(&circuit, &Options::default()) {
            Ok(_) | Err(Trouble::NoOperatingPoint { .. }) => {}
            Err(other) => prop_assert!(false, "{}", other),
        }
    }
}

/// Chains of loads that only take power always have an operating point: every characteristic is
/// continuous and bounded. Counts how often one is found.
#[test]
fn chains_of_greedy_loads_are_always_answered() {
    let mut state = 1_u64;
    let mut draw = |low: f64, high: f64| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((state >> 11) as f64 / (1_u64 << 53) as f64)
    };
    let mut unanswered = Vec::new();
    for trial in 0..TRIALS {
        let mut circuit = Circuit::new("0");
        let mut last = circuit.add_node("source");
        circuit.add("battery", Element::Voltage { plus: last, minus: REFERENCE, volt: 12.8 });
        for _ in 0..1 + trial % 8 {
            let next = circuit.add_node("tap");
            let ohm = 10_f64.powf(draw(-4.0, 1.0));
            circuit.add("wire", Element::Resistor { a: last, b: next, ohm });
            let (watt, cut_out_v) = (draw(0.0, 900.0), draw(6.0, 11.0));
            let load = Element::ConstantPower { plus: next, minus: REFERENCE, watt, cut_out_v };
            circuit.add("load", load);
            last = next;
        }
        if operating_point(&circuit, &Options::default()).is_err() {
            unanswered.push(trial);
        }
    }
    assert!(unanswered.is_empty(), "{} of {TRIALS}: {unanswered:?}", unanswered.len());
}
