//! Values the sums use where a record says nothing. Each use is listed beside the result, and no
//! finding is decided on one.

use serde::Deserialize;
use units::{AmpereHour, Dimension, Fraction, Metre, Money, Ohm, SquareMillimetre, Volt};

/// The stand-ins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandIns {
    /// Length of a wire.
    pub wire_length: Metre,
    /// Cross-section of a wire.
    pub wire_area: SquareMillimetre,
    /// How full a battery is.
    pub charge: Fraction,
    /// What a battery holds.
    pub capacity: AmpereHour,
    /// Resistance of a fuse with its contacts.
    pub fuse: Ohm,
    /// Resistance from a chassis point to the body.
    pub body: Ohm,
    /// Resistance of a lug on a stud.
    pub joint_lug: Ohm,
    /// Resistance of any other joint.
    pub joint_other: Ohm,
    /// Nominal voltage.
    pub nominal: Volt,
    /// What an hour in the workshop costs.
    pub workshop_hour: Money,
    /// What a broken part without a price is counted as.
    pub broken_part: Money,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    wire_length: String,
    wire_area: String,
    charge: String,
    capacity: String,
    fuse: String,
    body: String,
    joint_lug: String,
    joint_other: String,
    nominal: String,
    workshop_hour: String,
    broken_part: String,
}

impl StandIns {
    pub(crate) fn embedded() -> StandIns {
        let file: File = crate::embedded("stand_ins.toml", include_str!("../data/stand_ins.toml"));
        let ohm = |text: &str| Ohm::from_si(crate::quantity(text, Dimension::Resistance));
        StandIns {
            wire_length: Metre::from_si(crate::quantity(&file.wire_length, Dimension::Length)),
            wire_area: SquareMillimetre::from_si(crate::quantity(&file.wire_area, Dimension::Area)),
            charge: Fraction::from_si(crate::quantity(&file.charge, Dimension::Fraction)),
            capacity: AmpereHour::from_si(crate::quantity(&file.capacity, Dimension::Charge)),
            fuse: ohm(&file.fuse),
            body: ohm(&file.body),
            joint_lug: ohm(&file.joint_lug),
            joint_other: ohm(&file.joint_other),
            workshop_hour: money(&file.workshop_hour),
            broken_part: money(&file.broken_part),
            nominal: Volt::from_si(crate::quantity(&file.nominal, Dimension::Voltage)),
        }
    }
}

pub(crate) fn money(text: &str) -> Money {
    text.parse().unwrap_or_else(|error: units::ParseError| {
        panic!("embedded amount `{text}` is broken: {}", error.message)
    })
}
