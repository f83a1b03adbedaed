//! Which of the chosen actions would break current they are not made for, and whose current that is: the
//! circuit is solved with what is opened before, loads off, full sun. A switch or breaker may break what
//! its rating says; a fuse, a plug and a battery post are made to break nothing.
//!
//! **Hazard.** An arc of direct current does not go out by itself. A rating nobody has read counts as none.

use std::collections::{BTreeMap, BTreeSet};

use dead::{Act, ActKey, Answer, Asked, Loads, Sort};
use model::{Attribute, DeviceId, Role};
use units::Ampere;

use crate::dead::Plan;
use crate::dead_readings::Meter;

/// Rounds of planning again with what was found to be under load. Each adds at least one action; vehicles
/// settle in two or three. Whatever is under load after the last is told at its step.
pub(crate) const MOST_ROUNDS: usize = 8;

/// A source drives a contact's current if without it less than this share remains.
const REMAINS: f64 = 0.95;

/// Currents found at contacts that are not made to break them, A.
pub(crate) type LoadAmpere = BTreeMap<ActKey, f64>;

/// Whether an action may be done while this much flows through it.
pub(crate) fn may_break(plan: &Plan<'_>, act: &Act, ampere: f64) -> bool {
    let limits = plan.case.catalog.dead.limits;
    if ampere < limits.idle_a {
        return true;
    }
    let device = &plan.vehicle().devices[act.device];
    let by_hand = matches!(act.sort, Sort::Switch | Sort::Breaker | Sort::MainsBreaker);
    let too_low = |made_for: &f64| *made_for < plan.case.nominal_v();
    if device.fact(Attribute::MadeFor).evidence().is_some_and(too_low) {
        return false;
    }
    by_hand && device.fact(Attribute::Rated).evidence().is_some_and(|rated| *rated >= ampere)
}

/// Sorts whose current is looked at: the others stop a source at itself, or are dead by then.
fn is_looked_at(sort: Sort) -> bool {
    use Sort::{BatteryMinus, Breaker, MainsBreaker, Plug, PulledFuse, Switch};
    matches!(sort, Switch | Breaker | MainsBreaker | PulledFuse | Plug | BatteryMinus)
}

impl Plan<'_> {
    /// Chosen actions that would break current they are not made for, besides those known already.
    pub(crate) fn overloaded(&self, known: &Loads) -> Vec<(ActKey, BTreeSet<DeviceId>, f64)> {
        let meter = Meter::new(self);
        let mut found = Vec::new();
        for (place, action) in self.order.iter().enumerate() {
            let act = self.act(*action);
            if !is_looked_at(act.sort) {
                continue;
            }
            let Some(ampere) = meter.through(act, place).filter(|a| !may_break(self, act, *a))
            else {
                continue;
            };
            let drivers = self.drivers(&meter, act, place, ampere);
            let is_new = known.get(&act.key()).is_none_or(|old| !drivers.is_subset(old));
            if is_new && !drivers.is_empty() {
                found.push((act.key(), drivers, ampere));
            }
        }
        found
    }

    /// Sources without which the current through an action is less. The sun counts as one source: its
    /// modules share controllers.
    fn drivers(
        &self,
        meter: &Meter<'_>,
        act: &Act,
        place: usize,
        ampere: f64,
    ) -> BTreeSet<DeviceId> {
        let vehicle = self.vehicle();
        let less = |without: Option<f64>| without.is_some_and(|a| a < REMAINS * ampere);
        let of = |role: Role| vehicle.devices.iter().filter(move |(_, row)| row.role == role);
        let mut drivers = BTreeSet::new();
        if less(meter.through_without_sun(act, place)) {
            drivers.extend(of(Role::SolarModule).map(|(id, _)| id));
        }
        for role in [Role::Battery, Role::OutsideSource] {
            for (id, _) in of(role) {
                let delivers = id != act.device && meter.delivers(id, place);
                if delivers && less(meter.through_without(id, act, place)) {
                    drivers.insert(id);
                }
            }
        }
        drivers
    }

    /// What there is to know of an action's current: what was found before it was planned around, what
    /// flows in its place.
    pub(crate) fn current_notes(&self, act: &Act, place: usize, meter: &Meter<'_>) -> Vec<String> {
        let device = &self.vehicle().devices[act.device];
        let rated = device.fact(Attribute::Rated);
        let rated = rated.evidence().map(|a| Ampere::from_si(*a));
        let by_hand = act.sort <= Sort::Breaker;
        let mut notes = Vec::new();
        if let Some(found) = self.loads.get(&act.key()) {
            let flows = Ampere::from_si(*found);
            let why = match rated {
                Some(rated) if by_hand => format!("its rating is {rated}"),
                None if by_hand => "its rating is not known".to_owned(),
                _ => "it is not made to break any".to_owned(),
            };
            notes.push(format!(
                "only without current: otherwise it would break {flows} (computed, full sun), and {why}; \
                 the steps before take that away. A clamp there shows below {} first",
                Ampere::from_si(self.case.catalog.dead.limits.idle_a)
            ));
        }
        let idle_a = self.case.catalog.dead.limits.idle_a;
        let Some(ampere) = meter.through(act, place).filter(|a| *a >= idle_a) else { return notes };
        let flows = Ampere::from_si(ampere);
        notes.push(match rated {
            Some(rated) if may_break(self, act, ampere) => {
                format!("{flows} still flow through it (computed), its rating is {rated}")
            }
            _ => format!(
                "NOT under this current: {flows} flow through it (computed), and nothing recorded takes \
                 them away; find what drives them and stop it first, or leave it closed"
            ),
        });
        notes
    }

    /// Actions left out because they would break current they are not made for.
    pub(crate) fn refused_words(&self) -> Option<String> {
        let names: Vec<String> =
            self.answer.under_load.iter().map(|action| self.key(self.act(*action))).collect();
        (!names.is_empty()).then(|| {
            format!(
                "Left out, for they would break current they are not made for, and nothing recorded takes \
                 it away: {}. An arc of direct current burns and does not go out.",
                names.join(", ")
            )
        })
    }
}

/// The same order, but for actions that would break current: they wait for what takes it away.
pub(crate) fn after_the_current(asked: &Asked, answer: &Answer, order: Vec<usize>) -> Vec<usize> {
    if answer.chosen.iter().all(|action| asked.net.actions[*action].loaded_by.is_empty()) {
        return order;
    }
    let mut waiting = order;
    let mut done: Vec<usize> = Vec::new();
    while !waiting.is_empty() {
        let ready = |action: &usize| !dead::breaks_current(&asked.net, &done, *action);
        let next = waiting.iter().position(ready).unwrap_or(0);
        done.push(waiting.remove(next));
    }
    done
}
