//! Check: `wire-foamed-in`.

use model::{Look, Signal};

use crate::context::Context;
use crate::looked::{WireLook, Wrong};
use crate::outcome::{Out, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("wire-foamed-in", include_str!("../../spec/wire-foamed-in.md"), check);

const LOOK: WireLook = WireLook {
    look: Look::NotFoamed,
    signal: Signal::Caution,
    find_out: "look where it goes behind the lining: in air, in a conduit, or in foam?",
    wrong,
};

fn check(context: &Context<'_>, out: &mut Out) {
    LOOK.judge(context, out);
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("wire {name} lies in foam or glue"),
        limit: practice("a wire lies in air or in a conduit, so that it can cool and be drawn out"),
        remedy: format!(
            "fuse {name} for half of what the table allows, and give it a conduit when the wall is open anyway"
        ),
    }
}
