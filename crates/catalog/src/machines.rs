//! Constants of the device models: how machines behave where no label says it.

use std::collections::BTreeMap;

use serde::Deserialize;
use units::Dimension;

/// The constants. Each field names its unit; values and sources are in `data/machines.toml`.
#[derive(Clone, Debug, PartialEq)]
pub struct Machines {
    /// Alternator speed without output, turns per minute.
    pub alternator_zero_rpm: f64,
    /// Alternator speed of the first current of its marking, turns per minute.
    pub alternator_low_rpm: f64,
    /// Alternator speed of its rating, turns per minute.
    pub alternator_rated_rpm: f64,
    /// Current at the low speed over the rated one.
    pub alternator_low_share: f64,
    /// Turns of the alternator for each of the engine.
    pub alternator_pulley: f64,
    /// Output of a hot alternator over that of a cold one.
    pub alternator_hot_share: f64,
    /// Fall of the regulated voltage of a 12 V machine, V/K.
    pub alternator_fall_v_per_k: f64,
    /// Temperature at which the usual regulated voltage is meant, degrees Celsius.
    pub alternator_reference_c: f64,
    /// The board's part of a battery's resistance.
    pub board_share: f64,
    /// What still passes an open board, ohm.
    pub board_leak_ohm: f64,
    /// What passes a blocking transistor, ohm.
    pub one_way_leak_ohm: f64,
    /// Plain diode: saturation current, A, and emission coefficient.
    pub diode: (f64, f64),
    /// One way of a charge isolator: saturation current, A, and emission coefficient.
    pub isolator: (f64, f64),
    /// Rise of a module's short-circuit current, part of it per kelvin.
    pub module_current_per_k: f64,
    /// Heat loss of a module: constant, W/(m2 K), and for each m/s of wind; and the wind, m/s.
    pub module_heat: (f64, f64, f64),
    /// Input of a voltmeter, ohm.
    pub voltmeter_ohm: f64,
    /// Resistance of an ammeter with fuse and leads, ohm.
    pub ammeter_ohm: f64,
    /// Power of a test lamp at the nominal voltage, W.
    pub test_lamp_w: f64,
    /// Current of a filament lamp over its rated one, as a power of voltage over rated voltage.
    pub lamp_exponent: f64,
    /// What empties input capacitors where nothing is known, ohm.
    pub bleeder_ohm: f64,
    /// Resistor put in before input capacitors are joined, ohm.
    pub precharge_ohm: f64,
    rows: BTreeMap<String, Row>,
}

#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    value: String,
    source: String,
    note: Option<String>,
}

impl Machines {
    pub(crate) fn embedded() -> Machines {
        let rows: BTreeMap<String, Row> =
            crate::embedded("machines.toml", include_str!("../data/machines.toml"));
        let get = |key: &str, dimension| crate::quantity(&rows[key].value, dimension);
        let share = |key| get(key, Dimension::Fraction);
        let number = |key| get(key, Dimension::Number);
        let ohm = |key| get(key, Dimension::Resistance);
        let rpm = |key| get(key, Dimension::RotationalSpeed);
        let diode = |kind: &str| {
            let saturation_a = get(&format!("{kind}_saturation"), Dimension::Current);
            (saturation_a, get(&format!("{kind}_emission"), Dimension::Number))
        };
        Machines {
            alternator_zero_rpm: rpm("alternator_zero_speed"),
            alternator_low_rpm: rpm("alternator_low_speed"),
            alternator_rated_rpm: rpm("alternator_rated_speed"),
            alternator_low_share: share("alternator_low_share"),
            alternator_pulley: number("alternator_pulley"),
            alternator_hot_share: share("alternator_hot_share"),
            alternator_fall_v_per_k: get("alternator_fall_per_kelvin", Dimension::Voltage),
            alternator_reference_c: get("alternator_reference", Dimension::Temperature),
            board_share: share("board_share"),
            board_leak_ohm: ohm("board_leak"),
            one_way_leak_ohm: ohm("one_way_leak"),
            diode: diode("diode"),
            isolator: diode("isolator"),
            module_current_per_k: number("module_current_per_kelvin"),
            module_heat: (
                number("module_heat_constant"),
                number("module_heat_wind"),
                number("module_wind"),
            ),
            voltmeter_ohm: ohm("voltmeter_input"),
            ammeter_ohm: ohm("ammeter_burden"),
            test_lamp_w: get("test_lamp", Dimension::Power),
            lamp_exponent: number("lamp_exponent"),
            bleeder_ohm: ohm("bleeder"),
            precharge_ohm: ohm("precharge"),
            rows,
        }
    }

    /// Keys of the sources of all constants, with the constant they belong to.
    pub fn sources(&self) -> impl Iterator<Item = (&str, &str)> {
        self.rows.iter().map(|(key, row)| (key.as_str(), row.source.as_str()))
    }

    /// What is said of a constant: a reason for [`model::Fact::assumed`].
    ///
    /// # Panics
    /// If no such constant exists: a bug of the caller.
    pub fn why(&self, key: &str) -> String {
        let row = &self.rows[key];
        row.note.clone().unwrap_or_else(|| row.source.clone())
    }
}
