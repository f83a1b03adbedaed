//! What would carry a load that what is there does not: more of the same screws, bolts with plates, screws
//! into a rib, a strap. Proposals by published figures; a qualified person settles them.

use catalog::RestraintFigures;

use crate::load::STANDARD_GRAVITY_M_PER_S2;
use crate::sheet::{SCREW_WORKING_FACTOR, pull_out_n};

/// Bolts proposed together, their class, the stress area of the thinnest (M6: common practice, no source), and the share of the proof load they carry across (von Mises).
const BOLTS: u32 = 4;
const CLASS: &str = "8.8";
const THINNEST_MM2: f64 = 20.0;
const ACROSS: f64 = 0.577;
/// A tapping screw and a rib to size by; the rib has to be measured.
const RIB_SCREW_MM: f64 = 6.3;
const RIB_MM: f64 = 1.5;
const RIB_MPA: f64 = 270.0;

/// Something that would carry the load.
#[derive(Clone, Debug, PartialEq)]
pub enum Remedy {
    /// So many of the same screws instead of those that are there.
    MoreScrews {
        /// How many are there.
        there: u32,
        /// How many it takes.
        wanted: u32,
    },
    /// Bolts through the structure with plates behind.
    Bolts {
        /// How many.
        count: u32,
        /// `M6`.
        thread: String,
        /// Property class.
        class: &'static str,
        /// What each plate has to hand on, N.
        each_n: f64,
    },
    /// Tapping screws into a rib.
    IntoRib {
        /// How many.
        count: u32,
        /// Diameter, mm.
        diameter_mm: f64,
        /// Thickness of the rib they are sized for, mm.
        rib_mm: f64,
        /// Tensile strength of the rib they are sized for, MPa.
        rib_mpa: f64,
    },
    /// A strap to points of the structure.
    Strap {
        /// Least lashing capacity, N.
        capacity_n: f64,
    },
}

/// Screws that are there, and what may be relied on of all of them in the governing direction, N.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScrewsThere {
    /// How many.
    pub count: u32,
    /// Together, N.
    pub working_n: f64,
}

/// Ways of carrying a load, by published figures.
///
/// Bolts: the thinnest thread from M6 on of which four carry the load across, `4 proof/√3` (ISO 898-1; von
/// Mises). Rib: `n = ⌈3 load/(0.85 t d Fu)⌉` (AISI S100 J4.4.1) for 6.3 mm screws, 1.5 mm, 270 MPa. More
/// screws: `⌈count load/working⌉`. Strap: lashing capacity of the load itself. Load in N, 0 to 2e7.
/// Checked in `remedies_for_a_battery_of_24_kg`.
pub fn remedies(
    load_n: f64,
    there: Option<ScrewsThere>,
    figures: &RestraintFigures,
) -> Vec<Remedy> {
    let mut ways = Vec::new();
    if let Some(there) = there.filter(|there| there.working_n > 0.0) {
        let wanted = (f64::from(there.count) * load_n / there.working_n).ceil();
        ways.push(Remedy::MoreScrews { there: there.count, wanted: wanted as u32 });
    }
    let carries = |thread: &str| {
        let proof_n = figures.bolts.loads_n(thread, CLASS).map(|(_, proof_n)| proof_n);
        proof_n.is_some_and(|proof_n| f64::from(BOLTS) * proof_n * ACROSS >= load_n)
    };
    if let Some(row) = figures
        .bolts
        .size
        .iter()
        .filter(|row| row.area_mm2 >= THINNEST_MM2)
        .find(|row| carries(&row.thread))
    {
        let each_n = load_n / f64::from(BOLTS);
        ways.push(Remedy::Bolts { count: BOLTS, thread: row.thread.clone(), class: CLASS, each_n });
    }
    if let Ok(nominal_n) = pull_out_n(RIB_MM, RIB_SCREW_MM, RIB_MPA) {
        let count = (load_n * SCREW_WORKING_FACTOR / nominal_n).ceil() as u32;
        ways.push(Remedy::IntoRib {
            count,
            diameter_mm: RIB_SCREW_MM,
            rib_mm: RIB_MM,
            rib_mpa: RIB_MPA,
        });
    }
    ways.push(Remedy::Strap { capacity_n: load_n });
    ways
}

/// What a pull by hand amounts to for a thing, in multiples of standard gravity.
///
/// `a = F/(m g)`, with F the pull in N, m the mass in kg, g standard gravity. Source: Newton's second law;
/// the pull from ergonomics tables (catalog). Range: mass above 0; else 0. Checked in
/// `a_hand_pulls_a_heavy_thing_less_than_braking_does`.
pub fn hand_test_g(pull_n: f64, mass_kg: f64) -> f64 {
    if mass_kg > 0.0 { pull_n / (mass_kg * STANDARD_GRAVITY_M_PER_S2) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use catalog::Catalog;

    use super::*;

    /// 24 kg at 20 g: 4707 N. Four M6 8.8 carry 4 x 11 600 x 0.577 = 26 773 N; 30 kN takes M8. Rib: 0.85 x 1.5 x 6.3 x 270/3 = 722.9 N each, 7 screws. Screws of which two may be
    /// relied on with 400 N: 2 x 4707/400 = 23.5, so 24.
    #[test]
    fn remedies_for_a_battery_of_24_kg() {
        let figures = Catalog::embedded().restraint;
        let there = Some(ScrewsThere { count: 2, working_n: 400.0 });
        let ways = remedies(4707.2, there, &figures);
        assert_eq!(ways[0], Remedy::MoreScrews { there: 2, wanted: 24 });
        assert!(matches!(&ways[1], Remedy::Bolts { thread, .. } if thread == "M6"));
        assert!(matches!(&ways[2], Remedy::IntoRib { count: 7, .. }));
        assert!(
            matches!(&ways[3], Remedy::Strap { capacity_n } if (capacity_n - 4707.2).abs() < 1e-9)
        );
        let heavy = remedies(30_000.0, None, &figures);
        assert!(matches!(&heavy[0], Remedy::Bolts { thread, .. } if thread == "M8"));
    }

    /// 225 N on 30 kg: 225/294.2 = 0.765 g, below the 0.8 g of the cargo rule.
    #[test]
    fn a_hand_pulls_a_heavy_thing_less_than_braking_does() {
        assert!((hand_test_g(225.0, 30.0) - 0.765).abs() < 0.001);
        assert!(hand_test_g(225.0, 0.0).abs() < f64::EPSILON);
    }
}
