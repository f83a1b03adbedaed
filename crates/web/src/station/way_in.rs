//! Way in: what comes out, in order, with tools, minutes and what may break; and the way back.

use analysis::{FixingView, Opening, OpeningStep, PutBack, Ready};
use maud::{Markup, html};

use crate::look::finding::{access, encoded, hazard, sheet_address};
use crate::look::form::Fields;
use crate::look::{figure, tick};
use crate::serve::Opened;
use crate::station::Station;
use crate::station::suspects::minutes;

/// Most targets that one way in is asked for.
const MOST: usize = 12;

pub(crate) fn page(case: &Opened, asked: &Fields) -> Markup {
    let targets = targets(case, asked);
    let opening = case.study.way_in(&targets);
    html! {
        div class="title" { h1 { "Way in" } }
        (ask(case, &targets))
        (unknown(case, asked))
        (still_out(case, &opening, &targets))
        @if targets.is_empty() { section class="card" { p { "Say what has to be reached." } } }
        @else {
            (summary(case, &opening))
            (ready(&opening.ready))
            (steps(case, &opening, &targets))
            (drawings(case, &opening, &targets))
            (back(case, &opening, &targets))
            (worth(case, &opening, &targets))
        }
    }
}

/// What is asked for: by address; else what the next check or repair wants; else what a finding wants.
fn targets(case: &Opened, asked: &Fields) -> Vec<String> {
    let known = case.study.case().item_names();
    let is_known = |name: &String| known.iter().any(|(_, known, _)| known == name);
    if let Some(to) = asked.get("to") {
        return to
            .split(',')
            .map(|name| name.trim().to_owned())
            .filter(is_known)
            .take(MOST)
            .collect();
    }
    let advice = case.as_it_stands().advice().map(|advice| &advice.next);
    let open = advice.and_then(|next| {
        let check = next.check.as_ref().map(|card| card.open.clone());
        check.or_else(|| next.repair.as_ref().map(|card| card.open.clone()))
    });
    if let Some(open) = open.filter(|open| !open.is_empty()) {
        return open.into_iter().filter(is_known).take(MOST).collect();
    }
    let findings = case.study.review().findings.iter();
    let wanted =
        findings.filter(|of| of.access.as_ref().is_some_and(|cost| cost.minutes_out > 0.0));
    let name = |name: &str| name.strip_prefix("wire ").unwrap_or(name).to_owned();
    wanted.map(|of| name(&of.place.name)).filter(is_known).take(1).collect()
}

/// What was asked for and is no thing of the record.
fn unknown(case: &Opened, asked: &Fields) -> Markup {
    let known = case.study.case().item_names();
    let to = asked.get("to").unwrap_or_default();
    let names = to.split(',').map(str::trim).filter(|name| !name.is_empty());
    let unknown: Vec<&str> =
        names.filter(|name| !known.iter().any(|(_, known, _)| known == name)).collect();
    html! { @if !unknown.is_empty() {
        (hazard("NOTICE", &html! { p { "The record has no device, wire, part or spot " b { (unknown.join(", ")) } ": left out of the way in." } }))
    } }
}

fn ask(case: &Opened, targets: &[String]) -> Markup {
    let all = case.study.case().item_names();
    html! {
        form class="line card" method="get" action=(Station::WayIn.address(&case.id)) {
            label class="grow" { "To reach" small { "several with commas between" }
                input name="to" list="all-items" value=(targets.join(", ")) autocomplete="off" autocapitalize="off" spellcheck="false";
            }
            datalist id="all-items" { @for (_, name, label) in &all { option value=(name) { (label) } } }
            button class="main" { "Way in" }
        }
    }
}

fn summary(case: &Opened, opening: &Opening) -> Markup {
    html! {
        section class="card big" {
            ul class="rows" { @for target in &opening.targets { li {
                div class="pair" { b { a href=(sheet_address(&case.id, &target.target)) { (target.label) } } span class="tag" { (target.outcome) } }
                @if !target.words.is_empty() && target.words != target.outcome { span { (target.words) } }
            } } }
            @if opening.cost.is_some() {
                p { (access(opening.cost.as_ref())) }
                p class="pair" {
                    @if let Some(half) = opening.minutes_p50 { span { "half of the times within " span class="fig" { (minutes(half)) } } }
                    @if let Some(most) = opening.minutes_p80 { span { "8 of 10 times within " span class="fig" { (minutes(most)) } } }
                    span class="quiet" { (opening.proof) }
                }
            }
        }
    }
}

fn ready(ready: &[Ready]) -> Markup {
    html! { @if !ready.is_empty() {
        section class="card" { h2 { "Have ready" }
            ul class="rows" { @for of in ready { li {
                span { (of.kind) ": " b { (of.name) } " " span class="quiet small" { "steps " (of.steps.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")) } }
            } } }
        }
    } }
}

fn steps(case: &Opened, opening: &Opening, targets: &[String]) -> Markup {
    html! { @if !opening.steps.is_empty() {
        section class="grid" id="steps" {
            h2 { "Out, in this order" }
            (hazard("CAUTION", &html! { "Make the place dead and prove it before a tool goes in; screws may bite into wires nobody has seen." }))
            ol class="steps" { @for step in &opening.steps { (one(case, step, targets)) } }
        }
    } }
}

fn one(case: &Opened, step: &OpeningStep, targets: &[String]) -> Markup {
    let is_done = case.is_ticked("way-in", &step.part);
    let here = format!("{}#out-{}", here(case, targets), step.number);
    html! {
        li class={ "step" @if is_done { " ticked" } } id={ "out-" (step.number) } {
            span class="no" { (step.number) }
            div class="what" {
                h3 { a href=(sheet_address(&case.id, &step.part)) { (step.label) } }
                p { (step.how) @if !step.how.is_empty() { ". " } (fixings(&step.fixings)) }
                p class="pair" {
                    span { "Tools: " @if step.tools.is_empty() { "by hand" } @else { b { (step.tools.join(", ")) } } }
                    span class="fig" { (minutes(step.minutes_out)) }
                    span class="quiet small" { (step.minutes_from) }
                    @if !step.position.is_empty() { span { (step.position) } }
                    @if step.people > 1 { span class="tag" { (step.people) " people" } " " (step.people_because) }
                    @if let Some(bag) = step.bag { span class="tag" { "bag " (bag) } }
                }
                @if !step.damage.is_empty() { p { (step.damage) } }
                p class="quiet small" { (step.because) @if !step.otherwise.is_empty() { ". Without it: " (step.otherwise) } }
                (tick::form(case, &tick::Step {
                    list: "way-in", step: &step.part, done: "Out", undone: "Still in", reading: None, pad: "", back: &here,
                }))
                details { summary class="small" { "Photo before it comes off" } (crate::look::photo::form(case, Some(&step.part))) }
            }
        }
    }
}

fn fixings(fixings: &[FixingView]) -> Markup {
    let words: Vec<&str> = fixings.iter().map(|fixing| fixing.words.as_str()).collect();
    html! { @if !words.is_empty() { "Undo " b { (words.join(", ")) } "." } }
}

fn drawings(case: &Opened, opening: &Opening, targets: &[String]) -> Markup {
    html! {
        details class="fold" { summary { "Drawn" } div {
            @for (number, picture) in (1..).zip(depict::way_in(case.study.case(), opening)) {
                (figure::drawing(&format!("/case/{}/drawing/way-in-{number}.svg?to={}", case.id, encoded(&targets.join(","))), &picture.title, &[], targets))
            }
        } }
    }
}

fn back(case: &Opened, opening: &Opening, targets: &[String]) -> Markup {
    html! { @if !opening.back.is_empty() {
        details class="fold" id="back" { summary { "Way back (" (opening.back.len()) " steps)" } div {
            @if !opening.supplies.is_empty() {
                p { b { "Have new: " } (opening.supplies.iter().map(|of| of.words.clone()).collect::<Vec<_>>().join("; ")) }
            }
            ol class="steps" { @for (number, step) in (1..).zip(&opening.back) { (put_back(case, number, step, targets)) } }
        } }
    } }
}

/// What is out and not on the way back that is shown: how it goes back in.
fn still_out(case: &Opened, opening: &Opening, targets: &[String]) -> Markup {
    let mut out = out_now(case);
    out.retain(|part| opening.back.iter().all(|step| step.part != *part));
    if out.is_empty() {
        return html! {};
    }
    let known = case.study.case().item_names();
    let is_known = |part: &&String| known.iter().any(|(_, name, _)| name == *part);
    let way = case.study.way_in(&out.iter().filter(is_known).cloned().collect::<Vec<_>>());
    let back = way.back.iter().chain(&way.already_out);
    let mut back: Vec<PutBack> = back.filter(|step| out.contains(&step.part)).cloned().collect();
    // Of a part that the record knows no more, or no way back of, the name is left.
    out.retain(|part| back.iter().all(|step| step.part != *part));
    back.extend(out.into_iter().map(|part| PutBack {
        label: part.clone(),
        part,
        ..PutBack::default()
    }));
    html! {
        details class="fold" id="still-out" { summary { "Still out, to go back in (" (back.len()) ")" } div {
            ol class="steps" { @for (number, step) in (1..).zip(&back) { (put_back(case, number, step, targets)) } }
        } }
    }
}

fn put_back(case: &Opened, number: usize, step: &PutBack, targets: &[String]) -> Markup {
    let torques = step.fixings.iter().filter(|fixing| !fixing.torque.is_empty());
    let is_done = case.is_ticked("way-back", &step.part);
    html! {
        li class={ "step" @if is_done { " ticked" } } id={ "back-" (number) } {
            span class="no" { (number) }
            div class="what" {
                h3 { (step.label) }
                p { @if let Some(bag) = step.bag { span class="tag" { "bag " (bag) } " " }
                    (step.fixings.iter().map(|of| of.words.clone()).collect::<Vec<_>>().join(", ")) }
                @for fixing in torques { p { (fixing.words) " to " b class="fig" { (fixing.torque) } } }
                @if !step.tools.is_empty() { p { "Tools: " b { (step.tools.join(", ")) } } }
                @if !step.new.is_empty() { p { "New: " b { (step.new.join(", ")) } } }
                p { span class="fig" { (minutes(step.minutes)) } }
                (tick::form(case, &tick::Step {
                    list: "way-back", step: &step.part, done: "Back in", undone: "Not yet", reading: None,
                    pad: "", back: &format!("{}#back-{number}", here(case, targets)),
                }))
            }
        }
    }
}

/// What else is worth doing while it is open.
fn worth(case: &Opened, opening: &Opening, targets: &[String]) -> Markup {
    let further = targets.iter().filter_map(|name| case.study.case().while_open(name)).flatten();
    let mut further: Vec<_> = further.collect();
    // Each where it asks for least; what comes out anyway is no more to take out.
    further.sort_by(|a, b| a.extra_minutes.total_cmp(&b.extra_minutes));
    let mut seen = std::collections::BTreeSet::new();
    further.retain(|of| seen.insert(of.item.clone()));
    for of in &mut further {
        of.comes_out.retain(|part| opening.steps.iter().all(|step| step.part != *part));
    }
    further.truncate(8);
    let all = case.study.case().item_names();
    let label = |name: &str| {
        let known = all.iter().find(|(_, known, _)| known == name);
        known.map_or_else(|| name.to_owned(), |(_, _, label)| label.clone())
    };
    html! { @if !further.is_empty() {
        section class="card" { h2 { "Worth doing while it is open" }
            ul class="rows" { @for of in &further { li {
                div class="pair" { b { a href=(sheet_address(&case.id, &of.item)) { (label(&of.item)) } } span { (of.service) } }
                span class="quiet small" { span class="fig" { (minutes(of.extra_minutes)) } " more now, " span class="fig" { (minutes(of.alone_minutes)) } " on its own"
                    @if !of.comes_out.is_empty() { "; also out: " (of.comes_out.join(", ")) } }
            } } }
        }
    } }
}

/// What is out of the vehicle now: by the record, or ticked out and not back in.
pub(crate) fn out_now(case: &Opened) -> Vec<String> {
    let openings = case.study.handover().openings.iter().filter(|opening| opening.is_out);
    let mut out: Vec<String> = openings.map(|opening| opening.part.clone()).collect();
    let ticked = case.kept.ticks.iter().filter(|tick| tick.list == "way-in" && tick.done);
    out.extend(ticked.map(|tick| tick.step.clone()));
    out.retain(|part| !case.is_ticked("way-back", part));
    out.sort();
    out.dedup();
    out
}

fn here(case: &Opened, targets: &[String]) -> String {
    let to = crate::look::finding::encoded(&targets.join(","));
    format!("{}?to={to}", Station::WayIn.address(&case.id))
}
