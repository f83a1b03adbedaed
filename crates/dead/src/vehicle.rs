//! What a hand can do in a vehicle: which contacts open, which sources stop, what that takes and what
//! is in the way. Turns a vehicle into a question for the search.
//!
//! Relays, combiners and a remote button of an inverter are not offered: push buttons, selector
//! switches and interlocks may not be the only means (29 CFR 1910.333(b)(2)). Soldered, twisted and
//! crimped joints would have to be cut; they are not offered either.

use std::collections::{BTreeMap, BTreeSet};

use access::PartIdx;
use catalog::{Catalog, MakingDead, OpeningRow};
use model::{DeviceId, Id, JointId, JointKind, Pole, Reach, Role, TerminalId, Vehicle, WireEnd};
use network::{Item, LinkId, Network};

use crate::net::{Action, Net, Start, Touch, Way};
use crate::series::drop_dominated;

/// Sorts of actions, in the order in which they are done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sort {
    /// Engine off, key out.
    Engine,
    /// Shore lead unplugged.
    Shore,
    /// Generator stopped and kept from starting.
    Generator,
    /// Breaker of the mains side off.
    MainsBreaker,
    /// Something outside unplugged or taken away.
    Outside,
    /// A solar module covered from light: takes its current away, not its voltage.
    Cover,
    /// Switch or isolator turned.
    Switch,
    /// Breaker off.
    Breaker,
    /// Fuse pulled by its body.
    PulledFuse,
    /// Plug pulled.
    Plug,
    /// The minus post of a battery cleared.
    BatteryMinus,
    /// Fuse under nuts taken out.
    BoltedFuse,
    /// Lug taken off.
    Lug,
    /// Capacitors emptied.
    Capacitor,
}

/// One action in terms of the vehicle.
#[derive(Clone, Debug, PartialEq)]
pub struct Act {
    /// What is done.
    pub sort: Sort,
    /// The device it is done to, or that the joint is on.
    pub device: DeviceId,
    /// The fuse way, of a fuse box.
    pub way: Option<TerminalId>,
    /// The joint, of a lug or plug.
    pub joint: Option<JointId>,
    /// Links of the network it opens.
    pub links: Vec<LinkId>,
    /// Sources it stops.
    pub sources: Vec<DeviceId>,
    /// Nobody wrote down what hides it.
    pub reach_unknown: bool,
    /// How the joint is made is not recorded; it is taken for a lug.
    pub joint_unknown: bool,
}

/// What tells an action from all others of a vehicle.
pub type ActKey = (Sort, DeviceId, Option<TerminalId>, Option<JointId>);

/// Actions that would break current they are not made for, with the sources that drive it.
pub type Loads = BTreeMap<ActKey, BTreeSet<DeviceId>>;

impl Act {
    /// What tells it from all others.
    pub fn key(&self) -> ActKey {
        (self.sort, self.device, self.way, self.joint)
    }
}

/// What may conduct and feed, with the links and devices it stands for.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wiring {
    /// How many points there are.
    pub points: usize,
    /// What may conduct; the link, none inside devices.
    pub ways: Vec<(Way, Option<LinkId>)>,
    /// What may feed; the source, none where it is not told apart; and whether what it feeds from is
    /// only stored.
    pub starts: Vec<(Start, Option<DeviceId>, Stored)>,
}

/// Whether a pole gives only what is stored at it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stored {
    /// It feeds as long as it likes.
    No,
    /// Charge that can be let out.
    Charge,
    /// A cell inside a device.
    Cell,
}

/// A question with what its actions and poles are in the vehicle.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Asked {
    /// The question.
    pub net: Net,
    /// By action.
    pub acts: Vec<Act>,
    /// By pole.
    pub sources: Vec<Option<DeviceId>>,
}

/// The question for a work area, given by its points. What current stands against which action is not
/// known here: `loads` says it.
pub fn ask(
    vehicle: &Vehicle,
    catalog: &Catalog,
    network: &Network,
    wiring: &Wiring,
    loads: &Loads,
    area: Vec<usize>,
) -> Asked {
    let mut asking = Asking {
        vehicle,
        catalog,
        network,
        wiring,
        by_link: BTreeMap::new(),
        asked: Asked::default(),
    };
    asking.asked.net = Net {
        points: wiring.points,
        ways: wiring.ways.iter().map(|(way, _)| *way).collect(),
        starts: wiring.starts.iter().map(|(start, ..)| start.clone()).collect(),
        actions: Vec::new(),
        area,
    };
    asking.asked.sources = wiring.starts.iter().map(|(_, source, _)| *source).collect();
    for (index, (_, link)) in wiring.ways.iter().enumerate() {
        link.iter().for_each(|link| {
            asking.by_link.insert(*link, index);
        });
    }
    asking.contacts();
    asking.joints();
    asking.sources();
    asking.loads(loads);
    drop_dominated(&mut asking.asked);
    asking.asked
}

struct Asking<'v> {
    vehicle: &'v Vehicle,
    catalog: &'v Catalog,
    network: &'v Network,
    wiring: &'v Wiring,
    by_link: BTreeMap<LinkId, usize>,
    asked: Asked,
}

impl Asking<'_> {
    fn rows(&self) -> &MakingDead {
        &self.catalog.dead
    }

    /// Switches, breakers, fuses: the links of a device open together, those of a fuse box one by one.
    fn contacts(&mut self) {
        let mut of_device: BTreeMap<DeviceId, Vec<LinkId>> = BTreeMap::new();
        for (id, link) in self.network.graph.links() {
            if let Item::Device(device) = link.item {
                of_device.entry(device).or_default().push(id);
            }
        }
        for (device, links) in of_device {
            let sort = self.sort_of(device);
            let Some((sort, touch)) = sort else { continue };
            if self.vehicle.devices[device].role == Role::FuseBox {
                for link in links {
                    let row = *self.network.graph.get(link);
                    let act = Act {
                        way: self.network.graph.terminal(row.b),
                        ..act(sort, device, vec![link])
                    };
                    self.add(act, touch, self.row(sort), 1.0);
                }
            } else {
                let links = links.into_iter().filter(|link| self.opens(*link)).collect();
                self.add(act(sort, device, links), touch, self.row(sort), 1.0);
            }
        }
    }

    /// Protective earth is never opened.
    fn opens(&self, link: LinkId) -> bool {
        let row = self.network.graph.get(link);
        let terminal = self.network.graph.terminal(row.a);
        terminal.is_none_or(|terminal| self.vehicle.terminals[terminal].pole != Pole::Earth)
    }

    fn sort_of(&self, device: DeviceId) -> Option<(Sort, Touch)> {
        let row = &self.vehicle.devices[device];
        let class = self.catalog.kinds.get(&row.kind).and_then(|kind| kind.class.as_deref());
        match (row.role, class) {
            (Role::Switch, _) => Some((Sort::Switch, Touch::Covered)),
            (Role::Breaker, _) => Some((Sort::Breaker, Touch::Covered)),
            (Role::AcBreaker, _) => Some((Sort::MainsBreaker, Touch::Covered)),
            (Role::FuseBox, _) | (Role::Fuse, Some("blade" | "supplementary")) => {
                Some((Sort::PulledFuse, Touch::Covered))
            }
            // They cannot be opened by hand at all.
            (Role::Fuse, Some("breaker-automatic" | "breaker-modified")) => None,
            (Role::Fuse, _) => Some((Sort::BoltedFuse, Touch::Bare)),
            _ => None,
        }
    }

    /// Lugs off and plugs out. On the mains side only plugs: the rest is inside boxes, and for people
    /// licensed for it.
    fn joints(&mut self) {
        let links: Vec<(LinkId, JointId)> = self
            .network
            .graph
            .links()
            .filter_map(|(id, link)| match link.item {
                Item::Joint(joint) => Some((id, joint)),
                _ => None,
            })
            .collect();
        for (link, joint) in links {
            let row = &self.vehicle.joints[joint];
            let Some(terminal) = self.vehicle.wires[row.wire].terminal(row.end) else { continue };
            let device = self.vehicle.terminals[terminal].device;
            let (role, kind) = (self.vehicle.devices[device].role, row.kind.value());
            let is_mains = self.vehicle.is_ac(row.wire);
            let sort = match kind {
                Some(JointKind::Plug) => Sort::Plug,
                Some(
                    JointKind::Crimp
                    | JointKind::Solder
                    | JointKind::Twisted
                    | JointKind::Taped
                    | JointKind::TwistOn,
                ) => continue,
                // The leads of a module are part of it.
                None if role == Role::SolarModule => continue,
                _ if is_mains => continue,
                _ => Sort::Lug,
            };
            let touch = if sort == Sort::Plug { Touch::Covered } else { Touch::Bare };
            let act = Act {
                joint: Some(joint),
                joint_unknown: kind.is_none(),
                ..act(sort, device, vec![link])
            };
            self.add(act, touch, self.row(sort), 1.0);
        }
    }

    /// What is stopped at the source.
    fn sources(&mut self) {
        let mut stops: BTreeMap<(Sort, DeviceId), (Vec<DeviceId>, Vec<usize>)> = BTreeMap::new();
        for (index, (start, source, stored)) in self.wiring.starts.iter().enumerate() {
            let Some(device) = *source else { continue };
            if let Some(sort) = self.stop_of(device, *stored, start) {
                let done_to = self.done_to(sort, device);
                let (sources, starts) = stops.entry((sort, done_to)).or_default();
                if !sources.contains(&device) {
                    sources.push(device);
                }
                starts.push(index);
            }
        }
        for ((sort, device), (sources, starts)) in stops {
            let lugs = if sort == Sort::BatteryMinus { self.lugs_on_minus(device) } else { 1 };
            let act = Act { sources, ..act(sort, device, Vec::new()) };
            let row = self.row(sort);
            self.add(act, Touch::Covered, row, lugs as f64);
            if let Some(action) = self.asked.net.actions.last_mut() {
                action.stops = starts;
                action.at.clear();
            }
        }
    }

    /// Marks what would break current, and offers to cover the modules that drive it.
    fn loads(&mut self, loads: &Loads) {
        let of = |sources: &[Option<DeviceId>], wanted: &BTreeSet<DeviceId>| -> Vec<usize> {
            let fits = |start: &usize| sources[*start].is_some_and(|id| wanted.contains(&id));
            (0..sources.len()).filter(fits).collect()
        };
        let sources = self.asked.sources.clone();
        for (action, act) in self.asked.net.actions.iter_mut().zip(&self.asked.acts) {
            if let Some(by) = loads.get(&act.key()) {
                action.loaded_by = of(&sources, by);
            }
        }
        let modules: BTreeSet<DeviceId> = loads.values().flatten().copied().collect();
        for module in modules {
            if self.vehicle.devices[module].role != Role::SolarModule {
                continue;
            }
            let act = Act { sources: vec![module], ..act(Sort::Cover, module, Vec::new()) };
            self.add(act, Touch::Covered, self.row(Sort::Cover), 1.0);
            if let Some(action) = self.asked.net.actions.last_mut() {
                action.calms = of(&sources, &BTreeSet::from([module]));
                action.at.clear();
            }
        }
    }

    fn stop_of(&self, device: DeviceId, stored: Stored, start: &Start) -> Option<Sort> {
        let row = &self.vehicle.devices[device];
        match (stored, row.role) {
            (Stored::Charge, _) => Some(Sort::Capacitor),
            (Stored::Cell, _) => None,
            (_, Role::Battery) => Some(Sort::BatteryMinus),
            (_, Role::Alternator) => Some(Sort::Engine),
            // Fed by what nobody wrote down.
            (_, Role::DcDcCharger) if start.fed_by.is_empty() => Some(Sort::Engine),
            (_, Role::MainsCharger | Role::Inverter) if start.fed_by.is_empty() => {
                Some(Sort::Shore)
            }
            (_, Role::ShoreInlet) => Some(Sort::Shore),
            (_, Role::Generator) => Some(Sort::Generator),
            (_, Role::OutsideSource) if !row.high_voltage => Some(Sort::Outside),
            _ => None,
        }
    }

    /// What a source is stopped at. One engine turns whatever it turns, and what may hang on a shore lead
    /// that nobody followed goes dead with the lead: the alternator and the inlet stand for them.
    fn done_to(&self, sort: Sort, device: DeviceId) -> DeviceId {
        let first = |role: Role| {
            let mut all = self.vehicle.devices.iter().filter(|(_, device)| device.role == role);
            all.next().map_or(device, |(id, _)| id)
        };
        match (sort, self.vehicle.devices[device].role) {
            (Sort::Engine, role) if role != Role::Alternator => first(Role::Alternator),
            (Sort::Shore, role) if role != Role::ShoreInlet => first(Role::ShoreInlet),
            _ => device,
        }
    }

    fn lugs_on_minus(&self, device: DeviceId) -> usize {
        let terminals = &self.vehicle.devices[device].terminals;
        let minus = terminals.iter().find(|t| self.vehicle.terminals[**t].pole == Pole::Minus);
        minus.map_or(0, |minus| self.vehicle.wires_at(*minus).count()).max(1)
    }

    fn row(&self, sort: Sort) -> OpeningRow {
        let rows = self.rows();
        match sort {
            Sort::Engine => rows.engine,
            Sort::Shore => rows.shore,
            Sort::Generator => rows.generator,
            Sort::MainsBreaker => rows.mains_breaker,
            Sort::Outside => rows.outside,
            Sort::Cover => rows.cover,
            Sort::Switch => rows.switch,
            Sort::Breaker => rows.breaker,
            Sort::PulledFuse => rows.pulled_fuse,
            Sort::Plug => rows.plug,
            Sort::BatteryMinus => rows.battery,
            Sort::BoltedFuse => rows.bolted_fuse,
            Sort::Lug => rows.lug,
            Sort::Capacitor => rows.capacitor,
        }
    }

    fn add(&mut self, mut act: Act, touch: Touch, row: OpeningRow, times: f64) {
        let cuts: Vec<usize> =
            act.links.iter().filter_map(|link| self.by_link.get(link).copied()).collect();
        if cuts.is_empty() && act.sources.is_empty() {
            return;
        }
        let at = cuts.iter().flat_map(|way| {
            let way = self.asked.net.ways[*way];
            [way.a, way.b]
        });
        let at = at.collect();
        let unknown = self.rows().unknown_reach;
        // Engine, shore lead and modules are got at from outside, whatever hides alternator and inlet.
        let by_itself = matches!(act.sort, Sort::Engine | Sort::Shore | Sort::Cover);
        let reach = match self.vehicle.devices[act.device].reach.value() {
            _ if by_itself => vec![Vec::new()],
            Some(reach) => parts(reach),
            None => {
                act.reach_unknown = true;
                vec![Vec::new()]
            }
        };
        let more = if act.reach_unknown {
            unknown
        } else {
            OpeningRow { minutes: 0.0, back: 0.0, risk: 0.0 }
        };
        self.asked.net.actions.push(Action {
            name: format!("{:?} {}", act.sort, self.vehicle.devices[act.device].name),
            cuts,
            stops: Vec::new(),
            minutes: row.minutes * times + more.minutes,
            back_min: row.back * times + more.back,
            risk_min: row.risk * times + more.risk,
            reach,
            touch,
            at,
            loaded_by: Vec::new(),
            calms: Vec::new(),
        });
        self.asked.acts.push(act);
    }
}

fn act(sort: Sort, device: DeviceId, links: Vec<LinkId>) -> Act {
    Act {
        sort,
        device,
        way: None,
        joint: None,
        links,
        sources: Vec::new(),
        reach_unknown: false,
        joint_unknown: false,
    }
}

fn parts(reach: &Reach) -> Vec<Vec<PartIdx>> {
    let set = |set: &Vec<model::PartId>| set.iter().map(|part| PartIdx(part.index())).collect();
    reach.iter().map(set).collect()
}

/// The joints on a terminal.
pub fn joints_on(vehicle: &Vehicle, terminal: TerminalId) -> Vec<JointId> {
    let wires = vehicle.wires_at(terminal);
    wires.map(|(wire, end): (_, WireEnd)| vehicle.wires[wire].end(end).joint).collect()
}
