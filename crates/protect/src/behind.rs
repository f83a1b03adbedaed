//! Which sources stand behind an end of a wire, and which devices cut each of them off.

use circuit::BranchId;
use model::{DeviceId, Role, TerminalId, Vehicle, WireEnd, WireId};
use network::{Group, Item, Link, Network, Passage, Point, return_points};

/// A protective contact: the device and the terminal it lets out at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Contact {
    pub(crate) device: DeviceId,
    pub(crate) out: TerminalId,
}

impl Contact {
    pub(crate) fn branch(self, network: &Network) -> Option<BranchId> {
        let mut contacts = network.contacts().iter();
        contacts.find(|(id, out, _)| *id == self.device && *out == self.out).map(|found| found.2)
    }
}

/// A source behind an end of a wire.
#[derive(Clone, Debug)]
pub(crate) struct Behind {
    pub(crate) source: DeviceId,
    /// Devices of which each one alone cuts the source off, the nearest to the wire first.
    pub(crate) devices: Vec<Contact>,
    /// No single device cuts it off, but every way to it leads over some device.
    pub(crate) every_way_protected: bool,
    /// The wires on the shortest way.
    pub(crate) way: Vec<WireId>,
}

impl Behind {
    /// Delivers whatever the resistances let through.
    pub(crate) fn is_strong(&self, vehicle: &Vehicle) -> bool {
        vehicle.devices[self.source].role == Role::Battery
    }
}

/// Looks along the metal of the feed side.
pub(crate) struct Looking<'a> {
    pub(crate) vehicle: &'a Vehicle,
    pub(crate) network: &'a Network,
    /// By point: whether it is on the return side.
    returns: Vec<bool>,
}

impl<'a> Looking<'a> {
    pub(crate) fn new(vehicle: &'a Vehicle, network: &'a Network) -> Looking<'a> {
        let mut returns = vec![false; network.graph.point_count()];
        for point in return_points(vehicle, network) {
            returns[network.graph.index(point)] = true;
        }
        Looking { vehicle, network, returns }
    }

    /// Whether a point is on the return side.
    pub(crate) fn is_return(&self, point: Point) -> bool {
        self.returns[self.network.graph.index(point)]
    }

    /// Sources behind an end of a wire, the wire itself left out.
    pub(crate) fn behind(&self, wire: WireId, end: WireEnd) -> Vec<Behind> {
        match self.vehicle.wires[wire].terminal(end) {
            Some(terminal) => self.sources(self.network.graph.stud(terminal), Some(wire)),
            None => Vec::new(),
        }
    }

    /// Sources that feed a point, perhaps without a wire.
    pub(crate) fn sources(&self, from: Point, without: Option<WireId>) -> Vec<Behind> {
        if self.is_return(from) {
            return Vec::new();
        }
        let walk = self.walk(from, without, |_| false);
        let mut found = Vec::new();
        for port in &self.network.ports {
            if !matches!(port.group, Group::Source | Group::Converter) {
                continue;
            }
            let plus = self.network.graph.stud(port.plus);
            if !walk.reaches(plus) {
                continue;
            }
            let path = walk.path(plus);
            let links = path.iter().map(|id| self.network.graph.get(*id));
            let on_path: Vec<&Link> =
                links.clone().filter(|link| self.is_protective(link)).collect();
            let cut_off =
                |contact: &&&Link| !self.comes_to(plus, from, without, |link| same(link, contact));
            let devices: Vec<Contact> =
                on_path.iter().filter(cut_off).filter_map(|link| self.contact(link)).collect();
            let every_way_protected = devices.is_empty()
                && !on_path.is_empty()
                && !self.comes_to(plus, from, without, |link| self.is_protective(link));
            let way = links
                .filter_map(|link| match link.item {
                    Item::Wire(wire) => Some(wire),
                    _ => None,
                })
                .collect();
            found.push(Behind { source: port.device, devices, every_way_protected, way });
        }
        found
    }

    /// Whether a point can be come to; no further is walked.
    fn comes_to(
        &self,
        to: Point,
        from: Point,
        without: Option<WireId>,
        blocked: impl Fn(&Link) -> bool,
    ) -> bool {
        let mut is_there = from == to;
        self.walk(from, without, |link| {
            let is_blocked = is_there || blocked(link);
            is_there |= !is_blocked && (link.a == to || link.b == to);
            is_blocked
        })
        .reaches(to)
    }

    /// Walks where current may come from; `blocked` is asked last, and only of links that would be taken.
    fn walk(
        &self,
        from: Point,
        without: Option<WireId>,
        mut blocked: impl FnMut(&Link) -> bool,
    ) -> network::Walk {
        self.network.graph.walk([from], |link, at| {
            let next = if link.a == at { link.b } else { link.a };
            let is_out = matches!((link.item, without), (Item::Wire(w), Some(out)) if w == out);
            self.feeds_back(link, at) && !is_out && !self.is_return(next) && !blocked(link)
        })
    }

    /// Whether current can come over a link to where the walk stands.
    fn feeds_back(&self, link: &Link, at: Point) -> bool {
        match link.passage {
            Passage::Metal => true,
            Passage::OneWay => link.b == at,
            Passage::Maybe => matches!(link.item, Item::Device(id)
                if self.vehicle.devices[id].role.is_relay()),
            Passage::Open | Passage::Load | Passage::Source => false,
        }
    }

    fn is_protective(&self, link: &Link) -> bool {
        matches!(link.item, Item::Device(id) if self.vehicle.devices[id].role.protects())
    }

    fn contact(&self, link: &Link) -> Option<Contact> {
        let Item::Device(device) = link.item else { return None };
        let graph = &self.network.graph;
        let mut contacts = self.network.contacts().iter();
        let (_, out, _) = contacts.find(|(id, out, _)| {
            *id == device && (graph.stud(*out) == link.a || graph.stud(*out) == link.b)
        })?;
        Some(Contact { device, out: *out })
    }
}

fn same(a: &Link, b: &Link) -> bool {
    a.item == b.item && a.a == b.a && a.b == b.b
}
