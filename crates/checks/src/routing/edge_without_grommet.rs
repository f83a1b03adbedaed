//! Check: `edge-without-grommet`.

use model::{Look, Signal};

use crate::context::Context;
use crate::looked::{WireLook, Wrong, ask, heavy};
use crate::outcome::{Out, limit_of};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("edge-without-grommet", include_str!("../../spec/edge-without-grommet.md"), check);

const LOOK: WireLook = WireLook {
    look: Look::Grommets,
    signal: Signal::Warning,
    find_out: "look at every hole and edge of metal it passes: grommet, strip or conduit?",
    wrong,
};

fn check(context: &Context<'_>, out: &mut Out) {
    let unseen = heavy(context, LOOK.judge(context, out));
    ask(
        out,
        Signal::Caution,
        "whether thick cables pass metal with a grommet is not recorded",
        LOOK.find_out,
        unseen,
    );
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("wire {name} passes a metal edge without a grommet"),
        limit: limit_of(
            "protection from abrasion wherever a wire passes through something rigid",
            "cfr33-183-445-a",
        ),
        remedy: format!(
            "take {name} off its source, look at it along the edge, and fit a grommet or edge strip that cannot come off"
        ),
    }
}
