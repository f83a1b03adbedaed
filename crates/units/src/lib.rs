//! Physical quantities as types, and the only place in the program where one unit becomes another.
//!
//! Table of contents:
//! - [`quantity`]: one newtype per quantity and the operators physics allows between them
//! - [`money`]: amounts of money as whole cents
//! - [`dimension`]: which quantity a number is, its limits and its usual units
//! - [`parse`](mod@parse): reading what people write (`6 AWG`, `16 mm²`, `5 ft 6 in`, `12,8 V`)
//! - [`print`](mod@print): the one formatter, three significant digits
//! - [`restate`](mod@restate): sentences with quantities told in the other system of units
//! - [`interval`]: a value known only between two ends
//! - [`gravity`]: the standard acceleration of free fall
//! - [`imperial`]: inch and pound units of published fastening laws
//! - [`awg`], [`copper`], [`iec60228`], [`conductor`]: wire sizes and what they resist
//!
//! Deliberately not known here: what a value is for, whether it is right, where it was written.

pub mod awg;
pub mod conductor;
pub mod copper;
pub mod dimension;
pub mod gravity;
pub mod iec60228;
pub mod imperial;
pub mod interval;
pub mod money;
pub mod parse;
pub mod print;
pub mod quantity;
pub mod restate;
mod symbol;

pub use awg::Gauge;
pub use conductor::{Conductor, OutsideRange, conductor_ohm_per_metre};
pub use dimension::Dimension;
pub use interval::Interval;
pub use money::{Currency, Money};
pub use parse::{ParseError, ParseErrorKind, parse, parse_any};
pub use print::{Charset, System, format, format_with, in_unit};
pub use quantity::{
    Ampere, AmpereHour, Celsius, Farad, Fraction, Irradiance, Kilogram, Metre, Minute, NewtonMetre,
    Ohm, Quantity, Rpm, Second, SquareMillimetre, Volt, Watt, WattHour,
};
pub use restate::restate;
pub use symbol::FEET_PER_METRE;
