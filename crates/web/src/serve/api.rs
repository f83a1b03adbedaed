//! Results and entries for programs, as JSON. One table says which addresses there are; the router and
//! the description are both made from it, so neither can know one that the other does not.

use std::collections::BTreeMap;

use axum::extract::{Json, Path, Query, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{MethodRouter, get, post};
use axum::{Router, middleware};
use serde_json::{Value, json};
use store::{Answer, CaseRow, CaseState, Draft, HistoryRow};

use super::openapi::{Endpoint, Kind, document};
use super::problem::Problem;
use super::state::AppState;
use super::views::{VIEWS, View};
use super::visitor::Visitor;
use super::{entries, on_a_thread_that_waits};

/// Entries of the history that are given at once unless another number is asked for.
const ROWS: usize = 200;

type Asked = Query<BTreeMap<String, String>>;

/// An address with what it is and who answers.
struct Row {
    endpoint: Endpoint,
    answers: MethodRouter<AppState>,
}

fn row(endpoint: Endpoint, answers: MethodRouter<AppState>) -> Row {
    Row { endpoint, answers }
}

/// All of them.
fn table() -> Vec<Row> {
    let views = VIEWS.iter().map(|view| {
        row(view.endpoint(), get(move |state, path, asked| of_view(view, state, path, asked)))
    });
    of_cases().into_iter().chain(of_one_case()).chain(of_the_program()).chain(views).collect()
}

fn of_cases() -> Vec<Row> {
    vec![
        row(
            Endpoint::get(
                "/api/cases",
                "Every case, the last changed first",
                Kind::of::<Vec<CaseRow>>(),
            ),
            get(cases),
        ),
        row(
            Endpoint::post(
                "/api/cases",
                "Opens a case; the same draft twice opens one",
                Kind::of::<CaseRow>(),
            )
            .taking(Kind::of::<Draft>()),
            post(new_case),
        ),
    ]
}

fn of_one_case() -> Vec<Row> {
    vec![
        row(
            Endpoint::get(
                "/api/cases/{id}",
                "What a case looks like: its record, photos, ticks, notes, conflicts",
                Kind::of::<CaseState>(),
            ),
            get(case),
        ),
        row(
            Endpoint::get(
                "/api/cases/{id}/history",
                "The journal, newest first",
                Kind::of::<Vec<HistoryRow>>(),
            )
            .asking("before", "Only entries before this number")
            .asking("most", "At most so many; 200 unless asked for"),
            get(history),
        ),
        row(
            Endpoint::post(
                "/api/cases/{id}/entries",
                "Takes entries in, in order; each is answered, and the same id twice is taken once",
                Kind::of::<Vec<Answer>>(),
            )
            .taking(Kind::of::<Vec<Draft>>()),
            post(entries::entries),
        ),
        row(
            Endpoint::get(
                "/api/cases/{id}/file",
                "The case as one file: journal, photos, record",
                Kind::File("application/zip"),
            ),
            get(case_file),
        ),
        row(
            Endpoint::get(
                "/api/cases/{id}/record",
                "The record as text",
                Kind::File("application/toml"),
            ),
            get(record),
        ),
    ]
}

fn of_the_program() -> Vec<Row> {
    vec![
        row(Endpoint::get("/api/kinds", "Kinds of devices", Kind::Anything), get(kinds)),
        row(
            Endpoint::get("/api/record-schema", "JSON Schema of a record", Kind::Anything),
            get(record_schema),
        ),
    ]
}

pub(crate) fn routes(state: &AppState) -> Router<AppState> {
    let mut by_path: BTreeMap<String, MethodRouter<AppState>> = BTreeMap::new();
    for Row { endpoint, answers } in table() {
        let known = by_path.remove(&endpoint.path).unwrap_or_default();
        by_path.insert(endpoint.path, known.merge(answers));
    }
    by_path
        .into_iter()
        .fold(Router::new(), |router, (path, answers)| router.route(&path, answers))
        .route_layer(middleware::from_fn_with_state(state.clone(), on_a_thread_that_waits))
        .route("/api/openapi.json", get(description))
        .route("/api", get(|| async { Redirect::to("/api/openapi.json") }))
}

/// Every address, for the description and its test.
pub(crate) fn endpoints() -> Vec<Endpoint> {
    table().into_iter().map(|row| row.endpoint).collect()
}

async fn description() -> Json<Value> {
    Json(document(&endpoints()))
}

async fn cases(State(state): State<AppState>, _: Visitor) -> Result<Json<Vec<CaseRow>>, Problem> {
    Ok(Json(state.store().cases()?))
}

async fn new_case(
    State(state): State<AppState>,
    visitor: Visitor,
    Json(draft): Json<Draft>,
) -> Result<Json<CaseRow>, Problem> {
    let id = state.store().new_case(&visitor.who(), draft)?;
    let row = state.store().cases()?.into_iter().find(|row| row.id == id);
    row.map(Json).ok_or_else(|| Problem::no_such("case"))
}

async fn case(
    State(state): State<AppState>,
    _: Visitor,
    Path(id): Path<String>,
) -> Result<Json<CaseState>, Problem> {
    Ok(Json(state.store().case(&id)?.as_ref().clone()))
}

async fn history(
    State(state): State<AppState>,
    _: Visitor,
    Path(id): Path<String>,
    Query(asked): Asked,
) -> Result<Json<Vec<HistoryRow>>, Problem> {
    let number = |name: &str| match asked.get(name).map(|text| text.parse::<u64>()) {
        None => Ok(None),
        Some(Ok(number)) => Ok(Some(number)),
        Some(Err(_)) => Err(Problem::bad(format!("`{name}` wants a whole number."))),
    };
    let most = number("most")?.and_then(|most| usize::try_from(most).ok()).unwrap_or(ROWS);
    Ok(Json(state.store().history(&id, number("before")?, most)?))
}

async fn case_file(
    State(state): State<AppState>,
    _: Visitor,
    Path(id): Path<String>,
) -> Result<Response, Problem> {
    let mut file = std::io::Cursor::new(Vec::new());
    state.store().write_case(&id, &mut file)?;
    let headers = [
        (CONTENT_TYPE, "application/zip".to_owned()),
        (CONTENT_DISPOSITION, format!("attachment; filename=\"{id}.unbury-case\"")),
    ];
    Ok((headers, file.into_inner()).into_response())
}

async fn record(
    State(state): State<AppState>,
    _: Visitor,
    Path(id): Path<String>,
) -> Result<Response, Problem> {
    let text = state.store().case(&id)?.text.clone();
    Ok(([(CONTENT_TYPE, "application/toml; charset=utf-8")], text).into_response())
}

async fn kinds(_: Visitor) -> Json<Value> {
    Json(json!({ "schema": "unbury.kinds/1", "kinds": analysis::kinds() }))
}

async fn record_schema(_: Visitor) -> Json<Value> {
    Json(analysis::record_schema())
}

async fn of_view(
    view: &'static View,
    State(state): State<AppState>,
    Path(id): Path<String>,
    Query(asked): Asked,
) -> Result<Json<Value>, Problem> {
    let opened = state.open(&id)?;
    (view.make)(opened.as_it_stands(), &asked).map(Json)
}

#[cfg(test)]
mod tests;
