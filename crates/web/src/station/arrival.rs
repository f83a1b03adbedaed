//! Arrival: the complaint in the owner's words, what was noticed, conditions, questions that are asked
//! first, the vehicle, photos, and what the owner agreed to.

use analysis::{ArrivalView, SymptomView};
use maud::{Markup, html};

use crate::look::{form, moment, photo};
use crate::serve::Opened;
use crate::station::{Station, agreed, noticed, triage, way_in};

/// Fields of the vehicle: key, label, help.
const FIELDS: [(&str, &str, &str); 5] = [
    ("name", "Name", ""),
    ("is", "What it is", "body, age, who converted it if known"),
    ("region", "Whose rules", ""),
    ("system", "House voltage", ""),
    ("seen", "Who sees it", "by whom and when: by RK on 2026-05-02"),
];

/// Whose rules there are.
const REGIONS: [&str; 3] = ["north america", "europe", "australia"];

/// House voltages.
const SYSTEMS: [&str; 2] = ["12 V", "24 V"];

pub(crate) fn page(case: &Opened) -> Markup {
    let view = case.study.case().arrival();
    let missing = missing(case);
    html! {
        div class="title" { h1 { "Arrival" } }
        (resume(case))
        (triage::warnings(case))
        (complaint(case, &view))
        (symptoms(case, &view))
        (triage::questions(case))
        div class="grid two" { (vehicle(case, &view)) (states(case, &view)) }
        (authority(case))
        (photo::card(case, None))
        section class="card" { h2 { "Still open here" }
            @if missing.is_empty() { p { "Nothing." } }
            ul { @for what in &missing { li { (what) } } }
        }
    }
}

/// What is still open at arrival.
pub(crate) fn missing(case: &Opened) -> Vec<String> {
    let view = case.study.case().arrival();
    let empty =
        |key: &str| view.fields.iter().any(|(known, value)| known == key && value.is_empty());
    let mut missing = Vec::new();
    let mut want = |is_missing: bool, words: &str| {
        if is_missing {
            missing.push(words.to_owned());
        }
    };
    want(empty("complaint"), "the complaint in the owner's words");
    want(empty("region"), "whose rules it is judged by");
    want(empty("system"), "the house voltage");
    want(view.symptoms.is_empty(), "what was noticed, with device, state and one word");
    want(!view.answers.iter().any(|(_, given)| *given), "how it began");
    want(agreed::count(case) == 0, "the owner's yes to opening, and to what may break");
    let now = view.symptoms.iter().filter(|symptom| !symptom.is_laid_aside);
    let weak = now.filter(|symptom| !is_weighed(symptom));
    missing.extend(weak.map(|symptom| format!("device, state and word of \"{}\"", symptom.words)));
    let questions = triage::open(case);
    if questions > 0 {
        missing.push(format!("{questions} of the questions that are asked first"));
    }
    missing
}

pub(crate) fn is_weighed(symptom: &SymptomView) -> bool {
    !symptom.device.is_empty() && !symptom.state.is_empty() && !symptom.shows.is_empty()
}

/// Where one was, after an interruption.
fn resume(case: &Opened) -> Markup {
    let ticked = case.kept.ticks.iter().rev().find(|tick| tick.done);
    let note = case.kept.notes.last();
    html! { @if let Some(last) = case.kept.last.as_ref().filter(|last| last.seq > 1) {
        section class="card big" aria-label="Go on where you were" {
            header { h2 { "Go on" } span class="quiet small" { "entry " span class="fig" { (last.seq) } ", " (moment::said(last)) } }
            @if let Some(tick) = ticked {
                p { "Last step done: " b { (tick.step) } " (" (tick.list) ")" }
                p { a class="button" href=(station_of(&tick.list).address(&case.id)) { "There" } }
            }
            @let out = way_in::out_now(case);
            @if !out.is_empty() { p { "Out of the vehicle now: " b { (out.join(", ")) } } }
            @if let Some(note) = note { p { "Last note: " (note.words) } }
        }
    } }
}

fn station_of(list: &str) -> Station {
    match list {
        "way-in" | "way-back" => Station::WayIn,
        "dead" => Station::Dead,
        "proof" => Station::Prove,
        "mend" => Station::PutRight,
        _ => Station::Arrival,
    }
}

fn complaint(case: &Opened, view: &ArrivalView) -> Markup {
    let was = value(view, "complaint");
    html! {
        section class="card big" id="complaint" {
            h2 { "Complaint" }
            (form::change(&case.id, "value", &here(case, "complaint"), &html! {
                (form::hidden("path", "vehicle.complaint"))
                (form::was(was))
                label { span class="out" { "In the owner's words" }
                    textarea class="grows" name="is" rows="3" placeholder="In the owner's words" { (was) } }
                button class="main" { "Keep" }
            }))
        }
    }
}

fn symptoms(case: &Opened, view: &ArrivalView) -> Markup {
    let back = here(case, "symptoms");
    html! {
        section class="card" id="symptoms" {
            header { h2 { "Noticed" } span class="count" { (view.symptoms.len()) } }
            @if view.symptoms.iter().any(|symptom| !is_weighed(symptom)) {
                p class="quiet" { "What is hatched is not known yet: touch it and answer. Only what has a device, a state and a word is weighed." }
            }
            (noticed::list(case, view, view.symptoms.iter(), &back))
            details class="fold" open[view.symptoms.is_empty()] { summary { "Add what was noticed" } div { (noticed::form(case, view, &back)) } }
            h3 { "How it began" }
            div class="buttons" { @for (answer, given) in &view.answers {
                @if *given { span class="button main" { (answer) span class="out" { ", answered" } } }
                @else { (form::change_line(&case.id, "line", &back, &html! {
                    (form::hidden("section", "history"))
                    (form::hidden("template", &format!("answers = [\"{answer}\"]")))
                    button { (answer) }
                })) }
            } }
        }
    }
}

fn vehicle(case: &Opened, view: &ArrivalView) -> Markup {
    html! {
        section class="card" id="vehicle" {
            h2 { "Vehicle" }
            @for (key, label, help) in FIELDS {
                @let was = value(view, key);
                (form::change_line(&case.id, "value", &here(case, "vehicle"), &html! {
                    (form::hidden("path", &format!("vehicle.{key}")))
                    (form::was(was))
                    span class="grow" { (field(key, label, help, was)) }
                    button { "Keep" }
                }))
            }
        }
    }
}

/// A field of the vehicle: chosen from a list where there is one.
fn field(key: &str, label: &str, help: &str, was: &str) -> Markup {
    match key {
        "region" => one_of(label, "not known", &REGIONS, was),
        "system" => one_of(label, "not known", &SYSTEMS, was),
        _ => form::words("is", label, help, was),
    }
}

/// One of a list, or what stands there although it is none of the list.
fn one_of(label: &str, none: &str, of: &[&str], was: &str) -> Markup {
    let other = (!was.is_empty() && !of.contains(&was)).then_some(was);
    html! {
        label { (label)
            select name="is" required {
                option value="" selected[was.is_empty()] { (none) }
                @for choice in of.iter().copied().chain(other) { option selected[choice == was] { (choice) } }
            }
        }
    }
}

fn states(case: &Opened, view: &ArrivalView) -> Markup {
    let engines = ["off", "running"].map(str::to_owned);
    let shores = ["unplugged", "plugged"].map(str::to_owned);
    html! {
        section class="card" id="states" {
            header { h2 { "Conditions" } span class="count" { (view.states.len()) } }
            ul class="rows" data-lines="states" { @for (name, words) in &view.states {
                li { b { (name) } span class="quiet" { (words) } }
            } }
            (noticed::usual_states(case, &here(case, "states")))
            details class="fold" { summary { "Add a state" } div {
                (form::change(&case.id, "line", &here(case, "states"), &html! {
                    (form::line_fields("states", "%name% = { engine = \"%engine%\", shore = \"%shore%\"(?, sun = \"%sun%\"?)(?, on = [\"%on*%\"]?)(?, charge = { house = \"%charge%\" }?) }"))
                    (form::words("name", "Name", "letters, digits, hyphens: night, driving, shore", ""))
                    div class="fields" {
                        (form::select_of("engine", "Engine", &engines, "off"))
                        (form::select_of("shore", "Shore lead", &shores, "unplugged"))
                        (form::suggested("sun", "Sun on the roof", "none unless written", ["800 W/m2", "300 W/m2"]))
                        (form::suggested("on", "What is on", "devices, with commas between; or all loads", ["all loads"]))
                        (form::suggested("charge", "House battery", "how full", ["100 %", "80 %", "50 %"]))
                    }
                    button class="main" { "Add" }
                }))
            } }
        }
    }
}

fn authority(case: &Opened) -> Markup {
    html! {
        section class="card" id="authority" {
            header { h2 { "What the owner agreed to" } span class="count" { (agreed::count(case)) } }
            (agreed::list(case))
            (agreed::form(case, &here(case, "authority"), &["open panels and furniture as needed", "break what has to be broken", "search for the fault"]))
        }
    }
}

/// The names of all things of a sort.
pub(crate) fn names(case: &Opened, sort: &str) -> Vec<String> {
    let all = case.study.case().item_names().into_iter();
    all.filter(|(of, ..)| *of == sort).map(|(_, name, _)| name).collect()
}

fn value<'v>(view: &'v ArrivalView, key: &str) -> &'v str {
    view.fields.iter().find(|(known, _)| known == key).map_or("", |(_, value)| value)
}

fn here(case: &Opened, at: &str) -> String {
    format!("{}#{at}", Station::Arrival.address(&case.id))
}
