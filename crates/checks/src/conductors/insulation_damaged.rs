//! Check: `insulation-damaged`.

use model::{Look, Signal};

use crate::context::Context;
use crate::looked::{WireLook, Wrong};
use crate::outcome::{Out, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("insulation-damaged", include_str!("../../spec/insulation-damaged.md"), check);

const LOOK: WireLook = WireLook {
    look: Look::Whole,
    signal: Signal::Warning,
    find_out: "look along it, and feel with the source off: chafed, cut, melted?",
    wrong,
};

fn check(context: &Context<'_>, out: &mut Out) {
    LOOK.judge(context, out);
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("the insulation of wire {name} is damaged"),
        limit: practice("insulation is whole from end to end"),
        remedy: format!(
            "isolate {name}, find what rubbed or heated it, and replace the length; tape is no repair"
        ),
    }
}
