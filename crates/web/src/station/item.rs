//! The sheet of one thing: facts with origin, what it is joined to, findings, readings, photos, the way
//! in, and who said what.

use analysis::{ChangeView, FactView, ItemView, RecordFault};
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

use crate::look::finding::{Told, access, encoded, finding, hazard, sheet_address};
use crate::look::form;
use crate::look::frame::{self, Frame};
use crate::look::viewer::Viewer;
use crate::look::{moment, photo};
use crate::serve::{AppState, Opened};
use crate::station::found::things;
use crate::station::{Station, nothing, of_case};

pub(crate) async fn page(
    State(state): State<AppState>,
    viewer: Viewer,
    Path((id, name)): Path<(String, String)>,
) -> Response {
    of_case(state, id, viewer, move |case, viewer| {
        let Some(item) = item_of(case, &name) else {
            return nothing(viewer, "No such thing", "The record names no such device, wire, part or spot. It may have been renamed or taken out.");
        };
        let here = sheet_address(&case.id, &item.name);
        let frame = Frame { title: &item.name, viewer, case: Some(case), station: None};
        frame::page(&frame, &sheet(case, &item, &here)).into_response()
    })
    .await
}

/// The thing of a name; of a terminal or a joint, its device or wire.
fn item_of(case: &Opened, name: &str) -> Option<ItemView> {
    let joint = || case.study.item(name.split_once(" at ")?.0);
    let terminal = || case.study.item(name.split_once('.')?.0);
    case.study.item(name).or_else(joint).or_else(terminal)
}

fn sheet(case: &Opened, item: &ItemView, here: &str) -> Markup {
    html! {
        div class="title" {
            p class="quiet" { (item.sort) @if !item.kind.is_empty() { " · " (item.kind) } @if !item.at.is_empty() { " · " (item.at) } }
            h1 { (item.label) }
            p class="pair" { span class="tag fig" { (item.name) } span class="quiet small" { "line " (item.line) " of the record" } }
        }
        div class="grid wide-left" {
            div class="grid" { (facts(case, item, here)) (found(case, item)) (near(case, item)) }
            div class="grid" { (way_in(case, item)) (readings(case, item)) (notes(case, item, here)) }
        }
        (photo::card(case, Some(&item.name)))
    }
}

fn facts(case: &Opened, item: &ItemView, here: &str) -> Markup {
    html! {
        section class="card" id="facts" { h2 { "Facts" }
            @for fault in not_understood(case, item) { (hazard("CAUTION", &html! {
                p { b { "Kept, but not understood: " } (fault.message) "." }
                @for help in &fault.help { p { (help) } }
            })) }
            @if !item.written.is_empty() { (whole_line(case, item, here)) }
            dl class="facts" { @for fact in &item.facts { div {
                dt { (fact.key.replace('_', " ")) }
                dd data-path=[fact.change.as_ref().map(|change| &change.path)] { (one_fact(case, fact, here)) }
            } } }
            details { summary class="small" { "Take it out of the record" }
                (form::change_line(&case.id, "remove", &Station::Found.address(&case.id), &html! {
                    (form::hidden("path", &item.path))
                    button { "Take out " (item.name) }
                }))
            }
        }
    }
}

/// What of the thing's own line could not be read: the sums go without it.
fn not_understood<'c>(
    case: &'c Opened,
    item: &'c ItemView,
) -> impl Iterator<Item = &'c RecordFault> {
    let faults = case.study.review().record_faults.iter();
    faults.filter(|fault| fault.places.iter().any(|place| place.line == item.line))
}

/// The unit of a figure as it is written: `W` of `60 W`, `mm2` of `2.5 mm2`.
fn unit(written: &str) -> Option<&str> {
    let (figure, unit) = written.rsplit_once(' ')?;
    let is_first = |sign: char| sign.is_alphabetic() || sign == '°' || sign == '%';
    let is_unit = unit.starts_with(is_first)
        && unit.chars().all(|sign| is_first(sign) || sign == '²' || sign.is_ascii_digit());
    (figure.parse::<f64>().is_ok() && is_unit).then_some(unit)
}

fn whole_line(case: &Opened, item: &ItemView, here: &str) -> Markup {
    form::change(
        &case.id,
        "value",
        here,
        &html! {
            (form::hidden("path", &item.path)) (form::was(&item.written))
            label { "The line" textarea class="fig" name="is" rows="1" autocomplete="off" autocapitalize="off" spellcheck="false" data-one-line=""
                data-preview={ "/case/" (case.id) "/preview" } data-preview-into="line-preview" { (item.written) } }
            button { "Keep the line" }
            div class="preview" id="line-preview" role="status" data-empty="What a change of the line brings to light appears here." {}
        },
    )
}

fn one_fact(case: &Opened, fact: &FactView, here: &str) -> Markup {
    html! {
        @if fact.origin.is_empty() { span class="unknown" { "unknown" } }
        @else {
            b class="fig" { (fact.value) } " "
            span class={ "origin" @if fact.origin == "assumed" { " assumed" } } { (fact.origin) @if !fact.from.is_empty() { " " (fact.from) } }
        }
        @if let Some(change) = &fact.change { div class="turns" {
            details { summary class="small" aria-label={ "Change " (fact.key) } { "Change" }
                div class="buttons" { (new_value(case, fact, change, here)) }
            }
            @if !fact.origin.is_empty() { (unknown(case, &fact.key, change, here)) }
        } }
    }
}

fn change_fields(change: &ChangeView) -> Markup {
    html! {
        (form::hidden("path", &change.path))
        @if let Some(was) = &change.was { (form::hidden("was", was)) }
        (form::hidden("before", &change.before)) (form::hidden("after", &change.after))
    }
}

fn new_value(case: &Opened, fact: &FactView, change: &ChangeView, here: &str) -> Markup {
    form::change_line(
        &case.id,
        "value",
        here,
        &html! {
            (change_fields(change))
            @if let Some(unit) = unit(&change.is) { (form::hidden("unit", unit)) }
            label { span class="out" { (fact.key) }
                input class="fig" name="is" required value=(change.is) autocomplete="off" autocapitalize="off" spellcheck="false"; }
            button { "Keep" }
        },
    )
}

/// Not known, in one tap.
fn unknown(case: &Opened, key: &str, change: &ChangeView, here: &str) -> Markup {
    form::change_line(
        &case.id,
        "value",
        here,
        &html! {
            (change_fields(change)) (form::hidden("is", &change.unknown))
            button class="plain" aria-label={ "Unknown: " (key) } { "Unknown" }
        },
    )
}

fn found(case: &Opened, item: &ItemView) -> Markup {
    let is_of = |name: &str| things(name).contains(&item.name.as_str());
    let findings: Vec<_> = (1..)
        .zip(&case.study.review().findings)
        .filter(|(_, of)| {
            is_of(&of.place.name) || of.related.iter().any(|place| is_of(&place.name))
        })
        .collect();
    let open: Vec<_> = case
        .study
        .review()
        .cannot_tell
        .iter()
        .flat_map(|of| of.find_out.iter().map(move |missing| (of, missing)))
        .filter(|(_, missing)| missing.items.iter().any(|name| is_of(name)))
        .collect();
    html! { @if !findings.is_empty() || !open.is_empty() {
        section class="card" id="findings" { h2 { "Findings" }
            @for (number, of) in findings { (finding(&case.id, case.study.review(), (number, of), Told::Whole)) }
            @if !open.is_empty() { h3 { "Cannot tell yet" }
                ul class="rows" { @for (of, missing) in open { li { span { (of.title) } span { b { "Find out: " } (missing.what) } } } }
            }
        }
    } }
}

fn near(case: &Opened, item: &ItemView) -> Markup {
    html! { @if !item.near.is_empty() {
        section class="card" { h2 { "Beside it" }
            ul class="rows" { @for near in &item.near { li {
                div class="pair" { span class="quiet" { (near.how) }
                    @if !near.name.is_empty() { a class="in" href=(sheet_address(&case.id, &near.name)) { b class="fig" { (near.name) } } } }
                @if !near.words.is_empty() { span { (near.words) } }
            } } }
        }
    } }
}

fn way_in(case: &Opened, item: &ItemView) -> Markup {
    let way = case.study.case().way_in(&item.name);
    html! {
        section class="card" { h2 { "Way in" }
            @if let Some(way) = way {
                p { (way.outcome) @if !way.words.is_empty() && way.words != way.outcome { ": " (way.words) } }
                @if !way.steps.is_empty() { ol { @for step in &way.steps { li { (step.label) } } } }
                @if way.words.is_empty() && way.cost.is_some() { p { (access(way.cost.as_ref())) } }
                @if !way.steps.is_empty() {
                    p { a class="button" href={ (Station::WayIn.address(&case.id)) "?to=" (encoded(&item.name)) } { "Step by step" } }
                }
            } @else { p { "Not known." } }
        }
    }
}

fn readings(case: &Opened, item: &ItemView) -> Markup {
    let touches = |points: &str| points.split([' ', '.', ',']).any(|word| word == item.name);
    let rows: Vec<_> =
        case.study.review().readings.iter().filter(|row| touches(&row.points)).collect();
    let states: Vec<_> = case
        .study
        .review()
        .states
        .iter()
        .flat_map(|state| state.rows.iter().map(move |row| (&state.name, row)))
        .filter(|(_, row)| row.device == item.name)
        .collect();
    html! {
        @if !rows.is_empty() { section class="card" { h2 { "Readings" }
            ul class="rows" { @for row in rows { li {
                div class="pair" { b class="fig" { (row.read) } span { (row.points) } span class="tag" { (row.state) } }
                span class="quiet small" { "as recorded " span class="fig" { (row.computed) } ": " (row.verdict) }
            } } }
        } }
        @if !states.is_empty() { section class="card" { h2 { "By the sums" }
            div class="scroll" tabindex="0" role="group" aria-label="By the sums" { table {
                thead { tr { th { "State" } th class="fig" { "Volts" } th class="fig" { "Current" } } }
                tbody { @for (state, row) in states { tr { td { (state) @if !row.note.is_empty() { br; span class="quiet small" { (row.note) } } } td class="fig" { (row.voltage) } td class="fig" { (row.current) } } } }
            } }
        } }
    }
}

fn notes(case: &Opened, item: &ItemView, here: &str) -> Markup {
    let notes: Vec<_> =
        case.kept.notes.iter().filter(|note| note.on.as_deref() == Some(&item.name)).collect();
    let said: Vec<_> =
        case.kept.said.iter().filter(|(path, _)| path.starts_with(&item.path)).collect();
    html! {
        section class="card" { header { h2 { "Notes" } span class="count" { (notes.len()) } }
            ul class="rows" data-notes=(item.name) { @for note in notes { li { (note.words) span class="quiet small" { (moment::said(&note.said)) } } } }
            (form::change(&case.id, "note", here, &html! {
                (form::hidden("on", &item.name))
                label { span class="out" { "Note" } textarea name="words" required {} }
                button { "Add the note" }
            }))
            @if !said.is_empty() { details { summary class="small" { "Who said what" }
                ul class="rows small" { @for (path, said) in said { li { span { span class="fig" { (path) } ": " (moment::said(said)) } } } }
            } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::unit;

    /// What is written counts, not what is printed: 1500 W is printed as 1.5 kW.
    #[test]
    fn a_bare_number_gets_the_unit_that_was_written() {
        let units = ["1500 W", "0.5 m", "2.5 mm2", "2.5 mm²", "-3 °C"].map(unit);
        assert_eq!(units, ["W", "m", "mm2", "mm²", "°C"].map(Some));
        for no_figure in ["60", "told 60 W", "15 A fridge", "unknown", "AWG 10", ""] {
            assert_eq!(unit(no_figure), None, "{no_figure}");
        }
    }
}
