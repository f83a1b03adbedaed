//! Prove: what should be read, beside what was; dead tests before live tests.

use maud::{Markup, html};

use crate::look::finding::{hazard, sheet_address};
use crate::look::tick;
use crate::serve::Opened;
use crate::station::Station;

/// A reading to take.
pub(crate) struct Row {
    /// Its name on the list.
    pub(crate) key: String,
    /// It is taken with the vehicle made dead.
    pub(crate) is_dead: bool,
    /// Where, in words.
    pub(crate) points: String,
    /// What it is about, for its sheet.
    pub(crate) about: String,
    /// In which state.
    pub(crate) state: String,
    /// What it should be.
    pub(crate) expected: String,
    /// What it was.
    pub(crate) measured: Option<String>,
}

/// The readings to take: that what was opened is dead, the proof of the repair, every reading that was
/// taken before, and what each device that was complained of has at its terminals.
pub(crate) fn rows(case: &Opened) -> Vec<Row> {
    let after = case.study.mended().unwrap_or(&case.study);
    let mut rows = Vec::new();
    let mut add = |is_dead, key: String, points: &str, about: &str, state: &str, expected: &str| {
        let measured = case.ticked("proof", &key).filter(|tick| tick.done);
        let measured = measured.map(|tick| tick.reading.clone().unwrap_or_default());
        rows.push(Row {
            key,
            is_dead,
            points: points.to_owned(),
            about: about.to_owned(),
            state: state.to_owned(),
            expected: expected.to_owned(),
            measured,
        });
    };
    for step in &case.study.handover().isolation.steps {
        for point in &step.prove {
            let points = format!("volts from {point} to its return, and to the body");
            let expected = "0 V, by a meter proved before and after";
            add(true, format!("dead {point}"), &points, &step.device, "switched off", expected);
        }
    }
    if let Some(card) = case.as_it_stands().advice().and_then(|advice| advice.next.repair.as_ref())
        && let Some(proof) = &card.proof
    {
        add(false, format!("repair {}", card.title), proof, "", "", "as it says");
    }
    for reading in after.case().reading_rows() {
        let key = format!("again {}", reading.name);
        add(false, key, &reading.points, "", &reading.state, &reading.computed);
    }
    let review = after.review();
    for symptom in after.case().arrival().symptoms {
        let state = review.states.iter().find(|state| state.name == symptom.state);
        let row =
            state.and_then(|state| state.rows.iter().find(|row| row.device == symptom.device));
        if let Some(row) = row {
            let points = format!("volts at the terminals of {}", row.device);
            let expected = format!("{}, {}", row.voltage, row.current);
            let key = format!("at {} in {}", row.device, symptom.state);
            add(false, key, &points, &row.device, &symptom.state, &expected);
        }
    }
    rows
}

pub(crate) fn page(case: &Opened) -> Markup {
    let rows = rows(case);
    let open = rows.iter().filter(|row| row.measured.is_none()).count();
    html! {
        div class="title" { h1 { "Prove" }
            p class="quiet" { (open) " of " (rows.len()) " readings open. "
                @if case.study.mended().is_some() { "Expected is what the record says with its mends put in." }
                @else { "Expected is what the record says as it stands; no mend is written." } }
        }
        (hazard("WARNING", &html! { "Dead tests first. Live tests only when every dead test is done, tools are out, covers that keep hands off mains are on, and everybody knows that power comes on." }))
        (part(case, "Dead tests", rows.iter().filter(|row| row.is_dead)))
        (part(case, "Live tests", rows.iter().filter(|row| !row.is_dead)))
    }
}

fn part<'r>(case: &Opened, title: &str, rows: impl Iterator<Item = &'r Row>) -> Markup {
    let rows: Vec<&Row> = rows.collect();
    html! {
        section class="card" {
            header { h2 { (title) } span class="count" { (rows.len()) } }
            @if rows.is_empty() { p { "None follows from the record." } }
            ol class="steps" { @for (number, row) in (1..).zip(rows) { (one(case, title, number, row)) } }
        }
    }
}

fn one(case: &Opened, title: &str, number: usize, row: &Row) -> Markup {
    let id = format!("{}-{number}", if title.starts_with("Dead") { "dead" } else { "live" });
    html! {
        li class={ "step" @if row.measured.is_some() { " ticked" } } id=(id) {
            span class="no" { (number) }
            div class="what" {
                p { b { (row.points) } @if !row.state.is_empty() { " " span class="tag" { (row.state) } }
                    @if !row.about.is_empty() { " " a href=(sheet_address(&case.id, &row.about)) { (row.about) } } }
                dl class="facts" {
                    div { dt { "Expected" } dd class="fig" { (row.expected) } }
                    div { dt { "Measured" } dd class="fig" { @match &row.measured {
                        Some(read) if !read.is_empty() => (read),
                        Some(_) => "done, no figure written",
                        None => span class="unknown" { "not yet" },
                    } } }
                }
                (tick::form(case, &tick::Step {
                    list: "proof", step: &row.key, done: "Measured", undone: "Take it again", reading: Some("What the meter showed"),
                    back: &format!("{}#{id}", Station::Prove.address(&case.id)),
                }))
            }
        }
    }
}
