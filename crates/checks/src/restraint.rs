//! What holds heavy things.

use model::{Attribute, Fact, Look, Mounting, Place, Vehicle};

use crate::registry::Check;

mod device_loose;
mod heavy_item_held_by_lining;
mod heavy_item_loose;

pub use heavy_item_held_by_lining::HEAVY_KG;

#[rustfmt::skip] // One line each, so that two people add one without getting in each other's way.
pub(crate) const CHECKS: &[Check] = &[
    heavy_item_held_by_lining::CHECK,
    heavy_item_loose::CHECK,
    device_loose::CHECK,
];

/// Something that was added, with what it weighs and what holds it.
struct Thing<'a> {
    place: Place,
    name: &'a str,
    /// kg
    mass: Fact<f64>,
    mounting: Option<&'a Mounting>,
    /// Whether somebody saw that it is fixed; of furniture nobody writes it.
    fixed: Fact<bool>,
    is_battery: bool,
}

impl<'a> Thing<'a> {
    /// Devices that are not of the base vehicle, and parts in their place of which mass or hold is
    /// written.
    fn all(vehicle: &'a Vehicle) -> impl Iterator<Item = Thing<'a>> {
        let devices = vehicle.devices.iter().filter(|(_, device)| !device.base_vehicle);
        let devices = devices.map(|(id, device)| Thing {
            place: Place::Device(id),
            name: &device.name,
            mass: device.fact(Attribute::Mass),
            mounting: device.mounting.as_ref(),
            fixed: device.looks.get(Look::Fixed).clone(),
            is_battery: device.role == model::Role::Battery,
        });
        let parts = vehicle.parts.iter().filter(|(_, part)| !part.is_out && part.moved.is_none());
        devices.chain(parts.map(|(id, part)| Thing {
            place: Place::Part(id),
            name: &part.name,
            mass: part.mass.clone().map(|mass| mass.si()),
            mounting: part.mounting.as_ref(),
            fixed: Fact::Unknown,
            is_battery: false,
        }))
    }

    fn is_heavy(&self) -> bool {
        self.mass.value().is_some_and(|kg| *kg >= HEAVY_KG)
    }

    /// The record says that nothing holds it.
    fn is_loose(&self) -> bool {
        let nothing = self.mounting.is_some_and(|held| {
            matches!(held.words.trim(), "nothing" | "loose" | "seen nothing" | "seen loose")
        });
        nothing || self.fixed.value() == Some(&false)
    }
}
