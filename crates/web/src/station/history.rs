//! The history of a case: who changed what and when, what can be taken back, and where two people said
//! different things.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use store::{Change, Conflict, HistoryRow, Said};

use crate::look::frame::{self, Frame};
use crate::look::viewer::Viewer;
use crate::look::{form, moment};
use crate::serve::{AppState, Opened};
use crate::station::of_case;

/// Entries shown at once.
const SHOWN: usize = 200;

pub(crate) async fn page(
    State(state): State<AppState>,
    viewer: Viewer,
    Path(id): Path<String>,
) -> Response {
    let journal = state.clone();
    of_case(state, id, viewer, move |case, viewer| {
        let entries = match journal.entries(&case.id) {
            Ok(entries) => entries,
            Err(problem) => return problem.into_response(),
        };
        let here = format!("/case/{}/history", case.id);
        let body = html! {
            div class="title" { h1 { "History" } p class="quiet" { (entries.len()) @if entries.len() == 1 { " entry. " } @else { " entries. " } "Nothing is ever taken out of the journal: what is undone stays in it." } }
            (conflicts(case, &here))
            (journalled(case, &entries, &here))
        };
        let frame =
            Frame { title: "History", viewer, case: Some(case), station: None};
        frame::page(&frame, &body).into_response()
    })
    .await
}

fn conflicts(case: &Opened, here: &str) -> Markup {
    html! { @if !case.kept.conflicts.is_empty() {
        section class="card big" id="conflicts" { header { h2 { "Two say different things" } span class="count" { (case.kept.conflicts.len()) } }
            p { "What stood first stands until somebody chooses." }
            @for conflict in &case.kept.conflicts { (choice(case, conflict, here)) }
        }
    } }
}

fn choice(case: &Opened, of: &Conflict, here: &str) -> Markup {
    let fields =
        html! { (form::hidden("entry", &of.entry)) (form::hidden("place", &of.place.to_string())) };
    let said = |said: Option<&Said>| match said {
        Some(said) => moment::said(said),
        None => "from the first text".to_owned(),
    };
    html! {
        article class="card" {
            h3 class="fig" { (of.what) }
            div class="grid two" {
                div class="grid" { p class="quiet small" { "Stands: " (said(of.present_said.as_ref())) }
                    pre { (of.present.as_deref().unwrap_or("taken out")) }
                    (form::change(&case.id, "choose", here, &html! { (fields) button name="keep" value="present" { "Keep this" } })) }
                div class="grid" { p class="quiet small" { "The other: " (said(Some(&of.other_said))) }
                    pre { (of.other.as_deref().unwrap_or("taken out")) }
                    (form::change(&case.id, "choose", here, &html! { (fields) button name="keep" value="other" { "Keep this" } })) }
            }
        }
    }
}

fn journalled(case: &Opened, entries: &[HistoryRow], here: &str) -> Markup {
    let number = |id: &str| entries.iter().find(|row| row.entry.id == id).map(|row| row.entry.seq);
    html! {
        ol class="steps" reversed { @for HistoryRow { entry, undone, .. } in entries.iter().rev().take(SHOWN) {
            li class="step" id={ "entry-" (entry.seq) } {
                span class="no small" { (entry.seq) }
                div class="what" data-entry=(entry.id) {
                    p { (words(&entry.change, &number)) @if undone.is_some() { " " span class="tag" { "taken back" } } }
                    p class="quiet small" { (entry.who) " · " (entry.device) " · " (moment::moment(&entry.at)) }
                    @if entry.seq > 1 && undone.is_none() {
                        (form::change_line(&case.id, "undo", here, &html! { (form::hidden("entry", &entry.id)) button { "Take back" } }))
                    }
                }
            }
        } }
        @if entries.len() > SHOWN { p class="quiet" { "The latest " (SHOWN) " are shown; the file of the case holds all." } }
    }
}

/// A change in words.
fn words(change: &Change, number: &dyn Fn(&str) -> Option<u64>) -> Markup {
    html! { @match change {
        Change::Open { title, .. } => { "Opened as " b { (title) } },
        Change::Line { section, text } => { "Line added to " (section) ": " span class="fig" { (text) } },
        Change::Lines { to, .. } => { "Lines changed to " pre { (to) } },
        Change::Value { path, is, was } => { span class="fig" { (path) } ": "
            @if let Some(was) = was { span class="quiet" { (was) " → " } } b class="fig" { (is) } },
        Change::Remove { path, .. } => { "Taken out: " span class="fig" { (path) } },
        Change::Text { .. } => { "The record as text" },
        Change::Note { on, words } => { "Note" @if let Some(on) = on { " on " b { (on) } } ": " (words) },
        Change::Tick { list, step, reading, done } => {
            @if *done { "Done: " } @else { "Not done after all: " } b { (step) } " (" (list) ")"
            @if let Some(reading) = reading { ": " span class="fig" { (reading) } } },
        Change::Photo { on, words, .. } => { "Photo" @if let Some(on) = on { " of " b { (on) } } @if let Some(words) = words { ": " (words) } },
        Change::Undo { entry } => { "Taken back: entry " span class="fig" { @match number(entry) { Some(seq) => (seq), None => (entry) } } },
        Change::Authority(authority) => { @if authority.given { "Yes: " } @else { "No: " } b { (authority.to) } ", " (authority.by) },
        Change::Choose { keep, .. } => { "Chosen between two: " (match keep { store::Keep::Present => "what stood", store::Keep::Other => "the other" }) },
    } }
}
