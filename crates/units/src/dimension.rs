//! Which quantity a number is: its name, examples of how it is written, and the range inside which
//! a written value is believable. Knows no conversion factor and no text of the user's.

/// The quantity a number stands for. The comment of each names the unit of the bare number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dimension {
    /// Electric potential difference, in V.
    Voltage,
    /// Electric current, in A.
    Current,
    /// Electric resistance, in ohm.
    Resistance,
    /// Power, in W.
    Power,
    /// Capacitance, in F.
    Capacitance,
    /// Energy, in Wh.
    Energy,
    /// Electric charge, in Ah.
    Charge,
    /// Length, in m.
    Length,
    /// Cross-section of a conductor, in mm2; a wire gauge counts as its area.
    Area,
    /// Temperature, in degrees Celsius.
    Temperature,
    /// Torque, in N m.
    Torque,
    /// Mass, in kg.
    Mass,
    /// Time, in min.
    Minutes,
    /// Time, in s.
    Seconds,
    /// Sunlight on a surface, in W/m2.
    Irradiance,
    /// Part of a whole, 0 to 1.
    Fraction,
    /// Turns per minute.
    RotationalSpeed,
    /// Money, in whole cents (hundredths of whatever the currency is).
    Money,
    /// A number without unit.
    Number,
}

impl Dimension {
    /// Every dimension, in the order of the type.
    pub const ALL: [Self; 19] = [
        Self::Voltage,
        Self::Current,
        Self::Resistance,
        Self::Power,
        Self::Capacitance,
        Self::Energy,
        Self::Charge,
        Self::Length,
        Self::Area,
        Self::Temperature,
        Self::Torque,
        Self::Mass,
        Self::Minutes,
        Self::Seconds,
        Self::Irradiance,
        Self::Fraction,
        Self::RotationalSpeed,
        Self::Money,
        Self::Number,
    ];

    /// The name with its article, for a sentence: `a voltage`, `an area`.
    #[must_use]
    pub const fn with_article(self) -> &'static str {
        match self {
            Self::Voltage => "a voltage",
            Self::Current => "a current",
            Self::Resistance => "a resistance",
            Self::Power => "a power",
            Self::Capacitance => "a capacitance",
            Self::Energy => "an energy",
            Self::Charge => "a charge",
            Self::Length => "a length",
            Self::Area => "a conductor area",
            Self::Temperature => "a temperature",
            Self::Torque => "a torque",
            Self::Mass => "a mass",
            Self::Minutes | Self::Seconds => "a time",
            Self::Irradiance => "an irradiance",
            Self::Fraction => "a fraction",
            Self::RotationalSpeed => "a rotational speed",
            Self::Money => "an amount of money",
            Self::Number => "a number without unit",
        }
    }

    /// How a value of this dimension is written, two ways where there are two.
    #[must_use]
    pub const fn examples(self) -> &'static str {
        match self {
            Self::Voltage => "12.8 V, 350 mV",
            Self::Current => "20 A, 300 mA",
            Self::Resistance => "4 Ohm, 200 mOhm",
            Self::Power => "60 W, 1.2 kW",
            Self::Capacitance => "10 mF, 470 uF, 58 farad",
            Self::Energy => "640 Wh, 1.2 kWh",
            Self::Charge => "100 Ah",
            Self::Length => "4 m, 13 ft",
            Self::Area => "16 mm2, 6 AWG, 4/0",
            Self::Temperature => "75 C, 167 F",
            Self::Torque => "6 N m, 53 lbf in",
            Self::Mass => "5 kg, 11 lb",
            Self::Minutes => "25 min, 1.5 h",
            Self::Seconds => "0.3 s, 150 ms",
            Self::Irradiance => "800 W/m2",
            Self::Fraction => "80 %, 0.8, 4/5",
            Self::RotationalSpeed => "2000 rpm",
            Self::Money => "180, 180.50 EUR, CAD 90",
            Self::Number => "3, 0.5",
        }
    }

    /// The believable range of a written value, ends included, in the unit of the bare number.
    ///
    /// These bounds catch slips (a wrong prefix, a stuck key), nothing finer: each is at least ten
    /// times what a road vehicle and its workshop meet. Origin: our choice, no source; the lower
    /// end of temperature is absolute zero, the ends of a fraction are its meaning. Quantities that
    /// meters and monitors show with a minus sign, and coordinates, may be negative.
    #[must_use]
    pub const fn believable_range(self) -> (f64, f64) {
        match self {
            Self::Voltage => (-MAX_VOLTAGE_V, MAX_VOLTAGE_V),
            Self::Current => (-MAX_CURRENT_A, MAX_CURRENT_A),
            Self::Resistance => (0.0, MAX_RESISTANCE_OHM),
            Self::Power => (-MAX_POWER_W, MAX_POWER_W),
            Self::Capacitance => (0.0, MAX_CAPACITANCE_F),
            Self::Energy => (-MAX_ENERGY_WH, MAX_ENERGY_WH),
            Self::Charge => (-MAX_CHARGE_AH, MAX_CHARGE_AH),
            Self::Length => (-MAX_LENGTH_M, MAX_LENGTH_M),
            Self::Area => (0.0, MAX_AREA_MM2),
            Self::Temperature => (ABSOLUTE_ZERO_C, MAX_TEMPERATURE_C),
            Self::Torque => (0.0, MAX_TORQUE_NM),
            Self::Mass => (0.0, MAX_MASS_KG),
            Self::Minutes => (0.0, MAX_TIME_MIN),
            Self::Seconds => (0.0, MAX_TIME_MIN * 60.0),
            Self::Irradiance => (0.0, MAX_IRRADIANCE_W_PER_M2),
            Self::Fraction => (0.0, 1.0),
            Self::RotationalSpeed => (0.0, MAX_SPEED_RPM),
            Self::Money => (-MAX_MONEY_CENTS, MAX_MONEY_CENTS),
            Self::Number => (-MAX_NUMBER, MAX_NUMBER),
        }
    }
}

/// Largest believable voltage, V.
pub const MAX_VOLTAGE_V: f64 = 100_000.0;
/// Largest believable current, A.
pub const MAX_CURRENT_A: f64 = 200_000.0;
/// Largest believable resistance, ohm (insulation testers end in gigohms).
pub const MAX_RESISTANCE_OHM: f64 = 1e12;
/// Largest believable power, W.
pub const MAX_POWER_W: f64 = 1e7;
/// Largest believable capacitance, F.
pub const MAX_CAPACITANCE_F: f64 = 1e6;
/// Largest believable energy, Wh.
pub const MAX_ENERGY_WH: f64 = 1e7;
/// Largest believable charge, Ah.
pub const MAX_CHARGE_AH: f64 = 1e6;
/// Largest believable length or coordinate, m.
pub const MAX_LENGTH_M: f64 = 10_000.0;
/// Largest believable conductor area, mm2.
pub const MAX_AREA_MM2: f64 = 10_000.0;
/// Absolute zero, degrees Celsius (definition of the Celsius scale).
pub const ABSOLUTE_ZERO_C: f64 = -273.15;
/// Largest believable temperature, degrees Celsius (copper melts at 1084.62).
pub const MAX_TEMPERATURE_C: f64 = 3000.0;
/// Largest believable torque, N m.
pub const MAX_TORQUE_NM: f64 = 10_000.0;
/// Largest believable mass, kg.
pub const MAX_MASS_KG: f64 = 500_000.0;
/// Largest believable time, min (about twenty years).
pub const MAX_TIME_MIN: f64 = 1e7;
/// Largest believable irradiance, W/m2 (above the air the sun gives about 1361).
pub const MAX_IRRADIANCE_W_PER_M2: f64 = 10_000.0;
/// Largest believable rotational speed, turns per minute.
pub const MAX_SPEED_RPM: f64 = 1e6;
/// Largest believable amount of money, cents. Every whole number up to it is exact in an `f64`.
pub const MAX_MONEY_CENTS: f64 = 1e13;
/// Largest believable bare number.
pub const MAX_NUMBER: f64 = 1e15;
/// Smallest believable size of any value that is not zero, in the unit of the bare number.
pub const MIN_SIZE: f64 = 1e-12;
