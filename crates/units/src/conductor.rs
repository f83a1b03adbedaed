//! The one function the rest of the program asks for the resistance of a wire. Decides between the
//! standard's limits and the law; knows neither joints nor what the wire feeds.

use core::fmt;

use crate::copper::{
    FLEXIBLE_OVER_STRANDED, STRANDING_CLASS_B, solid_ohm_per_metre_20c, temperature_factor,
};
use crate::dimension::{Dimension, MAX_AREA_MM2};
use crate::iec60228::{self, Build, Finish};
use crate::print::{System, format};
use crate::quantity::{Celsius, SquareMillimetre};

/// Smallest conductor area the law is used for, mm2 (just under 40 AWG).
pub const MIN_AREA_MM2: f64 = 0.004;
/// Lowest temperature the straight-line law is used for, C.
pub const MIN_TEMPERATURE_C: f64 = -55.0;
/// Highest temperature the straight-line law is used for, C: the short-circuit end temperature of
/// thermosetting insulation (IEC 60364-5-54, as quoted), far above any working temperature.
pub const MAX_TEMPERATURE_C: f64 = 250.0;

/// How a copper conductor is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Conductor {
    /// One wire (IEC 60228 class 1).
    Solid,
    /// A few thick strands (IEC 60228 class 2, class B stranding).
    Stranded,
    /// Many fine strands (IEC 60228 class 5 and 6).
    Flexible,
}

/// A conductor or temperature for which no resistance can be told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutsideRange {
    /// Which of the inputs.
    pub dimension: Dimension,
    /// Its value, in the unit of the dimension.
    pub value: f64,
    /// The lowest value the law is used for.
    pub low: f64,
    /// The highest value the law is used for.
    pub high: f64,
}

impl fmt::Display for OutsideRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = |value| format(value, self.dimension, System::Metric);
        write!(
            f,
            "the resistance of copper is known here from {} to {}, not for {}",
            text(self.low),
            text(self.high),
            text(self.value)
        )
    }
}

impl core::error::Error for OutsideRange {}

/// Resistance of a metre of plain copper conductor, ohm/m, of one core (a circuit has two).
///
/// Symbols: `A` area, mm2; `T` temperature, C; `k` build factor (solid 1, stranded 1.02, flexible
/// 1.02 x 1.06). Equation: `R' = R'20 (1 + 0.00393 (T - 20))`, where `R'20` is the largest value
/// IEC 60228 allows (plain copper) when `A` is one of its nominal sizes, and `k / (58 A)` otherwise.
/// The choice: a metric cable is sold by its resistance, its real area is smaller than the nominal
/// one, so the law would flatter it by 4 to 16 %; a gauge is an area, so the law is right for it.
/// An actual cable may resist less than this, and then carry a larger fault current.
/// Sources: IEC 60228:2004 Tables 1 to 4 (as reproduced), `copper` and `iec60228` for the rest.
/// Valid for 0.004 to 10 000 mm2 and -55 to 250 C; outside [`OutsideRange`] is returned. Checked
/// against NEC Chapter 9 Table 8 and IEC 60228.
pub fn conductor_ohm_per_metre(
    area: SquareMillimetre,
    class: Conductor,
    temperature: Celsius,
) -> Result<f64, OutsideRange> {
    within(Dimension::Area, area.square_millimetres(), MIN_AREA_MM2, MAX_AREA_MM2)?;
    within(Dimension::Temperature, temperature.degrees(), MIN_TEMPERATURE_C, MAX_TEMPERATURE_C)?;
    let at_20c = match iec60228::nominal(area) {
        Some(size) => size.max_ohm_per_metre_20c(build_of(class), Finish::Plain),
        None => build_factor(class) * solid_ohm_per_metre_20c(area),
    };
    Ok(at_20c * temperature_factor(temperature))
}

const fn build_of(class: Conductor) -> Build {
    match class {
        Conductor::Solid | Conductor::Stranded => Build::Class1And2,
        Conductor::Flexible => Build::Class5And6,
    }
}

const fn build_factor(class: Conductor) -> f64 {
    match class {
        Conductor::Solid => 1.0,
        Conductor::Stranded => STRANDING_CLASS_B,
        Conductor::Flexible => STRANDING_CLASS_B * FLEXIBLE_OVER_STRANDED,
    }
}

fn within(dimension: Dimension, value: f64, low: f64, high: f64) -> Result<(), OutsideRange> {
    if (low..=high).contains(&value) {
        Ok(())
    } else {
        Err(OutsideRange { dimension, value, low, high })
    }
}

#[cfg(test)]
mod tests;
