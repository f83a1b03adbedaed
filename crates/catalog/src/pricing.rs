//! What a price counts beside opening, work and parts, and rules on estimates by jurisdiction. Knows no
//! workshop and no rate.

use std::collections::BTreeMap;

use serde::Deserialize;
use units::{Dimension, Metre, Money};

/// Usual minutes and quantities of a price. Minutes are low, likely, high.
#[derive(Clone, Debug, PartialEq)]
pub struct Pricing {
    /// Making dead, and switching on again.
    pub dead_and_live_min: [f64; 3],
    /// Proof of each repair.
    pub proof_each_min: [f64; 3],
    /// Writing up, once.
    pub write_up_once_min: [f64; 3],
    /// Writing up, for each repair.
    pub write_up_each_min: [f64; 3],
    /// Slack of new wire as a share of its length.
    pub slack_share: f64,
    /// Slack of each piece of new wire.
    pub slack_each: Metre,
    /// Cable ties for a metre of new wire.
    pub ties_per_metre: f64,
    /// Sleeves for a lug.
    pub sleeves_per_lug: f64,
    /// Signal words that ending the dangers takes in.
    pub danger_signals: Vec<String>,
}

/// Rules on estimates and authorisation of a jurisdiction.
#[derive(Clone, Debug, PartialEq)]
pub struct LawRow {
    /// Its name for people.
    pub name: String,
    /// Key of the source.
    pub source: String,
    /// What was read.
    pub edition: String,
    /// Percent a bill may go beyond what was agreed to.
    pub over_percent: Option<u32>,
    /// Amount it may go beyond; the lesser of the two holds.
    pub over_amount: Option<Money>,
    /// The cap is from memory: it only hints.
    pub recalled_cap: bool,
    /// From this amount an estimate is in writing.
    pub written_from: Option<Money>,
    /// Rules in our own words.
    pub rules: Vec<String>,
    /// What an estimate for opening says.
    pub opening: Vec<String>,
}

/// All jurisdictions by key.
#[derive(Clone, Debug, PartialEq)]
pub struct Laws(BTreeMap<String, LawRow>);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PricingFile {
    dead_and_live: [f64; 3],
    proof_each: [f64; 3],
    write_up_once: [f64; 3],
    write_up_each: [f64; 3],
    slack_share: f64,
    slack_each: String,
    ties_per_metre: f64,
    sleeves_per_lug: f64,
    choice: ChoiceFile,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ChoiceFile {
    danger: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawLaw {
    name: String,
    source: String,
    edition: String,
    over_percent: Option<u32>,
    over_amount: Option<String>,
    #[serde(default)]
    recalled_cap: bool,
    written_from: Option<String>,
    rules: Vec<String>,
    #[serde(default)]
    opening: Vec<String>,
}

impl Pricing {
    pub(crate) fn embedded() -> Pricing {
        let file: PricingFile =
            crate::embedded("pricing.toml", include_str!("../data/pricing.toml"));
        Pricing {
            dead_and_live_min: file.dead_and_live,
            proof_each_min: file.proof_each,
            write_up_once_min: file.write_up_once,
            write_up_each_min: file.write_up_each,
            slack_share: file.slack_share,
            slack_each: Metre::from_si(crate::quantity(&file.slack_each, Dimension::Length)),
            ties_per_metre: file.ties_per_metre,
            sleeves_per_lug: file.sleeves_per_lug,
            danger_signals: file.choice.danger,
        }
    }
}

impl Laws {
    pub(crate) fn embedded() -> Laws {
        let file: BTreeMap<String, RawLaw> =
            crate::embedded("law.toml", include_str!("../data/law.toml"));
        let money = |text: &String| crate::stand_ins::money(text);
        let row = |raw: RawLaw| LawRow {
            over_amount: raw.over_amount.as_ref().map(money),
            written_from: raw.written_from.as_ref().map(money),
            name: raw.name,
            source: raw.source,
            edition: raw.edition,
            over_percent: raw.over_percent,
            recalled_cap: raw.recalled_cap,
            rules: raw.rules,
            opening: raw.opening,
        };
        Laws(file.into_iter().map(|(key, raw)| (key, row(raw))).collect())
    }

    /// The rules of a jurisdiction.
    pub fn get(&self, key: &str) -> Option<&LawRow> {
        self.0.get(key)
    }

    /// All in the order of their keys.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &LawRow)> {
        self.0.iter().map(|(key, row)| (key.as_str(), row))
    }
}

#[cfg(test)]
mod tests {
    use crate::Catalog;

    #[test]
    fn every_rule_pack_names_its_source_and_edition() {
        let catalog = Catalog::embedded();
        for (key, law) in catalog.laws.iter() {
            assert!(catalog.sources.get(&law.source).is_some(), "{key}");
            assert!(!law.edition.is_empty() && !law.rules.is_empty(), "{key}");
        }
        let pricing = &catalog.pricing;
        for [low, likely, high] in [
            pricing.dead_and_live_min,
            pricing.proof_each_min,
            pricing.write_up_once_min,
            pricing.write_up_each_min,
        ] {
            assert!(0.0 < low && low <= likely && likely <= high);
        }
    }
}
