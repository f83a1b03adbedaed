//! Forms that become changes of a case: what a form without script posts, taken into the journal.

use axum::Form;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use maud::html;
use store::{Answer, Authority, Change, Draft, Keep, Outcome, Who};

use crate::look::form::Fields;
use crate::look::frame::{self, Frame};
use crate::look::template::{self, escaped};
use crate::look::viewer::Viewer;
use crate::serve::{AppState, Opened};
use crate::station::{Station, nothing, spelling};

/// Takes a form in and goes on.
pub(crate) async fn take(
    State(state): State<AppState>,
    Path(id): Path<String>,
    viewer: Viewer,
    Form(given): Form<Vec<(String, String)>>,
) -> Response {
    let given = Fields(given);
    let taken = tokio::task::spawn_blocking(move || {
        let Ok(opened) = state.open(&id) else {
            return nothing(&viewer, "No such case", "It may have been closed.");
        };
        let back = back(&opened.id, &given);
        match changes(&opened, &given) {
            Ok(changes) => {
                // What the page showed that the form was made from.
                let head = opened.kept.head;
                let shown = given.get("base").and_then(|base| base.parse().ok());
                let base = shown.map_or(head, |shown: u64| shown.min(head));
                let refused = entered(&state, &opened, &viewer, changes, base);
                match refused.is_empty() {
                    true => Redirect::to(&back).into_response(),
                    false => refusal(&opened, &viewer, &back, &refused),
                }
            }
            Err(why) => refusal(&opened, &viewer, &back, &[why]),
        }
    });
    taken.await.unwrap_or_else(|_| StatusCode::INTERNAL_SERVER_ERROR.into_response())
}

/// Enters changes one after the other. What to tell the person of those that were not simply taken.
fn entered(
    state: &AppState,
    opened: &Opened,
    viewer: &Viewer,
    changes: Vec<Change>,
    base: u64,
) -> Vec<String> {
    let who = Who { name: viewer.name.clone().unwrap_or_default() };
    let mut told = Vec::new();
    for change in changes {
        let draft =
            Draft { id: state.new_id(), device: "form".to_owned(), at: state.now(), base, change };
        let Answer { outcome, message, .. } = state.enter(&opened.id, &who, &draft);
        match outcome {
            Outcome::Taken | Outcome::Already => {}
            Outcome::Conflict => told.push(format!(
                "Somebody else changed the same meanwhile; choose on the history page. {message}"
            )),
            Outcome::Refused => told.push(message),
        }
    }
    told
}

/// Where to go on: only within the case.
fn back(id: &str, given: &Fields) -> String {
    let home = format!("/case/{id}/");
    let wanted = given.get("back").filter(|back| back.starts_with(&home) && is_address(back));
    wanted.unwrap_or_else(|| Station::Arrival.address(id))
}

/// Whether it is an address of this server, and nothing else.
fn is_address(back: &str) -> bool {
    back.starts_with('/')
        && !back.contains("//")
        && back.bytes().all(|byte| byte.is_ascii_graphic() && byte != b'\\')
}

fn refusal(opened: &Opened, viewer: &Viewer, back: &str, why: &[String]) -> Response {
    let body = html! {
        div class="title" { h1 { "Not taken" } }
        section class="card big" role="alert" {
            @for why in why { p { (why) } }
            p { a class="button main" href=(back) { "Back" } }
        }
    };
    let frame = Frame { title: "Not taken", viewer, case: Some(opened), station: None };
    (StatusCode::UNPROCESSABLE_ENTITY, frame::page(&frame, &body)).into_response()
}

/// The changes of a form, or what is missing.
fn changes(case: &Opened, given: &Fields) -> Result<Vec<Change>, String> {
    let want = |name: &str| given.get(name).ok_or_else(|| missing(name));
    let yes = |name: &str| Ok::<bool, String>(want(name)? == "yes");
    let number =
        |name: &str| want(name)?.parse::<u64>().map_err(|_| format!("`{name}` is no number"));
    let change = match want("kind")?.as_str() {
        "line" if given.get("table").is_some() => {
            return paste(case, given.raw("text").unwrap_or_default());
        }
        "line" => return Ok(vec![line(case, given)?]),
        "put-in" => return put_in(case, &want("mend")?),
        "cured" => return cured(case),
        "spelling" => return Ok(vec![spelling::change(case, given)?]),
        "instead" => {
            let gone = Change::Remove {
                path: want("path")?,
                was: given.raw("was").map(ToOwned::to_owned),
            };
            return Ok(vec![gone, line(case, given)?]);
        }
        "value" => Change::Value {
            path: want("path")?,
            is: value(given)?,
            was: given.raw("was").map(ToOwned::to_owned),
        },
        "remove" => {
            Change::Remove { path: want("path")?, was: given.raw("was").map(ToOwned::to_owned) }
        }
        "text" => {
            let is = given.raw("is").ok_or_else(|| missing("is"))?.replace("\r\n", "\n");
            Change::Text { is, was: None }
        }
        "lines" => {
            let of = |name: &str| given.raw(name).unwrap_or_default().replace("\r\n", "\n");
            Change::Lines { from: of("from"), to: of("to") }
        }
        "note" => Change::Note { on: given.get("on"), words: want("words")? },
        "tick" => Change::Tick {
            list: want("list")?,
            step: want("step")?,
            reading: tick_reading(given)?,
            done: yes("done")?,
        },
        "authority" => Change::Authority(Authority {
            to: want("to")?,
            by: want("by")?,
            how: given.get("how"),
            up_to: given.get("up_to"),
            words: given.get("words"),
            given: yes("given")?,
        }),
        "undo" => Change::Undo { entry: want("entry")? },
        "choose" => Change::Choose {
            entry: want("entry")?,
            place: usize::try_from(number("place")?).unwrap_or_default(),
            keep: if want("keep")? == "other" { Keep::Other } else { Keep::Present },
        },
        other => return Err(format!("there is no change `{other}`")),
    };
    Ok(vec![change])
}

/// Everything a chosen repair changes. Refused as a whole when the record has changed since.
fn put_in(case: &Opened, name: &str) -> Result<Vec<Change>, String> {
    let chosen = case.study.case().chosen_mends();
    let mend = chosen.into_iter().find(|mend| mend.name == name);
    let mend = mend.ok_or_else(|| format!("no repair called `{name}` is chosen"))?;
    if mend.stands == "refused" {
        return Err(format!("{}: {}. Nothing was written.", mend.words, mend.why));
    }
    let change = |change: analysis::RecordChange| match change.is {
        Some(is) => Change::Value { path: change.path, is, was: change.was },
        None => Change::Remove { path: change.path, was: change.was },
    };
    let laid_aside = case.study.case().observed_before(name).map(line_of);
    Ok(mend.changes.into_iter().map(change).chain(laid_aside).collect())
}

fn line_of(line: analysis::RecordLine) -> Change {
    Change::Line { section: line.section, text: line.line }
}

/// The repair of the next step was made and what was complained of works.
fn cured(case: &Opened) -> Result<Vec<Change>, String> {
    let advice = case.as_it_stands().advice();
    let cured = advice.and_then(|advice| advice.cured.clone());
    let cured = cured.ok_or("the search has moved on since: look at the next step again")?;
    Ok(cured.lines.into_iter().map(line_of).collect())
}

fn missing(name: &str) -> String {
    format!("`{}` is missing: fill it in and send again", name.replace('_', " "))
}

/// The new value: what stands before the fact, the fact, what stands after it.
fn value(given: &Fields) -> Result<String, String> {
    let is = match given.raw("template") {
        Some(template) => {
            template::fill(template, &|name| given.get(name)).map_err(|name| missing(&name))?
        }
        None => {
            let is = given.get("is").ok_or_else(|| missing("is"))?;
            given.get("unit").map_or_else(|| is.clone(), |unit| in_unit(&is, &unit))
        }
    };
    let around = |name: &str| given.raw(name).unwrap_or_default();
    Ok(format!("{}{}{}", around("before"), is, around("after")))
}

/// What was read at a step: a field, or several in a template; where it is not done after all, nothing.
fn tick_reading(given: &Fields) -> Result<Option<String>, String> {
    match given.raw("template") {
        Some(template) => {
            let read = template::fill(template, &|name| given.get(name));
            read.map(Some).map_err(|name| missing(&name))
        }
        None => Ok(given.get("reading")),
    }
}

fn line(case: &Opened, given: &Fields) -> Result<Change, String> {
    let section = given.get("section").ok_or_else(|| missing("section"))?;
    let text = match given.get("template") {
        None => given.get("text").ok_or_else(|| missing("text"))?,
        Some(_) => {
            let given = with_unit(given);
            given.line(&free_name(case, &section, 0)).map_err(|name| missing(&name))?
        }
    };
    if text.contains(['\n', '\r']) {
        return Err("a line is one line: put the rest into a line of its own".to_owned());
    }
    Ok(Change::Line { section, text })
}

/// A value with its unit: put behind a bare number.
fn in_unit(value: &str, unit: &str) -> String {
    let figure = plain_figure(value);
    let is_bare = figure.parse::<f64>().is_ok();
    if is_bare { format!("{figure} {unit}") } else { value.to_owned() }
}

/// A figure with the signs a record takes.
fn plain_figure(value: &str) -> String {
    value.trim().replace(',', ".").replace('−', "-")
}

/// The same with the unit put behind a bare number, where the form has one.
fn with_unit(given: &Fields) -> Fields {
    let (Some(unit), Some(value)) = (given.get("unit"), given.get("value")) else {
        return given.clone();
    };
    let value = in_unit(&plain_figure(&value), &unit);
    let others = given.0.iter().filter(|(key, _)| key != "value").cloned();
    Fields(others.chain([("value".to_owned(), value)]).collect())
}

/// A name no line of the section has.
fn free_name(case: &Opened, section: &str, after: usize) -> String {
    let stem = match section {
        "wires" => "w",
        "readings" | "symptoms" => "check-",
        _ => "n",
    };
    let taken = |name: &str| {
        let text = &case.kept.text;
        text.lines().any(|line| {
            line.split('=').next().is_some_and(|key| key.trim().trim_matches('"') == name)
        })
    };
    let mut names = (1_usize..).map(|k| format!("{stem}{k}")).filter(|name| !taken(name));
    names.nth(after).unwrap_or_default()
}

/// A table of wires: name, from, to, then pieces of a wire line.
fn paste(case: &Opened, rows: &str) -> Result<Vec<Change>, String> {
    let mut changes = Vec::new();
    for row in rows.lines().filter(|row| !row.trim().is_empty()) {
        let mark = ['\t', ';', ','].into_iter().find(|mark| row.contains(*mark)).unwrap_or(',');
        let cells: Vec<&str> = row.split(mark).map(str::trim).collect();
        let [name, from, to, pieces @ ..] = cells.as_slice() else {
            return Err(format!("`{row}`: a wire needs a name, from and to"));
        };
        if from.eq_ignore_ascii_case("from") {
            continue;
        }
        let name = match *name {
            "" => free_name(case, "wires", changes.len()),
            name => name.to_owned(),
        };
        let pieces: Vec<&str> = pieces.iter().copied().filter(|piece| !piece.is_empty()).collect();
        let tail = pieces.iter().map(|piece| format!(", {piece}")).collect::<String>();
        let text = format!("{} = \"{}\"", key(&name), escaped(&format!("{from} to {to}{tail}")));
        changes.push(Change::Line { section: "wires".to_owned(), text });
    }
    if changes.is_empty() { Err("there is no wire in it".to_owned()) } else { Ok(changes) }
}

/// A name as it stands before `=`, or in a path.
pub(crate) fn key(name: &str) -> String {
    let is_plain = name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_');
    if is_plain { name.to_owned() } else { format!("\"{}\"", escaped(name)) }
}
