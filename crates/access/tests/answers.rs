//! What a plan says, and what is said when there is none. Expected values worked by hand.

mod problems;

use access::{
    Because, Blocker, Breakage, Costing, Damage, Effort, InputError, NoPlan, PartIdx, Permitted,
    Presence, Problem, Proof, Removal, RemovalIdx, Spread, SpreadFault, TargetIdx, Trip, plan,
    plan_within,
};
use problems::{Dice, PLAIN, assert_plan_works, parts, removal, tangle, target};

/// A drawer in front of a splash panel in front of a charger.
fn galley() -> Problem {
    Problem {
        parts: parts(&["drawer", "splash panel", "kick board"]),
        removals: vec![
            removal(0, &[], 2.0),
            Removal { damage: Damage::MayBreak, ..removal(1, &[], 5.0) },
            removal(1, &[0, 2], 4.0),
            removal(2, &[], 3.0),
        ],
        setups: Vec::new(),
    }
}

fn assuming(probability: f64, cost_minor: u64) -> Costing {
    Costing { if_unpriced: Breakage { probability, cost_minor }, ..PLAIN }
}

#[test]
fn each_step_says_what_asked_for_it() {
    let problem = galley();
    let costing = assuming(0.9, 10_000); // 0.9 x 100.00 outweighs the four minutes more
    let plan = plan(&problem, &[target(&[&[1]]), target(&[&[2]])], &costing).unwrap();
    let steps: Vec<(usize, usize)> =
        plan.steps.iter().map(|step| (step.removal.0, step.part.0)).collect();
    assert_eq!(steps, [(0, 0), (3, 2), (2, 1)]);
    assert_eq!(plan.steps[0].because, [Because::Part(PartIdx(1))]);
    let both = [Because::Target(TargetIdx(1)), Because::Part(PartIdx(1))];
    assert_eq!(plan.steps[1].because, both);
    assert_eq!(plan.steps[2].because, [Because::Target(TargetIdx(0))]);
    assert!((plan.cost_minor - 900.0).abs() < 1e-6);
    assert!(plan.unpriced.is_empty());
}

#[test]
fn a_risk_worth_taking_is_taken_and_its_guess_is_declared() {
    let plan = plan(&galley(), &[target(&[&[1]])], &assuming(0.1, 1_000)).unwrap();
    assert_eq!(plan.unpriced, [RemovalIdx(1)]);
    assert!((plan.breakage_minor - 100.0).abs() < 1e-9);
    assert!((plan.cost_minor - 600.0).abs() < 1e-6); // 5 minutes at 100 and 0.1 x 1000
}

#[test]
fn destroying_without_a_price_counts_the_whole_assumed_cost() {
    let mut problem = galley();
    problem.removals[1].damage = Damage::Destroys;
    let plan = plan(&problem, &[target(&[&[1]])], &assuming(0.1, 300)).unwrap();
    assert!((plan.breakage_minor - 300.0).abs() < 1e-9);
}

#[test]
fn what_is_out_already_costs_nothing_and_hides_nothing() {
    let mut problem = galley();
    problem.parts[0].presence = Presence::Out;
    problem.parts[2].presence = Presence::Out;
    let found = plan(&problem, &[target(&[&[1, 0]])], &assuming(0.9, 10_000)).unwrap();
    assert_eq!(found.steps.len(), 1);
    assert_eq!(found.steps[0].removal, RemovalIdx(2));
    let nothing = plan(&problem, &[target(&[&[0, 2]])], &PLAIN).unwrap();
    assert!(nothing.steps.is_empty());
    assert_eq!(nothing.proof, Proof::Optimal);
}

#[test]
fn a_target_in_the_open_needs_no_removal() {
    let found = plan(&galley(), &[target(&[&[1], &[]])], &PLAIN).unwrap();
    assert!(found.steps.is_empty());
    assert_eq!(found.ways, [Some(1)]);
    assert!(found.cost_minor.abs() < 1e-12);
    assert!(plan(&galley(), &[], &PLAIN).unwrap().steps.is_empty());
}

/// Out (2, 4, 12) and back (1, 2, 3): means 5 and 2, variances 2.778 and 0.111.
#[test]
fn minutes_out_and_back_are_kept_apart_and_added_with_their_scatter() {
    let mut problem = galley();
    problem.removals[3].minutes_out = Spread { low_min: 2.0, likely_min: 4.0, high_min: 12.0 };
    problem.removals[3].minutes_back = Spread { low_min: 1.0, likely_min: 2.0, high_min: 3.0 };
    let plan = plan(&problem, &[target(&[&[2]])], &PLAIN).unwrap();
    assert!((plan.out.mean_min - 5.0).abs() < 1e-12);
    assert!((plan.back.mean_min - 2.0).abs() < 1e-12);
    assert!((plan.total.mean_min - 7.0).abs() < 1e-12);
    assert!((plan.total.sd_min - (2.777_777_8_f64 + 0.111_111_1).sqrt()).abs() < 1e-6);
    assert!((plan.cost_minor - 700.0).abs() < 1e-6);
}

#[test]
fn of_equally_dear_ways_the_one_with_fewer_removals_is_taken() {
    let problem = Problem {
        parts: parts(&["a", "b", "c"]),
        removals: vec![removal(0, &[], 1.0), removal(1, &[], 1.0), removal(2, &[], 2.0)],
        setups: Vec::new(),
    };
    let plan = plan(&problem, &[target(&[&[0, 1], &[2]])], &PLAIN).unwrap();
    assert_eq!(plan.ways, [Some(1)]);
}

#[test]
fn a_part_nobody_knows_how_to_remove_is_named() {
    let mut problem = galley();
    problem.removals.remove(0);
    problem.removals.remove(0);
    let refusal = plan(&problem, &[target(&[&[1]])], &PLAIN).unwrap_err();
    let NoPlan::Unreachable(reasons) = &refusal else { panic!("{refusal}") };
    let blocked: Vec<(&str, &Blocker)> = reasons[0]
        .reason
        .blocked
        .iter()
        .map(|entry| (entry.name.as_str(), &entry.blocker))
        .collect();
    let behind = Blocker::Waits { parts: vec![PartIdx(0)], setups: Vec::new() };
    assert_eq!(blocked, [("splash panel", &behind), ("drawer", &Blocker::NoRemoval)]);
    assert!(reasons[0].reason.circle.is_empty());
    let text = refusal.to_string();
    assert!(text.contains("`wanted` cannot be reached"), "{text}");
    assert!(text.contains("no removal is known for `drawer`"), "{text}");
}

#[test]
fn a_panel_that_only_comes_out_in_pieces_is_named_as_such() {
    let mut problem = galley();
    problem.removals.remove(2);
    problem.removals[1].damage = Damage::Destroys;
    let careful = Costing { allow: Permitted::NothingDestroyed, ..PLAIN };
    assert!(plan(&problem, &[target(&[&[1]])], &PLAIN).is_ok());
    let refusal = plan(&problem, &[target(&[&[1]])], &careful).unwrap_err();
    let NoPlan::Unreachable(reasons) = &refusal else { panic!("{refusal}") };
    assert_eq!(reasons[0].reason.blocked.len(), 1);
    assert_eq!(reasons[0].reason.blocked[0].blocker, Blocker::OnlyByDestroying);
}

#[test]
fn parts_that_wait_for_each_other_are_named_as_a_circle() {
    let problem = Problem {
        parts: parts(&["shelf", "lining", "batten", "lamp"]),
        removals: vec![
            removal(0, &[1], 1.0),
            removal(1, &[2], 1.0),
            removal(2, &[0], 1.0),
            removal(3, &[1], 1.0),
        ],
        setups: Vec::new(),
    };
    let refusal = plan(&problem, &[target(&[&[3]])], &PLAIN).unwrap_err();
    let NoPlan::Unreachable(reasons) = &refusal else { panic!("{refusal}") };
    let mut circle = reasons[0].reason.circle.clone();
    circle.sort();
    assert_eq!(circle, [PartIdx(0), PartIdx(1), PartIdx(2)]);
    assert!(refusal.to_string().contains("wait for each other in a circle"), "{refusal}");
}

#[test]
fn every_fault_of_the_question_is_named_at_once() {
    let mut problem = galley();
    problem.removals[0].minutes_out.low_min = -1.0;
    problem.removals[1].needs = vec![PartIdx(17)];
    problem.removals[2].needs = vec![PartIdx(1)];
    problem.removals[3].minutes_back.high_min = f64::NAN;
    problem.removals.push(removal(40, &[], 1.0));
    problem.removals[0].breakage = Some(Breakage { probability: 1.5, cost_minor: 1 });
    let targets = [target(&[]), target(&[&[9]])];
    let costing = Costing { value_of_a_minute: f64::INFINITY, ..PLAIN };
    let refusal = plan(&problem, &targets, &costing).unwrap_err();
    let NoPlan::BadInput(faults) = &refusal else { panic!("{refusal}") };
    let label = |part: usize| format!("take out {part}");
    let minutes = |part, trip, fault| InputError::BadMinutes { removal: label(part), trip, fault };
    let expected = [
        minutes(0, Trip::Out, SpreadFault::Negative(-1.0)),
        minutes(2, Trip::Back, SpreadFault::NotFinite),
        InputError::NeedOfMissingPart { removal: label(1), part: 17 },
        InputError::NeedsItself { removal: label(1), part: "splash panel".to_owned() },
        InputError::RemovalOfMissingPart { removal: label(40), part: 40 },
        InputError::NoWayStated { target: "wanted".to_owned() },
        InputError::WayThroughMissingPart { target: "wanted".to_owned(), part: 9 },
        InputError::BadValueOfAMinute { value: f64::INFINITY },
    ];
    for fault in &expected {
        assert!(faults.contains(fault), "{fault} is missing from:\n{refusal}");
    }
    assert_eq!(faults.len(), expected.len() + 1, "and the breakage:\n{refusal}");
    assert!(faults.iter().any(|fault| matches!(fault, InputError::BadBreakage { .. })));
}

/// However little searching is allowed, the plan works and the gap covers the true optimum.
#[test]
fn a_search_cut_short_states_a_gap_that_is_true() {
    let mut dice = Dice(5);
    let mut gaps = 0;
    for _ in 0..3_000 {
        let (problem, targets, costing) = tangle(&mut dice, 14);
        let effort = Effort { nodes: 1, looks: 20 * dice.below(6) as u64 };
        let Ok(rough) = plan_within(&problem, &targets, &costing, effort) else { continue };
        let best = plan(&problem, &targets, &costing).unwrap();
        assert_plan_works(&problem, &targets, &costing, &rough);
        match rough.proof {
            Proof::Optimal => assert!((rough.cost_minor - best.cost_minor).abs() < 1e-6),
            Proof::Gap(gap) => {
                gaps += 1;
                assert!((0.0..=1.0).contains(&gap));
                assert!((1.0 - gap) * rough.cost_minor <= best.cost_minor + 1e-6);
            }
        }
    }
    assert!(gaps > 100, "only {gaps} searches were cut short");
}

/// A chain as long as the limit allows: no recursion to run out of stack.
#[test]
fn a_chain_of_all_parts_allowed_is_planned_and_refused_without_harm() {
    let count = access::MAX_PARTS;
    let names: Vec<String> = (0..count).map(|n| n.to_string()).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let mut problem = Problem { parts: parts(&names), ..Problem::default() };
    for part in 0..count {
        let needs: Vec<usize> = (part + 1 < count).then_some(part + 1).into_iter().collect();
        problem.removals.push(removal(part, &needs, 1.0));
    }
    let effort = Effort { nodes: 10, looks: 50_000 };
    let found = plan_within(&problem, &[target(&[&[0]])], &PLAIN, effort).unwrap();
    assert_eq!(found.steps.len(), count);
    assert_eq!(found.steps[0].part, PartIdx(count - 1));
    problem.removals.pop();
    let refusal = plan(&problem, &[target(&[&[0]])], &PLAIN).unwrap_err();
    assert!(matches!(refusal, NoPlan::Unreachable(_)));
    problem.parts.push(problem.parts[0].clone());
    let refusal = plan(&problem, &[target(&[&[0]])], &PLAIN).unwrap_err();
    assert!(refusal.to_string().contains("at most 4096"), "{refusal}");
}
