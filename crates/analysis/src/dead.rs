//! The plan for making a work area dead: joins the live map, the way in, the sums and the search.
//!
//! **Hazard.** A plan is no proof: dead is what an instrument says at the point of work, having been
//! checked on a known source before and after.

use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};

use access::{Effort, Permitted};
use dead::{Act, Answer, Area, Asked, Ground, Loads, Sort, Stored, Wiring};
use live::{Conduction, Cuts, LiveMap, Status};
use model::{DeviceId, Engine, Id, PartId, Role, Shore, State, TerminalId, Vehicle};
use network::Network;

use crate::case::Case;
use crate::dead_loads::{LoadAmpere, MOST_ROUNDS, after_the_current};
use crate::dead_solve::Solves;
use crate::dead_view::{AreaFeed, DEAD_SCHEMA, DeadPlan, DeadStep, NoIsolation};
use crate::handover_view::StaysLive;
use crate::service_view::{proof_words, tenth};

/// What a plan is asked for.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DeadRequest {
    /// Devices, wires, parts, spots, or `everything`.
    pub area: Vec<String>,
    /// What was read at steps, by number, as written: `13.1 V`.
    pub read: Vec<(usize, String)>,
}

/// Everything a plan is told from.
pub(crate) struct Plan<'c> {
    pub(crate) case: &'c Case,
    pub(crate) names: &'c [String],
    pub(crate) area: Area,
    pub(crate) points: Vec<usize>,
    pub(crate) state: State,
    pub(crate) network: &'c Network,
    pub(crate) asked: Asked,
    pub(crate) answer: Answer,
    /// Chosen actions in the order they are done.
    pub(crate) order: Vec<usize>,
    /// Currents found to stand against actions.
    pub(crate) loads: LoadAmpere,
    /// The circuit with so many actions done.
    pub(crate) solves: RefCell<Solves>,
    /// What a short circuit draws at most where it is worked on bare metal, A, once asked for.
    pub(crate) most_a: OnceCell<BTreeMap<TerminalId, f64>>,
    /// The body carries the returns, once asked for.
    pub(crate) body_returns: OnceCell<bool>,
}

/// Why there is no plan.
#[derive(Clone, Debug, PartialEq)]
pub enum NoDeadPlan {
    /// Names that are no device, wire, part or spot.
    Unknown(Vec<String>),
    /// Nothing that conducts belongs to the area.
    Nothing,
    /// A step number or a reading that cannot be read.
    Reading(String),
    /// The parts contradict themselves.
    Parts(String),
}

impl Case {
    /// How to make a work area dead.
    ///
    /// # Errors
    /// [`NoDeadPlan`]. That something cannot be isolated is no error: see [`DeadPlan::findings`].
    pub fn dead_plan(&self, request: &DeadRequest) -> Result<DeadPlan, NoDeadPlan> {
        let plan = self.planned_dead(&request.area)?;
        let mut view = plan.view();
        plan.take_readings(&mut view, &request.read)?;
        Ok(view)
    }

    /// Names a work area may be made of.
    pub fn dead_areas(&self) -> Vec<String> {
        let vehicle = self.vehicle();
        let devices = vehicle.devices.iter().map(|(_, device)| device.name.clone());
        let wires = vehicle.wires.iter().map(|(_, wire)| wire.name.clone());
        let parts = vehicle.parts.iter().map(|(_, part)| part.name.clone());
        let spots = vehicle.spots.iter().map(|(_, spot)| spot.name.clone());
        let all = devices.chain(wires).chain(parts).chain(spots);
        all.chain([dead::EVERYTHING.to_owned()]).collect()
    }

    /// The plan, made again while an action of it would break current it is not made for.
    pub(crate) fn planned_dead<'c>(&'c self, names: &'c [String]) -> Result<Plan<'c>, NoDeadPlan> {
        let area = dead::area(self.vehicle(), names).map_err(NoDeadPlan::Unknown)?;
        if area.is_empty() {
            return Err(NoDeadPlan::Nothing);
        }
        let (mut loads, mut ampere) = (Loads::default(), LoadAmpere::default());
        let mut solves = Solves::default();
        for _ in 1..MOST_ROUNDS {
            let mut plan = self.planned_with(names, area.clone(), &loads)?;
            plan.solves = RefCell::new(solves);
            let found = plan.overloaded(&loads);
            if found.is_empty() {
                plan.loads = ampere;
                return Ok(plan);
            }
            solves = plan.solves.into_inner().for_another_order();
            for (key, sources, flows) in found {
                loads.entry(key).or_default().extend(sources);
                ampere.insert(key, flows);
            }
        }
        let mut plan = self.planned_with(names, area, &loads)?;
        plan.loads = ampere;
        plan.solves = RefCell::new(solves);
        Ok(plan)
    }

    fn planned_with<'c>(
        &'c self,
        names: &'c [String],
        area: Area,
        loads: &Loads,
    ) -> Result<Plan<'c>, NoDeadPlan> {
        let vehicle = self.vehicle();
        let Worst { state, network, wiring } = self.worst();
        let points = area.points(vehicle, network);
        let asked = dead::ask(vehicle, &self.catalog, network, wiring, loads, points.clone());
        // Nobody breaks a ceiling open to switch a whole vehicle off; what cannot be separated without
        // stays live, and is told.
        let is_whole = names.iter().any(|name| name == dead::EVERYTHING);
        let allow = if is_whole { Permitted::NothingDestroyed } else { Permitted::Anything };
        let costing = self.costing(allow);
        let never = access::never_out(&self.problem, &costing);
        let mut also = area.openings();
        also.retain(|target| {
            !target.ways.iter().flatten().any(|part| never.iter().any(|n| n.part == *part))
        });
        let ground = Ground {
            problem: &self.problem,
            costing: &costing,
            also: &also,
            effort: Effort::USUAL,
        };
        let answer = dead::cheapest(&asked.net, &ground)
            .map_err(|reason| NoDeadPlan::Parts(reason.to_string()))?;
        let order = in_order(vehicle, network, &asked, &answer);
        let order = after_the_current(&asked, &answer, order);
        Ok(Plan {
            case: self,
            names,
            area,
            points,
            state: state.clone(),
            network,
            asked,
            answer,
            order,
            loads: LoadAmpere::default(),
            solves: RefCell::default(),
            most_a: OnceCell::new(),
            body_returns: OnceCell::new(),
        })
    }
}

/// Everything that can feed does, and nothing is open: what every plan starts from.
#[derive(Debug)]
pub(crate) struct Worst {
    state: State,
    network: Network,
    wiring: Wiring,
}

impl Worst {
    pub(crate) fn of(vehicle: &Vehicle, catalog: &catalog::Catalog) -> Worst {
        let state = live::worst(vehicle);
        let network = network::build(vehicle, &state, catalog);
        let wiring = wiring(vehicle, &live::conduction(vehicle, &network));
        Worst { state, network, wiring }
    }
}

/// What may conduct and feed, as the search takes it.
fn wiring(vehicle: &Vehicle, conduction: &Conduction) -> Wiring {
    let ways = conduction.conductors.iter().map(|conductor| {
        let way = dead::Way {
            a: conductor.a,
            b: conductor.b,
            one_way: conductor.one_way,
            doubtful: conductor.doubtful,
        };
        (way, conductor.link)
    });
    let starts = conduction.starts.iter().map(|start| {
        let stored = match start.source.map(|id| &vehicle.devices[id]) {
            Some(device) if start.stored && device.own_cell.value() == Some(&true) => Stored::Cell,
            Some(_) if start.stored => Stored::Charge,
            _ => Stored::No,
        };
        let pole = dead::Start {
            points: start.points.clone(),
            doubtful: start.doubtful,
            both_ways: start.both_ways,
            never: start.never.clone(),
            held: start.held.clone(),
            fed_by: start.fed_by.clone(),
        };
        (pole, start.source, stored)
    });
    Wiring { points: conduction.points, ways: ways.collect(), starts: starts.collect() }
}

/// The order of the chosen actions: what feeds from outside first, then the sun (some controllers are
/// damaged when the battery goes before the modules; taken to be so for all), then what is covered,
/// then minus posts, then bare metal, each sort as the record has it. Capacitors are emptied once
/// nothing fills them, before bare metal is touched where that can be.
fn in_order(vehicle: &Vehicle, network: &Network, asked: &Asked, answer: &Answer) -> Vec<usize> {
    let sunny = sun_side(vehicle, network);
    let rank = |action: usize| {
        let act = &asked.acts[action];
        let on_sun_side = act.links.iter().any(|link| {
            let row = network.graph.get(*link);
            sunny[network.graph.index(row.a)] || sunny[network.graph.index(row.b)]
        });
        let early = on_sun_side && (Sort::Switch..=Sort::Plug).contains(&act.sort);
        (if early { Sort::Outside } else { act.sort }, early, act.sort, action)
    };
    let mut order = answer.chosen.clone();
    order.sort_by_key(|action| rank(*action));
    let is_bare = |a: &usize| matches!(asked.acts[*a].sort, Sort::BoltedFuse | Sort::Lug);
    let (capacitors, others): (Vec<usize>, Vec<usize>) =
        order.into_iter().partition(|a| asked.acts[*a].sort == Sort::Capacitor);
    let first_bare = others.iter().position(is_bare).unwrap_or(others.len());
    let before = &others[..first_bare];
    let (early, late): (Vec<usize>, Vec<usize>) =
        capacitors.into_iter().partition(|capacitor| !is_filled(asked, *capacitor, before));
    before.iter().chain(&early).chain(&others[first_bare..]).chain(&late).copied().collect()
}

/// Whether anything but stores still comes to a capacitor after these actions.
fn is_filled(asked: &Asked, capacitor: usize, done: &[usize]) -> bool {
    let stores: BTreeSet<usize> = asked
        .net
        .actions
        .iter()
        .zip(&asked.acts)
        .filter(|(_, act)| act.sort == Sort::Capacitor)
        .flat_map(|(action, _)| action.stops.iter().copied())
        .collect();
    let mut net = asked.net.clone();
    // A pole without points feeds nothing.
    stores.iter().for_each(|start| net.starts[*start].points.clear());
    let energised = dead::energised(&net, done);
    let own = &asked.net.actions[capacitor].stops;
    own.iter().any(|start| asked.net.starts[*start].points.iter().any(|point| energised[*point]))
}

/// Points that metal joins to a solar module and to no battery.
pub(crate) fn sun_side(vehicle: &Vehicle, network: &Network) -> Vec<bool> {
    let graph = &network.graph;
    let plus = |role: Role| {
        let devices = vehicle.devices.iter().filter(move |(_, device)| device.role == role);
        devices.flat_map(|(_, device)| device.terminals.iter().copied())
    };
    let modules = graph.metal(plus(Role::SolarModule).map(|t| graph.stud(t)));
    let batteries = graph.metal(plus(Role::Battery).map(|t| graph.stud(t)));
    graph.points().map(|point| modules.reaches(point) && !batteries.reaches(point)).collect()
}

impl Plan<'_> {
    pub(crate) fn vehicle(&self) -> &Vehicle {
        self.case.vehicle()
    }

    pub(crate) fn act(&self, action: usize) -> &Act {
        &self.asked.acts[action]
    }

    fn view(&self) -> DeadPlan {
        let map = self.map_after(self.order.len());
        let mut view = DeadPlan {
            schema: DEAD_SCHEMA.to_owned(),
            area: self.names.to_vec(),
            wires: self
                .area
                .wires
                .iter()
                .map(|id| self.vehicle().wires[*id].name.clone())
                .collect(),
            devices: self.area.devices.iter().map(|id| self.name(*id)).collect(),
            feeds: self.feeds(),
            cautions: self.cautions(),
            steps: self.steps(&map),
            findings: self.all_findings(&map),
            stays: self.stays(&map),
            live_again_if: self.live_again_if(),
            back: Vec::new(),
            minutes: tenth(self.answer.plan.out.mean_min),
            minutes_back: tenth(self.answer.plan.back.mean_min),
            cost: self.cost_words(),
            proof: proof_words(self.answer.proof),
            proof_words: self.proof_words(),
            rests_on: self.rests_on(),
            sources: self.quoted(),
            stopped: None,
        };
        view.back = back(&view.steps);
        view
    }

    pub(crate) fn name(&self, id: DeviceId) -> String {
        self.vehicle().devices[id].name.clone()
    }

    /// What the first actions of the order leave energised.
    pub(crate) fn energised_after(&self, actions: usize) -> Vec<bool> {
        dead::energised(&self.asked.net, &self.order[..actions])
    }

    /// The live map after the first actions: everything else as bad as it can be.
    pub(crate) fn map_after(&self, actions: usize) -> LiveMap {
        let mut cuts = Cuts::default();
        for action in &self.order[..actions] {
            let act = self.act(*action);
            cuts.links.extend(&act.links);
            match act.sort {
                Sort::Capacitor => cuts.emptied.extend(&act.sources),
                // Covered, its leads still count as live.
                Sort::Cover => {}
                _ => cuts.sources.extend(&act.sources),
            }
        }
        let energised = self.energised_after(actions);
        let mut state = self.state.clone();
        let is_done = |sort: Sort| self.order[..actions].iter().any(|a| self.act(*a).sort == sort);
        if is_done(Sort::Engine) {
            state.engine = Engine::Off;
        }
        if is_done(Sort::Shore) {
            state.shore = Shore::Unplugged;
        }
        // Converters that nothing feeds any more feed nothing.
        for (start, source) in self.asked.net.starts.iter().zip(&self.asked.sources) {
            let Some(source) = source.filter(|_| !start.fed_by.is_empty()) else { continue };
            if start.fed_by.iter().any(|point| energised[*point]) {
                continue;
            }
            match self.vehicle().devices[source].role {
                // Its output; what is stored at its input is another matter.
                Role::Inverter => state.on.retain(|id| *id != source),
                _ => {
                    cuts.sources.insert(source);
                }
            }
        }
        live::map_with(self.vehicle(), &state, self.network, &cuts)
    }

    fn feeds(&self) -> Vec<AreaFeed> {
        let map = self.map_after(0);
        let vehicle = self.vehicle();
        let mut best: BTreeMap<DeviceId, AreaFeed> = BTreeMap::new();
        let wires = self.area.wires.iter().map(|id| map.wire(*id));
        let uses = wires.chain(self.area.terminals.iter().map(|id| map.terminal(*id)));
        for reached in uses.flat_map(|used| &used.from) {
            let device = &vehicle.devices[reached.source];
            let feed = AreaFeed {
                source: device.name.clone(),
                label: device.label.clone(),
                at: device.place_words.clone(),
                status: if reached.doubt.is_some() { "may be live" } else { "live" }.to_owned(),
                path: reached.names(vehicle),
                doubt: reached.doubt.map_or_else(String::new, |doubt| doubt.words(vehicle)),
            };
            let rank = |feed: &AreaFeed| (feed.status != "live", feed.path.len());
            match best.get(&reached.source) {
                Some(known) if rank(known) <= rank(&feed) => {}
                _ => {
                    best.insert(reached.source, feed);
                }
            }
        }
        let mut feeds: Vec<AreaFeed> = best.into_values().collect();
        feeds.sort_by_key(|feed| feed.status != "live");
        feeds
    }

    /// What stays live elsewhere; within the area only what is a finding.
    pub(crate) fn stays(&self, map: &LiveMap) -> Vec<StaysLive> {
        let vehicle = self.vehicle();
        let sources: BTreeSet<DeviceId> =
            map.wires.iter().flat_map(|one| one.from.iter().map(|way| way.source)).collect();
        let names = |wanted: &dyn Fn(&live::Use) -> bool| -> Vec<String> {
            let wires = vehicle.wires.iter().filter(|(id, _)| wanted(map.wire(*id)));
            wires.map(|(_, wire)| wire.name.clone()).collect()
        };
        let from = |one: &live::Use, source: DeviceId, certain: bool| {
            one.from.iter().any(|way| way.source == source && way.doubt.is_none() == certain)
        };
        let row = |source: DeviceId| StaysLive {
            source: vehicle.devices[source].name.clone(),
            label: vehicle.devices[source].label.clone(),
            at: vehicle.devices[source].place_words.clone(),
            wires: names(&|one| from(one, source, true)),
            may_be: names(&|one| from(one, source, false) && !from(one, source, true)),
        };
        sources.into_iter().map(row).collect()
    }

    /// Sources that nothing separates; and where the live map, which is told the plan, still finds
    /// something live in the area, that.
    fn all_findings(&self, map: &LiveMap) -> Vec<NoIsolation> {
        let mut findings = self.findings();
        if !self.area_is_dead(map) {
            findings.push(NoIsolation {
                source: String::new(),
                at: String::new(),
                signal: "WARNING".to_owned(),
                words: "the live map still finds something of the area live after the plan: treat it as live"
                    .to_owned(),
                instead: vec!["see what stays live, and measure there first".to_owned()],
            });
        }
        findings
    }

    /// Whether nothing of the area is energised any more, by the live map.
    fn area_is_dead(&self, map: &LiveMap) -> bool {
        let calm = |status| matches!(status, Status::Return | Status::NotReached);
        let graph = &self.network.graph;
        let stays = |point| self.is_left(graph.index(point));
        let terminals = self
            .area
            .terminals
            .iter()
            .all(|id| stays(graph.stud(*id)) || calm(map.terminal(*id).status));
        let wires = self.area.wires.iter().all(|id| {
            let ends = model::WireEnd::BOTH.map(|end| graph.wire_end(*id, end));
            ends.into_iter().any(stays) || calm(map.wire(*id).status)
        });
        terminals && wires
    }

    /// Minutes, and all of it with risks and breakage as money.
    fn cost_words(&self) -> String {
        let plan = &self.answer.plan;
        let cents = plan.cost_minor.round() as i64;
        format!(
            "{:.0} min to do, {:.0} min to undo; with risks and breakage as dear as {}",
            plan.out.mean_min,
            plan.back.mean_min,
            units::Money::from_cents(cents, self.case.currency())
        )
    }

    fn proof_words(&self) -> String {
        let Answer { demands, proof, .. } = &self.answer;
        let least = match proof {
            access::Proof::Optimal => {
                "nothing that stops them costs less, and the plan stops all there are"
            }
            access::Proof::Gap(_) => "the search was stopped; a little less cannot be ruled out",
        };
        format!(
            "{demands} way{} of energy had to be looked at: {least}. Minutes, the way in (shared \
             parts once) and risks are weighed together.",
            if *demands == 1 { "" } else { "s" }
        )
    }

    /// Parts that come out for an action, in order, besides those taken out before.
    pub(crate) fn parts_for(&self, taken: &mut BTreeSet<PartId>) -> BTreeMap<usize, Vec<String>> {
        let parts = self.case.problem.parts.len();
        let mut waiting: Vec<PartId> = Vec::new();
        let mut by_action = BTreeMap::new();
        // The planner's order has every part before the action that needs it; the plan's own order
        // asks for them when their action comes.
        let plan = &self.answer.plan;
        for action in &self.order {
            let needs = self.needs(*action);
            for step in plan.steps.iter().filter(|step| step.part.0 < parts) {
                let part = PartId::from_index(step.part.0);
                if needs.contains(&part) && taken.insert(part) {
                    waiting.push(part);
                }
            }
            let names = waiting.drain(..).map(|part| self.vehicle().parts[part].label.clone());
            by_action.insert(*action, names.collect());
        }
        by_action
    }

    /// Parts that must be out for an action, by the way in the plan opens, and theirs in turn.
    fn needs(&self, action: usize) -> BTreeSet<PartId> {
        let steps = &self.answer.plan.steps;
        let out = |part: &access::PartIdx| {
            steps.iter().any(|step| step.part == *part)
                || self.case.problem.parts[part.0].presence == access::Presence::Out
        };
        let reach = &self.asked.net.actions[action].reach;
        let set = reach.iter().find(|set| set.iter().all(out)).cloned().unwrap_or_default();
        let mut needs: BTreeSet<PartId> = BTreeSet::new();
        let mut open: Vec<access::PartIdx> = set;
        while let Some(part) = open.pop() {
            if !needs.insert(PartId::from_index(part.0)) {
                continue;
            }
            if let Some(step) = steps.iter().find(|step| step.part == part) {
                open.extend(&self.case.problem.removals[step.removal.0].needs);
            }
        }
        needs
    }
}

/// The way back: the steps in reverse.
fn back(steps: &[DeadStep]) -> Vec<String> {
    let mut words = vec![
        "Tools out, lugs covered, nobody touches anything; resistance between each feed and its \
         return: no short circuit (everything still dead)."
            .to_owned(),
    ];
    let undone = steps.iter().rev().filter(|step| step.kind == "open");
    words.extend(undone.map(|step| {
        let read = if step.probe.is_empty() || step.before.is_empty() {
            String::new()
        } else {
            format!(" Then {} shows {}.", step.probe, step.before)
        };
        format!("Undo step {}: {}.{read}", step.number, step.what)
    }));
    words.push("Tags off by those who put them on. Loads on again one by one.".to_owned());
    words
}
