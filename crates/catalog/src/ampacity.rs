//! Allowable current of copper conductors by size and insulation rating.

use serde::Deserialize;
use units::{Ampere, Celsius, Dimension, SquareMillimetre};

/// A published table: rows by conductor size, columns by insulation temperature rating.
#[derive(Clone, Debug)]
pub struct AmpacityTable {
    /// Key of its source.
    pub source: String,
    insulation_c: Vec<f64>,
    rows: Vec<(f64, Vec<f64>)>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    source: String,
    insulation_c: Vec<f64>,
    rows: Vec<RawRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawRow {
    size: String,
    ampere: Vec<f64>,
}

impl AmpacityTable {
    pub(crate) fn embedded() -> AmpacityTable {
        let file: File = crate::embedded("ampacity.toml", include_str!("../data/ampacity.toml"));
        let rows = file
            .rows
            .into_iter()
            .map(|row| (crate::quantity(&row.size, Dimension::Area), row.ampere))
            .collect();
        AmpacityTable { source: file.source, insulation_c: file.insulation_c, rows }
    }

    /// Allowable current of a conductor.
    ///
    /// `I = I_k (A / A_k)^p`, the straight line in log-log through the two neighbouring rows of the
    /// table, so that metric sizes between two gauge rows get a value; on a row it is the printed
    /// value. Symbols: `A` area \[mm²\], `I` current \[A\]. The column is the highest printed
    /// insulation rating that does not exceed `insulation`.
    ///
    /// Source: 33 CFR 183.425(b) Table 5 (see `data/ampacity.toml`); the interpolation is ours.
    /// Valid: 18 AWG to 4/0, insulation from 60 °C. Outside: `None`.
    /// Checked by: `tests::ampacity_*`.
    pub fn allowable(&self, area: SquareMillimetre, insulation: Celsius) -> Option<Ampere> {
        let column = self.insulation_c.iter().rposition(|c| *c <= insulation.si() + 1e-9)?;
        let area_mm2 = area.si();
        let at = self.rows.iter().rposition(|(row_mm2, _)| *row_mm2 <= area_mm2 * (1.0 + 1e-9))?;
        let (low_mm2, low) = &self.rows[at];
        let low_a = low[column];
        if (area_mm2 / low_mm2 - 1.0).abs() < 1e-6 {
            return Some(Ampere::from_si(low_a));
        }
        let (high_mm2, high) = self.rows.get(at + 1)?;
        let share = (area_mm2 / low_mm2).ln() / (high_mm2 / low_mm2).ln();
        Some(Ampere::from_si(low_a * (high[column] / low_a).powf(share)))
    }

    /// What the smallest conductor of the table may carry with its best insulation, if `area` is
    /// smaller still: such a conductor carries no more than this. `None` for other sizes.
    pub fn ceiling_below_table(&self, area: SquareMillimetre) -> Option<Ampere> {
        let (smallest_mm2, row) = self.rows.first()?;
        let most = row.iter().copied().reduce(f64::max)?;
        (area.si() < *smallest_mm2).then_some(Ampere::from_si(most))
    }

    /// The lowest and highest insulation ratings of the table.
    pub fn insulation_range(&self) -> (Celsius, Celsius) {
        let first = self.insulation_c.first().copied().unwrap_or(60.0);
        let last = self.insulation_c.last().copied().unwrap_or(200.0);
        (Celsius::from_si(first), Celsius::from_si(last))
    }
}
