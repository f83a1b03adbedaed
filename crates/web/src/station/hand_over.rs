//! Hand over: the pack, what was not seen, what was agreed and declined, what contradicts itself.

use analysis::UnseenRow;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use pack::{Day, Options, Paper};

use crate::look::finding::{access, sheet_address};
use crate::look::form::Fields;
use crate::look::frame::{self, Frame};
use crate::look::viewer::Viewer;
use crate::serve::{AppState, Opened};
use crate::station::{Station, agreed, of_case, open};

pub(crate) fn page(case: &Opened) -> Markup {
    let handover = case.study.handover();
    html! {
        div class="title" { h1 { "Hand over" } }
        (still_open(case))
        (pack_form(case))
        section class="card" { header { h2 { "Not seen" } span class="count" { (handover.unseen.len()) } }
            p class="quiet" { "Goes into the report as it stands. What was not seen was not judged." }
            details class="fold" { summary { "All of it" } div { ul class="rows" { @for row in &handover.unseen { (unseen(case, row)) } } } }
        }
        section class="card" { header { h2 { "Agreed and declined" } span class="count" { (agreed::count(case)) } }
            (agreed::list(case))
            (agreed::form(case, &Station::HandOver.address(&case.id), &["the report is handed over", "drive on with what is declined"]))
        }
        section class="card" { h2 { "For the owner" }
            p { "A link that only shows the report, ends by itself and can be taken back. A lead gives it." }
            p { a class="button" href={ "/case/" (case.id) "/links" } { "Links for the owner" } }
        }
        section class="card" { h2 { "For another machine" }
            p { "The whole case as one file: journal, photos, record. For a lead; another machine takes it in under Keep and move." }
            p { a class="button" href={ "/case/" (case.id) "/export" } { "Fetch the case as a file" } }
        }
    }
}

/// What is still open at the other stations.
fn still_open(case: &Opened) -> Markup {
    let rows: Vec<_> = Station::ALL
        .into_iter()
        .filter(|station| *station != Station::HandOver)
        .map(|station| (station, open::at(case, station)))
        .filter(|(_, count)| *count > 0)
        .collect();
    html! {
        section class="card" { h2 { "Still open" }
            @if rows.is_empty() { p { "Nothing at any station." } }
            ul class="rows" { @for (station, count) in rows { li {
                a class="row" href=(station.address(&case.id)) { b { (station.title()) } span class="fig" { (count) } }
            } } }
        }
    }
}

fn pack_form(case: &Opened) -> Markup {
    html! {
        section class="card big" { h2 { "The pack" }
            p { "Report, tables, drawings, circuits, photos, the record, and checksums of them all, in one file." }
            form method="get" action={ "/case/" (case.id) "/pack.zip" } {
                div class="fields" {
                    label { "Language" select name="language" { option value="en" { "English" } option value="es" { "Spanish" } } }
                    label { "Paper" select name="paper" { option value="a4" { "A4" } option value="letter" { "Letter" } } }
                    label { "Units" select name="units" { option value="metric" { "metric" } option value="us" { "US" } } }
                    label { "Day on it" span class="quiet small" { "today if it stays empty" } input type="date" name="day"; }
                }
                button class="main" { "Make the pack" }
            }
            @if !case.study.faults().is_empty() { p { b { (case.study.faults().len()) } " lines of the record were not understood; the report says so." } }
        }
    }
}

fn unseen(case: &Opened, row: &UnseenRow) -> Markup {
    html! {
        li {
            div class="pair" { a class="in" href=(sheet_address(&case.id, &row.place.name)) { (row.place.name) }
                span class="quiet" { (row.place.label) } span class="tag" { (row.why) } }
            @if !row.part.is_empty() { span { "behind " (row.part) } }
            (access(row.access.as_ref()))
        }
    }
}

/// The pack as one file.
pub(crate) async fn archive(
    State(state): State<AppState>,
    Path(id): Path<String>,
    viewer: Viewer,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let photos = state.clone();
    of_case(state, id, viewer, move |case, viewer| {
        match packed(&photos, case, &options(&Fields(asked), &photos.now())) {
            Ok(bytes) => {
                let name = format!("attachment; filename=\"{}-pack.zip\"", file_stem(&case.id));
                let headers = [
                    (header::CONTENT_TYPE, "application/zip".to_owned()),
                    (header::CONTENT_DISPOSITION, name),
                ];
                (headers, bytes).into_response()
            }
            Err(why) => {
                let frame = Frame {
                    title: "No pack",
                    viewer,
                    case: Some(case),
                    station: Some(Station::HandOver)
                };
                let body = html! { div class="title" { h1 { "The pack could not be made" } } section class="card" role="alert" { p { (why) } } };
                (StatusCode::INTERNAL_SERVER_ERROR, frame::page(&frame, &body)).into_response()
            }
        }
    })
    .await
}

fn options(asked: &Fields, now: &str) -> Options {
    let mut options = Options::default();
    if asked.get("language").as_deref() == Some("es") {
        options.language = wording::Language::Spanish;
    }
    if asked.get("paper").as_deref() == Some("letter") {
        options.paper = Paper::Letter;
    }
    if asked.get("units").as_deref() == Some("us") {
        options.system = units::System::Us;
    }
    let today = now.get(..10).unwrap_or_default();
    options.dated = Day::of(asked.get("day").as_deref().unwrap_or(today));
    options
}

fn packed(state: &AppState, case: &Opened, options: &Options) -> Result<Vec<u8>, String> {
    let made = state.pack(&case.kept, options)?;
    pack::zip(&made, &file_stem(&case.id)).map_err(|error| error.to_string())
}

/// Letters, digits and hyphens of an id.
fn file_stem(id: &str) -> String {
    id.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '-').collect()
}
