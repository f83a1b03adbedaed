//! The solved vehicle as the rules see it: currents, what wires may carry, what hangs together.

use std::collections::BTreeSet;

use catalog::{Catalog, Question, VoltageBand};
use circuit::BranchId;
use model::{DeviceId, Role, TerminalId, Vehicle, Wire, WireEnd, WireId};
use network::{Item, Link, Network, Passage, Point};
use solve::OperatingPoint;
use units::{Ampere, Celsius, SquareMillimetre, Volt};

use crate::patch::Values;

/// A state, solved.
#[derive(Clone, Copy, Debug)]
pub struct Seen<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its network.
    pub network: &'a Network,
    /// Its operating points.
    pub points: &'a [OperatingPoint],
}

/// A part that comes out on a way in.
#[derive(Clone, Debug, PartialEq)]
pub struct OnWay {
    /// Its name.
    pub part: String,
    /// Minutes out and back, as expected.
    pub minutes: f64,
    /// The way destroys it.
    pub destroyed: bool,
}

/// Everything a rule may look at.
#[derive(Clone, Copy)]
pub struct Scene<'a> {
    /// What the record says, by path.
    pub values: &'a Values<'a>,
    /// The vehicle it describes.
    pub vehicle: &'a Vehicle,
    /// Reference data.
    pub catalog: &'a Catalog,
    /// Every state, solved.
    pub states: &'a [Seen<'a>],
    /// The most a short circuit at a stud draws, if that is known.
    pub fault_level: &'a (dyn Fn(TerminalId) -> Option<f64> + Sync),
    /// The parts that come out on the cheapest way to a device, in their order.
    pub way: &'a (dyn Fn(DeviceId) -> Vec<OnWay> + Sync),
}

/// A protective contact at the edge of a piece of metal.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Edge {
    pub(crate) device: DeviceId,
    /// Where it goes out.
    pub(crate) out: TerminalId,
    /// Which way of a fuse box.
    pub(crate) way: Option<usize>,
    pub(crate) rated: Option<Ampere>,
    /// The most it carries in any state, A.
    pub(crate) load_a: f64,
}

/// A piece of feed-side metal without a protective contact inside.
#[derive(Clone, Debug, Default)]
pub(crate) struct Piece {
    pub(crate) wires: BTreeSet<WireId>,
    pub(crate) points: BTreeSet<Point>,
    pub(crate) edges: Vec<Edge>,
}

impl<'a> Scene<'a> {
    /// The network of the first state: what is joined differs little between states.
    pub(crate) fn network(&self) -> Option<&'a Network> {
        self.states.first().map(|seen| seen.network)
    }

    /// The most current in a wire over all states, A.
    pub(crate) fn current_a(&self, wire: WireId) -> f64 {
        self.most_a(|network| network.wire_branch(wire))
    }

    /// The most current through a contact over all states, A.
    pub(crate) fn contact_a(&self, device: DeviceId, out: TerminalId) -> f64 {
        self.most_a(|network| {
            let contacts = network.contacts().iter();
            let mut own =
                contacts.filter(|(owner, terminal, _)| *owner == device && *terminal == out);
            own.next().map(|(.., branch)| *branch)
        })
    }

    fn most_a(&self, branch: impl Fn(&Network) -> Option<BranchId>) -> f64 {
        let mut most_a = 0.0;
        for seen in self.states {
            let Some(branch) = branch(seen.network) else { continue };
            for point in seen.points {
                let ampere = point.current(branch).abs();
                most_a = if ampere.is_finite() { f64::max(most_a, ampere) } else { most_a };
            }
        }
        most_a
    }

    /// What a wire may carry at a size, its insulation and way as recorded; at the least where the
    /// insulation is not known.
    pub(crate) fn allowable(&self, wire: &Wire, area: SquareMillimetre) -> Option<Ampere> {
        let insulation = wire.insulation.value().copied();
        self.allowable_with(wire, area, insulation.unwrap_or(self.lowest_insulation()))
    }

    pub(crate) fn allowable_with(
        &self,
        wire: &Wire,
        area: SquareMillimetre,
        insulation: Celsius,
    ) -> Option<Ampere> {
        let (band, region) = (VoltageBand::UnderFifty, self.vehicle.region);
        let question = Question::of_wire(wire, area, insulation, band, region);
        self.catalog.ampacity.allowable_current(&question).ok().map(|allowed| allowed.ampere)
    }

    /// What a core of the mains side may carry, at the least where its insulation is not known.
    pub(crate) fn allowable_mains(&self, wire: &Wire) -> Option<Ampere> {
        let (band, region) = (VoltageBand::FiftyAndOver, self.vehicle.region);
        let insulation = wire.insulation.value().copied().unwrap_or(self.lowest_insulation());
        let question = Question::of_wire(wire, *wire.area.value()?, insulation, band, region);
        self.catalog.ampacity.allowable_current(&question).ok().map(|allowed| allowed.ampere)
    }

    fn lowest_insulation(&self) -> Celsius {
        self.catalog.ampacity.insulation_range().0
    }

    /// The insulation of new wire: what most wires of the record are known to have, else the usual.
    pub(crate) fn usual_insulation(&self) -> Celsius {
        let known = self.vehicle.wires.iter().filter_map(|(_, wire)| wire.insulation.evidence());
        let mut counted: Vec<(Celsius, usize)> = Vec::new();
        for celsius in known {
            match counted.iter_mut().find(|(other, _)| other == celsius) {
                Some((_, count)) => *count += 1,
                None => counted.push((*celsius, 1)),
            }
        }
        let usual = self.catalog.mending.insulation;
        counted.iter().max_by_key(|(_, count)| *count).map_or(usual, |(celsius, _)| *celsius)
    }

    pub(crate) fn nominal(&self) -> Volt {
        self.vehicle.nominal.value().copied().unwrap_or(self.catalog.stand_ins.nominal)
    }

    /// The nominal voltage at a load: that of the system, or behind a converter alone that of its output.
    pub(crate) fn nominal_at(&self, load: DeviceId) -> Volt {
        let (Some(network), Some(plus)) = (self.network(), self.vehicle.terminal_of(load, "+"))
        else {
            return self.nominal();
        };
        let walk = network.graph.metal([network.graph.stud(plus)]);
        let meets = |role: Role, name: &str| {
            self.vehicle.devices.iter().find(|(id, device)| {
                let terminal = self.vehicle.terminal_of(*id, name);
                device.role == role && terminal.is_some_and(|t| walk.reaches(network.graph.stud(t)))
            })
        };
        let converter = meets(Role::DcDcCharger, "out+");
        match converter.filter(|_| meets(Role::Battery, "+").is_none()) {
            Some((_, device)) => {
                let block = self.catalog.stand_ins.nominal.si();
                let set = device.number(model::Attribute::Regulates).unwrap_or(block);
                Volt::from_si(block * (set / block).round().max(1.0))
            }
            None => self.nominal(),
        }
    }

    /// The highest voltage of the house side, charging.
    pub(crate) fn highest(&self) -> Volt {
        Volt::from_si(self.nominal().si() * self.catalog.mending.charging_over_nominal)
    }

    /// The piece of metal around some points, not through `without`.
    pub(crate) fn piece(&self, from: &[Point], without: Option<WireId>) -> Piece {
        let Some(network) = self.network() else { return Piece::default() };
        let returns = network::return_points(self.vehicle, network);
        let open = |link: &Link| match link.item {
            Item::Wire(wire) if Some(wire) == without => false,
            Item::Device(id) if self.vehicle.devices[id].role.protects() => false,
            _ => matches!(link.passage, Passage::Metal | Passage::OneWay | Passage::Open),
        };
        let from = from.iter().copied();
        let walk = network.graph.walk(from, |link, at| open(link) && !returns.contains(&at));
        let reached = walk.reached().iter().copied();
        let mut piece = Piece {
            points: reached.filter(|point| !returns.contains(point)).collect(),
            ..Piece::default()
        };
        for wire in self.vehicle.wires.ids().filter(|id| Some(*id) != without) {
            let ends = WireEnd::BOTH.map(|end| network.graph.wire_end(wire, end));
            if ends.iter().any(|end| piece.points.contains(end)) {
                piece.wires.insert(wire);
            }
        }
        piece.edges = self.edges(network, &piece.points);
        piece
    }

    fn edges(&self, network: &Network, points: &BTreeSet<Point>) -> Vec<Edge> {
        let mut edges = Vec::new();
        for (device, out, _) in network.contacts() {
            let facts = &self.vehicle.devices[*device];
            if !facts.role.protects() {
                continue;
            }
            let way = facts.ways.iter().position(|way| way.terminal == *out);
            let rated = match way {
                Some(way) => facts.ways[way].rated.value().copied(),
                None => facts.number(model::Attribute::Rated).map(Ampere::from_si),
            };
            let feed = facts.terminals.first().copied().filter(|first| first != out);
            let touches = [Some(*out), feed].into_iter().flatten();
            if touches.map(|t| network.graph.stud(t)).any(|stud| points.contains(&stud)) {
                let load_a = self.contact_a(*device, *out);
                edges.push(Edge { device: *device, out: *out, way, rated, load_a });
            }
        }
        edges
    }

    /// The least that any wire of a piece may carry, and which wire; wires of unknown size are named.
    pub(crate) fn weakest(&self, piece: &Piece) -> (Option<(WireId, Ampere)>, Vec<WireId>) {
        let (mut weakest, mut unknown): (Option<(WireId, Ampere)>, Vec<WireId>) =
            (None, Vec::new());
        for id in &piece.wires {
            let wire = &self.vehicle.wires[*id];
            if network::is_base_vehicle(self.vehicle, *id) {
                continue;
            }
            match wire.area.value().and_then(|area| self.allowable(wire, *area)) {
                Some(most) if weakest.is_none_or(|(_, least)| most < least) => {
                    weakest = Some((*id, most));
                }
                Some(_) => {}
                None => unknown.push(*id),
            }
        }
        (weakest, unknown)
    }

    /// The device an end of a wire lands on.
    pub(crate) fn device_at(&self, wire: WireId, end: WireEnd) -> Option<DeviceId> {
        let terminal = self.vehicle.wires[wire].terminal(end)?;
        Some(self.vehicle.terminals[terminal].device)
    }
}
