//! What to find out, in the order of how much risk each minute of it settles.

use std::collections::BTreeMap;

use catalog::Means;
use checks::{Check, Outcome};
use model::{Place, Signal, Verdict};
use schemars::JsonSchema;
use serde::Serialize;

use crate::case::Case;
use crate::view::AccessCost;

/// A missing fact, with all it settles.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FindOutRow {
    /// What to do.
    pub what: String,
    /// Where.
    pub place: String,
    /// `look`, `reading`, or `note` in the record.
    pub how: String,
    /// Minutes of it at the open place.
    pub minutes_there: f64,
    /// The way in and back; absent where it is not recorded, and 30 min count.
    pub access: Option<AccessCost>,
    /// All minutes.
    pub minutes: f64,
    /// The worst it may turn out to be.
    pub signal: String,
    /// Checks that cannot tell without it.
    pub settles: Vec<String>,
    /// Weight of the signal words it settles (DANGER 30, WARNING 10, CAUTION 3, NOTICE 1) over all
    /// minutes. Where one question needs several facts its weight is shared among them.
    pub risk_per_minute: f64,
}

/// What hangs on one fact.
#[derive(Default)]
struct Hanging {
    risk: f64,
    signal: Option<Signal>,
    settles: Vec<&'static str>,
}

impl Case {
    /// Every missing fact, the one that settles most risk for its minutes first.
    pub(crate) fn find_out(&self, outcomes: &[(&'static Check, Outcome)]) -> Vec<FindOutRow> {
        let mut facts: BTreeMap<(&str, Place), Hanging> = BTreeMap::new();
        for (check, outcome) in outcomes {
            for finding in &outcome.findings {
                let Verdict::CannotTell(missing) = &finding.verdict else { continue };
                let share = self.catalog.finding_out.risk(finding.signal) / missing.len() as f64;
                for fact in missing {
                    let hanging = facts.entry((&fact.what, fact.at)).or_default();
                    hanging.risk += share;
                    hanging.signal = hanging.signal.into_iter().chain([finding.signal]).min();
                    hanging.settles.push(check.slug);
                }
            }
        }
        let mut rows: Vec<FindOutRow> = facts
            .into_iter()
            .map(|((what, at), hanging)| self.find_out_row(what, at, hanging))
            .collect();
        rows.sort_by(|a, b| b.risk_per_minute.total_cmp(&a.risk_per_minute));
        rows
    }

    fn find_out_row(&self, what: &str, at: Place, mut hanging: Hanging) -> FindOutRow {
        let figures = &self.catalog.finding_out;
        let means = figures.means(what);
        let access = self.access_to(at).filter(|_| means != Means::Note);
        let way_min = match (&access, means) {
            (_, Means::Note) => 0.0,
            (Some(cost), _) => cost.minutes_out + cost.minutes_back,
            (None, _) => figures.unknown_way_min,
        };
        let minutes_there = figures.minutes(means);
        let minutes = way_min + minutes_there;
        hanging.settles.sort_unstable();
        hanging.settles.dedup();
        FindOutRow {
            what: what.to_owned(),
            place: self.vehicle().place_name(at),
            how: means.word().to_owned(),
            minutes_there,
            access,
            minutes,
            signal: hanging.signal.unwrap_or(Signal::Notice).word().to_owned(),
            settles: hanging.settles.into_iter().map(ToOwned::to_owned).collect(),
            risk_per_minute: hanging.risk / minutes,
        }
    }
}
