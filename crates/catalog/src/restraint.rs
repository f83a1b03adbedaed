//! Crash and driving levels, materials that fixings go into, bolts, and what a person can pull. Knows
//! no law of fastening.

use std::collections::BTreeMap;

use serde::Deserialize;

/// What a level is held against.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Against {
    /// What the fixing breaks at: it may bend, it must not come loose.
    Breaking,
    /// The published or stated working value.
    Working,
}

/// A set of deceleration levels, in multiples of standard gravity; absent: the source has none.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CriterionRow {
    /// Its name.
    pub id: String,
    /// What the source wrote it for.
    pub written_for: String,
    /// How it is used here, and what it is not.
    pub used_as: String,
    /// What it is held against.
    pub against: Against,
    /// Towards the front.
    pub forward: Option<f64>,
    /// Towards the rear.
    pub rearward: Option<f64>,
    /// To either side.
    pub sideways: Option<f64>,
    /// Upwards.
    pub up: Option<f64>,
    /// Downwards.
    pub down: Option<f64>,
    /// Upper end of a corridor along and across; the level is its lower end.
    pub peak: Option<[f64; 2]>,
    /// Key of its source.
    pub source: String,
}

/// A pulse as a corridor of time and deceleration.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pulse {
    /// The criterion it belongs to.
    pub id: String,
    /// Times of the strong edge, s.
    pub lower_s: Vec<f64>,
    /// Its deceleration, g.
    pub lower_g: Vec<f64>,
    /// Times of the weak edge, s.
    pub upper_s: Vec<f64>,
    /// Its deceleration, g.
    pub upper_g: Vec<f64>,
    /// Key of its source.
    pub source: String,
}

/// A wood-based material by its specific gravity.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WoodRow {
    /// What may be relied on; zero: nothing.
    pub least: f64,
    /// What it never exceeds.
    pub most: f64,
    /// The laws of withdrawal hold for it; for boards they over-predict.
    pub solid: bool,
    /// It is made of particles, which hold less than wood.
    #[serde(default)]
    pub particle: bool,
    /// Key of its source.
    pub source: String,
}

/// A metal by its tensile strength.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MetalRow {
    /// What it never exceeds, MPa.
    pub most: f64,
    /// Key of its source.
    pub source: String,
}

/// A metric thread with its loads by class.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BoltRow {
    /// `M8`.
    pub thread: String,
    /// Stress area, mm².
    pub area_mm2: f64,
    /// Least ultimate load by class, N.
    pub breaks_n: Vec<f64>,
    /// Proof load by class, N.
    pub proof_n: Vec<f64>,
}

/// Metric bolts.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bolts {
    /// Property classes, weakest first.
    pub classes: Vec<String>,
    /// Key of the source.
    pub source: String,
    /// Threads, thinnest first.
    pub size: Vec<BoltRow>,
}

/// Bending yield of wood screws up to a diameter.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BendingRow {
    /// Largest diameter, mm.
    pub up_to_mm: f64,
    /// Bending yield strength, MPa.
    pub mpa: f64,
}

/// What design values of screws ask for.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScrewRules {
    /// By diameter.
    pub bending: Vec<BendingRow>,
    /// Of lag screws, MPa.
    pub lag_bending_mpa: f64,
    /// Root over nominal diameter.
    pub root_share: f64,
    /// Least depth of a wood screw, diameters.
    pub least_depth_diameters: f64,
    /// Least depth of a lag screw, diameters.
    pub lag_least_depth_diameters: f64,
    /// Least distance to the edge of wood, diameters.
    pub edge_diameters: f64,
    /// Least distance to the edge of sheet, diameters.
    pub sheet_edge_diameters: f64,
    /// Key of the source.
    pub source: String,
}

/// What one person can pull or push, N.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HandForces {
    /// Standing, ceiling that is recommended.
    pub standing_n: f64,
    /// Kneeling, likewise.
    pub kneeling_n: f64,
    /// The most that men pull on average.
    pub strongest_n: f64,
    /// Key of the source.
    pub source: String,
}

/// All of it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RestraintFigures {
    /// Levels, driving first.
    #[serde(rename = "criterion")]
    pub criteria: Vec<CriterionRow>,
    /// The rear pulse.
    pub pulse: Pulse,
    /// Wood and boards by name.
    pub wood: BTreeMap<String, WoodRow>,
    /// Metals by name.
    pub metal: BTreeMap<String, MetalRow>,
    /// Bolts.
    pub bolts: Bolts,
    /// Rules of screws.
    pub screws: ScrewRules,
    /// What a hand test amounts to.
    pub hand: HandForces,
}

impl RestraintFigures {
    pub(crate) fn embedded() -> RestraintFigures {
        crate::embedded("restraint.toml", include_str!("../data/restraint.toml"))
    }

    /// The criterion of a name.
    pub fn criterion(&self, id: &str) -> Option<&CriterionRow> {
        self.criteria.iter().find(|row| row.id == id)
    }

    /// Every source that is named.
    pub fn sources(&self) -> impl Iterator<Item = &str> {
        let criteria = self.criteria.iter().map(|row| row.source.as_str());
        let wood = self.wood.values().map(|row| row.source.as_str());
        let metal = self.metal.values().map(|row| row.source.as_str());
        let others =
            [&self.pulse.source, &self.bolts.source, &self.screws.source, &self.hand.source];
        criteria.chain(wood).chain(metal).chain(others.into_iter().map(String::as_str))
    }
}

impl Bolts {
    /// Least ultimate and proof load of a bolt, N.
    pub fn loads_n(&self, thread: &str, class: &str) -> Option<(f64, f64)> {
        let at = self.classes.iter().position(|known| known == class)?;
        let row = self.size.iter().find(|row| row.thread == thread)?;
        Some((*row.breaks_n.get(at)?, *row.proof_n.get(at)?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Catalog;

    #[test]
    fn every_figure_of_restraint_names_a_registered_source() {
        let catalog = Catalog::embedded();
        for source in catalog.restraint.sources() {
            assert!(catalog.sources.get(source).is_some(), "{source}");
        }
        for class in &catalog.restraint.bolts.classes {
            for row in &catalog.restraint.bolts.size {
                assert!(catalog.restraint.bolts.loads_n(&row.thread, class).is_some());
            }
        }
    }

    /// ISO 898-1: proof stress times stress area, MPa by class: 4.8 310, 10.9 830, 12.9 970 (read), 8.8 up
    /// to M16 580. The printed loads are rounded to three figures.
    #[test]
    fn bolts_carry_proof_stress_times_area() {
        let bolts = RestraintFigures::embedded().bolts;
        for (class, mpa) in [("4.8", 310.0), ("8.8", 580.0), ("10.9", 830.0), ("12.9", 970.0)] {
            for row in &bolts.size {
                let (breaks_n, proof_n) = bolts.loads_n(&row.thread, class).unwrap();
                assert!((proof_n / (mpa * row.area_mm2) - 1.0).abs() < 0.005, "{class} {row:?}");
                assert!(breaks_n > proof_n);
            }
        }
    }

    /// SAE J3044: the change of speed of the pulse is 10 ± 0.5 mph = 4.247 to 4.694 m/s (1 mph =
    /// 0.447 04 m/s). It has to lie between what the two edges of the corridor bring.
    #[test]
    fn the_rear_pulse_brackets_its_change_of_speed() {
        let pulse = RestraintFigures::embedded().pulse;
        let g = units::gravity::STANDARD_GRAVITY_M_PER_S2;
        let area = |s: &[f64], level: &[f64]| -> f64 {
            let steps = s.windows(2).zip(level.windows(2));
            g * steps.map(|(s, l)| (s[1] - s[0]) * (l[0] + l[1]) / 2.0).sum::<f64>()
        };
        assert!(area(&pulse.upper_s, &pulse.upper_g) < 4.247);
        assert!(area(&pulse.lower_s, &pulse.lower_g) > 4.694);
        let peak = pulse.lower_g.iter().copied().fold(0.0, f64::max);
        let row = RestraintFigures::embedded();
        let row = row.criterion(&pulse.id).unwrap();
        assert!((row.rearward.unwrap() - 1.5 * peak).abs() < 1e-12);
    }
}
