//! One newtype per quantity, and only the operators that physics allows between them.
//!
//! A newtype holds the number in the unit of its name (a [`Volt`] in volts, a [`SquareMillimetre`]
//! in square millimetres). It does not know how it was written, how sure anybody is of it, nor
//! whether it is believable: limits are applied where text is read.

use core::fmt;
use core::iter::Sum;
use core::ops::{Add, AddAssign, Div, Mul, Neg, Sub};
use core::str::FromStr;

use crate::dimension::Dimension;
use crate::parse::{ParseError, parse};
use crate::print::{System, format};

/// Kelvins at the ice point, by definition of the Celsius scale.
const ZERO_CELSIUS_K: f64 = 273.15;

/// What every quantity newtype can do, for code that is generic over them.
pub trait Quantity:
    Copy + PartialOrd + fmt::Debug + fmt::Display + FromStr<Err = ParseError>
{
    /// Which quantity this is.
    const DIMENSION: Dimension;

    /// The quantity from a number in the unit of the type's name.
    fn from_si(value: f64) -> Self;

    /// The number in the unit of the type's name.
    fn si(self) -> f64;
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $reader:ident, $dimension:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Which quantity this is.
            pub const DIMENSION: Dimension = Dimension::$dimension;

            #[doc = concat!("The quantity from a number in ", $unit, ".")]
            #[must_use]
            pub const fn new(value: f64) -> Self {
                Self(value)
            }

            #[doc = concat!("The quantity from a number in ", $unit, ", the name shared by all quantities.")]
            #[must_use]
            pub const fn from_si(value: f64) -> Self {
                Self(value)
            }

            #[doc = concat!("The number in ", $unit, ".")]
            #[must_use]
            pub const fn $reader(self) -> f64 {
                self.0
            }

            #[doc = concat!("The number in ", $unit, ", the name shared by all quantities.")]
            #[must_use]
            pub const fn si(self) -> f64 {
                self.0
            }
        }

        impl Quantity for $name {
            const DIMENSION: Dimension = Dimension::$dimension;

            fn from_si(value: f64) -> Self {
                Self(value)
            }

            fn si(self) -> f64 {
                self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(&format(self.0, Dimension::$dimension, System::Metric))
            }
        }

        impl FromStr for $name {
            type Err = ParseError;

            fn from_str(text: &str) -> Result<Self, ParseError> {
                parse(text, Dimension::$dimension).map(Self)
            }
        }
    };
}

/// Sums, differences, scaling and ratios, for quantities where they mean something.
macro_rules! additive {
    ($($name:ident),+ $(,)?) => {$(
        impl $name {
            /// The size without the sign.
            #[must_use]
            pub const fn abs(self) -> Self {
                Self(self.0.abs())
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Mul<$name> for f64 {
            type Output = $name;
            fn mul(self, quantity: $name) -> $name {
                $name(self * quantity.0)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }

        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                Self(items.map(|item| item.0).sum())
            }
        }
    )+};
}

/// `A * B = C` gives both products and both quotients. `per` is how many units of `A * B` make
/// one unit of `C` (1 except where hours meet minutes).
macro_rules! product {
    ($($left:ident * $right:ident = $product:ident, per $per:literal);+ $(;)?) => {$(
        impl Mul<$right> for $left {
            type Output = $product;
            fn mul(self, other: $right) -> $product {
                $product(self.0 * other.0 / $per)
            }
        }

        impl Mul<$left> for $right {
            type Output = $product;
            fn mul(self, other: $left) -> $product {
                $product(self.0 * other.0 / $per)
            }
        }

        impl Div<$left> for $product {
            type Output = $right;
            fn div(self, other: $left) -> $right {
                $right(self.0 * $per / other.0)
            }
        }

        impl Div<$right> for $product {
            type Output = $left;
            fn div(self, other: $right) -> $left {
                $left(self.0 * $per / other.0)
            }
        }
    )+};
}

quantity!(
    /// Electric potential difference.
    Volt, volts, Voltage, "volts"
);
quantity!(
    /// Electric current.
    Ampere, amperes, Current, "amperes"
);
quantity!(
    /// Electric resistance.
    Ohm, ohms, Resistance, "ohms"
);
quantity!(
    /// Power.
    Watt, watts, Power, "watts"
);
quantity!(
    /// Capacitance.
    Farad, farads, Capacitance, "farads"
);
quantity!(
    /// Energy, as the trade counts it.
    WattHour, watt_hours, Energy, "watt hours"
);
quantity!(
    /// Electric charge, as the trade counts it.
    AmpereHour, ampere_hours, Charge, "ampere hours"
);
quantity!(
    /// Length.
    Metre, metres, Length, "metres"
);
quantity!(
    /// Cross-section of a conductor.
    SquareMillimetre, square_millimetres, Area, "square millimetres"
);
quantity!(
    /// Temperature on the Celsius scale. A point on a scale, so it has no sum, no negation and no
    /// ratio: use [`Celsius::kelvins_above`] and [`Celsius::raised_by_kelvins`].
    Celsius, degrees, Temperature, "degrees Celsius"
);
quantity!(
    /// Torque.
    NewtonMetre, newton_metres, Torque, "newton metres"
);
quantity!(
    /// Mass.
    Kilogram, kilograms, Mass, "kilograms"
);
quantity!(
    /// Working time and running time.
    Minute, minutes, Minutes, "minutes"
);
quantity!(
    /// Short time: a fuse opening, a relay delay.
    Second, seconds, Seconds, "seconds"
);
quantity!(
    /// Sunlight on a surface.
    Irradiance, watts_per_square_metre, Irradiance, "watts per square metre"
);
quantity!(
    /// A part of a whole, from 0 to 1; printed in per cent. Text outside 0 to 1 is refused by the
    /// parser; a computed one can be checked with [`Fraction::is_part_of_whole`].
    Fraction, parts, Fraction, "parts of one"
);
quantity!(
    /// Turns per minute.
    Rpm, turns_per_minute, RotationalSpeed, "turns per minute"
);

additive!(
    Volt,
    Ampere,
    Ohm,
    Watt,
    Farad,
    WattHour,
    AmpereHour,
    Metre,
    SquareMillimetre,
    NewtonMetre,
    Kilogram,
    Minute,
    Second,
    Irradiance,
    Rpm,
);

product!(
    Ampere * Ohm = Volt, per 1.0;
    Volt * Ampere = Watt, per 1.0;
    Volt * AmpereHour = WattHour, per 1.0;
    Watt * Minute = WattHour, per 60.0;
    Ampere * Minute = AmpereHour, per 60.0;
);

impl Celsius {
    /// The temperature on the absolute scale, in kelvins.
    #[must_use]
    pub const fn kelvins(self) -> f64 {
        self.0 + ZERO_CELSIUS_K
    }

    /// The temperature that lies `kelvins` above absolute zero.
    #[must_use]
    pub const fn from_kelvins(kelvins: f64) -> Self {
        Self(kelvins - ZERO_CELSIUS_K)
    }

    /// How many kelvins this temperature lies above `base` (negative when below).
    #[must_use]
    pub const fn kelvins_above(self, base: Self) -> f64 {
        self.0 - base.0
    }

    /// The temperature `rise_k` kelvins higher.
    #[must_use]
    pub const fn raised_by_kelvins(self, rise_k: f64) -> Self {
        Self(self.0 + rise_k)
    }
}

impl SquareMillimetre {
    /// The same area in square metres.
    #[must_use]
    pub const fn square_metres(self) -> f64 {
        self.0 * 1e-6
    }

    /// The diameter of the circle of this area.
    #[must_use]
    pub fn diameter(self) -> Metre {
        Metre(2.0 * (self.square_metres() / core::f64::consts::PI).sqrt())
    }
}

impl Fraction {
    /// Whether the number lies in 0 to 1, ends included. Not-a-number does not.
    #[must_use]
    pub fn is_part_of_whole(self) -> bool {
        (0.0..=1.0).contains(&self.0)
    }

    /// The number in per cent.
    #[must_use]
    pub const fn percent(self) -> f64 {
        self.0 * 100.0
    }
}

impl Minute {
    /// The same time in seconds.
    #[must_use]
    pub const fn to_seconds(self) -> Second {
        Second(self.0 * 60.0)
    }
}

impl Second {
    /// The same time in minutes.
    #[must_use]
    pub const fn to_minutes(self) -> Minute {
        Minute(self.0 / 60.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ohms_law_holds_in_every_direction() {
        // Kuphaldt, Lessons in Electric Circuits vol. I, "temperature coefficient of resistance":
        // 14 V feeds 250 ohm through 15 + 15 ohm of wire; printed 50 mA and 12.5 V at the load.
        let wire = Ohm::new(15.0) + Ohm::new(15.0);
        let current = Volt::new(14.0) / (wire + Ohm::new(250.0));
        assert!((current.amperes() - 0.050).abs() < 1e-12);
        assert!(((current * Ohm::new(250.0)).volts() - 12.5).abs() < 1e-12);
        assert!((Volt::new(12.5) / current - Ohm::new(250.0)).abs() < Ohm::new(1e-9));
    }

    #[test]
    fn power_is_volts_times_amperes() {
        // OpenStax University Physics vol. 2, 10.1 example: 10.00 V at 20.00 A is 200 W.
        let power = Volt::new(10.0) * Ampere::new(20.0);
        assert!((power.watts() - 200.0).abs() < 1e-12);
        assert!((power / Volt::new(10.0) - Ampere::new(20.0)).abs() < Ampere::new(1e-12));
    }

    #[test]
    fn a_load_drains_amperehours_by_the_clock() {
        // Definition of the ampere hour: 6 A for 90 minutes is 9 Ah; 60 W for 30 min is 30 Wh.
        assert!(((Ampere::new(6.0) * Minute::new(90.0)).ampere_hours() - 9.0).abs() < 1e-12);
        assert!(((Watt::new(60.0) * Minute::new(30.0)).watt_hours() - 30.0).abs() < 1e-12);
        assert!(((WattHour::new(30.0) / Watt::new(60.0)).minutes() - 30.0).abs() < 1e-12);
    }

    #[test]
    fn temperatures_differ_in_kelvins() {
        // 26.85 C is 300 K by the definition of the scale.
        assert!((Celsius::new(26.85).kelvins() - 300.0).abs() < 1e-9);
        assert!((Celsius::from_kelvins(300.0).degrees() - 26.85).abs() < 1e-9);
        let rise_k = Celsius::new(75.0).kelvins_above(Celsius::new(20.0));
        assert!((rise_k - 55.0).abs() < 1e-12);
        assert_eq!(Celsius::new(20.0).raised_by_kelvins(55.0), Celsius::new(75.0));
    }

    #[test]
    fn a_round_wire_of_an_area_has_its_diameter() {
        // ASTM B258 as quoted: 10 AWG is 2.588 mm across and 5.26 mm2.
        let diameter = SquareMillimetre::new(5.261).diameter();
        assert!((diameter.metres() - 2.588e-3).abs() < 1e-6);
        assert!((SquareMillimetre::new(5.261).square_metres() - 5.261e-6).abs() < 1e-15);
    }

    #[test]
    fn a_fraction_that_is_not_a_number_is_no_part_of_a_whole() {
        assert!(!Fraction::new(f64::NAN).is_part_of_whole());
        assert!(!Fraction::new(1.2).is_part_of_whole());
        assert!(Fraction::new(1.0).is_part_of_whole());
    }
}
