//! Small random questions: nets with parts in the way of the hands.

use access::{
    Breakage, Costing, Damage, Part, PartIdx, Permitted, Presence, Problem, Removal, Spread,
};
use dead::{Action, Net, Start, Touch, Way};
use fastrand::Rng;

/// Worth of a minute, minor money units.
pub(crate) const MINUTE: f64 = 100.0;

pub(crate) fn costing() -> Costing {
    Costing {
        value_of_a_minute: MINUTE,
        allow: Permitted::Anything,
        if_unpriced: Breakage { probability: 0.5, cost_minor: 0 },
    }
}

/// A net of up to 9 points, 3 poles and 12 actions.
pub(crate) fn net(rng: &mut Rng, parts: usize) -> Net {
    let points = rng.usize(3..=9);
    let ways: Vec<Way> = (0..rng.usize(points..=2 * points))
        .map(|_| Way {
            a: rng.usize(..points),
            b: rng.usize(..points),
            one_way: rng.u8(..100) < 20,
            doubtful: rng.u8(..100) < 20,
        })
        .collect();
    let table = |rng: &mut Rng, percent: u8| {
        if rng.bool() { Vec::new() } else { (0..points).map(|_| rng.u8(..100) < percent).collect() }
    };
    let starts = (0..rng.usize(1..=3))
        .map(|index| Start {
            points: vec![rng.usize(..points)],
            doubtful: rng.u8(..100) < 20,
            both_ways: rng.u8(..100) < 20,
            never: table(rng, 10),
            held: table(rng, 20),
            fed_by: if index > 0 && rng.u8(..100) < 40 {
                vec![rng.usize(..points)]
            } else {
                Vec::new()
            },
        })
        .collect::<Vec<_>>();
    let actions = (0..rng.usize(1..=12)).map(|index| {
        let calms = rng.u8(..100) < 10;
        let stops = !calms && rng.u8(..100) < 15;
        let some = |rng: &mut Rng, percent: u8| -> Vec<usize> {
            (0..starts.len()).filter(|_| rng.u8(..100) < percent).collect()
        };
        let way = rng.usize(..ways.len());
        let touch = if !calms && rng.u8(..100) < 35 { Touch::Bare } else { Touch::Covered };
        Action {
            name: format!("a{index}"),
            cuts: if stops || calms { Vec::new() } else { vec![way] },
            stops: if stops { vec![rng.usize(..starts.len())] } else { Vec::new() },
            minutes: f64::from(rng.u32(0..=6)),
            back_min: f64::from(rng.u32(0..=6)),
            risk_min: f64::from(rng.u32(0..=4)),
            reach: (0..rng.usize(1..=2))
                .map(|_| (0..rng.usize(0..=2)).map(|_| PartIdx(rng.usize(..parts))).collect())
                .collect(),
            touch,
            at: if stops || calms { Vec::new() } else { vec![ways[way].a, ways[way].b] },
            loaded_by: if !calms && rng.u8(..100) < 30 { some(rng, 60) } else { Vec::new() },
            calms: if calms { some(rng, 60) } else { Vec::new() },
        }
    });
    let actions = actions.collect();
    let area = (0..rng.usize(1..=2)).map(|_| rng.usize(..points)).collect();
    Net { points, ways, starts, actions, area }
}

/// Parts, each with one removal that may need parts of a lower number.
pub(crate) fn problem(rng: &mut Rng, parts: usize) -> Problem {
    let removal = |rng: &mut Rng, part: usize| Removal {
        part: PartIdx(part),
        label: "out".to_owned(),
        needs: (0..part).filter(|_| rng.u8(..100) < 30).map(PartIdx).collect(),
        setups: Vec::new(),
        minutes_out: Spread::exactly(f64::from(rng.u32(1..=9))),
        minutes_back: Spread::exactly(0.0),
        breakage: None,
        damage: Damage::None,
    };
    Problem {
        parts: (0..parts)
            .map(|part| Part { name: format!("p{part}"), presence: Presence::Fitted })
            .collect(),
        removals: (0..parts).map(|part| removal(rng, part)).collect(),
        setups: Vec::new(),
    }
}
