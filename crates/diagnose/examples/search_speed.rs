//! How long a search takes on invented vehicles of 150 wires and 40 parts: ranking after a complaint,
//! ranking after one more reading, and the next check. Prints JSON, milliseconds.
//!
//! A lamp's feed is opened in the circuit; the complaint is that the lamp is dead, the reading is what
//! the circuit with the fault shows at the place that the first advice names.

#![allow(clippy::print_stdout, reason = "printing is what this program does")]

use std::time::Instant;

use catalog::Catalog;
use diagnose::{
    Advice, Asked, Benches, Fault, Step, Suspect, What, advise, observations, rank, suspects,
};
use model::{Fact, Origin, Place, Reading, ReadingPoints, Shows, StateId, Symptom, Vehicle};

/// The allocator of the program, so that its times are measured.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const SEEDS: std::ops::Range<u64> = 1..8;
const SIZE: testkit::Size = testkit::Size { wires: 150, parts: 40 };

#[derive(Default)]
struct Times {
    first_ms: Vec<f64>,
    update_ms: Vec<f64>,
    next_ms: Vec<f64>,
    suspects: Vec<usize>,
    pairs: Vec<usize>,
}

fn main() {
    let catalog = Catalog::embedded();
    let mut times = Times::default();
    for seed in SEEDS {
        let record = record::read(&testkit::vehicle(seed, SIZE), &catalog);
        measure(&record.vehicle, &catalog, &mut times);
    }
    println!(
        "{{\"first_ms\": {:?}, \"update_ms\": {:?}, \"next_ms\": {:?}, \"suspects\": {:?}, \"pairs\": {:?}}}",
        times.first_ms, times.update_ms, times.next_ms, times.suspects, times.pairs
    );
}

/// A dead load with the suspect that causes it.
fn case(
    vehicle: &Vehicle,
    benches: &mut Benches<'_>,
    list: &[Suspect],
) -> Option<(usize, model::DeviceId, StateId)> {
    let opens = list.iter().enumerate().filter(|(_, suspect)| {
        matches!(suspect.fault, Fault::Open(_)) && matches!(suspect.place, Place::Joint(_))
    });
    for (at, _) in opens {
        for (state, of) in vehicle.states.iter() {
            benches.add(state);
            for device in of.on.iter().filter(|id| vehicle.devices[**id].role.is_dc_load()) {
                let shows = |benches: &mut Benches<'_>, faults: &[(usize, f64)]| {
                    let answered = benches.answer(state, faults)?;
                    benches.shows(state, *device, &answered)
                };
                let before = shows(benches, &[]);
                if before == Some(Shows::Works) && shows(benches, &[(at, 1.0)]) == Some(Shows::Dead)
                {
                    return Some((at, *device, state));
                }
            }
        }
    }
    None
}

/// The vehicle with one complaint and nothing read.
fn complained(vehicle: &Vehicle, device: model::DeviceId, state: StateId) -> Vehicle {
    let mut vehicle = vehicle.clone();
    (vehicle.readings, vehicle.symptoms) = (Vec::new(), Vec::new());
    vehicle.symptoms.push(Symptom {
        name: "complaint".to_owned(),
        words: "dead".to_owned(),
        device: Some(device),
        state: Some(state),
        shows: Fact::known(Shows::Dead, Origin::Told { by: None, on: None }),
        after_s: None,
    });
    vehicle
}

/// The first reading among the steps.
fn first_reading(advice: &Advice) -> Option<(ReadingPoints, StateId)> {
    advice.steps.iter().find_map(|rated| match rated.step {
        Step::Check(k) => match advice.checks[k].check.what {
            What::Read(points) => Some((points, advice.checks[k].check.state?)),
            _ => None,
        },
        _ => None,
    })
}

fn reading(name: String, state: StateId, points: ReadingPoints, value: f64) -> Reading {
    let dimension = match points {
        ReadingPoints::In(_) | ReadingPoints::On(_) => units::Dimension::Current,
        _ => units::Dimension::Voltage,
    };
    let note = "multimeter".to_owned();
    Reading { name, state, points, value, dimension, spread: None, note }
}

fn measure(vehicle: &Vehicle, catalog: &Catalog, times: &mut Times) {
    let list = suspects(vehicle, catalog);
    let found = case(vehicle, &mut Benches::new(vehicle, catalog, &list), &list);
    let Some((truth, device, state)) = found else { return };
    let mut benches = Benches::new(vehicle, catalog, &list);
    let mut seen_vehicle = complained(vehicle, device, state);
    let furniture = access::vehicle::problem(vehicle, catalog).problem;
    let prices = &catalog.stand_ins;
    let costing = access::vehicle::costing(
        prices.workshop_hour.cents(),
        prices.broken_part.cents(),
        access::Permitted::Anything,
    );
    let mut done = Vec::new();
    for round in 0..4 {
        let seen = observations(&seen_vehicle, catalog);
        let start = Instant::now();
        let ranking = rank(&mut benches, &seen, catalog);
        let ms = start.elapsed().as_secs_f64() * 1e3;
        if round == 0 {
            times.first_ms.push(ms)
        } else {
            times.update_ms.push(ms)
        }
        times.pairs.push(ranking.pairs.0);
        let start = Instant::now();
        let advice = advise(
            &mut benches,
            &Asked {
                catalog,
                seen: &seen,
                ranking: &ranking,
                furniture: &furniture,
                costing,
                now: Some(state),
                done: &done,
            },
        );
        times.next_ms.push(start.elapsed().as_secs_f64() * 1e3);
        let read = first_reading(&advice);
        let Some((points, at)) = read else { break };
        done.push((What::Read(points), Some(at)));
        let Some(answered) = benches.answer(at, &[(truth, 1.0)]) else { break };
        let Some(value) = benches.values(at, points, &answered).first().copied() else { break };
        seen_vehicle.readings.push(reading(format!("r{round}"), at, points, value));
    }
    times.suspects.push(list.len());
}
