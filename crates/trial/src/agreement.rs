//! How well what is predicted under the truth agrees with what is read and seen: a check of the
//! belief's own model, apart from any policy. Strays apart (2 %), nearly every reading should lie
//! within four standard deviations.

use std::collections::BTreeSet;

use diagnose::{Benches, Observations, Sized, What, offered};
use model::{ReadingPoints, StateId};

use crate::cases::Case;
use crate::ground::Ground;
use crate::technician::Technician;
use crate::world::World;

/// Standard deviations beyond which a reading is called far off.
const FAR: f64 = 4.0;
/// Readings of the probe are taken apart from those of the cases.
const AGAIN: usize = 7;

/// Readings and words, and how many of them are not what the true faults make the program expect.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Agreement {
    /// Readings.
    pub readings: usize,
    /// Those further off than four standard deviations of instrument and sums together.
    pub far: usize,
    /// Words for what equipment does.
    pub words: usize,
    /// Those that are others.
    pub others: usize,
}

impl Agreement {
    /// Adds another.
    pub fn add(&mut self, other: Agreement) {
        self.readings += other.readings;
        self.far += other.far;
        self.words += other.words;
        self.others += other.others;
    }
}

/// Everything that can be read and watched in the states complained of, each once.
pub fn agreement(ground: &Ground, benches: &mut Benches<'_>, case: &Case) -> Agreement {
    let truth: Vec<Sized> = case.faults.iter().map(|f| (f.suspect, f.size)).collect();
    let states: BTreeSet<StateId> = case.complaints.iter().map(|c| c.state).collect();
    let mut all = Agreement::default();
    for state in states {
        benches.add(state);
        if let Some(found) = in_state(ground, benches, case, &truth, state) {
            all.add(found);
        }
    }
    all
}

fn in_state(
    ground: &Ground,
    benches: &mut Benches<'_>,
    case: &Case,
    truth: &[Sized],
    state: StateId,
) -> Option<Agreement> {
    let world = World::new(&ground.vehicle, &ground.catalog, case.faults.clone(), case.seed);
    let technician = Technician::new(&ground.catalog, case.seed);
    let answered = benches.answer(state, truth)?;
    let healthy = benches.answer(state, &[])?;
    let nothing_seen = Observations::default();
    let mut found = Agreement::default();
    for check in offered(&ground.vehicle, &ground.catalog, &nothing_seen, Some(state)) {
        match check.what {
            What::Watch(device) if check.state == Some(state) => {
                let Some(does) = world.shows(state, device) else { continue };
                found.words += 1;
                let expected = benches.shows(state, device, &answered);
                found.others += usize::from(expected != Some(does));
            }
            What::Read(points) if check.state == Some(state) => {
                let Some(shown) = technician.reads(&world, state, points, AGAIN) else { continue };
                let is_unsigned = matches!(points, ReadingPoints::In(_) | ReadingPoints::Over(_));
                let sign = |value: &f64| if is_unsigned { value.abs() } else { *value };
                let values = benches.values(state, points, &answered);
                let off = |value: &f64| (value - shown.value).abs();
                let nearest = values.iter().map(sign).min_by(|a, b| off(a).total_cmp(&off(b)));
                let Some(expected) = nearest else { continue };
                let of = match benches.floats(state, points, &answered) {
                    true => diagnose::ghost(),
                    false => benches.prediction(state, points, expected),
                };
                let before = benches.values(state, points, &healthy).first().map(sign);
                let change = expected - before.unwrap_or(expected);
                let class = ground.catalog.instruments.get(shown.meter.class)?;
                let width = class.gain * shown.value.abs() + class.zero + shown.meter.step;
                let shared: f64 = of.per_parameter.iter().map(|slope| slope * slope).sum();
                let spread = (width / 3.0_f64.sqrt()).hypot(of.own_spread).hypot(shared.sqrt());
                let change = diagnose::spread_of_change(points, change, benches.nominal_v());
                found.readings += 1;
                found.far += usize::from(off(&expected) > FAR * spread.hypot(change));
            }
            _ => {}
        }
    }
    Some(found)
}
