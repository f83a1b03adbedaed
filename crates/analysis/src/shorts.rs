//! Short circuits as the checks see them: what [`protect::study`] says of every wire, without its words.

use std::collections::BTreeSet;

use checks::{Short, Withstands};
use model::WireId;
use protect::{Row, Word};
use units::Second;

use crate::case::Case;

impl Case {
    /// Every wire with a device that has to open, from each end behind which a source stands.
    pub(crate) fn shorts(&self) -> Vec<Short> {
        self.short_circuits().rows.iter().filter_map(short).collect()
    }

    /// The same of a few wires, without the rest.
    pub(crate) fn shorts_of(&self, wires: &BTreeSet<WireId>) -> Vec<Short> {
        let stand = protect::Stand::Any;
        let rows = protect::study_wires(self.vehicle(), &self.catalog, stand, wires);
        rows.iter().filter_map(short).collect()
    }
}

fn short(row: &Row) -> Option<Short> {
    let device = row.device.as_ref()?;
    let facts = row.verdict.missing.iter().filter(|fact| Some(*fact) != device.to_break.as_ref());
    let missing: Vec<_> = facts.cloned().collect();
    let withstands = match row.verdict.word {
        Word::Protected => Withstands::Yes,
        Word::BurnsFirst => Withstands::No {
            ampere: row.far_a.high(),
            stands_s: row.stands.map(Second::si),
            opens_s: device.at_least.map(Second::si),
        },
        // Only what it breaks is open: it opens in time by what was read.
        Word::CannotTell if missing.is_empty() => Withstands::Yes,
        Word::CannotTell => Withstands::Unknown,
        // Said by the check on what it breaks, and by the one on its rating.
        Word::CannotBreak | Word::Overheats => Withstands::Elsewhere,
    };
    Some(Short {
        wire: row.wire,
        device: device.device,
        label: device.name.clone(),
        withstands,
        breaking: device.breaking,
        to_break: device.to_break.clone(),
        missing,
    })
}
