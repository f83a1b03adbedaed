//! How long a search for a fault takes: after one more reading, and for the next check, on invented
//! vehicles of 150 wires.

use std::process::{Command, Stdio};

use anyhow::{Context as _, Result};
use serde_json::Value;

use super::{Line, Target, built_example, line, spread};
use crate::shell::printed;

const UPDATE_MS: f64 = 150.0;
const NEXT_MS: f64 = 1_000.0;

/// Every search of the example once.
pub(super) fn search() -> Result<Vec<Line>> {
    let example = built_example("diagnose", "search_speed")?;
    let text = printed(Command::new(&example).stdin(Stdio::null()))?;
    let answer: Value = serde_json::from_str(&text).context("the example printed no JSON")?;
    let times = |key: &str| -> Result<Vec<f64>> {
        let list = answer[key].as_array().with_context(|| format!("no `{key}`"))?;
        Ok(list.iter().filter_map(Value::as_f64).collect())
    };
    Ok(vec![
        line("suspects after the complaint, ms", spread(times("first_ms")?)?, Target::None),
        line(
            "suspects after one more reading, ms",
            spread(times("update_ms")?)?,
            Target::AtMost(UPDATE_MS),
        ),
        line("next check, ms", spread(times("next_ms")?)?, Target::AtMost(NEXT_MS)),
    ])
}
