//! Setups, states of opening, pieces that come free with others, reasons and faults. Expected values
//! worked by hand.

mod problems;

use access::{
    Avoid, Blocker, Effort, InputError, NoPlan, Otherwise, PartIdx, Presence, Problem, Proof,
    Removal, SetupIdx, Spread, Standing, Target, TargetIdx, never_out, otherwise, plan,
    plan_reachable, why,
};
use problems::{PLAIN, assert_plan_works, parts, removal, setup, target};

fn with(removal: Removal, setups: &[usize]) -> Removal {
    Removal { setups: setups.iter().copied().map(SetupIdx).collect(), ..removal }
}

/// A tray and a tank strap, each quick from below (2 and 3 minutes, lying under the vehicle) or
/// slow from inside (6 and 7 minutes). Lying down takes 9.
fn underfloor() -> Problem {
    Problem {
        parts: parts(&["tray", "tank strap"]),
        removals: vec![
            with(removal(0, &[], 2.0), &[0]),
            removal(0, &[], 6.0),
            with(removal(1, &[], 3.0), &[0]),
            removal(1, &[], 7.0),
        ],
        setups: vec![setup("lying under the vehicle", 9.0)],
    }
}

/// One alone: 6 < 2 + 9. Both: 2 + 3 + 9 = 14 > 6 + 7 = 13; with 7 minutes for lying down 12 < 13.
#[test]
fn a_setup_is_paid_once_and_only_where_it_pays() {
    let mut problem = underfloor();
    let both = [target(&[&[0]]), target(&[&[1]])];
    for (lying_down, minutes, setups) in [(9.0, 13.0, 0), (7.0, 12.0, 1)] {
        problem.setups[0].minutes_out = Spread::exactly(lying_down);
        let plan = plan(&problem, &both, &PLAIN).unwrap();
        assert_plan_works(&problem, &both, &PLAIN, &plan);
        assert!((plan.total.mean_min - minutes).abs() < 1e-9);
        assert_eq!(plan.setups.len(), setups);
    }
    problem.setups[0].standing = Standing::InPlace;
    let found = plan(&problem, &both, &PLAIN).unwrap();
    assert!((found.total.mean_min - 5.0).abs() < 1e-9, "whoever lies there already pays nothing");
    assert!(found.setups.is_empty());
    problem.setups[0].standing = Standing::Missing;
    let found = plan(&problem, &both, &PLAIN).unwrap();
    assert!((found.total.mean_min - 13.0).abs() < 1e-9);
}

/// Fetching counts as time out, cleaning up as time back.
#[test]
fn minutes_of_a_setup_are_counted_on_their_own_side() {
    let mut problem = underfloor();
    problem.removals.retain(|removal| !removal.setups.is_empty());
    problem.setups[0].minutes_back = Spread::exactly(4.0);
    let plan = plan(&problem, &[target(&[&[0]])], &PLAIN).unwrap();
    assert!((plan.out.mean_min - 11.0).abs() < 1e-9);
    assert!((plan.back.mean_min - 4.0).abs() < 1e-9);
    assert!((plan.cost_minor - 1_500.0).abs() < 1e-6);
    assert!((plan.least_minor - 1_500.0).abs() < 1e-6);
    assert_eq!(plan.setups[0].steps, [0]);
}

/// A seat that swings aside (1 minute) opens the box behind it; taken out (8 minutes) it opens it as
/// well, at no further cost. "Swung aside" is a part of its own.
fn seat() -> Problem {
    Problem {
        parts: parts(&["seat", "seat in its place", "box lid", "floor plate"]),
        removals: vec![
            removal(0, &[], 8.0),
            removal(1, &[], 1.0),
            removal(1, &[0], 0.0),
            removal(2, &[1], 2.0),
            removal(3, &[0], 3.0),
        ],
        ..Problem::default()
    }
}

#[test]
fn what_comes_free_with_another_part_costs_nothing_more() {
    let lid = [target(&[&[2]])];
    let plan_lid = plan(&seat(), &lid, &PLAIN).unwrap();
    assert!((plan_lid.total.mean_min - 3.0).abs() < 1e-9, "swing aside 1, lid 2");
    let both = [target(&[&[2]]), target(&[&[3]])];
    let found = plan(&seat(), &both, &PLAIN).unwrap();
    assert_plan_works(&seat(), &both, &PLAIN, &found);
    assert!((found.total.mean_min - 13.0).abs() < 1e-9, "seat 8, lid 2, floor plate 3");
    let mut opened = seat();
    opened.parts[0].presence = Presence::Out;
    let found = plan(&opened, &lid, &PLAIN).unwrap();
    assert!((found.total.mean_min - 2.0).abs() < 1e-9, "with the seat out only the lid is left");
}

/// Two pieces that free each other for nothing do not free themselves: one must be had first.
#[test]
fn a_circle_of_free_removals_frees_nothing() {
    let mut problem = Problem {
        parts: parts(&["a", "b", "lid"]),
        removals: vec![removal(0, &[1], 0.0), removal(1, &[0], 0.0), removal(2, &[0, 1], 0.0)],
        ..Problem::default()
    };
    let refusal = plan(&problem, &[target(&[&[2]])], &PLAIN).unwrap_err();
    assert!(refusal.to_string().contains("wait for each other in a circle"), "{refusal}");
    problem.removals.push(removal(1, &[], 6.0));
    problem.removals.push(removal(0, &[], 5.0));
    let found = plan(&problem, &[target(&[&[2]])], &PLAIN).unwrap();
    assert!((found.total.mean_min - 5.0).abs() < 1e-9);
    assert_eq!(found.proof, Proof::Optimal);
}

#[test]
fn a_missing_tool_is_named_and_the_rest_is_planned() {
    let mut problem = underfloor();
    problem.removals.remove(1);
    problem.setups[0].standing = Standing::Missing;
    let targets = [target(&[&[0]]), target(&[&[1]])];
    let refusal = plan(&problem, &targets, &PLAIN).unwrap_err();
    assert_eq!(
        refusal.to_string(),
        "`wanted` cannot be reached: `tray` needs `lying under the vehicle`; `lying under the \
         vehicle` is missing"
    );
    let found = plan_reachable(&problem, &targets, &PLAIN, Effort::USUAL).unwrap();
    assert_eq!(found.plan.ways, [None, Some(0)]);
    assert!((found.plan.total.mean_min - 7.0).abs() < 1e-9);
    let [stuck] = found.unreachable.as_slice() else { panic!("{:?}", found.unreachable) };
    assert_eq!(stuck.target, TargetIdx(0));
    let waits = Blocker::Waits { parts: Vec::new(), setups: vec![SetupIdx(0)] };
    assert_eq!(stuck.reason.blocked[0].blocker, waits);
    assert_eq!(stuck.reason.missing[0].setup, SetupIdx(0));
    let never = never_out(&problem, &PLAIN);
    assert_eq!(never.iter().map(|never| never.part).collect::<Vec<_>>(), [PartIdx(0)]);
}

#[test]
fn a_step_says_what_it_makes_room_for_and_what_the_alternative_costs() {
    let problem = seat();
    let targets = [target(&[&[2]])];
    let plan = plan(&problem, &targets, &PLAIN).unwrap();
    let swing = why(&problem, &targets, &PLAIN, &plan, 0).unwrap();
    assert_eq!(swing.makes_room_for, [PartIdx(2)]);
    assert_eq!(swing.target, TargetIdx(0));
    assert_eq!(swing.part_stays, Otherwise::NoOtherWay);
    let Otherwise::Instead { plan: instead, more_minor } = swing.other_removal else {
        panic!("the seat can be taken out instead")
    };
    assert!((more_minor - 700.0).abs() < 1e-6, "8 instead of 1 minute at 100");
    assert_eq!(instead.steps.len(), 3);
    let lid = why(&problem, &targets, &PLAIN, &plan, 1).unwrap();
    assert!(lid.makes_room_for.is_empty());
    assert_eq!(why(&problem, &targets, &PLAIN, &plan, 2), None);
}

#[test]
fn doing_without_a_setup_has_its_price() {
    let mut problem = underfloor();
    problem.setups[0].minutes_out = Spread::exactly(1.0);
    let targets = [target(&[&[0]]), target(&[&[1]])];
    let plan = plan(&problem, &targets, &PLAIN).unwrap();
    let avoid = Avoid::Setup(SetupIdx(0));
    let Some(Otherwise::Instead { more_minor, .. }) =
        otherwise(&problem, &targets, &PLAIN, &plan, avoid)
    else {
        panic!("both come out from inside too")
    };
    assert!((more_minor - 700.0).abs() < 1e-6, "6 + 7 instead of 1 + 2 + 3 minutes at 100");
}

/// Faulty removals, setups, ways and targets are named; what is sound is planned.
#[test]
fn faulty_pieces_are_left_out_and_the_rest_is_planned() {
    let mut problem = seat();
    problem.removals[1].minutes_out.low_min = -1.0;
    problem.removals.push(removal(17, &[], 1.0));
    problem.removals.push(with(removal(2, &[], 0.5), &[0]));
    problem.removals.push(with(removal(2, &[], 0.5), &[6]));
    problem.setups.push(setup("step", f64::NAN));
    let nowhere = Target { name: "nowhere".to_owned(), ways: Vec::new() };
    let targets = [target(&[&[2], &[40]]), nowhere];
    assert!(matches!(plan(&problem, &targets, &PLAIN), Err(NoPlan::BadInput(_))));
    let found = plan_reachable(&problem, &targets, &PLAIN, Effort::USUAL).unwrap();
    assert_eq!(found.plan.ways, [Some(0), None]);
    assert!((found.plan.total.mean_min - 10.0).abs() < 1e-9, "seat 8, lid 2: swinging is faulty");
    assert!(found.unreachable.is_empty());
    let named = |wanted: &dyn Fn(&InputError) -> bool| found.faults.iter().any(wanted);
    assert!(named(&|f| matches!(f, InputError::BadMinutes { .. })));
    assert!(named(&|f| matches!(f, InputError::RemovalOfMissingPart { part: 17, .. })));
    assert!(named(&|f| matches!(f, InputError::UseOfMissingSetup { setup: 6, .. })));
    assert!(named(&|f| matches!(f, InputError::BadSetupMinutes { .. })));
    assert!(named(&|f| matches!(f, InputError::WayThroughMissingPart { part: 40, .. })));
    assert!(named(&|f| matches!(f, InputError::NoWayStated { .. })));
    assert_eq!(found.faults.len(), 6);
}

/// Where faults take every removal of a part away, that is the reason given.
#[test]
fn a_part_whose_every_removal_is_faulty_is_named_as_such() {
    let mut problem = seat();
    problem.removals[0].minutes_out.high_min = f64::INFINITY;
    let targets = [target(&[&[3]]), target(&[&[2]])];
    let found = plan_reachable(&problem, &targets, &PLAIN, Effort::USUAL).unwrap();
    assert_eq!(found.plan.ways, [None, Some(0)]);
    let blockers: Vec<&Blocker> =
        found.unreachable[0].reason.blocked.iter().map(|entry| &entry.blocker).collect();
    let waits = Blocker::Waits { parts: vec![PartIdx(0)], setups: Vec::new() };
    assert_eq!(blockers, [&waits, &Blocker::OnlyFaulty]);
    let text = found.unreachable[0].to_string();
    assert!(text.contains("every removal of `seat` is faulty"), "{text}");
}
