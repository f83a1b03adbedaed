//! A record read, every state solved, every way in planned: done once, used by every answer.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use access::vehicle::SetupKind;
use access::{Costing, NoPlan, Permitted, Plan, Problem};
use catalog::Catalog;
use checks::{Reachable, Solved, Sure};
use model::{DeviceId, Reach, State, StateId, TerminalId, Vehicle};
use network::Network;
use record::Record;
use solve::{OperatingPoint, Outcome};

use crate::boxes;
use crate::handover_view::{Claim, WorkDone};
use crate::learned::{self, RefinedWay};

type Planned = Result<Plan, NoPlan>;

/// A record under analysis.
#[derive(Debug)]
pub struct Case {
    pub(crate) text: String,
    pub(crate) catalog: Arc<Catalog>,
    pub(crate) record: Record,
    pub(crate) states_added: bool,
    pub(crate) networks: Vec<Network>,
    pub(crate) outcomes: Vec<Outcome>,
    /// Every state without what is only assumed.
    pub(crate) sure: Vec<Lessened>,
    pub(crate) problem: Problem,
    pub(crate) setups: Vec<SetupKind>,
    pub(crate) refined: Vec<RefinedWay>,
    plans: Mutex<BTreeMap<(Reach, bool), Planned>>,
    /// What was read at the proof, by the names of its rows.
    pub(crate) entered: BTreeMap<String, String>,
    /// The order in which it was entered.
    pub(crate) proof_order: BTreeMap<String, u64>,
    /// What somebody says was put right.
    pub(crate) claims: Vec<Claim>,
    pub(crate) work: WorkDone,
    /// Short circuits in any way the vehicle can stand, once asked for.
    shorts: std::sync::OnceLock<protect::Study>,
    /// Everything on and nothing open, once asked for.
    worst: std::sync::OnceLock<crate::dead::Worst>,
    /// Circuits of the vehicle as plans for making dead are worked.
    pub(crate) circuits: crate::dead_solve::Circuits,
    /// Repairs, once asked for.
    pub(crate) mends: std::sync::OnceLock<crate::mend_view::MendList>,
    /// Repairs for what was complained of, once asked for.
    pub(crate) complaint: std::sync::OnceLock<crate::complaint::Complaint>,
    /// What may be the cause, once asked for.
    pub(crate) weighed: std::sync::OnceLock<crate::weighed::Weighed>,
}

/// A state with everything off whose power or limit is only assumed.
#[derive(Debug)]
pub(crate) struct Lessened {
    left_out: Vec<DeviceId>,
    pub(crate) network: Network,
    pub(crate) outcome: Outcome,
}

impl Lessened {
    fn of(
        vehicle: &Vehicle,
        state: &State,
        catalog: &Catalog,
        plain: (&Network, &Outcome),
        settle: impl FnOnce(&Network) -> Outcome,
    ) -> Lessened {
        let left_out = checks::assumed_devices(vehicle, state);
        if left_out.is_empty() {
            return Lessened { left_out, network: plain.0.clone(), outcome: plain.1.clone() };
        }
        let off = left_out.iter().copied().collect();
        let network = network::build_without(vehicle, state, catalog, &off);
        let outcome = settle(&network);
        Lessened { left_out, network, outcome }
    }
}

impl Case {
    /// Reads a record and solves its states.
    pub fn of(text: &str) -> Case {
        Case::beside(text, Arc::new(Catalog::embedded()), None)
    }

    /// Another record, much like this one: what is the same in both is not solved or planned again.
    pub fn anew(&self, text: &str) -> Case {
        Case::beside(text, Arc::clone(&self.catalog), Some(self))
    }

    fn beside(text: &str, catalog: Arc<Catalog>, known: Option<&Case>) -> Case {
        let mut record = record::read(text, &catalog);
        boxes::check(&mut record, &catalog);
        let states_added = record.vehicle.states.is_empty();
        if states_added {
            add_states(&mut record.vehicle);
        }
        let refined = learned::refine(&mut record.vehicle);
        let vehicle = &record.vehicle;
        let states = || vehicle.states.iter().map(|(_, state)| state).enumerate();
        let networks: Vec<Network> =
            states().map(|(_, state)| network::build(vehicle, state, &catalog)).collect();
        let outcomes = networks.iter().enumerate().map(|(at, network)| {
            settled(
                network,
                known.and_then(|case| Some((case.networks.get(at)?, &case.outcomes[at]))),
            )
        });
        let outcomes: Vec<Outcome> = outcomes.collect();
        let sure = states().map(|(at, state)| {
            let known =
                known.and_then(|case| case.sure.get(at)).map(|sure| (&sure.network, &sure.outcome));
            let plain = (&networks[at], &outcomes[at]);
            Lessened::of(vehicle, state, &catalog, plain, |network| settled(network, known))
        });
        let sure = sure.collect();
        let access::vehicle::Question { problem, setups } =
            access::vehicle::problem(vehicle, &catalog);
        let plans = known.filter(|case| case.problem == problem).map(|case| case.plans().clone());
        Case {
            text: text.to_owned(),
            catalog,
            states_added,
            networks,
            outcomes,
            sure,
            problem,
            setups,
            refined,
            plans: Mutex::new(plans.unwrap_or_default()),
            entered: BTreeMap::new(),
            proof_order: BTreeMap::new(),
            claims: Vec::new(),
            work: WorkDone::default(),
            shorts: std::sync::OnceLock::new(),
            worst: std::sync::OnceLock::new(),
            circuits: crate::dead_solve::Circuits::default(),
            mends: std::sync::OnceLock::new(),
            complaint: std::sync::OnceLock::new(),
            weighed: std::sync::OnceLock::new(),
            record,
        }
    }

    pub(crate) fn vehicle(&self) -> &Vehicle {
        &self.record.vehicle
    }

    /// Every state with its network and outcome.
    pub(crate) fn states(&self) -> impl Iterator<Item = (StateId, &State, &Network, &Outcome)> {
        self.vehicle()
            .states
            .iter()
            .zip(&self.networks)
            .zip(&self.outcomes)
            .map(|(((id, state), network), outcome)| (id, state, network, outcome))
    }

    /// The states as checks see them.
    pub(crate) fn solved(&self) -> Vec<Solved<'_>> {
        self.states()
            .zip(&self.sure)
            .map(|((id, state, network, outcome), sure)| Solved {
                id,
                state,
                network,
                points: points(outcome),
                sure: Sure {
                    network: &sure.network,
                    points: points(&sure.outcome),
                    left_out: &sure.left_out,
                },
            })
            .collect()
    }

    /// What a short circuit at a stud can draw at most, whatever state the vehicle is in, A.
    pub(crate) fn most_a(&self, terminal: TerminalId) -> Option<f64> {
        let levels = &self.short_circuits().levels;
        let level = levels.iter().find(|level| level.terminal == terminal)?;
        Some(level.ampere_a.high())
    }

    /// Everything on and nothing open.
    pub(crate) fn worst(&self) -> &crate::dead::Worst {
        self.worst.get_or_init(|| crate::dead::Worst::of(self.vehicle(), &self.catalog))
    }

    /// Short circuits in any way the vehicle can stand.
    pub(crate) fn short_circuits(&self) -> &protect::Study {
        self.shorts
            .get_or_init(|| protect::study(self.vehicle(), &self.catalog, protect::Stand::Any))
    }

    /// The cheapest way in for a set of alternatives; planned once.
    pub(crate) fn plan(&self, reach: &Reach, allow: Permitted) -> Planned {
        let key = (reach.clone(), allow == Permitted::Anything);
        if let Some(planned) = self.plans().get(&key) {
            return planned.clone();
        }
        let costing = self.costing(allow);
        let planned = access::vehicle::way_in(&self.problem, "target", reach, &costing);
        self.plans().insert(key, planned.clone());
        planned
    }

    /// The plans made so far. A plan is whole when it is put in, so a thread that ended while it held
    /// them leaves nothing half done.
    fn plans(&self) -> std::sync::MutexGuard<'_, BTreeMap<(Reach, bool), Planned>> {
        self.plans.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// How minutes and breakage are weighed: with the hour the record writes, else with the usual one.
    pub(crate) fn costing(&self, allow: Permitted) -> Costing {
        let stand_ins = &self.catalog.stand_ins;
        access::vehicle::costing(
            self.vehicle().rates.hour.unwrap_or(stand_ins.workshop_hour).cents(),
            stand_ins.broken_part.cents(),
            allow,
        )
    }

    /// Puts the planner's question anew, from how the vehicle stands now.
    pub(crate) fn plan_anew(&mut self) {
        let question = access::vehicle::problem(&self.record.vehicle, &self.catalog);
        self.problem = question.problem;
        self.setups = question.setups;
        self.mends = std::sync::OnceLock::new();
        self.complaint = std::sync::OnceLock::new();
        self.weighed = std::sync::OnceLock::new();
        self.plans().clear();
    }

    /// Whether each device that wants service can be reached whole.
    pub(crate) fn reachable(&self) -> BTreeMap<DeviceId, Reachable> {
        self.vehicle()
            .devices
            .iter()
            .filter(|(_, device)| wants_reaching(device))
            .map(|(id, device)| (id, self.reachable_by(device.reach.value())))
            .collect()
    }

    fn reachable_by(&self, reach: Option<&Reach>) -> Reachable {
        let Some(reach) = reach else { return Reachable::Unknown };
        match self.plan(reach, Permitted::NothingDestroyed) {
            Ok(plan) => Reachable::Whole { minutes: plan.out.mean_min },
            Err(_) => match self.plan(reach, Permitted::Anything) {
                Ok(plan) => Reachable::ByDestroying(self.destroyed(&plan)),
                // Parts without a recorded way out are a gap of the record, not of the vehicle.
                Err(_) => Reachable::Unknown,
            },
        }
    }

    /// Minutes out and back by the cheapest way that destroys nothing.
    pub(crate) fn minutes_out_and_back(&self, id: DeviceId) -> Option<f64> {
        let reach = self.vehicle().devices[id].reach.value()?;
        let plan = self.plan(reach, Permitted::NothingDestroyed).ok()?;
        Some(plan.out.mean_min + plan.back.mean_min)
    }

    /// What a plan destroys, in words.
    pub(crate) fn destroyed(&self, plan: &Plan) -> String {
        let names: Vec<&str> = plan
            .steps
            .iter()
            .filter(|step| self.problem.removals[step.removal.0].damage == access::Damage::Destroys)
            .map(|step| self.problem.parts[step.part.0].name.as_str())
            .collect();
        format!("the cheapest way destroys: {}", names.join(", "))
    }
}

/// What somebody has to get at one day: for service, to switch off, to mend a joint.
fn wants_reaching(device: &model::Device) -> bool {
    device.service.is_some()
        || device.role.protects()
        || device.role.isolates()
        || device.is_chassis
        || device.kind == "splice"
}

/// The operating points of an outcome: one, several while hunting, none.
pub(crate) fn points(outcome: &Outcome) -> &[OperatingPoint] {
    match outcome {
        Outcome::Settled(point) => std::slice::from_ref(point),
        Outcome::Hunts { between, .. } => between,
        Outcome::Trouble(_) => &[],
    }
}

/// How a network settles; the same circuit settles in the same way.
fn settled(network: &Network, known: Option<(&Network, &Outcome)>) -> Outcome {
    match known {
        Some((same, outcome)) if same.circuit == network.circuit => outcome.clone(),
        _ => solve::settle(&network.circuit),
    }
}

/// A record without states is looked at at rest and with every load on.
fn add_states(vehicle: &mut Vehicle) {
    let at_rest = State::at_rest("rest");
    let loads = vehicle
        .devices
        .iter()
        .filter(|(_, device)| device.role.is_dc_load())
        .map(|(id, _)| id)
        .collect();
    let all_on = State { name: "all-on".to_owned(), on: loads, ..at_rest.clone() };
    vehicle.states.push(at_rest);
    vehicle.states.push(all_on);
}
