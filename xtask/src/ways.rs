//! Ways in against a general solver: the same least cost on 200 questions, and how fast.
//!
//! The planner's answers come from `access`'s example `ways`, the reference's from HiGHS
//! (<https://highs.dev>) through `crates/access/tests/reference.py`, which writes each question as
//! an integer linear programme of its own. Knows how to start both and what is promised; does not
//! know how either works.

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use anyhow::{Context as _, Result, ensure};
use serde_json::Value;

use crate::bench::{Line, Target, built_example, line, spread};
use crate::files::root;
use crate::setup::{PROGRAMME_SOLVER, python_tool};
use crate::shell::{cargo, printed, run, target_folder};

const REFERENCE: &str = "crates/access/tests/reference.py";
/// Time the reference may take for one question, in seconds.
const REFERENCE_LIMIT_S: &str = "120";
const KINDS: [&str; 5] = ["van", "tangle", "cover", "nest", "choice"];
const SIXTY_PARTS_MS: f64 = 20.0;
const ALL_PARTS_MS: f64 = 100.0;
const WORST_MS: f64 = 2_000.0;
const WORST_GAP: f64 = 0.01;
const TIMES_FASTER_THAN_HIGHS: f64 = 10.0;

/// 200 questions of 30 to 120 parts: the reference finds nothing cheaper and nothing dearer.
pub(crate) fn compare() -> Result<()> {
    run(&mut cargo(&["build", "--locked", "--package", "access", "--example", "ways"]))?;
    let example = target_folder().join("debug/examples/ways");
    let verdicts = judged(Command::new(example).arg("graphs"), "questions.json")?;
    ensure!(verdicts.len() == 200, "{} questions instead of 200", verdicts.len());
    let different: Vec<String> = verdicts
        .iter()
        .filter(|verdict| verdict["verdict"] != "same")
        .map(ToString::to_string)
        .collect();
    ensure!(different.is_empty(), "not the same as the reference:\n{}", different.join("\n"));
    println!("200 questions, the same least cost each time");
    Ok(())
}

/// What the reference says to the questions that `ask` prints.
fn judged(ask: &mut Command, name: &str) -> Result<Vec<Value>> {
    let questions = target_folder().join(name);
    fs::write(&questions, printed(ask)?)?;
    let python: PathBuf = python_tool(PROGRAMME_SOLVER)?.join("python");
    let mut reference = Command::new(python);
    reference.arg(root().join(REFERENCE)).arg(REFERENCE_LIMIT_S);
    let output = reference.stdin(Stdio::from(fs::File::open(&questions)?)).output()?;
    let verdicts = objects(&String::from_utf8_lossy(&output.stdout))?;
    let complaint = String::from_utf8_lossy(&output.stderr);
    ensure!(!verdicts.is_empty(), "{REFERENCE} judged nothing\n{complaint}");
    Ok(verdicts)
}

/// The lines that are JSON objects; the solver greets on the same stream.
fn objects(text: &str) -> Result<Vec<Value>> {
    let lines = text.lines().filter(|line| line.starts_with('{'));
    lines.map(|line| serde_json::from_str(line).context("a line of JSON")).collect()
}

fn number(value: &Value, key: &str) -> Result<f64> {
    value[key].as_f64().with_context(|| format!("no number `{key}` in {value}"))
}

/// The lines of the benchmark's table.
pub(crate) fn bench() -> Result<Vec<Line>> {
    let example = built_example("access", "ways")?;
    let time = |parts: &str, removals: &str| {
        objects(&printed(Command::new(&example).args(["time", parts, removals, "40"]))?)
    };
    let mut lines = Vec::new();
    let answers = time("60", "150")?;
    lines.push(times("200 ways in, 60 parts, ms", &answers, Target::AtMost(SIXTY_PARTS_MS))?);
    lines.extend(by_kind(60, &answers)?);
    let answers = time("120", "300")?;
    lines.push(times("200 ways in, 120 parts, ms", &answers, Target::AtMost(ALL_PARTS_MS))?);
    lines.extend(by_kind(120, &answers)?);
    lines.extend(slow_ones(&answers)?);
    let judged =
        judged(Command::new(&example).args(["questions", "60", "150", "3"]), "timed.json")?;
    let ratios: Result<Vec<f64>> =
        judged.iter().map(|v| Ok(number(v, "highs_ms")? / number(v, "ms")?)).collect();
    let target = Target::AtLeast(TIMES_FASTER_THAN_HIGHS);
    lines.push(line("HiGHS / way in, 60 parts, times", spread(ratios?)?, target));
    Ok(lines)
}

fn times(name: &str, answers: &[Value], target: Target) -> Result<Line> {
    let times: Result<Vec<f64>> = answers.iter().map(|answer| number(answer, "ms")).collect();
    Ok(line(name, spread(times?)?, target))
}

fn by_kind(parts: usize, answers: &[Value]) -> Result<Vec<Line>> {
    let of = |kind: &str| -> Vec<Value> {
        answers.iter().filter(|answer| answer["kind"] == kind).cloned().collect()
    };
    let lines = KINDS.iter().map(|kind| {
        times(&format!("  of these \"{kind}\", {parts} parts, ms"), &of(kind), Target::None)
    });
    lines.collect()
}

/// How many answers took too long and are not nearly proved, and the widest gap stated.
fn slow_ones(answers: &[Value]) -> Result<Vec<Line>> {
    let (mut slow, mut gaps) = (0.0, Vec::new());
    for answer in answers {
        let gap = number(answer, "gap")?;
        let fine = gap <= WORST_GAP && (gap > 0.0 || number(answer, "ms")? <= WORST_MS);
        slow += f64::from(u8::from(!fine));
        gaps.push(gap * 100.0);
    }
    Ok(vec![
        line("  of 200: neither 2 s nor 1 %, number", spread(vec![slow])?, Target::AtMost(0.0)),
        line("  gap stated, %", spread(gaps)?, Target::None),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_greeting_between_the_lines_is_passed_over() {
        let found = objects("Running a solver\n{\"ms\":1.5}\n").unwrap();
        assert_eq!(found, [json!({"ms": 1.5})]);
        assert!(number(&found[0], "seconds").is_err());
    }

    #[test]
    fn slow_with_proof_and_fast_with_a_wide_gap_are_both_counted() {
        let answers = [
            json!({"ms": 10.0, "gap": 0.0}),
            json!({"ms": 3_000.0, "gap": 0.009}),
            json!({"ms": 3_000.0, "gap": 0.0}),
            json!({"ms": 10.0, "gap": 0.02}),
        ];
        let lines = slow_ones(&answers).unwrap();
        assert!(lines[0].to_string().contains("2.0"), "{}", lines[0]);
        assert!(lines[0].to_string().ends_with("MISSED"), "{}", lines[0]);
    }
}
