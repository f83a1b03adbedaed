//! How long the live map and plans for making dead take on an invented vehicle of 300 wires.

use std::process::{Command, Stdio};

use anyhow::{Context as _, Result};
use serde_json::Value;

use super::{Line, Target, built_example, line, spread};
use crate::shell::printed;

const MAP_MS: f64 = 10.0;
const PLAN_MS: f64 = 200.0;

/// Every state's map, and plans for areas spread over the record.
pub(super) fn dead() -> Result<Vec<Line>> {
    let example = built_example("analysis", "dead_times")?;
    let mut command = Command::new(&example);
    let text = printed(command.args(["300", "60", "40"]).stdin(Stdio::null()))?;
    let answers: Vec<Value> = text
        .lines()
        .map(|line| serde_json::from_str(line).context("a line of JSON"))
        .collect::<Result<_>>()?;
    let of = |what: &str| -> Vec<f64> {
        let rows = answers.iter().filter(|row| row["what"] == what);
        rows.filter_map(|row| row["ms"].as_f64()).collect()
    };
    let slowest = of("plan").into_iter().fold(0.0, f64::max);
    Ok(vec![
        line(
            "live map with its network, 300 wires, ms",
            spread(of("map"))?,
            Target::AtMost(MAP_MS),
        ),
        line("dead plan, 300 wires, ms", spread(of("plan"))?, Target::AtMost(PLAN_MS)),
        line("  slowest of these", spread(vec![slowest])?, Target::AtMost(PLAN_MS)),
    ])
}
