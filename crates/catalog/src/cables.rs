//! How single-core cables are built: walls, gaps between strands, what their insulation conducts.

use serde::Deserialize;
use units::{Dimension, Metre, SquareMillimetre};

/// How cables are built.
#[derive(Clone, Debug, PartialEq)]
pub struct Cables {
    /// Key of its source.
    pub source: String,
    /// Thermal conductivity of the insulation, W/(m K).
    pub insulation_w_per_mk: f64,
    /// Emissivity of the surface.
    pub emissivity: f64,
    /// Diameter over the strands against a solid wire of the same copper.
    pub strands_over_solid: f64,
    rows: Vec<(f64, [Metre; 2])>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    source: String,
    insulation_w_per_mk: f64,
    emissivity: f64,
    strands_over_solid: f64,
    rows: Vec<RawRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawRow {
    up_to: String,
    thin: String,
    thick: String,
}

impl Cables {
    pub(crate) fn embedded() -> Cables {
        let file: File = crate::embedded("cables.toml", include_str!("../data/cables.toml"));
        let metre = |text: &str| Metre::from_si(crate::quantity(text, Dimension::Length));
        let rows = file
            .rows
            .iter()
            .map(|row| {
                let up_to_mm2 = crate::quantity(&row.up_to, Dimension::Area);
                (up_to_mm2, [metre(&row.thin), metre(&row.thick)])
            })
            .collect();
        Cables {
            source: file.source,
            insulation_w_per_mk: file.insulation_w_per_mk,
            emissivity: file.emissivity,
            strands_over_solid: file.strands_over_solid,
            rows,
        }
    }

    /// The thinnest and the thickest wall a cable of a size is sold with.
    pub fn walls(&self, area: SquareMillimetre) -> Option<[Metre; 2]> {
        self.rows.iter().find(|(up_to_mm2, _)| area.si() <= *up_to_mm2).map(|(_, walls)| *walls)
    }
}
