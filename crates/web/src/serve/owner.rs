//! Links with which an owner reads the report of one case: given and taken back by a lead; and what
//! they open, which is the hand-over pack and nothing else.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Router;
use axum::extract::{Form, Path, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE, HOST,
};
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use maud::{Markup, html};
use pack::{Pack, PackFile};
use store::{CaseState, Followed, Link as Given};

use super::problem::Problem;
use super::state::{AppState, Link};
use super::visitor::Visitor;
use crate::look::frame::{self, Frame};
use crate::look::viewer::Viewer;

/// Days a link opens unless another number is asked for. Our choice.
const DAYS: u32 = 30;

/// What is said to whoever has a link that opens nothing: the same for all, so that nobody learns which
/// links there were.
const CLOSED: &str = "This link opens nothing: it has ended, was taken back, or was never given. \
                      Ask the workshop for a new one.";

/// A drawing brings its own colours; it may load and run nothing.
const DRAWING_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; \
                              frame-ancestors 'none'";

pub(crate) fn routes() -> Router<AppState> {
    Router::new()
        .route("/case/{id}/links", get(page).post(give))
        .route("/case/{id}/links/revoke", post(revoke))
        .route("/owner/{secret}", get(report))
        .route("/owner/{secret}/{file}", get(file))
}

type Fields = BTreeMap<String, String>;

async fn page(
    State(state): State<AppState>,
    visitor: Visitor,
    viewer: Viewer,
    Path(case): Path<String>,
) -> Result<Response, Problem> {
    visitor.must_lead()?;
    links_page(&state, &viewer, &case, None)
}

async fn give(
    State(state): State<AppState>,
    visitor: Visitor,
    viewer: Viewer,
    Path(case): Path<String>,
    headers: HeaderMap,
    Form(fields): Form<Fields>,
) -> Result<Response, Problem> {
    visitor.must_lead()?;
    let days = fields.get("days").and_then(|days| days.parse().ok()).unwrap_or(DAYS);
    let secret = state.store().give_link(&case, &visitor.who(), days)?;
    let host = headers.get(HOST).and_then(|host| host.to_str().ok()).unwrap_or("localhost");
    let scheme = if *state.link() == Link::Plain { "http" } else { "https" };
    links_page(&state, &viewer, &case, Some(&format!("{scheme}://{host}/owner/{secret}")))
}

async fn revoke(
    State(state): State<AppState>,
    visitor: Visitor,
    Path(case): Path<String>,
    Form(fields): Form<Fields>,
) -> Result<Redirect, Problem> {
    visitor.must_lead()?;
    state.store().revoke_link(&case, fields.get("name").map_or("", String::as_str))?;
    Ok(Redirect::to(&format!("/case/{case}/links")))
}

fn links_page(
    state: &AppState,
    viewer: &Viewer,
    case: &str,
    new: Option<&str>,
) -> Result<Response, Problem> {
    let opened = state.open(case)?;
    let (links, now) = (state.store().links(case)?, state.store().clock().seconds());
    let body = html! {
        div class="title" { h1 { "Links for the owner" }
            p { "Who has a link reads the report of this vehicle, without logging in, until it ends. Nothing else can be seen or changed with it." } }
        @if let Some(new) = new {
            section class="card big" role="status" { h2 { "The new link" }
                p { "It is shown this once. Send it to the owner only." }
                p { a class="fig" href=(new) { (new) } }
            }
        }
        section class="card" { h2 { "Given" }
            @if links.is_empty() { p { "None so far." } }
            ul class="rows" { @for link in &links { (row(case, link, now)) } }
        }
        form class="card" method="post" action={ "/case/" (case) "/links" } {
            label { "Opens for so many days" input name="days" type="number" min="1" max="366" value=(DAYS); }
            button class="main" { "Give a link" }
        }
    };
    let frame = Frame { title: "Links for the owner", viewer, case: Some(&opened), station: None };
    Ok(frame::page(&frame, &body).into_response())
}

fn row(case: &str, link: &Given, now: i64) -> Markup {
    let left_days = (link.ends - now + 24 * 3600 - 1).div_euclid(24 * 3600);
    html! {
        li { div class="pair" {
            span class="fig" { (link.name) }
            span class="quiet small" { "given by " (link.made_by) ", " (link.made.get(..10).unwrap_or("")) }
            @if let Some(revoked) = &link.revoked {
                span class="tag" { "taken back " (revoked.get(..10).unwrap_or("")) }
            } @else if link.ends < now {
                span class="tag" { "ended" }
            } @else {
                span { "opens " (left_days) " more days" }
                form class="line" method="post" action={ "/case/" (case) "/links/revoke" } {
                    input type="hidden" name="name" value=(link.name);
                    button { "Take back this link" span class="out" { " " (link.name) } }
                }
            }
        } }
    }
}

/// What a link opens.
struct Owned {
    case: Arc<CaseState>,
    pack: Arc<Pack>,
    /// The day on which it ends.
    last_day: String,
}

fn opened(state: &AppState, secret: &str) -> Result<Owned, Problem> {
    let closed = || Problem::new(StatusCode::NOT_FOUND, CLOSED);
    let Followed { case, last_day } = state.store().follow_link(secret)?.ok_or_else(closed)?;
    let case = state.store().case(&case)?;
    let failed = |fault: String| Problem::new(StatusCode::INTERNAL_SERVER_ERROR, fault);
    let pack = state.packs().of(state.store(), &case).map_err(failed)?;
    Ok(Owned { case, pack, last_day })
}

/// Groups of the files below the report: title, how their names end.
const GROUPS: [(&str, &[&str]); 3] =
    [("Drawings", &["svg"]), ("Photos", &["jpg"]), ("Tables", &["xlsx", "csv"])];

async fn report(
    State(state): State<AppState>,
    Path(secret): Path<String>,
) -> Result<Response, Problem> {
    let Owned { case, pack, last_day } = opened(&state, &secret)?;
    let is_report = |file: &&PackFile| file.name.starts_with("report.");
    let (first, others): (Vec<&PackFile>, Vec<&PackFile>) = pack.files.iter().partition(is_report);
    let address = |file: &PackFile| format!("/owner/{secret}/{}", file.name);
    let ends = |file: &PackFile| file.name.rsplit('.').next().unwrap_or("").to_owned();
    let group = |title: &str, files: &[&PackFile]| {
        html! { @if !files.is_empty() {
            details class="fold" { summary { (title) " (" (files.len()) ")" } div { ul class="rows" { @for file in files {
                li { a class="row" href=(address(file)) { (file.what) span class="quiet small fig" { (file.name) } } }
            } } } }
        } }
    };
    let of_group = |endings: &[&str]| -> Vec<&PackFile> {
        others.iter().copied().filter(|file| endings.contains(&ends(file).as_str())).collect()
    };
    let is_grouped =
        |file: &&PackFile| GROUPS.iter().any(|(_, of)| of.contains(&ends(file).as_str()));
    let rest: Vec<&PackFile> = others.iter().copied().filter(|file| !is_grouped(file)).collect();
    let body = html! {
        div class="title" { h1 { (case.title) }
            p { "From the workshop that has your vehicle. This page only shows; nothing can be changed here. It opens until " span class="fig" { (last_day) } "." } }
        section class="card big" { h2 { "The report" }
            @if first.is_empty() { p { "This program was built without the report; the tables below hold the same." } }
            @else { p { "What was found, what is dangerous, what not to use until it is put right, and what can be done about it." } }
            @for file in &first { p { a class="button main" href=(address(file)) { "Read the report (" (ends(file).to_uppercase()) ")" } } }
        }
        @for (title, endings) in GROUPS { (group(title, &of_group(endings))) }
        (group("For the next workshop and its programs", &rest))
    };
    Ok(([(CACHE_CONTROL, "no-store")], frame::plain(&case.title, &body)).into_response())
}

async fn file(
    State(state): State<AppState>,
    Path((secret, name)): Path<(String, String)>,
) -> Result<Response, Problem> {
    let Owned { pack, .. } = opened(&state, &secret)?;
    let file = pack.files.iter().find(|file| file.name == name);
    let file = file.ok_or_else(|| Problem::no_such("file"))?;
    let headers = [
        (CONTENT_TYPE, kind_of(&file.name)),
        (CACHE_CONTROL, "no-store"),
        (CONTENT_DISPOSITION, "inline"),
    ];
    let mut response = (headers, file.bytes.clone()).into_response();
    if file.name.ends_with(".svg") {
        response
            .headers_mut()
            .insert(CONTENT_SECURITY_POLICY, HeaderValue::from_static(DRAWING_POLICY));
    }
    Ok(response)
}

fn kind_of(name: &str) -> &'static str {
    match name.rsplit('.').next().unwrap_or("") {
        "pdf" => "application/pdf",
        "svg" => "image/svg+xml",
        "jpg" => "image/jpeg",
        "json" => "application/json",
        "csv" => "text/csv; charset=utf-8",
        "toml" | "cir" | "txt" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}
