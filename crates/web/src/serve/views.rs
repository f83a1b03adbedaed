//! What the engines say of a record, for programs: the same that the command line prints with `--json`.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::{Value, json};

use super::openapi::{Endpoint, Kind};
use super::problem::Problem;
use crate::study::Study;

/// What was asked for besides the case.
type Asked = BTreeMap<String, String>;

/// One of them.
pub(crate) struct View {
    name: &'static str,
    about: &'static str,
    asks: &'static [(&'static str, &'static str)],
    /// Makes it.
    pub(crate) make: fn(&Study, &Asked) -> Result<Value, Problem>,
}

impl View {
    /// Its address.
    pub(crate) fn endpoint(&self) -> Endpoint {
        let path = format!("/api/cases/{{id}}/{}", self.name);
        let endpoint = Endpoint::get(&path, self.about, Kind::Anything);
        self.asks.iter().fold(endpoint, |endpoint, (name, about)| endpoint.asking(name, about))
    }
}

const STATE: (&str, &str) = ("state", "Only this state");

/// All of them.
pub(crate) const VIEWS: &[View] = &[
    View {
        name: "review",
        about: "What fails, what cannot be told, what to find out",
        asks: &[],
        make: |study, _| plain(study.review()),
    },
    View {
        name: "states",
        about: "Volts and amperes in every state",
        asks: &[STATE],
        make: states,
    },
    View {
        name: "live",
        about: "Which conductors are energised, from where",
        asks: &[STATE],
        make: live,
    },
    View {
        name: "mains",
        about: "The mains side",
        asks: &[],
        make: |study, _| plain(&study.case().mains_view()),
    },
    View {
        name: "heat",
        about: "How warm wires and joints get",
        asks: &[],
        make: |study, _| plain(&study.case().heat()),
    },
    View {
        name: "fault-level",
        about: "What flows in a short circuit, and what opens",
        asks: &[STATE],
        make: fault_level,
    },
    View {
        name: "service",
        about: "What it takes to reach all that wants service",
        asks: &[],
        make: |study, _| plain(&study.case().service_table()),
    },
    View {
        name: "hatch",
        about: "Which new openings would save most",
        asks: &[],
        make: |study, _| plain(&study.case().hatch_table()),
    },
    View {
        name: "handover",
        about: "What a hand-over says: isolation, what was not seen, photos",
        asks: &[],
        make: |study, _| plain(study.handover()),
    },
    View {
        name: "next",
        about: "The next check or repair, with the suspects",
        asks: &[],
        make: |study, _| plain(&study.search().next),
    },
    View {
        name: "mends",
        about: "Repairs that cure and raise nothing, what was chosen, what has none and why",
        asks: &[],
        make: |study, _| plain(study.mends()),
    },
    View {
        name: "proof",
        about: "Readings that would show that a chosen repair failed, with expected values and limits",
        asks: &[],
        make: |study, _| plain(&*study.proof(&BTreeMap::new())),
    },
    View {
        name: "wayin",
        about: "The cheapest way in",
        asks: &[("to", "What to reach; several with commas between")],
        make: way_in,
    },
    View {
        name: "meter",
        about: "What an instrument would show",
        asks: &[("words", "Such as `volts house.+ to body`")],
        make: meter,
    },
];

fn plain<T: Serialize>(view: &T) -> Result<Value, Problem> {
    let failed = |fault: serde_json::Error| {
        Problem::new(axum::http::StatusCode::INTERNAL_SERVER_ERROR, fault.to_string())
    };
    serde_json::to_value(view).map_err(failed)
}

fn named<T: Serialize>(command: &str, key: &str, rows: &T) -> Result<Value, Problem> {
    Ok(json!({ "schema": format!("unbury.{command}/1"), key: plain(rows)? }))
}

/// Refuses a state that is not there.
fn known_state<'a>(study: &Study, asked: &'a Asked) -> Result<Option<&'a str>, Problem> {
    let known = study.case().state_names();
    match asked.get("state") {
        Some(state) if !known.contains(state) => {
            Err(Problem::bad(format!("There is no state `{state}`; known: {}.", known.join(", "))))
        }
        state => Ok(state.map(String::as_str)),
    }
}

fn states(study: &Study, asked: &Asked) -> Result<Value, Problem> {
    let state = known_state(study, asked)?;
    let mut views = study.case().state_views();
    views.retain(|view| state.is_none_or(|state| view.name == state));
    named("solve", "states", &views)
}

fn live(study: &Study, asked: &Asked) -> Result<Value, Problem> {
    let state = known_state(study, asked)?;
    let mut rows = study.case().live_rows();
    rows.retain(|row| state.is_none_or(|state| row.state == state));
    named("live", "conductors", &rows)
}

fn fault_level(study: &Study, asked: &Asked) -> Result<Value, Problem> {
    named("fault-level", "faults", &study.case().fault_level(known_state(study, asked)?))
}

fn way_in(study: &Study, asked: &Asked) -> Result<Value, Problem> {
    let targets = asked.get("to").map_or("", String::as_str).split(',').map(str::trim);
    let targets: Vec<String> = targets.filter(|to| !to.is_empty()).map(str::to_owned).collect();
    if targets.is_empty() {
        return named("wayin", "ways", &study.case().service_access());
    }
    let opening = study.case().opening(&targets).map_err(|unknown| {
        Problem::bad(format!("There is nothing to reach called {}.", unknown.join(", ")))
    })?;
    let ways: Vec<_> = targets.iter().filter_map(|to| study.case().way_in(to)).collect();
    let mut out = named("wayin", "ways", &ways)?;
    out["opening"] = plain(&opening)?;
    Ok(out)
}

fn meter(study: &Study, asked: &Asked) -> Result<Value, Problem> {
    let words = asked.get("words").map_or("", String::as_str);
    let rows = study.case().meter(words).map_err(Problem::bad)?;
    named("meter", "readings", &rows)
}
