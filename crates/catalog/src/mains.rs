//! Figures of the mains side that no record of a vehicle can hold: supplies, leads, people, meters.

use model::Region;
use serde::Deserialize;
use units::{Dimension, Fraction, Ohm, Volt, Watt};

/// A public supply.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grid {
    /// Voltage of a line against neutral.
    pub volt: Volt,
    /// The most it may stand at.
    pub most: Volt,
    /// Frequency, Hz.
    pub hertz: f64,
}

/// A figure with the reason for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure<T> {
    /// The value.
    pub value: T,
    /// Why this value.
    pub why: String,
}

/// All figures of the mains side.
#[derive(Clone, Debug, PartialEq)]
pub struct MainsFigures {
    north_america: Grid,
    elsewhere: Grid,
    /// Source and line up to the socket of the site.
    pub supply_line: Figure<Ohm>,
    /// Neutral up to there.
    pub supply_neutral: Figure<Ohm>,
    /// Earth conductor up to there.
    pub supply_earth: Figure<Ohm>,
    /// One core of the shore lead with its plugs.
    pub lead_core: Figure<Ohm>,
    /// A rod in the ground beside the socket.
    pub rod: Figure<Ohm>,
    /// From the source's neutral to the ground under the vehicle.
    pub electrode: Figure<Ohm>,
    /// Output of an inverter.
    pub inverter: Figure<Ohm>,
    /// Output of a generator.
    pub generator: Figure<Ohm>,
    /// A pole of a breaker or relay.
    pub contact: Figure<Ohm>,
    /// A closed bond.
    pub bond: Figure<Ohm>,
    /// A line lying on metal.
    pub fault: Figure<Ohm>,
    /// Input of a multimeter.
    pub meter: Figure<Ohm>,
    /// A person, hand to feet.
    pub person: Figure<Ohm>,
    /// Load drawn for trial.
    pub trial_load: Figure<Watt>,
    /// Of a mains charger.
    pub charger_efficiency: Figure<Fraction>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    grid: RawGrids,
    figure: RawFigures,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawGrids {
    north_america: RawGrid,
    elsewhere: RawGrid,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawGrid {
    volt: String,
    most: String,
    hertz: f64,
}

type Raw = (String, String);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawFigures {
    supply_line: Raw,
    supply_neutral: Raw,
    supply_earth: Raw,
    lead_core: Raw,
    rod: Raw,
    electrode: Raw,
    inverter: Raw,
    generator: Raw,
    contact: Raw,
    bond: Raw,
    fault: Raw,
    meter: Raw,
    person: Raw,
    trial_load: Raw,
    charger_efficiency: Raw,
}

impl MainsFigures {
    pub(crate) fn embedded() -> MainsFigures {
        let file: File = crate::embedded("mains.toml", include_str!("../data/mains.toml"));
        let f = file.figure;
        MainsFigures {
            north_america: grid(&file.grid.north_america),
            elsewhere: grid(&file.grid.elsewhere),
            supply_line: ohm(f.supply_line),
            supply_neutral: ohm(f.supply_neutral),
            supply_earth: ohm(f.supply_earth),
            lead_core: ohm(f.lead_core),
            rod: ohm(f.rod),
            electrode: ohm(f.electrode),
            inverter: ohm(f.inverter),
            generator: ohm(f.generator),
            contact: ohm(f.contact),
            bond: ohm(f.bond),
            fault: ohm(f.fault),
            meter: ohm(f.meter),
            person: ohm(f.person),
            trial_load: figure(f.trial_load, Dimension::Power, Watt::from_si),
            charger_efficiency: figure(
                f.charger_efficiency,
                Dimension::Fraction,
                Fraction::from_si,
            ),
        }
    }

    /// The public supply of a region.
    pub fn grid(&self, region: Option<Region>) -> Grid {
        match region {
            Some(Region::NorthAmerica) => self.north_america,
            _ => self.elsewhere,
        }
    }
}

fn grid(raw: &RawGrid) -> Grid {
    let volt = |words| Volt::from_si(crate::quantity(words, Dimension::Voltage));
    Grid { volt: volt(&raw.volt), most: volt(&raw.most), hertz: raw.hertz }
}

fn ohm(raw: Raw) -> Figure<Ohm> {
    figure(raw, Dimension::Resistance, Ohm::from_si)
}

fn figure<T>((value, why): Raw, dimension: Dimension, of: fn(f64) -> T) -> Figure<T> {
    Figure { value: of(crate::quantity(&value, dimension)), why }
}
