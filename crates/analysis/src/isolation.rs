//! The isolation card: the plan that makes the whole vehicle dead, short enough for a sheet of paper.
//! It is that plan and nothing else, so that page, command line and print say the same.
//!
//! **Hazard.** What the card calls not reached is not dead; it is to be proved by measurement at the
//! point of work, before and after on a known source.

use std::collections::BTreeSet;

use dead::{Act, Sort};
use live::{LiveMap, Status};
use model::{DeviceId, Place, Pole, Role, TerminalId};

use crate::case::Case;
use crate::dead::Plan;
use crate::handover_view::{IsolationStep, IsolationView};

impl Case {
    /// How to switch the vehicle off, and what stays live then: the plan for everything. Empty where
    /// nothing that conducts is recorded, or where the parts contradict themselves.
    pub fn isolation(&self) -> IsolationView {
        let names = [dead::EVERYTHING.to_owned()];
        self.planned_dead(&names).map_or_else(|_| IsolationView::default(), |plan| plan.card())
    }
}

impl Plan<'_> {
    fn card(&self) -> IsolationView {
        let map = self.map_after(self.order.len());
        let mut steps = self.off_at_their_own_switch();
        steps.extend(self.covered_modules());
        for action in &self.order {
            self.add_to_card(&mut steps, self.act(*action), &map);
        }
        let wires = self.vehicle().wires.iter();
        let not_reached = wires.filter(|(id, _)| map.wire(*id).status == Status::NotReached);
        IsolationView {
            steps,
            stays: self.stays(&map),
            not_reached: not_reached.map(|(_, wire)| wire.name.clone()).collect(),
        }
    }

    /// Loads, and what has a switch of its own: the step the plan begins with.
    fn off_at_their_own_switch(&self) -> Vec<IsolationStep> {
        let Some(loads) = self.loads_off() else { return Vec::new() };
        let first = IsolationStep {
            kind: "loads".to_owned(),
            key: loads.key,
            device: String::new(),
            label: String::new(),
            at: String::new(),
            prove: Vec::new(),
            access: None,
        };
        let own = |role| matches!(role, Role::Inverter | Role::MainsCharger);
        let devices = self.vehicle().devices.iter().filter(|(_, device)| own(device.role));
        let at_itself = devices.map(|(id, _)| self.card_row("inverter", "off", id));
        std::iter::once(first).chain(at_itself).collect()
    }

    /// Modules that nothing separates and that are not covered by then: only darkness does.
    fn covered_modules(&self) -> Vec<IsolationStep> {
        let left: BTreeSet<DeviceId> =
            self.answer.left.iter().filter_map(|start| self.asked.sources[*start]).collect();
        let covered = |id: &DeviceId| {
            let mut acts = self.order.iter().map(|action| self.act(*action));
            acts.any(|act| act.sort == Sort::Cover && act.device == *id)
        };
        let module =
            |id: &DeviceId| self.vehicle().devices[*id].role == Role::SolarModule && !covered(id);
        left.into_iter().filter(module).map(|id| self.card_row("cover", "cover", id)).collect()
    }

    fn card_row(&self, kind: &str, word: &str, id: DeviceId) -> IsolationStep {
        let device = &self.vehicle().devices[id];
        IsolationStep {
            kind: kind.to_owned(),
            key: format!("{word} {}", device.name),
            device: device.name.clone(),
            label: device.label.clone(),
            at: device.place_words.clone(),
            prove: Vec::new(),
            access: self.case.access_to(Place::Device(id)),
        }
    }

    /// Fuses of one box that are pulled one after the other are one row.
    fn add_to_card(&self, steps: &mut Vec<IsolationStep>, act: &Act, map: &LiveMap) {
        let row = self.on_card(act, map);
        match steps.last_mut() {
            Some(last)
                if act.way.is_some() && (&last.kind, &last.device) == (&row.kind, &row.device) =>
            {
                last.label = format!("{}, {}", last.label, row.label);
                last.key = format!("{}, {}", last.key, row.key);
                last.prove.extend(row.prove);
            }
            _ => steps.push(row),
        }
    }

    fn on_card(&self, act: &Act, map: &LiveMap) -> IsolationStep {
        let vehicle = self.vehicle();
        let is_inlet = vehicle.devices[act.device].role == Role::ShoreInlet;
        let kind = match act.sort {
            Sort::Shore if !is_inlet => "shore-unknown",
            sort => kind_of(sort),
        };
        let mut row = self.card_row(kind, "", act.device);
        row.key = self.key(act);
        match (act.joint, act.way) {
            (Some(joint), _) => row.label = vehicle.joint_name(joint),
            (None, Some(way)) => row.label = vehicle.terminal_name(way),
            (None, None) => {}
        }
        // Nobody goes behind anything to stop an engine or to pull the lead outside.
        if matches!(act.sort, Sort::Engine | Sort::Shore) {
            row.access = None;
        }
        row.prove = self.dead_studs(act, map);
        row
    }

    /// Studs at which an action shows, and that are dead once the plan is done: those of what it opens;
    /// of a battery, where the wires of its plus land, for its own posts stay at its voltage.
    fn dead_studs(&self, act: &Act, map: &LiveMap) -> Vec<String> {
        let vehicle = self.vehicle();
        let studs: Vec<TerminalId> = match act.sort {
            Sort::BatteryMinus => self.far_from_plus(act.device),
            _ => {
                let links = act.links.iter().map(|link| self.network.graph.get(*link));
                let ends = links.flat_map(|row| [row.a, row.b]);
                ends.filter_map(|point| self.network.graph.terminal(point)).collect()
            }
        };
        let feeds =
            |t: &TerminalId| !matches!(vehicle.terminals[*t].pole, Pole::Minus | Pole::Earth);
        let dead = |t: &TerminalId| {
            let calm = matches!(map.terminal(*t).status, Status::Return | Status::NotReached);
            calm && !self.is_left(self.network.graph.index(self.network.graph.stud(*t)))
        };
        let studs: BTreeSet<TerminalId> = studs.into_iter().filter(feeds).filter(dead).collect();
        studs.into_iter().map(|t| vehicle.terminal_name(t)).collect()
    }

    fn far_from_plus(&self, battery: DeviceId) -> Vec<TerminalId> {
        let vehicle = self.vehicle();
        let Some(plus) = self.pole(battery, Pole::Plus) else { return Vec::new() };
        let wires = vehicle.wires_at(plus);
        let far = wires.filter_map(|(wire, end)| vehicle.wires[wire].terminal(end.other()));
        far.filter(|t| vehicle.devices[vehicle.terminals[*t].device].role != Role::Battery)
            .collect()
    }
}

/// The word the texts of the card know an action by.
fn kind_of(sort: Sort) -> &'static str {
    match sort {
        Sort::Engine => "engine",
        Sort::Shore => "shore",
        Sort::Generator => "generator",
        Sort::Outside => "outside",
        Sort::Cover => "cover",
        Sort::Switch | Sort::Breaker | Sort::MainsBreaker => "switch",
        Sort::PulledFuse | Sort::BoltedFuse => "fuse",
        Sort::Plug => "plug",
        Sort::BatteryMinus => "battery",
        Sort::Lug => "lug",
        Sort::Capacitor => "capacitors",
    }
}
