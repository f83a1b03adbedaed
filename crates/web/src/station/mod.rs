//! The stations of a case in the order of the job, and the list of cases.

use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use maud::html;

use crate::assets;
use crate::look::frame;
use crate::serve::AppState;

/// Every page of the stations.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/", get(cases))
        .route("/case/{id}/arrival", get(arrival))
        .merge(assets::routes())
}

async fn cases(State(state): State<AppState>) -> Response {
    let body = html! {
        h1 { "Cases" }
        ul { @for case in state.cases() {
            li { a href={ "/case/" (case.id) "/arrival" } { (case.title) } }
        } }
    };
    frame::page("Cases", &body).into_response()
}

async fn arrival(State(state): State<AppState>, Path(id): Path<String>) -> Response {
    let Some(opened) = state.open(&id) else { return StatusCode::NOT_FOUND.into_response() };
    let review = opened.study.review();
    let body = html! { h1 { (review.vehicle.name) } p { (review.vehicle.complaint) } };
    frame::page(&review.vehicle.name, &body).into_response()
}
