//! What a meter should show while a plan is worked. The circuit with what was opened so far is solved in
//! `dead_solve.rs`; a voltmeter of megohms changes nothing where anything feeds.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use model::{Pole, Role, TerminalId, Vehicle};
use network::Point;
use units::Volt;

use crate::case::Case;
use crate::dead::Plan;

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
    pub(crate) plan: &'p Plan<'p>,
    pub(crate) reach: dead::Reach<'p>,
    /// Which points are energised, by number of actions done.
    energised: RefCell<BTreeMap<usize, Rc<Vec<bool>>>>,
}

impl<'p> Meter<'p> {
    pub(crate) fn new(plan: &'p Plan<'p>) -> Meter<'p> {
        let reach = dead::Reach::new(&plan.asked.net);
        Meter { plan, reach, energised: RefCell::default() }
    }

    /// Which points are energised with the first actions done.
    pub(crate) fn energised(&self, done: usize) -> Rc<Vec<bool>> {
        let mut known = self.energised.borrow_mut();
        let told = || Rc::new(self.reach.after(&self.plan.order[..done]));
        Rc::clone(known.entry(done).or_insert_with(told))
    }

    /// What the meter shows with the first actions done.
    pub(crate) fn expected(&self, probe: &Probe, done: usize) -> Expected {
        let vehicle = self.plan.vehicle();
        if vehicle.terminals[probe.red].pole.is_ac() {
            return self.on_mains(probe, done);
        }
        let stud = self.plan.network.graph.stud(probe.red);
        let energised = self.energised(done);
        let is_energised = energised[self.plan.network.graph.index(stud)];
        let black =
            probe.black.map_or(self.plan.network.graph.body(), |t| self.plan.network.graph.stud(t));
        let volt = self.with(done, |network, answer| {
            answer.between(network.node(stud)?, network.node(black)?)
        });
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
            if !names.contains(&name) && self.reach.touches(start, &plan.order[..done], &[at]) {
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
        let mut energised =
            outside.map(|start| self.reach.touches(start, &plan.order[..done], &[at]));
        let grid = self.plan.case.catalog.mains.grid(self.plan.vehicle().region);
        if energised.any(|energised| energised) {
            let words = format!(
                "up to {} a.c. from a supply of {}, nothing where it is off (people licensed for it)",
                grid.most, grid.volt
            );
            Expected { words, volt: None }
        } else {
            Expected { words: "0 V a.c.".to_owned(), volt: Some(0.0) }
        }
    }
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

    pub(crate) fn body_is_return(&self) -> bool {
        *self.body_returns.get_or_init(|| {
            let graph = &self.network.graph;
            let metal = graph.metal([graph.body()]);
            let batteries = self.vehicle().devices.iter().filter(|(_, d)| d.role == Role::Battery);
            let mut minuses = batteries.filter_map(|(id, _)| self.pole(id, Pole::Minus));
            minuses.any(|minus| metal.reaches(graph.stud(minus)))
        })
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
