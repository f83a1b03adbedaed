//! Published state of two textbook circuits, and what a probe tells there.

use crate::{Belief, Outcome, Outcomes, entropy_bit};

const M1: usize = 0;
const M2: usize = 1;
const M3: usize = 2;
const A1: usize = 3;
const A2: usize = 4;

/// X, Y, Z of the multiplier circuit if these parts are bad, from 10 and 12 at its outputs; `None`: it
/// cannot be. Parts in order give X = Y = Z = 6, X + Y = 10, Y + Z = 12.
fn forced(bad: &[bool; 5]) -> Option<[Option<i32>; 3]> {
    let mut value = [None; 3];
    let mut consistent = true;
    let mut set = |value: &mut [Option<i32>; 3], at: usize, to: i32| match value[at] {
        Some(known) => consistent &= known == to,
        None => value[at] = Some(to),
    };
    for _ in 0..4 {
        for (at, part) in [(0, M1), (1, M2), (2, M3)] {
            if !bad[part] {
                set(&mut value, at, 6);
            }
        }
        for (a, b, part, sum) in [(0, 1, A1, 10), (1, 2, A2, 12)] {
            if !bad[part] {
                if let Some(known) = value[a] {
                    set(&mut value, b, sum - known);
                }
                if let Some(known) = value[b] {
                    set(&mut value, a, sum - known);
                }
            }
        }
    }
    consistent.then_some(value)
}

/// Each suspect makes one outcome certain.
fn certain(outcomes: &[Option<i32>]) -> Outcomes {
    let mut kinds: Vec<Option<i32>> = outcomes.to_vec();
    kinds.sort_unstable();
    kinds.dedup();
    let row = |of: &Option<i32>| kinds.iter().map(|k| f64::from(u8::from(k == of))).collect();
    Outcomes {
        rows: outcomes.iter().map(row).collect(),
        bands: vec![Vec::new(); outcomes.len()],
        kinds: kinds.iter().map(|k| Outcome::Between(k.unwrap_or(0).into(), 0.0)).collect(),
    }
}

/// Circuit of de Kleer and Williams, "Diagnosing multiple faults", Artificial Intelligence 32 (1987),
/// each part bad with 0.01: 27 of 32 sets are possible, and the probe at X is the one to take (their
/// conclusion, from memory). Figures from an independent script that goes through all sets.
#[test]
fn the_probe_at_x_tells_most() {
    let mut weights = Vec::new();
    let mut probes: [Vec<Option<i32>>; 3] = Default::default();
    for set in 0..32_u32 {
        let bad = std::array::from_fn(|k| set >> k & 1 == 1);
        let Some(values) = forced(&bad) else { continue };
        weights.push(
            0.01_f64.powi(set.count_ones() as i32) * 0.99_f64.powi(5 - set.count_ones() as i32),
        );
        for (probe, value) in probes.iter_mut().zip(values) {
            probe.push(value);
        }
    }
    assert_eq!(weights.len(), 27);
    let weights = Belief::from_prior(&weights).expect("weights").weights();
    assert!((entropy_bit(&weights) - 1.359_45).abs() < 5e-6, "{}", entropy_bit(&weights));
    for (probe, bit) in probes.iter().zip([1.040_84, 0.081_54, 0.047_40]) {
        let gain = certain(probe).gain_bit(&weights);
        assert!((gain - bit).abs() < 5e-6, "{gain} not {bit}");
    }
}

/// Three inverters in a row with stuck outputs (the case of lecture notes on behavioural modes; the
/// figures from an independent script): 0 in, 0 out where 1 is due. A and B mostly stick at 1, C at 0.
#[test]
fn the_probe_behind_the_second_inverter_tells_most() {
    // good, stuck at 1, stuck at 0
    let odds = [[0.99, 0.0099, 0.0001], [0.99, 0.0099, 0.0001], [0.99, 0.0001, 0.0099]];
    let through = |mode: usize, input: i32| [1 - input, 1, 0][mode];
    let (mut prior, mut likelihood, mut x, mut y) = (vec![], vec![], vec![], vec![]);
    for k in 0..27 {
        let modes = [k % 3, k / 3 % 3, k / 9];
        prior.push((0..3).map(|part| odds[part][modes[part]]).product::<f64>());
        let (after_a, after_b) = (through(modes[0], 0), through(modes[1], through(modes[0], 0)));
        x.push(Some(after_a));
        y.push(Some(after_b));
        likelihood.push(if through(modes[2], after_b) == 0 { 0.0 } else { f64::NEG_INFINITY });
    }
    let seen: f64 = prior.iter().zip(&likelihood).filter(|(_, l)| **l >= 0.0).map(|(p, _)| p).sum();
    assert!((seen - 0.019_799_01).abs() < 5e-9, "{seen}");
    let (after, possible) = Belief::from_prior(&prior).expect("weights").after(&likelihood);
    assert!(possible);
    let weights = after.weights();
    let single = |part: u32, mode: usize| weights[mode * 3_usize.pow(part)];
    for (found, expected) in
        [(single(1, 1), 0.490_07), (single(2, 2), 0.490_07), (single(0, 2), 0.004_95)]
    {
        assert!((found - expected).abs() < 6e-6, "{found} not {expected}");
    }
    let (gain_x, gain_y) = (certain(&x).gain_bit(&weights), certain(&y).gain_bit(&weights));
    assert!(
        (gain_x - 0.0458).abs() < 5e-5 && (gain_y - 0.999_93).abs() < 5e-6,
        "{gain_x} {gain_y}"
    );
}
