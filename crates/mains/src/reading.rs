//! What a multimeter shows at each socket, and how that changes with the wiring of the supply.

use model::{DeviceId, Pole, Supply, TerminalId};
use solve::{PhasorTrouble, phasor_point};

use crate::feed::{Variant, loads_of};
use crate::layout::{Layout, Scene};
use crate::metal::of_pole;

/// A voltage between two contacts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reading {
    /// In volts.
    Volt(f64),
    /// Nothing joins the two: a multimeter shows anything, and what it shows means nothing.
    Floats,
    /// One of the contacts does not exist or no wire leads to it.
    NoContact,
}

/// What a multimeter shows at a socket or appliance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Readings {
    /// Where.
    pub at: DeviceId,
    /// Line to neutral.
    pub line_neutral: Reading,
    /// Line to earth.
    pub line_earth: Reading,
    /// Neutral to earth.
    pub neutral_earth: Reading,
}

/// The readings a supply would give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SupplyReadings {
    /// How the supply is wired.
    pub supply: Supply,
    /// At the first socket.
    pub readings: Readings,
}

/// Readings at every socket and appliance of a feed, with what the state has on.
pub(crate) fn readings(
    scene: Scene<'_>,
    variant: &Variant,
) -> Result<Vec<Readings>, PhasorTrouble> {
    let layout = Layout::of(scene, variant, &[]);
    let point = phasor_point(&layout.circuit)?;
    let vehicle = scene.vehicle;
    let between = |a: Option<TerminalId>, b: Option<TerminalId>| {
        let node = |terminal: Option<TerminalId>| terminal.and_then(|t| layout.node(t));
        match (node(a), node(b)) {
            (Some(a), Some(b)) => {
                point.between(a, b).map_or(Reading::Floats, |volt| Reading::Volt(volt.norm()))
            }
            _ => Reading::NoContact,
        }
    };
    Ok(loads_of(vehicle, scene.metal, scene.feed)
        .map(|at| {
            let pin = |pole| of_pole(vehicle, at, pole, "").next();
            let (line, neutral, earth) = (pin(Pole::Line), pin(Pole::Neutral), pin(Pole::Earth));
            Readings {
                at,
                line_neutral: between(line, neutral),
                line_earth: between(line, earth),
                neutral_earth: between(neutral, earth),
            }
        })
        .collect())
}

/// What the first socket shows for each wiring of the supply.
pub(crate) fn by_supply(
    scene: Scene<'_>,
    given: &Variant,
) -> Result<Vec<SupplyReadings>, PhasorTrouble> {
    let mut rows = Vec::new();
    for supply in Supply::ALL {
        let variant = Variant { supply, ..given.clone() };
        let first = readings(scene, &variant)?.into_iter().next();
        rows.extend(first.map(|readings| SupplyReadings { supply, readings }));
    }
    Ok(rows)
}
