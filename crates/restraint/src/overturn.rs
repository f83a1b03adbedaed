//! What overturning pulls on the fixings at the foot of a thing.

use crate::load::{BadInput, STANDARD_GRAVITY_M_PER_S2, within};

/// A thing that stands on its foot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// What it weighs, kg.
    pub mass_kg: f64,
    /// How high its weight sits above its foot, m.
    pub weight_up_m: f64,
    /// How deep its foot is along the pull, m.
    pub depth_m: f64,
}

/// What the fixings on the far edge of the foot have to hold down, N; nought where it does not tip.
///
/// `T = m g (a h / d - 1/2)`, with m mass in kg, g standard gravity in m/s2, a deceleration in multiples
/// of g, h height of the weight above the foot and d depth of the foot along the pull, both in m; the
/// weight sits over the middle of the foot. Source: moments about the near edge of the foot, rigid body.
/// All fixings are taken to sit on the far edge, in the thing's favour: nearer ones are pulled harder.
/// Range: mass and level as for [`crate::load_n`], h 0 to 5 m, d 0.02 to 5 m. Checked in
/// `a_tall_cupboard_pulls_on_its_foot`.
///
/// # Errors
///
/// [`BadInput`] outside the range.
pub fn overturning_pull_n(thing: Standing, g_level: f64) -> Result<f64, BadInput> {
    let mass_kg = within("mass in kg", thing.mass_kg, 0.0, 10_000.0)?;
    let a = within("deceleration in g", g_level, 0.0, 200.0)?;
    let h = within("height of the weight in m", thing.weight_up_m, 0.0, 5.0)?;
    let d = within("depth of the foot in m", thing.depth_m, 0.02, 5.0)?;
    let weight_n = mass_kg * STANDARD_GRAVITY_M_PER_S2;
    Ok((weight_n * (a * h / d - 0.5)).max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    const CUPBOARD: Standing = Standing { mass_kg: 40.0, weight_up_m: 0.9, depth_m: 0.45 };

    /// By hand, moments about the near edge: 40 kg x 9.80665 = 392.3 N; at 20 g 7845 N at 0.9 m are
    /// 7061 N m; its weight turns back 392.3 x 0.225 = 88.3 N m; 6972 N m over 0.45 m are 15 494 N.
    #[test]
    fn a_tall_cupboard_pulls_on_its_foot() {
        assert!((overturning_pull_n(CUPBOARD, 20.0).unwrap() - 15_494.0).abs() < 1.0);
    }

    /// A block tips when a > d / (2 h) (Housner 1963, the quasi-static limit of a rigid block): here
    /// 0.45 / 1.8 = 0.25 g.
    #[test]
    fn a_block_tips_from_half_its_slenderness() {
        assert!(overturning_pull_n(CUPBOARD, 0.25).unwrap().abs() < 1e-9);
        assert!(overturning_pull_n(CUPBOARD, 0.26).unwrap() > 0.0);
        assert!(overturning_pull_n(CUPBOARD, 0.1).unwrap().abs() < f64::EPSILON);
    }

    #[test]
    fn a_foot_without_depth_is_refused() {
        let flat = Standing { depth_m: 0.0, ..CUPBOARD };
        assert!(overturning_pull_n(flat, 20.0).unwrap_err().what.contains("depth"));
    }
}
