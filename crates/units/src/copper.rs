//! What copper resists: resistivity, its growth with temperature, and what stranding adds. Knows
//! no standard sizes.

use crate::quantity::{Celsius, SquareMillimetre};

/// Conductivity of annealed copper at 20 C, 100 % IACS, MS/m: 58 by definition (IEC 1913, quoted
/// with NBS Handbook 100; the document itself not seen).
pub const CONDUCTIVITY_20C_MS_PER_M: f64 = 58.0;

/// Resistivity at 20 C, ohm mm2/m: 1/58 = 0.0172414, handbooks print 0.017241. The unrounded
/// figure is used because 10 AWG prints 0.9989 ohm/1000 ft only with it (0.9988 with 0.017241).
pub const RESISTIVITY_20C_OHM_MM2_PER_M: f64 = 1.0 / CONDUCTIVITY_20C_MS_PER_M;

/// Growth of resistance with temperature from 20 C, 1/K (100 % IACS; NBS Handbook 100 as quoted,
/// also Industrial Power Engineering Handbook p. 970).
pub const COEFFICIENT_20C_PER_K: f64 = 0.00393;

/// What class B concentric stranding adds, as a factor: the strands run in a helix and are 2 %
/// longer than the cable (ASTM B8, from memory). Confirmed by NEC Chapter 9 Table 8: with it and
/// wire and strand diameters rounded to 0.1 mil all 21 rows come out to the printed digit.
pub const STRANDING_CLASS_B: f64 = 1.02;

/// What a flexible conductor resists more than a stranded one of the same size, as a factor: the
/// mean ratio of class 5 to class 2 limits over the sizes of IEC 60228 held in `iec60228` (1.060;
/// single rows 0.997 to 1.099).
pub const FLEXIBLE_OVER_STRANDED: f64 = 1.06;

/// Resistance of a metre of solid copper at 20 C, ohm/m.
///
/// Symbols: `A` area, mm2; `rho` 1/58 ohm mm2/m. Equation: `R' = rho / A`. Source: IACS, see
/// [`CONDUCTIVITY_20C_MS_PER_M`]. Valid for `A > 0`; outside the result is infinite, negative or
/// not a number, as the division gives. Checked against the HyperPhysics gauge table.
#[must_use]
pub const fn solid_ohm_per_metre_20c(area: SquareMillimetre) -> f64 {
    RESISTIVITY_20C_OHM_MM2_PER_M / area.square_millimetres()
}

/// How many times its 20 C resistance copper has at `temperature`.
///
/// Symbols: `T` temperature, C. Equation: `R(T)/R(20) = 1 + 0.00393 (T - 20)`. The other usual form
/// `(234.5 + T)/254.5` (FAA AC 43.13-1B par 11-66) is lower by 0.003 % at 75 C; the first is taken
/// because only with it 3 AWG stranded comes out as NEC Chapter 9 Table 8 prints it (0.245). Source: see [`COEFFICIENT_20C_PER_K`]. Valid where copper's resistance is a straight line,
/// about -55 to 250 C; outside, the line is simply extended.
#[must_use]
pub const fn temperature_factor(temperature: Celsius) -> f64 {
    1.0 + COEFFICIENT_20C_PER_K * (temperature.degrees() - 20.0)
}

#[cfg(test)]
mod tests;
