//! How far what is not firmly known may lie from what the sums take in a short circuit, and how hot a
//! wire may get in one.

use serde::Deserialize;
use units::{Celsius, Dimension};

/// How much more than assumed a load or charger may draw before a pass no longer counts: our choice.
/// No appliance of a kind draws ten times what is usual for it.
pub const ASSUMED_COUNTS_UP_TO: f64 = 10.0;

/// Spreads and limits for short circuits.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultSpread {
    /// Key of the source of the spreads.
    pub source: String,
    /// Lowest and highest factor on an assumed resistance or limit.
    pub assumed: (f64, f64),
    /// Lowest and highest factor on a joint nobody has measured.
    pub joint: (f64, f64),
    /// Shortest and longest a wire of unknown length is taken to be, m.
    pub unknown_length_m: (f64, f64),
    /// Smallest and largest a wire of unknown size is taken to be, mm².
    pub unknown_area_mm2: (f64, f64),
    /// What insulation of unknown rating counts as.
    pub warm: Celsius,
    /// Key of the source of the limits.
    pub short_source: String,
    short: Vec<(f64, Celsius)>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    source: String,
    assumed: (f64, f64),
    joint: (f64, f64),
    unknown_length: [String; 2],
    unknown_area: [String; 2],
    warm: String,
    short_source: String,
    short: Vec<RawShort>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawShort {
    up_to: String,
    end: String,
}

impl FaultSpread {
    pub(crate) fn embedded() -> FaultSpread {
        let file: File =
            crate::embedded("fault_spread.toml", include_str!("../data/fault_spread.toml"));
        let pair = |texts: &[String; 2], dimension| {
            (crate::quantity(&texts[0], dimension), crate::quantity(&texts[1], dimension))
        };
        let celsius = |text: &str| crate::quantity(text, Dimension::Temperature);
        FaultSpread {
            source: file.source,
            assumed: file.assumed,
            joint: file.joint,
            unknown_length_m: pair(&file.unknown_length, Dimension::Length),
            unknown_area_mm2: pair(&file.unknown_area, Dimension::Area),
            warm: Celsius::from_si(celsius(&file.warm)),
            short_source: file.short_source,
            short: file
                .short
                .iter()
                .map(|row| (celsius(&row.up_to), Celsius::from_si(celsius(&row.end))))
                .collect(),
        }
    }

    /// How hot the conductor may get in a short circuit of up to 5 s, by the rating of its insulation.
    /// Source: IEC 60364-4-43 Table 43A. A rating does not tell thermoplastic (160 °C) from
    /// thermosetting (250 °C), so up to 105 °C the lower one holds. Valid up to 200 °C; above, `None`.
    /// Checked by: `tests::bands`.
    pub fn short_limit(&self, insulation: Celsius) -> Option<Celsius> {
        let row = self.short.iter().find(|(up_to_c, _)| insulation.si() <= up_to_c + 1e-9)?;
        Some(row.1)
    }
}
