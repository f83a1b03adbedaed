//! What a meter should show while a plan is worked: the circuit with what was opened so far, solved
//! with the voltmeter in it.

use circuit::{BranchId, Change};
use dead::{Act, Sort};
use model::{DeviceId, Engine, Pole, Role, Shore, State, TerminalId, Vehicle};
use network::instrument;
use network::{Network, Point};
use solve::Outcome;
use units::{Irradiance, Volt};

use crate::case::{Case, points};
use crate::dead::Plan;
use crate::dead_loads::Solved;

/// Full daylight (IEC 60904-3, from memory).
const DAYLIGHT_W_PER_M2: f64 = 1000.0;

/// Most sources named beside an expected reading.
const MOST_NAMES: usize = 3;

/// Where the probes go: a stud, and its return.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Probe {
    pub(crate) red: TerminalId,
    /// None: the body.
    pub(crate) black: Option<TerminalId>,
}

impl Probe {
    pub(crate) fn words(&self, vehicle: &Vehicle) -> String {
        let black = self.black.map_or_else(|| "body".to_owned(), |t| vehicle.terminal_name(t));
        format!("{} to {black}", vehicle.terminal_name(self.red))
    }
}

/// An expected reading.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Expected {
    pub(crate) words: String,
    pub(crate) volt: Option<f64>,
}

/// The circuit of a plan as it is worked.
pub(crate) struct Meter<'p> {
    plan: &'p Plan<'p>,
    state: State,
}

impl<'p> Meter<'p> {
    pub(crate) fn new(plan: &'p Plan<'p>) -> Meter<'p> {
        let mut state = State::at_rest("as the plan is worked");
        // The plan begins with engine, chargers and loads off; the sun is up.
        (state.engine, state.shore) = (Engine::Off, Shore::Unplugged);
        Meter { plan, state }
    }

    /// What the meter shows with the first actions done.
    pub(crate) fn expected(&self, probe: &Probe, done: usize) -> Expected {
        let vehicle = self.plan.vehicle();
        if vehicle.terminals[probe.red].pole.is_ac() {
            return self.on_mains(probe, done);
        }
        let stud = self.plan.network.graph.stud(probe.red);
        let energised = self.plan.energised_after(done);
        let is_energised = energised[self.plan.network.graph.index(stud)];
        let black =
            probe.black.map_or(self.plan.network.graph.body(), |t| self.plan.network.graph.stud(t));
        let volt = self.with(done, |network, outcome| self.volts(network, outcome, stud, black));
        let dead_v = self.plan.case.catalog.dead.limits.dead_v;
        let below = format!("below {}", Volt::from_si(dead_v));
        match (volt, is_energised) {
            (Some(volt), true) if volt.abs() >= dead_v => {
                Expected { words: Volt::from_si(volt).to_string(), volt: Some(volt) }
            }
            // The sums see nothing, but nothing rules it out.
            (_, true) => {
                let from = self.sources_at(stud, done);
                Expected { words: format!("{below}, or live from {from}"), volt: None }
            }
            (_, false) => Expected { words: below, volt: Some(0.0) },
        }
    }

    /// Up to three sources that may come to a stud, the others counted.
    fn sources_at(&self, stud: Point, done: usize) -> String {
        let plan = self.plan;
        let at = plan.network.graph.index(stud);
        let mut names: Vec<String> = Vec::new();
        for (start, source) in plan.asked.sources.iter().enumerate() {
            let Some(source) = source.filter(|_| plan.asked.net.starts[start].fed_by.is_empty())
            else {
                continue;
            };
            let name = plan.name(source);
            if !names.contains(&name) && plan.energised_by(start, &plan.order[..done])[at] {
                names.push(name);
            }
        }
        let more = names.len().saturating_sub(MOST_NAMES);
        names.truncate(MOST_NAMES);
        let more = if more == 0 { String::new() } else { format!(" and {more} more") };
        format!("{}{more}", names.join(", "))
    }

    fn on_mains(&self, probe: &Probe, done: usize) -> Expected {
        let stud = self.plan.network.graph.stud(probe.red);
        // Inverters were switched off with the loads: what is expected is what comes from outside.
        let plan = self.plan;
        let outside = (0..plan.asked.sources.len()).filter(|start| {
            let role = plan.asked.sources[*start].map(|id| plan.vehicle().devices[id].role);
            matches!(role, Some(Role::ShoreInlet | Role::Generator | Role::OutsideSource))
        });
        let at = self.plan.network.graph.index(stud);
        let mut energised = outside.map(|start| plan.energised_by(start, &plan.order[..done])[at]);
        let volt = self.plan.case.catalog.mains.grid(self.plan.vehicle().region).volt;
        if energised.any(|energised| energised) {
            Expected { words: format!("up to {volt} a.c. (people licensed for it)"), volt: None }
        } else {
            Expected { words: "0 V a.c.".to_owned(), volt: Some(0.0) }
        }
    }

    fn volts(&self, network: &Network, outcome: &Outcome, red: Point, black: Point) -> Option<f64> {
        let case = self.plan.case;
        let probe = instrument::Probe::Volts(red, black);
        let shown =
            instrument::shown(network, outcome, probe, &case.catalog.machines, case.nominal_v());
        shown.ok()?.first().map(|shown| shown.value)
    }

    /// What flows through what an action opens, just before it, A; none where the sums do not reach.
    pub(crate) fn through(&self, act: &Act, done: usize) -> Option<f64> {
        self.with(done, |network, outcome| largest(network, outcome, act))
    }

    /// The same with every module in the dark.
    pub(crate) fn through_without_sun(&self, act: &Act, done: usize) -> Option<f64> {
        let (network, outcome) = self.solve(done, Irradiance::from_si(0.0));
        largest(&network, &outcome, act)
    }

    /// The same with a source taken out.
    pub(crate) fn through_without(&self, source: DeviceId, act: &Act, done: usize) -> Option<f64> {
        self.with(done, |network, _| {
            let changes: Vec<Change> =
                port_of(network, source).map(Change::Open).into_iter().collect();
            let circuit = network.circuit.changed(&changes).ok()?;
            largest(network, &solve::settle(&circuit), act)
        })
    }

    /// Whether a source gives current rather than taking it.
    pub(crate) fn delivers(&self, source: DeviceId, done: usize) -> bool {
        self.with(done, |network, outcome| {
            let branch = port_of(network, source);
            let current = branch.zip(points(outcome).first());
            // A battery's current is positive while it charges.
            current.is_some_and(|(branch, point)| point.current(branch) < 0.0)
        })
    }

    fn with<T>(&self, done: usize, look: impl FnOnce(&Network, &Outcome) -> T) -> T {
        let mut solved = self.plan.solved.borrow_mut();
        let sun = Irradiance::from_si(DAYLIGHT_W_PER_M2);
        let (network, outcome) = solved.entry(done).or_insert_with(|| self.solve(done, sun));
        look(network, outcome)
    }

    /// The vehicle with the first actions done, solved. What opens as a whole is open in the state, so
    /// that controllers know of it; the rest is taken out of the circuit.
    fn solve(&self, done: usize, sun: Irradiance) -> Solved {
        let acts: Vec<&Act> =
            self.plan.order[..done].iter().map(|action| self.plan.act(*action)).collect();
        let mut state = self.state.clone();
        let whole = acts.iter().filter(|act| act.way.is_none() && act.joint.is_none());
        state.open.extend(whole.filter(|act| act.sources.is_empty()).map(|act| act.device));
        let comes_in = self.sun_comes_in(done);
        state.sun = if comes_in { sun } else { Irradiance::from_si(0.0) };
        let catalog = &self.plan.case.catalog;
        let mut network = network::build(self.plan.vehicle(), &state, catalog);
        let changes: Vec<Change> =
            acts.iter().flat_map(|act| branches(&network, act)).map(Change::Open).collect();
        // Every branch is one of this circuit, so nothing is refused.
        if let Ok(circuit) = network.circuit.changed(&changes) {
            network.circuit = circuit;
        }
        let outcome = solve::settle(&network.circuit);
        (network, outcome)
    }

    /// Whether the energy of any module still comes to a controller.
    fn sun_comes_in(&self, done: usize) -> bool {
        let plan = self.plan;
        let vehicle = plan.vehicle();
        let inputs = vehicle.devices.iter().filter_map(|(id, _)| vehicle.terminal_of(id, "pv+"));
        let graph = &plan.network.graph;
        let inputs: Vec<usize> = inputs.map(|t| graph.index(graph.stud(t))).collect();
        let covered = |id: DeviceId| {
            let mut acts = plan.order[..done].iter().map(|action| plan.act(*action));
            acts.any(|act| act.sort == Sort::Cover && act.device == id)
        };
        let modules = (0..plan.asked.sources.len()).filter(|start| {
            plan.asked.sources[*start]
                .is_some_and(|id| vehicle.devices[id].role == Role::SolarModule && !covered(id))
        });
        let mut energised = modules.map(|start| plan.energised_by(start, &plan.order[..done]));
        energised.any(|energised| inputs.iter().any(|input| energised[*input]))
    }
}

/// The branches an action opens.
fn branches(network: &Network, act: &Act) -> Vec<BranchId> {
    if matches!(act.sort, Sort::Capacitor | Sort::Cover) {
        return Vec::new();
    }
    if let Some(joint) = act.joint {
        return network.joint_branch(joint).into_iter().collect();
    }
    if !act.sources.is_empty() {
        return act.sources.iter().filter_map(|id| port_of(network, *id)).collect();
    }
    let contacts = network
        .contacts()
        .iter()
        .filter(|(device, out, _)| *device == act.device && act.way.is_none_or(|way| way == *out));
    contacts.map(|(.., branch)| *branch).collect()
}

fn port_of(network: &Network, source: DeviceId) -> Option<BranchId> {
    let port = network.ports.iter().find(|port| port.device == source);
    port.map(|port| port.branch)
}

/// The largest current through what an action opens, A.
fn largest(network: &Network, outcome: &Outcome, act: &Act) -> Option<f64> {
    let point = points(outcome).first()?;
    let branches = branches(network, act);
    branches.iter().map(|branch| point.current(*branch).abs()).reduce(f64::max)
}

impl Plan<'_> {
    /// Where the black probe goes for a stud: neutral of the same device on the mains side; the body
    /// where a battery's minus is on it; else the minus of the device, else of the first battery.
    pub(crate) fn return_of(&self, red: TerminalId) -> Option<TerminalId> {
        let vehicle = self.vehicle();
        let row = &vehicle.terminals[red];
        let group = row.name.rsplit_once('.').map_or("", |(group, _)| group);
        let same = |pole: Pole| {
            vehicle.devices[row.device].terminals.iter().copied().find(|t| {
                let other = &vehicle.terminals[*t];
                *t != red && other.pole == pole && other.name.starts_with(group)
            })
        };
        if row.pole.is_ac() {
            return same(Pole::Neutral).or_else(|| same(Pole::Line)).or_else(|| same(Pole::Earth));
        }
        if self.body_is_return() {
            return None;
        }
        same(Pole::Minus).or_else(|| {
            let (id, _) = vehicle.devices.find(|device| device.role == Role::Battery)?;
            self.pole(id, Pole::Minus)
        })
    }

    fn body_is_return(&self) -> bool {
        let graph = &self.network.graph;
        let metal = graph.metal([graph.body()]);
        let batteries = self.vehicle().devices.iter().filter(|(_, d)| d.role == Role::Battery);
        let mut minuses = batteries.filter_map(|(id, _)| self.pole(id, Pole::Minus));
        minuses.any(|minus| metal.reaches(graph.stud(minus)))
    }

    /// Beyond a minus post that is cleared: the body if it is return, else where the first wire of the
    /// post lands.
    pub(crate) fn beyond(&self, minus: TerminalId) -> Option<TerminalId> {
        if self.body_is_return() {
            return None;
        }
        let vehicle = self.vehicle();
        let mut wires = vehicle.wires_at(minus);
        wires.find_map(|(wire, end)| vehicle.wires[wire].terminal(end.other()))
    }
}

impl Case {
    /// The highest voltage that a battery of the vehicle, or what charges it, may bring, V.
    pub(crate) fn highest_v(&self) -> f64 {
        let regulates = self
            .vehicle()
            .devices
            .iter()
            .filter_map(|(_, device)| device.number(model::Attribute::Regulates));
        regulates.fold(self.nominal_v(), f64::max)
    }
}
