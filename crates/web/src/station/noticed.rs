//! What was noticed: every symptom with what is still to be said of it (which device, in which state,
//! what it shows), each in a touch or two, and the form for another one.

use analysis::{ArrivalView, SymptomView};
use maud::{Markup, html};

use crate::look::form;
use crate::serve::Opened;
use crate::station::{Station, arrival, forms};

/// Most devices that are one touch away.
const MOST_NEAR: usize = 6;

/// Shortest piece of a name that is looked for in somebody's words.
const LEAST_LETTERS: usize = 3;

/// Usual states of a van, for who has none yet: name, words, line.
const STATES: [(&str, &str, &str); 4] = [
    ("rest", "Parked, engine off", "{ engine = \"off\", shore = \"unplugged\" }"),
    (
        "evening",
        "Parked, all loads on",
        "{ engine = \"off\", shore = \"unplugged\", on = [\"all loads\"] }",
    ),
    ("driving", "Engine running", "{ engine = \"running\", shore = \"unplugged\" }"),
    ("shore", "On shore power", "{ engine = \"off\", shore = \"plugged\" }"),
];

/// What is said of a symptom.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Said {
    Device,
    State,
    Shows,
}

impl Said {
    const ALL: [Said; 3] = [Said::Device, Said::State, Said::Shows];

    fn key(self) -> &'static str {
        match self {
            Said::Device => "device",
            Said::State => "state",
            Said::Shows => "shows",
        }
    }

    fn asked(self) -> &'static str {
        match self {
            Said::Device => "Which device?",
            Said::State => "In which state?",
            Said::Shows => "What does it show?",
        }
    }

    fn of(self, symptom: &SymptomView) -> &str {
        match self {
            Said::Device => &symptom.device,
            Said::State => &symptom.state,
            Said::Shows => &symptom.shows,
        }
    }
}

/// Symptoms; what is not said of one is asked where it stands.
pub(crate) fn list<'s>(
    case: &Opened,
    view: &ArrivalView,
    symptoms: impl Iterator<Item = &'s SymptomView>,
    back: &str,
) -> Markup {
    html! {
        ul class="rows" data-lines="symptoms" { @for symptom in symptoms { li data-key=(symptom.name) {
            span { (symptom.words) }
            div class="answers" { @for said in Said::ALL { (answer(case, view, symptom, said, back)) }
                @if !symptom.origin.is_empty() { span class="origin" { (symptom.origin) } }
                @if symptom.is_laid_aside { span class="tag" { "before a repair, no longer weighed" } } }
        } } }
    }
}

/// One piece of a symptom: what is known of it, or that it is asked; a touch opens the choices.
fn answer(
    case: &Opened,
    view: &ArrivalView,
    symptom: &SymptomView,
    said: Said,
    back: &str,
) -> Markup {
    let known = said.of(symptom);
    html! {
        details data-key=(said.key()) data-state=(known) {
            summary class=(if known.is_empty() { "unknown" } else { "tag" }) {
                @if known.is_empty() { (said.asked()) } @else { (known) span class="out" { ": change it" } }
            }
            div class="grid" { @match said {
                Said::Device => (devices(case, symptom, back)),
                Said::State => (states(case, view, symptom, back)),
                Said::Shows => (shows(case, symptom, back)),
            } }
        }
    }
}

/// A form that says one thing of a symptom. `template` is what is written; `fields` give `is`.
fn says(
    case: &Opened,
    symptom: &SymptomView,
    said: Said,
    back: &str,
    (template, fields): (&str, &Markup),
) -> Markup {
    let written = |path: &[&str]| case.study.case().written_value(path);
    let whole = written(&["symptoms", &symptom.name]);
    let name = forms::key(&symptom.name);
    // Words alone have no place for more: they are taken out, and stand again with what is said.
    if whole.as_ref().is_some_and(|whole| *whole == symptom.words) {
        let line = format!("{name} = {{ words = \"%words%\", {} = \"{template}\" }}", said.key());
        return form::change(
            &case.id,
            "instead",
            back,
            &html! {
                (form::hidden("path", &format!("symptoms.{name}"))) (form::was(&symptom.words))
                (form::line_fields("symptoms", &line)) (form::hidden("words", &symptom.words))
                (fields)
            },
        );
    }
    let was = written(&["symptoms", &symptom.name, said.key()]).unwrap_or_default();
    form::change(
        &case.id,
        "value",
        back,
        &html! {
            (form::hidden("path", &format!("symptoms.{name}.{}", said.key()))) (form::was(&was))
            (form::hidden("template", template))
            (fields)
        },
    )
}

fn devices(case: &Opened, symptom: &SymptomView, back: &str) -> Markup {
    let all = arrival::names(case, "device");
    let near = near(case, &symptom.words);
    html! {
        @if all.is_empty() { p { "No device is recorded yet. " a class="in" href={ (Station::Found.address(&case.id)) "#forms" } { "Add it at As found" } } }
        @else {
            (says(case, symptom, Said::Device, back, ("%is%", &html! { div class="buttons" {
                @for name in &near { button name="is" value=(name) aria-pressed=((*name == symptom.device).to_string()) { (name) } }
            } })))
            @if all.len() > near.len() { (says(case, symptom, Said::Device, back, ("%is%", &html! { div class="buttons" {
                label class="grow" { span class="out" { "Another device" }
                    select name="is" required { option value="" { "another device" } @for name in &all { option { (name) } } } }
                button { "Keep" }
            } }))) }
        }
    }
}

fn states(case: &Opened, view: &ArrivalView, symptom: &SymptomView, back: &str) -> Markup {
    html! {
        @if view.states.is_empty() { (usual_states(case, back)) }
        @else { (says(case, symptom, Said::State, back, ("%is%", &html! { div class="buttons" {
            @for (name, words) in &view.states {
                button name="is" value=(name) title=(words) aria-pressed=((*name == symptom.state).to_string()) { (name) }
            }
        } }))) }
    }
}

fn shows(case: &Opened, symptom: &SymptomView, back: &str) -> Markup {
    says(
        case,
        symptom,
        Said::Shows,
        back,
        (
            "%by% %is%",
            &html! {
                (form::choice("by", "Who says so", &[("told", "the owner"), ("seen", "I saw it")]))
                div class="buttons" { @for word in analysis::symptom_words() {
                    button name="is" value=(word) aria-pressed=((word == symptom.shows).to_string()) { (word) }
                } }
            },
        ),
    )
}

/// Devices that somebody's words name, then those that were named already; at most a handful.
fn near(case: &Opened, words: &str) -> Vec<String> {
    let view = case.study.case().arrival();
    let complaint = view.fields.iter().find(|(key, _)| key == "complaint");
    let heard = format!("{words} {}", complaint.map_or("", |(_, words)| words)).to_lowercase();
    let all = case.study.case().item_names();
    let devices = || all.iter().filter(|(sort, ..)| *sort == "device");
    let is_heard = |name: &str| name.len() >= LEAST_LETTERS && heard.contains(&name.to_lowercase());
    let whole = devices().filter(|(_, name, label)| is_heard(name) || is_heard(label));
    let told = view.symptoms.iter().map(|symptom| &symptom.device).filter(|name| !name.is_empty());
    let pieces = devices().filter(|(_, name, _)| name.split('-').any(is_heard));
    let mut near: Vec<String> = Vec::new();
    let ranked = whole.map(|(_, name, _)| name).chain(told).chain(pieces.map(|(_, name, _)| name));
    for name in ranked.chain(devices().map(|(_, name, _)| name)) {
        if near.len() < MOST_NEAR && !near.contains(name) {
            near.push(name.clone());
        }
    }
    near
}

/// States that a van usually has, one touch each; those that are there are left out.
pub(crate) fn usual_states(case: &Opened, back: &str) -> Markup {
    let known = case.study.case().arrival().states;
    let missing: Vec<_> =
        STATES.iter().filter(|(name, ..)| !known.iter().any(|(known, _)| known == name)).collect();
    html! { @if !missing.is_empty() {
        p class="quiet" { @if known.is_empty() { "No state is written down yet. " } "Add one in a touch:" }
        div class="buttons" { @for (name, words, line) in missing {
            (form::change_line(&case.id, "line", back, &html! {
                (form::hidden("section", "states")) (form::hidden("text", &format!("{name} = {line}")))
                button { (words) }
            }))
        } }
    } }
}

/// What was complained of before a repair, each with the words for what it does now.
pub(crate) fn now(case: &Opened, symptoms: &[&SymptomView], back: &str) -> Markup {
    let mut asked = std::collections::BTreeSet::new();
    let each = symptoms.iter().filter(|of| !of.device.is_empty() && !of.state.is_empty());
    let each: Vec<_> = each.filter(|of| asked.insert((&of.device, &of.state))).collect();
    html! { ul class="rows" { @for of in each { li {
        span { b { (of.device) } " in " (of.state) span class="quiet" { ", before: " (of.words) } }
        (form::change_line(&case.id, "line", back, &html! {
            (form::line_fields("symptoms", &format!("%name% = {{ words = \"now: %is%\", device = \"{}\", state = \"{}\", shows = \"seen %is%\" }}", of.device, of.state)))
            div class="buttons" { @for word in analysis::symptom_words() { button name="is" value=(word) { (word) } } }
        }))
    } } } }
}

/// The form for something that was noticed.
pub(crate) fn form(case: &Opened, view: &ArrivalView, back: &str) -> Markup {
    let devices = arrival::names(case, "device");
    let states: Vec<String> = view.states.iter().map(|(name, _)| name.clone()).collect();
    let words: Vec<String> = analysis::symptom_words().map(ToOwned::to_owned).collect();
    form::change(
        &case.id,
        "line",
        back,
        &html! {
            (form::line_fields("symptoms", "%name% = { words = \"%words%\"(?, device = \"%device%\"?)(?, state = \"%state%\"?)(?, shows = \"%by% %shows%\"?) }"))
            label { "In words" small { "as the owner says it, or as you saw it" }
                textarea name="words" rows="1" required autocomplete="off" data-one-line="" {} }
            div class="fields" {
                (form::suggested("device", "Which device", "leave empty if not known", devices.iter().map(String::as_str)))
                (form::select("state", "In which state", &states))
                (form::select("shows", "In one word", &words))
            }
            (form::choice("by", "Who says so", &[("told", "the owner"), ("seen", "I saw it")]))
            button class="main" { "Add" }
        },
    )
}
