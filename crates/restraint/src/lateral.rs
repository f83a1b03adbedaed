//! Wood screws and lag screws pulled across their axis: the yield limit equations, and pull at an
//! angle. Knows one side member of steel and one main member of wood.

use units::imperial::{inch_from_mm, mpa_from_psi};

use crate::load::{BadInput, within};

/// Dowel bearing strength of steel sheet of ASTM A653 grade 33, psi. Source: NDS Table 12K, notes,
/// from memory; the table itself (seen) comes out with it.
const SHEET_BEARING_PSI: f64 = 61_850.0;
/// Step to which NDS Table 12.3.3 rounds bearing strengths, psi. The design tables are worked out from the
/// rounded ones: without it one cell of Table 12K (0.120 in, 5/16 in, G 0.46, across) comes out ten pounds low.
const PRINTED_STEP_PSI: f64 = 50.0;
/// From this diameter on wood bears by the direction of its grain, mm (a quarter of an inch).
const GRAIN_MATTERS_IN: f64 = 0.25;

/// Which way the pull runs to the grain of the wood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grain {
    /// Along it.
    Along,
    /// Across it: the lower value, for whoever does not know.
    Across,
}

/// A screw through a steel side member into wood, pulled across its axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AcrossScrew {
    /// Nominal diameter, mm.
    pub diameter_mm: f64,
    /// Diameter at the root of the thread, mm.
    pub root_mm: f64,
    /// How far it is in the wood, mm.
    pub depth_mm: f64,
    /// Thickness of the steel it goes through, mm.
    pub side_mm: f64,
    /// Specific gravity of the wood.
    pub specific_gravity: f64,
    /// Stress at which the screw bends for good, MPa.
    pub bending_mpa: f64,
    /// Direction of the pull to the grain.
    pub grain: Grain,
}

/// How a screw that is pulled across gives way, as the yield limit equations number it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum YieldMode {
    /// The wood is crushed.
    WoodCrushed,
    /// The steel side member is crushed.
    SteelCrushed,
    /// The screw tilts and crushes both.
    Tilts,
    /// The screw bends in the wood, and tilts.
    BendsInWood,
    /// The screw bends at the side member.
    BendsAtSteel,
    /// The screw bends at both.
    BendsTwice,
}

/// Yield load of a screw that is pulled across, not reduced, N, and its mode.
///
/// Least of the six modes of NDS Table 12.3.1A with `Rd = 1`: `Im = D lm Fem`, `Is = D ls Fes`,
/// `II = k1 D ls Fes`, `IIIm = k2 D lm Fem/(1 + 2Re)`, `IIIs = k3 D ls Fem/(2 + Re)`,
/// `IV = D² √(2 Fem Fyb/(3(1 + Re)))`, with D the root diameter (mm), lm depth in the wood and ls
/// thickness of the steel (mm), Fem and Fes bearing strengths (MPa), Fyb bending yield strength (MPa),
/// `Re = Fem/Fes`, `Rt = lm/ls`. `Fem = 16 600 G^1.84` psi below a quarter inch, from there on
/// `11 200 G` along the grain and `6100 G^1.45/√D` across, rounded to 50 psi. Source: NDS 12.3 and Table 12.3.3, equations
/// from memory; every readable cell of Table 12K (seen) comes out. Range: diameters 2 to 26 mm, depth and
/// thickness above 0 to 150 mm, G 0.2 to 0.9, Fyb 100 to 1500 MPa. Checked in
/// `every_cell_of_the_lag_screw_side_plate_table_comes_out`.
///
/// # Errors
///
/// [`BadInput`] outside the range.
pub fn yield_load_n(screw: &AcrossScrew) -> Result<(f64, YieldMode), BadInput> {
    let modes = modes(screw)?;
    Ok(least(modes.into_iter()))
}

/// Design value of a screw that is pulled across, N, and its mode.
///
/// As [`yield_load_n`], each mode divided by its reduction: for a root diameter below a quarter inch
/// `KD Kθ` with `KD = 2.2` up to 0.17 in and `10 D + 0.5` above, else `4 Kθ` (I), `3.6 Kθ` (II), `3.2 Kθ`
/// (III, IV); `Kθ = 1` along and 1.25 across the grain, 1 where the grain does not matter. Source and
/// range as there.
///
/// # Errors
///
/// [`BadInput`] outside the range.
pub fn across_design_n(screw: &AcrossScrew) -> Result<(f64, YieldMode), BadInput> {
    let modes = modes(screw)?;
    Ok(least(modes.into_iter().map(|(n, mode)| (n / screw.reduction(mode), mode))))
}

/// Load at an angle to the axis that a screw in wood may carry, N.
///
/// `Z = W Z₀/(W cos²α + Z₀ sin²α)`, with W the value along the axis (withdrawal) and Z₀ the value across
/// it, both in N, α the angle between the pull and the surface of the wood in degrees: 90 is straight
/// out. Source: Hankinson's formula as in NDS 12.4.1, from memory; that it serves for lag screws
/// loaded at other angles is said in the Wood Handbook (FPL-GTR-190, chapter 8, lag screws), read in a copy.
/// Range: values above 0, angle 0 to 90. Checked in `pull_at_an_angle_lies_between`.
///
/// # Errors
///
/// [`BadInput`] outside the range.
pub fn at_an_angle_n(along_n: f64, across_n: f64, angle_deg: f64) -> Result<f64, BadInput> {
    let w = within("value along the axis in N", along_n, f64::MIN_POSITIVE, 1e7)?;
    let z = within("value across the axis in N", across_n, f64::MIN_POSITIVE, 1e7)?;
    let angle = within("angle in degrees", angle_deg, 0.0, 90.0)?.to_radians();
    Ok(w * z / (w * angle.cos().powi(2) + z * angle.sin().powi(2)))
}

impl AcrossScrew {
    fn grain_matters(&self) -> bool {
        inch_from_mm(self.diameter_mm) >= GRAIN_MATTERS_IN
    }

    /// Bearing strength of the wood, MPa.
    fn wood_mpa(&self) -> f64 {
        let g = self.specific_gravity;
        let psi = match (self.grain_matters(), self.grain) {
            (false, _) => 16_600.0 * g.powf(1.84),
            (true, Grain::Along) => 11_200.0 * g,
            (true, Grain::Across) => 6_100.0 * g.powf(1.45) / inch_from_mm(self.diameter_mm).sqrt(),
        };
        mpa_from_psi((psi / PRINTED_STEP_PSI).round() * PRINTED_STEP_PSI)
    }

    fn reduction(&self, mode: YieldMode) -> f64 {
        let across = self.grain_matters() && self.grain == Grain::Across;
        let grain = if across { 1.25 } else { 1.0 };
        let root_in = inch_from_mm(self.root_mm);
        if root_in < GRAIN_MATTERS_IN {
            let by_size = if root_in <= 0.17 { 2.2 } else { 10.0 * root_in + 0.5 };
            return by_size * grain;
        }
        let by_mode = match mode {
            YieldMode::WoodCrushed | YieldMode::SteelCrushed => 4.0,
            YieldMode::Tilts => 3.6,
            YieldMode::BendsInWood | YieldMode::BendsAtSteel | YieldMode::BendsTwice => 3.2,
        };
        by_mode * grain
    }
}

fn modes(screw: &AcrossScrew) -> Result<[(f64, YieldMode); 6], BadInput> {
    within("diameter in mm", screw.diameter_mm, 2.0, 26.0)?;
    let d = within("root diameter in mm", screw.root_mm, 1.0, screw.diameter_mm)?;
    let lm = within("depth in the wood in mm", screw.depth_mm, 0.1, 250.0)?;
    let ls = within("thickness of the steel in mm", screw.side_mm, 0.1, 150.0)?;
    within("specific gravity", screw.specific_gravity, 0.2, 0.9)?;
    let fyb = within("bending yield strength in MPa", screw.bending_mpa, 100.0, 1500.0)?;
    let (fem, fes) = (screw.wood_mpa(), mpa_from_psi(SHEET_BEARING_PSI));
    let (re, rt) = (fem / fes, lm / ls);
    let k1 = ((re + 2.0 * re * re * (1.0 + rt + rt * rt) + rt * rt * re.powi(3)).sqrt()
        - re * (1.0 + rt))
        / (1.0 + re);
    let bend = 2.0 * fyb * d * d / (3.0 * fem);
    let k2 = -1.0 + (2.0 * (1.0 + re) + bend * (1.0 + 2.0 * re) / (lm * lm)).sqrt();
    let k3 = -1.0 + (2.0 * (1.0 + re) / re + bend * (2.0 + re) / (ls * ls)).sqrt();
    Ok([
        (d * lm * fem, YieldMode::WoodCrushed),
        (d * ls * fes, YieldMode::SteelCrushed),
        (k1 * d * ls * fes, YieldMode::Tilts),
        (k2 * d * lm * fem / (1.0 + 2.0 * re), YieldMode::BendsInWood),
        (k3 * d * ls * fem / (2.0 + re), YieldMode::BendsAtSteel),
        (d * d * (2.0 * fem * fyb / (3.0 * (1.0 + re))).sqrt(), YieldMode::BendsTwice),
    ])
}

fn least(modes: impl Iterator<Item = (f64, YieldMode)>) -> (f64, YieldMode) {
    modes.fold(
        (f64::INFINITY, YieldMode::WoodCrushed),
        |best, mode| {
            if mode.0 < best.0 { mode } else { best }
        },
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Hankinson by hand: W 1000 N, Z 400 N: at 0° 400, at 90° 1000, at 45°
    /// 1000 x 400/(1000 x 0.5 + 400 x 0.5) = 571.4, at 60° 400 000/(250 + 300) = 727.3.
    #[test]
    fn pull_at_an_angle_lies_between() {
        for (angle, n) in [(0.0, 400.0), (45.0, 571.43), (60.0, 727.27), (90.0, 1000.0)] {
            assert!((at_an_angle_n(1000.0, 400.0, angle).unwrap() - n).abs() < 0.01, "{angle}");
        }
        assert!(at_an_angle_n(1000.0, 400.0, 91.0).unwrap_err().what.contains("angle"));
        assert!(at_an_angle_n(0.0, 400.0, 1.0).unwrap_err().what.contains("along"));
    }
}
