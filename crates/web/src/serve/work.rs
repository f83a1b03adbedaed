//! What people ticked off on the journal of a case, for its hand-over pack: what was put right, what was
//! taken out and put back, what was switched off, locked and read.

use std::collections::BTreeMap;

use analysis::{Case, Claim, DeadRequest, Moved, Review, SwitchedOff, WorkDone};
use store::{CaseState, Ticked};

use crate::look::moment;
use crate::station::{dead_plan, put_right};

/// What was ticked as put right.
pub(crate) fn claims(state: &CaseState, review: &Review) -> Vec<Claim> {
    let claim = |tick: &Ticked| {
        let (finding, place) = tick.step.rsplit_once(", ").unwrap_or((&tick.step, ""));
        Claim {
            finding: finding.to_owned(),
            place: place.to_owned(),
            who: tick.said.who.clone(),
            on: tick.said.at.chars().take(10).collect(),
            still_fails: review.findings.iter().any(|of| put_right::key(of) == tick.step),
        }
    };
    done(state, "mend").map(claim).collect()
}

/// What was ticked as done on the vehicle.
pub(crate) fn work(state: &CaseState, case: &Case) -> WorkDone {
    WorkDone { moved: moved(state), switched_off: switched_off(state, case) }
}

fn done<'s>(state: &'s CaseState, list: &'s str) -> impl Iterator<Item = &'s Ticked> {
    state.ticks.iter().filter(move |tick| tick.list == list && tick.done)
}

fn moved(state: &CaseState) -> Vec<Moved> {
    let mut moved: BTreeMap<&str, Moved> = BTreeMap::new();
    for (list, is_back) in [("way-in", false), ("way-back", true)] {
        for tick in done(state, list) {
            let (part, by) = (tick.step.clone(), tick.said.who.clone());
            let on = tick.said.at.chars().take(10).collect();
            moved.insert(&tick.step, Moved { part, is_back, by, on });
        }
    }
    moved.into_values().collect()
}

/// Steps of making dead, in the order in which they were done.
fn switched_off(state: &CaseState, case: &Case) -> Vec<SwitchedOff> {
    let is_step = |tick: &&Ticked| !dead_plan::is_read_before(&tick.step);
    let mut ticks: Vec<&Ticked> =
        done(state, "dead").filter(is_step).chain(done(state, "tester")).collect();
    ticks.sort_by_key(|tick| tick.said.seq);
    let mut words = StepWords { case, of_areas: BTreeMap::new() };
    let row = |tick: &&Ticked| {
        let (area, key) = tick.step.split_once(dead_plan::OF).unwrap_or(("", &tick.step));
        let before = format!("{}{}", tick.step, dead_plan::BEFORE);
        let before = done(state, "dead").find(|tick| tick.step == before);
        SwitchedOff {
            area: area.to_owned(),
            what: words.of(area, key),
            before: before.and_then(|tick| tick.reading.clone()).unwrap_or_default(),
            after: tick.reading.clone().unwrap_or_default(),
            by: tick.said.who.clone(),
            on: moment::moment(&tick.said.at),
        }
    };
    ticks.iter().map(row).collect()
}

/// Words for steps of plans, each plan made once.
struct StepWords<'c> {
    case: &'c Case,
    of_areas: BTreeMap<String, BTreeMap<String, String>>,
}

impl StepWords<'_> {
    /// What the step of a plan says; its name where the plan has it no more.
    fn of(&mut self, area: &str, key: &str) -> String {
        let case = self.case;
        let steps = self.of_areas.entry(area.to_owned()).or_insert_with(|| {
            // Steps of the whole vehicle are called as in the plan for everything.
            let names = if area.is_empty() { dead_plan::EVERYTHING } else { area };
            let area = names.split(',').map(|name| name.trim().to_owned()).collect();
            let plan = case.dead_plan(&DeadRequest { area, read: Vec::new() });
            let steps = plan.map_or_else(|_| Vec::new(), |plan| plan.steps).into_iter();
            steps.map(|step| (step.key, step.what)).collect()
        });
        steps.get(key).cloned().unwrap_or_else(|| key.to_owned())
    }
}
