//! Which checks are offered, what has to be opened for them, and what is proposed, on small vehicles
//! and on the example records.

use access::vehicle::{problem, way_in};
use catalog::{Catalog, Method};
use model::{Fact, Reach, ReadingPoints, TerminalId, Vehicle};

use super::van::{VAN, Van};
use crate::offered::reachable_look;
use crate::{Access, Benches, Offered, Opened, Openings, Step, What, offered};

const RECORDS: [&str; 5] = [
    include_str!("../../../../records/bracken/bracken.toml"),
    include_str!("../../../../records/dunlin/dunlin.toml"),
    include_str!("../../../../records/plover/plover.toml"),
    include_str!("../../../../records/tarn/tarn.toml"),
    include_str!("../../../../records/wren/wren.toml"),
];

fn touched(vehicle: &Vehicle, what: What) -> Vec<TerminalId> {
    let ends = |wire: model::WireId| -> Vec<TerminalId> {
        model::WireEnd::BOTH.iter().filter_map(|e| vehicle.wires[wire].terminal(*e)).collect()
    };
    match what {
        What::Read(ReadingPoints::Between(a, b)) => vec![a, b],
        What::Read(ReadingPoints::Over(joint)) | What::Look(joint) => {
            let of = &vehicle.joints[joint];
            vehicle.wires[of.wire].terminal(of.end).into_iter().collect()
        }
        What::Read(ReadingPoints::In(wire)) => ends(wire),
        What::Read(ReadingPoints::On(_)) | What::Watch(_) => Vec::new(),
    }
}

#[test]
fn no_check_touches_the_mains() {
    for text in RECORDS {
        let van = Van::of_any(text);
        let all = offered(&van.vehicle, &van.catalog, &van.seen(), None);
        assert!(all.len() > 100, "{}", all.len());
        for check in &all {
            for terminal in touched(&van.vehicle, check.what) {
                let of = &van.vehicle.terminals[terminal];
                let name = van.vehicle.terminal_name(terminal);
                assert!(!of.pole.is_ac(), "{name}: {check:?}");
                // What carries only mains wires is mains, whatever its posts are called.
                let mut wires = van.vehicle.wires_at(terminal).peekable();
                let is_mains = wires.peek().is_some() && wires.all(|(w, _)| van.vehicle.is_ac(w));
                assert!(!is_mains, "{name}: {check:?}");
            }
        }
    }
}

const DEAD: &str = "[symptoms]\ns1 = { words = \"x\", device = \"pad\", state = \"evening\", shows = \"seen dead\" }\n";

#[test]
fn what_could_not_be_reached_is_not_offered_again() {
    let open = Van::new(DEAD);
    let shut = Van::new(&format!("{DEAD}[history]\nnot_reached = [\"dist.2\"]\n"));
    let at = |van: &Van| {
        let terminal = van.terminal("dist.2");
        let all = offered(&van.vehicle, &van.catalog, &van.seen(), None);
        let probed = |check: &&Offered| match check.what {
            // A clamp goes round a wire at either end.
            What::Read(ReadingPoints::In(_)) => false,
            what => touched(&van.vehicle, what).contains(&terminal),
        };
        all.iter().filter(probed).count()
    };
    assert!(at(&open) > 5, "{}", at(&open));
    assert_eq!(at(&shut), 0);
    let looks = |van: &Van, joint: &str| {
        reachable_look(&van.vehicle, &van.catalog, &van.seen(), van.joint(joint)).is_some()
    };
    assert!(looks(&open, "w4 at dist.2") && !looks(&shut, "w4 at dist.2"));
    assert!(looks(&shut, "w4 at lamp.+"));
}

#[test]
fn a_state_with_another_charge_is_not_offered() {
    let van = Van::new(DEAD);
    let all = offered(&van.vehicle, &van.catalog, &van.seen(), None);
    let in_state = |name: &str| all.iter().filter(|c| c.state == Some(van.state(name))).count();
    assert!(in_state("evening") > 20 && in_state("alone") > 20);
    assert_eq!(in_state("low"), 0);
}

/// Bringing `alone` about from `evening` is one switch: half a minute (catalog).
#[test]
fn another_state_costs_what_has_to_be_switched() {
    let van = Van::new(DEAD);
    let all = offered(&van.vehicle, &van.catalog, &van.seen(), Some(van.state("evening")));
    let points = ReadingPoints::Between(van.terminal("dist.1"), van.terminal("house.-"));
    let minutes = |state: &str| {
        let is_it =
            |c: &&Offered| c.what == What::Read(points) && c.state == Some(van.state(state));
        all.iter().find(is_it).expect("a check").minutes
    };
    assert!((minutes("alone") - minutes("evening") - 0.5).abs() < 1e-12);
}

/// The panel takes 10 + 5 min, the board behind it 6 + 2 min.
#[test]
fn a_panel_is_paid_for_once() {
    let text = VAN.replace(
        "[states]",
        "board = { is = \"board\", out = \"6 / 6 / 6 min\", back = \"2 / 2 / 2 min\", after = \"panel\" }\n[states]",
    );
    let van = Van::of(&text);
    let part = |name: &str| van.vehicle.parts.find(|part| part.name == name).expect("a part").0;
    let (furniture, costing) = van.furniture();
    let mut openings = Openings::new(&furniture, costing);
    let panel = openings.place(&vec![vec![part("panel")]]).expect("hidden");
    let board = openings.place(&vec![vec![part("board")]]).expect("hidden");
    let shut = Opened::default();
    let near = |minutes: f64, by_hand: f64| assert!((minutes - by_hand).abs() < 1e-9, "{minutes}");
    let (first, open) = openings.open(&shut, panel).expect("a way");
    near(first, 15.0);
    let (second, both) = openings.open(&open, board).expect("a way");
    near(second, 8.0);
    near(openings.open(&shut, board).expect("a way").0, 23.0);
    near(openings.open(&both, panel).expect("a way").0, 0.0);
    near(openings.open(&both, board).expect("a way").0, 0.0);
    assert_eq!(openings.place(&vec![Vec::new()]), None, "what lies open costs nothing");
}

/// What is paid piece by piece is what the planner of openings says of the whole plan.
#[test]
fn pieces_of_every_way_in_sum_to_the_plan() {
    let catalog = Catalog::embedded();
    let mut looked_at = 0;
    for text in RECORDS {
        let vehicle = record::read(text, &catalog).vehicle;
        let furniture = problem(&vehicle, &catalog).problem;
        let costing = access::vehicle::costing(6_000, 5_000, access::Permitted::Anything);
        let mut openings = Openings::new(&furniture, costing);
        let mut reaches: Vec<Reach> =
            vehicle.devices.iter().filter_map(|(_, device)| known(&device.reach)).collect();
        reaches.sort();
        reaches.dedup();
        for reach in reaches {
            let Ok(plan) = way_in(&furniture, "place", &reach, &costing) else { continue };
            let paid = plan.paid(&furniture, &costing);
            let minutes: f64 = paid.iter().map(|piece| piece.minutes).sum();
            let breakage: f64 = paid.iter().map(|piece| piece.breakage_minor).sum();
            assert!((minutes - plan.total.mean_min).abs() < 1e-6, "{minutes} {:?}", plan.total);
            assert!((breakage - plan.breakage_minor).abs() < 1e-6, "{breakage}");
            let worth = plan.total.mean_min + plan.breakage_minor / costing.value_of_a_minute;
            let target = openings.place(&reach);
            let ours = openings.minutes(target).expect("the planner found a way");
            assert!((ours - worth).abs() < 1e-6, "{ours} {worth}");
            looked_at += 1;
        }
    }
    assert!(looked_at > 30, "{looked_at}");
}

fn known(reach: &Fact<Reach>) -> Option<Reach> {
    reach.value().cloned().filter(|reach| !reach.iter().any(Vec::is_empty))
}

/// The pad has less than it should, and everything lies open: one drop says as much as two volts,
/// and is quicker.
#[test]
fn a_drop_is_proposed_before_the_difference_of_two_readings() {
    let text = format!(
        "{}[readings]\nr1 = \"evening: 11.14 V between pad.+ and pad.-, multimeter\"\n",
        VAN.replace("behind = \"panel\"", "behind = \"nothing\"")
    );
    let van = Van::of(&text);
    let advice = van.advice("evening");
    let first_read = advice.steps.iter().find_map(|rated| match rated.step {
        Step::Check(k) => Some(&advice.checks[k].check).filter(|c| matches!(c.what, What::Read(_))),
        _ => None,
    });
    assert_eq!(first_read.expect("a reading").method, Method::Drop, "{:?}", advice.steps);
}

/// 11.14 V at the pad and 1.485 V over its joint (hand sum beside the tests of suspects): repair,
/// and a reading that a vehicle in order passes and the fault fails.
#[test]
fn a_sure_fault_is_repaired_and_the_repair_is_proven() {
    let van = Van::new(
        "[readings]\nr1 = \"evening: 11.14 V between pad.+ and pad.-, multimeter\"\n\
         r2 = \"evening: 1.485 V over w2 at pad.+, multimeter\"\n\
         r3 = \"evening: 13.15 V between dist.in and house.-, multimeter\"\n",
    );
    let advice = van.advice("evening");
    assert_eq!(advice.steps[0].step, Step::Repair(0), "{:?}", advice.steps);
    let group = &advice.groups[0];
    assert!(group.weight > 0.98, "{}", group.weight);
    assert_eq!(group.cures[0].0, model::Place::Joint(van.joint("w2 at pad.+")));
    // The panel hides the joint: 15 min by hand.
    assert!((advice.repair_opening_min[0].expect("known") - 15.0).abs() < 1e-9);
    let proof = advice.proof.as_ref().expect("a proof");
    let What::Read(points) = proof.check.what else { panic!("{:?}", proof.check) };
    let state = proof.check.state.expect("a state");
    let unsigned = |value: f64| match points {
        ReadingPoints::Over(_) | ReadingPoints::In(_) => value.abs(),
        _ => value,
    };
    let healthy = unsigned(van.truth(state, &[], points));
    let faulty = unsigned(van.truth(state, &["w2 at pad.+ adds 0.4 Ohm"], points));
    let passes = |value: f64| proof.expected.iter().any(|b| (b.low..=b.high).contains(&value));
    assert!(passes(healthy), "{healthy} {:?}", proof.expected);
    assert!(!passes(faulty), "{faulty} {:?}", proof.expected);
}

/// Nothing is opened to find out what can be found out in front of the panel.
#[test]
fn a_check_in_the_open_comes_before_one_behind_the_panel() {
    let advice = Van::new(DEAD).advice("evening");
    let Step::Check(k) = advice.steps[0].step else { panic!("{:?}", advice.steps) };
    assert!(advice.checks[k].opening_min.abs() < 1e-12, "{:?}", advice.checks[k].check);
}

/// What the bench answers quickly is what the changed circuit, solved in full, gives.
#[test]
fn quick_answers_are_those_of_full_solves() {
    let mut compared = 0;
    for seed in [1, 2] {
        let text = testkit::vehicle(seed, testkit::Size { wires: 40, parts: 12 });
        let van = Van::of_any(&text);
        let mut benches = Benches::new(&van.vehicle, &van.catalog, &van.suspects);
        for state in van.vehicle.states.ids().take(2) {
            benches.add(state);
            for at in (0..van.suspects.len()).step_by(5) {
                compared += compare(&van, &mut benches, state, at);
            }
        }
    }
    assert!(compared > 2_000, "{compared}");
}

fn compare(van: &Van, benches: &mut Benches<'_>, state: model::StateId, at: usize) -> usize {
    let vehicle = &van.vehicle;
    let suspect = &van.suspects[at];
    let size = suspect.sizes[suspect.sizes.len() / 2];
    let network = network::build(vehicle, &vehicle.states[state], &van.catalog);
    let mut changes = suspect.fault.changes(vehicle, &network, size);
    // A setting that only shows in a circuit laid out anew is no change of this one.
    if changes.is_empty() {
        return 0;
    }
    let solved = |changes: &[circuit::Change]| {
        let circuit = network.circuit.changed(changes).expect("a change the circuit takes");
        match solve::settle(&circuit) {
            solve::Outcome::Settled(point) => Some(point),
            _ => None,
        }
    };
    let (Some(before), Some(mut point)) = (solved(&[]), solved(&changes)) else { return 0 };
    while suspect.fault.may_short() {
        let before = |branch| before.current(branch);
        let is_open = |branch| changes.contains(&circuit::Change::Open(branch));
        let ampere = |branch| if is_open(branch) { 0.0 } else { point.current(branch) };
        let next = crate::opens_first(vehicle, &van.catalog, &network, before, ampere);
        let Some(next) = next else { break };
        changes.push(circuit::Change::Open(next));
        let Some(after) = solved(&changes) else { return 0 };
        point = after;
    }
    let answered = benches.answer(state, &[(at, size)]).expect("the state is on the bench");
    let ids: Vec<TerminalId> = vehicle.terminals.ids().collect();
    let mut compared = 0;
    for pair in ids.windows(2) {
        let (Some(a), Some(b)) = (network.stud_node(pair[0]), network.stud_node(pair[1])) else {
            continue;
        };
        let values = benches.values(state, ReadingPoints::Between(pair[0], pair[1]), &answered);
        let (Some(full), [quick]) = (point.between(a, b), &values[..]) else { continue };
        let miss = (full - quick).abs();
        assert!(miss <= 1e-6 * full.abs().max(1.0), "{}: {full} {quick}", suspect.words);
        compared += 1;
    }
    compared
}
