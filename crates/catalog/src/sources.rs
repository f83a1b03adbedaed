//! The register of documents.

use std::collections::BTreeMap;

use serde::Deserialize;

/// How well a source was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// The clause or table itself was read.
    Seen,
    /// It was read where somebody restates it.
    SecondHand,
    /// Recalled; must be verified before it decides anything.
    Memory,
    /// Common practice without a published source.
    Practice,
}

impl Standing {
    /// The words printed beside a source.
    pub fn words(self) -> &'static str {
        match self {
            Standing::Seen => "seen",
            Standing::SecondHand => "seen second-hand",
            Standing::Memory => "from memory",
            Standing::Practice => "common practice, no source",
        }
    }
}

/// A document, with its clause.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Document, edition, clause.
    pub words: String,
    /// How well it was seen.
    pub standing: Standing,
}

/// All documents by key.
#[derive(Clone, Debug)]
pub struct Sources(BTreeMap<String, Source>);

impl Sources {
    pub(crate) fn embedded() -> Sources {
        Sources(crate::embedded("sources.toml", include_str!("../data/sources.toml")))
    }

    /// The source of a key.
    pub fn get(&self, key: &str) -> Option<&Source> {
        self.0.get(key)
    }

    /// All sources in key order.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Source)> {
        self.0.iter().map(|(key, source)| (key.as_str(), source))
    }
}
