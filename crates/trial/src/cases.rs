//! Cases: what is truly wrong, what the owner says, what was read at the counter. Drawn from the odds
//! of the suspects; sizes anywhere between those that the catalog tries.

use diagnose::{Fault, Suspect};
use model::{DeviceId, Pole, ReadingPoints, Role, Shows, StateId};
use testkit::Dice;

use crate::ground::Ground;
use crate::technician::Technician;
use crate::world::{TrueFault, World};

/// Draws before a case is given up.
const TRIES: usize = 200;

/// What the owner complains of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Complaint {
    /// On which device.
    pub device: DeviceId,
    /// In which state.
    pub state: StateId,
    /// In the owner's word, which may be the wrong one.
    pub word: Shows,
}

/// A case.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// Decides everything that is drawn for it.
    pub seed: u64,
    /// What is truly wrong. For the world only.
    pub faults: Vec<TrueFault>,
    /// One for each fault, or one for both.
    pub complaints: Vec<Complaint>,
    /// Readings taken at the counter: at points that stand open.
    pub at_counter: Vec<(StateId, ReadingPoints)>,
}

/// Draws the case of a seed; `None` if no fault of the vehicle shows in what equipment does.
pub fn draw(ground: &Ground, seed: u64) -> Option<Case> {
    let mut dice = Dice::for_purpose(seed, 1);
    let healthy = World::new(&ground.vehicle, &ground.catalog, Vec::new(), seed);
    let technician = Technician::new(&ground.catalog, seed);
    let weights: Vec<f64> = ground.suspects.iter().map(odds).collect();
    let two = dice.chance(ground.catalog.faults.second_defect);
    for _ in 0..TRIES {
        let count = if two { 2 } else { 1 };
        let faults: Vec<TrueFault> =
            (0..count).map(|_| fault(ground, &weights, &mut dice)).collect();
        if count == 2 && faults[0].place == faults[1].place {
            continue;
        }
        let world = World::new(&ground.vehicle, &ground.catalog, faults.clone(), seed);
        if ground.vehicle.states.ids().any(|state| world.burns(&healthy, state)) {
            continue;
        }
        let complaints: Option<Vec<Complaint>> = faults
            .iter()
            .map(|fault| {
                let alone = World::new(&ground.vehicle, &ground.catalog, vec![fault.clone()], seed);
                let seen = visible(ground, &healthy, &alone);
                let both: Vec<_> =
                    seen.into_iter().filter(|(s, d)| is_amiss(&healthy, &world, *s, *d)).collect();
                if both.is_empty() {
                    return None;
                }
                let (state, device) = dice.pick(&both);
                let truth = world.shows(state, device)?;
                let word = technician.owner_calls(truth, state, device);
                Some(Complaint { device, state, word })
            })
            .collect();
        let Some(mut complaints) = complaints else { continue };
        complaints.dedup_by_key(|complaint| (complaint.device, complaint.state));
        let at_counter = at_counter(ground, &complaints, &mut dice);
        return Some(Case { seed, faults, complaints, at_counter });
    }
    None
}

/// A suspect that changes nothing can be nobody's fault.
fn odds(suspect: &Suspect) -> f64 {
    if suspect.fault == Fault::AsBuilt { 0.0 } else { suspect.prior }
}

fn fault(ground: &Ground, weights: &[f64], dice: &mut Dice) -> TrueFault {
    let at = dice.weighted(weights);
    let suspect = &ground.suspects[at];
    let (least, most) = suspect
        .sizes
        .iter()
        .fold((f64::INFINITY, 0.0_f64), |(least, most), size| (least.min(*size), most.max(*size)));
    let size = dice.between(least.ln(), most.ln()).exp();
    TrueFault { suspect: at, fault: suspect.fault.clone(), size, place: suspect.place }
}

/// Equipment of the direct-current side that does not do what it would do in the healthy vehicle.
fn visible(ground: &Ground, healthy: &World<'_>, with: &World<'_>) -> Vec<(StateId, DeviceId)> {
    let states = ground.vehicle.states.ids();
    states
        .flat_map(|state| ground.vehicle.devices.ids().map(move |device| (state, device)))
        .filter(|(state, device)| {
            ground.vehicle.devices[*device].role != Role::Battery
                && is_amiss(healthy, with, *state, *device)
        })
        .collect()
}

fn is_amiss(healthy: &World<'_>, with: &World<'_>, state: StateId, device: DeviceId) -> bool {
    let now = with.shows(state, device);
    healthy.shows(state, device) == Some(Shows::Works) && now.is_some_and(|now| now != Shows::Works)
}

/// None to two readings: at the complaint's device and other equipment that stands open.
fn at_counter(
    ground: &Ground,
    complaints: &[Complaint],
    dice: &mut Dice,
) -> Vec<(StateId, ReadingPoints)> {
    let state = complaints[0].state;
    let is_open = |device: DeviceId| {
        let reach = ground.vehicle.devices[device].reach.value();
        reach.is_some_and(|reach| reach.iter().any(Vec::is_empty))
    };
    let mut points: Vec<ReadingPoints> = ground
        .vehicle
        .devices
        .iter()
        .filter(|(id, device)| {
            is_open(*id) && (device.role.is_dc_load() || device.role == Role::Battery)
        })
        .filter_map(|(id, _)| across(ground, id))
        .collect();
    dice.shuffle(&mut points);
    points.truncate(dice.below(3));
    points.into_iter().map(|points| (state, points)).collect()
}

/// Across the two poles of a device.
pub fn across(ground: &Ground, device: DeviceId) -> Option<ReadingPoints> {
    let of = |pole: Pole| {
        let terminals = &ground.vehicle.devices[device].terminals;
        terminals.iter().copied().find(|id| ground.vehicle.terminals[*id].pole == pole)
    };
    Some(ReadingPoints::Between(of(Pole::Plus)?, of(Pole::Minus)?))
}
