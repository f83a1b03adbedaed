//! Instruments of the workshop by class: how far each may be off.

use std::collections::BTreeMap;

use serde::Deserialize;
use units::Dimension;

/// A class of instruments.
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    /// In words.
    pub words: String,
    /// What it measures.
    pub measures: Dimension,
    /// How far it may be off, as a share of what it shows.
    pub gain: f64,
    /// What comes on top whatever it shows, in the unit of the reading.
    pub zero: f64,
    /// The most it can show, in the unit of the reading.
    pub most: Option<f64>,
    /// Key of its source.
    pub source: String,
}

/// All classes by name.
#[derive(Clone, Debug)]
pub struct Instruments(BTreeMap<String, Instrument>);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Raw {
    words: String,
    measures: String,
    gain: f64,
    zero: String,
    most: Option<String>,
    source: String,
}

impl Instruments {
    pub(crate) fn embedded() -> Instruments {
        let file: BTreeMap<String, Raw> =
            crate::embedded("instruments.toml", include_str!("../data/instruments.toml"));
        Instruments(file.into_iter().map(|(name, raw)| (name, instrument(raw))).collect())
    }

    /// The class of a name.
    pub fn get(&self, name: &str) -> Option<&Instrument> {
        self.0.get(name)
    }

    /// Every class in order of name.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Instrument)> {
        self.0.iter().map(|(name, instrument)| (name.as_str(), instrument))
    }
}

fn instrument(raw: Raw) -> Instrument {
    let measures = match raw.measures.as_str() {
        "voltage" => Dimension::Voltage,
        "current" => Dimension::Current,
        "resistance" => Dimension::Resistance,
        other => panic!("embedded instrument measures something unknown: {other}"),
    };
    Instrument {
        words: raw.words,
        measures,
        gain: raw.gain,
        zero: crate::quantity(&raw.zero, measures),
        most: raw.most.map(|most| crate::quantity(&most, measures)),
        source: raw.source,
    }
}
