//! Check: `wire-in-drill-zone`.

use model::{Look, Signal};

use crate::context::Context;
use crate::looked::{WireLook, Wrong};
use crate::outcome::{Out, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("wire-in-drill-zone", include_str!("../../spec/wire-in-drill-zone.md"), check);

const LOOK: WireLook = WireLook {
    look: Look::ScrewsClear,
    signal: Signal::Caution,
    find_out: "look behind the panel: do screws go where it runs?",
    wrong,
};

fn check(context: &Context<'_>, out: &mut Out) {
    LOOK.judge(context, out);
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("wire {name} runs where screws of a panel go"),
        limit: practice("no wire within about 30 mm of where screws go"),
        remedy: format!(
            "move {name} or put a steel plate before it, and mark the panel; measure its insulation before and after the panel goes back"
        ),
    }
}
