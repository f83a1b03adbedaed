//! A technician who does what a policy says: reads instruments that are a little off, calls things
//! by words that are now and then the wrong ones, and takes a little more or less time than estimated.
//! What is drawn for a reading depends on the case and the reading, not on the order of work, so that
//! every policy meets the same luck.

use catalog::Catalog;
use model::{DeviceId, JointId, Place, ReadingPoints, Shows, StateId};
use testkit::Dice;

use crate::world::{World, key};

/// Share of readings that say nothing: probe not touching, wrong pin (own choice).
pub const STRAY_SHARE: f64 = 0.02;
/// Standard deviation of the logarithm of true minutes of a check or repair over the estimate (own
/// choice).
pub const MINUTES_SPREAD: f64 = 0.25;

/// A class of instruments as the technician holds it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Meter {
    /// Its name in the catalog.
    pub class: &'static str,
    /// Step of its last digit, in the unit of the reading (common practice, no source).
    pub step: f64,
    /// Range a stray reading may lie in, either way of zero, in the unit of the reading.
    pub stray: f64,
}

const VOLTS: Meter = Meter { class: "multimeter volts", step: 0.01, stray: 15.0 };
const MILLIVOLTS: Meter = Meter { class: "multimeter millivolts", step: 1e-4, stray: 0.4 };
const CLAMP: Meter = Meter { class: "clamp", step: 0.1, stray: 50.0 };
const DISPLAY: Meter = Meter { class: "display", step: 0.1, stray: 50.0 };

/// The technician of a case.
#[derive(Clone, Copy, Debug)]
pub struct Technician<'c> {
    catalog: &'c Catalog,
    seed: u64,
}

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// The figure, in SI.
    pub value: f64,
    /// With what.
    pub meter: Meter,
}

impl<'c> Technician<'c> {
    /// The technician of a seed.
    pub fn new(catalog: &'c Catalog, seed: u64) -> Technician<'c> {
        Technician { catalog, seed }
    }

    /// Takes a reading; `None` where the instrument has no place. `again`: how often it was taken
    /// before.
    pub fn reads(
        &self,
        world: &World<'_>,
        state: StateId,
        points: ReadingPoints,
        again: usize,
    ) -> Option<Shown> {
        let value = world.value(state, points)?;
        let meter = self.meter(points, value);
        let words = format!("reading {} {points:?} {again}", state_number(state));
        let mut dice = Dice::for_purpose(self.seed, key(&words));
        let shown = self.shown(meter, value, &mut dice);
        // Nobody writes down which way round the clamp or the probes over a joint went.
        let is_unsigned = matches!(points, ReadingPoints::In(_) | ReadingPoints::Over(_));
        Some(Shown { value: if is_unsigned { shown.abs() } else { shown }, meter })
    }

    /// The instrument for these points. Above its range the millivolt range is left for volts.
    fn meter(&self, points: ReadingPoints, value: f64) -> Meter {
        let most = |meter: Meter| self.catalog.instruments.get(meter.class).and_then(|i| i.most);
        match points {
            ReadingPoints::On(_) => DISPLAY,
            ReadingPoints::In(_) => CLAMP,
            ReadingPoints::Over(_) if most(MILLIVOLTS).is_none_or(|m| value.abs() < m) => {
                MILLIVOLTS
            }
            ReadingPoints::Over(_) | ReadingPoints::Between(..) => VOLTS,
        }
    }

    /// What a meter shows of a true value.
    ///
    /// `shown = round((1 + g) x + z)`: `g` evenly within the meter's gain, one draw for the whole
    /// case; `z` evenly within its zero error, a draw for each reading; rounded to its step. A stray
    /// reading lies evenly anywhere in its range. Checked against the variances of the rectangular
    /// distribution in `tests`.
    pub fn shown(&self, meter: Meter, value: f64, dice: &mut Dice) -> f64 {
        let class = self.catalog.instruments.get(meter.class);
        let (gain, zero) = class.map_or((0.0, 0.0), |class| (class.gain, class.zero));
        let is_stray = dice.chance(STRAY_SHARE);
        let off = dice.between(-zero, zero);
        let anywhere = dice.between(-meter.stray, meter.stray);
        let mine = Dice::for_purpose(self.seed, key(meter.class)).between(-gain, gain);
        let shown = if is_stray { anywhere } else { (1.0 + mine) * value + off };
        (shown / meter.step).round() * meter.step
    }

    /// What the technician calls what equipment does; wrong as often as the catalog says. `again`: after
    /// how many repairs, and how often it was watched before since.
    pub fn calls(
        &self,
        world: &World<'_>,
        state: StateId,
        device: DeviceId,
        again: (usize, usize),
    ) -> Option<Shows> {
        let words = format!("look {} {device:?} {again:?}", state_number(state));
        let truth = world.shows(state, device)?;
        Some(self.word(truth, self.catalog.faults.technician_error, &words))
    }

    /// Whether a joint looks bad, now and then wrongly so.
    pub fn finds_bad(&self, world: &World<'_>, joint: JointId) -> bool {
        let look = &self.catalog.checking.look;
        let is_there = world.faults().iter().any(|fault| fault.place == Place::Joint(joint));
        let mut dice = Dice::for_purpose(self.seed, key(&format!("look {joint:?}")));
        dice.chance(if is_there { look.finds } else { look.false_alarm })
    }

    /// What the owner calls it.
    pub fn owner_calls(&self, truth: Shows, state: StateId, device: DeviceId) -> Shows {
        let words = format!("owner {} {device:?}", state_number(state));
        self.word(truth, self.catalog.faults.owner_error, &words)
    }

    fn word(&self, truth: Shows, error: f64, words: &str) -> Shows {
        const MISTAKEN: [Shows; 4] = [Shows::Works, Shows::Dead, Shows::Weak, Shows::Hunts];
        let mut dice = Dice::for_purpose(self.seed, key(words));
        if !dice.chance(error) {
            return truth;
        }
        let others: Vec<Shows> = MISTAKEN.into_iter().filter(|word| *word != truth).collect();
        dice.pick(&others)
    }

    /// True minutes of what was estimated, drawn for these words; the mean over many is the estimate.
    pub fn minutes(&self, estimate: f64, words: &str) -> f64 {
        let mut dice = Dice::for_purpose(self.seed, key(words));
        let log_sd = MINUTES_SPREAD;
        estimate * (log_sd * dice.normal() - 0.5 * log_sd * log_sd).exp()
    }

    /// A minute figure between three estimates, beta distributed as in PERT (Malcolm, Roseboom,
    /// Clark, Fazar 1959, from memory): shape `4`, mode at the likely value.
    pub fn minutes_between(&self, spread: access::Spread, words: &str) -> f64 {
        let mut dice = Dice::for_purpose(self.seed, key(words));
        pert(spread, &mut dice)
    }
}

fn pert(spread: access::Spread, dice: &mut Dice) -> f64 {
    let (low, width) = (spread.low_min, spread.high_min - spread.low_min);
    if width <= 0.0 {
        return spread.likely_min;
    }
    let mode = (spread.likely_min - low) / width;
    let (a, b) = (4.0 * mode, 4.0 * (1.0 - mode));
    let density = |x: f64| x.powf(a) * (1.0 - x).powf(b);
    let top = density(mode);
    loop {
        let x = dice.between(0.0, 1.0);
        if dice.between(0.0, top) <= density(x) {
            return low + width * x;
        }
    }
}

fn state_number(state: StateId) -> usize {
    use model::Id as _;
    state.index()
}
