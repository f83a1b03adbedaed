//! The list of cases, and new ones.

use axum::Form;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use store::{CaseRow, Who};

use crate::look::form::{self, Fields};
use crate::look::frame::{self, Frame};
use crate::look::moment;
use crate::look::viewer::Viewer;
use crate::serve::AppState;
use crate::station::{Station, starters};

pub(crate) async fn page(State(state): State<AppState>, viewer: Viewer) -> Response {
    let cases = match state.cases() {
        Ok(cases) => cases,
        Err(problem) => return problem.into_response(),
    };
    let body = html! {
        div class="title" { h1 { "Cases" } }
        @if let Some(last) = last(&cases) { (resume(last)) }
        section class="card" {
            @if cases.is_empty() {
                p { "No case yet. Open one for the next vehicle that comes in." }
            }
            ul class="rows" { @for case in &cases {
                li { a class="row" href=(Station::Arrival.address(&case.id)) {
                    span { b { (case.title) } @if case.conflicts > 0 {
                        " " span class="tag" { (case.conflicts) " to choose between" }
                    } }
                    span class="quiet small" { (changed(case)) }
                } }
            } }
        }
        div class="buttons" {
            a class="button main" href="/new" { "New case" }
            @if viewer.is_lead { a class="button" href="/keep" { "Keep and move" } }
        }
    };
    let frame = Frame { title: "Cases", viewer: &viewer, case: None, station: None };
    frame::page(&frame, &body).into_response()
}

/// The case that something was entered into last.
fn last(cases: &[CaseRow]) -> Option<&CaseRow> {
    cases.iter().filter(|case| !case.changed.is_empty()).max_by(|a, b| a.changed.cmp(&b.changed))
}

fn resume(case: &CaseRow) -> Markup {
    html! {
        section class="card big" aria-label="Go on where you were" {
            header { h2 { "Go on" } span class="quiet small" { (changed(case)) } }
            a class="button main" href=(Station::Arrival.address(&case.id)) { (case.title) }
        }
    }
}

fn changed(case: &CaseRow) -> String {
    match (moment::moment(&case.changed), case.changed_by.as_str()) {
        (at, "") if at.is_empty() => format!("entry {}", case.head),
        (at, "") => at,
        (at, who) => format!("{at}, {who}"),
    }
}

pub(crate) async fn new_page(viewer: Viewer) -> Response {
    new_case(&viewer, &Fields::default(), None)
}

fn new_case(viewer: &Viewer, given: &Fields, refused: Option<&str>) -> Response {
    let value = |name: &str| given.get(name).unwrap_or_default();
    let chosen = given.get("starter").unwrap_or_else(|| starters::ALL[0].key.to_owned());
    let body = html! {
        div class="title" { h1 { "New case" }
            p class="quiet" { "A starter is a record with the devices such a vehicle usually has. Nothing in it is known yet: every value says so until you find it out." }
        }
        @if let Some(why) = refused { div class="said" role="alert" { (why) } }
        form class="card" method="post" action="/new" {
            (form::words("title", "Vehicle", "what you call it: a name, a plate, a customer number", &value("title")))
            label { "Complaint" small { "in the owner's own words" }
                textarea name="complaint" { (value("complaint")) } }
            fieldset class="choices" { legend { "Start from" }
                @for starter in starters::ALL { label class="choice" {
                    input type="radio" name="starter" value=(starter.key) checked[starter.key == chosen];
                    span { (starter.title) br; small { (starter.about) } }
                } }
            }
            button class="main" { "Open the case" }
        }
    };
    let frame = Frame { title: "New case", viewer, case: None, station: None };
    frame::page(&frame, &body).into_response()
}

pub(crate) async fn make(
    State(state): State<AppState>,
    viewer: Viewer,
    Form(given): Form<Vec<(String, String)>>,
) -> Response {
    let given = Fields(given);
    let Some(title) = given.get("title") else {
        return new_case(
            &viewer,
            &given,
            Some("Give the vehicle a name, so that the case can be found again."),
        );
    };
    let key = given.get("starter").unwrap_or_default();
    let starter =
        starters::ALL.iter().find(|starter| starter.key == key).unwrap_or(&starters::ALL[0]);
    let text = starter.record(&title, &given.get("complaint").unwrap_or_default());
    let who = Who { name: viewer.name.clone().unwrap_or_default() };
    let made = tokio::task::spawn_blocking(move || state.make(&title, &text, &who)).await;
    match made {
        Ok(Ok(id)) => Redirect::to(&Station::Arrival.address(&id)).into_response(),
        Ok(Err(why)) => new_case(&viewer, &given, Some(&why)),
        Err(_) => new_case(&viewer, &given, Some("The case could not be opened. Try again.")),
    }
}
