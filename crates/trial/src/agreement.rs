//! How well what is predicted under the truth agrees with what is read: the check of the belief's own
//! model, apart from any policy.

use diagnose::{Benches, Observations, What, offered};
use model::{ReadingPoints, Shows, StateId};

use crate::cases::Case;
use crate::ground::Ground;
use crate::technician::Technician;
use crate::world::World;

/// One thing read or seen, with what the true faults make the program expect there.
#[derive(Clone, Debug, PartialEq)]
pub struct Agreement {
    /// In which state.
    pub state: StateId,
    /// What was looked at.
    pub what: What,
    /// A reading: shown, expected, standard deviation of the two together.
    pub reading: Option<(f64, f64, f64)>,
    /// A word: what it does, what is expected.
    pub words: Option<(Shows, Option<Shows>)>,
    /// The program expects it to start and stop.
    pub hunts: bool,
}

/// Everything that could be read in the states complained of, once.
pub fn agreements(ground: &Ground, benches: &mut Benches<'_>, case: &Case) -> Vec<Agreement> {
    let world = World::new(&ground.vehicle, &ground.catalog, case.faults.clone(), case.seed);
    let technician = Technician::new(&ground.catalog, case.seed);
    let truth: Vec<(usize, f64)> = case.faults.iter().map(|f| (f.suspect, f.size)).collect();
    let mut all = Vec::new();
    let mut states: Vec<StateId> = case.complaints.iter().map(|c| c.state).collect();
    states.sort_unstable();
    states.dedup();
    for state in states {
        benches.add(state);
        let Some(answered) = benches.answer(state, &truth) else { continue };
        let nothing = benches.answer(state, &[]);
        for check in offered(&ground.vehicle, &ground.catalog, &Observations::default(), Some(state))
        {
            if check.state != Some(state) {
                continue;
            }
            match check.what {
                What::Watch(device) => {
                    let Some(does) = world.shows(state, device) else { continue };
                    let expected = benches.shows(state, device, &answered);
                    all.push(Agreement { state, what: check.what, reading: None, words: Some((does, expected)), hunts: false });
                }
                What::Read(points) => {
                    let Some(shown) = technician.reads(&world, state, points, 7) else { continue };
                    let values = benches.values(state, points, &answered);
                    let unsigned = matches!(points, ReadingPoints::In(_) | ReadingPoints::Over(_));
                    let near = |value: &f64| if unsigned { value.abs() } else { *value };
                    let Some(expected) = values
                        .iter()
                        .map(near)
                        .min_by(|a, b| (a - shown.value).abs().total_cmp(&(b - shown.value).abs()))
                    else {
                        continue;
                    };
                    let prediction = if benches.floats(state, points, &answered) { Benches::ghost() } else { benches.prediction(state, points, expected) };
                    let healthy = nothing.as_ref().and_then(|n| benches.values(state, points, n).first().copied()).unwrap_or(expected);
                    let class = ground.catalog.instruments.get(shown.meter.class);
                    let (gain, zero) = class.map_or((0.0, 0.0), |class| (class.gain, class.zero));
                    let meter = (gain * shown.value.abs() + zero + shown.meter.step) / 3.0_f64.sqrt();
                    let shared = prediction.per_parameter.iter().map(|s| s * s).sum::<f64>().sqrt();
                    let change = Benches::spread_of_change(points, expected - near(&healthy), benches.nominal_v());
                    let sd = meter.hypot(shared).hypot(prediction.own_spread).hypot(change);
                    all.push(Agreement { state, what: check.what, reading: Some((shown.value, expected, sd)), words: None, hunts: values.len() > 1 });
                }
                What::Look(_) => {}
            }
        }
    }
    all
}
