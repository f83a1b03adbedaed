//! What a state's table of numbers does not show of its devices: what monitors display beside the
//! truth, and what input capacitors do when they are joined and parted.

use model::{Attribute, DeviceId, Pole, Vehicle};
use network::monitor::{Displayed, displays};
use network::{Network, instrument};
use schemars::JsonSchema;
use serde::Serialize;
use solve::OperatingPoint;
use solve::capacitor::Capacitor;
use units::{Ampere, AmpereHour, Farad, Fraction, Ohm, Second, Volt};

use crate::case::Case;

/// Voltage at which input capacitors are taken to be joined without a bang, V short of the source.
const SHORT_V: f64 = 0.5;

/// Voltage down to which input capacitors are taken to be empty, V.
const EMPTY_V: f64 = 1.0;

/// Currents below this are shown as none, A.
const NOTHING_A: f64 = 5e-4;

/// A display that differs by less than this from the truth agrees, A.
const AGREES_A: f64 = 0.05;

/// What a shunt monitor displays in a state.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MonitorRow {
    /// The shunt.
    pub shunt: String,
    /// The display joined to it; empty if none is recorded.
    pub monitor: String,
    /// The batteries it stands for.
    pub batteries: Vec<String>,
    /// What it displays; positive while charging.
    pub display: String,
    /// What its batteries take together.
    pub truth: String,
    /// By how much it runs ahead of the battery in an hour; empty where it agrees.
    pub drift: String,
    /// The same in words.
    pub words: String,
    /// Displayed current in ampere.
    pub display_a: f64,
    /// True current in ampere.
    pub truth_a: f64,
}

/// What input capacitors do.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct InputRow {
    /// The device.
    pub device: String,
    /// What it has across its input.
    pub capacitance: String,
    /// In words: what happens when it is joined, filled and emptied.
    pub words: String,
    /// Time to fill through the resistor, s.
    pub fills_s: f64,
    /// Time to empty by itself, s.
    pub empties_s: f64,
}

pub(crate) fn monitors(
    vehicle: &Vehicle,
    network: &Network,
    point: &OperatingPoint,
) -> Vec<MonitorRow> {
    displays(vehicle, network, point).iter().map(|found| monitor_row(vehicle, found)).collect()
}

fn monitor_row(vehicle: &Vehicle, found: &Displayed) -> MonitorRow {
    let name = |id: DeviceId| vehicle.devices[id].name.clone();
    let or_zero = |ampere: f64| if ampere.abs() < NOTHING_A { 0.0 } else { ampere };
    let (display_a, truth_a) = (or_zero(found.display_a), or_zero(found.truth_a));
    let drift = found.drift_ah_per_hour();
    let agrees = drift.abs() < AGREES_A;
    let drift_words = if agrees {
        String::new()
    } else {
        let share = found.drift_share_per_hour().map_or_else(String::new, |share| {
            format!(", {} of what it is set for", Fraction::from_si(share.abs()))
        });
        format!("{} in an hour{share}", AmpereHour::from_si(drift.abs()))
    };
    let words = if agrees {
        "displays what flows".to_owned()
    } else if drift > 0.0 {
        format!("shows more and more charge than there is: {drift_words}")
    } else {
        format!("shows less and less charge than there is: {drift_words}")
    };
    MonitorRow {
        shunt: name(found.shunt),
        monitor: found.monitor.map_or_else(String::new, name),
        batteries: found.batteries.iter().copied().map(name).collect(),
        display: Ampere::from_si(display_a).to_string(),
        truth: Ampere::from_si(truth_a).to_string(),
        drift: drift_words,
        words,
        display_a,
        truth_a,
    }
}

impl Case {
    /// Input capacitors of the devices that have a voltage in a state.
    pub(crate) fn input_rows(&self, network: &Network, point: &OperatingPoint) -> Vec<InputRow> {
        let devices = self.vehicle().devices.iter();
        devices.filter_map(|(id, _)| self.input_row(network, point, id)).collect()
    }

    fn input_row(
        &self,
        network: &Network,
        point: &OperatingPoint,
        id: DeviceId,
    ) -> Option<InputRow> {
        let (vehicle, machines) = (self.vehicle(), &self.catalog.machines);
        let device = &vehicle.devices[id];
        let farad = device.number(Attribute::Capacitance).filter(|farad| *farad > 0.0)?;
        let terminal = |pole: Pole, name: &str| {
            vehicle.terminal_of(id, name).or_else(|| {
                device.terminals.iter().copied().find(|t| vehicle.terminals[*t].pole == pole)
            })
        };
        let plus = network.stud_node(terminal(Pole::Plus, "in+")?)?;
        let minus = network.stud_node(terminal(Pole::Minus, "in-")?)?;
        let volt = point.between(plus, minus).filter(|volt| *volt > EMPTY_V)?;
        let input = Capacitor { farad, volt };
        let or_usual = |attribute, usual| {
            let known = device.number(attribute);
            (known.unwrap_or(usual), if known.is_some() { "" } else { " (assumed)" })
        };
        let (fill_ohm, fill_known) = or_usual(Attribute::Precharge, machines.precharge_ohm);
        let (empty_ohm, empty_known) = or_usual(Attribute::Bleeder, machines.bleeder_ohm);
        let fills_s = input.fills_in_s(fill_ohm, SHORT_V);
        let empties_s = input.empties_in_s(empty_ohm, EMPTY_V);
        let struck = instrument::source_ohm(network, point, plus, minus)
            .filter(|ohm| *ohm > 0.0)
            .map_or_else(String::new, |ohm| {
                format!(
                    "joined empty it is struck by up to {}; ",
                    Ampere::from_si(input.inrush_a(ohm))
                )
            });
        let words = format!(
            "{struck}through {}{fill_known} it fills to within {} in {}; left alone it empties \
             through {}{empty_known} to {} in {}: measure, empty it, measure again",
            Ohm::from_si(fill_ohm),
            Volt::from_si(SHORT_V),
            Second::from_si(fills_s),
            Ohm::from_si(empty_ohm),
            Volt::from_si(EMPTY_V),
            Second::from_si(empties_s),
        );
        let capacitance = Farad::from_si(farad).to_string();
        Some(InputRow { device: device.name.clone(), capacitance, words, fills_s, empties_s })
    }
}
