//! Check: `lug-does-not-fit`.

use model::{JointId, Layer, Place, Signal, Stack, WireEnd};

use crate::context::Context;
use crate::looked::confidence;
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("lug-does-not-fit", include_str!("../../spec/lug-does-not-fit.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for stack in &context.vehicle.stacks {
        let sized = lugs(context, stack).filter(|id| lug_mm(context, *id).is_some());
        match stack.stud_mm {
            Some(stud_mm) => against(context, stack, stud_mm, out),
            None if sized.count() > 0 => {
                let place = Place::Terminal(stack.terminal);
                let name = context.vehicle.terminal_name(stack.terminal);
                let message = format!("whether the lugs on {name} fit its stud is not known");
                let facts = vec![missing("measure the thread of the stud", place)];
                out.cannot_tell(place, Signal::Caution, message, facts);
            }
            None => {}
        }
    }
}

fn against(context: &Context<'_>, stack: &Stack, stud_mm: f64, out: &mut Out) {
    let mut unread = Vec::new();
    for id in lugs(context, stack) {
        let (place, name) = (Place::Joint(id), context.vehicle.joint_name(id));
        let fact = &context.vehicle.joints[id].lug_mm;
        match fact.value() {
            None => unread.push(missing("read the thread size stamped on the lug", place)),
            Some(lug_mm) if fits(*lug_mm, stud_mm) && fact.is_assumed() => {
                unread.push(missing("read the thread size stamped on the lug", place));
            }
            Some(lug_mm) if fits(*lug_mm, stud_mm) => out.holds(),
            Some(lug_mm) => out.fails(Failure {
                place,
                related: vec![Place::Terminal(stack.terminal)],
                signal: Signal::Caution,
                confidence: confidence(fact),
                message: format!("at {name} a lug for M{lug_mm} sits on an M{stud_mm} stud"),
                evidence: vec![if *lug_mm > stud_mm {
                    "the hole is too wide: the washer bears on its rim only".to_owned()
                } else {
                    "the hole is too small for the stud: it was drilled out or does not lie flat"
                        .to_owned()
                }],
                limit: practice("the hole of a lug is made for the thread it sits on"),
                remedy: format!("crimp a lug for M{stud_mm} on at {name}"),
            }),
        }
    }
    if !unread.is_empty() {
        let place = Place::Terminal(stack.terminal);
        let name = context.vehicle.terminal_name(stack.terminal);
        let message = format!("whether the lugs on {name} fit its stud is not known");
        out.cannot_tell(place, Signal::Notice, message, unread);
    }
}

/// The same thread, written decimals apart.
fn fits(lug_mm: f64, stud_mm: f64) -> bool {
    (lug_mm - stud_mm).abs() < 0.05
}

/// The joints of the lugs of a stack.
fn lugs<'a>(context: &'a Context<'_>, stack: &'a Stack) -> impl Iterator<Item = JointId> + 'a {
    stack.layers.iter().filter_map(|layer| {
        let Layer::Lug(wire) = layer else { return None };
        let wire = &context.vehicle.wires[*wire];
        let end = WireEnd::BOTH.into_iter().find(|end| wire.terminal(*end) == Some(stack.terminal));
        end.map(|end| wire.end(end).joint)
    })
}

fn lug_mm(context: &Context<'_>, id: JointId) -> Option<f64> {
    context.vehicle.joints[id].lug_mm.value().copied()
}
