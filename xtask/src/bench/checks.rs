//! How long all checks take in processor time, and whether it grows no faster than the vehicle: were it to
//! grow with the square, each wire of 10,000 would take 33 times as long as each of 300.

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
        let shorts: Vec<f64> = row["times_with_shorts_ms"]
            .as_array()
            .map_or_else(Vec::new, |times| times.iter().filter_map(Value::as_f64).collect());
        if !shorts.is_empty() {
            let target = if lines.is_empty() { Target::AtMost(CHECKS_MS) } else { Target::None };
            lines.push(line(&format!("all checks, {wires} wires, ms"), spread(shorts)?, target));
        }
        lines.push(line(&format!("  without short circuits, {wires} wires"), times, Target::None));
        for (key, what) in
            [("study_ms", "the study of short circuits, ms"), ("peak_mb", "most memory so far, MB")]
        {
            if let Some(figure) = row[key].as_f64() {
                lines.push(line(&format!("  {what}"), spread(vec![figure])?, Target::None));
            }
        }
    }
    let (Some(first), Some(last)) = (each_us.first(), each_us.last()) else { return Ok(lines) };
    let growth = spread(vec![last / first])?;
    let name = "the same for each wire, largest over smallest";
    lines.push(line(name, growth, Target::AtMost(TIMES_PER_WIRE)));
    Ok(lines)
}
