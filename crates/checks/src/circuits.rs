//! Walks several checks share.
//!
//! A *region* is a piece of feed-side metal cut off at every protective contact (fuse, breaker):
//! whatever feeds a region from inside meets no protection in it; whatever feeds it from outside
//! does so through a contact at its border.

use std::collections::{BTreeMap, BTreeSet};

use model::{Attribute, DeviceId, Role, TerminalId, Vehicle, WireId};
use network::{Item, Link, Network, Passage, Point, Walk};
pub(crate) use network::{is_base_vehicle, return_points, source_terminals};
use units::Ampere;

/// A piece of feed-side metal between protective contacts.
#[derive(Debug, Default)]
pub(crate) struct Region {
    pub(crate) points: BTreeSet<Point>,
    pub(crate) wires: BTreeSet<WireId>,
    /// Sources whose plus is in the region.
    pub(crate) sources: BTreeSet<DeviceId>,
    /// A wire of it has an end nobody has seen.
    pub(crate) goes_on_unseen: bool,
    /// Protective contacts at its border: rating and the region on the other side.
    pub(crate) border: Vec<Border>,
}

/// A protective contact seen from a region.
#[derive(Clone, Debug)]
pub(crate) struct Border {
    pub(crate) device: DeviceId,
    pub(crate) rated: model::Fact<Ampere>,
    pub(crate) label: String,
    pub(crate) beyond: usize,
}

/// All regions of a network.
pub(crate) struct Regions {
    pub(crate) list: Vec<Region>,
    owner: BTreeMap<Point, usize>,
    /// By region: the next one on the shortest way to a region with a strong source.
    to_strong: Vec<Option<usize>>,
}

impl Regions {
    pub(crate) fn of(vehicle: &Vehicle, network: &Network) -> Regions {
        let returns = return_points(vehicle, network);
        let mut owner: BTreeMap<Point, usize> = BTreeMap::new();
        let mut list: Vec<Region> = Vec::new();
        for point in network.graph.points() {
            if returns.contains(&point)
                || owner.contains_key(&point)
                || !is_feed(vehicle, network, point)
            {
                continue;
            }
            let walk = network.graph.walk([point], |link, _| is_inside(vehicle, link));
            let index = list.len();
            let points: BTreeSet<Point> =
                walk.reached().iter().copied().filter(|p| !returns.contains(p)).collect();
            for point in &points {
                owner.insert(*point, index);
            }
            list.push(Region { points, ..Region::default() });
        }
        let mut regions = Regions { list, owner, to_strong: Vec::new() };
        regions.fill(vehicle, network);
        regions.to_strong = regions.towards(|region| region.has_strong_source(vehicle));
        regions
    }

    /// The region a point is in.
    pub(crate) fn at(&self, point: Point) -> Option<usize> {
        self.owner.get(&point).copied()
    }

    fn fill(&mut self, vehicle: &Vehicle, network: &Network) {
        let owner = std::mem::take(&mut self.owner);
        for (_, link) in network.graph.links() {
            let (a, b) = (owner.get(&link.a).copied(), owner.get(&link.b).copied());
            match link.item {
                Item::Wire(wire) => {
                    if let Some(index) = a.or(b) {
                        let ends = &vehicle.wires[wire].ends;
                        self.list[index].goes_on_unseen |=
                            ends.iter().any(|end| !matches!(end.landing, model::Landing::At(_)));
                        self.list[index].wires.insert(wire);
                    }
                }
                Item::Device(device) if is_protective(vehicle, link) => {
                    if let (Some(a), Some(b)) = (a, b)
                        && a != b
                    {
                        let (rated, label) = rating(vehicle, network, device, link);
                        let border = |beyond| Border {
                            device,
                            rated: rated.clone(),
                            label: label.clone(),
                            beyond,
                        };
                        self.list[a].border.push(border(b));
                        self.list[b].border.push(border(a));
                    }
                }
                _ => {}
            }
        }
        for (id, device) in vehicle.devices.iter() {
            for terminal in source_terminals(vehicle, id, device.role) {
                if let Some(index) = owner.get(&network.graph.stud(terminal)) {
                    self.list[*index].sources.insert(id);
                }
            }
        }
        self.owner = owner;
    }

    /// By region, the next one on the shortest way to any that is wanted; itself where it is one.
    fn towards(&self, wanted: impl Fn(&Region) -> bool) -> Vec<Option<usize>> {
        let mut next = vec![None; self.list.len()];
        let mut open: Vec<usize> =
            (0..self.list.len()).filter(|at| wanted(&self.list[*at])).collect();
        open.iter().for_each(|at| next[*at] = Some(*at));
        let mut first = 0;
        while let Some(at) = open.get(first).copied() {
            for border in &self.list[at].border {
                if next[border.beyond].is_none() {
                    next[border.beyond] = Some(at);
                    open.push(border.beyond);
                }
            }
            first += 1;
        }
        next
    }

    /// Whether a strong source stands behind a contact, `region` itself left out. Nearly always the
    /// shortest way there tells; where it leads back, all that hangs together behind it is looked at.
    fn is_strong_beyond(&self, vehicle: &Vehicle, first: usize, region: usize) -> bool {
        let mut at = first;
        while at != region {
            match self.to_strong[at] {
                Some(next) if next == at => return true,
                Some(next) => at = next,
                None => return false,
            }
        }
        self.beyond(first, region).any(|region| region.has_strong_source(vehicle))
    }

    /// The contacts through which a region is fed: those towards a battery or alternator; where
    /// there is none, those towards a wire that goes on unseen (it may bring anything); else those
    /// towards sources that limit themselves, which count for no more than they can deliver.
    pub(crate) fn feeds(&self, vehicle: &Vehicle, region: usize) -> Vec<Border> {
        let borders = || self.list[region].border.iter();
        let through = |from: fn(&Region) -> bool| -> Vec<&Border> {
            borders().filter(|border| self.beyond(border.beyond, region).any(from)).collect()
        };
        let strong = |border: &&Border| self.is_strong_beyond(vehicle, border.beyond, region);
        let mut known: Vec<&Border> = borders().filter(strong).collect();
        if known.is_empty() && self.list[region].has_strong_source(vehicle) {
            return Vec::new();
        }
        if known.is_empty() {
            known = through(|region| region.goes_on_unseen);
        }
        if !known.is_empty() {
            return known.into_iter().cloned().collect();
        }
        let limited = through(|region| !region.sources.is_empty());
        limited.into_iter().map(|border| self.capped(vehicle, border, region)).collect()
    }

    /// A contact that counts for no more than the sources behind it deliver, where that is known.
    fn capped(&self, vehicle: &Vehicle, border: &Border, region: usize) -> Border {
        let limits: Vec<Option<f64>> = self
            .beyond(border.beyond, region)
            .flat_map(|region| region.sources.iter())
            .map(|id| vehicle.devices[*id].fact(Attribute::Limit).evidence().copied())
            .collect();
        let most_a = limits.into_iter().sum::<Option<f64>>().map(Ampere::from_si);
        match (most_a, border.rated.value()) {
            (Some(most), Some(rated)) if most.si() < rated.si() => Border {
                rated: model::Fact::known(most, model::Origin::seen()),
                label: format!("{} behind a source of limited current", border.label),
                ..border.clone()
            },
            _ => border.clone(),
        }
    }

    /// The regions that hang together behind a contact, `region` itself left out.
    fn beyond(&self, first: usize, region: usize) -> impl Iterator<Item = &Region> {
        let mut seen = BTreeSet::from([region, first]);
        let mut open = vec![first];
        std::iter::from_fn(move || {
            let at = open.pop()?;
            for border in &self.list[at].border {
                if seen.insert(border.beyond) {
                    open.push(border.beyond);
                }
            }
            Some(&self.list[at])
        })
    }
}

impl Region {
    /// A battery or alternator stands in it: the whole fault current.
    fn has_strong_source(&self, vehicle: &Vehicle) -> bool {
        self.sources
            .iter()
            .any(|id| matches!(vehicle.devices[*id].role, Role::Battery | Role::Alternator))
    }
}

/// The metal ways (diodes either way included) from anywhere to the nearest of several terminals.
pub(crate) struct WaysTo(Walk);

impl WaysTo {
    pub(crate) fn of(network: &Network, to: impl IntoIterator<Item = TerminalId>) -> WaysTo {
        let studs = to.into_iter().map(|terminal| network.graph.stud(terminal));
        WaysTo(
            network
                .graph
                .walk(studs, |link, _| matches!(link.passage, Passage::Metal | Passage::OneWay)),
        )
    }

    /// The wires from a terminal to the nearest of them, in order.
    pub(crate) fn from(&self, network: &Network, terminal: TerminalId) -> Option<Vec<WireId>> {
        let stud = network.graph.stud(terminal);
        self.0.reaches(stud).then(|| {
            let mut wires = wires_of(network, &self.0.path(stud));
            wires.reverse();
            wires
        })
    }
}

/// The wires of a path.
pub(crate) fn wires_of(network: &Network, path: &[network::LinkId]) -> Vec<WireId> {
    path.iter()
        .filter_map(|id| match network.graph.get(*id).item {
            Item::Wire(wire) => Some(wire),
            _ => None,
        })
        .collect()
}

fn is_feed(vehicle: &Vehicle, network: &Network, point: Point) -> bool {
    match network.graph.terminal(point) {
        Some(terminal) => !vehicle.terminals[terminal].pole.is_ac(),
        None => network.node(point).is_some(),
    }
}

/// Inside a region: metal that does not protect, a diode either way, a relay's contact.
fn is_inside(vehicle: &Vehicle, link: &Link) -> bool {
    match link.passage {
        Passage::Metal => !is_protective(vehicle, link),
        Passage::OneWay => true,
        Passage::Maybe => matches!(link.item, Item::Device(id)
            if vehicle.devices[id].role.is_relay()),
        // An opened switch is closed again tomorrow; an opened protective device still protects.
        Passage::Open => !is_protective(vehicle, link),
        Passage::Load | Passage::Source => false,
    }
}

fn is_protective(vehicle: &Vehicle, link: &Link) -> bool {
    matches!(link.item, Item::Device(id) if vehicle.devices[id].role.protects())
}

fn rating(
    vehicle: &Vehicle,
    network: &Network,
    id: DeviceId,
    link: &Link,
) -> (model::Fact<Ampere>, String) {
    let device = &vehicle.devices[id];
    let way = device.ways.iter().enumerate().find(|(_, way)| {
        let stud = network.graph.stud(way.terminal);
        stud == link.a || stud == link.b
    });
    match way {
        Some((index, way)) => (way.rated.clone(), format!("{} way {}", device.name, index + 1)),
        None => (device.fact(Attribute::Rated).map(|a| Ampere::from_si(*a)), device.name.clone()),
    }
}

#[cfg(test)]
mod tests;
