//! Groups of cells in series, each with a bypass diode: what is left of a module in partial shade.

use circuit::SingleDiode;

use super::{BestPoint, voltage_v};

/// Currents tried first, and halvings of the best interval afterwards.
const TRIED: u32 = 400;
const HALVINGS: u32 = 60;

/// The diode past each group.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bypass {
    /// Saturation current, A.
    pub saturation_a: f64,
    /// Voltage scale `n k T / q`, V.
    pub scale_v: f64,
}

/// Voltage of groups in series at a common current (A), V: the sum of theirs, a group that would
/// be driven backwards standing at minus the drop of its diode, `scale ln(1 + I/Is)`.
///
/// Source: Kirchhoff's laws. A group carries what its diode does not; where a group is bypassed its
/// own current is left out, which overstates the drop by a few millivolt. Valid: `I >= 0`.
/// Checked by: `solar::tests::a_shaded_group_is_passed_by`.
pub fn series_voltage_v(groups: &[SingleDiode], bypass: Bypass, ampere: f64) -> f64 {
    let backwards_v = -bypass.scale_v * (ampere / bypass.saturation_a).ln_1p();
    let of_group = |group: &SingleDiode| match voltage_v(group, ampere) {
        Some(volt) => volt.max(backwards_v),
        None => backwards_v,
    };
    groups.iter().map(of_group).sum()
}

/// Current of groups in series at a voltage (V), A, by halving; the voltage falls as the current
/// grows. Zero where the groups give less than that voltage. Valid and checked as
/// [`series_voltage_v`].
pub fn series_current_a(groups: &[SingleDiode], bypass: Bypass, volt: f64) -> f64 {
    let (mut low_a, mut high_a) = (0.0, most_light_a(groups));
    for _ in 0..HALVINGS {
        let middle_a = f64::midpoint(low_a, high_a);
        if series_voltage_v(groups, bypass, middle_a) > volt {
            low_a = middle_a;
        } else {
            high_a = middle_a;
        }
    }
    low_a
}

/// The point of most power of groups in series. In shade there are several maxima: the greatest of
/// a row of currents is taken, and its neighbourhood searched. Valid and checked as
/// [`series_voltage_v`]; two maxima closer than a four-hundredth of the current count as one.
pub fn series_best_point(groups: &[SingleDiode], bypass: Bypass) -> BestPoint {
    let most_a = most_light_a(groups);
    let step_a = most_a / f64::from(TRIED);
    let watt = |ampere: f64| ampere * series_voltage_v(groups, bypass, ampere);
    let best =
        (1..=TRIED).map(|k| f64::from(k) * step_a).max_by(|a, b| watt(*a).total_cmp(&watt(*b)));
    let near_a = best.unwrap_or(0.0);
    let (mut low_a, mut high_a) = ((near_a - step_a).max(0.0), (near_a + step_a).min(most_a));
    for _ in 0..HALVINGS {
        let third_a = (high_a - low_a) / 3.0;
        if watt(low_a + third_a) < watt(high_a - third_a) {
            low_a += third_a;
        } else {
            high_a -= third_a;
        }
    }
    let ampere = f64::midpoint(low_a, high_a);
    let volt = series_voltage_v(groups, bypass, ampere);
    BestPoint { volt, ampere, watt: volt * ampere }
}

fn most_light_a(groups: &[SingleDiode]) -> f64 {
    groups.iter().map(|group| group.light_a).fold(0.0, f64::max)
}
