//! Check: `moving-wire-without-loop`.

use model::{Fact, Look, Place, Signal};

use crate::context::Context;
use crate::looked::{Looked, Seen, Wrong, cable_name, cables};
use crate::outcome::{Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "moving-wire-without-loop",
    include_str!("../../spec/moving-wire-without-loop.md"),
    check,
);

const FIND_OUT: &str = "move what it is fixed to from end to end: does the wire pull tight or rub?";

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, wire) in cables(context.vehicle) {
        let (place, name) = (Place::Wire(id), cable_name(wire));
        match wire.course.looks.get(Look::Still) {
            Fact::Known { value: true, origin } if origin.is_evidence() => out.holds(),
            Fact::Known { value: false, .. } => {
                let fact = wire.course.looks.get(Look::Loop);
                let seen = Seen { place, name, look: Look::Loop, fact };
                if seen.judge(out, Signal::Warning, FIND_OUT, || wrong(name)) == Looked::No {
                    let message =
                        format!("whether wire {name} has a loop where it moves is not known");
                    out.cannot_tell(
                        place,
                        Signal::Warning,
                        message,
                        vec![missing(FIND_OUT, place)],
                    );
                }
            }
            _ => {}
        }
    }
}

fn wrong(name: &str) -> Wrong {
    Wrong {
        message: format!("wire {name} moves and has no loop to spare"),
        limit: practice(
            "a wire that moves has a loop, is held at both sides of it, and rubs on nothing",
        ),
        remedy: format!(
            "give {name} a loop or a cable chain, held on both sides, and look for worn places"
        ),
    }
}
