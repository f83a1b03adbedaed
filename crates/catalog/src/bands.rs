//! When a fuse or breaker opens, and how much it can break, by its class.
//!
//! Knows multiples of the rated current; what flows in a vehicle it does not know.

use std::collections::BTreeMap;

use serde::Deserialize;
use units::{Ampere, Dimension, Second, Volt};

use crate::{Sources, Standing};

/// No opening beyond the published times counts as quicker, s: the arc burns on for about so long at
/// 12 or 24 V (estimate, see source `fuse-melting`).
const SHORTEST_S: f64 = 0.002;

/// Comparisons with a printed limit leave room for rounding only.
const SLACK: f64 = 1e-9;

/// All classes by name.
#[derive(Clone, Debug)]
pub struct Bands(BTreeMap<String, Band>);

/// A class of fuses or breakers.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// The class in words.
    pub words: String,
    /// The smallest and the largest rating the class has.
    pub rated: (Ampere, Ampere),
    /// It closes again by itself; the key of the source that says so.
    pub closes_again: Option<String>,
    gates: Vec<Gate>,
    breaks: Vec<Breaks>,
}

/// Published limits of the opening time at one multiple of the rated current.
#[derive(Clone, Debug, PartialEq)]
pub struct Gate {
    /// Current over rated current.
    pub multiple: f64,
    /// Opens no earlier.
    pub min: Option<Second>,
    /// Opens no later.
    pub max: Option<Second>,
    /// Key of its source.
    pub source: String,
    /// May decide something: its source was at least read second-hand.
    pub decides: bool,
    rated: Option<(Ampere, Ampere)>,
}

/// What a class can break.
#[derive(Clone, Debug, PartialEq)]
pub struct Breaks {
    /// At least this current.
    pub ampere: Ampere,
    /// Up to this voltage.
    pub volt: Volt,
    /// Key of its source.
    pub source: String,
    /// May decide something: its source was at least read second-hand.
    pub decides: bool,
}

/// When a device opens at a current, as far as it is known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Opening {
    /// Not before.
    pub at_least: Option<Second>,
    /// Not after, by every row there is.
    pub at_most: Option<Second>,
    /// Not after, by rows that may decide.
    pub at_most_decided: Option<Second>,
    /// The current lies beyond the last published multiple.
    pub is_beyond: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawBand {
    words: String,
    rated: [String; 2],
    closes_again: Option<String>,
    gates: Vec<RawGate>,
    breaks: Vec<RawBreaks>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawGate {
    multiple: f64,
    min_s: Option<f64>,
    max_s: Option<f64>,
    rated: Option<[String; 2]>,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawBreaks {
    ampere: String,
    volt: String,
    source: String,
}

impl Bands {
    pub(crate) fn embedded(sources: &Sources) -> Bands {
        let raw: BTreeMap<String, RawBand> =
            crate::embedded("bands.toml", include_str!("../data/bands.toml"));
        Bands(raw.into_iter().map(|(name, raw)| (name, band(raw, sources))).collect())
    }

    /// The class of a name.
    pub fn get(&self, class: &str) -> Option<&Band> {
        self.0.get(class)
    }

    /// Every class with its name.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Band)> {
        self.0.iter().map(|(name, band)| (name.as_str(), band))
    }
}

impl Band {
    /// When a device of this class opens.
    ///
    /// Symbols: `m` current over rated current; `t1`, `t2` published times \[s\] at the neighbouring
    /// multiples `m1 < m < m2`. Equation: `t = t1 (m/m1)^(ln(t2/t1)/ln(m2/m1))`, earliest and latest
    /// each for itself; on a row it is the published value. Below the first row: no latest time, the
    /// earliest stays. Beyond the last row with a latest time: `t = t_last (m_last/m)^2`, no more
    /// I²t than there but at least 2 ms for the arc (source `fuse-melting`); the earliest time is not known there.
    /// Source: the rows of `data/bands.toml`; interpolating is ours.
    /// Valid: ratings of the class; outside, nothing is known.
    /// Checked by: `tests::bands`.
    pub fn opening(&self, rated: Ampere, current: Ampere) -> Opening {
        if !self.covers(rated) || current.si() <= 0.0 {
            return Opening::default();
        }
        let multiple = current.si() / rated.si();
        let holds = || self.gates.iter().filter(|gate| gate.holds_for(rated));
        let earliest = curve(holds().filter_map(|gate| Some((gate.multiple, gate.min?.si()))));
        let latest = curve(holds().filter_map(|gate| Some((gate.multiple, gate.max?.si()))));
        let decided = holds().filter(|gate| gate.decides);
        let decided = curve(decided.filter_map(|gate| Some((gate.multiple, gate.max?.si()))));
        Opening {
            at_least: not_before(&earliest, multiple).map(Second::from_si),
            at_most: not_after(&latest, multiple).map(Second::from_si),
            at_most_decided: not_after(&decided, multiple).map(Second::from_si),
            is_beyond: latest.last().is_some_and(|last| multiple > last.0 * (1.0 + SLACK)),
        }
    }

    /// The largest multiple of the rated current that the class carries for good, by its rows.
    pub fn carries(&self) -> Option<f64> {
        const FOR_GOOD_S: f64 = 360_000.0;
        let long = self.gates.iter().filter(|gate| gate.min.is_some_and(|t| t.si() >= FOR_GOOD_S));
        long.map(|gate| gate.multiple).reduce(f64::max)
    }

    /// Multiples of the rated current at which anything is published, ascending.
    pub fn multiples(&self) -> Vec<f64> {
        let mut all: Vec<f64> = self.gates.iter().map(|gate| gate.multiple).collect();
        all.sort_by(f64::total_cmp);
        all.dedup_by(|a, b| (*a - *b).abs() < SLACK);
        all
    }

    /// The published rows.
    pub fn gates(&self) -> &[Gate] {
        &self.gates
    }

    /// What the class breaks at a voltage: the row of the lowest voltage that is high enough.
    pub fn breaks(&self, at: Volt) -> Option<&Breaks> {
        let enough = self.breaks.iter().filter(|row| row.volt.si() >= at.si() * (1.0 - SLACK));
        enough.min_by(|a, b| a.volt.si().total_cmp(&b.volt.si()))
    }

    /// Whether a rating is one of this class.
    pub fn covers(&self, rated: Ampere) -> bool {
        within(self.rated, rated)
    }

    /// Keys of every source its rows name.
    pub fn sources(&self) -> impl Iterator<Item = &str> {
        let gates = self.gates.iter().map(|gate| gate.source.as_str());
        let breaks = self.breaks.iter().map(|row| row.source.as_str());
        gates.chain(breaks).chain(self.closes_again.as_deref())
    }
}

impl Gate {
    fn holds_for(&self, rated: Ampere) -> bool {
        self.rated.is_none_or(|range| within(range, rated))
    }
}

fn within((low, high): (Ampere, Ampere), rated: Ampere) -> bool {
    rated.si() >= low.si() * (1.0 - SLACK) && rated.si() <= high.si() * (1.0 + SLACK)
}

/// Points by ascending multiple; of several at one multiple, the shortest time.
fn curve(points: impl Iterator<Item = (f64, f64)>) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> = points.collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    points.dedup_by(|later, first| (later.0 - first.0).abs() < SLACK);
    points
}

fn not_before(points: &[(f64, f64)], multiple: f64) -> Option<f64> {
    let (first, last) = (points.first()?, points.last()?);
    if multiple < first.0 {
        return Some(first.1);
    }
    if multiple > last.0 * (1.0 + SLACK) {
        return None;
    }
    Some(between(points, multiple))
}

fn not_after(points: &[(f64, f64)], multiple: f64) -> Option<f64> {
    let (first, last) = (points.first()?, points.last()?);
    if multiple < first.0 * (1.0 - SLACK) {
        return None;
    }
    if multiple > last.0 {
        let same_heat_s = last.1 * (last.0 / multiple).powi(2);
        return Some(same_heat_s.max(SHORTEST_S.min(last.1)));
    }
    Some(between(points, multiple))
}

/// Straight lines in log-log; `multiple` lies between the first and the last point.
fn between(points: &[(f64, f64)], multiple: f64) -> f64 {
    let next = points.iter().position(|point| point.0 >= multiple * (1.0 - SLACK));
    let next = next.unwrap_or(points.len() - 1);
    let (m2, t2) = points[next];
    if next == 0 || (multiple / m2 - 1.0).abs() < SLACK {
        return t2;
    }
    let (m1, t1) = points[next - 1];
    t1 * (multiple / m1).powf((t2 / t1).ln() / (m2 / m1).ln())
}

fn band(raw: RawBand, sources: &Sources) -> Band {
    let ampere = |text: &str| Ampere::from_si(crate::quantity(text, Dimension::Current));
    let range = |pair: &[String; 2]| (ampere(&pair[0]), ampere(&pair[1]));
    let decides = |source: &str| {
        let standing = sources.get(source).map(|source| source.standing);
        matches!(standing, Some(Standing::Seen | Standing::SecondHand))
    };
    let gate = |raw: RawGate| Gate {
        multiple: raw.multiple,
        min: raw.min_s.map(Second::from_si),
        max: raw.max_s.map(Second::from_si),
        decides: decides(&raw.source),
        source: raw.source,
        rated: raw.rated.as_ref().map(range),
    };
    let breaks = |raw: RawBreaks| Breaks {
        ampere: ampere(&raw.ampere),
        volt: Volt::from_si(crate::quantity(&raw.volt, Dimension::Voltage)),
        decides: decides(&raw.source),
        source: raw.source,
    };
    Band {
        words: raw.words,
        rated: range(&raw.rated),
        closes_again: raw.closes_again,
        gates: raw.gates.into_iter().map(gate).collect(),
        breaks: raw.breaks.into_iter().map(breaks).collect(),
    }
}
