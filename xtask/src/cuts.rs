//! The cheapest set of openings against minimum cuts of networkx (<https://networkx.org>), on 200
//! questions in which costs add. Knows how to start both; does not know how either works.

use std::fs;
use std::process::{Command, Stdio};

use anyhow::{Context as _, Result, ensure};
use serde_json::Value;

use crate::files::root;
use crate::setup::{NETWORKS, python_tool};
use crate::shell::{cargo, printed, run, target_folder};

const REFERENCE: &str = "crates/dead/tests/reference.py";
const QUESTIONS: usize = 200;

/// The same least cost on every question.
pub(crate) fn compare() -> Result<()> {
    run(&mut cargo(&["build", "--locked", "--package", "dead", "--example", "cuts"]))?;
    let example = target_folder().join("debug/examples/cuts");
    let questions = target_folder().join("cuts.json");
    fs::write(&questions, printed(Command::new(example).arg(QUESTIONS.to_string()))?)?;
    let mut reference = Command::new(python_tool(NETWORKS)?.join("python"));
    reference.arg(root().join(REFERENCE)).stdin(Stdio::from(fs::File::open(&questions)?));
    let output = reference.output()?;
    let text = String::from_utf8_lossy(&output.stdout);
    let verdicts: Vec<Value> = text
        .lines()
        .map(|line| serde_json::from_str(line).context("a line of JSON"))
        .collect::<Result<_>>()?;
    let complaint = String::from_utf8_lossy(&output.stderr);
    ensure!(verdicts.len() == QUESTIONS, "{} of {QUESTIONS} judged\n{complaint}", verdicts.len());
    let different: Vec<String> = verdicts
        .iter()
        .filter(|verdict| verdict["verdict"] != "same")
        .map(ToString::to_string)
        .collect();
    ensure!(different.is_empty(), "not the same as networkx:\n{}", different.join("\n"));
    // A comparison of nothing but empty cuts would say little.
    let cut = verdicts.iter().filter(|v| v["least"].as_f64().is_some_and(|least| least > 0.0));
    let cut = cut.count();
    ensure!(cut >= QUESTIONS / 2, "only {cut} questions needed a cut");
    println!("{QUESTIONS} sets of openings, the same least cost each time ({cut} not empty)");
    Ok(())
}
