//! Answers carried over openings that cut off what carries nothing, against the same circuit solved in full.

use circuit::{Change, REFERENCE};
use solve::Options;
use testkit::Size;

use super::*;
use crate::case::Case;

/// Volts to the hundred-thousandth, amperes to the ten-thousandth: far below any meter, above the rounding
/// of a solver with milliohms.
const VOLT: f64 = 1e-5;
const AMPERE: f64 = 1e-4;

/// How many answers of a plan were carried, and how many voltages were held against a full solve.
fn compared(case: &Case) -> (usize, usize) {
    let names = [dead::EVERYTHING.to_owned()];
    let plan = case.planned_dead(&names).expect("everything is an area");
    let meter = Meter::new(&plan);
    let (mut carried, mut held) = (0, 0);
    for done in 0..=plan.order.len() {
        let found = meter.with(done, |network, stands| {
            let opened: BTreeSet<BranchId> =
                meter.acts(done).flat_map(|act| branches(network, act)).collect();
            let changes: Vec<Change> = opened.iter().copied().map(Change::Open).collect();
            let changed = network.circuit.changed(&changes).expect("branches of this circuit");
            let guards = Some(stands.answer.guards().to_vec());
            let point = solve::operating_point(&changed, &Options { guards }).expect("a point");
            let mut held = 0;
            for stud in plan.vehicle().terminals.ids() {
                let Some(node) = network.stud_node(stud) else { continue };
                let (ours, full) =
                    (stands.between(node, REFERENCE), point.between(node, REFERENCE));
                let name = plan.vehicle().terminal_name(stud);
                match (ours, full) {
                    (Some(ours), Some(full)) => {
                        assert!((ours - full).abs() < VOLT, "{done}, {name}: {ours} V, {full} V");
                        held += 1;
                    }
                    _ => assert_eq!(ours, full, "{done}, {name}: one of them floats"),
                }
            }
            for (branch, _) in changed.branches().filter(|(id, _)| !opened.contains(id)) {
                let (ours, full) = (stands.current(branch), point.current(branch));
                assert!((ours - full).abs() < AMPERE, "{done}: {ours} A, {full} A");
            }
            Some((stands.pieces.is_some(), held))
        });
        let Some((is_carried, volts)) = found else { continue };
        carried += usize::from(is_carried);
        held += volts;
    }
    (carried, held)
}

#[test]
fn carried_answers_are_those_of_a_full_solve() {
    let mut sum = (0, 0);
    for seed in 0..4 {
        let case = Case::of(&testkit::vehicle(seed, Size { wires: 80, parts: 20 }));
        let (carried, held) = compared(&case);
        sum = (sum.0 + carried, sum.1 + held);
    }
    assert!(sum.0 >= 20, "{} answers were carried", sum.0);
    assert!(sum.1 >= 1000, "{} voltages were compared", sum.1);
}
