//! `cargo xtask bench`: the promises of speed and size, measured in one run on this machine.
//!
//! Whole processes are timed from outside, so that nothing is left out. The reference for the
//! solver is an `ngspice` process (<https://ngspice.sourceforge.io>) on the same circuit, timed
//! alternately with it; for ways in it is HiGHS (see `ways`). Knows targets and stop-watches; does
//! not know what a review is.

mod checks;
mod dead;
mod packs;
mod search;
mod variants;

pub(crate) use variants::sizes;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Instant;

use anyhow::{Context as _, Result, bail, ensure};
use serde_json::Value;

use crate::files::root;
use crate::shell::{cargo, on_path, printed, run, target_folder};
use crate::ways;

const ROUNDS: usize = 15;
const DEMO_RECORD: &str = "records/dunlin/dunlin.toml";
/// Repairs of a vehicle with some forty findings.
const REPAIRS_MS: f64 = 1000.0;
/// Whole process, from start to exit, without writing a report.
const REVIEW_MS: f64 = 150.0;
const REVIEW_MB: f64 = 150.0;
const SERVICE_MS: f64 = 100.0;
const HATCHES_MS: f64 = 2_000.0;
const WIRING_MS: f64 = 150.0;
const LARGE_WIRING_MS: f64 = 3_000.0;
const TIMES_FASTER_THAN_NGSPICE: f64 = 20.0;

/// Measures, prints a table, and fails if a target is missed.
pub(crate) fn bench() -> Result<()> {
    ensure!(on_path("ngspice"), "ngspice is missing: run `cargo xtask test` once, it installs it");
    run(&mut cargo(&["build", "--release", "--locked", "--package", "unbury"]))?;
    let mut lines = review()?;
    lines.extend(service()?);
    lines.extend(operating_point()?);
    lines.extend(variants::variants()?);
    lines.extend(search::search()?);
    lines.extend(dead::dead()?);
    lines.extend(checks::checks()?);
    lines.extend(ways::bench()?);
    lines.extend(wiring()?);
    lines.extend(packs::packs()?);
    println!("\n{ROUNDS} rounds each (ways in: once each question), release build");
    println!("{:<44}{:>9}  {:>15}  target", "", "median", "lowest-highest");
    for line in &lines {
        println!("{line}");
    }
    let missed: Vec<&str> =
        lines.iter().filter(|line| !line.is_met()).map(|line| line.name.as_str()).collect();
    ensure!(missed.is_empty(), "target missed: {}", missed.join("; "));
    Ok(())
}

/// One line of the table.
pub(crate) struct Line {
    name: String,
    spread: Spread,
    target: Target,
}

impl Line {
    fn is_met(&self) -> bool {
        match self.target {
            Target::AtMost(most) => self.spread.median <= most,
            Target::AtLeast(least) => self.spread.median >= least,
            Target::None => true,
        }
    }
}

impl std::fmt::Display for Line {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Spread { lowest, median, highest } = self.spread;
        let range = format!("{lowest:.1}-{highest:.1}");
        write!(f, "{:<44}{median:>9.1}  {range:>15}  ", self.name)?;
        match self.target {
            Target::AtMost(most) => write!(f, "<= {most}")?,
            Target::AtLeast(least) => write!(f, ">= {least}")?,
            Target::None => write!(f, "-")?,
        }
        if self.is_met() { Ok(()) } else { write!(f, " MISSED") }
    }
}

#[derive(Clone, Copy)]
pub(crate) enum Target {
    AtMost(f64),
    AtLeast(f64),
    None,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spread {
    lowest: f64,
    median: f64,
    highest: f64,
}

/// Median and ends of the measured values; the median of an even number is the mean of the two
/// in the middle.
pub(crate) fn spread(mut values: Vec<f64>) -> Result<Spread> {
    values.sort_by(f64::total_cmp);
    let (Some(&lowest), Some(&highest)) = (values.first(), values.last()) else {
        bail!("nothing was measured");
    };
    let middle = values.len() / 2;
    let median = if values.len() % 2 == 1 {
        values[middle]
    } else {
        f64::midpoint(values[middle - 1], values[middle])
    };
    Ok(Spread { lowest, median, highest })
}

fn repeat(mut measure: impl FnMut() -> Result<f64>) -> Result<Vec<f64>> {
    (0..ROUNDS).map(|_| measure()).collect()
}

fn review() -> Result<Vec<Line>> {
    let record = root().join(DEMO_RECORD);
    ensure!(record.is_file(), "{DEMO_RECORD} is missing");
    let unbury = target_folder().join("release/unbury");
    let command = || {
        let mut command = Command::new(&unbury);
        command.arg("review").arg(&record).current_dir(root());
        command
    };
    let time_ms = spread(repeat(|| wall_ms(&mut command()))?)?;
    let peak_mb = spread(repeat(|| peak_mb(&mut command()))?)?;
    Ok(vec![
        line("review of Dunlin, whole process, ms", time_ms, Target::AtMost(REVIEW_MS)),
        line("review of Dunlin, peak resident memory, MB", peak_mb, Target::AtMost(REVIEW_MB)),
        line("repairs of Bracken, all tried, ms", repairs_ms()?, Target::AtMost(REPAIRS_MS)),
    ])
}

/// Every repair of the example with most findings, proposed and looked at again.
fn repairs_ms() -> Result<Spread> {
    let unbury = target_folder().join("release/unbury");
    let command = || {
        let mut command = Command::new(&unbury);
        command.args(["mend", "records/bracken/bracken.toml"]).current_dir(root());
        command
    };
    spread(repeat(|| wall_ms(&mut command()))?)
}

/// Service over a year and the best pair of hatches of Dunlin, as whole processes.
fn service() -> Result<Vec<Line>> {
    let timed = |name: &str, arguments: &[&str], most_ms: f64| -> Result<Line> {
        let times = repeat(|| {
            let mut command = Command::new(target_folder().join("release/unbury"));
            wall_ms(command.args(arguments).arg(DEMO_RECORD).current_dir(root()))
        })?;
        Ok(line(name, spread(times)?, Target::AtMost(most_ms)))
    };
    Ok(vec![
        timed("service of Dunlin over a year, ms", &["service-access"], SERVICE_MS)?,
        timed("best pair of hatches in Dunlin, ms", &["hatch", "--pairs"], HATCHES_MS)?,
    ])
}

/// Wiring drawings of invented vehicles, from the analysed record to the sheets.
fn wiring() -> Result<Vec<Line>> {
    let example = built_example("depict", "wiring_quality")?;
    let timed = |wires: usize, most_ms: f64| -> Result<Line> {
        let times = repeat(|| {
            let mut command = Command::new(&example);
            Ok(microseconds(&printed(command.args(["--time", &wires.to_string()]))?)? / 1e3)
        })?;
        let name = format!("wiring drawing of {wires} wires, ms");
        Ok(line(&name, spread(times)?, Target::AtMost(most_ms)))
    };
    Ok(vec![timed(150, WIRING_MS)?, timed(1_000, LARGE_WIRING_MS)?])
}

pub(crate) fn line(name: &str, spread: Spread, target: Target) -> Line {
    Line { name: name.to_owned(), spread, target }
}

/// Wall-clock of a run. One that found dangers may end with a code of its own; one that printed
/// nothing did not run.
fn wall_ms(command: &mut Command) -> Result<f64> {
    let start = Instant::now();
    let output = command.stdin(Stdio::null()).output().context("cannot start unbury")?;
    let elapsed_ms = start.elapsed().as_secs_f64() * 1e3;
    let complaint = String::from_utf8_lossy(&output.stderr);
    ensure!(
        output.status.code().is_some() && !output.stdout.is_empty(),
        "`unbury` ended with {} and printed nothing\n{complaint}",
        output.status
    );
    Ok(elapsed_ms)
}

/// Highest resident memory of a process, megabytes, as the kernel last reported it before the
/// process ended (`VmHWM`, proc_pid_status(5)). Linux only.
fn peak_mb(command: &mut Command) -> Result<f64> {
    let quiet = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    let mut child = quiet.spawn().context("cannot start unbury")?;
    let peak = watch(&mut child)?;
    peak.context("the process ended before its memory could be read")
}

fn watch(child: &mut Child) -> Result<Option<f64>> {
    let status = PathBuf::from(format!("/proc/{}/status", child.id()));
    let mut peak = None;
    while child.try_wait()?.is_none() {
        if let Some(mb) = fs::read_to_string(&status).ok().as_deref().and_then(high_water_mb) {
            peak = Some(mb);
        }
    }
    Ok(peak)
}

/// The `VmHWM` line of a process status, in megabytes of 10^6 bytes.
fn high_water_mb(status: &str) -> Option<f64> {
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kibibytes: f64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kibibytes * 1024.0 / 1e6)
}

/// The 200-node operating point against ngspice, taking turns so that both see the same machine.
fn operating_point() -> Result<Vec<Line>> {
    let example = built_example("solve", "operating_point")?;
    let deck = target_folder().join("bench-operating-point.cir");
    let text = printed(Command::new(&example).arg("--deck"))?;
    fs::write(&deck, text).with_context(|| format!("cannot write {}", deck.display()))?;
    let (mut ours_us, mut ngspice_us) = (Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        let answer = printed(&mut Command::new(&example))?;
        ours_us.push(microseconds(&answer)?);
        ngspice_us.push(ngspice_ms(&deck)? * 1e3);
    }
    let ratios = ours_us.iter().zip(&ngspice_us).map(|(ours, theirs)| theirs / ours).collect();
    Ok(vec![
        line("200-node operating point, us", spread(ours_us)?, Target::None),
        line("the same as an ngspice process, us", spread(ngspice_us)?, Target::None),
        line(
            "ngspice process / operating point, times",
            spread(ratios)?,
            Target::AtLeast(TIMES_FASTER_THAN_NGSPICE),
        ),
    ])
}

fn ngspice_ms(deck: &Path) -> Result<f64> {
    let mut command = Command::new("ngspice");
    command.arg("-b").arg(deck).stdin(Stdio::null());
    let start = Instant::now();
    printed(&mut command)?;
    Ok(start.elapsed().as_secs_f64() * 1e3)
}

/// The time per solve out of what the example printed: the number whose name speaks of
/// microseconds.
fn microseconds(answer: &str) -> Result<f64> {
    let answer: Value = serde_json::from_str(answer).context("the example printed no JSON")?;
    let fields = answer.as_object().context("the example printed no JSON object")?;
    let time = fields
        .iter()
        .filter(|(name, _)| name.contains("microseconds") || name.ends_with("_us"))
        .find_map(|(_, value)| value.as_f64())
        .with_context(|| format!("no microseconds in {answer}"))?;
    ensure!(time > 0.0, "a solve cannot take {time} microseconds");
    Ok(time)
}

pub(crate) fn built_example(package: &str, name: &str) -> Result<PathBuf> {
    run(&mut cargo(&["build", "--release", "--locked", "--package", package, "--example", name]))?;
    Ok(target_folder().join("release/examples").join(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spread_of(values: &[f64]) -> Spread {
        spread(values.to_vec()).unwrap()
    }

    #[test]
    fn the_median_is_the_middle_value() {
        let expected = Spread { lowest: 1.0, median: 3.0, highest: 9.0 };
        assert_eq!(spread_of(&[9.0, 1.0, 3.0]), expected);
        let expected = Spread { lowest: 1.0, median: 2.5, highest: 4.0 };
        assert_eq!(spread_of(&[4.0, 1.0, 3.0, 2.0]), expected);
        assert!(spread(Vec::new()).is_err());
    }

    #[test]
    fn a_target_met_exactly_is_met() {
        let met = |target| line("a", spread_of(&[150.0]), target).is_met();
        assert!(met(Target::AtMost(150.0)) && met(Target::AtLeast(150.0)));
        assert!(!met(Target::AtMost(149.9)) && !met(Target::AtLeast(150.1)));
    }

    #[test]
    fn a_missed_target_is_marked_in_a_line_of_eighty_columns() {
        let spread = Spread { lowest: 151.0, median: 200.0, highest: 9999.9 };
        let name = "review of Dunlin, peak resident memory, MB";
        let text = line(name, spread, Target::AtMost(150.0)).to_string();
        assert!(text.ends_with("<= 150 MISSED") && text.len() <= 90, "{text}");
    }

    #[test]
    fn peak_memory_is_read_from_the_status_of_a_process() {
        // Form of the line: proc_pid_status(5), field VmHWM.
        let status = "Name:\ta\nVmPeak:\t  9999 kB\nVmHWM:\t    2000 kB\n";
        assert_eq!(high_water_mb(status), Some(2.048));
        assert_eq!(high_water_mb("Name:\ta\n"), None);
    }

    #[test]
    fn microseconds_are_found_by_name() {
        assert!(
            (microseconds(r#"{"nodes":200,"microseconds_per_solve":12.5}"#).unwrap() - 12.5).abs()
                < 1e-12
        );
        assert!(microseconds(r#"{"nodes":200}"#).is_err());
        assert!(microseconds("nothing").is_err());
    }
}
