//! What a value must be to be possible at all. A fuse of 0 A, a wire of no length or a battery
//! twice full is a slip of the pen: the sums would take it at its word.

use units::Dimension;
use units::conductor::{MAX_TEMPERATURE_C, MIN_TEMPERATURE_C};

use crate::{Attribute, Role};

/// Largest count of screws, size in millimetre or strength in newton believed; catches slips.
const MOST_COUNTABLE: f64 = 1e6;

/// Most bypass groups of one module believed; catches slips.
const MOST_GROUPS: f64 = 12.0;

/// The values that are possible, ends included unless said otherwise.
#[derive(Clone, Copy, Debug)]
pub enum Must {
    /// Any number.
    Number,
    /// Above zero.
    AboveZero,
    /// Zero or above.
    ZeroOrAbove,
    /// Above zero, at most the whole.
    Share,
    /// Between two values of a dimension.
    Between(f64, f64, Dimension),
    /// A count, a size in millimetre or a strength in newton: above zero, and no slip.
    Countable,
}

impl Must {
    /// What a device's number must be. An instrument may show 0 Ohm or 0 V, and a load may draw
    /// nothing; nothing is rated for 0 A.
    pub fn of(attribute: Attribute, role: Role) -> Must {
        match attribute {
            Attribute::Power if role == Role::SolarModule => Must::AboveZero,
            Attribute::Droop
            | Attribute::Resistance
            | Attribute::Rest
            | Attribute::Power
            | Attribute::Idle
            | Attribute::Capacitance
            | Attribute::Delay
            | Attribute::Wait
            | Attribute::MadeFor
            | Attribute::BackEmf
            | Attribute::Residual
            | Attribute::Leakage => Must::ZeroOrAbove,
            Attribute::Efficiency
            | Attribute::HotShare
            | Attribute::QuarterEfficiency
            | Attribute::FullEfficiency
            | Attribute::PowerFactor => Must::Share,
            Attribute::ColdLimit => {
                Must::Between(MIN_TEMPERATURE_C, MAX_TEMPERATURE_C, Dimension::Temperature)
            }
            Attribute::Offset => Must::Number,
            Attribute::BypassGroups => Must::Between(1.0, MOST_GROUPS, Dimension::Number),
            Attribute::Rated
            | Attribute::Limit
            | Attribute::Regulates
            | Attribute::Holds
            | Attribute::CutOut
            | Attribute::Restart
            | Attribute::ShortCurrent
            | Attribute::OpenVoltage
            | Attribute::Armature
            | Attribute::Interrupts
            | Attribute::Mass
            | Attribute::ChargeLimit
            | Attribute::DischargeLimit
            | Attribute::ChargeStop
            | Attribute::ChargeResume
            | Attribute::LowOutput
            | Attribute::Pulley
            | Attribute::Continuous
            | Attribute::Coil
            | Attribute::Bleeder
            | Attribute::Precharge
            | Attribute::Nominal => Must::AboveZero,
        }
    }

    /// Whether a value is possible.
    pub fn allows(self, value: f64) -> bool {
        match self {
            Must::Number => true,
            Must::AboveZero => value > 0.0,
            Must::ZeroOrAbove => value >= 0.0,
            Must::Share => value > 0.0 && value <= 1.0,
            Must::Between(low, high, _) => (low..=high).contains(&value),
            Must::Countable => value > 0.0 && value <= MOST_COUNTABLE,
        }
    }

    /// In words, to stand behind the name of the number.
    pub fn words(self) -> String {
        match self {
            Must::Number => "must be a number".to_owned(),
            Must::AboveZero => "must be above zero".to_owned(),
            Must::ZeroOrAbove => "cannot be negative".to_owned(),
            Must::Share => "must be above 0 % and at most 100 %".to_owned(),
            Must::Between(low, high, dimension) => {
                let text = |value| units::format(value, dimension, units::System::Metric);
                format!("must lie between {} and {}", text(low), text(high))
            }
            Must::Countable => "holds a number that cannot be".to_owned(),
        }
    }
}
