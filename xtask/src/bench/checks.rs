//! How long all checks take, and whether the time grows no faster than the vehicle.

use std::process::{Command, Stdio};

use anyhow::{Context as _, Result};
use serde_json::Value;

use super::{Line, Target, built_example, line, spread};
use crate::shell::printed;

/// A vehicle of 300 wires and 100 parts, one core.
const CHECKS_MS: f64 = 40.0;
/// Times longer for each wire of the largest vehicle than for each of the smallest; what a straight
/// line may waver on a machine that is shared.
const TIMES_PER_WIRE: f64 = 3.0;

pub(super) fn checks() -> Result<Vec<Line>> {
    let example = built_example("analysis", "check_speed")?;
    let text = printed(Command::new(&example).stdin(Stdio::null()))?;
    let answer: Value = serde_json::from_str(&text).context("the example printed no JSON")?;
    let mut lines = Vec::new();
    let mut each_us = Vec::new();
    for row in answer.as_array().context("no list of sizes")? {
        let wires = row["wires"].as_f64().context("no `wires`")?;
        let times = row["times_ms"].as_array().context("no `times_ms`")?;
        let times = spread(times.iter().filter_map(Value::as_f64).collect())?;
        each_us.push(1e3 * times.median / wires);
        let target = if lines.is_empty() { Target::AtMost(CHECKS_MS) } else { Target::None };
        lines.push(line(&format!("all checks, {wires} wires, ms"), times, target));
    }
    let (Some(first), Some(last)) = (each_us.first(), each_us.last()) else { return Ok(lines) };
    let growth = spread(vec![last / first])?;
    let name = "the same for each wire, largest over smallest";
    lines.push(line(name, growth, Target::AtMost(TIMES_PER_WIRE)));
    Ok(lines)
}
