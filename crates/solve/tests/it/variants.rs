//! Every variant found by an update equals a full solve of the changed circuit: on the check
//! networks, on the 200-node tree, and on generated vans. The full solve is the reference here; it
//! is itself held against ngspice, numpy and printed answers by the other tests of this crate.
//! A few variants have exact fractions, given beside them.

use circuit::{Change, Circuit, Element, NodeId, Parameter, REFERENCE};
use solve::variants::{Answer, How, VariantTrouble, Variants};
use solve::{NodeVoltage, OperatingPoint, Options, Outcome, Trouble, operating_point, settle};

use crate::support::{Named, assert_close, check_networks};
use crate::tree::tree;
use crate::van::van;

/// Voltages agree to this part of the highest voltage of the circuit (at least 1 V). The full
/// solve itself is not better behind megohms: in net n11b without its lamp, 12.8 V stand at the open
/// end of 2.2 megohm exactly, and it gives 12.800000023 V (an imbalance of 1e-14 A).
const PART: f64 = 5e-9;
const VANS: u64 = 200;

/// Compares an answer with the point of the changed circuit.
#[track_caller]
fn compare(
    what: &str,
    circuit: &Circuit,
    changed: &Circuit,
    answer: &Answer,
    full: &OperatingPoint,
) {
    let nodes = || (0..circuit.node_count() as u32).map(NodeId);
    let known = |node| match full.voltage(node) {
        NodeVoltage::Known(volt) => volt.abs(),
        NodeVoltage::Floating { .. } => 0.0,
    };
    let highest_v = nodes().map(known).fold(1.0, f64::max);
    let what = format!("{what} ({:?})", answer.how());
    for node in nodes() {
        match (answer.voltage(node), full.voltage(node)) {
            (NodeVoltage::Known(ours), NodeVoltage::Known(theirs)) => {
                let what = format!("{what}: V({})", circuit.node_name(node));
                assert_close(&what, ours, theirs, 0.0, PART * highest_v);
            }
            (NodeVoltage::Floating { island: ours }, NodeVoltage::Floating { island: theirs }) => {
                // What a change adds has nodes of its own, but only behind those of the circuit.
                assert_eq!(ours, theirs, "{what}: {}", circuit.node_name(node));
                let root = NodeId(ours);
                let (a, b) = (answer.between(node, root), full.between(node, root));
                assert_close(&what, a.unwrap(), b.unwrap(), 0.0, PART * highest_v);
            }
            (ours, theirs) => panic!("{what}: {} {ours:?} {theirs:?}", circuit.node_name(node)),
        }
    }
    for (id, branch) in circuit.branches() {
        let what = format!("{what}: I({})", branch.name);
        // A voltage that is off by so much shifts the current by as much over the resistance.
        let siemens = steepest_s(&changed.branch(id).element).max(1.0);
        let allowed_a = PART * highest_v * siemens.min(1e3);
        assert_close(&what, answer.current(id), full.current(id), 1e-7, allowed_a);
        if let (Some(ours), Some(theirs)) = (answer.output_current(id), full.output_current(id)) {
            assert_close(&what, ours, theirs, 1e-7, allowed_a);
        }
    }
    let mut off = full.cut_out.clone();
    off.extend(&full.collapsed);
    off.sort();
    assert_eq!(answer.off(), off, "{what}: off");
    assert_eq!(answer.guards(), full.guards, "{what}: guards");
    assert_eq!(answer.blind_guards(), full.blind_guards, "{what}: blind guards");
}

fn steepest_s(element: &Element) -> f64 {
    match *element {
        Element::Resistor { ohm, .. } => 1.0 / ohm,
        Element::Motor { armature_ohm, .. } => 1.0 / armature_ohm,
        Element::Battery { discharge_ohm, charge_ohm, .. } => 1.0 / discharge_ohm.min(charge_ohm),
        Element::LimitedSource { droop_ohm, .. }
        | Element::PowerSource { droop_ohm, .. }
        | Element::Converter { droop_ohm, .. } => 1.0 / droop_ohm,
        _ => 1.0,
    }
}

/// Solves a variant both ways, at the guards' start and settled, and compares.
#[track_caller]
fn check(variants: &mut Variants, changes: &[Change]) {
    let circuit = variants.circuit().clone();
    let changed = circuit.changed(changes).unwrap();
    let what = format!("{changes:?}");
    match (variants.solve(changes), operating_point(&changed, &Options::default())) {
        (Ok(answer), Ok(full)) => compare(&what, &circuit, &changed, &answer, &full),
        (Err(VariantTrouble::Trouble(ours)), Err(theirs)) => {
            assert_eq!(std::mem::discriminant(&ours), std::mem::discriminant(&theirs), "{what}");
        }
        (ours, theirs) => {
            panic!("{what}: {:?} against {:?}", ours.map(|a| a.how()), theirs.map(|p| p.cut_out))
        }
    }
    let full = settle(&changed);
    if !circuit.guards().is_empty() {
        settled(&what, &circuit, &changed, variants.settle(changes).unwrap(), &full);
    }
    if let Some(quick) = variants.settle_by_updates(changes).unwrap() {
        settled(&what, &circuit, &changed, quick, &full);
    }
}

/// Compares how a variant comes to rest with how the changed circuit does.
#[track_caller]
fn settled(
    what: &str,
    circuit: &Circuit,
    changed: &Circuit,
    ours: Outcome<Answer>,
    theirs: &Outcome,
) {
    match (ours, theirs) {
        (Outcome::Settled(ours), Outcome::Settled(theirs)) => {
            compare(what, circuit, changed, &ours, theirs);
        }
        (
            Outcome::Hunts { between: ours, guards: our_guards },
            Outcome::Hunts { between: theirs, guards: their_guards },
        ) => {
            assert_eq!(our_guards, *their_guards, "{what}");
            assert_eq!(ours.len(), theirs.len(), "{what}");
            for (ours, theirs) in ours.iter().zip(theirs) {
                compare(what, circuit, changed, ours, theirs);
            }
        }
        (Outcome::Trouble(ours), Outcome::Trouble(theirs)) => {
            assert_eq!(std::mem::discriminant(&ours), std::mem::discriminant(theirs), "{what}");
        }
        _ => panic!("{what}: one settles, the other does not"),
    }
}

/// Numbers that look drawn at random and never change (Knuth's MMIX congruence, from memory).
struct Draw(u64);

impl Draw {
    fn below(&mut self, count: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % count
    }

    fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())]
    }
}

/// Every kind of change on every branch.
fn singles(circuit: &Circuit, draw: &mut Draw) -> Vec<Change> {
    let nodes = circuit.node_count();
    let mut changes = Vec::new();
    for (branch, b) in circuit.branches() {
        changes.push(Change::Open(branch));
        changes.push(Change::Series { branch, ohm: draw.pick(&[0.02, 0.2, 1.0, 5.0, 50.0]) });
        changes.push(Change::Reverse(branch));
        let on = NodeId(draw.below(nodes) as u32);
        changes.push(Change::Land { branch, terminal: draw.below(2), on });
        let ends = b.element.nodes();
        let ohm = draw.pick(&[0.001, 0.05, 2.0]);
        changes.push(Change::Join { a: ends[0], b: REFERENCE, ohm });
        let other = NodeId(draw.below(nodes) as u32);
        changes.push(Change::Join { a: ends[1], b: other, ohm });
        let numbers = b.element.parameters();
        let (parameter, value) = draw.pick(&numbers);
        let value = match parameter {
            Parameter::Efficiency => 0.7,
            _ => value * draw.pick(&[0.5, 0.9, 1.1, 2.0]),
        };
        changes.push(Change::Set { branch, parameter, value });
    }
    changes
}

#[test]
fn single_and_double_changes_of_the_check_networks_equal_full_solves() {
    let mut draw = Draw(11);
    for network in check_networks() {
        let circuit = network.named.circuit;
        let singles = singles(&circuit, &mut draw);
        let mut variants = Variants::new(circuit).unwrap();
        check(&mut variants, &[]);
        for change in &singles {
            check(&mut variants, &[*change]);
        }
        for _ in 0..150 {
            check(&mut variants, &[draw.pick(&singles), draw.pick(&singles)]);
        }
        for _ in 0..30 {
            let three = [draw.pick(&singles), draw.pick(&singles), draw.pick(&singles)];
            check(&mut variants, &three);
        }
    }
}

#[test]
fn changes_of_the_200_node_tree_equal_full_solves() {
    let circuit = tree();
    let mut draw = Draw(5);
    let singles = singles(&circuit, &mut draw);
    let mut variants = Variants::new(circuit).unwrap();
    for change in &singles {
        check(&mut variants, &[*change]);
    }
    for _ in 0..600 {
        check(&mut variants, &[draw.pick(&singles), draw.pick(&singles)]);
    }
}

#[test]
fn changes_of_two_hundred_vans_equal_full_solves() {
    let (mut updates, mut full) = (0, 0);
    for seed in 0..VANS {
        let circuit = van(4 + (seed as u32 % 24), seed);
        let mut draw = Draw(seed);
        let singles = singles(&circuit, &mut draw);
        let mut variants = Variants::new(circuit).unwrap();
        for _ in 0..8 {
            check(&mut variants, &[draw.pick(&singles)]);
        }
        for _ in 0..4 {
            check(&mut variants, &[draw.pick(&singles), draw.pick(&singles)]);
        }
        updates += variants.counts().updates;
        full += variants.counts().full_solves();
    }
    assert!(full * 4 < updates, "{full} of {} points needed a full solve", updates + full);
}

/// A 12 V source behind 0.1 ohm, 2 ohm to the reference, 0.1 ohm on, 4 ohm to the reference.
fn fractions() -> Named {
    Named::from_lines(["V e s 0 12", "R r1 s a 0.1", "R r2 a 0 2", "R r3 a b 0.1", "R r4 b 0 4"])
}

#[test]
fn single_and_double_faults_of_a_ladder_are_exact_fractions() {
    // Worked in exact fractions by hand from the node equations.
    let net = fractions();
    let [a, b] = ["a", "b"].map(|n| net.nodes[n]);
    let [r2, r3] = ["r2", "r3"].map(|n| net.branch(n));
    let mut variants = Variants::new(net.circuit).unwrap();
    let worse = Change::Series { branch: r3, ohm: 1.0 };
    let cases: [(&[Change], f64, f64); 5] = [
        (&[], 9840.0 / 881.0, 9600.0 / 881.0),
        (&[worse], 12240.0 / 1091.0, 9600.0 / 1091.0),
        (&[Change::Series { branch: r3, ohm: 0.1 }], 5040.0 / 451.0, 4800.0 / 451.0),
        (&[Change::Open(r3)], 80.0 / 7.0, 0.0),
        (&[worse, Change::Open(r2)], 153.0 / 13.0, 120.0 / 13.0),
    ];
    for (changes, at_a, at_b) in cases {
        let answer = variants.solve(changes).unwrap();
        assert!(matches!(answer.how(), How::Update { .. }), "{changes:?}");
        assert_close("a", answer.between(a, REFERENCE).unwrap(), at_a, 1e-13, 0.0);
        assert_close("b", answer.between(b, REFERENCE).unwrap(), at_b, 1e-13, 1e-13);
    }
    assert_eq!(variants.counts().full_solves(), 0);
}

#[test]
fn what_two_opened_joints_cut_off_floats_and_is_not_called_zero() {
    let net = Named::from_lines(["V e s 0 12", "R in s a 0.1", "R load a b 4", "R out b 0 0.1"]);
    let [a, b] = ["a", "b"].map(|n| net.nodes[n]);
    let opens = ["in", "out"].map(|n| Change::Open(net.branch(n)));
    let mut variants = Variants::new(net.circuit).unwrap();
    let answer = variants.solve(&opens).unwrap();
    assert!(matches!(answer.how(), How::Update { .. }));
    assert!(matches!(answer.voltage(a), NodeVoltage::Floating { .. }));
    assert_eq!(answer.between(a, REFERENCE), None);
    assert_close("load", answer.between(a, b).unwrap(), 0.0, 0.0, 1e-12);
}

/// A converter whose feed is open: 12 V behind 10 megohm. Opening things elsewhere is an update, with
/// the converter off; closing its feed is not, and both equal the full solve.
#[test]
fn a_converter_without_feed_stays_off_and_costs_no_full_solve() {
    let net = Named::from_lines([
        "V e s 0 12",
        "R feed s in 1e7",
        "R load s m 2",
        "R back m 0 0.1",
        "R aux out 0 5",
        "DCDC converter in 0 out 0 5 0.01 2 0.9 0.5",
    ]);
    let converter = net.branch("converter");
    let branches = ["feed", "load", "back", "aux"].map(|name| net.branch(name));
    let mut variants = Variants::new(net.circuit).unwrap();
    check(&mut variants, &[]);
    for branch in branches.into_iter().chain([converter]) {
        check(&mut variants, &[Change::Open(branch)]);
        check(&mut variants, &[Change::Open(branch), Change::Open(branches[1])]);
    }
    assert_eq!(variants.counts().full_solves(), 0);
    let closed = [Change::Set { branch: branches[0], parameter: Parameter::Ohm, value: 0.1 }];
    check(&mut variants, &closed);
    assert!(matches!(variants.solve(&closed).unwrap().how(), How::Full(_)));
    assert!(!variants.solve(&closed).unwrap().off().contains(&converter));
    assert!(variants.solve(&[]).unwrap().off().contains(&converter));
}

/// A poor contact of 10 ohm lets through 12^2/(4 x 10) = 3.6 W, and the converter asks 5/0.9 + 0.5 W:
/// it loses its feed, which only a full solve tells. Wherever in its feed the contact is, it is the
/// same to the converter, so one full solve is enough, and each answer equals its own full solve.
#[test]
fn a_poor_contact_anywhere_in_one_line_costs_one_full_solve() {
    let net = Named::from_lines([
        "V e s 0 12",
        "R load s 0 6",
        "R f1 s p 0.01",
        "R f2 p q 0.02",
        "R f3 q in 0.03",
        "R aux out 0 5",
        "DCDC converter in 0 out 0 5 0.01 2 0.9 0.5",
    ]);
    let (converter, nodes) = (net.branch("converter"), ["p", "q"].map(|n| net.nodes[n]));
    let feeds = ["f1", "f2", "f3"].map(|name| net.branch(name));
    let mut variants = Variants::new(net.circuit).unwrap();
    for branch in feeds {
        let poor = [Change::Series { branch, ohm: 10.0 }];
        check(&mut variants, &poor);
        let answer = variants.solve(&poor).unwrap();
        assert!(answer.off().contains(&converter));
        assert_eq!(answer.output_current(converter), Some(0.0));
        // Before the contact the feed stands as the bank does.
        let behind = feeds.iter().position(|feed| *feed == branch).unwrap();
        for node in nodes.into_iter().take(behind) {
            assert!(answer.between(node, REFERENCE).unwrap() > 11.9);
        }
    }
    assert_eq!(variants.counts().full_solves(), 1);
}

#[test]
fn changes_no_part_could_have_are_troubles_and_not_answers() {
    let net = fractions();
    let (e, r3, b) = (net.branch("e"), net.branch("r3"), net.nodes["b"]);
    let mut variants = Variants::new(net.circuit).unwrap();
    let zero = Change::Set { branch: r3, parameter: Parameter::Ohm, value: 0.0 };
    let bad = variants.solve(&[zero]).err().unwrap();
    assert!(matches!(bad, VariantTrouble::Trouble(Trouble::BadValue { .. })), "{bad}");
    let short = Change::Join { a: b, b: REFERENCE, ohm: 0.0 };
    assert!(matches!(variants.solve(&[short]).err(), Some(VariantTrouble::Trouble(_))));
    // Both ends of an ideal source on one stud: its voltage has nothing to stand across.
    let shorted = Change::Land { branch: e, terminal: 0, on: REFERENCE };
    let contradicts = variants.solve(&[shorted]).err().unwrap();
    let contradictory =
        |t| matches!(t, VariantTrouble::Trouble(Trouble::ContradictorySources { .. }));
    assert!(contradictory(contradicts));
    let nowhere = variants.solve(&[Change::Open(circuit::BranchId(99))]).err().unwrap();
    assert!(matches!(nowhere, VariantTrouble::BadChange(_)));
}

#[test]
fn a_worse_joint_never_lets_more_current_into_a_resistor_network() {
    // Rayleigh's law: raising any resistance never lowers the resistance seen by the source.
    let net = fractions();
    let (e, joints) = (net.branch("e"), ["r1", "r2", "r3", "r4"].map(|n| net.branch(n)));
    let mut variants = Variants::new(net.circuit).unwrap();
    let mut drawn_a = |changes: &[Change]| -variants.solve(changes).unwrap().current(e);
    let usual = drawn_a(&[]);
    for joint in joints {
        let mut last = usual;
        for ohm in [0.01, 0.1, 1.0, 10.0, 1e3] {
            let now = drawn_a(&[Change::Series { branch: joint, ohm }]);
            assert!(now <= last + 1e-12, "{joint:?} {ohm}: {now} after {last}");
            last = now;
        }
        assert!(drawn_a(&[Change::Open(joint)]) <= last + 1e-12);
    }
}
