//! Solar modules by the single-diode model: current, voltage, best point, and the De Soto
//! translation from reference conditions. Knows no weather and no vehicle.

use circuit::SingleDiode;

pub use groups::{Bypass, series_best_point, series_current_a, series_voltage_v};

mod groups;

/// Boltzmann constant in eV/K (CODATA 2018, exact by the 2019 SI; value from memory).
const BOLTZMANN_EV_PER_K: f64 = 8.617_333_262e-5;
/// Zero degrees Celsius, K.
const ZERO_CELSIUS_K: f64 = -units::dimension::ABSOLUTE_ZERO_C;
/// Reference irradiance of the standard test conditions, W/m2.
const REFERENCE_W_PER_M2: f64 = 1000.0;
/// Reference cell temperature of the standard test conditions, K.
const REFERENCE_K: f64 = ZERO_CELSIUS_K + 25.0;
/// Band gap of crystalline silicon at 25 degrees Celsius, eV (De Soto, Klein, Beckman 2006).
const BAND_GAP_EV: f64 = 1.121;
/// Relative change of the band gap, 1/K (De Soto, Klein, Beckman 2006).
const BAND_GAP_PER_K: f64 = -0.000_267_7;
/// Bound on the inner iterations; they converge quadratically and end far below it.
const MAX_STEPS: usize = 200;

/// Share of the open-circuit voltage at which the search for most power begins; any serves.
const STARTS_AT: f64 = 0.8;

/// The point of a module's curve where it gives most power.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BestPoint {
    /// Voltage there, V.
    pub volt: f64,
    /// Current there, A.
    pub ampere: f64,
    /// Power there, W.
    pub watt: f64,
}

/// A module's single-diode parameters at reference conditions (1000 W/m2, 25 degrees Celsius)
/// with what is needed to translate them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReferenceModule {
    /// The five parameters at reference conditions.
    pub diode: SingleDiode,
    /// Temperature coefficient of the short-circuit current, A/K.
    pub light_a_per_k: f64,
}

/// Current out of a module at a terminal voltage, A.
///
/// With `D = 1 + Rs/Rsh` and `ln t = ln(Rs I0/(a D)) + (Rs (IL + I0) + V)/(a D)`:
/// `I = (IL + I0 - V/Rsh)/D - (a/Rs) W(t)`, `W` being the Lambert function, taken from the
/// logarithm of its argument so that nothing overflows. `IL` light current (A), `I0` saturation
/// current (A), `Rs`, `Rsh` series and shunt resistance (ohm), `a` modified ideality (V).
/// Source: the explicit solution of the single-diode equation (Jain and Kapoor, Solar Energy
/// Materials and Solar Cells 81, 2004; from memory), derived again here. `Rs = 0` uses the
/// diode equation itself; an infinite `Rsh` is allowed. Valid for any finite voltage.
pub fn current_a(diode: &SingleDiode, volt: f64) -> f64 {
    let SingleDiode { light_a, saturation_a, series_ohm, shunt_ohm, modified_ideality_v } = *diode;
    let shunt_s = 1.0 / shunt_ohm;
    if series_ohm <= 0.0 {
        return light_a - saturation_a * (volt / modified_ideality_v).exp_m1() - volt * shunt_s;
    }
    let divider = 1.0 + series_ohm * shunt_s;
    let scaled_v = modified_ideality_v * divider;
    let log_argument = (series_ohm * saturation_a / scaled_v).ln()
        + (series_ohm * (light_a + saturation_a) + volt) / scaled_v;
    (light_a + saturation_a - volt * shunt_s) / divider
        - modified_ideality_v / series_ohm * lambert_w_of_exp(log_argument)
}

/// Current (A) and its slope (S, negative) at a terminal voltage.
///
/// `dI/dV = -(Gd + Gsh)/(1 + Rs (Gd + Gsh))` with `Gd = I0 exp((V + I Rs)/a)/a`.
/// Source: differentiation of the single-diode equation. Valid where [`current_a`] is.
pub fn current_and_slope(diode: &SingleDiode, volt: f64) -> (f64, f64) {
    let ampere = current_a(diode, volt);
    let junction_v = volt + ampere * diode.series_ohm;
    let diode_s = diode.saturation_a * (junction_v / diode.modified_ideality_v).exp()
        / diode.modified_ideality_v;
    let inner_s = diode_s + 1.0 / diode.shunt_ohm;
    (ampere, -inner_s / (1.0 + diode.series_ohm * inner_s))
}

/// Terminal voltage at which a module gives a current, V; `None` if no voltage does (only when
/// the shunt resistance is infinite and the current exceeds what light and leakage can carry).
///
/// The junction voltage `u` solves `IL - I - I0 (exp(u/a) - 1) - u/Rsh = 0` by Newton from the
/// shunt-free solution, from where the convex equation converges without overshoot; then
/// `V = u - I Rs`. Source: the single-diode equation itself.
pub fn voltage_v(diode: &SingleDiode, ampere: f64) -> Option<f64> {
    let SingleDiode { light_a, saturation_a, series_ohm, shunt_ohm, modified_ideality_v } = *diode;
    let shunt_s = 1.0 / shunt_ohm;
    let inner_a = light_a - ampere;
    if shunt_s <= 0.0 && inner_a <= -saturation_a {
        return None;
    }
    // Both starts lie at or above the solution.
    let without_shunt =
        (inner_a > 0.0).then(|| modified_ideality_v * (inner_a / saturation_a).ln_1p());
    let mut junction_v = match without_shunt {
        Some(start_v) => start_v.min(inner_a * shunt_ohm),
        None if shunt_s > 0.0 => 0.0,
        None => modified_ideality_v * (inner_a / saturation_a).ln_1p(),
    };
    for _ in 0..MAX_STEPS {
        let scaled = junction_v / modified_ideality_v;
        let miss_a = inner_a - saturation_a * scaled.exp_m1() - junction_v * shunt_s;
        let slope_s = saturation_a * scaled.exp() / modified_ideality_v + shunt_s;
        let step_v = miss_a / slope_s;
        junction_v += step_v;
        if !step_v.is_finite() || step_v.abs() <= 1e-15 * junction_v.abs().max(1e-3) {
            break;
        }
    }
    Some(junction_v - ampere * series_ohm).filter(|v| v.is_finite())
}

/// The point of most power of a module, between short circuit and open circuit.
///
/// Told by the junction voltage `u`, current and voltage need no iteration: `I = IL - I0 (exp(u/a) - 1) -
/// u/Rsh`, `V = u - I Rs`. Finds the zero of `dP/du = V dI/du + I dV/du`, positive without voltage and
/// negative at open circuit, by Newton steps that halve the interval wherever they would leave it. As `V`
/// grows with `u`, it is also the zero of `dP/dV`, which falls all the way. Source: definition of the
/// maximum. A module without light gives zero volt, ampere and watt.
/// Checked by: `tests::characteristic_points_equal_those_of_pvlib`.
pub fn maximum_power_point(diode: &SingleDiode) -> BestPoint {
    let nothing = BestPoint { volt: 0.0, ampere: 0.0, watt: 0.0 };
    let Some(open_v) = voltage_v(diode, 0.0).filter(|open_v| *open_v > 0.0) else { return nothing };
    let (mut low_v, mut high_v) = (0.0, open_v);
    let mut junction_v = STARTS_AT * open_v;
    for _ in 0..MAX_STEPS {
        let (rise_w_per_v, bend) = power_slopes(diode, junction_v);
        if rise_w_per_v > 0.0 {
            low_v = junction_v
        } else {
            high_v = junction_v
        }
        let step = junction_v - rise_w_per_v / bend;
        let next_v =
            if step > low_v && step < high_v { step } else { f64::midpoint(low_v, high_v) };
        let moved_v = (next_v - junction_v).abs();
        junction_v = next_v;
        if moved_v <= 4.0 * f64::EPSILON * open_v {
            break;
        }
    }
    let ampere = at_junction(diode, junction_v).0;
    let volt = junction_v - ampere * diode.series_ohm;
    BestPoint { volt, ampere, watt: volt * ampere }
}

/// Current (A), its slope (S) and the slope of that (S/V) at a junction voltage.
fn at_junction(diode: &SingleDiode, junction_v: f64) -> (f64, f64, f64) {
    let SingleDiode { light_a, saturation_a, shunt_ohm, modified_ideality_v, .. } = *diode;
    let scaled = junction_v / modified_ideality_v;
    let diode_s = saturation_a * scaled.exp() / modified_ideality_v;
    let ampere = light_a - saturation_a * scaled.exp_m1() - junction_v / shunt_ohm;
    (ampere, -diode_s - 1.0 / shunt_ohm, -diode_s / modified_ideality_v)
}

/// Slope of the power over the junction voltage (W/V), and the slope of that (W/V2).
fn power_slopes(diode: &SingleDiode, junction_v: f64) -> (f64, f64) {
    let (ampere, slope_s, bend) = at_junction(diode, junction_v);
    let volt = junction_v - ampere * diode.series_ohm;
    let stretch = 1.0 - diode.series_ohm * slope_s;
    let rise = slope_s * volt + ampere * stretch;
    let rise_slope = bend * volt + 2.0 * slope_s * stretch - ampere * diode.series_ohm * bend;
    (rise, rise_slope)
}

/// Single-diode parameters at an irradiance (W/m2) and a cell temperature (degrees Celsius).
///
/// With `T` in kelvin, `r` for reference: `a = ar T/Tr`; `IL = (G/Gr)(ILr + m (T - Tr))`;
/// `I0 = I0r (T/Tr)^3 exp(Er/(k Tr) - E/(k T))`, `E = 1.121 eV (1 - 0.0002677 (T - Tr))`;
/// `Rsh = Rshr Gr/G`; `Rs` unchanged. Source: De Soto, Klein, Beckman, Solar Energy 80 (2006)
/// 78-88, as restated in the documentation of pvlib's `calcparams_desoto` (seen); silicon only.
/// Valid for `G >= 0` (at 0 the shunt is infinite) and `T` of a working cell, about 250-370 K.
pub fn at_conditions(
    module: &ReferenceModule,
    irradiance_w_per_m2: f64,
    cell_celsius: f64,
) -> SingleDiode {
    let cell_k = cell_celsius + ZERO_CELSIUS_K;
    let rise_k = cell_k - REFERENCE_K;
    let ratio = cell_k / REFERENCE_K;
    let sun = irradiance_w_per_m2 / REFERENCE_W_PER_M2;
    let gap_ev = BAND_GAP_EV * (1.0 + BAND_GAP_PER_K * rise_k);
    let exponent =
        BAND_GAP_EV / (BOLTZMANN_EV_PER_K * REFERENCE_K) - gap_ev / (BOLTZMANN_EV_PER_K * cell_k);
    SingleDiode {
        light_a: sun * (module.diode.light_a + module.light_a_per_k * rise_k),
        saturation_a: module.diode.saturation_a * ratio.powi(3) * exponent.exp(),
        series_ohm: module.diode.series_ohm,
        shunt_ohm: module.diode.shunt_ohm / sun,
        modified_ideality_v: module.diode.modified_ideality_v * ratio,
    }
}

/// `W(exp(y))`, the principal Lambert function of an exponential: the `w` with `w + ln w = y`.
///
/// Newton `w <- w (1 + y - ln w)/(1 + w)` from `w = y - ln y` (or `exp y` for `y <= 1`).
/// Source: definition of `W`. Valid for every finite `y`; below -36, `exp y` is exact.
fn lambert_w_of_exp(log_argument: f64) -> f64 {
    if log_argument < -36.0 {
        return log_argument.exp();
    }
    let mut w = if log_argument > 1.0 {
        log_argument - log_argument.ln()
    } else {
        log_argument.exp().min(0.7)
    };
    for _ in 0..MAX_STEPS {
        let next = w * (1.0 + log_argument - w.ln()) / (1.0 + w);
        let moved = (next - w).abs();
        w = next;
        if moved <= 4.0 * f64::EPSILON * w {
            break;
        }
    }
    w
}

#[cfg(test)]
mod tests;
