//! What lies in front of things: estimates of opening for the policies, true minutes for the clock.
//! What is opened stays open, and closing is charged when a thing is opened.

use std::cell::RefCell;
use std::collections::HashMap;

use access::vehicle::{Question, costing, problem, target};
use access::{
    Costing, Opening, PartIdx, Permitted, Plan, Presence, Problem, SetupIdx, Standing, Target,
};
use catalog::Catalog;
use model::{DeviceId, JointId, Place, Reach, TerminalId, Vehicle, WireEnd, WireId};

use crate::technician::Technician;

/// What stands open: parts that are out and tools, positions and helpers that are there.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Open {
    parts: Vec<u32>,
    setups: Vec<u32>,
}

/// One step of opening, as it turns out.
#[derive(Clone, Debug, PartialEq)]
pub struct Opened {
    /// Minutes, closing up again included, as estimated.
    pub estimate: f64,
    /// Cost of what may break, in minutes at the workshop's rate.
    pub breakage: f64,
    /// What stands open then.
    pub open: Open,
    plan: Option<Plan>,
}

/// The parts of a vehicle with everything that may have to be reached.
pub struct Doors<'v> {
    vehicle: &'v Vehicle,
    problem: Problem,
    costing: Costing,
    targets: RefCell<Vec<Target>>,
    known: RefCell<HashMap<(Open, usize), Option<Opened>>>,
}

impl<'v> Doors<'v> {
    /// The doors of a vehicle.
    pub fn new(vehicle: &'v Vehicle, catalog: &Catalog) -> Doors<'v> {
        let Question { problem, .. } = problem(vehicle, catalog);
        let stand_ins = &catalog.stand_ins;
        let costing = costing(
            stand_ins.workshop_hour.cents(),
            stand_ins.broken_part.cents(),
            Permitted::Anything,
        );
        Doors { vehicle, problem, costing, targets: RefCell::default(), known: RefCell::default() }
    }

    /// A number for what has to be reached by any of these ways.
    pub fn target(&self, reach: &Reach) -> diagnose::Target {
        let wanted = target("target", reach);
        let mut targets = self.targets.borrow_mut();
        let at = targets.iter().position(|known| *known == wanted).unwrap_or_else(|| {
            targets.push(wanted);
            targets.len() - 1
        });
        diagnose::Target(at)
    }

    /// Opens a target as far as it is not open; `None`: it cannot be reached.
    pub fn opening(&self, open: &Open, at: diagnose::Target) -> Option<Opened> {
        let key = (open.clone(), at.0);
        if let Some(known) = self.known.borrow().get(&key) {
            return known.clone();
        }
        let opened = self.plan(open, at);
        self.known.borrow_mut().insert(key, opened.clone());
        opened
    }

    fn plan(&self, open: &Open, at: diagnose::Target) -> Option<Opened> {
        let wanted = self.targets.borrow()[at.0].clone();
        if wanted.ways.iter().any(Vec::is_empty) {
            let open = open.clone();
            return Some(Opened { estimate: 0.0, breakage: 0.0, open, plan: None });
        }
        let problem = self.furniture(open);
        let plan = access::plan(&problem, std::slice::from_ref(&wanted), &self.costing).ok()?;
        let opened = Opening::after(&plan);
        let mut then = open.clone();
        then.parts.extend(opened.out.iter().map(|PartIdx(part)| *part as u32));
        then.setups.extend(opened.in_place.iter().map(|SetupIdx(setup)| *setup as u32));
        then.parts.sort_unstable();
        then.setups.sort_unstable();
        let breakage = plan.breakage_minor / self.costing.value_of_a_minute;
        Some(Opened { estimate: plan.total.mean_min, breakage, open: then, plan: Some(plan) })
    }

    /// What an opening truly takes: every removal and every setup has minutes of its own in a case.
    pub fn true_minutes(&self, opened: &Opened, technician: &Technician<'_>) -> f64 {
        let Some(plan) = &opened.plan else { return 0.0 };
        let removals = plan.steps.iter().map(|step| {
            let removal = &self.problem.removals[step.removal.0];
            let words = format!("removal {}", step.removal.0);
            technician.minutes_between(removal.minutes_out, &format!("{words} out"))
                + technician.minutes_between(removal.minutes_back, &format!("{words} back"))
        });
        let setups = plan.setups.iter().map(|used| {
            let setup = &self.problem.setups[used.setup.0];
            let words = format!("setup {}", used.setup.0);
            technician.minutes_between(setup.minutes_out, &format!("{words} out"))
                + technician.minutes_between(setup.minutes_back, &format!("{words} back"))
        });
        removals.sum::<f64>() + setups.sum::<f64>()
    }

    /// What has to be open to work at a place. Where nobody wrote down what lies in front, nothing is
    /// charged.
    pub fn reach_of(&self, place: Place) -> Reach {
        match place {
            Place::Device(device) => self.of_device(device),
            Place::Terminal(terminal) => self.of_terminal(terminal),
            Place::Joint(joint) => self.of_joint(joint),
            Place::Wire(wire) => self.of_wire(wire),
            _ => vec![Vec::new()],
        }
    }

    fn of_device(&self, device: DeviceId) -> Reach {
        self.vehicle.devices[device].reach.value().cloned().unwrap_or_else(|| vec![Vec::new()])
    }

    fn of_terminal(&self, terminal: TerminalId) -> Reach {
        self.of_device(self.vehicle.terminals[terminal].device)
    }

    fn of_joint(&self, joint: JointId) -> Reach {
        let joint = &self.vehicle.joints[joint];
        let terminal = self.vehicle.wires[joint.wire].terminal(joint.end);
        terminal.map_or_else(|| vec![Vec::new()], |terminal| self.of_terminal(terminal))
    }

    /// A wire is renewed from both of its ends.
    fn of_wire(&self, wire: WireId) -> Reach {
        let ends =
            WireEnd::BOTH.into_iter().filter_map(|end| self.vehicle.wires[wire].terminal(end));
        ends.fold(vec![Vec::new()], |reach, end| both(&reach, &self.of_terminal(end)))
    }

    /// The furniture as it stands, as the planner's question.
    pub fn furniture(&self, open: &Open) -> Problem {
        let mut problem = self.problem.clone();
        open.parts.iter().for_each(|p| problem.parts[*p as usize].presence = Presence::Out);
        open.setups.iter().for_each(|s| problem.setups[*s as usize].standing = Standing::InPlace);
        problem
    }

    /// How minutes and breakage are weighed.
    pub fn costing(&self) -> Costing {
        self.costing
    }
}

/// Both of two things.
fn both(a: &Reach, b: &Reach) -> Reach {
    let mut reach: Reach = a
        .iter()
        .flat_map(|one| {
            b.iter().map(move |other| {
                let mut parts: Vec<_> = one.iter().chain(other).copied().collect();
                parts.sort_unstable();
                parts.dedup();
                parts
            })
        })
        .collect();
    reach.sort_unstable();
    reach.dedup();
    reach
}

impl diagnose::Access for Doors<'_> {
    type State = Open;

    fn open(&self, from: &Open, target: diagnose::Target) -> Option<(f64, Open)> {
        let opened = self.opening(from, target)?;
        Some((opened.estimate + opened.breakage, opened.open))
    }
}
