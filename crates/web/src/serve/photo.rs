//! Photos given out.

use axum::Router;
use axum::extract::{Path, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use axum::routing::get;

use super::problem::Problem;
use super::state::AppState;
use super::visitor::Visitor;

pub(crate) fn routes() -> Router<AppState> {
    Router::new().route("/case/{id}/photo/{sha}", get(photo))
}

/// The address names the content, so it never changes.
async fn photo(
    State(state): State<AppState>,
    _: Visitor,
    Path((case, sha)): Path<(String, String)>,
) -> Result<Response, Problem> {
    let bytes = state.store().photo(&case, &sha)?;
    let headers =
        [(CONTENT_TYPE, "image/jpeg"), (CACHE_CONTROL, "private, max-age=31536000, immutable")];
    Ok((headers, bytes).into_response())
}
