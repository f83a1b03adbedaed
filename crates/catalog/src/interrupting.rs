//! What a breaker near a battery must be able to break, by the battery's cold-cranking amperes.

use serde::Deserialize;
use units::{Ampere, Dimension};

/// Where a breaker sits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BreakerPlace {
    /// The first one after the battery.
    Main,
    /// One behind another.
    Branch,
}

/// The table.
#[derive(Clone, Debug)]
pub struct Interrupting {
    /// Key of its source.
    pub source: String,
    rows: Vec<Row>,
}

#[derive(Clone, Debug)]
struct Row {
    up_to_cca: Option<f64>,
    main: Ampere,
    branch: Ampere,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    source: String,
    rows: Vec<RawRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawRow {
    cca: Option<f64>,
    main: String,
    branch: String,
}

impl Interrupting {
    pub(crate) fn embedded() -> Interrupting {
        let file: File =
            crate::embedded("interrupting.toml", include_str!("../data/interrupting.toml"));
        let ampere = |text: &str| Ampere::from_si(crate::quantity(text, Dimension::Current));
        let row = |raw: RawRow| Row {
            up_to_cca: raw.cca,
            main: ampere(&raw.main),
            branch: ampere(&raw.branch),
        };
        Interrupting { source: file.source, rows: file.rows.into_iter().map(row).collect() }
    }

    /// What a breaker must be able to break on 12 or 24 V, by the sum of the cold-cranking amperes
    /// of batteries in parallel (in series they do not add). On a printed limit the row holds.
    ///
    /// Source: ABYC E-11 Table V.A as reprinted (`data/interrupting.toml`). Valid: lead-acid
    /// batteries with a cold-cranking rating above zero; else `None`. Checked by: `tests::bands`.
    pub fn by_cranking(&self, cca: Ampere, place: BreakerPlace) -> Option<Ampere> {
        if cca.si() <= 0.0 || !cca.si().is_finite() {
            return None;
        }
        let row = self.rows.iter().find(|row| row.up_to_cca.is_none_or(|most| cca.si() <= most))?;
        Some(match place {
            BreakerPlace::Main => row.main,
            BreakerPlace::Branch => row.branch,
        })
    }
}
