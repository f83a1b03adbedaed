//! Where things are, for drawings: boxes along the vehicle's axes, as far as they are recorded.

use model::{Cuboid, Fact};

use crate::case::Case;

/// A box, metres: forward, left, up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Space {
    /// Rearmost, rightmost, lowest.
    pub low_m: [f64; 3],
    /// Foremost, leftmost, highest.
    pub high_m: [f64; 3],
}

/// Something with a name and perhaps a place.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedSpace {
    /// Its name in the record.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// Where it is, if that is recorded.
    pub space: Option<Space>,
}

/// Everything that may be drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Spaces {
    /// The inside of the vehicle.
    pub inside: Option<Space>,
    /// Parts.
    pub parts: Vec<NamedSpace>,
    /// Devices and spots.
    pub things: Vec<NamedSpace>,
}

impl Case {
    /// Where parts, devices and spots are.
    pub fn spaces(&self) -> Spaces {
        let vehicle = self.vehicle();
        let parts = vehicle.parts.iter().map(|(_, p)| named(&p.name, &p.label, &p.space));
        let devices = vehicle.devices.iter().map(|(_, d)| named(&d.name, &d.label, &d.space));
        let spots = vehicle.spots.iter().map(|(_, s)| named(&s.name, &s.label, &s.space));
        Spaces {
            inside: vehicle.inside.value().map(space),
            parts: parts.collect(),
            things: devices.chain(spots).collect(),
        }
    }

    /// The vehicle's name.
    pub fn vehicle_name(&self) -> &str {
        &self.vehicle().name
    }
}

fn named(name: &str, label: &str, place: &Fact<Cuboid>) -> NamedSpace {
    NamedSpace { name: name.to_owned(), label: label.to_owned(), space: place.value().map(space) }
}

pub(crate) fn space(cuboid: &Cuboid) -> Space {
    Space { low_m: cuboid.low.map(units::Metre::si), high_m: cuboid.high.map(units::Metre::si) }
}
