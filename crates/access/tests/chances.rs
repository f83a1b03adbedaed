//! Distributions of sums against figures computed elsewhere (`data/chances.py`: inversion of
//! characteristic functions with scipy, no grid) and against closed forms.

mod problems;

use access::{Breakage, Chances, Damage, Percentile, Piece, Spread, plan};
use problems::{Dice, PLAIN, tangle};
use serde::Deserialize;

#[derive(Deserialize)]
struct File {
    sum: Vec<Sum>,
}

#[derive(Deserialize)]
struct Sum {
    name: String,
    pieces: Vec<[f64; 3]>,
    perhaps: Vec<[f64; 2]>,
    mean: f64,
    sd: f64,
    p50: f64,
    p80: f64,
    p90: f64,
}

fn spread([low_min, likely_min, high_min]: [f64; 3]) -> Spread {
    Spread { low_min, likely_min, high_min }
}

impl Sum {
    fn pieces(&self) -> Vec<Piece> {
        let spreads = self.pieces.iter().map(|three| Piece::Spread(spread(*three)));
        let perhaps = self.perhaps.iter().map(|[probability, amount]| Piece::Perhaps {
            probability: *probability,
            amount: *amount,
        });
        spreads.chain(perhaps).collect()
    }
}

/// The first sum is the worked PERT example te = 8.5, sigma = 1.826, 90 % at 10.84. Its 10.84 is the
/// normal approximation with the handbook's variance ((b-a)/6)². The beta-PERT times themselves
/// have variances 3, 1/7 and 3/7 (sigma 1.890, not 1.826) and a tail to the right, so that nine
/// times out of ten takes up to 11.12 minutes: the approximation promises 17 s too little.
#[test]
fn sums_agree_with_an_independent_computation() {
    let file: File = toml::from_str(include_str!("data/chances.toml")).unwrap();
    assert_eq!(file.sum.len(), 6);
    for sum in &file.sum {
        let chances = Chances::of(&sum.pieces());
        let near = |what: &str, value: f64, expected: f64, within: f64| {
            assert!((value - expected).abs() <= within, "{} {what}: {value}, {expected}", sum.name);
        };
        // Held to a thousandth of the standard deviation, far inside the proven bound.
        near("mean", chances.mean(), sum.mean, 1e-8);
        near("sd", chances.sd(), sum.sd, 1e-3 * sum.sd);
        for (percentile, expected) in
            [(Percentile::P50, sum.p50), (Percentile::P80, sum.p80), (Percentile::P90, sum.p90)]
        {
            near("percentile", chances.percentile(percentile), expected, 1e-3 * sum.sd);
            near("bound", chances.percentile(percentile), expected, chances.error());
        }
    }
}

/// Beta with shapes 1 and 5 (likely at the low end) has F(x) = 1 - (1 - x)^5.
#[test]
fn one_piece_meets_its_closed_form() {
    let chances = Chances::of(&[Piece::Spread(spread([10.0, 10.0, 40.0]))]);
    for (percentile, share) in [(Percentile::P50, 0.5), (Percentile::P80, 0.8)] {
        let expected = 10.0 + 30.0 * (1.0 - f64::powf(1.0 - share, 0.2));
        assert!((chances.percentile(percentile) - expected).abs() < 0.005);
    }
}

/// A breakage alone: nothing in seven cases of ten, all of it in three.
#[test]
fn what_breaks_three_times_in_ten_costs_nothing_in_half_and_all_in_eight_of_ten() {
    let chances = Chances::of(&[Piece::Perhaps { probability: 0.3, amount: 200.0 }]);
    assert!(chances.percentile(Percentile::P50).abs() < 0.1);
    assert!((chances.percentile(Percentile::P80) - 200.0).abs() < 0.1);
    assert!((chances.mean() - 60.0).abs() < 1e-9);
}

#[test]
fn what_is_exact_has_no_spread() {
    let exact =
        Chances::of(&[Piece::Spread(Spread::exactly(3.0)), Piece::Spread(Spread::exactly(4.5))]);
    for percentile in [Percentile::P50, Percentile::P80, Percentile::P90] {
        assert!((exact.percentile(percentile) - 7.5).abs() < 1e-12);
    }
    assert!(exact.sd() < 1e-12 && exact.error() < 1e-12);
    assert!(Chances::of(&[]).mean().abs() < 1e-12);
}

/// On random sums: the mean is the sum of means; P50 <= P80 <= P90; none above the sum of worst
/// cases; and the P80 of the whole is below the sum of the P80s (what adding worst cases would say)
/// or at most level with it.
#[test]
fn spreads_add_up_as_chances_and_not_as_worst_cases() {
    let mut dice = Dice(20_250_101);
    for _ in 0..25 {
        let pieces: Vec<Piece> = (0..2 + dice.below(12))
            .map(|_| {
                let low = dice.below(20) as f64 / 2.0;
                let likely = low + dice.below(12) as f64;
                Piece::Spread(spread([low, likely, likely + 1.0 + dice.below(30) as f64]))
            })
            .collect();
        let mean: f64 = pieces.iter().map(|piece| Chances::of(&[*piece]).mean()).sum();
        let worst: f64 = pieces.iter().map(|piece| p80(&[*piece])).sum();
        let sum = Chances::of(&pieces);
        let [p50, p80, p90] =
            [Percentile::P50, Percentile::P80, Percentile::P90].map(|p| sum.percentile(p));
        assert!((sum.mean() - mean).abs() < 1e-9 * mean.max(1.0));
        assert!(p50 <= p80 && p80 <= p90);
        assert!(p80 < worst, "{p80} against {worst}");
    }
}

fn p80(pieces: &[Piece]) -> f64 {
    Chances::of(pieces).percentile(Percentile::P80)
}

/// Expected minutes and money of a plan, as the planner weighs them, are the means of its spreads.
#[test]
fn the_spread_of_a_plan_has_the_mean_the_planner_weighed() {
    let mut dice = Dice(8);
    let mut seen = 0;
    for _ in 0..100 {
        let (problem, targets, costing) = tangle(&mut dice, 8);
        let Ok(plan) = plan(&problem, &targets, &costing) else { continue };
        let minutes = plan.minutes(&problem);
        let money = plan.money_minor(&problem, &costing);
        assert!((minutes.mean() - plan.total.mean_min).abs() < 1e-7);
        assert!((money.mean() - plan.cost_minor).abs() < 1e-3);
        assert!(money.percentile(Percentile::P50) <= money.percentile(Percentile::P80));
        seen += usize::from(!plan.steps.is_empty());
    }
    assert!(seen > 20, "{seen} plans with a step");
}

/// 20 minutes at 1.00 a minute and one chance in ten of 300.00: half the jobs cost 20.00, and so do
/// eight of ten; the expected 50.00 is what no single job costs.
#[test]
fn money_of_a_risky_step_shows_both_outcomes() {
    let problem = access::Problem {
        parts: problems::parts(&["panel"]),
        removals: vec![access::Removal {
            breakage: Some(Breakage { probability: 0.1, cost_minor: 30_000 }),
            damage: Damage::MayBreak,
            ..problems::removal(0, &[], 20.0)
        }],
        ..access::Problem::default()
    };
    let plan = plan(&problem, &[problems::target(&[&[0]])], &PLAIN).unwrap();
    let money = plan.money_minor(&problem, &PLAIN);
    assert!((money.mean() - 5_000.0).abs() < 1e-6);
    for percentile in [Percentile::P50, Percentile::P80] {
        assert!((money.percentile(percentile) - 2_000.0).abs() < 15.0);
    }
}
