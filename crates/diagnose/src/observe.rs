//! What was read and noticed, as evidence: where, in which state, how far the instrument may be off,
//! and how often people call a thing something else than it is.

use catalog::{Catalog, Instrument};
use model::{
    Condition, DeviceId, JointId, Origin, Place, Reading as Written, ReadingPoints, Role, Shows,
    StateId, TerminalId, Vehicle,
};
use units::Dimension;

use crate::evidence::Reading;
use crate::instrument::Accuracy;

/// Volts a stray reading may show beyond those of the highest source, and amperes it may show.
const STRAY_V: f64 = 4.0;
const STRAY_A: f64 = 400.0;

/// One reading, ready to be held against predictions.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// Its name in the record.
    pub name: String,
    /// In which state.
    pub state: StateId,
    /// Where.
    pub points: ReadingPoints,
    /// What it showed, and how far that may be off.
    pub reading: Reading,
    /// The instrument, in words.
    pub instrument: String,
    /// The accuracy is that of a class of instruments, not one that was written down.
    pub accuracy_is_usual: bool,
    /// Its sign means nothing: nobody wrote down which way round the clamp or the probes went.
    pub unsigned: bool,
}

/// Something noticed, in a word of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Noticed {
    /// Its words in the record.
    pub words: String,
    /// On which device.
    pub device: DeviceId,
    /// In which state.
    pub state: StateId,
    /// What.
    pub shows: Shows,
    /// How often the one who says so is wrong.
    pub error: f64,
}

/// A joint somebody looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Looked {
    /// Which.
    pub joint: JointId,
    /// It looked bad, or moved.
    pub is_bad: bool,
}

/// A reading that cannot be one.
#[derive(Clone, Debug, PartialEq)]
pub struct Impossible {
    /// Its name in the record.
    pub name: String,
    /// Why.
    pub why: String,
}

/// All that speaks for and against suspects.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Observations {
    /// Readings that can be ones.
    pub taken: Vec<Taken>,
    /// Readings left out, with the reason.
    pub impossible: Vec<Impossible>,
    /// What was noticed, where it can be held against a computed state.
    pub noticed: Vec<Noticed>,
    /// Joints somebody looked at.
    pub looked: Vec<Looked>,
    /// Terminals that a probe could not touch.
    pub not_reached: Vec<TerminalId>,
    /// Places that were put right, and what is complained of stayed.
    pub no_cure: Vec<Place>,
}

impl Observations {
    /// Whether nothing was observed.
    pub fn is_empty(&self) -> bool {
        self.taken.is_empty() && self.noticed.is_empty()
    }

    /// States that matter.
    pub fn states(&self) -> Vec<StateId> {
        let taken = self.taken.iter().map(|taken| taken.state);
        let mut states: Vec<StateId> =
            taken.chain(self.noticed.iter().map(|noticed| noticed.state)).collect();
        states.sort_unstable();
        states.dedup();
        states
    }
}

/// Reads what the record says was read and noticed since a repair last changed something.
pub fn observations(vehicle: &Vehicle, catalog: &Catalog) -> Observations {
    let history = &vehicle.history;
    let repaired = history.changed.iter().map(|repaired| repaired.place);
    let mut found = Observations {
        not_reached: history.not_reached.clone(),
        no_cure: history.no_cure.iter().copied().chain(repaired).collect(),
        ..Observations::default()
    };
    let highest_v = highest_v(vehicle, catalog);
    let mut names: Vec<String> = Vec::new();
    for written in vehicle.readings.iter().filter(|read| !history.is_laid_aside(&read.name)) {
        if let Some(why) = impossible(written, highest_v) {
            found.impossible.push(Impossible { name: written.name.clone(), why });
            continue;
        }
        let (class, instrument) = instrument(written, catalog);
        let at = names.iter().position(|name| *name == class).unwrap_or_else(|| {
            names.push(class.clone());
            names.len() - 1
        });
        found.taken.push(taken(written, class, instrument, at, highest_v));
    }
    for symptom in vehicle.symptoms.iter().filter(|told| !history.is_laid_aside(&told.name)) {
        let (Some(device), Some(state)) = (symptom.device, symptom.state) else { continue };
        let model::Fact::Known { value, origin } = &symptom.shows else { continue };
        if !can_be_said_of(*value, vehicle.devices[device].role) {
            continue;
        }
        let error = match origin {
            Origin::Told { .. } | Origin::Assumed { .. } => catalog.faults.owner_error,
            _ => catalog.faults.technician_error,
        };
        let words = symptom.words.clone();
        found.noticed.push(Noticed { words, device, state, shows: *value, error });
    }
    for (joint, of) in vehicle.joints.iter() {
        if let Some(condition) = of.condition.evidence() {
            let is_bad = *condition != Condition::Good;
            found.looked.push(Looked { joint, is_bad });
        }
    }
    found
}

/// Whether the circuit tells anything of a word: tripping and warmth of fuses and breakers only.
pub fn can_be_said_of(shows: Shows, role: Role) -> bool {
    let is_protective = matches!(role, Role::Fuse | Role::Breaker | Role::FuseBox);
    is_protective || !matches!(shows, Shows::Trips | Shows::Warm)
}

fn taken(
    written: &Written,
    class: String,
    instrument: &Instrument,
    at: usize,
    highest_v: f64,
) -> Taken {
    let usual = Accuracy { gain_share: instrument.gain, offset: instrument.zero };
    let accuracy = match written.spread {
        Some(spread) => Accuracy { gain_share: 0.0, offset: spread },
        None => usual,
    };
    let possible_range = match written.dimension {
        Dimension::Current => 2.0 * STRAY_A,
        _ => 2.0 * (highest_v + STRAY_V),
    };
    let is_current = written.dimension == Dimension::Current;
    let is_over = matches!(written.points, ReadingPoints::Over(_));
    Taken {
        name: written.name.clone(),
        state: written.state,
        points: written.points,
        reading: Reading { shown: written.value, accuracy, instrument: at, possible_range },
        instrument: class,
        accuracy_is_usual: written.spread.is_none(),
        unsigned: is_over || is_current && written.value >= 0.0,
    }
}

/// The instrument a reading names behind its comma, else the usual one for what it measures.
fn instrument<'c>(written: &Written, catalog: &'c Catalog) -> (String, &'c Instrument) {
    let note = written.note.to_lowercase();
    let name = match (written.points, written.dimension) {
        (ReadingPoints::On(_), _) => "display",
        (_, Dimension::Current) if note.contains("multimeter") => "multimeter amps",
        (_, Dimension::Current) => "clamp",
        _ if note.contains("millivolt") => "multimeter millivolts",
        _ => "multimeter volts",
    };
    let instrument = catalog.instruments.get(name).expect("the catalog holds every usual class");
    (name.to_owned(), instrument)
}

/// Why a reading cannot be one: more volts than all sources of the direct-current side together make.
fn impossible(written: &Written, highest_v: f64) -> Option<String> {
    let most = highest_v + STRAY_V;
    if written.dimension == Dimension::Voltage && written.value.abs() > most {
        return Some(format!(
            "no source of this vehicle makes more than {}: was it another range, or the mains side?",
            units::Volt::from_si(highest_v)
        ));
    }
    if written.dimension == Dimension::Current && written.value.abs() > 10.0 * STRAY_A {
        return Some(
            "no instrument of the workshop shows so many amperes: check the unit".to_owned(),
        );
    }
    None
}

/// The highest voltage any source may bring, with batteries and modules in series counted together.
fn highest_v(vehicle: &Vehicle, catalog: &Catalog) -> f64 {
    use model::Attribute;
    let nominal = vehicle.nominal.value().map_or(catalog.stand_ins.nominal.si(), |v| v.si());
    // A charger regulates a lead-acid bank to 1.25 times its nominal voltage at most.
    let house = 1.25 * nominal;
    let modules: f64 = vehicle
        .devices
        .iter()
        .filter(|(_, device)| device.role == Role::SolarModule)
        .filter_map(|(_, device)| device.number(Attribute::OpenVoltage))
        .sum();
    // Modules in the cold stand above their label: a tenth is common practice.
    house.max(1.1 * modules)
}
