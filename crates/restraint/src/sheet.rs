//! Screws in thin steel sheet: pulled out of it, through it by the head, across it, and both at once.
//! Knows sheets and diameters, not whether the sheet itself holds on to the vehicle.

use crate::load::{BadInput, within};

/// By how much published working values lie below the nominal ones. Source: AISI S100 J4 (older E4),
/// read in two evaluation reports.
pub const SCREW_WORKING_FACTOR: f64 = 3.0;
/// Widest head or washer that counts in pull-over, mm: half an inch on the page read; later editions
/// count three quarters.
const WIDEST_HEAD_IN: f64 = 0.5;

/// A screw through one sheet into another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SheetScrew {
    /// Nominal diameter, mm.
    pub diameter_mm: f64,
    /// Diameter of head or washer, mm.
    pub head_mm: f64,
    /// Thickness of the sheet at the head, mm.
    pub at_head_mm: f64,
    /// Tensile strength of the sheet at the head, MPa.
    pub at_head_mpa: f64,
    /// Thickness of the sheet the thread is in, mm.
    pub in_thread_mm: f64,
    /// Tensile strength of that sheet, MPa.
    pub in_thread_mpa: f64,
}

/// Nominal pull-out of a screw from the sheet its thread is in, N.
///
/// `Pnot = 0.85 t d Fu`, with t the thickness and d the diameter in mm, Fu the tensile strength in
/// MPa. Source: AISI S100 J4.4.1, seen as allowables. Range: d 2 to 6.4 mm (0.08 to 0.25 in), t up to
/// 6.4 mm, Fu 200 to 1000 MPa. Checked in `every_cell_of_the_pull_out_table_comes_out`.
///
/// # Errors
///
/// [`BadInput`] outside the range.
pub fn pull_out_n(thickness_mm: f64, diameter_mm: f64, strength_mpa: f64) -> Result<f64, BadInput> {
    Ok(0.85 * sheet(thickness_mm)? * screw(diameter_mm)? * steel(strength_mpa)?)
}

/// Nominal pull-over of the sheet at the head, N.
///
/// `Pnov = 1.5 t dw Fu`, with dw the head or washer in mm, counted up to half an inch. Source: AISI
/// S100 J4.4.2, seen as an allowable. Range as for [`pull_out_n`], dw 2 to 60 mm. Checked in
/// `a_tapping_screw_in_body_sheet`.
///
/// # Errors
///
/// [`BadInput`] outside the range.
pub fn pull_over_n(thickness_mm: f64, head_mm: f64, strength_mpa: f64) -> Result<f64, BadInput> {
    let head_mm = within("head or washer in mm", head_mm, 2.0, 60.0)?;
    let counted_mm = head_mm.min(units::imperial::mm_from_inch(WIDEST_HEAD_IN));
    Ok(1.5 * sheet(thickness_mm)? * counted_mm * steel(strength_mpa)?)
}

/// Nominal shear of the sheets at a screw, N: tilting and bearing.
///
/// With t1, Fu1 at the head and t2, Fu2 in the thread: for `t2/t1 <= 1` the least of
/// `4.2 √(t2³ d) Fu2`, `2.7 t1 d Fu1`, `2.7 t2 d Fu2`; from 2.5 on the last two; between, by
/// straight line. The screw itself is not counted: it has to hold 1.25 times as much. Source: AISI S100
/// J4.3.1, seen as allowables (1.4, 0.9, 0.9). Range as for [`pull_out_n`]. Checked in
/// `a_tapping_screw_in_body_sheet` and `shear_runs_straight_between_the_two_rules`.
///
/// # Errors
///
/// [`BadInput`] outside the range.
pub fn shear_n(s: &SheetScrew) -> Result<f64, BadInput> {
    let d = screw(s.diameter_mm)?;
    let (t1, t2) = (sheet(s.at_head_mm)?, sheet(s.in_thread_mm)?);
    let (fu1, fu2) = (steel(s.at_head_mpa)?, steel(s.in_thread_mpa)?);
    let bearing = (2.7 * t1 * d * fu1).min(2.7 * t2 * d * fu2);
    let tilting = bearing.min(4.2 * (t2.powi(3) * d).sqrt() * fu2);
    let share = ((t2 / t1 - 1.0) / 1.5).clamp(0.0, 1.0);
    Ok(tilting + share * (bearing - tilting))
}

/// Nominal pull at an angle, N: the pull at which shear and tension together use the screw up.
///
/// `T = 1/(cos α/Q₀ + sin α/T₀)`, with α the angle between pull and sheet in degrees, Q₀ nominal shear,
/// T₀ nominal tension, both in N. AISI S100 J4.5 lets the two parts add up to 1.10 to 1.15 with factors
/// of their own, from memory; here they add up to 1, which is stricter. Range: values above 0, angle
/// 0 to 90. Checked in `a_screw_in_sheet_at_45_degrees`.
///
/// # Errors
///
/// [`BadInput`] outside the range.
pub fn sheet_at_an_angle_n(shear_n: f64, tension_n: f64, angle_deg: f64) -> Result<f64, BadInput> {
    let q = within("shear in N", shear_n, f64::MIN_POSITIVE, 1e7)?;
    let t = within("tension in N", tension_n, f64::MIN_POSITIVE, 1e7)?;
    let angle = within("angle in degrees", angle_deg, 0.0, 90.0)?.to_radians();
    Ok(1.0 / (angle.cos() / q + angle.sin() / t))
}

fn sheet(thickness_mm: f64) -> Result<f64, BadInput> {
    within("sheet thickness in mm", thickness_mm, 0.3, 6.4)
}

fn screw(diameter_mm: f64) -> Result<f64, BadInput> {
    within("screw diameter in mm", diameter_mm, 2.0, 6.4)
}

fn steel(strength_mpa: f64) -> Result<f64, BadInput> {
    within("tensile strength of the sheet in MPa", strength_mpa, 200.0, 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn body(at_head_mm: f64, in_thread_mm: f64) -> SheetScrew {
        SheetScrew {
            diameter_mm: 4.8,
            head_mm: 9.5,
            at_head_mm,
            at_head_mpa: 270.0,
            in_thread_mm,
            in_thread_mpa: 270.0,
        }
    }

    /// 4.8 mm screw, 0.8 mm sheet, Fu 270 MPa, by hand: pull-out 0.85 x 0.8 x 4.8 x 270 = 881.3 N;
    /// tilting 4.2 x (0.512 x 4.8)^0.5 x 270 = 1777.7 N; bearing 2.7 x 0.8 x 4.8 x 270 = 2799.4 N;
    /// pull-over with a 9.5 mm head 1.5 x 0.8 x 9.5 x 270 = 3078 N.
    #[test]
    fn a_tapping_screw_in_body_sheet() {
        assert!((pull_out_n(0.8, 4.8, 270.0).unwrap() - 881.3).abs() < 0.1);
        assert!((pull_over_n(0.8, 9.5, 270.0).unwrap() - 3078.0).abs() < 0.1);
        assert!((shear_n(&body(0.8, 0.8)).unwrap() - 1777.7).abs() < 0.5);
        assert!((shear_n(&body(0.8, 2.0)).unwrap() - 2799.4).abs() < 0.1);
    }

    /// t2/t1 = 1.75 lies half-way between 1 and 2.5. t1 0.8, t2 1.4 by hand: tilting
    /// 4.2 x (2.744 x 4.8)^0.5 x 270 = 4115.6 above bearing 2799.4, so both ends are 2799.4; with t1
    /// 2 and t2 3.5: bearing at the head 2.7 x 2 x 4.8 x 270 = 6998.4 throughout.
    /// t1 0.4, t2 0.7: bearing 1399.7; tilting 4.2 x (0.343 x 4.8)^0.5 x 270 = 1455.1: 1399.7.
    /// With 5.5 mm at t1 0.5, t2 0.875 (ratio 1.75), Fu2 250, Fu1 400: bearing min(2970, 3248.4) = 2970;
    /// tilting 4.2 x (0.6699 x 5.5)^0.5 x 250 = 2015.5; half-way 2492.7.
    #[test]
    fn shear_runs_straight_between_the_two_rules() {
        assert!((shear_n(&body(0.8, 1.4)).unwrap() - 2799.4).abs() < 0.1);
        let mixed = SheetScrew {
            diameter_mm: 5.5,
            head_mm: 10.0,
            at_head_mm: 0.5,
            at_head_mpa: 400.0,
            in_thread_mm: 0.875,
            in_thread_mpa: 250.0,
        };
        assert!((shear_n(&mixed).unwrap() - 2492.7).abs() < 0.5);
    }

    /// Q 1777.7 and T 881.3 at 45°: 1/(0.70711/1777.7 + 0.70711/881.3) = 833.3 N.
    #[test]
    fn a_screw_in_sheet_at_45_degrees() {
        assert!((sheet_at_an_angle_n(1777.7, 881.3, 45.0).unwrap() - 833.3).abs() < 0.2);
        assert!((sheet_at_an_angle_n(1777.7, 881.3, 0.0).unwrap() - 1777.7).abs() < 1e-6);
        assert!((sheet_at_an_angle_n(1777.7, 881.3, 90.0).unwrap() - 881.3).abs() < 1e-6);
    }

    #[test]
    fn sheets_outside_the_rules_are_refused() {
        assert!(pull_out_n(0.1, 4.8, 270.0).unwrap_err().what.contains("thickness"));
        assert!(pull_out_n(0.8, 8.0, 270.0).unwrap_err().what.contains("diameter"));
        assert!(pull_over_n(0.8, 9.5, 5000.0).unwrap_err().what.contains("strength"));
        let wide = pull_over_n(0.8, 40.0, 270.0).unwrap();
        assert!((wide - 1.5 * 0.8 * 12.7 * 270.0).abs() < 1e-6, "counted up to half an inch");
    }
}
