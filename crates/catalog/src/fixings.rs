//! Fixings and the minutes they usually take.

use std::collections::BTreeMap;

use serde::Deserialize;

/// A kind of fixing.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FixingKind {
    /// The plural people write.
    pub plural: String,
    /// Usual minutes to undo one.
    pub out: f64,
    /// Usual minutes to put one back.
    pub back: f64,
    /// Key of the source of the minutes.
    pub source: String,
}

/// All kinds of fixings, and what handling a part takes by itself.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fixings {
    base: Base,
    fixing: BTreeMap<String, FixingKind>,
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

    /// Usual minutes out and back of a part held by these fixings: handling plus each fixing.
    /// An estimate; every use of it counts as assumed.
    pub fn minutes<'a>(&self, fixings: impl IntoIterator<Item = (u32, &'a str)>) -> (f64, f64) {
        let mut minutes = (self.base.out, self.base.back);
        for (count, name) in fixings {
            if let Some((_, kind)) = self.find(name) {
                minutes.0 += f64::from(count) * kind.out;
                minutes.1 += f64::from(count) * kind.back;
            }
        }
        minutes
    }
}
