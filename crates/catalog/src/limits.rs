//! Limits by key and region.

use model::Region;
use serde::Deserialize;
use units::Dimension;

/// A limit with its source.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitRow {
    /// Its name.
    pub key: String,
    /// Its value in the unit the check names.
    pub value: f64,
    /// The limit in words.
    pub words: String,
    /// Key of its source.
    pub source: String,
    regions: Vec<Region>,
}

impl LimitRow {
    /// The regions it is for; none: all.
    pub fn regions(&self) -> &[Region] {
        &self.regions
    }
}

/// All limits.
#[derive(Clone, Debug)]
pub struct Limits(Vec<LimitRow>);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    limit: Vec<RawRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawRow {
    key: String,
    value: String,
    words: String,
    source: String,
    #[serde(default)]
    regions: Vec<String>,
}

impl Limits {
    pub(crate) fn embedded() -> Limits {
        let file: File = crate::embedded("limits.toml", include_str!("../data/limits.toml"));
        Limits(file.limit.into_iter().map(row).collect())
    }

    /// The limit of a key in a region. Without a region, the row of the first region that has one:
    /// callers say in the finding which rules were taken.
    ///
    /// # Panics
    /// If no such limit exists: a check asked for a key that is not in the data.
    pub fn get(&self, key: &str, region: Option<Region>) -> &LimitRow {
        self.0
            .iter()
            .find(|row| {
                row.key == key
                    && (row.regions.is_empty()
                        || region.is_none_or(|region| row.regions.contains(&region)))
            })
            .unwrap_or_else(|| panic!("no limit `{key}` in the catalog"))
    }

    /// Every row.
    pub fn iter(&self) -> impl Iterator<Item = &LimitRow> {
        self.0.iter()
    }
}

fn row(raw: RawRow) -> LimitRow {
    let (_, value) = units::parse_any(&raw.value)
        .or_else(|_| units::parse(&raw.value, Dimension::Number).map(|v| (Dimension::Number, v)))
        .unwrap_or_else(|error| panic!("limit {} is broken: {}", raw.key, error.message));
    let regions = raw.regions.iter().map(|name| region(name)).collect();
    LimitRow { key: raw.key, value, words: raw.words, source: raw.source, regions }
}

pub(crate) fn region(name: &str) -> Region {
    match name {
        "north-america" => Region::NorthAmerica,
        "europe-uk" => Region::EuropeUk,
        "australia-nz" => Region::AustraliaNz,
        other => panic!("embedded limits name an unknown region {other}"),
    }
}
