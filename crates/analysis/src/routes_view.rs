//! From where to where wires run, as far as the record tells: the places of their ends and the parts
//! they run behind. Wires between the same two places are one way.

use model::{DeviceId, Landing, Vehicle, WireEnd, WireId};

use crate::case::Case;
use crate::spaces::{Space, space};

/// The ways of all wires.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Routes {
    /// Ways whose ends both have a place; those of most wires first.
    pub routes: Vec<RouteView>,
    /// Wires that stay within one place.
    pub within: usize,
    /// Wires of which one end has a place and the other has none: the place in words, and the wires.
    pub one_end: Vec<(String, Vec<String>)>,
    /// Names of the wires of which no end has a place.
    pub no_place: Vec<String>,
}

/// Wires from a place to a place.
#[derive(Clone, Debug, PartialEq)]
pub struct RouteView {
    /// Their names.
    pub wires: Vec<String>,
    /// Where they begin and end.
    pub ends: [RouteEndView; 2],
    /// What they run behind, by name and place.
    pub past: Vec<(String, Option<Space>)>,
}

/// An end of a way.
#[derive(Clone, Debug, PartialEq)]
pub struct RouteEndView {
    /// The place in words; empty when nobody knows it.
    pub words: String,
    /// It vanishes behind a part.
    pub is_lost: bool,
    /// Where that is, if recorded.
    pub space: Option<Space>,
}

/// Things whose middles are no farther apart than this stand in one place, m: at the scale of a drawing
/// of the whole vehicle their wires could not be told apart. Our choice.
const ONE_PLACE_M: f64 = 0.45;

/// A place with words, and how many ends of wires land there.
struct Site {
    words: String,
    space: Space,
    ends: usize,
}

impl Case {
    /// The ways of all wires.
    pub fn routes(&self) -> Routes {
        let vehicle = self.vehicle();
        let sites = sites(vehicle);
        let mut routes = Routes::default();
        for id in vehicle.wires.ids() {
            let mut ends = WireEnd::BOTH.map(|end| end_of(vehicle, &sites, id, end));
            if ends[0].words > ends[1].words {
                ends.swap(0, 1);
            }
            let name = vehicle.wires[id].name.clone();
            match (ends[0].space.is_some(), ends[1].space.is_some()) {
                (true, true) if ends[0] == ends[1] => routes.within += 1,
                (true, true) => add(&mut routes.routes, name, ends, behind(vehicle, id)),
                (true, false) => add_one_end(&mut routes.one_end, &ends[0].words, name),
                (false, true) => add_one_end(&mut routes.one_end, &ends[1].words, name),
                (false, false) => routes.no_place.push(name),
            }
        }
        routes
            .routes
            .sort_by(|a, b| b.wires.len().cmp(&a.wires.len()).then_with(|| a.wires.cmp(&b.wires)));
        routes
    }
}

fn add(
    routes: &mut Vec<RouteView>,
    wire: String,
    ends: [RouteEndView; 2],
    behind: Option<(String, Option<Space>)>,
) {
    let past: Vec<_> = behind.into_iter().collect();
    match routes.iter_mut().find(|route| route.ends == ends && route.past == past) {
        Some(route) => route.wires.push(wire),
        None => routes.push(RouteView { wires: vec![wire], ends, past }),
    }
}

fn add_one_end(places: &mut Vec<(String, Vec<String>)>, words: &str, wire: String) {
    match places.iter_mut().find(|(known, _)| known == words) {
        Some((_, wires)) => wires.push(wire),
        None => places.push((words.to_owned(), vec![wire])),
    }
}

fn behind(vehicle: &Vehicle, wire: WireId) -> Option<(String, Option<Space>)> {
    let part = &vehicle.parts[vehicle.wires[wire].runs_behind?];
    Some((part.name.clone(), part.space.value().map(space)))
}

fn end_of(vehicle: &Vehicle, sites: &[Site], wire: WireId, end: WireEnd) -> RouteEndView {
    match vehicle.wires[wire].end(end).landing {
        Landing::At(terminal) => {
            let device = vehicle.terminals[terminal].device;
            let words = words_of(vehicle, device);
            let alone = || RouteEndView { words: words.clone(), is_lost: false, space: None };
            let Some(own) = own_space(vehicle, &words) else { return alone() };
            let nearest = sites.iter().find(|site| is_near(&site.space, &own));
            nearest.map_or_else(alone, |site| RouteEndView {
                words: site.words.clone(),
                is_lost: false,
                space: Some(site.space),
            })
        }
        Landing::Behind(part) => {
            let part = &vehicle.parts[part];
            RouteEndView {
                words: format!("behind {}", part.name),
                is_lost: true,
                space: part.space.value().map(space),
            }
        }
        Landing::Unknown => RouteEndView { words: String::new(), is_lost: true, space: None },
    }
}

/// What the record calls the place of a device; the device itself where it has no words for that.
fn words_of(vehicle: &Vehicle, id: DeviceId) -> String {
    let device = &vehicle.devices[id];
    let words = if device.place_words.is_empty() { &device.name } else { &device.place_words };
    words.clone()
}

/// The box around all devices that the record puts in the same place.
fn own_space(vehicle: &Vehicle, words: &str) -> Option<Space> {
    let there = vehicle.devices.iter().filter(|(id, _)| words_of(vehicle, *id) == words);
    let spaces = there.filter_map(|(_, device)| device.space.value().map(space));
    spaces.reduce(|a, b| around(&a, &b))
}

/// The places, busiest first; a place near a busier one is part of that.
fn sites(vehicle: &Vehicle) -> Vec<Site> {
    let mut all: Vec<Site> = Vec::new();
    for id in vehicle.devices.ids() {
        let words = words_of(vehicle, id);
        let ends = vehicle.devices[id].terminals.iter().map(|t| vehicle.wires_at(*t).count()).sum();
        match all.iter_mut().find(|site| site.words == words) {
            Some(site) => site.ends += ends,
            None => {
                let Some(space) = own_space(vehicle, &words) else { continue };
                all.push(Site { words, space, ends });
            }
        }
    }
    all.sort_by(|a, b| b.ends.cmp(&a.ends).then_with(|| a.words.cmp(&b.words)));
    let mut kept: Vec<Site> = Vec::new();
    for site in all {
        if !kept.iter().any(|busier| is_near(&busier.space, &site.space)) {
            kept.push(site);
        }
    }
    kept
}

fn is_near(a: &Space, b: &Space) -> bool {
    let middle = |space: &Space, k: usize| (space.low_m[k] + space.high_m[k]) / 2.0;
    let square: f64 = (0..3).map(|k| (middle(a, k) - middle(b, k)).powi(2)).sum();
    square.sqrt() <= ONE_PLACE_M
}

fn around(a: &Space, b: &Space) -> Space {
    Space {
        low_m: std::array::from_fn(|k| a.low_m[k].min(b.low_m[k])),
        high_m: std::array::from_fn(|k| a.high_m[k].max(b.high_m[k])),
    }
}
