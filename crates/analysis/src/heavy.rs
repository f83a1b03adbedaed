//! Heavy things of a vehicle, devices and furniture alike, and whether they tip over.

use std::cmp::Ordering;

use model::{Attribute, Cuboid, Device, Direction, Fact, Mounting, Part};
use restraint::{Criterion, Level, Standing, overturning_pull_n};
use serde::Serialize;
use units::Kilogram;

use crate::case::Case;

/// Something with what it weighs and what holds it.
#[derive(Clone, Copy)]
pub(crate) struct Heavy<'a> {
    pub(crate) name: &'a str,
    pub(crate) label: &'a str,
    pub(crate) mass_kg: Option<f64>,
    /// How its mass is known, in a word.
    origin: Option<&'static str>,
    pub(crate) mounting: Option<&'a Mounting>,
    pub(crate) space: Option<&'a Cuboid>,
}

impl<'a> Heavy<'a> {
    fn device(device: &'a Device) -> Heavy<'a> {
        let mass = device.attributes.get(&Attribute::Mass);
        Heavy {
            name: &device.name,
            label: &device.label,
            mass_kg: device.number(Attribute::Mass),
            origin: mass.and_then(Fact::origin).map(model::Origin::word),
            mounting: device.mounting.as_ref(),
            space: device.space.value(),
        }
    }

    fn part(part: &'a Part) -> Heavy<'a> {
        Heavy {
            name: &part.name,
            label: &part.label,
            mass_kg: part.mass.value().map(|mass| mass.si()),
            origin: part.mass.origin().map(model::Origin::word),
            mounting: part.mounting.as_ref(),
            space: part.space.value(),
        }
    }

    fn is_heavy(&self) -> bool {
        self.mass_kg.is_some_and(|mass_kg| mass_kg >= checks::HEAVY_KG)
    }

    fn heaviest_first(&self, other: &Heavy<'_>) -> Ordering {
        let kg = |thing: &Heavy<'_>| thing.mass_kg.unwrap_or(0.0);
        kg(other).total_cmp(&kg(self)).then_with(|| self.name.cmp(other.name))
    }

    pub(crate) fn mass_words(&self) -> String {
        match (self.mass_kg.map(Kilogram::from_si), self.origin) {
            (Some(mass), Some(origin)) => format!("{mass} ({origin})"),
            (Some(mass), None) => mass.to_string(),
            (None, _) => String::new(),
        }
    }
}

/// Whether a thing tips over.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OverturnRow {
    /// The criterion.
    pub criterion: String,
    /// The direction.
    pub direction: String,
    /// What the fixings of the far edge have to hold down, N.
    pub pull_n: f64,
    /// The most that all fixings together can hold down, N, where it is known.
    pub at_most_n: Option<f64>,
    /// `would fall short` or `cannot tell`: where its weight sits is not recorded, so half its height is
    /// taken, and that decides no pass.
    pub verdict: String,
}

impl Case {
    /// Added things that are heavy, heaviest first: devices, and parts of which it is written what
    /// holds them.
    pub(crate) fn heavy_things(&self) -> Vec<Heavy<'_>> {
        let mut heavy: Vec<Heavy<'_>> = self.things().collect();
        heavy.retain(Heavy::is_heavy);
        heavy.sort_by(Heavy::heaviest_first);
        heavy
    }

    fn things(&self) -> impl Iterator<Item = Heavy<'_>> {
        let devices = self.vehicle().devices.iter().map(|(_, device)| device);
        let added = devices.filter(|device| !device.base_vehicle).map(Heavy::device);
        let parts = self.vehicle().parts.iter().map(|(_, part)| part);
        let held = parts.filter(|part| part.mounting.is_some() && !part.is_out).map(Heavy::part);
        added.chain(held)
    }

    /// Heavy furniture in its place of which nobody wrote what holds it, heaviest first. A device that is
    /// a part as well stands among the devices.
    pub(crate) fn unheld_furniture(&self) -> Vec<Heavy<'_>> {
        let vehicle = self.vehicle();
        let is_device = |name: &str| vehicle.devices.find(|device| device.name == name).is_some();
        let parts = vehicle.parts.iter().map(|(_, part)| part);
        let furniture = parts.filter(|part| !part.is_out && !is_device(&part.name));
        let unheld = furniture.filter(|part| part.mounting.is_none()).map(Heavy::part);
        let mut heavy: Vec<Heavy<'_>> = unheld.filter(Heavy::is_heavy).collect();
        heavy.sort_by(Heavy::heaviest_first);
        heavy
    }

    /// A device or part by its name.
    pub(crate) fn thing_named(&self, name: &str) -> Option<Heavy<'_>> {
        let device = self.vehicle().devices.find(|device| device.name == name);
        let part = || self.vehicle().parts.find(|part| part.name == name);
        let device = device.map(|(_, device)| Heavy::device(device));
        device.or_else(|| part().map(|(_, part)| Heavy::part(part)))
    }

    /// What overturning pulls on a thing whose size is known, in the level directions.
    pub(crate) fn overturning(&self, thing: &Heavy<'_>, criterion: &Criterion) -> Vec<OverturnRow> {
        let (Some(mass_kg), Some(space)) = (thing.mass_kg, thing.space) else { return Vec::new() };
        let upward = Level { direction: Direction::Up, g_level: 1.0 };
        let lifted = Criterion { levels: vec![upward], ..criterion.clone() };
        let held = restraint::held(mass_kg, thing.mounting, &self.catalog.restraint);
        let up = restraint::compare(&held, &lifted).unwrap_or_default();
        // Upwards its own weight helps; here it is in the moments already.
        let own_n = restraint::load_n(mass_kg, 1.0).unwrap_or(0.0);
        let at_most_n = up.first().and_then(|up| up.at_most_n).map(|most| (most - own_n).max(0.0));
        let row = |level: &Level| {
            let axis = match level.direction {
                Direction::Forward | Direction::Back => 0,
                Direction::Left | Direction::Right => 1,
                Direction::Up | Direction::Down => return None,
            };
            let standing = Standing {
                mass_kg,
                weight_up_m: space.size(2).si() / 2.0,
                depth_m: space.size(axis).si(),
            };
            let pull_n = overturning_pull_n(standing, level.g_level).ok().filter(|n| *n > 0.0)?;
            let short = at_most_n.is_some_and(|most| pull_n > most);
            Some(OverturnRow {
                criterion: criterion.id.clone(),
                direction: level.direction.word().to_owned(),
                pull_n,
                at_most_n,
                verdict: if short { "would fall short" } else { "cannot tell" }.to_owned(),
            })
        };
        criterion.levels.iter().filter_map(row).collect()
    }
}
