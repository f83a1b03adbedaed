//! From a vehicle in a state, a feed and a variant to an alternating-current network.
//!
//! The reference is the ground the vehicle stands on. Each wire with its joints, each pole of a
//! breaker, each bond is a branch.

use std::collections::BTreeMap;

use catalog::{Catalog, Grid};
use circuit::{AcCircuit, AcElement, BranchId, Complex, NodeId, REFERENCE};
use model::{Attribute, DeviceId, Pole, Role, State, Supply, TerminalId, Vehicle};

use crate::feed::{Feed, FeedKind, Variant, bond_terminals, loads_of};
use crate::load::{self, Assumed};
use crate::metal::{Join, Metal, of_pole};
use crate::trip::Trips;

/// Everything a layout is made from.
#[derive(Clone, Copy)]
pub(crate) struct Scene<'v> {
    pub(crate) vehicle: &'v Vehicle,
    pub(crate) state: &'v State,
    pub(crate) catalog: &'v Catalog,
    pub(crate) metal: &'v Metal,
    pub(crate) feed: Feed,
    pub(crate) grid: Grid,
}

impl<'v> Scene<'v> {
    /// Where residual-current devices have their figures from.
    pub(crate) fn trips(&self) -> Trips<'v> {
        Trips { limits: &self.catalog.limits, region: self.vehicle.region }
    }
}

/// What is put into the network beside the vehicle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Extra {
    /// A multimeter from a terminal to the ground.
    MeterAt(TerminalId),
    /// A multimeter from the body to the ground.
    MeterOnBody,
    /// A person between the body and the ground.
    PersonOnBody,
    /// A person between a terminal and the ground.
    PersonAt(TerminalId),
    /// The trial load at a socket.
    TrialLoad(DeviceId),
    /// A line lying on an earth terminal.
    FaultToEarth(TerminalId, TerminalId),
    /// A line lying on the body.
    FaultToBody(TerminalId),
}

/// A pole of a breaker or residual-current device.
pub(crate) struct PoleBranch {
    pub(crate) device: DeviceId,
    pub(crate) branch: BranchId,
}

/// The network, and where things are in it.
pub(crate) struct Layout {
    pub(crate) circuit: AcCircuit,
    pub(crate) body: NodeId,
    /// Neutral of the source itself.
    pub(crate) source_neutral: NodeId,
    /// Live cores where they leave the source; currents away from it.
    pub(crate) live: Vec<BranchId>,
    /// Where current comes back to the source by earth.
    pub(crate) earth: Option<BranchId>,
    /// The ideal sources.
    pub(crate) sources: Vec<BranchId>,
    /// Live poles of breakers, currents from input to output.
    pub(crate) poles: Vec<PoleBranch>,
    /// Branch of the last extra, if one was put in.
    pub(crate) extra: Option<BranchId>,
    /// What had to be assumed.
    pub(crate) assumed: Vec<Assumed>,
    nodes: BTreeMap<TerminalId, NodeId>,
}

impl Layout {
    pub(crate) fn of(scene: Scene<'_>, variant: &Variant, extras: &[Extra]) -> Layout {
        let mut builder = Builder::new(scene, variant);
        builder.metal();
        match scene.feed.kind {
            FeedKind::Shore => builder.shore(),
            FeedKind::Inverter | FeedKind::Generator => builder.on_board(),
        }
        builder.bonds();
        builder.loads();
        builder.body();
        for extra in extras {
            builder.extra(*extra);
        }
        builder.layout
    }

    /// The node of a terminal.
    pub(crate) fn node(&self, terminal: TerminalId) -> Option<NodeId> {
        self.nodes.get(&terminal).copied()
    }
}

struct Builder<'v> {
    scene: Scene<'v>,
    variant: &'v Variant,
    layout: Layout,
}

impl<'v> Builder<'v> {
    fn new(scene: Scene<'v>, variant: &'v Variant) -> Builder<'v> {
        let mut circuit = AcCircuit::new("ground", scene.grid.hertz);
        let body = circuit.add_node("body");
        let source_neutral = circuit.add_node("source neutral");
        let layout = Layout {
            circuit,
            body,
            source_neutral,
            live: Vec::new(),
            earth: None,
            sources: Vec::new(),
            poles: Vec::new(),
            extra: None,
            assumed: Vec::new(),
            nodes: BTreeMap::new(),
        };
        Builder { scene, variant, layout }
    }

    fn node(&mut self, terminal: TerminalId) -> NodeId {
        let circuit = &mut self.layout.circuit;
        let vehicle = self.scene.vehicle;
        *self
            .layout
            .nodes
            .entry(terminal)
            .or_insert_with(|| circuit.add_node(vehicle.terminal_name(terminal)))
    }

    fn add(&mut self, name: impl Into<String>, a: NodeId, b: NodeId, ohm: f64) -> BranchId {
        self.layout.circuit.add_resistance(name, a, b, ohm)
    }

    fn source(&mut self, name: &str, plus: NodeId, minus: NodeId, volt: f64) {
        let volt = Complex::new(volt, 0.0);
        let id = self.layout.circuit.add(name, AcElement::Source { plus, minus, volt });
        self.layout.sources.push(id);
    }

    /// Wires, poles of breakers, relays; studs on the body.
    fn metal(&mut self) {
        let Scene { vehicle, state, catalog, metal, .. } = self.scene;
        for join in &metal.joins {
            match *join {
                Join::Wire(id, a, b) => {
                    let assumed = &mut self.layout.assumed;
                    let ohm = load::wire_ohm(vehicle, state, catalog, id, assumed);
                    let (a, b) = (self.node(a), self.node(b));
                    self.add(format!("wire {}", vehicle.wires[id].name), a, b, ohm);
                }
                Join::Pole(device, input, output) => {
                    let is_live = vehicle.terminals[input].pole != Pole::Earth;
                    let name = format!("pole {}", vehicle.terminal_name(output));
                    let (a, b) = (self.node(input), self.node(output));
                    let branch = self.add(name, a, b, catalog.mains.contact.value.si());
                    if is_live && vehicle.devices[device].role == Role::AcBreaker {
                        self.layout.poles.push(PoleBranch { device, branch });
                    }
                }
            }
        }
        let studs: Vec<TerminalId> =
            vehicle.terminals.ids().filter(|t| crate::metal::on_body(vehicle, *t)).collect();
        for stud in studs {
            let node = self.node(stud);
            self.add("stud to body", node, self.layout.body, catalog.stand_ins.body.si());
        }
    }

    /// Supply behind the lead: lines, neutral and earth up to the socket, then the lead's cores.
    fn shore(&mut self) {
        let Scene { vehicle, catalog, feed, grid, .. } = self.scene;
        let (figures, supply) = (&catalog.mains, self.variant.supply);
        let star = self.layout.source_neutral;
        if supply != Supply::Floating {
            self.add("electrode", star, REFERENCE, figures.electrode.value.si());
        }
        let lines = feed.lines(vehicle);
        let neutral = feed.neutral(vehicle).expect("a feed has a neutral");
        // Reversed: the first line and the neutral change places at the socket.
        let (mut line_pins, mut neutral_pin) = (lines, neutral);
        if supply == Supply::Reversed {
            std::mem::swap(&mut line_pins[0], &mut neutral_pin);
        }
        for (leg, pin) in line_pins.into_iter().enumerate() {
            let sign = if leg == 0 { 1.0 } else { -1.0 };
            let [behind, socket] = ["source", "supply socket"]
                .map(|name| self.layout.circuit.add_node(format!("{name}, line {}", leg + 1)));
            self.source("supply", behind, star, sign * grid.volt.si());
            self.add("supply line", behind, socket, figures.supply_line.value.si());
            self.lead(socket, pin);
        }
        let socket = self.layout.circuit.add_node("supply socket, neutral");
        if supply != Supply::NoNeutral {
            self.add("supply neutral", star, socket, figures.supply_neutral.value.si());
        }
        self.lead(socket, neutral_pin);
        let Some(earth_pin) = feed.earth(vehicle) else { return };
        let socket = self.layout.circuit.add_node("supply socket, earth");
        match supply {
            Supply::Correct | Supply::Reversed | Supply::NoNeutral => {
                self.add("supply earth", star, socket, figures.supply_earth.value.si());
            }
            Supply::RodOnly => {
                self.add("rod", socket, REFERENCE, figures.rod.value.si());
            }
            Supply::NoEarth | Supply::Floating => {}
        }
        let pin = self.node(earth_pin);
        self.layout.earth =
            Some(self.add("lead, earth", pin, socket, figures.lead_core.value.si()));
    }

    /// A live core of the lead, from the socket to a pin of the inlet.
    fn lead(&mut self, socket: NodeId, pin: TerminalId) {
        let name = format!("lead to {}", self.scene.vehicle.terminal_name(pin));
        let pin = self.node(pin);
        let ohm = self.scene.catalog.mains.lead_core.value.si();
        let branch = self.add(name, socket, pin, ohm);
        self.layout.live.push(branch);
    }

    /// Inverter or generator: a source behind its impedance, its bond on the source's side.
    fn on_board(&mut self) {
        let Scene { vehicle, catalog, feed, grid, .. } = self.scene;
        let figures = &catalog.mains;
        let inner = match feed.kind {
            FeedKind::Inverter => figures.inverter.value.si(),
            _ => figures.generator.value.si(),
        };
        let own = self.layout.source_neutral;
        let behind = self.layout.circuit.add_node("source line");
        let volt = grid.volt.si();
        let line = feed.lines(vehicle)[0];
        let neutral = feed.neutral(vehicle).expect("a feed has a neutral");
        match feed.earth(vehicle).map(|earth| self.node(earth)) {
            Some(earth) if self.variant.centre_tap => {
                let middle = self.layout.circuit.add_node("centre tap");
                self.source("upper half", behind, middle, 0.5 * volt);
                self.source("lower half", middle, own, 0.5 * volt);
                self.layout.earth =
                    Some(self.add("centre tap to earth", earth, middle, figures.bond.value.si()));
            }
            _ => self.source("source", behind, own, volt),
        }
        let (line, neutral) = (self.node(line), self.node(neutral));
        let out = self.add("source impedance", behind, line, inner);
        let back = self.add("source terminal", own, neutral, figures.contact.value.si());
        self.layout.live.extend([out, back]);
    }

    /// Closed bonds. That of the source itself sits before its output terminals.
    fn bonds(&mut self) {
        let Scene { vehicle, catalog, feed, .. } = self.scene;
        let ohm = catalog.mains.bond.value.si();
        for id in &self.variant.bonds {
            let Some((neutral, earth)) = bond_terminals(vehicle, *id) else { continue };
            let own = *id == feed.device && feed.kind != FeedKind::Shore;
            let neutral = if own { self.layout.source_neutral } else { self.node(neutral) };
            let earth = self.node(earth);
            let name = format!("bond {}", vehicle.devices[*id].name);
            let branch = self.add(name, earth, neutral, ohm);
            if own {
                self.layout.earth = Some(branch);
            }
        }
    }

    /// Appliances that are on, chargers, leakage.
    fn loads(&mut self) {
        let Scene { vehicle, state, catalog, metal, feed, grid } = self.scene;
        let loads: Vec<DeviceId> = loads_of(vehicle, metal, feed).collect();
        for id in loads {
            let assumed = &mut self.layout.assumed;
            if let Some(watt) = load::power_w(vehicle, state, catalog, id, assumed) {
                let ohm = load::impedance(grid.volt.si(), watt, load::power_factor(vehicle, id));
                self.across(id, Pole::Neutral, "load", ohm);
            }
            if let Some(ampere) = self.leakage_a(id) {
                self.across(id, Pole::Earth, "leakage", load::leak(grid, ampere));
            }
        }
    }

    /// Leakage of an appliance in this variant; none from a bare socket.
    fn leakage_a(&self, id: DeviceId) -> Option<f64> {
        let Scene { vehicle, state, catalog, .. } = self.scene;
        if !load::is_appliance(vehicle, state, id) {
            return None;
        }
        let recorded = vehicle.devices[id].fact(Attribute::Leakage).evidence().copied();
        let most = catalog.limits.get("leakage-most", vehicle.region).value;
        recorded.or(self.variant.leaks.then_some(most)).filter(|ampere| *ampere > 0.0)
    }

    fn across(&mut self, id: DeviceId, to: Pole, what: &str, ohm: Complex) {
        let vehicle = self.scene.vehicle;
        let ends = [Pole::Line, to].map(|pole| of_pole(vehicle, id, pole, "").next());
        if let [Some(a), Some(b)] = ends {
            let (a, b) = (self.node(a), self.node(b));
            let name = format!("{what} {}", vehicle.devices[id].name);
            self.layout.circuit.add(name, AcElement::Impedance { a, b, ohm });
        }
    }

    /// Where no stud is recorded that joins the body to earth, the variant says whether it is.
    fn body(&mut self) {
        let Scene { vehicle, catalog, metal, feed, .. } = self.scene;
        let Some(earth) = feed.earth(vehicle) else { return };
        if self.variant.body && !metal.on_body(earth) {
            let earth = self.node(earth);
            self.add("earth to body", earth, self.layout.body, catalog.stand_ins.body.si());
        }
    }

    fn extra(&mut self, extra: Extra) {
        let Scene { vehicle, catalog, grid, .. } = self.scene;
        let figures = &catalog.mains;
        let body = self.layout.body;
        let branch = match extra {
            Extra::MeterOnBody => self.add("meter", body, REFERENCE, figures.meter.value.si()),
            Extra::MeterAt(at) => {
                let node = self.node(at);
                self.add("meter", node, REFERENCE, figures.meter.value.si())
            }
            Extra::PersonOnBody => self.add("person", body, REFERENCE, figures.person.value.si()),
            Extra::PersonAt(at) => {
                let node = self.node(at);
                self.add("person", node, REFERENCE, figures.person.value.si())
            }
            Extra::TrialLoad(id) => {
                let ohm = load::impedance(grid.volt.si(), figures.trial_load.value.si(), 1.0);
                self.across(id, Pole::Neutral, "trial load", ohm);
                return;
            }
            Extra::FaultToEarth(line, earth) => {
                let (a, b) = (self.node(line), self.node(earth));
                self.add("fault", a, b, figures.fault.value.si())
            }
            Extra::FaultToBody(line) => {
                let a = self.node(line);
                self.add(
                    format!("fault {}", vehicle.terminal_name(line)),
                    a,
                    body,
                    figures.fault.value.si(),
                )
            }
        };
        self.layout.extra = Some(branch);
    }
}
