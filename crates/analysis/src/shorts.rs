//! Short circuits as the checks see them: what [`protect::study`] says of every wire, without its words.

use checks::{Breaking, Short, Withstands};
use protect::{Row, Word};
use units::Second;

use crate::case::Case;

impl Case {
    /// Every wire with a device that has to open, from each end behind which a source stands.
    pub(crate) fn shorts(&self) -> Vec<Short> {
        self.short_circuits().rows.iter().filter_map(short).collect()
    }
}

fn short(row: &Row) -> Option<Short> {
    let device = row.device.as_ref()?;
    let breaking = match device.breaking {
        protect::Breaking::Enough { fault_a, .. } => Breaking::Enough { fault_a },
        protect::Breaking::TooLittle { breaks_a, fault_a } => {
            Breaking::TooLittle { breaks_a, fault_a }
        }
        protect::Breaking::Unknown { breaks_a, fault_a } => Breaking::Unknown { breaks_a, fault_a },
    };
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
        breaking,
        to_break: device.to_break.clone(),
        missing,
    })
}
