//! Put right: what fails with what to do about it, what the record proposes, and what it would change.

use analysis::FindingView;
use maud::{Markup, html};

use crate::look::finding::finding;
use crate::look::{form, tick};
use crate::serve::Opened;
use crate::station::{Station, arrival, price_card};
use crate::study::Study;

pub(crate) fn page(case: &Opened) -> Markup {
    let findings = &case.study.review().findings;
    let is_open = |of: &&FindingView| !case.is_ticked("mend", &key(of));
    html! {
        div class="title" { h1 { "Put right" }
            p class="quiet" { (findings.iter().filter(is_open).count()) " of " (findings.len()) " findings open" }
        }
        (mends(case))
        section class="card" id="findings" {
            h2 { "Findings, worst first" }
            @if findings.is_empty() { p { "By what is recorded nothing fails. What was not seen was not judged." } }
            @for (number, of) in (1..).zip(findings) {
                (finding(&case.id, number, of))
                (tick::form(case, &tick::Step {
                    list: "mend", step: &key(of), done: "Put right", undone: "Not so after all", reading: None,
                    back: &format!("{}#finding-{number}", Station::PutRight.address(&case.id)),
                }))
            }
        }
        (price_card::card(case))
        section class="card" { h2 { "Agreed" }
            @for given in &case.kept.authorities { p { @if given.authority.given { "Yes: " } @else { "No: " } (given.authority.to) ", " (given.authority.by) } }
            @if case.kept.authorities.is_empty() { p { "Nothing is recorded yet." } }
            (arrival::authority_form(case, &Station::PutRight.address(&case.id), &["end the dangers found", "fix the complaint", "put right what was found"]))
        }
    }
}

/// A finding as a step: the same as long as check and place are.
pub(crate) fn key(of: &FindingView) -> String {
    format!("{}, {}", of.title, of.place.name)
}

/// What the record proposes, with the findings before and after.
fn mends(case: &Opened) -> Markup {
    let mends = &case.study.handover().mends;
    html! {
        section class="card big" id="mends" {
            header { h2 { "Mends" } span class="count" { (mends.len()) } }
            @if mends.is_empty() { p { "None is written yet. A mend changes values of the record; what comes of it is computed before anybody picks up a tool." } }
            ul class="rows" { @for mend in mends { li { b class="fig" { (mend.name) } span { (mend.words) } } } }
            @if let Some(after) = case.study.mended() { (compared(&case.study, after)) }
            details class="fold" { summary { "Propose a mend" } div {
                (form::change(&case.id, "line", &format!("{}#mends", Station::PutRight.address(&case.id)), &html! {
                    (form::line_fields("mends", "%name% = { words = \"%words%\", sets = { \"%path%\" = \"%is%\" } }"))
                    (form::words("name", "Name", "letters, digits, hyphens", ""))
                    (form::words("words", "What is done", "", ""))
                    (form::words("path", "Which value", "wires.w12, devices.fridge-fuse.rated, joints.c3 at bracket", ""))
                    (form::words("is", "What it will be", "the whole line or the value", ""))
                    button class="main" { "Propose" }
                }))
            } }
        }
    }
}

fn compared(before: &Study, after: &Study) -> Markup {
    let (before, after) = (&before.review().findings, &after.review().findings);
    let gone: Vec<_> =
        before.iter().filter(|of| !after.iter().any(|other| key(other) == key(of))).collect();
    let new: Vec<_> =
        after.iter().filter(|of| !before.iter().any(|other| key(other) == key(of))).collect();
    html! {
        dl class="facts" {
            div { dt { "Fails now" } dd class="fig" { (before.len()) } }
            div { dt { "Fails with the mends" } dd class="fig" { (after.len()) } }
        }
        @if !gone.is_empty() { h3 { "Goes away" } ul { @for of in gone { li { (key(of)) } } } }
        @if !new.is_empty() { h3 { "Comes up" } ul { @for of in new { li { b { (of.signal) ": " } (of.message) } } } }
    }
}
