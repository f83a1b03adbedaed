//! Make dead: how the vehicle is switched off, what stays live then and from where, and every
//! conductor in every state.

use analysis::{IsolationStep, LineUse, LivePath, LiveRow};
use maud::{Markup, html};

use crate::look::finding::{access, hazard, sheet_address};
use crate::look::form::Fields;
use crate::look::steps::{self, Stands};
use crate::look::{figure, tick};
use crate::serve::Opened;
use crate::station::{Station, dead_plan, found};

pub(crate) fn page(case: &Opened, asked: &Fields) -> Markup {
    let isolation = &case.study.handover().isolation;
    let is_done = |step: &IsolationStep| case.is_ticked("dead", &step.key);
    let next = isolation.steps.iter().position(|step| !is_done(step)).map(|place| place + 1);
    html! {
        div class="title" { h1 { "Make dead" } }
        (hazard("DANGER", &html! {
            ul { @for caution in &case.study.review().cautions { li { (caution) } } }
        }))
        (dead_plan::section(case, asked))
        @if !dead_plan::is_of_everything(case, asked) {
            section class="card big" id="card" {
                header { h2 { "Switch the whole vehicle off" } span class="count" { (isolation.steps.len()) } }
                p class="quiet" { "A step is done when its points were measured with a tester that was proved before and after it." }
                ol class="steps" { @for (number, step) in (1..).zip(&isolation.steps) {
                    (one_step(case, (number, step), Stands::of(number, is_done(step), next)))
                } }
                @if isolation.steps.is_empty() { p { "Nothing that cuts a source off is recorded. That does not make anything dead." } }
            }
        }
        (stays(case))
        (states(case, asked))
    }
}

fn one_step(case: &Opened, (number, step): (usize, &IsolationStep), stands: Stands) -> Markup {
    let words = of_kind(&step.kind);
    let back = format!("{}#step-{number}", Station::Dead.address(&case.id));
    let line = html! {
        span class="grow" { (words) @if !step.device.is_empty() { " " b { (step.label) } }
            @if !step.at.is_empty() { span class="quiet" { ", " (step.at) } } }
    };
    steps::step(
        &format!("step-{number}"),
        number,
        stands,
        &line,
        &html! {
            // All loads are no one place to get to.
            @if !step.device.is_empty() { p class="pair" {
                a class="in" href=(sheet_address(&case.id, &step.device)) { (step.device) } (access(step.access.as_ref()))
            } }
            @if !step.prove.is_empty() {
                p { b { "Prove there: " } span class="fig" { (step.prove.join(", ")) } }
            }
            (if step.prove.is_empty() { tick::form(case, &tick::Step {
                list: "dead", step: &step.key, done: "Done", undone: "Not so after all", reading: None, pad: "", back: &back,
            }) } else { proved(case, step, &back) })
        },
    )
}

fn of_kind(kind: &str) -> &'static str {
    match kind {
        "engine" => "Stop the engine, key out:",
        "shore" => "Unplug the shore lead and lock its plug away:",
        "loads" => "Switch off every load",
        "inverter" => "Switch off, at itself:",
        "generator" => "Stop the generator:",
        "outside" => "Switch off, unplug, take out of the vehicle:",
        "fuse" => "Take out the fuse:",
        "plug" => "Pull the plug:",
        "battery" => "Take the lugs off the minus post, insulate, tie back:",
        "lug" => "Take off the lug, insulate, tie back:",
        "capacitors" => "Let the input capacitors run empty, by the meter:",
        "cover" => "Cover the solar module; by daylight it is live whatever is switched off:",
        _ => "Open the switch:",
    }
}

/// A dead test: the tester on a known source, the points, the tester again; a field for each.
fn proved(case: &Opened, step: &IsolationStep, back: &str) -> Markup {
    tick::sequence(
        case,
        &tick::Step {
            list: "dead",
            step: &step.key,
            done: "Off and proved",
            undone: "Not so after all",
            reading: None,
            pad: "V mV",
            back,
        },
    )
}

fn stays(case: &Opened) -> Markup {
    let isolation = &case.study.handover().isolation;
    html! {
        section class="card" id="stays" {
            h2 { "Live all the same, when all of it is done" }
            @if isolation.stays.is_empty() { p { "By the record no source reaches a wire then. Prove it; what was not seen was not judged." } }
            @for stay in &isolation.stays {
                (hazard("WARNING", &html! {
                    p { b { a href=(sheet_address(&case.id, &stay.source)) { (stay.label) } } @if !stay.at.is_empty() { ", " (stay.at) } }
                    @if !stay.wires.is_empty() { p { "live: " (links(case, &stay.wires)) } }
                    @if !stay.may_be.is_empty() { p { "may be live: " (links(case, &stay.may_be)) } }
                }))
            }
            @if !isolation.not_reached.is_empty() {
                details class="fold" { summary { "Not reached by any known source (" (isolation.not_reached.len()) ")" } div {
                    p { "Not reached is not dead. Prove each where you work." }
                    p { (links(case, &isolation.not_reached)) }
                } }
            }
        }
    }
}

/// Names as links to their sheets.
pub(crate) fn links(case: &Opened, names: &[String]) -> Markup {
    html! { span class="pair" { @for name in names { a class="in fig" href=(sheet_address(&case.id, name)) { (name) } } } }
}

fn states(case: &Opened, asked: &Fields) -> Markup {
    let states = case.study.case().state_names();
    let chosen = asked.get("state").filter(|name| states.contains(name));
    let chosen = chosen.or_else(|| states.first().cloned()).unwrap_or_default();
    let here = Station::Dead.address(&case.id);
    let rows: Vec<&LiveRow> =
        case.study.review().live.iter().filter(|row| row.state == chosen).collect();
    let words = case.study.review().states.iter().find(|state| state.name == chosen);
    html! {
        section class="card" id="map" {
            h2 { "What is live, state by state" }
            form class="line" method="get" action={ (here) "#map" } {
                div class="buttons" { @for name in &states {
                    button name="state" value=(name) class=[(*name == chosen).then_some("main")]
                        aria-pressed=((*name == chosen).to_string()) { (name) }
                } }
            }
            @if let Some(state) = words { p { (state.words) } }
            (figure::drawing(&found::drawing_address(case, &format!("wiring-state-{chosen}")), &format!("Wiring in state {chosen}"), &[], &found::near(case)))
            @for (status, title) in [
                (LineUse::Live, "Live"), (LineUse::MayBeLive, "May be live: it cannot be ruled out"),
                (LineUse::NotReached, "Not reached by a known source: prove it"), (LineUse::Return, "Joined to a return"),
            ] {
                @let of: Vec<&&LiveRow> = rows.iter().filter(|row| row.status == status).collect();
                @if !of.is_empty() {
                    details class="fold" open[status == LineUse::Live && of.len() <= 12] {
                        summary { (title) " (" (of.len()) ")" }
                        div { ul class="rows" { @for row in of { (live_row(case, row)) } } }
                    }
                }
            }
        }
    }
}

fn live_row(case: &Opened, row: &LiveRow) -> Markup {
    html! {
        li { a class="in fig" href=(sheet_address(&case.id, &row.wire)) { (row.wire) }
            @for path in &row.from { (way(path)) } }
    }
}

fn way(path: &LivePath) -> Markup {
    html! { span { "from " b { (path.source) } " " span class="quiet small" { (path.path.join(" → ")) }
    @if !path.doubt.is_empty() { " " span class="tag" { (path.doubt) } } } }
}
