//! The plan for a work area: asked for, worked step by step with a reading each, stopped by a reading
//! that contradicts it, handed over to the next shift. Steps are ticked on the list `dead` under the
//! area's name, so that each area has its own progress.

use std::sync::Arc;

use analysis::{DeadPlan, DeadStep, NoDeadPlan, NoIsolation};
use maud::{Markup, html};
use store::Ticked;

use crate::look::finding::{hazard, sheet_address, sign};
use crate::look::form::{self, Fields};
use crate::look::moment::moment;
use crate::look::steps::{self, Stands};
use crate::serve::Opened;
use crate::station::Station;
use crate::station::dead::links;

/// The area that is the whole vehicle.
pub(crate) const EVERYTHING: &str = "everything";

/// Between area and step in the name of a tick.
pub(crate) const OF: &str = " | ";

/// Behind the name of a step in the name of what was read before it.
pub(crate) const BEFORE: &str = " before";

/// Whether a tick is what was read before a step, and no step.
pub(crate) fn is_read_before(step: &str) -> bool {
    step.ends_with(BEFORE) && !step.ends_with("tester before")
}

/// In which state a plan expects what it says before a step.
const AS_BEFORE: &str = "with chargers and loads off, full daylight on the modules, this step not yet done and the steps above done";

/// So many points are shown without a fold.
const FEW: usize = 6;

/// Most names an area is made of.
const MOST: usize = 12;

/// What a field for a voltage takes.
const VOLTS: &str = "\\s*[+\\-−]?[0-9]+([.,][0-9]+)?\\s*((V|mV)\\s*(ac|dc|AC|DC)?)?\\s*";
const VOLTS_WORDS: &str = "a number, with V or mV behind it if you like; 230 V ac for mains";

/// A plan as it is worked.
pub(crate) struct Worked {
    area: Vec<String>,
    plan: Arc<Result<DeadPlan, NoDeadPlan>>,
}

/// Where a plan for some things stands.
pub(crate) fn address(case: &Opened, area: &[String]) -> String {
    let station = Station::Dead.address(&case.id);
    if area.is_empty() {
        return station;
    }
    format!("{station}?area={}", crate::look::finding::encoded(&area.join(",")))
}

/// The area that is asked for, else the one worked on last.
fn area(case: &Opened, asked: Option<String>) -> Vec<String> {
    let last = || {
        let ticks = case.kept.ticks.iter().filter(|tick| tick.list == "dead");
        let areas = ticks.filter_map(|tick| Some((tick.said.seq, tick.step.split_once(OF)?.0)));
        areas.max_by_key(|(seq, _)| *seq).map(|(_, area)| area.to_owned())
    };
    let names = asked.or_else(last).unwrap_or_default();
    let names = names.split(',').map(|name| name.trim().to_owned());
    names.filter(|name| !name.is_empty()).take(MOST).collect()
}

/// The plan for an area with what was read so far; none where no area is asked for.
fn worked(case: &Opened, asked: Option<String>) -> Option<Worked> {
    let area = area(case, asked);
    if area.is_empty() {
        return None;
    }
    let study = case.as_it_stands();
    let plan = study.dead_plan(&area, &[]);
    let read = plan.as_ref().as_ref().map_or(Vec::new(), |plan| readings(case, &area, plan));
    let plan = if read.is_empty() { plan } else { study.dead_plan(&area, &read) };
    Some(Worked { area, plan })
}

/// What was read at the steps of a plan, by number.
fn readings(case: &Opened, area: &[String], plan: &DeadPlan) -> Vec<(usize, String)> {
    let read = plan.steps.iter().filter(|step| !step.after.is_empty());
    let read = read.filter_map(|step| Some((step.number, reading(tick(case, area, step)?)?)));
    read.collect()
}

/// What was read, as the plan takes it: a bare figure is volts.
fn reading(tick: &Ticked) -> Option<String> {
    let reading = tick.reading.as_ref()?.trim().replace(',', ".").replace('−', "-");
    let bare = reading.parse::<f64>().is_ok();
    Some(if bare { format!("{reading} V") } else { reading })
}

/// Why what was read at a step says nothing; the step is not done then.
fn misread(step: &DeadStep, tick: &Ticked) -> Option<String> {
    let read = reading(tick).filter(|_| !step.after.is_empty());
    read.and_then(|read| analysis::unreadable(&read))
}

fn step_name(area: &[String], step: &DeadStep) -> String {
    format!("{}{OF}{}", area.join(", "), step.key)
}

/// A step that is done. A tester that showed nothing on the known source is not proved, and what is no
/// voltage proves nothing.
fn tick<'c>(case: &'c Opened, area: &[String], step: &DeadStep) -> Option<&'c Ticked> {
    let done = ticked(case, area, step)?;
    let counts = match step.kind.as_str() {
        "tester" => shows_volts(case, done),
        _ => misread(step, done).is_none(),
    };
    counts.then_some(done)
}

fn ticked<'c>(case: &'c Opened, area: &[String], step: &DeadStep) -> Option<&'c Ticked> {
    case.ticked("dead", &step_name(area, step)).filter(|tick| tick.done)
}

/// Whether a reading on a known source is more than what is called dead.
pub(crate) fn shows_volts(case: &Opened, tick: &Ticked) -> bool {
    case.study.case().is_above_dead(tick.reading.as_deref().unwrap_or_default())
}

/// What is said where a tester showed nothing on the known source.
pub(crate) fn not_proved() -> Markup {
    hazard(
        "WARNING",
        &html! { p { b { "Not proved. " } "The tester shows nothing on a known source: no reading taken with it counts. Mend or change it, and prove it again." } },
    )
}

/// What stands on every page of the case while a plan is worked.
pub(crate) fn banner(case: &Opened) -> Markup {
    let Some(worked) = worked(case, None) else { return html! {} };
    let Ok(plan) = worked.plan.as_ref() else { return html! {} };
    let of = worked.area.join(", ");
    let done = plan.steps.iter().filter(|step| tick(case, &worked.area, step).is_some()).count();
    let elsewhere = locks_elsewhere(case, &of).len();
    html! {
        @if elsewhere > 0 {
            div class="live-in" { (sign("NOTICE")) " " (elsewhere) @if elsewhere == 1 { " lock is" } @else { " locks are" } " on for other work areas. "
                a href={ (Station::Dead.address(&case.id)) "#shift" } { "which" }
            }
        }
        @if let Some(stopped) = &plan.stopped {
            div class="live-in" { (sign("DANGER"))
                " STOP. Making dead " b { (of) } ": step " (stopped.step) " contradicts the plan. Touch nothing. "
                a href=(Station::Dead.address(&case.id)) { "what could feed it" }
            }
        } @else if done < plan.steps.len() {
            div class="live-in" { (sign("WARNING"))
                " STILL LIVE: " b { (of) } ", " (done) " of " (plan.steps.len()) " steps done. "
                a href=(Station::Dead.address(&case.id)) { "next step" }
            }
        } @else {
            div class="live-in" { (sign("NOTICE"))
                " " b { (of) } ": every step done and read. Locks stay on until those who put them on take them off. "
                a href=(Station::Dead.address(&case.id)) { "locks" }
            }
        }
    }
}

/// How many steps of the plan that is worked on are not done; none where there is no plan.
pub(crate) fn undone(case: &Opened) -> Option<usize> {
    let worked = worked(case, None)?;
    let plan = worked.plan.as_ref().as_ref().ok()?;
    Some(plan.steps.iter().filter(|step| tick(case, &worked.area, step).is_none()).count())
}

/// A reading contradicts the plan.
pub(crate) fn is_stopped(case: &Opened) -> bool {
    worked(case, None).is_some_and(|of| matches!(&*of.plan, Ok(plan) if plan.stopped.is_some()))
}

/// Whether a plan for the whole vehicle is worked on: nothing else says how to switch it off then.
pub(crate) fn is_of_everything(case: &Opened, asked: &Fields) -> bool {
    let of = worked(case, asked.get("area"));
    of.is_some_and(|of| of.plan.is_ok() && of.area.iter().any(|name| name == EVERYTHING))
}

/// The plan on its station.
pub(crate) fn section(case: &Opened, asked: &Fields) -> Markup {
    let worked = worked(case, asked.get("area"));
    let names = worked.as_ref().map_or(String::new(), |worked| worked.area.join(", "));
    html! {
        (ask(case, &names))
        @if let Some(worked) = &worked { @match worked.plan.as_ref() {
            Ok(plan) => (plan_of(case, &worked.area, plan)),
            Err(reason) => (hazard("WARNING", &html! { p { (words(reason)) } })),
        } }
    }
}

fn words(reason: &NoDeadPlan) -> String {
    match reason {
        NoDeadPlan::Unknown(names) => {
            format!("The record has no device, wire, part or spot {}.", names.join(", "))
        }
        NoDeadPlan::Nothing => "Nothing that conducts is recorded there.".to_owned(),
        NoDeadPlan::Reading(words) | NoDeadPlan::Parts(words) => words.clone(),
    }
}

fn ask(case: &Opened, names: &str) -> Markup {
    let all = case.study.case().item_names();
    html! {
        form class="line card" id="area" method="get" action=(Station::Dead.address(&case.id)) {
            label class="grow" { "Work area" small { "devices, wires, parts; several with commas; or everything" }
                input name="area" list="all-items" value=(names) autocomplete="off" autocapitalize="off" spellcheck="false";
            }
            datalist id="all-items" { option value=(EVERYTHING); @for (_, name, label) in &all { option value=(name) { (label) } } }
            button class="main" { "Plan it" }
        }
    }
}

fn plan_of(case: &Opened, area: &[String], plan: &DeadPlan) -> Markup {
    let next = plan.steps.iter().find(|step| tick(case, area, step).is_none());
    let next = next.map(|step| step.number);
    html! {
        @if let Some(stopped) = &plan.stopped { section class="card big" id="stopped" {
            (hazard("DANGER", &html! { p { b { "Step " (stopped.step) ". " } (stopped.words) } }))
            h2 { "What could feed it, likeliest first" }
            ol class="rows" { @for suspect in &stopped.suspects { li {
                b { @if suspect.device.is_empty() { (suspect.what) } @else { a href=(sheet_address(&case.id, &suspect.device)) { (suspect.what) } } }
                span { (suspect.why) } span class="quiet" { "Look: " (suspect.look) }
            } } }
        } }
        (next_step(plan, next))
        section class="card" id="feeds" {
            h2 { "What may feed " (area.join(", ")) }
            details { summary { (plan.feeds.iter().map(|feed| feed.label.as_str()).collect::<Vec<_>>().join(", ")) }
            ul class="rows" { @for feed in &plan.feeds { li {
                span { span class="tag" { (feed.status) } " " b { a href=(sheet_address(&case.id, &feed.source)) { (feed.label) } }
                    @if !feed.at.is_empty() { span class="quiet" { ", " (feed.at) } } }
                @if !feed.path.is_empty() { span class="quiet small" { (feed.path.join(" → ")) } }
                @if !feed.doubt.is_empty() { span class="quiet small" { (feed.doubt) } }
            } } } }
            @for of in no_way(&plan.findings) { (hazard(&of[0].signal, &html! {
                @for finding in &of { p { b { "No way to isolate. " } (finding.words) } }
                ul { @for instead in &of[0].instead { li { (instead) } } }
            })) }
        }
        @for caution in &plan.cautions { (hazard(&caution.signal, &html! { p { (caution.words) } })) }
        section class="grid" id="plan" {
            header { h2 { "Make dead, in this order" } span class="count" { (plan.steps.len()) } }
            p class="quiet" { (plan.cost) "; " (plan.proof) ". " (plan.proof_words) }
            @for (is_proof, steps) in runs(&plan.steps) {
                @if is_proof { (points(case, area, steps, next)) }
                @else { ol class="steps" start=(steps[0].number) { @for step in steps { (one(case, area, step, next)) } } }
            }
        }
        (card(case, area, plan, next))
        (after(case, plan))
    }
}

/// What comes next, before everything that explains it.
fn next_step(plan: &DeadPlan, next: Option<usize>) -> Markup {
    let next = next.and_then(|number| plan.steps.iter().find(|step| step.number == number));
    html! { @if let Some(step) = next.filter(|_| plan.stopped.is_none()) {
        p class="card" { b { "Next is step " (step.number) " of " (plan.steps.len()) ": " }
            a class="in" href={ "#dead-" (step.number) } { (step.what) } }
    } }
}

/// What cannot be isolated, together where the same is to be done instead.
fn no_way(findings: &[NoIsolation]) -> Vec<Vec<&NoIsolation>> {
    let mut together: Vec<Vec<&NoIsolation>> = Vec::new();
    for finding in findings {
        let same = |of: &NoIsolation| of.signal == finding.signal && of.instead == finding.instead;
        match together.iter_mut().find(|known| same(known[0])) {
            Some(known) => known.push(finding),
            None => together.push(vec![finding]),
        }
    }
    together
}

/// Steps in their order, those that prove points dead apart from the others.
fn runs(steps: &[DeadStep]) -> impl Iterator<Item = (bool, &[DeadStep])> {
    let is_proof = |step: &DeadStep| step.kind == "prove";
    let runs = steps.chunk_by(move |a, b| is_proof(a) == is_proof(b));
    runs.map(move |steps| (is_proof(&steps[0]), steps))
}

/// Points to prove dead, folded away until it is their turn where they are many.
fn points(case: &Opened, area: &[String], steps: &[DeadStep], next: Option<usize>) -> Markup {
    let is_turn = next.is_some_and(|next| next >= steps[0].number);
    let done = steps.iter().filter(|step| tick(case, area, step).is_some()).count();
    let amiss = steps.iter().any(|step| step.verdict == "contradicts");
    let list = html! { ol class="steps" start=(steps[0].number) { @for step in steps { (one(case, area, step, next)) } } };
    html! {
        @if steps.len() <= FEW { (list) }
        @else {
            details class="fold" data-key="points" data-state={ (is_turn) (amiss) } open[is_turn || amiss || next.is_none()] {
                summary { (steps.len()) " points to measure, each counts as live until it is read (" (done) " read)" }
                div { (list) }
            }
        }
    }
}

fn one(case: &Opened, area: &[String], step: &DeadStep, next: Option<usize>) -> Markup {
    let done = ticked(case, area, step);
    let is_unproved = done.is_some() && tick(case, area, step).is_none();
    let stands = match step.verdict == "contradicts" || is_unproved {
        true => Stands::Next,
        false => Stands::of(step.number, done.is_some(), next),
    };
    let line = html! {
        // That a point counts as live is said of all of them at once.
        @if step.kind != "prove" || step.signal == "DANGER" { (sign(&step.signal)) }
        b { (step.what) }
        @if !step.at.is_empty() { span class="quiet small" { (step.at) } }
        @if let Some(tick) = done { span class="small" { "done" @if let Some(reading) = &tick.reading { ", read " span class="fig" { (reading) } } } }
    };
    let back = format!("{}#dead-{}", address(case, area), step.number);
    html! {
        (steps::step(&format!("dead-{}", step.number), step.number, stands, &line, &html! {
            (hazard(&step.signal, &html! { p { (step.hazard) } }))
            @if !step.parts.is_empty() { p { "Take out first: " (step.parts.join(", ")) } }
            @for note in &step.notes { p class="quiet" { (note) } }
            @match done.and_then(|tick| misread(step, tick)) {
                Some(why) => (hazard("WARNING", &html! { p { b { "Not proved. " } (why) ". Take it back and read it again." } })),
                None if is_unproved => (not_proved()),
                None => {}
            }
            @if step.held { p { span class="tag" { "held: a reading contradicts the plan" } } }
            @else {
                @let first = next.filter(|first| done.is_none() && *first < step.number);
                @if let Some(first) = first {
                    p class="small" { b { "Step " (first) " is not ticked: it comes first." } }
                }
                // That it is dead can be read when everything is off, and the tester proved again once all is read.
                @if first.is_none() || !(step.kind == "prove" || step.key == "tester after") {
                    (tested(case, area, step, &back))
                    (ticking(case, area, step, done, &back))
                }
            }
        }))
    }
}

/// What is read before the step, with a field of its own: tester, then the live point, then the step, then
/// the same point again, and the tester once more at the end.
fn tested(case: &Opened, area: &[String], step: &DeadStep, back: &str) -> Markup {
    if step.probe.is_empty() {
        return html! {};
    }
    let name = format!("{}{BEFORE}", step_name(area, step));
    let was = case.ticked("dead", &name).filter(|tick| tick.done);
    html! {
        p { "Meter " b class="fig" { (step.probe) } ", with the tester that was proved in step 1." }
        @if !step.before.is_empty() {
            div class="reads" { b { "Before" } p { "expected " span class="fig" { (step.before) } span class="quiet" { " " (AS_BEFORE) } }
                div data-step=(name) { @if let Some(tick) = was {
                    p { "read " b class="fig" { (tick.reading.as_deref().unwrap_or("nothing written")) } ", " (tick.said.who) ", " (moment(&tick.said.at)) }
                } }
                (form::change_line(&case.id, "tick", back, &html! {
                    (form::hidden("list", "dead")) (form::hidden("step", &name))
                    @if was.is_some() { button name="done" value="no" { "Read it again" } }
                    @else {
                        label { "Read before the step" input class="fig" name="reading" required pattern=(VOLTS) title=(VOLTS_WORDS) inputmode="decimal" autocomplete="off" data-pad="V mV"; }
                        button name="done" value="yes" { "Keep the reading before" }
                    }
                }))
                p class="small quiet" { "Without daylight on the modules it shows less, the battery alone. If it shows nothing, or something else again, probe, point or drawing is wrong: find out before you go on." }
            }
        }
        div class="reads" { b { "After" } p { "expected " span class="fig" { (step.after) } } }
    }
}

fn ticking(
    case: &Opened,
    area: &[String],
    step: &DeadStep,
    done: Option<&Ticked>,
    back: &str,
) -> Markup {
    let name = step_name(area, step);
    html! {
        div data-step=(name) { @if let Some(tick) = done {
            p { @if step.kind == "open" { b { "Locked by " (tick.said.who) } } @else { b { "Done by " (tick.said.who) } }
                ", " (moment(&tick.said.at))
                @if let Some(reading) = &tick.reading { ", read " span class="fig" { (reading) } }
                @if !step.verdict.is_empty() { " " span class="tag" { (step.verdict) } } }
            @if step.verdict == "contradicts" {
                (hazard("DANGER", &html! { p { b { "STOP. " } "This reading contradicts the plan: nothing is dead. Touch nothing; find what feeds it." } }))
            }
        } }
        @if done.is_none() && !step.tag.is_empty() { p class="small" { "Tag: " (step.tag) } }
        (form::change_line(&case.id, "tick", back, &html! {
            (form::hidden("list", "dead")) (form::hidden("step", &name))
            @match done {
                Some(tick) => button name="done" value="no" { "Take this tick back (" (tick.said.who) " can, or a lead)" },
                None => {
                    @if step.kind == "tester" {
                        label { "What it showed on the known source" input class="fig" name="reading" required pattern=(VOLTS) title=(VOLTS_WORDS) inputmode="decimal" autocomplete="off" data-pad="V mV"; }
                    } @else if !step.after.is_empty() {
                        label { "Read after the step" input class="fig" name="reading" required pattern=(VOLTS) title=(VOLTS_WORDS) inputmode="decimal" autocomplete="off" data-pad="V mV"; }
                    }
                    button class="main" name="done" value="yes" { @if step.kind == "open" { "Done, locked and tagged" } @else { "Done" } }
                },
            }
        }))
    }
}

/// A lock of a work area: the step, and who did it.
struct Lock<'c> {
    area: &'c str,
    step: &'c str,
    tick: &'c Ticked,
}

/// Steps that switch something off and are done, in any work area but one.
fn locks_elsewhere<'c>(case: &'c Opened, area: &str) -> Vec<Lock<'c>> {
    const NO_LOCK: [&str; 4] = ["tester ", "loads", "prove ", "wait"];
    let ticks = case.kept.ticks.iter().filter(|tick| tick.list == "dead" && tick.done);
    let locks = ticks.filter(|tick| !is_read_before(&tick.step)).filter_map(|tick| {
        let (of, step) = tick.step.split_once(OF)?;
        let is_lock = !NO_LOCK.iter().any(|none| step.starts_with(none));
        (of != area && is_lock).then_some(Lock { area: of, step, tick })
    });
    locks.collect()
}

/// Work areas in which something is locked, each once.
pub(crate) fn locked_areas(case: &Opened) -> Vec<&str> {
    let areas: std::collections::BTreeSet<&str> =
        locks_elsewhere(case, "").into_iter().map(|lock| lock.area).collect();
    areas.into_iter().collect()
}

/// Locks of other work areas: they are on whatever is worked on here.
fn other_locks(case: &Opened, area: &str) -> Markup {
    let locks = locks_elsewhere(case, area);
    html! { @if !locks.is_empty() {
        h3 { "Locks of other work areas" }
        ul class="rows" { @for lock in &locks { li {
            b { (lock.step) } span { "for " (lock.area) ", locked by " (lock.tick.said.who) ", " (moment(&lock.tick.said.at)) }
        } } }
    } }
}

/// For the next shift: who locked what, what was read, what comes next.
fn card(case: &Opened, area: &[String], plan: &DeadPlan, next: Option<usize>) -> Markup {
    let locks = plan.steps.iter().filter(|step| step.kind == "open");
    let locks: Vec<(&DeadStep, &Ticked)> =
        locks.filter_map(|step| Some((step, tick(case, area, step)?))).collect();
    html! {
        section class="card big" id="shift" {
            h2 { "For the next shift: " (area.join(", ")) }
            @if let Some(stopped) = &plan.stopped { p { b { "STOPPED at step " (stopped.step) ". " } "Nothing is dead." } }
            @else if let Some(next) = next { p { b { "Not dead. " } "Next is step " (next) " of " (plan.steps.len()) "." } }
            @else { p { "Every step done and read. Whoever takes over reads each point of work again, with a proved tester, before a tool goes in." } }
            @if locks.is_empty() { p class="quiet" { "No locks are on for " (area.join(", ")) "." } }
            ul class="rows" { @for (step, tick) in &locks { li {
                b { (step.what) } span { "locked by " (tick.said.who) ", " (moment(&tick.said.at))
                    @if let Some(reading) = &tick.reading { ", read " span class="fig" { (reading) } } }
            } } }
            (other_locks(case, &area.join(", ")))
            @if !plan.live_again_if.is_empty() {
                h3 { "Live again if" }
                ul { @for words in &plan.live_again_if { li { (words) } } }
            }
        }
    }
}

fn after(case: &Opened, plan: &DeadPlan) -> Markup {
    html! {
        details class="fold" { summary { "What stays live elsewhere, or may" } div {
            @for stays in &plan.stays {
                p { b { a href=(sheet_address(&case.id, &stays.source)) { (stays.label) } } }
                @if !stays.wires.is_empty() { p { "live: " (links(case, &stays.wires)) } }
                @if !stays.may_be.is_empty() { p { "may be live: " (links(case, &stays.may_be)) } }
            }
        } }
        details class="fold" { summary { "Switching on again" } div { ol { @for words in &plan.back { li { (words) } } } } }
        details class="fold" { summary { "What this rests on" } div {
            ul { @for words in &plan.rests_on { li { (words) } } @for words in &plan.sources { li class="quiet" { (words) } } }
        } }
    }
}
