//! Changes of a case told to the pages that show it (server-sent events, HTML Living Standard, 9.2).

use core::convert::Infallible;
use core::time::Duration;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use futures_util::stream;
use tokio::sync::broadcast::error::RecvError;
use tokio::sync::{broadcast, watch};
use tokio::time::Instant;

use super::problem::Problem;
use super::state::AppState;
use super::visitor::Visitor;
use super::waits;

/// A sign of life this often keeps what stands between from closing the connection.
const ALIVE: Duration = Duration::from_secs(15);

/// A page asks anew after this long, so that a session that ended ends this too.
const LONGEST: Duration = Duration::from_secs(600);

pub(crate) fn routes() -> Router<AppState> {
    Router::new().route("/case/{id}/events", get(events))
}

struct Listening {
    state: AppState,
    case: String,
    changes: broadcast::Receiver<(String, u64)>,
    closing: watch::Receiver<bool>,
    ends: Instant,
    first: Option<u64>,
}

async fn events(
    State(state): State<AppState>,
    _: Visitor,
    Path(case): Path<String>,
) -> Result<Response, Problem> {
    let (changes, closing) = (state.changes(), state.closing());
    let (store, asked) = (state.store().clone(), case.clone());
    let head = waits(move || store.head(&asked)).await??;
    let ends = Instant::now() + LONGEST;
    let listening = Listening { state, case, changes, closing, ends, first: Some(head) };
    let told = stream::unfold(listening, |mut listening| async {
        let head = listening.next().await?;
        let event = Event::default().event("changed").data(head.to_string());
        Some((Ok::<_, Infallible>(event), listening))
    });
    Ok(Sse::new(told).keep_alive(KeepAlive::new().interval(ALIVE)).into_response())
}

impl Listening {
    /// The next number to tell; nothing when the program ends or it has gone on long enough.
    async fn next(&mut self) -> Option<u64> {
        if let Some(first) = self.first.take() {
            return Some(first);
        }
        loop {
            let change = tokio::select! {
                change = self.changes.recv() => change,
                _ = self.closing.wait_for(|closing| *closing) => return None,
                () = tokio::time::sleep_until(self.ends) => return None,
            };
            match change {
                Ok((case, head)) if case == self.case => return Some(head),
                Ok(_) => {}
                Err(RecvError::Closed) => return None,
                Err(RecvError::Lagged(_)) => {
                    let (store, case) = (self.state.store().clone(), self.case.clone());
                    return waits(move || store.head(&case)).await.ok()?.ok();
                }
            }
        }
    }
}
