//! When the device before a wire opens and what the wire stands, over the current: for charts.

use catalog::Band;
use model::{DeviceId, WireId};
use protect::Row;
use units::Ampere;

use crate::case::Case;
use crate::fault_level_view::range;
use crate::wire_list::with_origin;

/// A wire, the device that opens before it burns, and the currents of its short circuits.
#[derive(Clone, Debug, PartialEq)]
pub struct TripView {
    /// The wire.
    pub wire: String,
    /// Its size and insulation in words.
    pub wire_words: String,
    /// The device that opens.
    pub device: String,
    /// Its rating and class in words.
    pub device_words: String,
    /// `BURNS FIRST` and so on, as in the table of protection.
    pub verdict: String,
    /// Why.
    pub why: String,
    /// Opening times by the current in the wire, rising.
    pub times: Vec<TripTime>,
    /// What the wire stands; absent where its size is not known.
    pub withstand: Option<TripWithstand>,
    /// Current when the wire is shorted at its far end, least and most, A.
    pub far_a: (f64, f64),
    /// Current when it is shorted right behind this end, least and most, A.
    pub near_a: (f64, f64),
    /// Both with units, least to most.
    pub far: String,
    /// As `far`, of the near end.
    pub near: String,
    /// The current at which device and wire come closest, A.
    pub critical_a: Option<f64>,
    /// What flows for good, where the device lets through more than the wire carries.
    pub for_good: Option<TripForGood>,
    /// Where the opening times come from.
    pub sources: Vec<String>,
}

/// A device that lets more through for good than the wire behind it carries.
#[derive(Clone, Debug, PartialEq)]
pub struct TripForGood {
    /// What it lets through, A.
    pub lets_a: f64,
    /// What the wire carries at best, A.
    pub carries_a: f64,
    /// The first with its unit.
    pub lets: String,
    /// The second with its unit.
    pub carries: String,
}

/// The heat a wire stands in a short circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct TripWithstand {
    /// `I²t`, A²s.
    pub a2s: f64,
    /// What that rests on, in words.
    pub words: String,
    /// The longest time for which all of the heat stays in the wire, s.
    pub adiabatic_to_s: f64,
}

/// When a device opens at a current in the wire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TripTime {
    /// The current, A.
    pub ampere: f64,
    /// Not before, s.
    pub earliest_s: Option<f64>,
    /// Not after, s, by all figures.
    pub latest_s: Option<f64>,
    /// Not after, s, by figures that were read.
    pub latest_read_s: Option<f64>,
}

/// Currents drawn beyond the last published one.
const BEYOND: u32 = 16;

impl Case {
    /// Every end of a wire that is not protected for certain and has a device with known opening
    /// times; worst first.
    pub fn trips(&self) -> Vec<TripView> {
        let due = self
            .short_circuits()
            .rows
            .iter()
            .filter(|row| row.verdict.word != protect::Word::Protected);
        due.filter_map(|row| self.trip(row)).collect()
    }

    fn trip(&self, row: &Row) -> Option<TripView> {
        let device = row.device.as_ref()?;
        let (rated, band) = (device.rated?, self.band(device.device)?);
        if device.share <= 0.0 || band.gates().is_empty() || !band.covers(rated) {
            return None;
        }
        let withstand = protect::withstand(self.vehicle(), &self.catalog, row.wire);
        let most_a = row.near_a.high().max(row.far_a.high());
        Some(TripView {
            wire: self.vehicle().wires[row.wire].name.clone(),
            wire_words: self.trip_wire(row.wire),
            device: device.name.clone(),
            device_words: format!("{rated}, {}", band.words),
            verdict: row.verdict.word.words().to_owned(),
            why: row.verdict.why.clone(),
            times: times(band, rated, device.share, most_a),
            withstand: withstand.map(|withstand| TripWithstand {
                a2s: withstand.a2s,
                words: format!(
                    "{} to {} in a short circuit, k = {:.0}",
                    withstand.from,
                    withstand.to,
                    withstand.a2s.sqrt() / withstand.area.si()
                ),
                adiabatic_to_s: withstand.adiabatic_to.si(),
            }),
            far_a: (row.far_a.low(), row.far_a.high()),
            near_a: (row.near_a.low(), row.near_a.high()),
            far: range(row.far_a),
            near: range(row.near_a),
            critical_a: row.critical_a,
            for_good: match row.overload {
                protect::Overload::TooLarge { rated_a, allowed_a, .. } => Some(TripForGood {
                    lets_a: rated_a,
                    carries_a: allowed_a,
                    lets: Ampere::from_si(rated_a).to_string(),
                    carries: Ampere::from_si(allowed_a).to_string(),
                }),
                _ => None,
            },
            sources: self.band_sources(band),
        })
    }

    pub(crate) fn band(&self, device: DeviceId) -> Option<&Band> {
        let kind = self.catalog.kinds.get(&self.vehicle().devices[device].kind)?;
        self.catalog.bands.get(kind.class.as_deref()?)
    }

    fn trip_wire(&self, wire: WireId) -> String {
        let wire = &self.vehicle().wires[wire];
        let insulation = match wire.insulation.value() {
            Some(rating) => with_origin(&wire.insulation, &format!("{rating} insulation")),
            None => {
                format!("insulation not known, taken as {}", self.catalog.fault_spread.warm)
            }
        };
        format!("{}, {insulation}", with_origin(&wire.area, &wire.size_words))
    }

    fn band_sources(&self, band: &Band) -> Vec<String> {
        let mut keys: Vec<&str> = band.gates().iter().map(|gate| gate.source.as_str()).collect();
        keys.sort_unstable();
        keys.dedup();
        let words = |key: &str| {
            let source = self.catalog.sources.get(key)?;
            Some(format!("{} ({})", source.words, source.standing.words()))
        };
        keys.into_iter().filter_map(words).collect()
    }
}

/// The published currents, and some beyond up to the most that flows, where the rule for currents past
/// the last row holds. `share` of the wire's current passes the device.
fn times(band: &Band, rated: Ampere, share: f64, most_a: f64) -> Vec<TripTime> {
    let published = band.multiples();
    let Some(last) = published.last().copied() else { return Vec::new() };
    let end = most_a * share / rated.si();
    let beyond = (1..=BEYOND).filter(|_| end > last).map(|step| {
        let part = f64::from(step) / f64::from(BEYOND);
        last * (end / last).powf(part)
    });
    let time = |multiple: f64| {
        let opening = band.opening(rated, Ampere::from_si(multiple * rated.si()));
        TripTime {
            ampere: multiple * rated.si() / share,
            earliest_s: opening.at_least.map(units::Second::si),
            latest_s: opening.at_most.map(units::Second::si),
            latest_read_s: opening.at_most_decided.map(units::Second::si),
        }
    };
    published.iter().copied().chain(beyond).map(time).collect()
}
