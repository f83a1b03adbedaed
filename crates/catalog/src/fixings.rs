//! Fixings, the tools they take and the minutes they usually take, by head and condition.

use std::collections::BTreeMap;

use model::{Fixing, FixingCondition, HeadAccess};
use serde::Deserialize;

/// A kind of fixing.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FixingKind {
    /// The plural people write.
    pub plural: String,
    /// The tool that undoes it; none: by hand.
    pub tool: Option<String>,
    /// The tool that puts it back, if it is another.
    pub back_tool: Option<String>,
    /// How its head is reached, if the kind itself says so.
    pub head: Option<String>,
    /// It stays on the part or is gone, so that no bag takes it.
    #[serde(default)]
    pub stays: bool,
    /// The share used up when it is undone.
    #[serde(default)]
    pub spent: f64,
    /// What replaces a used-up one.
    #[serde(default)]
    pub supply: String,
    /// Usual minutes to undo one.
    pub out: f64,
    /// Usual minutes to put one back.
    pub back: f64,
    /// Key of the source of the minutes.
    pub source: String,
}

/// What the way to its head does to a fixing.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeadRow {
    /// Multiplies the minutes, out and back.
    pub slower: f64,
    /// What it takes besides the usual tool.
    pub tool: Option<String>,
    /// Key of the source.
    pub source: String,
}

/// What its condition does to a fixing.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ConditionRow {
    /// Multiplies the minutes out.
    pub slower: f64,
    /// The share that does not come undone and is drilled or cut out.
    pub fails: f64,
    /// Minutes to drill or cut one out.
    pub cut_out: f64,
    /// Likelihood, for each fixing, that this damages the part.
    pub breaks: f64,
    /// What it takes besides the usual tool.
    pub tool: Option<String>,
    /// Key of the source.
    pub source: String,
}

/// All kinds of fixings, and what handling a part takes by itself.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fixings {
    base: Base,
    fixing: BTreeMap<String, FixingKind>,
    head: BTreeMap<String, HeadRow>,
    condition: BTreeMap<String, ConditionRow>,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Base {
    out: f64,
    back: f64,
    #[allow(dead_code, reason = "documents the row")]
    source: String,
    #[allow(dead_code, reason = "documents the row")]
    words: String,
}

/// What undoing and redoing some fixings usually takes. An estimate; every use of it counts as
/// assumed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UsualWork {
    /// Minutes out, handling included.
    pub out_min: f64,
    /// Minutes back, handling included.
    pub back_min: f64,
    /// Likelihood that the part is damaged by fixings that do not come undone, 0 to 1.
    pub breaks: f64,
}

impl Fixings {
    pub(crate) fn embedded() -> Fixings {
        crate::embedded("fixings.toml", include_str!("../data/fixings.toml"))
    }

    /// The kind of a singular or plural name, with its singular name.
    pub fn find(&self, name: &str) -> Option<(&str, &FixingKind)> {
        self.fixing
            .iter()
            .find(|(key, kind)| key.as_str() == name || kind.plural == name)
            .map(|(key, kind)| (key.as_str(), kind))
    }

    /// All names, singular.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.fixing.keys().map(String::as_str)
    }

    /// What a way to a head means.
    ///
    /// # Panics
    /// Only if the embedded data lacks a row; a test reads all of them.
    pub fn head(&self, head: HeadAccess) -> &HeadRow {
        &self.head[word_of(&HeadAccess::ALL, head)]
    }

    /// What a condition means.
    ///
    /// # Panics
    /// Only if the embedded data lacks a row; a test reads all of them.
    pub fn condition(&self, condition: FixingCondition) -> &ConditionRow {
        &self.condition[word_of(&FixingCondition::ALL, condition)]
    }

    /// The way to a head by its word.
    pub fn head_of_word(&self, word: &str) -> Option<HeadAccess> {
        HeadAccess::ALL.iter().find(|(_, known)| *known == word).map(|(head, _)| *head)
    }

    /// Usual minutes and likelihood of damage of a part held by these fixings.
    ///
    /// With `n` fixings of a kind with `t` minutes each, `s` the factor of the head, `c` that of the
    /// condition, `q` the share that fails and `d` the minutes to cut one out: out = handling +
    /// sum `n (t s c + q d)`, back = handling + sum `n t s`, damage = `1 - product (1 - b)^n`.
    /// A head or condition nobody wrote counts as straight and good; one that the kind implies is in
    /// the minutes of the kind already. The sum over failing fixings is the expected value of
    /// independent failures (closed form). Tests: `usual_work_*`.
    pub fn usual(&self, fixings: &[Fixing]) -> UsualWork {
        let mut work = UsualWork { out_min: self.base.out, back_min: self.base.back, breaks: 0.0 };
        let mut whole = 1.0;
        for fixing in fixings {
            let Some((_, kind)) = self.find(&fixing.kind) else { continue };
            let count = f64::from(fixing.count);
            let implied = kind.head.as_deref().and_then(|word| self.head_of_word(word));
            let head = fixing.head.value().copied().filter(|head| Some(*head) != implied);
            let slower = head.map_or(1.0, |head| self.head(head).slower);
            let condition = fixing.condition.value().copied().unwrap_or(FixingCondition::Good);
            let condition = self.condition(condition);
            let each = kind.out * slower * condition.slower;
            work.out_min += count * (each + condition.fails * condition.cut_out);
            work.back_min += count * kind.back * slower;
            whole *= (1.0 - condition.breaks).powf(count);
        }
        work.breaks = 1.0 - whole;
        work
    }

    /// Every row's source key.
    pub fn sources(&self) -> impl Iterator<Item = &str> {
        let fixings = self.fixing.values().map(|kind| &kind.source);
        let heads = self.head.values().map(|row| &row.source);
        let conditions = self.condition.values().map(|row| &row.source);
        fixings.chain(heads).chain(conditions).chain([&self.base.source]).map(String::as_str)
    }

    /// Every tool a row names.
    pub fn tools(&self) -> impl Iterator<Item = &str> {
        let kinds = self.fixing.values().flat_map(|kind| [&kind.tool, &kind.back_tool]);
        let heads = self.head.values().map(|row| &row.tool);
        let conditions = self.condition.values().map(|row| &row.tool);
        kinds.chain(heads).chain(conditions).filter_map(Option::as_deref)
    }
}

fn word_of<T: PartialEq>(all: &[(T, &'static str)], wanted: T) -> &'static str {
    all.iter().find(|(value, _)| *value == wanted).map_or("", |(_, word)| word)
}
