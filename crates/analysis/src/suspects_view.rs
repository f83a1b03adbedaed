//! Suspects in the reader's words: how likely, what speaks for and against, what does not fit.

use diagnose::{Explanation, Observations, Ranking, Suspect, Taken};
use model::{Place, ReadingPoints, Symptom};
use schemars::JsonSchema;
use serde::Serialize;
use units::{Dimension, System};

use crate::search::Search;
use crate::view::SourceView;

/// Name and version of this form.
pub const SUSPECTS_SCHEMA: &str = "unbury.suspects/1";

/// Rows that are shown, and the least probability of a row beyond the first.
const ROWS: usize = 12;
const LEAST_SHARE: f64 = 0.005;
/// A reading so far (standard deviations) from what the likeliest suspect predicts does not fit.
const DOES_NOT_FIT: f64 = 3.0;
/// A reading that is stray under this share of all that is likely contradicts the others.
const STRAY_SHARE: f64 = 0.5;
/// Weight of evidence that is worth a word: natural logarithm of a factor of two.
const SPEAKS: f64 = 0.7;

/// Suspects, ranked.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SuspectsView {
    /// Name and version of this form.
    pub schema: String,
    /// Readings and observations that were weighed.
    pub weighed: usize,
    /// Everything the record gives rise to.
    pub suspects: usize,
    /// Likely causes, most likely first.
    pub rows: Vec<SuspectRow>,
    /// Probability of all that is not shown.
    pub others: f64,
    /// Probability that the cause is not in the record.
    pub not_in_record: f64,
    /// Probability that two defects take part.
    pub two_defects: f64,
    /// What does not fit, contradicts or cannot be: each in words.
    pub warnings: Vec<String>,
    /// Documents behind the odds.
    pub sources: Vec<SourceView>,
}

/// A likely cause: one suspect, or two at once.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SuspectRow {
    /// In words, one for each suspect.
    pub words: Vec<String>,
    /// The size that fits best, where size means something.
    pub sizes: Vec<String>,
    /// Probability, 0 to 1.
    pub probability: f64,
    /// True when it says that nothing need be wrong beyond what the record holds.
    pub as_built: bool,
    /// What puts it right.
    pub remedies: Vec<String>,
    /// Minutes that takes, opening apart.
    pub minutes: f64,
    /// What each reading says.
    pub says: Vec<ReadingSays>,
}

/// What a reading says of a suspect.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ReadingSays {
    /// The reading.
    pub reading: String,
    /// What was read.
    pub read: String,
    /// What the suspect predicts.
    pub predicted: String,
    /// Natural logarithm of the factor by which it makes the suspect likelier against the others.
    pub log_odds: f64,
    /// `for`, `against` or `neither`.
    pub speaks: String,
}

impl Search<'_> {
    /// Suspects as they stand after all that was observed.
    pub fn suspects(&mut self) -> SuspectsView {
        let (seen, ranking) = self.ranked();
        self.suspects_of(&seen, &ranking)
    }

    pub(crate) fn suspects_of(&self, seen: &Observations, ranking: &Ranking) -> SuspectsView {
        let suspects = self.benches.suspects();
        let inside = ranking.explanations.iter().filter(|e| !e.faults.is_empty());
        let shown: Vec<&Explanation> = inside
            .enumerate()
            .take_while(|(k, e)| *k < ROWS && (*k == 0 || e.weight >= LEAST_SHARE))
            .map(|(_, explanation)| explanation)
            .collect();
        let probability: f64 = shown.iter().map(|explanation| explanation.weight).sum();
        let rows: Vec<SuspectRow> =
            shown.iter().map(|e| self.suspect_row(seen, ranking, e)).collect();
        let mut keys: Vec<&str> = shown
            .iter()
            .flat_map(|e| &e.faults)
            .map(|(at, _)| suspects[*at].source.as_str())
            .collect();
        keys.sort_unstable();
        keys.dedup();
        SuspectsView {
            schema: SUSPECTS_SCHEMA.to_owned(),
            weighed: seen.taken.len() + seen.noticed.len() + seen.looked.len(),
            suspects: suspects.len(),
            rows,
            others: (1.0 - probability - ranking.not_in_record).max(0.0),
            not_in_record: ranking.not_in_record,
            two_defects: ranking.two.max(0.0),
            warnings: self.warnings(seen, ranking),
            sources: keys.into_iter().filter_map(|key| self.case.source_view(key)).collect(),
        }
    }

    fn suspect_row(
        &self,
        seen: &Observations,
        ranking: &Ranking,
        explanation: &Explanation,
    ) -> SuspectRow {
        let suspects = self.benches.suspects();
        let of: Vec<&Suspect> = explanation.faults.iter().map(|(at, _)| &suspects[*at]).collect();
        SuspectRow {
            words: of.iter().map(|suspect| suspect.words.clone()).collect(),
            sizes: explanation
                .faults
                .iter()
                .map(|(at, size)| size_words(&suspects[*at], *size))
                .collect(),
            probability: explanation.weight,
            as_built: of.iter().all(|suspect| matches!(suspect.fault, diagnose::Fault::AsBuilt)),
            remedies: of.iter().map(|suspect| suspect.remedy.clone()).collect(),
            minutes: of.iter().map(|suspect| suspect.minutes).sum(),
            says: (0..seen.taken.len()).map(|at| says(seen, ranking, explanation, at)).collect(),
        }
    }

    /// Repairs that did not cure, and what leaves readings and symptoms in doubt.
    fn warnings(&self, seen: &Observations, ranking: &Ranking) -> Vec<String> {
        let name = |place: &Place| self.vehicle.place_name(*place);
        let history = &self.vehicle.history;
        let changed = history.changed.iter().map(|repaired| {
            format!(
                "put right, after which something was different: {}; what was observed before is no \
                 longer weighed ({})",
                name(&repaired.place),
                repaired.before.join(", ")
            )
        });
        let mut warnings: Vec<String> = changed.collect();
        if !history.no_cure.is_empty() {
            let names: Vec<String> = history.no_cure.iter().map(name).collect();
            warnings.push(format!(
                "put right, and everything stayed as it was: {}; no longer suspected, and of two \
                 faults of which one was there the other is left",
                names.join(", ")
            ));
        }
        warnings.extend(self.doubts(seen, ranking));
        warnings
    }

    /// What was left out or contradicts the rest.
    pub(crate) fn doubts(&self, seen: &Observations, ranking: &Ranking) -> Vec<String> {
        let mut warnings: Vec<String> = seen
            .impossible
            .iter()
            .map(|no| format!("`{}` was left out: {}", no.name, no.why))
            .collect();
        warnings.extend(self.unused_symptoms());
        warnings.extend(self.of_what_is_off());
        warnings.extend(twice_differently(seen));
        for (at, taken) in seen.taken.iter().enumerate() {
            let stray: f64 = ranking
                .explanations
                .iter()
                .filter(|e| e.stray.get(at).copied().unwrap_or(false))
                .map(|e| e.weight)
                .sum();
            if stray > STRAY_SHARE {
                warnings.push(format!(
                    "`{}` ({}) contradicts the other readings: take it again, mind the points, the \
                     range and the state",
                    taken.name,
                    shown(taken, taken.reading.shown)
                ));
            }
        }
        let best = ranking.explanations.iter().find(|e| !e.faults.is_empty());
        for (at, taken) in seen.taken.iter().enumerate() {
            let off = best.and_then(|e| e.distance.get(at)).map_or(0.0, |off| off.abs());
            let is_stray = best.is_some_and(|e| e.stray.get(at).copied().unwrap_or(false));
            if off > DOES_NOT_FIT && !is_stray {
                warnings.push(format!(
                    "even the likeliest suspect does not explain `{}`: {off:.1} standard deviations \
                     apart",
                    taken.name
                ));
            }
        }
        if ranking.not_in_record > STRAY_SHARE {
            warnings.push(
                "no suspect of the record explains what was read: check the record where the \
                 readings were taken, and take the ones that differ again"
                    .to_owned(),
            );
        }
        warnings
    }

    fn is_out_of_reach(&self, symptom: &model::Symptom) -> bool {
        let Some(device) = symptom.device else { return false };
        let role = self.vehicle.devices[device].role;
        symptom.shows.value().is_some_and(|shows| !diagnose::can_be_said_of(*shows, role))
    }

    /// Symptoms of loads that are not on in their state: by the record they do nothing there anyway.
    fn of_what_is_off(&self) -> impl Iterator<Item = String> + '_ {
        let of_now = |symptom: &&Symptom| !self.vehicle.history.is_laid_aside(&symptom.name);
        self.vehicle.symptoms.iter().filter(of_now).filter_map(|symptom| {
            let (device, state) = (symptom.device?, &self.vehicle.states[symptom.state?]);
            let is_load = self.vehicle.devices[device].role.is_dc_load();
            let says = symptom.shows.value().is_some_and(|shows| *shows != model::Shows::Works);
            (is_load && says && !self.is_out_of_reach(symptom) && !state.on.contains(&device)).then(|| {
                let name = &self.vehicle.devices[device].name;
                format!(
                    "symptom `{}` says nothing: by the record {name} is not on in state {}; was it? \
                     then write it into that state (`on`), else name the state in which it was",
                    symptom.name, state.name
                )
            })
        })
    }

    /// Symptoms that could not be held against the sums.
    fn unused_symptoms(&self) -> impl Iterator<Item = String> + '_ {
        let of_now = |symptom: &&Symptom| !self.vehicle.history.is_laid_aside(&symptom.name);
        self.vehicle.symptoms.iter().filter(of_now).filter_map(|symptom| {
            let missing = match () {
                () if symptom.device.is_none() => "a device",
                () if symptom.state.is_none() => "a state",
                () if symptom.shows.is_unknown() => "a word of the list (`shows`)",
                () if self.is_out_of_reach(symptom) => {
                    "a fuse or breaker, which alone trip or get warm"
                }
                () => return None,
            };
            Some(format!(
                "symptom `{}` was not weighed: it names no {}",
                symptom.name,
                missing.trim_start_matches("a ")
            ))
        })
    }
}

/// Two readings of the same points in the same state that cannot both be.
fn twice_differently(seen: &Observations) -> Vec<String> {
    let half = |taken: &Taken| taken.reading.accuracy.half_width(taken.reading.shown);
    let mut found = Vec::new();
    for (k, a) in seen.taken.iter().enumerate() {
        for b in &seen.taken[k + 1..] {
            let same = a.points == b.points && a.state == b.state;
            if same && (a.reading.shown - b.reading.shown).abs() > half(a) + half(b) {
                found.push(format!(
                    "`{}` and `{}` read the same points in the same state and differ: {} and {}; \
                     something moves, or one of them is wrong",
                    a.name,
                    b.name,
                    shown(a, a.reading.shown),
                    shown(b, b.reading.shown)
                ));
            }
        }
    }
    found
}

fn says(
    seen: &Observations,
    ranking: &Ranking,
    explanation: &Explanation,
    at: usize,
) -> ReadingSays {
    let taken = &seen.taken[at];
    let log = |e: &Explanation| e.each.get(at).copied().unwrap_or(0.0);
    let others = ranking.explanations.iter().filter(|e| e.faults != explanation.faults);
    let (mut sum, mut weight) = (0.0, 0.0);
    for other in others {
        sum += other.weight * log(other).exp();
        weight += other.weight;
    }
    let log_odds = match sum > 0.0 && weight > 0.0 {
        true => log(explanation) - (sum / weight).ln(),
        false => 0.0,
    };
    let predicted = explanation.predicted.readings.get(at).copied().flatten();
    let speaks = match log_odds {
        odds if odds > SPEAKS => "for",
        odds if odds < -SPEAKS => "against",
        _ => "neither",
    };
    ReadingSays {
        reading: taken.name.clone(),
        read: shown(taken, taken.reading.shown),
        predicted: predicted.map_or_else(|| "no number".to_owned(), |value| shown(taken, value)),
        log_odds,
        speaks: speaks.to_owned(),
    }
}

fn shown(taken: &Taken, value: f64) -> String {
    let dimension = match taken.points {
        ReadingPoints::Between(..) | ReadingPoints::Over(_) => Dimension::Voltage,
        ReadingPoints::In(_) | ReadingPoints::On(_) => Dimension::Current,
    };
    let rounding = if dimension == Dimension::Voltage { 1e-4 } else { 1e-3 };
    let value = if value.abs() < rounding { 0.0 } else { value };
    units::format(value, dimension, System::Metric)
}

/// The size of an unwanted resistance, or the multiple of a number.
pub(crate) fn size_words(suspect: &Suspect, size: f64) -> String {
    match suspect.sizes.len() {
        0 | 1 => String::new(),
        _ if suspect.is_series() => {
            format!("about {}", units::format(size, Dimension::Resistance, System::Metric))
        }
        _ => format!("about {size:.2} times what is written"),
    }
}

/// A share in figures: never a certainty that is none.
pub fn percent_words(share: f64) -> String {
    match 100.0 * share {
        part if part < 0.5 => "under 1 %".to_owned(),
        part if part > 99.5 => "over 99 %".to_owned(),
        part => format!("{part:.0} %"),
    }
}
