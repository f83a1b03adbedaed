//! Cases given out and taken in as files, and everything copied, from the browser: for leads.

use std::io::{Read as _, Write as _};

use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{DefaultBodyLimit, Multipart, Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use futures_util::stream;
use maud::html;
use store::PassingFile;

use super::problem::Problem;
use super::state::AppState;
use super::token;
use super::visitor::Visitor;
use super::waits;
use crate::look::frame::{self, Frame};
use crate::look::viewer::Viewer;

/// Longest file of a case that is taken in: some thousand photos.
const LONGEST_CASE: usize = 512 << 20;

/// Read and sent at once.
const PIECE: usize = 256 << 10;

pub(crate) fn routes() -> Router<AppState> {
    let take_in = post(take_in).layer(DefaultBodyLimit::max(LONGEST_CASE));
    Router::new()
        .route("/keep", get(page))
        .route("/keep/case", take_in)
        .route("/keep/backup", post(backup))
        .route("/case/{id}/export", get(export))
}

async fn page(visitor: Visitor, viewer: Viewer) -> Result<Response, Problem> {
    visitor.must_lead()?;
    let body = html! {
        div class="title" { h1 { "Keep and move" } p { "Copies of everything, and single cases from or to another machine." } }
        section class="card" { h2 { "Backup" }
            p { "One file with all cases, photos and people. Others go on working meanwhile. Keep it in another building; whoever has it can read everything in it." }
            form method="post" action="/keep/backup" { button class="main" { "Make a backup and fetch it" } }
            p class="quiet" { "To use it: unpack it into a folder, then on the machine itself " code { "unbury restore FOLDER --data NEW-FOLDER" } "." }
        }
        section class="card" { h2 { "Take in a case" }
            p { "A file that another machine gave out under Hand over. If the case is here already, the longer journal goes on from the shorter; if both were worked on apart, it is refused and nothing changes." }
            form method="post" action="/keep/case" enctype="multipart/form-data" {
                label { "File of a case" input type="file" name="file" accept=".unbury-case" required; }
                button class="main" { "Take it in" }
            }
        }
    };
    let frame = Frame { title: "Keep and move", viewer: &viewer, case: None, station: None };
    Ok(frame::page(&frame, &body).into_response())
}

async fn backup(State(state): State<AppState>, visitor: Visitor) -> Result<Response, Problem> {
    visitor.must_lead()?;
    let store = state.store().clone();
    let (done, file) = waits(move || store.backup_file()).await??;
    let day: String = done.made.chars().take(10).collect();
    sent(file, &format!("unbury-backup-{day}.zip"))
}

async fn export(
    State(state): State<AppState>,
    visitor: Visitor,
    Path(case): Path<String>,
) -> Result<Response, Problem> {
    visitor.must_lead()?;
    let (store, id) = (state.store().clone(), case.clone());
    let file = waits(move || store.case_file(&id)).await??;
    let stem: String = case.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '-').collect();
    sent(file, &format!("{stem}.unbury-case"))
}

/// A file, piece by piece.
fn sent(file: PassingFile, name: &str) -> Result<Response, Problem> {
    let length = file.length()?;
    let pieces = stream::unfold(Some(file), |file| async {
        let mut file = file?;
        let read = waits(move || {
            let mut piece = vec![0; PIECE];
            file.read(&mut piece).map(|length| {
                piece.truncate(length);
                (piece, file)
            })
        });
        match read.await {
            Ok(Ok((piece, _))) if piece.is_empty() => None,
            Ok(Ok((piece, file))) => Some((Ok(Bytes::from(piece)), Some(file))),
            Ok(Err(fault)) => Some((Err(fault), None)),
            Err(_) => Some((Err(std::io::Error::other("reading ended")), None)),
        }
    });
    let headers = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        (header::CONTENT_LENGTH, length.to_string()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
        (header::CACHE_CONTROL, "no-store, private".to_owned()),
    ];
    Ok((headers, Body::from_stream(pieces)).into_response())
}

async fn take_in(
    State(state): State<AppState>,
    visitor: Visitor,
    mut form: Multipart,
) -> Result<Redirect, Problem> {
    visitor.must_lead()?;
    let mut is_ours = false;
    while let Some(part) = form.next_field().await.map_err(|fault| broken(&fault))? {
        match part.name() {
            Some("token") => {
                let given = part.bytes().await.map_err(|fault| broken(&fault))?;
                is_ours = token::is_same(&given, &visitor.token);
            }
            // The token stands first in every form of ours, so nothing is taken before it is known.
            Some("file") if is_ours => {
                let mut file = received(&state, part).await?;
                let store = state.store().clone();
                let taken = waits(move || {
                    file.begin()?;
                    store.read_case(file)
                });
                let taken = taken.await??;
                return Ok(Redirect::to(&format!("/case/{}/history", taken.case)));
            }
            Some("file") => return Err(Problem::forbidden(token::STALE)),
            _ => {}
        }
    }
    Err(if is_ours {
        Problem::bad("There is no file in what was sent.")
    } else {
        Problem::forbidden(token::STALE)
    })
}

async fn received(state: &AppState, mut part: Field<'_>) -> Result<PassingFile, Problem> {
    let mut file = state.store().passing()?;
    while let Some(piece) = part.chunk().await.map_err(|fault| broken(&fault))? {
        let written = waits(move || file.write_all(&piece).map(|()| file)).await?;
        file = written.map_err(|fault| {
            let words = format!("The file could not be kept here: {fault}.");
            Problem::new(StatusCode::INSUFFICIENT_STORAGE, words)
        })?;
    }
    Ok(file)
}

fn broken(fault: &MultipartError) -> Problem {
    Problem::new(fault.status(), format!("The file did not arrive whole: {}.", fault.body_text()))
}
