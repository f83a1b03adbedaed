//! The circuit of a plan as it is worked, solved: one circuit is factored, and what is opened on the way
//! is an update of it ([`Variants`]). What the plan opens on the modules' side makes a circuit of its own,
//! so that controllers know of it. Where an opening only cuts off what carries nothing (`pieces.rs`), the
//! answer before it still holds within each piece, and nothing is solved.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use std::sync::{Mutex, MutexGuard, PoisonError};

use circuit::{BranchId, Change, NodeId};
use dead::{Act, Sort};
use model::{DeviceId, Engine, Role, Shore, State};
use network::Network;
use solve::Outcome;
use solve::variants::{Answer, Variants};
use units::Irradiance;

use crate::dead::sun_side;
use crate::dead_readings::Meter;
use crate::pieces::{Joins, Pieces};

/// Full daylight (IEC 60904-3, from memory).
const DAYLIGHT_W_PER_M2: f64 = 1000.0;

/// Which circuit: the sun, and what is open on the modules' side.
type Which = (bool, BTreeSet<DeviceId>);

/// A circuit with its network, factored.
struct Ready {
    network: Network,
    joins: Joins,
    variants: Option<Variants>,
}

/// The circuits of a case, shared by all its plans.
#[derive(Default)]
pub(crate) struct Circuits(Mutex<BTreeMap<Which, Ready>>);

impl std::fmt::Debug for Circuits {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_list().entries(self.held().keys()).finish()
    }
}

impl Circuits {
    /// What is put in is whole, so a thread that ended while it held them leaves nothing half done.
    fn held(&self) -> MutexGuard<'_, BTreeMap<Which, Ready>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// What was found of a plan's circuits.
#[derive(Default)]
pub(crate) struct Solves {
    /// By number of actions done.
    answers: BTreeMap<usize, (Which, Option<Stands>)>,
    /// How the guards of a circuit stood at its last answer.
    stood: BTreeMap<Which, Vec<bool>>,
    /// By terminal-side point: on the modules' side; empty before it is asked for.
    sunny: Vec<bool>,
}

/// How a circuit stands with some of its branches open.
#[derive(Clone)]
pub(crate) struct Stands {
    answer: Rc<Answer>,
    /// What hangs together, where that is less than when the answer was found.
    pieces: Option<Rc<Pieces>>,
}

impl Stands {
    fn of(answer: Answer) -> Stands {
        Stands { answer: Rc::new(answer), pieces: None }
    }

    /// Voltage of a node against another, V; none if nothing joins them.
    pub(crate) fn between(&self, a: NodeId, b: NodeId) -> Option<f64> {
        let is_apart = self.pieces.as_ref().is_some_and(|pieces| !pieces.is_joined(a, b));
        if is_apart { None } else { self.answer.between(a, b) }
    }

    fn current(&self, branch: BranchId) -> f64 {
        self.answer.current(branch)
    }
}

impl Solves {
    /// How guards stood stays, what was found by number of actions does not.
    pub(crate) fn for_another_order(mut self) -> Solves {
        self.answers.clear();
        self
    }
}

impl Meter<'_> {
    /// What flows through what an action opens, just before it, A; none where the sums do not reach.
    pub(crate) fn through(&self, act: &Act, done: usize) -> Option<f64> {
        self.with(done, |network, answer| largest(network, answer, act))
    }

    /// The same with every module in the dark.
    pub(crate) fn through_without_sun(&self, act: &Act, done: usize) -> Option<f64> {
        let mut solves = self.plan.solves.borrow_mut();
        let which = (false, self.which(&mut solves, done).1);
        let answer = Stands::of(self.answer(&mut solves, &which, done, None)?);
        self.of(&which, |network| largest(network, &answer, act))
    }

    /// The same with a source taken out.
    pub(crate) fn through_without(&self, source: DeviceId, act: &Act, done: usize) -> Option<f64> {
        let mut solves = self.plan.solves.borrow_mut();
        let which = self.which(&mut solves, done);
        let answer = Stands::of(self.answer(&mut solves, &which, done, Some(source))?);
        self.of(&which, |network| largest(network, &answer, act))
    }

    /// Whether a source gives current rather than taking it.
    pub(crate) fn delivers(&self, source: DeviceId, done: usize) -> bool {
        // A battery's current is positive while it charges.
        let taken = self.with(done, |network, answer| {
            port_of(network, source).map(|branch| answer.current(branch))
        });
        taken.is_some_and(|ampere| ampere < 0.0)
    }

    /// Looks at the circuit with the first actions done; of a circuit that hunts, at one side of it.
    pub(crate) fn with<T>(
        &self,
        done: usize,
        look: impl FnOnce(&Network, &Stands) -> Option<T>,
    ) -> Option<T> {
        let mut solves = self.plan.solves.borrow_mut();
        if !solves.answers.contains_key(&done) {
            let which = self.which(&mut solves, done);
            let stands = self.carried(&solves, &which, done);
            let stands =
                stands.or_else(|| self.answer(&mut solves, &which, done, None).map(Stands::of));
            solves.answers.insert(done, (which, stands));
        }
        let (which, stands) = solves.answers.get(&done)?;
        let stands = stands.as_ref()?;
        self.of(which, |network| look(network, stands))
    }

    /// The answer of fewer actions, where the others only cut off what carries nothing.
    fn carried(&self, solves: &Solves, which: &Which, done: usize) -> Option<Stands> {
        let (before, (as_then, stands)) = solves.answers.range(..done).next_back()?;
        let stands = stands.as_ref().filter(|_| as_then == which)?;
        let circuits = self.plan.case.circuits.held();
        let ready = circuits.get(which)?;
        let opened = |acts: usize| -> BTreeSet<BranchId> {
            self.acts(acts).flat_map(|act| branches(&ready.network, act)).collect()
        };
        let pieces = ready.joins.cut_idle(&opened(*before), &opened(done))?;
        Some(Stands { answer: Rc::clone(&stands.answer), pieces: Some(Rc::new(pieces)) })
    }

    /// Looks at the network of a circuit that was solved.
    fn of<T>(&self, which: &Which, look: impl FnOnce(&Network) -> Option<T>) -> Option<T> {
        look(&self.plan.case.circuits.held().get(which)?.network)
    }

    fn acts(&self, done: usize) -> impl Iterator<Item = &Act> {
        self.plan.order[..done].iter().map(|action| self.plan.act(*action))
    }

    fn which(&self, solves: &mut Solves, done: usize) -> Which {
        let graph = &self.plan.network.graph;
        if solves.sunny.is_empty() {
            solves.sunny = sun_side(self.plan.vehicle(), self.plan.network);
        }
        let is_sunny = |act: &&Act| {
            act.links.iter().any(|link| {
                let row = graph.get(*link);
                [row.a, row.b].iter().any(|point| solves.sunny[graph.index(*point)])
            })
        };
        let whole = self.acts(done).filter(|act| act.way.is_none() && act.joint.is_none());
        let open = whole.filter(|act| act.sources.is_empty()).filter(is_sunny);
        (self.sun_comes_in(done), open.map(|act| act.device).collect())
    }

    /// The first actions done in a circuit, and a source taken out.
    fn answer(
        &self,
        solves: &mut Solves,
        which: &Which,
        done: usize,
        without: Option<DeviceId>,
    ) -> Option<Answer> {
        let mut circuits = self.plan.case.circuits.held();
        let ready = circuits.entry(which.clone()).or_insert_with(|| self.circuit(which));
        let network = &ready.network;
        let branches: BTreeSet<BranchId> = self
            .acts(done)
            .flat_map(|act| branches(network, act))
            .chain(without.and_then(|source| port_of(network, source)))
            .collect();
        let changes: Vec<Change> = branches.into_iter().map(Change::Open).collect();
        let variants = ready.variants.as_mut()?;
        let outcome = match solves.stood.get(which) {
            Some(stood) => variants.settle_on(&changes, stood),
            None => variants.settle(&changes),
        };
        let answer = match outcome.ok()? {
            Outcome::Settled(answer) => Some(answer),
            Outcome::Hunts { between, .. } => between.into_iter().next(),
            Outcome::Trouble(_) => None,
        };
        if let (None, Some(answer)) = (without, &answer) {
            solves.stood.insert(which.clone(), answer.guards().to_vec());
        }
        answer
    }

    fn circuit(&self, (sun, open): &Which) -> Ready {
        let mut state = State::at_rest("as the plan is worked");
        // The plan begins with engine, chargers and loads off; the sun is up.
        (state.engine, state.shore) = (Engine::Off, Shore::Unplugged);
        state.sun = Irradiance::from_si(if *sun { DAYLIGHT_W_PER_M2 } else { 0.0 });
        state.open.extend(open);
        let network = network::build(self.plan.vehicle(), &state, &self.plan.case.catalog);
        let variants = Variants::new(network.circuit.clone()).ok();
        Ready { joins: Joins::of(&network.circuit), network, variants }
    }

    /// Whether the energy of any module that is not covered still comes to a controller.
    fn sun_comes_in(&self, done: usize) -> bool {
        let plan = self.plan;
        let vehicle = plan.vehicle();
        let inputs = vehicle.devices.iter().filter_map(|(id, _)| vehicle.terminal_of(id, "pv+"));
        let graph = &plan.network.graph;
        let inputs: Vec<usize> = inputs.map(|t| graph.index(graph.stud(t))).collect();
        let covered: BTreeSet<DeviceId> =
            self.acts(done).filter(|act| act.sort == Sort::Cover).map(|act| act.device).collect();
        let mut modules = (0..plan.asked.sources.len()).filter(|start| {
            plan.asked.sources[*start].is_some_and(|id| {
                vehicle.devices[id].role == Role::SolarModule && !covered.contains(&id)
            })
        });
        modules.any(|start| self.reach.touches(start, &plan.order[..done], &inputs))
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
    let contacts = network.contacts_of(act.device).iter();
    let contacts = contacts.filter(|(_, out, _)| act.way.is_none_or(|way| way == *out));
    contacts.map(|(.., branch)| *branch).collect()
}

fn port_of(network: &Network, source: DeviceId) -> Option<BranchId> {
    let port = network.ports.iter().find(|port| port.device == source);
    port.map(|port| port.branch)
}

/// The largest current through what an action opens, A.
fn largest(network: &Network, answer: &Stands, act: &Act) -> Option<f64> {
    let branches = branches(network, act);
    branches.iter().map(|branch| answer.current(*branch).abs()).reduce(f64::max)
}

#[cfg(test)]
mod tests;
