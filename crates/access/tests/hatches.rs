//! Service over a year, further targets, and hatches: against exhaustive search and worked cases.

mod problems;

use access::hatch::{Findings, Hatch, Proposal, Question, best_hatches};
use access::{
    Access, Costing, Item, Opening, Part, PartIdx, Presence, Problem, Proof, Removal, SetupIdx,
    Spread, Standing, Target, access_index, plan, service_access, while_open,
};
use problems::{Dice, PLAIN, exhaustive, parts, removal, tangle, target};

const YEARS: f64 = 5.0;

fn item(ways: &[&[usize]], per_year: f64) -> Item {
    Item { target: target(ways), per_year: Some(per_year) }
}

fn hatch(part: usize, make: f64, material_minor: u64) -> Hatch {
    Hatch {
        part: PartIdx(part),
        make: Spread::exactly(make),
        material_minor,
        open: Spread::exactly(1.0),
        close: Spread::exactly(1.0),
        keeps: Vec::new(),
    }
}

/// MTTR = Σ λ R / Σ λ (MIL-HDBK-472, from memory): the index is its numerator. By hand: 2 a year x 4
/// minutes + 0.5 a year x 10 minutes = 13 minutes a year.
#[test]
fn the_index_is_rate_times_minutes() {
    let problem = Problem {
        parts: parts(&["lid", "back", "mystery"]),
        removals: vec![removal(0, &[], 4.0), removal(1, &[0], 6.0)],
        ..Problem::default()
    };
    let mut items = vec![item(&[&[0]], 2.0), item(&[&[1]], 0.5), item(&[&[2]], 9.0)];
    items.push(Item { target: target(&[]), per_year: Some(9.0) });
    items.push(Item { target: target(&[&[0]]), per_year: None });
    let access = service_access(&problem, &items, &PLAIN);
    assert!(matches!(access[2], Access::None(_)));
    assert!(matches!(access[3], Access::NotKnown));
    let index = access_index(&items, &access);
    assert!((index.minutes_per_year - 13.0).abs() < 1e-9);
    assert!((index.minor_per_year - 1_300.0).abs() < 1e-6);
    assert_eq!((index.counted, index.left_out), (2, 3));
}

#[test]
fn an_item_behind_a_cut_panel_says_what_the_whole_way_costs() {
    let mut cut = removal(0, &[], 3.0);
    cut.damage = access::Damage::Destroys;
    let problem = Problem {
        parts: parts(&["panel", "cupboard"]),
        removals: vec![cut, removal(0, &[1], 2.0), removal(1, &[], 30.0)],
        ..Problem::default()
    };
    let access = service_access(&problem, &[item(&[&[0]], 1.0)], &PLAIN);
    let Access::Destroys(cheapest, Some(whole)) = &access[0] else { panic!("{access:?}") };
    assert!((cheapest.total.mean_min - 3.0).abs() < 1e-12);
    assert!((whole.total.mean_min - 32.0).abs() < 1e-12);
}

/// On random tangles: what is asked for in addition costs what an exhaustive walk of the opened
/// vehicle says, never less than nothing, never more than from closed; and sorted.
#[test]
fn while_it_is_open_a_further_target_costs_its_margin() {
    let mut dice = Dice(3);
    let mut shared = 0;
    for _ in 0..400 {
        let (problem, targets, costing) = tangle(&mut dice, 9);
        let Ok(first) = plan(&problem, &targets[..1], &costing) else { continue };
        let opening = Opening::after(&first);
        let mut open = problem.clone();
        for part in &opening.out {
            open.parts[part.0].presence = Presence::Out;
        }
        for setup in &opening.in_place {
            open.setups[setup.0].standing = Standing::InPlace;
        }
        let wanted: Vec<Target> = (0..9).map(|part| target(&[&[part]])).collect();
        let further = while_open(&problem, &opening, &wanted, &costing);
        let mut last = 0.0;
        for one in &further {
            let alone = exhaustive(&open, &wanted[one.target.0..=one.target.0], &costing);
            let Ok(plan) = &one.plan else {
                assert_eq!(alone, None);
                last = f64::INFINITY;
                continue;
            };
            assert!((plan.cost_minor - alone.unwrap().0).abs() < 1e-2);
            assert!(plan.cost_minor >= last, "not sorted");
            last = plan.cost_minor;
            if let Some((closed, _)) =
                exhaustive(&problem, &wanted[one.target.0..=one.target.0], &costing)
            {
                assert!(plan.cost_minor <= closed + 1e-2);
                shared += usize::from(plan.cost_minor + 1.0 < closed);
            }
        }
    }
    assert!(shared > 50, "{shared} shared: the draw never shares anything");
}

/// A pump behind a wall board behind a cupboard; a fuse behind the wall board too. By hand:
/// the wall board takes 20, the cupboard before it 10: 30 each time, 3 times a year = 90 min a year.
/// A hatch in the wall board still needs the cupboard out: 10 + 2 = 12, saves 18 x 3 = 54 a year. A
/// hatch in the cupboard alone saves nothing: the wall board's removal needs the cupboard itself out.
/// Both: 2 + 2 = 4, saves 26 x 3 = 78 a year.
fn cupboard() -> (Problem, Vec<Item>, Vec<Hatch>) {
    let problem = Problem {
        parts: parts(&["cupboard", "wall board"]),
        removals: vec![removal(0, &[], 10.0), removal(1, &[0], 20.0)],
        ..Problem::default()
    };
    let items = vec![item(&[&[1]], 2.0), item(&[&[1]], 1.0)];
    (problem, items, vec![hatch(0, 30.0, 1_000), hatch(1, 60.0, 2_000)])
}

fn ask(problem: &Problem, items: &[Item], hatches: &[Hatch], costing: &Costing) -> Findings {
    let question = Question { problem, items, hatches, costing, years: YEARS };
    best_hatches(&question).expect("the question has no faults")
}

#[test]
fn hatches_save_what_they_save_by_hand() {
    let (problem, items, hatches) = cupboard();
    let found = ask(&problem, &items, &hatches, &PLAIN);
    assert_eq!(found.singles.len(), 1, "a hatch in the cupboard alone helps nothing");
    let wall = &found.singles[0];
    assert_eq!(wall.hatches, [1]);
    assert!((wall.saved_min_per_year - 54.0).abs() < 1e-9);
    assert!((wall.today_minor - 8_000.0).abs() < 1e-6); // 60 min at 1.00, 20.00 of material
    assert!((wall.net_minor - (5.0 * 5_400.0 - 8_000.0)).abs() < 1e-4);
    assert!((wall.payback_years().unwrap() - 8_000.0 / 5_400.0).abs() < 1e-9);
    assert_eq!(wall.helped.iter().map(|h| h.item).collect::<Vec<_>>(), [0, 1]);
    assert!((wall.helped[0].before_min - 30.0).abs() < 1e-9);
    assert!((wall.helped[0].after_min - 12.0).abs() < 1e-9);
    let pair = found.pair.unwrap();
    assert_eq!(pair.hatches, [0, 1]);
    assert!((pair.saved_min_per_year - 78.0).abs() < 1e-9);
    assert!((pair.net_minor - (5.0 * 7_800.0 - 12_000.0)).abs() < 1e-4);
}

#[test]
fn an_item_without_a_way_gets_one_and_counts_for_nothing() {
    let problem =
        Problem { parts: parts(&["glued board"]), removals: Vec::new(), ..Problem::default() };
    let found = ask(&problem, &[item(&[&[0]], 4.0)], &[hatch(0, 10.0, 0)], &PLAIN);
    let only = &found.singles[0];
    assert_eq!((only.opened.len(), only.helped.len()), (1, 0));
    assert!((only.opened[0].1 - 2.0).abs() < 1e-12);
    assert!(only.saved_minor_per_year.abs() < 1e-12);
    assert_eq!(only.payback_years(), None);
}

/// Another statement of the same question, worked out by exhaustive walks: with hatches the ways to a
/// target are multiplied out, "p" becoming "p" or "through the hatch of p", the latter a part of its own
/// for every choice of front. Shares no code with the program.
fn by_trying_all(
    problem: &Problem,
    item: &Item,
    made: &[&Hatch],
    costing: &Costing,
) -> Option<f64> {
    let mut changed = problem.clone();
    let mut through: Vec<(usize, usize)> = Vec::new();
    for hatch in made {
        changed.parts.push(Part { name: "through".to_owned(), presence: Presence::Fitted });
        through.push((hatch.part.0, changed.parts.len() - 1));
    }
    let either = |sets: Vec<Vec<PartIdx>>| -> Vec<Vec<PartIdx>> {
        through.iter().fold(sets, |sets, (part, past)| {
            let swapped = sets.iter().filter(|set| set.contains(&PartIdx(*part))).map(|set| {
                set.iter().map(|p| if p.0 == *part { PartIdx(*past) } else { *p }).collect()
            });
            sets.iter().cloned().chain(swapped).collect()
        })
    };
    for (hatch, (_, past)) in made.iter().zip(&through) {
        let open = |needs, setups| Removal {
            needs,
            setups,
            minutes_back: hatch.close,
            ..removal(*past, &[], hatch.open.likely_min)
        };
        let of_part = problem.removals.iter().filter(|r| r.part == hatch.part);
        let opened = of_part.clone().flat_map(|r| {
            let setups: Vec<SetupIdx> =
                r.setups.iter().filter(|s| hatch.keeps.contains(s)).copied().collect();
            either(vec![r.needs.clone()]).into_iter().map(move |needs| open(needs, setups.clone()))
        });
        changed.removals.extend(opened);
        if of_part.count() == 0 {
            changed.removals.push(open(Vec::new(), Vec::new()));
        }
    }
    let target = Target { ways: either(item.target.ways.clone()), ..item.target.clone() };
    exhaustive(&changed, &[target], costing).map(|(cost, _)| cost)
}

fn worth(problem: &Problem, items: &[Item], made: &[&Hatch], costing: &Costing) -> (f64, f64) {
    let today: f64 = made
        .iter()
        .map(|h| h.make.likely_min * costing.value_of_a_minute + h.material_minor as f64)
        .sum();
    let saved: f64 = items
        .iter()
        .filter_map(|item| {
            let before = by_trying_all(problem, item, &[], costing)?;
            let after = by_trying_all(problem, item, made, costing)?;
            Some(item.per_year? * (before - after))
        })
        .sum();
    (saved, YEARS * saved - today)
}

fn draw(dice: &mut Dice) -> (Problem, Vec<Item>, Vec<Hatch>, Costing) {
    let size = 4 + dice.below(4);
    let (problem, _, costing) = tangle(dice, size);
    let items = (0..2 + dice.below(3))
        .map(|_| {
            let way = dice.set(3, size, usize::MAX);
            let other = dice.set(2, size, usize::MAX);
            let ways: Vec<&[usize]> =
                if dice.below(3) == 0 { vec![&way, &other] } else { vec![&way] };
            Item { target: target(&ways), per_year: Some(dice.below(9) as f64 / 2.0) }
        })
        .collect();
    let hatches = (0..size)
        .filter(|part| problem.parts[*part].presence == Presence::Fitted)
        .map(|part| {
            let keeps = (0..problem.setups.len()).filter(|_| dice.below(2) == 0).map(SetupIdx);
            let keeps = keeps.collect();
            Hatch {
                keeps,
                ..hatch(part, (5 + dice.below(20)) as f64, (100 * dice.below(9)) as u64)
            }
        })
        .collect();
    (problem, items, hatches, costing)
}

/// Best single and best pair on random vehicles, against trying every one and every two.
#[test]
fn no_single_hatch_and_no_pair_is_better_than_those_proposed() {
    let mut dice = Dice(20_260_202);
    let (mut synergies, mut pruned, mut compared) = (0, 0, 0);
    for _ in 0..150 {
        let (problem, items, hatches, costing) = draw(&mut dice);
        let found = ask(&problem, &items, &hatches, &costing);
        pruned += found.pairs - found.pairs_planned;
        for single in &found.singles {
            let made = [&hatches[single.hatches[0]]];
            let (saved, net) = worth(&problem, &items, &made, &costing);
            assert!((single.saved_minor_per_year - saved).abs() < 0.05, "{single:?}: {saved}");
            assert!((single.net_minor - net).abs() < 0.25, "{single:?}: {net}");
            assert_eq!(single.proof, Proof::Optimal);
        }
        assert!(found.singles.is_sorted_by(|a, b| a.net_minor >= b.net_minor));
        let nets: Vec<f64> =
            hatches.iter().map(|h| worth(&problem, &items, &[h], &costing).1).collect();
        let mut best: Option<(f64, f64)> = None;
        for a in 0..hatches.len() {
            for b in a + 1..hatches.len() {
                let made = [&hatches[a], &hatches[b]];
                let (saved, net) = worth(&problem, &items, &made, &costing);
                if best.is_none_or(|(_, most)| net > most) {
                    best = Some((saved, net));
                }
                synergies += usize::from(net > nets[a] + nets[b] + 1.0);
            }
        }
        if let (Some(pair), Some((_, net))) = (&found.pair, best) {
            assert!((pair.net_minor - net).abs() < 0.25, "{pair:?}: {net}");
            compared += 1;
        }
    }
    assert!(compared > 80 && synergies > 50 && pruned > 100, "{compared} {synergies} {pruned}");
}

/// The expected cost of a year's service falls or stays with any hatch; with no breakage in the
/// vehicle so does the access index in minutes.
#[test]
fn the_index_never_rises_with_a_hatch() {
    let mut dice = Dice(12);
    let mut fell = 0;
    for _ in 0..200 {
        let (mut problem, items, hatches, costing) = draw(&mut dice);
        for removal in &mut problem.removals {
            removal.breakage = None;
            removal.damage = access::Damage::None;
        }
        let found = ask(&problem, &items, &hatches, &costing);
        let gains = |p: &Proposal| {
            assert!(p.saved_minor_per_year >= 0.0 && p.saved_min_per_year >= -1e-9, "{p:?}");
            usize::from(p.saved_min_per_year > 0.0)
        };
        fell += found.singles.iter().chain(&found.pair).map(gains).sum::<usize>();
    }
    assert!(fell > 100, "{fell}");
}
