//! Entries from plain forms, for pages whose script does not run: the same fields, one entry.

use std::collections::BTreeMap;

use axum::Router;
use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::post;
use serde_json::{Map, Value};
use store::{Change, Draft, Outcome};

use super::door::own_address;
use super::entries::Sent;
use super::problem::{Problem, sentence};
use super::state::AppState;
use super::visitor::Visitor;

pub(crate) fn routes() -> Router<AppState> {
    Router::new().route("/case/{id}/form", post(form)).route("/cases", post(new_case))
}

type Fields = BTreeMap<String, String>;

/// Fields that speak about the form, not about the change.
const ABOUT: [&str; 7] = ["kind", "token", "back", "id", "device", "at", "base"];

async fn form(
    State(state): State<AppState>,
    visitor: Visitor,
    Path(case): Path<String>,
    Form(fields): Form<Fields>,
) -> Result<Response, Problem> {
    visitor.check_token(fields.get("token").map_or("", String::as_str))?;
    let change = change_of(&fields)?;
    let answer = state.enter(&visitor, &case, change, &sent_with(&fields))?;
    if answer.outcome == Outcome::Conflict {
        return Ok(Redirect::to(&format!("/case/{case}/history#choose")).into_response());
    }
    let arrival = format!("/case/{case}/arrival");
    let back = fields.get("back").map_or(arrival.as_str(), |back| own_address(Some(back)));
    Ok(Redirect::to(back).into_response())
}

fn sent_with(fields: &Fields) -> Sent {
    let given = |name: &str| fields.get(name).filter(|text| !text.is_empty()).cloned();
    Sent {
        id: given("id"),
        device: given("device"),
        at: given("at"),
        base: given("base").and_then(|base| base.parse().ok()),
    }
}

/// The change that the fields of a form name: `kind`, and the parts of the change by their names.
fn change_of(fields: &Fields) -> Result<Change, Problem> {
    let kind = fields.get("kind").map_or("", String::as_str);
    let parts = fields
        .iter()
        .filter(|(name, text)| !ABOUT.contains(&name.as_str()) && !text.is_empty())
        .map(|(name, text)| (name.clone(), part_of(name, text)));
    let mut parts: Map<String, Value> = parts.collect();
    for yes_or_no in [("tick", "done"), ("authority", "given")] {
        if kind == yes_or_no.0 {
            parts.entry(yes_or_no.1).or_insert(Value::Bool(kind == "tick"));
        }
    }
    let change = Value::Object(Map::from_iter([(kind.to_owned(), Value::Object(parts))]));
    serde_json::from_value(change)
        .map_err(|fault| Problem::bad(sentence(&format!("the form cannot be read: {fault}"))))
}

fn part_of(name: &str, text: &str) -> Value {
    match name {
        "done" | "given" => Value::Bool(!matches!(text, "false" | "no" | "0" | "off")),
        "place" => text.parse::<u64>().map_or(Value::Null, Value::from),
        // Browsers end lines of forms with CR LF (HTML, form submission); records end them with LF.
        _ => Value::String(text.replace("\r\n", "\n")),
    }
}

async fn new_case(
    State(state): State<AppState>,
    visitor: Visitor,
    Form(fields): Form<Fields>,
) -> Result<Response, Problem> {
    visitor.check_token(fields.get("token").map_or("", String::as_str))?;
    let given =
        |name: &str| fields.get(name).map(|text| text.trim()).filter(|text| !text.is_empty());
    let title = given("title").ok_or_else(|| Problem::bad("Give the vehicle a name."))?;
    let text = match given("text") {
        Some(text) => format!("{}\n", text.replace("\r\n", "\n")),
        None => beginning(title, given("region"), given("system")),
    };
    let sent = sent_with(&fields);
    let draft = Draft {
        id: sent.id.unwrap_or_else(store::new_id),
        device: sent.device.unwrap_or_else(|| "page".to_owned()),
        at: sent.at.unwrap_or_else(|| state.store().clock().text()),
        base: 0,
        change: Change::Open { title: title.to_owned(), text },
    };
    let case = state.store().new_case(&visitor.who(), draft)?;
    Ok(Redirect::to(&format!("/case/{case}/arrival")).into_response())
}

/// The record of a vehicle nothing is known of.
fn beginning(title: &str, region: Option<&str>, system: Option<&str>) -> String {
    // A text of JSON without line ends is one of TOML.
    let quoted = |text: &str| Value::from(text.replace(['\n', '\r', '\u{7f}'], " ")).to_string();
    let mut text = format!("unbury = 1\n\n[vehicle]\nname = {}\n", quoted(title));
    for (key, value) in [("region", region), ("system", system)] {
        if let Some(value) = value {
            text.push_str(&format!("{key} = {}\n", quoted(value)));
        }
    }
    text
}
