//! The tables as they stand in `data/ampacity.toml`, and the look-up of a printed cell.

use model::Region;
use serde::Deserialize;
use units::{Ampere, Celsius, Dimension};

use super::{AREA_SLACK, Allowed, Ampacity, NoRow, Question, VoltageBand, column};

#[derive(Clone, Debug)]
pub(super) struct Table {
    pub(super) key: String,
    pub(super) words: String,
    pub(super) source: String,
    pub(super) decides: bool,
    pub(super) band: Option<VoltageBand>,
    pub(super) regions: Vec<Region>,
    pub(super) ambient: Option<String>,
    pub(super) bundle_under_50_v: Option<String>,
    pub(super) bundle_50_v_and_over: Option<String>,
    pub(super) insulation_c: Vec<f64>,
    pub(super) rows: Vec<Row>,
}

#[derive(Clone, Debug)]
pub(super) struct Row {
    size: String,
    pub(super) area_mm2: f64,
    pub(super) ampere: Vec<f64>,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AmbientTable {
    pub(super) key: String,
    pub(super) words: String,
    pub(super) source: String,
    pub(super) insulation_c: Vec<f64>,
    pub(super) rows: Vec<AmbientRow>,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AmbientRow {
    pub(super) up_to_c: f64,
    pub(super) factor: Vec<f64>,
}

#[derive(Clone, Debug)]
pub(super) struct BundleTable {
    pub(super) key: String,
    pub(super) words: String,
    pub(super) source: String,
    pub(super) rows: Vec<BundleRow>,
}

#[derive(Clone, Debug)]
pub(super) struct BundleRow {
    pub(super) from: u32,
    pub(super) factor: f64,
    /// `4 to 6`, `41 or more`.
    pub(super) range: String,
}

#[derive(Clone, Debug)]
pub(super) struct EngineSpace {
    pub(super) ambient: Celsius,
    pub(super) words: String,
    pub(super) source: String,
    pub(super) hint_for: String,
    pub(super) insulation_c: Vec<f64>,
    pub(super) factor: Vec<f64>,
}

impl Table {
    /// Whether the table speaks of such a conductor.
    pub(super) fn fits(&self, question: &Question) -> bool {
        let region = self.regions.is_empty()
            || question.region.is_some_and(|region| self.regions.contains(&region));
        region && self.band.is_none_or(|band| band == question.band)
    }

    /// The printed cell: the next thinner row, the next lower column.
    pub(super) fn printed(&self, question: &Question) -> Result<Allowed, NoRow> {
        let area_mm2 = question.area.si();
        let column = column(&self.insulation_c, question.insulation).ok_or(NoRow::NotPrinted)?;
        let slack = 1.0 + AREA_SLACK;
        if self.rows.last().is_none_or(|row| area_mm2 > row.area_mm2 * slack) {
            return Err(NoRow::Thicker);
        }
        let Some(row) = self.rows.iter().rfind(|row| row.area_mm2 <= area_mm2 * slack) else {
            let thinnest = self.rows.first().map_or(0.0, |row| row.ampere[column]);
            return Err(NoRow::Thinner(Ampere::from_si(thinnest)));
        };
        let ampere = row.ampere[column];
        if ampere.is_nan() {
            return Err(NoRow::NotPrinted);
        }
        Ok(Allowed {
            ampere: Ampere::from_si(ampere),
            printed: Ampere::from_si(ampere),
            table: self.words.clone(),
            row: row.size.clone(),
            column: Celsius::from_si(self.insulation_c[column]),
            corrections: Vec::new(),
            source: self.source.clone(),
            of_region: !self.regions.is_empty(),
        })
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    table: Vec<RawTable>,
    ambient: Vec<AmbientTable>,
    bundle: Vec<RawBundle>,
    engine_space: RawEngineSpace,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawTable {
    key: String,
    words: String,
    source: String,
    #[serde(rename = "use")]
    purpose: Purpose,
    voltage: String,
    #[serde(default)]
    regions: Vec<String>,
    ambient: Option<String>,
    bundle_under_50_v: Option<String>,
    bundle_50_v_and_over: Option<String>,
    insulation_c: Vec<f64>,
    rows: Vec<RawRow>,
}

#[derive(Deserialize, PartialEq)]
#[serde(rename_all = "kebab-case")]
enum Purpose {
    Decides,
    Hint,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawRow {
    size: String,
    ampere: Vec<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawBundle {
    key: String,
    words: String,
    source: String,
    rows: Vec<RawBundleRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawBundleRow {
    from: u32,
    factor: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawEngineSpace {
    ambient_c: f64,
    words: String,
    source: String,
    hint_for: String,
    rows: Vec<RawEngineRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawEngineRow {
    insulation_c: f64,
    factor: f64,
}

impl Ampacity {
    pub(crate) fn embedded() -> Ampacity {
        let file: File = crate::embedded("ampacity.toml", include_str!("../../data/ampacity.toml"));
        let tables: Vec<Table> = file.table.into_iter().map(table).collect();
        let low_voltage = tables.iter().rfind(|table| table.decides);
        let source = low_voltage.map(|table| table.source.clone()).unwrap_or_default();
        let note = file.engine_space;
        let engine_space = EngineSpace {
            ambient: Celsius::from_si(note.ambient_c),
            words: note.words,
            source: note.source,
            hint_for: note.hint_for,
            insulation_c: note.rows.iter().map(|row| row.insulation_c).collect(),
            factor: note.rows.iter().map(|row| row.factor).collect(),
        };
        let bundle = file.bundle.into_iter().map(bundle).collect();
        Ampacity { source, tables, ambient: file.ambient, bundle, engine_space }
    }
}

fn table(raw: RawTable) -> Table {
    let rows = raw
        .rows
        .into_iter()
        .map(|row| Row {
            area_mm2: crate::quantity(&row.size, Dimension::Area),
            size: row.size.replace("mm2", "mm²"),
            ampere: row.ampere,
        })
        .collect();
    Table {
        key: raw.key,
        words: raw.words,
        source: raw.source,
        decides: raw.purpose == Purpose::Decides,
        band: band(&raw.voltage),
        regions: raw.regions.iter().map(|name| crate::limits::region(name)).collect(),
        ambient: raw.ambient,
        bundle_under_50_v: raw.bundle_under_50_v,
        bundle_50_v_and_over: raw.bundle_50_v_and_over,
        insulation_c: raw.insulation_c,
        rows,
    }
}

fn band(words: &str) -> Option<VoltageBand> {
    match words {
        "any" => None,
        "under 50 V" => Some(VoltageBand::UnderFifty),
        "50 V and over" => Some(VoltageBand::FiftyAndOver),
        other => panic!("embedded ampacity.toml names an unknown voltage {other}"),
    }
}

fn bundle(raw: RawBundle) -> BundleTable {
    let ends: Vec<Option<u32>> =
        raw.rows.iter().skip(1).map(|row| Some(row.from - 1)).chain([None]).collect();
    let rows = raw
        .rows
        .iter()
        .zip(ends)
        .map(|(row, end)| BundleRow {
            from: row.from,
            factor: row.factor,
            range: match end {
                Some(end) if end == row.from => end.to_string(),
                Some(end) => format!("{} to {end}", row.from),
                None => format!("{} or more", row.from),
            },
        })
        .collect();
    BundleTable { key: raw.key, words: raw.words, source: raw.source, rows }
}
