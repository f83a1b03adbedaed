//! The page of the trial: tables by policy and by vehicle, calibration, time of a step.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use serde::{Deserialize, Serialize};

use crate::episode::Outcome;
use crate::measures::{BINS, Bin, bins, calibration_error, interval, mean, percentile};
use crate::plot;
use crate::policy::{OURS, STRIP, TOLD};

/// One case under every policy.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// The vehicle.
    pub vehicle: String,
    /// Number of the case.
    pub case: usize,
    /// How many faults were there.
    pub faults: usize,
    /// What came of it, by policy.
    pub outcomes: Vec<(String, Outcome)>,
    /// The small question of this case, if one was asked.
    pub small: Option<SmallLine>,
}

/// A small question: the best plan, and what policies are expected to take, minutes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SmallLine {
    /// The proven best.
    pub best: f64,
    /// By policy.
    pub expected: Vec<(String, f64)>,
}

/// Policies that choose readings without a look at what lies in front of them.
const ACCESS_BLIND: [&str; 2] = ["fixed order", "information only"];

/// A figure of one policy over a set of cases.
pub(crate) struct Row {
    pub(crate) policy: String,
    pub(crate) mean: f64,
    pub(crate) mean_within: (f64, f64),
    pub(crate) p90: f64,
    p90_within: (f64, f64),
    opening: f64,
    breakage: f64,
    readings: f64,
    wrong: f64,
    stripped: f64,
}

/// All lines with the command that made them.
pub struct Report<'a> {
    lines: &'a [Line],
    command: &'a str,
    seed: u64,
}

impl<'a> Report<'a> {
    /// A report of these cases.
    pub fn of(lines: &'a [Line], command: &'a str, seed: u64) -> Report<'a> {
        Report { lines, command, seed }
    }

    fn policies(&self) -> Vec<String> {
        self.lines[0].outcomes.iter().map(|(policy, _)| policy.clone()).collect()
    }

    fn of_policy(&self, lines: &[&'a Line], policy: &str) -> Vec<&'a Outcome> {
        let mine = |line: &&'a Line| {
            line.outcomes.iter().find(|(name, _)| name == policy).map(|(_, outcome)| outcome)
        };
        lines.iter().filter_map(mine).collect()
    }

    fn rows(&self, lines: &[&'a Line]) -> Vec<Row> {
        self.policies()
            .into_iter()
            .map(|policy| {
                let outcomes = self.of_policy(lines, &policy);
                self.row(policy, &outcomes)
            })
            .collect()
    }

    fn row(&self, policy: String, outcomes: &[&Outcome]) -> Row {
        let of = |figure: fn(&Outcome) -> f64| -> Vec<f64> {
            outcomes.iter().map(|outcome| figure(outcome)).collect()
        };
        let minutes = of(|o| o.minutes);
        let drawn = |at: &[usize]| -> Vec<f64> { at.iter().map(|k| minutes[*k]).collect() };
        let within = interval(minutes.len(), self.seed, |at| mean(&drawn(at)));
        let p90_within = interval(minutes.len(), self.seed, |at| percentile(&drawn(at), 0.9));
        Row {
            policy,
            mean: mean(&minutes),
            mean_within: within,
            p90: percentile(&minutes, 0.9),
            p90_within,
            opening: mean(&of(|o| o.opening)),
            breakage: mean(&of(|o| o.breakage)),
            readings: mean(&of(|o| o.readings as f64)),
            wrong: mean(&of(|o| f64::from(u8::from(o.wrong > 0)))),
            stripped: mean(&of(|o| f64::from(u8::from(o.stripped)))),
        }
    }

    fn everything(&self) -> Vec<&'a Line> {
        self.lines.iter().collect()
    }

    /// By how much fewer minutes ours takes than another policy, as a share, with the interval over
    /// resampled cases. Cases are paired: both policies met the same ones.
    fn fewer(&self, other: &str) -> (f64, (f64, f64)) {
        let lines = self.everything();
        let minutes = |policy: &str| -> Vec<f64> {
            self.of_policy(&lines, policy).iter().map(|o| o.minutes).collect()
        };
        let (ours, theirs) = (minutes(OURS), minutes(other));
        let share = |at: &[usize]| {
            let sum = |of: &[f64]| at.iter().map(|k| of[*k]).sum::<f64>();
            1.0 - sum(&ours) / sum(&theirs)
        };
        let all: Vec<usize> = (0..ours.len().min(theirs.len())).collect();
        (share(&all), interval(all.len(), self.seed, share))
    }

    fn statements(&self, policy: &str) -> Vec<(f64, bool)> {
        let lines = self.everything();
        self.of_policy(&lines, policy).iter().flat_map(|o| o.statements.iter().copied()).collect()
    }

    fn best_blind(&self) -> Option<String> {
        let rows = self.rows(&self.everything());
        rows.into_iter()
            .filter(|row| ACCESS_BLIND.contains(&row.policy.as_str()))
            .min_by(|a, b| a.mean.total_cmp(&b.mean))
            .map(|row| row.policy)
    }

    /// For the terminal.
    pub fn summary(&self) -> String {
        let mut text =
            format!("{} cases\n{}", self.lines.len(), table(&self.rows(&self.everything())));
        text += &self.against();
        let error = calibration_error(&bins(&self.statements(OURS)));
        let _ = writeln!(text, "calibration error {}", percent(error));
        text += &self.times();
        text += &self.small();
        text
    }

    fn against(&self) -> String {
        let mut text = String::new();
        let blind = self.best_blind();
        for (what, other) in [
            ("the best policy that does not look at access", blind.as_deref()),
            ("strip and look", Some(STRIP)),
        ] {
            let Some(other) = other else { continue };
            let (share, (low, high)) = self.fewer(other);
            let _ = writeln!(
                text,
                "- against {what} ({other}): {} fewer minutes (95 % interval {} to {})",
                percent(share),
                percent(low),
                percent(high)
            );
        }
        let lines = self.everything();
        if let Some(blind) = &blind {
            let mean = |policy: &str| {
                mean(&self.of_policy(&lines, policy).iter().map(|o| o.minutes).collect::<Vec<_>>())
            };
            let told = mean(TOLD);
            let (ours, theirs) = (mean(OURS) - told, mean(blind) - told);
            let _ = writeln!(
                text,
                "- whoever is told the cause takes {told:.0} minutes to open, repair and prove; over \
                 that unbury takes {ours:.0} and {blind} {theirs:.0}: {} fewer minutes of searching",
                percent(1.0 - ours / theirs)
            );
        }
        let ours = self.of_policy(&lines, OURS);
        let stopped: Vec<&&Outcome> = ours.iter().filter(|o| o.repairs > 0).collect();
        let among = |most: usize| {
            let right = stopped.iter().filter(|o| (1..=most).contains(&o.rank_at_stop)).count();
            percent(right as f64 / stopped.len().max(1) as f64)
        };
        let _ = writeln!(
            text,
            "- at the first repair a true place stood first in {}, first or second in {} of {} cases",
            among(1),
            among(2),
            stopped.len()
        );
        text
    }

    fn times(&self) -> String {
        let lines = self.everything();
        let steps: Vec<f64> = self
            .of_policy(&lines, OURS)
            .iter()
            .flat_map(|outcome| outcome.step_ms.iter().copied())
            .collect();
        format!(
            "- time of a step (belief, question, choice): median {:.0} ms, 95th percentile {:.0} ms \
             over {} steps, measured while other cases ran beside\n",
            percentile(&steps, 0.5),
            percentile(&steps, 0.95),
            steps.len()
        )
    }

    fn small(&self) -> String {
        let small: Vec<&SmallLine> = self.lines.iter().filter_map(|l| l.small.as_ref()).collect();
        let Some(first) = small.first() else { return String::new() };
        let mut text = format!(
            "\n| policy | over the proven best plan, mean | worst | within 5 % |\n|---|---|---|---|\n\
             | *{} small questions* | | | |\n",
            small.len()
        );
        for (at, (policy, _)) in first.expected.iter().enumerate() {
            let over: Vec<f64> =
                small.iter().map(|line| line.expected[at].1 / line.best - 1.0).collect();
            let close = over.iter().filter(|over| **over <= 0.05).count() as f64;
            let _ = writeln!(
                text,
                "| {policy} | {} | {} | {} |",
                percent(mean(&over)),
                percent(percentile(&over, 1.0)),
                percent(close / over.len() as f64)
            );
        }
        text
    }

    /// The page.
    pub fn page(&self) -> String {
        let lines = self.everything();
        let doubles = lines.iter().filter(|line| line.faults > 1).count();
        let vehicles: BTreeSet<&str> = lines.iter().map(|line| line.vehicle.as_str()).collect();
        let mut page = format!(
            "{HEAD}\n\n    {}\n\n{} cases that were worked, on {} vehicles, {} with one fault, {doubles} with two. \
             Each policy met the same cases.\n\n## Minutes to the proven repair\n\n{}\n{}\n\
             ![Minutes by policy, and what was stated against what held](figures/trial.svg)\n\n\
             ## Calibration\n\n{CALIBRATION}\n\n{}\n",
            self.command,
            lines.len(),
            vehicles.len(),
            lines.len() - doubles,
            table(&self.rows(&lines)),
            self.against() + &self.times(),
            calibration(&bins(&self.statements(OURS))),
        );
        let small = self.small();
        if !small.is_empty() {
            let _ = write!(
                page,
                "\n## Small questions against the proven best plan\n\n{SMALL}\n{small}"
            );
        }
        let one: Vec<&Line> = lines.iter().copied().filter(|l| l.faults == 1).collect();
        let two: Vec<&Line> = lines.iter().copied().filter(|l| l.faults > 1).collect();
        page += "\n## One fault, two faults\n";
        for (name, lines) in [("One fault", one), ("Two faults", two)] {
            if !lines.is_empty() {
                let _ = write!(
                    page,
                    "\n{name}: {} cases.\n\n{}",
                    lines.len(),
                    table(&self.rows(&lines))
                );
            }
        }
        page += "\n## By vehicle\n";
        for vehicle in vehicles {
            let of: Vec<&Line> = lines.iter().copied().filter(|l| l.vehicle == vehicle).collect();
            let _ = write!(page, "\n{vehicle}: {} cases.\n\n{}", of.len(), table(&self.rows(&of)));
        }
        page += TAIL;
        page
    }

    /// The figure.
    pub fn figure(&self) -> String {
        plot::draw(&self.rows(&self.everything()), &bins(&self.statements(OURS)))
    }
}

fn table(rows: &[Row]) -> String {
    let mut text = "| policy | mean, min | 90th percentile, min | opening, min | breakage, min | \
                    readings | a wrong repair | stripped |\n|---|---|---|---|---|---|---|---|\n"
        .to_owned();
    for row in rows {
        let _ = writeln!(
            text,
            "| {} | {:.0} ({:.0} to {:.0}) | {:.0} ({:.0} to {:.0}) | {:.0} | {:.0} | {:.1} | {} | {} |",
            row.policy,
            row.mean,
            row.mean_within.0,
            row.mean_within.1,
            row.p90,
            row.p90_within.0,
            row.p90_within.1,
            row.opening,
            row.breakage,
            row.readings,
            percent(row.wrong),
            percent(row.stripped)
        );
    }
    text
}

fn calibration(bins: &[Bin; BINS]) -> String {
    let mut text = "| stated | statements | mean stated | held |\n|---|---|---|---|\n".to_owned();
    for (at, bin) in bins.iter().enumerate() {
        let (from, to) = (100 * at / BINS, 100 * (at + 1) / BINS);
        let _ = match bin.count {
            0 => writeln!(text, "| {from} to {to} % | 0 | | |"),
            count => writeln!(
                text,
                "| {from} to {to} % | {count} | {} | {} |",
                percent(bin.stated),
                percent(bin.held)
            ),
        };
    }
    let _ = writeln!(text, "\nExpected calibration error: {}.", percent(calibration_error(bins)));
    text
}

fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

const HEAD: &str = "\
# Trial

<!-- written by the command below; do not edit -->

Faults are put into vehicles on paper, and a simulated technician has to find and mend them. He knows
the truth only through instruments that are a little off and through eyes that now and then err. The
same cases are worked in five ways. The figures below are from this command:";

const CALIBRATION: &str = "\
Before each step the likeliest place is named with a probability. Of all statements with some
probability, that share should hold.";

const SMALL: &str = "\
From every fifth case the question after the complaint is cut down to five hypotheses and six
readings, for which the best plan can be proven. Both sides count estimated minutes. On such small
questions the program searches exactly, so its row tests that it does, not how good its look-ahead is.
";

const TAIL: &str = "
## How the trial works

- **Vehicles.** Four example records and five invented vehicles of 30 to 150 wires. Their own
  complaints, readings and history are laid aside.
- **Faults.** Drawn by the odds of `catalog/data/faults.toml`; with the catalog's chance a second one.
  Sizes lie anywhere between the sizes that the catalog tries. A case counts only if each fault makes
  some equipment fail that works in the healthy vehicle; for each fault the owner complains of such
  equipment.
- **The true vehicle** is not quite the recorded one: every resistance and load is off by 10 %
  (standard deviation of its logarithm), every battery's rest voltage by 0.05 V. Its circuit is
  solved in full, not by the updates that the program uses.
- **Short circuits.** What touches the body, or lands where it should not, opens the fuses that it
  overloads 1.35 times, the most overloaded first; the vehicle comes in with them blown. Whoever renews only the
  fuse has mended nothing. Shorts that no fuse opens burn something (more than 150 A over the usual); such
  vehicles are left out.
- **Readings.** A meter has one gain error for a whole case, drawn evenly within its class
  (`catalog/data/instruments.toml`), a zero error for each reading, and a last digit. Two readings in
  a hundred are stray. Words are wrong as often as the catalog says. None to two readings are there
  from the counter.
- **Minutes.** Opening follows the planner's cheapest way from what stands open; every removal takes
  its own time between the three estimates (beta distribution), checks and repairs vary by 25 %. What
  is opened stays open; closing is charged when a thing is opened. Breakage is counted apart.
- **Repairs.** A repair puts right whatever is wrong at its place and ends with the proof: the
  complaint is tried again. A repair that mends nothing costs its minutes. If the proof shows that
  something changed but the complaint stays, everything read before is laid aside. After sixty deeds
  the vehicle is stripped.
- **Policies.** All get the same beliefs, readings and repairs to choose from, so only the choosing is
  compared; the baselines are better than their names for that. Fixed order walks from the battery
  outward. Cheapest first takes the reading with the fewest minutes, opening included, that tells
  anything. Information only takes most bits for each minute of the reading itself. Strip and look
  opens all places that hold 98 % of the probability, looks at each (which shows 9 in 10 of what is
  apart, 8 in 10 of what is chafed, 6 in 10 of poor contacts, nothing inside equipment), and measures
  only what looking did not show. These four repair a place when it is 80 % likely, or when no reading tells more.
  Told the cause is no way of searching: it opens, repairs and proves what is truly wrong, and nothing else.
- **Luck is shared.** A reading, a word, a removal turns out the same under every policy.
- **Seeds.** The figures of the baselines are own choices, made before any case was run. Whoever sets
  them by trying uses `--tuning`: its cases are other ones than those reported here.
- **Intervals** hold 95 % of 2000 resamplings of the cases.

## What the trial does not show

Suspects are drawn from the same odds that the program believes in; real vehicles will differ, and
calibration with them. No cause lies outside the record, and nothing comes and goes. Switching from
one state to another costs nothing. Where a record does not say what lies in front of a thing, opening
it costs nothing.
";
