//! What repairs take, and what is sold to make them.

use std::collections::BTreeMap;

use serde::Deserialize;
use units::{Ampere, Celsius, Dimension, Metre, Ohm};

/// Figures for repairs.
#[derive(Clone, Debug, PartialEq)]
pub struct Mending {
    work: BTreeMap<String, MendingWork>,
    ratings: BTreeMap<String, Vec<Ampere>>,
    /// Key of the source of the ratings.
    pub ratings_source: String,
    /// The part of its rating at which a fuse carries a load for good.
    pub load_share: f64,
    /// Length of the lead from a source to a new fuse.
    pub lead: Metre,
    /// Charging voltage over nominal voltage, at most.
    pub charging_over_nominal: f64,
    /// Rating of the insulation of new wire where the record does not tell what is usual.
    pub insulation: Celsius,
    /// Ratings of insulation that are sold, ascending.
    pub insulations: Vec<Celsius>,
    /// Ratings of isolators that are sold.
    pub isolators: Vec<Ampere>,
    /// Ratings of mains breakers that are sold: by the standards of Europe, and of North America.
    pub mains_breakers: [Vec<Ampere>; 2],
    /// Output currents of chargers, controllers and converters that are sold.
    pub converters: Vec<Ampere>,
    /// Key of the source of these.
    pub sizing_source: String,
    /// Limits of proofs where no document gives one.
    pub proof: ProofFigures,
}

/// Limits of proofs where no document gives one.
#[derive(Clone, Debug, PartialEq)]
pub struct ProofFigures {
    /// A drop or a current may be so much more than computed, as a part of it.
    pub share: f64,
    /// A joint may drop so many times what a good one of its kind does.
    pub times_a_good_joint: f64,
    /// A wire is whole below this.
    pub continuity: Ohm,
    /// Below this a drop across a joint is too small to be read.
    pub least_current: Ampere,
    /// Key of the source.
    pub source: String,
}

/// A piece of work.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MendingWork {
    /// What is done.
    pub words: String,
    /// Minutes: low, likely, high.
    pub minutes: [f64; 3],
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    work: BTreeMap<String, MendingWork>,
    ratings: RawRatings,
    sizing: RawSizing,
    proof: RawProof,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawProof {
    share: f64,
    times_a_good_joint: f64,
    continuity: String,
    least_current: String,
    source: String,
}

#[derive(Deserialize)]
struct RawRatings {
    source: String,
    #[serde(flatten)]
    classes: BTreeMap<String, Vec<f64>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawBreakers {
    europe: Vec<f64>,
    north_america: Vec<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawSizing {
    load_share: f64,
    lead: String,
    charging_over_nominal: f64,
    insulation: String,
    insulations: Vec<f64>,
    isolators: Vec<f64>,
    mains_breakers: RawBreakers,
    converters: Vec<f64>,
    source: String,
}

impl Mending {
    pub(crate) fn embedded() -> Mending {
        let file: File = crate::embedded("mending.toml", include_str!("../data/mending.toml"));
        let amperes = |list: Vec<f64>| list.into_iter().map(Ampere::from_si).collect();
        let classes = file.ratings.classes.into_iter();
        let RawSizing { lead, insulation, .. } = &file.sizing;
        Mending {
            work: file.work,
            ratings: classes.map(|(class, list)| (class, amperes(list))).collect(),
            ratings_source: file.ratings.source,
            load_share: file.sizing.load_share,
            lead: Metre::from_si(crate::quantity(lead, Dimension::Length)),
            charging_over_nominal: file.sizing.charging_over_nominal,
            insulation: Celsius::from_si(crate::quantity(insulation, Dimension::Temperature)),
            insulations: file.sizing.insulations.into_iter().map(Celsius::from_si).collect(),
            isolators: amperes(file.sizing.isolators),
            mains_breakers: [
                amperes(file.sizing.mains_breakers.europe),
                amperes(file.sizing.mains_breakers.north_america),
            ],
            converters: amperes(file.sizing.converters),
            sizing_source: file.sizing.source,
            proof: ProofFigures {
                share: file.proof.share,
                times_a_good_joint: file.proof.times_a_good_joint,
                continuity: Ohm::from_si(crate::quantity(
                    &file.proof.continuity,
                    Dimension::Resistance,
                )),
                least_current: Ampere::from_si(crate::quantity(
                    &file.proof.least_current,
                    Dimension::Current,
                )),
                source: file.proof.source,
            },
        }
    }

    /// A piece of work by its key.
    pub fn work(&self, key: &str) -> Option<&MendingWork> {
        self.work.get(key)
    }

    /// The ratings of a class of fuses that are sold, ascending.
    pub fn ratings(&self, class: &str) -> &[Ampere] {
        self.ratings.get(class).map_or(&[], Vec::as_slice)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Bands, Sources};

    #[test]
    fn every_rating_belongs_to_its_class_and_they_ascend() {
        let (mending, sources) = (Mending::embedded(), Sources::embedded());
        let bands = Bands::embedded(&sources);
        for (class, ratings) in &mending.ratings {
            let band = bands.get(class).expect("a class of bands.toml");
            assert!(ratings.iter().all(|rated| band.covers(*rated)), "{class}");
            assert!(ratings.windows(2).all(|pair| pair[0] < pair[1]), "{class}");
        }
        assert!(sources.get(&mending.ratings_source).is_some());
        assert!(sources.get(&mending.sizing_source).is_some());
    }

    #[test]
    fn minutes_are_in_order() {
        for (key, work) in &Mending::embedded().work {
            let [low, likely, high] = work.minutes;
            assert!(0.0 < low && low <= likely && likely <= high, "{key}");
        }
    }
}
