//! The planner against an exhaustive walk over all sets of removed parts.

mod problems;

use access::{
    Blocker, Costing, Damage, NoPlan, Permitted, Problem, Proof, Target, Unreachable, plan,
};
use problems::{Dice, assert_plan_works, can_come_out, cost_minor, exhaustive, mask, tangle};

/// 4 000 tangles of 2 to 12 parts: the same cost, the same number of removals, proved; and where
/// the walk finds nothing the planner gives a reason that stands up.
#[test]
fn no_set_of_removals_is_cheaper_than_the_plan() {
    let mut dice = Dice(20_240_501);
    let (mut solved, mut refused) = (0, 0);
    for _ in 0..4_000 {
        let size = 2 + dice.below(11);
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
    assert!(solved > 1_000 && refused > 500, "{solved} solved, {refused} refused: a lopsided draw");
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
            let minutes = (plan.cost_minor - breakage) / costing.value_of_a_minute;
            assert!((plan.total.mean_min - minutes).abs() < 1e-6);
            let both = plan.out.mean_min + plan.back.mean_min;
            assert!((plan.total.mean_min - both).abs() < 1e-9);
        }
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
    let free = can_come_out(problem, costing.allow);
    let shut = targets.iter().enumerate().filter(|(_, target)| !opens(target, free));
    let shut: Vec<usize> = shut.map(|(index, _)| index).collect();
    assert_eq!(reasons.iter().map(|reason| reason.target.0).collect::<Vec<_>>(), shut);
    for reason in reasons {
        let target = &targets[reason.target.0];
        let named = reason.blocked.iter().fold(0, |mask, entry| mask | 1 << entry.part.0);
        assert_eq!(named & free, 0, "a part of the reason can come out: {reason}");
        assert_eq!(stuck_within(problem, costing, named), named, "not the whole reason: {reason}");
        assert!(!opens(target, !named), "{reason}");
        for entry in &reason.blocked {
            let rest = stuck_within(problem, costing, named & !(1 << entry.part.0));
            assert!(opens(target, !rest), "`{}` could be left out of: {reason}", entry.name);
        }
        if reason.circle.is_empty() {
            let leaf = |entry: &access::Blocked| !matches!(entry.blocker, Blocker::Behind(_));
            assert!(reason.blocked.iter().any(leaf), "no end and no circle: {reason}");
        }
        for (part, next) in reason.circle.iter().zip(reason.circle.iter().cycle().skip(1)) {
            let entry = reason.blocked.iter().find(|entry| entry.part == *part);
            let blocker = entry.map(|entry| &entry.blocker);
            assert!(matches!(blocker, Some(Blocker::Behind(parts)) if parts.contains(next)));
        }
    }
}

fn opens(target: &Target, out: u64) -> bool {
    target.ways.iter().any(|way| mask(way) & out == mask(way))
}

/// Of the given parts, those that stay in if every other part were out.
fn stuck_within(problem: &Problem, costing: &Costing, mut stuck: u64) -> u64 {
    loop {
        let usable = problem.removals.iter().filter(|removal| {
            costing.allow == Permitted::Anything || removal.damage != Damage::Destroys
        });
        let freed = usable
            .filter(|removal| mask(&removal.needs) & stuck == 0)
            .fold(0, |mask, removal| mask | 1 << removal.part.0);
        if freed & stuck == 0 {
            return stuck;
        }
        stuck &= !freed;
    }
}
