//! The next check in the reader's words: where the probes go, in which state, what each suspect
//! would make the instrument show, what every outcome means, what has to be open; or the repair.

use std::collections::BTreeMap;

use access::Permitted;
use catalog::Method;
use diagnose::{Advice, Band, Considered, Group, Offered, Outcome, Ranking, Step, What};
use model::{Place, Reach, ReadingPoints, Shows};
use schemars::JsonSchema;
use serde::Serialize;
use units::{Dimension, System};

use crate::search::{Found, RecordLine, Search};
use crate::suspects_view::{SuspectsView, size_words};

/// Name and version of this form.
pub const NEXT_SCHEMA: &str = "unbury.next/1";

/// Suspects named on a card, rivals of a step, and causes named for an outcome.
const SUSPECTS_SHOWN: usize = 6;
const RIVALS: usize = 3;
const CAUSES: usize = 3;
/// What is this likely after an outcome is named; what falls below the second is ruled out.
const WORTH_NAMING: f64 = 0.08;
const RULED_OUT: f64 = 0.01;

/// What to do next.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct NextView {
    /// Name and version of this form.
    pub schema: String,
    /// `check`, `repair`, `as written` (the vehicle as recorded does what was seen), `not enough` (it
    /// does as far as it could be weighed: see the warnings), `search everything` or `nothing observed`.
    pub kind: String,
    /// Expected minutes to the proven repair, opening and closing included.
    pub minutes: f64,
    /// The same if repairs are tried in their best order without another check.
    pub straight_in_minutes: f64,
    /// `proven` for the question as it was put, or `looked ahead`.
    pub quality: String,
    /// The check, if it is one.
    pub check: Option<CheckCard>,
    /// The repair, if it is one.
    pub repair: Option<RepairCard>,
    /// The best alternatives.
    pub rivals: Vec<RivalRow>,
    /// Checks that would tell something, but no way in to them is known.
    pub no_way_in: usize,
    /// Suspects as they stand.
    pub suspects: SuspectsView,
}

/// A check to make.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CheckCard {
    /// What is checked, on one line.
    pub title: String,
    /// Where the probes go, or what to look at.
    pub places: Vec<String>,
    /// How.
    pub how: String,
    /// The state it is made in, in words; empty where any will do.
    pub state: String,
    /// What to mind before.
    pub cautions: Vec<String>,
    /// Minutes of the check, with bringing about the state.
    pub minutes: f64,
    /// Minutes of opening and closing for it, breakage counted as minutes.
    pub opening_minutes: f64,
    /// What has to come out, in order.
    pub open: Vec<String>,
    /// What each suspect would make it show.
    pub expected: Vec<ExpectedRow>,
    /// What each outcome means.
    pub outcomes: Vec<OutcomeRow>,
    /// What may be answered.
    pub answer: String,
}

/// What one suspect would make a check show.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ExpectedRow {
    /// The suspect.
    pub suspect: String,
    /// Its probability.
    pub probability: f64,
    /// What would be shown, in words.
    pub shows: String,
    /// For a drawing: lowest and highest value, V or A, and the share of each band.
    pub bands: Vec<(f64, f64, f64)>,
}

/// One outcome of a check.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct OutcomeRow {
    /// What is seen.
    pub outcome: String,
    /// How likely that is.
    pub chance: f64,
    /// What is likely then.
    pub then: Vec<String>,
    /// What it rules out.
    pub rules_out: usize,
}

/// A repair to make.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct RepairCard {
    /// What is repaired.
    pub title: String,
    /// What to do.
    pub remedies: Vec<String>,
    /// How sure it is.
    pub probability: f64,
    /// Minutes of the repair.
    pub minutes: f64,
    /// Minutes of opening and closing; `None`: what hides it is not recorded.
    pub opening_minutes: Option<f64>,
    /// What has to come out, in order.
    pub open: Vec<String>,
    /// Why no further check.
    pub why: String,
    /// The reading that would show that it failed.
    pub proof: Option<String>,
    /// What else may be wrong after it.
    pub still: Vec<String>,
    /// What keeps that it was made and everything stayed as it was.
    pub no_cure: Option<RecordLine>,
    /// What keeps that it was made and something is different: from then on nothing observed before counts.
    pub changed: Option<RecordLine>,
    /// What is complained of, to be told anew then.
    pub complained_of: Vec<String>,
}

/// Another step that was weighed.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct RivalRow {
    /// The step.
    pub title: String,
    /// Expected minutes to the proven repair if it is done next.
    pub minutes: f64,
    /// Minutes of the step itself, opening included.
    pub own_minutes: f64,
}

impl Search<'_> {
    /// The next check or repair as things stand.
    pub fn next_step(&mut self) -> NextView {
        let (seen, ranking) = self.ranked();
        let suspects = self.suspects_of(&seen, &ranking);
        let advice = self.advised(&seen, &ranking);
        let best = advice.steps.first().copied();
        self.cured_at = match best.map(|rated| rated.step) {
            Some(Step::Repair(k)) if !self.is_as_written(&advice, k) => {
                advice.groups[k].cures.iter().map(|cure| cure.0).collect()
            }
            _ => Vec::new(),
        };
        let (check, repair) = match best.map(|rated| rated.step) {
            Some(Step::Check(k)) => (Some(self.check_card(&advice, k, &ranking)), None),
            Some(Step::Repair(k)) if !self.is_as_written(&advice, k) => {
                (None, Some(self.repair_card(&advice, k, &ranking)))
            }
            _ => (None, None),
        };
        let kind = match best.map(|rated| rated.step) {
            _ if seen.is_empty() => "nothing observed",
            Some(Step::Check(_)) => "check",
            Some(Step::Repair(k)) if self.is_as_written(&advice, k) => {
                match self.doubts(&seen, &ranking).is_empty() {
                    true => "as written",
                    false => "not enough",
                }
            }
            Some(Step::Repair(_)) => "repair",
            Some(Step::SearchEverything) | None => "search everything",
        };
        let rivals = advice.steps.iter().skip(1).take(RIVALS).map(|rated| RivalRow {
            title: self.step_title(&advice, rated.step, &ranking),
            minutes: rated.minutes,
            own_minutes: own_minutes(&advice, rated.step),
        });
        let view = NextView {
            schema: NEXT_SCHEMA.to_owned(),
            kind: kind.to_owned(),
            minutes: best.map_or(0.0, |rated| rated.minutes),
            straight_in_minutes: advice.without_checks,
            quality: if advice.is_exact { "proven" } else { "looked ahead" }.to_owned(),
            check,
            repair,
            rivals: rivals.collect(),
            no_way_in: advice.not_offered,
            suspects,
        };
        self.asked = asked(&advice);
        view
    }

    /// Takes in an answer to the check of the last card (`0`) or of one of its rivals (`1`, ...).
    /// Says what was understood.
    ///
    /// # Errors
    /// Why the answer is none: not understood, the wrong unit, or impossible. Nothing is changed then.
    pub fn answer(&mut self, which: usize, text: &str) -> Result<String, String> {
        let Some(Some(check)) = self.asked.get(which).cloned() else {
            return Err("there is no such check to answer".to_owned());
        };
        let found = self.understood(&check, text)?;
        let fine = match (&found, check.what) {
            (
                Found::Read(value),
                What::Read(ReadingPoints::Between(..) | ReadingPoints::Over(_)),
            ) => check.method == Method::Drop && self.fits_millivolts(*value),
            _ => false,
        };
        let kept = self.take_in(check.what, check.state, &found, fine);
        let impossible = self.observations().impossible;
        let known = self.case.vehicle().readings.len();
        let last = self.vehicle.readings.get(known..).and_then(<[_]>::last);
        let why = last.and_then(|last| impossible.iter().find(|no| no.name == last.name));
        if let (Some(why), Found::Read(_)) = (why, &found) {
            let why = why.why.clone();
            self.undo();
            return Err(why);
        }
        Ok(kept.unwrap_or_else(|| "for this search; the record has no place for it".to_owned()))
    }

    fn fits_millivolts(&self, value: f64) -> bool {
        let fine = self.case.catalog.instruments.get("multimeter millivolts");
        fine.and_then(|fine| fine.most).is_some_and(|most| value.abs() <= most)
    }

    fn understood(&self, check: &Offered, text: &str) -> Result<Found, String> {
        let text = text.trim();
        let lower = text.to_lowercase();
        if lower.starts_with("cannot") || lower.starts_with("can't") {
            return Ok(Found::NotReached);
        }
        match check.what {
            What::Read(points) => {
                let (dimension, unit) = match points {
                    ReadingPoints::Between(..) | ReadingPoints::Over(_) => {
                        (Dimension::Voltage, "V")
                    }
                    ReadingPoints::In(_) | ReadingPoints::On(_) => (Dimension::Current, "A"),
                };
                let bare = text.parse::<f64>().is_ok();
                let words = if bare { format!("{text} {unit}") } else { text.to_owned() };
                units::parse(&words, dimension)
                    .map(Found::Read)
                    .map_err(|error| format!("`{text}`: {error}; write for example `11.9 {unit}`"))
            }
            What::Watch(_) => Shows::of_word(&lower).map(Found::Did).ok_or_else(|| {
                let known: Vec<&str> = Shows::ALL.iter().map(|row| row.1).collect();
                format!("`{text}` is no word of the list: {}", known.join(", "))
            }),
            What::Look(_) => match lower.as_str() {
                "good" => Ok(Found::Good),
                "bad" => Ok(Found::Bad),
                _ => Err(format!("`{text}`: answer `good` or `bad`")),
            },
        }
    }

    fn check_card(&self, advice: &Advice, k: usize, ranking: &Ranking) -> CheckCard {
        let considered = &advice.checks[k];
        let check = &considered.check;
        CheckCard {
            title: self.check_title(check),
            places: self.check_places(check),
            how: self.how(check),
            state: check.state.map_or_else(String::new, |state| self.state_words(state)),
            cautions: self.cautions(check),
            minutes: check.minutes,
            opening_minutes: considered.opening_min,
            open: self.parts_out(&check.reach),
            expected: self.expected(advice, considered, ranking),
            outcomes: self.outcomes(advice, considered, ranking),
            answer: match check.what {
                What::Read(ReadingPoints::In(_) | ReadingPoints::On(_)) => {
                    "amperes, for example `4.2 A`; or `cannot reach`"
                }
                What::Read(_) => "volts, for example `11.93 V` or `85 mV`; or `cannot reach`",
                What::Watch(_) => "`works`, `weak`, `dead`, `hunts`, `trips`, `clicks` or `warm`",
                What::Look(_) => "`good` or `bad`; or `cannot reach`",
            }
            .to_owned(),
        }
    }

    fn repair_card(&self, advice: &Advice, k: usize, ranking: &Ranking) -> RepairCard {
        let group = &advice.groups[k];
        let others =
            advice.groups.iter().enumerate().filter(|(at, other)| *at != k && other.weight >= 0.02);
        let proof = advice.proof.as_ref().map(|proof| {
            let shows = proof.expected.iter().map(|band| band_words(&proof.check, band));
            let state = proof.check.state.map_or_else(String::new, |state| {
                format!(" in state {}", self.vehicle.states[state].name)
            });
            format!(
                "{}{state}: {} when all is well",
                self.check_title(&proof.check),
                shows.collect::<Vec<_>>().join(" or ")
            )
        });
        let why = format!(
            "no check costs less than it saves: with {:.0} % it is this, and the proof after it shows \
             whether it was",
            100.0 * group.weight
        );
        let reach = diagnose::cure_reach(self.case.vehicle(), group);
        RepairCard {
            title: self.group_words(group, ranking),
            remedies: group.cures.iter().map(|cure| cure.1.clone()).collect(),
            probability: group.weight,
            minutes: group.minutes,
            opening_minutes: advice.repair_opening_min[k],
            open: reach.map_or_else(Vec::new, |reach| self.parts_out(&reach)),
            why,
            proof,
            still: others.take(CAUSES).map(|(_, o)| self.share_words(o, ranking)).collect(),
            no_cure: self.no_cure_line(),
            changed: self.changed_line(),
            complained_of: self.complained_of(),
        }
    }

    /// Whether a group stands for nothing being broken.
    fn is_as_written(&self, advice: &Advice, group: usize) -> bool {
        advice.groups[group].cures.iter().all(|cure| cure.0 == Place::Vehicle)
    }

    fn step_title(&self, advice: &Advice, step: Step, ranking: &Ranking) -> String {
        match step {
            Step::Check(k) => {
                let check = &advice.checks[k].check;
                let state =
                    check.state.map(|state| format!(", {}", self.vehicle.states[state].name));
                format!("{}{}", self.check_title(check), state.unwrap_or_default())
            }
            Step::Repair(k) => {
                let group = &advice.groups[k];
                format!("open it now and repair: {}", self.share_words(group, ranking))
            }
            Step::SearchEverything => "strip and look at everything".to_owned(),
        }
    }

    fn share_words(&self, group: &Group, ranking: &Ranking) -> String {
        format!("{} ({:.0} %)", self.group_words(group, ranking), 100.0 * group.weight)
    }

    /// The likeliest explanation of a group in words.
    fn group_words(&self, group: &Group, ranking: &Ranking) -> String {
        let suspects = self.benches.suspects();
        let Some(first) = group.explanations.first() else { return String::new() };
        let faults = &ranking.explanations[*first].faults;
        let words = faults.iter().map(|(at, size)| {
            let suspect = &suspects[*at];
            match size_words(suspect, *size) {
                size if size.is_empty() || suspect.is_series() => suspect.words.clone(),
                size => format!("{} ({size})", suspect.words),
            }
        });
        words.collect::<Vec<_>>().join(", and ")
    }

    /// The parts that come out for a place, in order.
    fn parts_out(&self, reach: &Reach) -> Vec<String> {
        if reach.iter().any(Vec::is_empty) {
            return Vec::new();
        }
        let plan = self.case.plan(reach, Permitted::Anything);
        plan.map_or_else(|_| Vec::new(), |plan| self.case.parts_out(&plan))
    }

    fn expected(
        &self,
        advice: &Advice,
        considered: &Considered,
        ranking: &Ranking,
    ) -> Vec<ExpectedRow> {
        let row = |(k, group): (usize, &Group)| {
            let bands = &considered.outcomes.bands[k];
            let shows = if bands.is_empty() {
                let of = considered.outcomes.rows[k].iter().zip(&considered.outcomes.kinds);
                let most = of.max_by(|a, b| a.0.total_cmp(b.0));
                most.map_or_else(String::new, |(_, kind)| outcome_words(&considered.check, kind))
            } else {
                bands_words(&considered.check, bands)
            };
            ExpectedRow {
                suspect: self.group_words(group, ranking),
                probability: group.weight,
                shows,
                bands: bands.iter().map(|band| (band.low, band.high, band.share)).collect(),
            }
        };
        advice.groups.iter().enumerate().take(SUSPECTS_SHOWN).map(row).collect()
    }

    fn outcomes(
        &self,
        advice: &Advice,
        considered: &Considered,
        ranking: &Ranking,
    ) -> Vec<OutcomeRow> {
        let mut weights: Vec<f64> = advice.groups.iter().map(|group| group.weight).collect();
        weights.push(advice.rest);
        let chances = considered.outcomes.chances(&weights);
        let row = |(k, kind): (usize, &Outcome)| {
            let after = |g: usize| {
                weights[g] * considered.outcomes.rows[g][k] / chances[k].max(f64::MIN_POSITIVE)
            };
            let mut then: Vec<(usize, f64)> =
                (0..advice.groups.len()).map(|g| (g, after(g))).collect();
            then.sort_by(|a, b| b.1.total_cmp(&a.1));
            let rules_out = then.iter().filter(|of| of.1 < RULED_OUT).count();
            then.retain(|of| of.1 >= WORTH_NAMING);
            OutcomeRow {
                outcome: outcome_words(&considered.check, kind),
                chance: chances[k],
                then: then
                    .iter()
                    .take(CAUSES)
                    .map(|(g, p)| {
                        format!(
                            "{} ({:.0} %)",
                            self.group_words(&advice.groups[*g], ranking),
                            100.0 * p
                        )
                    })
                    .collect(),
                rules_out,
            }
        };
        considered.outcomes.kinds.iter().enumerate().map(row).collect()
    }
}

fn asked(advice: &Advice) -> Vec<Option<Offered>> {
    let of = |step: Step| match step {
        Step::Check(k) => Some(advice.checks[k].check.clone()),
        Step::Repair(_) | Step::SearchEverything => None,
    };
    advice.steps.iter().take(1 + RIVALS).map(|rated| of(rated.step)).collect()
}

fn own_minutes(advice: &Advice, step: Step) -> f64 {
    match step {
        Step::Check(k) => advice.checks[k].minutes(),
        Step::Repair(k) => advice.groups[k].minutes + advice.repair_opening_min[k].unwrap_or(0.0),
        Step::SearchEverything => 0.0,
    }
}

fn outcome_words(check: &Offered, kind: &Outcome) -> String {
    match kind {
        Outcome::Between(low, high) => {
            band_words(check, &Band { low: *low, high: *high, share: 1.0 })
        }
        Outcome::Does(shows) => shows.word().to_owned(),
        Outcome::Bad => "looks bad or gives way".to_owned(),
        Outcome::Good => "looks good and holds".to_owned(),
    }
}

fn bands_words(check: &Offered, bands: &[Band]) -> String {
    let low = bands.iter().map(|band| band.low).fold(f64::INFINITY, f64::min);
    let high = bands.iter().map(|band| band.high).fold(f64::NEG_INFINITY, f64::max);
    band_words(check, &Band { low, high, share: 1.0 })
}

fn band_words(check: &Offered, band: &Band) -> String {
    let dimension = match check.what {
        What::Read(ReadingPoints::In(_) | ReadingPoints::On(_)) => Dimension::Current,
        _ => Dimension::Voltage,
    };
    // What the sums leave open is wider than a hundredth of a volt; digits beyond would pretend.
    let step = if band.high - band.low > 0.1 { 0.1 } else { 1e-3 };
    let rounded = |value: f64| (value / step).round() * step;
    let shown = |value: f64| units::format(rounded(value) + 0.0, dimension, System::Metric);
    format!("{} to {}", shown(band.low), shown(band.high))
}

impl Search<'_> {
    /// Probability that a device or wire is the cause or part of it, by its name, joints counted with
    /// their wires: for shading a drawing.
    pub fn shading(&mut self) -> BTreeMap<String, f64> {
        let (_, ranking) = self.ranked();
        let vehicle = &self.vehicle;
        let mut shares: BTreeMap<String, f64> = BTreeMap::new();
        for (suspect, part) in self.benches.suspects().iter().zip(&ranking.part) {
            let name = match suspect.place {
                Place::Device(id) => vehicle.devices[id].name.clone(),
                Place::Terminal(id) => vehicle.devices[vehicle.terminals[id].device].name.clone(),
                Place::Wire(id) => vehicle.wires[id].name.clone(),
                Place::Joint(id) => vehicle.wires[vehicle.joints[id].wire].name.clone(),
                _ => continue,
            };
            *shares.entry(name).or_default() += part;
        }
        shares.retain(|_, share| *share >= RULED_OUT);
        shares.values_mut().for_each(|share| *share = share.min(1.0));
        shares
    }
}
