//! The stations of a case in the order of the job, one file each: what is shown, its template; and the
//! pages beside them.
//!
//! | file | what it holds |
//! |---|---|
//! | `cases.rs`, `starters.rs` | the list of cases, new cases and what they start from |
//! | `arrival.rs`, `noticed.rs`, `triage.rs` | the vehicle comes in; what was noticed; questions that are asked first |
//! | `dead.rs`, `dead_plan.rs` | what is live, how the vehicle is switched off; a work area made dead step by step |
//! | `found.rs`, `capture.rs` | what is there: lists, drawings, findings; forms that add to it |
//! | `suspects.rs`, `check.rs`, `reading.rs` | the next check, the repair, the ranking; any reading |
//! | `way_in.rs` | what comes out, in order, and goes back |
//! | `put_right.rs`, `mends.rs` | findings, repairs offered and chosen |
//! | `prove.rs` | expected readings beside measured ones |
//! | `hand_over.rs` | the pack, what was not seen |
//! | `agreed.rs` | what was agreed to and declined |
//! | `item.rs` | the sheet of one thing |
//! | `history.rs` | who changed what |
//! | `open.rs` | what is still open at each station |
//! | `forms.rs`, `spelling.rs` | forms that become changes; a name that was meant, in one touch |

mod agreed;
mod arrival;
mod capture;
mod cases;
mod check;
mod dead;
pub(crate) mod dead_plan;
mod forms;
mod found;
mod hand_over;
mod history;
mod item;
mod mends;
mod noticed;
pub(crate) mod open;
mod price_card;
mod prove;
pub(crate) mod put_right;
mod reading;
mod spelling;
mod starters;
mod suspects;
pub(crate) mod triage;
mod way_in;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use maud::{Markup, html};

use crate::assets;
use crate::look::form::Fields;
use crate::look::frame::{self, Frame};
use crate::look::viewer::Viewer;
use crate::serve::{AppState, Opened};

/// A station of a case.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Station {
    /// The vehicle comes in.
    Arrival,
    /// It is made dead.
    Dead,
    /// What is there.
    Found,
    /// What may be wrong.
    Suspects,
    /// What comes out.
    WayIn,
    /// What is mended.
    PutRight,
    /// That it works.
    Prove,
    /// It goes out.
    HandOver,
}

impl Station {
    /// All of them in the order of the job.
    pub(crate) const ALL: [Station; 8] = [
        Station::Arrival,
        Station::Dead,
        Station::Found,
        Station::Suspects,
        Station::WayIn,
        Station::PutRight,
        Station::Prove,
        Station::HandOver,
    ];

    /// Its name in addresses.
    pub(crate) fn slug(self) -> &'static str {
        match self {
            Station::Arrival => "arrival",
            Station::Dead => "dead",
            Station::Found => "found",
            Station::Suspects => "suspects",
            Station::WayIn => "way-in",
            Station::PutRight => "put-right",
            Station::Prove => "prove",
            Station::HandOver => "hand-over",
        }
    }

    /// Its name on the page.
    pub(crate) fn title(self) -> &'static str {
        match self {
            Station::Arrival => "Arrival",
            Station::Dead => "Make dead",
            Station::Found => "As found",
            Station::Suspects => "Suspects",
            Station::WayIn => "Way in",
            Station::PutRight => "Put right",
            Station::Prove => "Prove",
            Station::HandOver => "Hand over",
        }
    }

    /// Where it is, for a case.
    pub(crate) fn address(self, case: &str) -> String {
        format!("/case/{case}/{}", self.slug())
    }

    fn body(self, case: &Opened, asked: &Fields) -> Markup {
        match self {
            Station::Arrival => arrival::page(case),
            Station::Dead => dead::page(case, asked),
            Station::Found => found::page(case, asked),
            Station::Suspects => suspects::page(case),
            Station::WayIn => way_in::page(case, asked),
            Station::PutRight => put_right::page(case),
            Station::Prove => prove::page(case),
            Station::HandOver => hand_over::page(case),
        }
    }
}

/// Every page of the stations.
pub fn routes() -> Router<AppState> {
    let mut routes = Router::new();
    for station in Station::ALL {
        let shown = move |State(state), Path(id): Path<String>, viewer, Query(asked)| {
            on_station(station, state, id, viewer, Fields(asked))
        };
        routes = routes.route(&format!("/case/{{id}}/{}", station.slug()), get(shown));
    }
    routes
        .route("/", get(cases::page))
        .route("/new", get(cases::new_page).post(cases::make))
        .route("/case/{id}", get(to_arrival))
        .route("/case/{id}/form", post(forms::take))
        .route("/case/{id}/preview", get(capture::preview))
        .route("/case/{id}/item/{name}", get(item::page))
        .route("/case/{id}/found/now", get(found::now))
        .route("/case/{id}/drawing/{file}", get(found::drawing))
        .route("/case/{id}/history", get(history::page))
        .route("/case/{id}/pack.zip", get(hand_over::archive))
        .merge(assets::routes())
}

async fn on_station(
    station: Station,
    state: AppState,
    id: String,
    viewer: Viewer,
    asked: Fields,
) -> Response {
    let takes_long = matches!(station, Station::Suspects | Station::PutRight);
    if takes_long && let Ok(opened) = state.open(&id) {
        match station {
            Station::Suspects => state.search(&opened),
            _ => state.work_out(&opened).await,
        }
    }
    of_case(state, id, viewer, move |opened, viewer| {
        let frame =
            Frame { title: station.title(), viewer, case: Some(opened), station: Some(station) };
        frame::page(&frame, &station.body(opened, &asked)).into_response()
    })
    .await
}

/// A page of a case: made on a thread where sums may take their time.
pub(crate) async fn of_case(
    state: AppState,
    id: String,
    viewer: Viewer,
    make: impl FnOnce(&Opened, &Viewer) -> Response + Send + 'static,
) -> Response {
    let made = tokio::task::spawn_blocking(move || match state.open(&id) {
        Ok(opened) => make(&opened, &viewer),
        Err(problem) if problem.status == StatusCode::NOT_FOUND => no_case(&viewer),
        Err(problem) => problem.into_response(),
    });
    made.await.unwrap_or_else(|_| StatusCode::INTERNAL_SERVER_ERROR.into_response())
}

/// That there is no such thing, as a page.
pub(crate) fn nothing(viewer: &Viewer, title: &str, words: &str) -> Response {
    let frame = Frame { title, viewer, case: None, station: None };
    let body = html! {
        div class="title" { h1 { (title) } p { (words) } }
        p { a class="button" href="/" { "All cases" } }
    };
    (StatusCode::NOT_FOUND, frame::page(&frame, &body)).into_response()
}

fn no_case(viewer: &Viewer) -> Response {
    nothing(viewer, "No such case", "It may have another address now, or was never opened here.")
}

async fn to_arrival(Path(id): Path<String>) -> Redirect {
    Redirect::to(&Station::Arrival.address(&id))
}
