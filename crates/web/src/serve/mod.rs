//! Serving: who gets in, what is taken in, what is told to whom. Knows no station.
//!
//! | file | what it holds |
//! |---|---|
//! | `state.rs` | what all requests share |
//! | `guard.rs`, `visitor.rs` | what stands before every page; who makes a request |
//! | `door.rs`, `attempts.rs` | first lead, log in, log out; how often one may be wrong |
//! | `people.rs` | who may log in |
//! | `keeping.rs` | cases as files, and backups, from the browser |
//! | `token.rs` | what every form carries |
//! | `entries.rs` | entries and photos taken in |
//! | `events.rs` | changes told to open pages |
//! | `photo.rs` | photos given out |
//! | `owner.rs`, `packs.rs`, `work.rs` | links for owners; the hand-over pack they open, with what was ticked off |
//! | `trust.rs` | how a device comes to trust the certificate made here |
//! | `api.rs`, `views.rs`, `openapi.rs` | results for programs, and their description |
//! | `shrink.rs` | answers made smaller on their way |
//! | `problem.rs` | what went wrong, as a page or as JSON |

mod api;
mod attempts;
mod door;
mod entries;
mod events;
mod guard;
mod keeping;
mod openapi;
mod owner;
mod packs;
mod people;
mod photo;
mod problem;
mod shrink;
mod state;
mod token;
mod trust;
mod views;
mod visitor;
mod work;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};

pub use problem::Problem;
pub use state::{AppState, Door, Link, Opened, open_case};
pub use visitor::Visitor;

/// Longest body of anything but a photo.
const LONGEST_BODY: usize = 12 << 20;

/// Everything that is served.
pub fn router(state: AppState) -> Router {
    let pages = crate::station::routes()
        .merge(photo::routes())
        .merge(people::routes())
        .merge(owner::routes())
        .route_layer(middleware::from_fn_with_state(state.clone(), on_a_thread_that_waits));
    Router::new()
        .merge(pages)
        .merge(door::routes())
        .merge(trust::routes())
        .merge(api::routes(&state))
        .merge(entries::routes())
        .merge(keeping::routes())
        .merge(events::routes())
        .layer(DefaultBodyLimit::max(LONGEST_BODY))
        .layer(middleware::from_fn_with_state(state.clone(), guard::guard))
        .layer(middleware::from_fn(shrink::shrink))
        .with_state(state)
}

/// Pages ask the engines and the store, which takes time: they are made on a thread of their own, so
/// that others are served meanwhile.
async fn on_a_thread_that_waits(
    State(state): State<AppState>,
    request: Request,
    next: Next,
) -> Response {
    // The semaphore is never closed.
    let _turn = state.pages().acquire().await.ok();
    let here = tokio::runtime::Handle::current();
    match waits(move || here.block_on(next.run(request))).await {
        Ok(response) => response,
        Err(problem) => problem.into_response(),
    }
}

/// Does something that waits for the disk or computes, on a thread of its own.
pub(crate) async fn waits<T: Send + 'static>(
    job: impl FnOnce() -> T + Send + 'static,
) -> Result<T, Problem> {
    tokio::task::spawn_blocking(job).await.map_err(|_| {
        let status = axum::http::StatusCode::INTERNAL_SERVER_ERROR;
        Problem::new(status, "The program failed here. What was entered before is kept.")
    })
}
