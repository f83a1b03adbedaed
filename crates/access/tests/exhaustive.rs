//! The planner against an exhaustive walk over all sets of removed parts.

mod problems;

use access::{
    Avoid, Blocker, Costing, Damage, Effort, NoPlan, Otherwise, Permitted, Problem, Proof,
    Standing, Target, Unreachable, never_out, otherwise, plan, plan_reachable,
};
use problems::{
    Dice, assert_plan_works, can_be_had, cost_minor, exhaustive, mask, setup_bit, setup_minor,
    tangle,
};

/// 2 000 tangles of 2 to 14 parts: the same cost, the same number of removals, proved; and where
/// the walk finds nothing the planner gives a reason that stands up.
#[test]
fn no_set_of_removals_is_cheaper_than_the_plan() {
    let mut dice = Dice(20_240_501);
    let (mut solved, mut refused) = (0, 0);
    for _ in 0..2_000 {
        let size = 2 + dice.below(13);
        let (problem, targets, costing) = tangle(&mut dice, size);
        match plan(&problem, &targets, &costing) {
            Ok(plan) => {
                assert_plan_works(&problem, &targets, &costing, &plan);
                assert_eq!(plan.proof, Proof::Optimal);
                let (cost, fewest) = exhaustive(&problem, &targets, &costing).unwrap();
                assert!((plan.cost_minor - cost).abs() < 1e-2, "{} vs {cost}", plan.cost_minor);
                assert_eq!(plan.steps.len(), fewest as usize, "{problem:?} {targets:?}");
                solved += 1;
            }
            Err(NoPlan::Unreachable(reasons)) => {
                assert_eq!(exhaustive(&problem, &targets, &costing), None);
                assert_reasons_stand_up(&problem, &targets, &costing, &reasons);
                refused += 1;
            }
            Err(other) => panic!("{other}"),
        }
    }
    assert!(solved > 600 && refused > 300, "{solved} solved, {refused} refused: a lopsided draw");
}

/// The same with 16 to 18 parts that can all come out, where the choices go deeper.
#[test]
fn no_set_of_removals_is_cheaper_than_the_plan_in_deep_tangles() {
    let mut dice = Dice(7);
    let mut solved = 0;
    while solved < 60 {
        let size = 16 + dice.below(3);
        let (mut problem, targets, costing) = tangle(&mut dice, size);
        for part in 0..size {
            let mut extra = problems::removal(part, &dice.set(4, part.max(1), part), 6.0);
            extra.minutes_out.high_min = 12.0 + dice.below(20) as f64;
            problem.removals.push(extra);
        }
        let plan = plan(&problem, &targets, &costing).unwrap();
        assert_plan_works(&problem, &targets, &costing, &plan);
        let (cost, fewest) = exhaustive(&problem, &targets, &costing).unwrap();
        assert!((plan.cost_minor - cost).abs() < 1e-2, "{} vs {cost}", plan.cost_minor);
        assert_eq!(plan.steps.len(), fewest as usize);
        solved += 1;
    }
}

#[test]
fn the_same_question_gets_the_same_answer() {
    let mut dice = Dice(99);
    for _ in 0..200 {
        let (problem, targets, costing) = tangle(&mut dice, 12);
        let first = plan(&problem, &targets, &costing);
        assert_eq!(first, plan(&problem.clone(), &targets.clone(), &costing));
    }
}

#[test]
fn nothing_is_destroyed_when_that_is_not_permitted() {
    let mut dice = Dice(4);
    for _ in 0..500 {
        let (problem, targets, costing) = tangle(&mut dice, 10);
        let careful = Costing { allow: Permitted::NothingDestroyed, ..costing };
        let bold = Costing { allow: Permitted::Anything, ..costing };
        if let Ok(gentle) = plan(&problem, &targets, &careful) {
            let damage = |step: &access::Step| problem.removal(step.removal).unwrap().damage;
            assert!(gentle.steps.iter().all(|step| damage(step) != Damage::Destroys));
            let any = plan(&problem, &targets, &bold).unwrap();
            assert!(any.cost_minor <= gentle.cost_minor + 1e-6, "a freer choice costs no more");
        }
    }
}

#[test]
fn breakage_money_is_the_sum_over_the_steps() {
    let mut dice = Dice(31);
    for _ in 0..300 {
        let (problem, targets, costing) = tangle(&mut dice, 9);
        if let Ok(plan) = plan(&problem, &targets, &costing) {
            let unpaid = Costing { value_of_a_minute: 0.0, ..costing };
            let removals = plan.steps.iter().map(|step| problem.removal(step.removal).unwrap());
            let breakage: f64 = removals.map(|removal| cost_minor(removal, &unpaid)).sum();
            assert!((plan.breakage_minor - breakage).abs() < 1e-6);
            let set_up: f64 = plan
                .setups
                .iter()
                .map(|used| setup_minor(&problem.setups[used.setup.0], &unpaid))
                .sum();
            assert!(set_up.abs() < 1e-12, "a setup breaks nothing");
            let minutes = (plan.cost_minor - breakage) / costing.value_of_a_minute;
            assert!((plan.total.mean_min - minutes).abs() < 1e-6);
            let both = plan.out.mean_min + plan.back.mean_min;
            assert!((plan.total.mean_min - both).abs() < 1e-9);
        }
    }
}

/// Where some targets cannot be reached, the others are planned at the least cost for them alone.
#[test]
fn what_can_be_reached_is_planned_whatever_else_cannot() {
    let mut dice = Dice(77);
    let mut mixed = 0;
    for _ in 0..1_500 {
        let (problem, targets, costing) = tangle(&mut dice, 10);
        let found = plan_reachable(&problem, &targets, &costing, Effort::USUAL).unwrap();
        let free = can_be_had(&problem, &costing);
        let rest: Vec<Target> = targets.iter().filter(|t| opens(t, free)).cloned().collect();
        let (cost, _) = exhaustive(&problem, &rest, &costing).unwrap();
        assert!((found.plan.cost_minor - cost).abs() < 1e-2);
        assert_eq!(found.unreachable.len(), targets.len() - rest.len());
        for (index, way) in found.plan.ways.iter().enumerate() {
            let stuck = found.unreachable.iter().any(|reason| reason.target.0 == index);
            assert_eq!(way.is_none(), stuck);
        }
        mixed += i32::from(!rest.is_empty() && rest.len() < targets.len());
    }
    assert!(mixed > 200, "only {mixed} questions were mixed");
}

/// What doing without a part, a removal or a setup costs, against a walk without it.
#[test]
fn doing_without_something_costs_what_the_walk_without_it_costs() {
    let mut dice = Dice(123);
    let (mut dearer, mut never) = (0, 0);
    for _ in 0..800 {
        let (problem, targets, costing) = tangle(&mut dice, 9);
        let Ok(plan) = plan(&problem, &targets, &costing) else { continue };
        let steps = plan
            .steps
            .iter()
            .flat_map(|step| [Avoid::Part(step.part), Avoid::Removal(step.removal)]);
        let setups = plan.setups.iter().map(|used| Avoid::Setup(used.setup));
        for avoid in steps.chain(setups) {
            let walk = exhaustive(&without(&problem, avoid), &targets, &costing);
            let found = otherwise(&problem, &targets, &costing, &plan, avoid).unwrap();
            match (walk, found) {
                (None, Otherwise::NoOtherWay) => never += 1,
                (Some((cost, _)), Otherwise::Instead { plan: other, more_minor }) => {
                    assert_plan_works(&problem, &targets, &costing, &other);
                    assert!((other.cost_minor - cost).abs() < 1e-2, "{avoid:?}");
                    assert!((plan.cost_minor + more_minor - cost).abs() < 1e-2, "{avoid:?}");
                    dearer += 1;
                }
                (walk, found) => panic!("{avoid:?}: {walk:?} but {found:?}"),
            }
        }
    }
    assert!(dearer > 200 && never > 200, "{dearer} dearer, {never} without other way");
}

/// The problem in which something cannot be used.
fn without(problem: &Problem, avoid: Avoid) -> Problem {
    let mut less = problem.clone();
    match avoid {
        Avoid::Part(part) => less.removals.retain(|removal| removal.part != part),
        Avoid::Removal(removal) => drop(less.removals.remove(removal.0)),
        Avoid::Setup(setup) => less.setups[setup.0].standing = Standing::Missing,
    }
    less
}

/// The parts said never to come out are those the walk cannot take out, each with its own reason.
#[test]
fn parts_that_never_come_out_are_named_with_reasons_that_stand_up() {
    let mut dice = Dice(8);
    for _ in 0..500 {
        let (problem, _, costing) = tangle(&mut dice, 10);
        let as_targets: Vec<Target> = (0..10).map(|part| problems::target(&[&[part]])).collect();
        let reasons: Vec<Unreachable> = never_out(&problem, &costing)
            .into_iter()
            .map(|never| Unreachable {
                target: access::TargetIdx(never.part.0),
                target_name: never.name,
                reason: never.reason,
            })
            .collect();
        assert_reasons_stand_up(&problem, &as_targets, &costing, &reasons);
    }
}

/// Every part named is truly stuck; the named parts alone keep the target shut; leaving out any
/// one of them (and what then comes free) would open it.
fn assert_reasons_stand_up(
    problem: &Problem,
    targets: &[Target],
    costing: &Costing,
    reasons: &[Unreachable],
) {
    let free = can_be_had(problem, costing);
    let shut = targets.iter().enumerate().filter(|(_, target)| !opens(target, free));
    let shut: Vec<usize> = shut.map(|(index, _)| index).collect();
    assert_eq!(reasons.iter().map(|reason| reason.target.0).collect::<Vec<_>>(), shut);
    for reason in reasons {
        let target = &targets[reason.target.0];
        let parts = reason.reason.blocked.iter().map(|entry| 1 << entry.part.0);
        let setups = reason.reason.missing.iter().map(|entry| setup_bit(problem, entry.setup.0));
        let members: Vec<u64> = parts.chain(setups).collect();
        let named = members.iter().fold(0, |mask, member| mask | member);
        assert_eq!(named & free, 0, "a part of the reason can come out: {reason}");
        assert_eq!(stuck_within(problem, costing, named), named, "not the whole reason: {reason}");
        assert!(!opens(target, !named), "{reason}");
        for member in members {
            let rest = stuck_within(problem, costing, named & !member);
            assert!(opens(target, !rest), "{member:b} could be left out of: {reason}");
        }
        if reason.reason.circle.is_empty() {
            let leaf = |entry: &access::Blocked| !matches!(entry.blocker, Blocker::Waits { .. });
            let ends = reason.reason.blocked.iter().any(leaf) || !reason.reason.missing.is_empty();
            assert!(ends, "no end and no circle: {reason}");
        }
        for (part, next) in
            reason.reason.circle.iter().zip(reason.reason.circle.iter().cycle().skip(1))
        {
            let entry = reason.reason.blocked.iter().find(|entry| entry.part == *part);
            let blocker = entry.map(|entry| &entry.blocker);
            assert!(matches!(blocker, Some(Blocker::Waits { parts, .. }) if parts.contains(next)));
        }
    }
}

fn opens(target: &Target, out: u64) -> bool {
    target.ways.iter().any(|way| mask(way) & out == mask(way))
}

/// Of the given parts and setups, those that stay stuck if everything else were had.
fn stuck_within(problem: &Problem, costing: &Costing, mut stuck: u64) -> u64 {
    let moves = problems::moves(problem, costing);
    loop {
        let freed = moves
            .iter()
            .filter(|made| made.needs & stuck == 0)
            .fold(0, |mask, made| mask | made.gives);
        if freed & stuck == 0 {
            return stuck;
        }
        stuck &= !freed;
    }
}
