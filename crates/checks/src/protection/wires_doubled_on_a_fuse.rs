//! Check: `wires-doubled-on-a-fuse`.

use model::{Confidence, DeviceId, FuseWay, Place, Signal};

use crate::context::Context;
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "wires-doubled-on-a-fuse",
    include_str!("../../spec/wires-doubled-on-a-fuse.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        for (index, way) in device.ways.iter().enumerate() {
            let label = format!("{} way {}", device.name, index + 1);
            judge(context, id, way, &label, out);
        }
    }
}

fn judge(context: &Context<'_>, id: DeviceId, way: &FuseWay, label: &str, out: &mut Out) {
    let vehicle = context.vehicle;
    let place = Place::Terminal(way.terminal);
    let names: Vec<&str> =
        vehicle.wires_at(way.terminal).map(|(wire, _)| vehicle.wires[wire].name.as_str()).collect();
    match names.len() {
        0 => {}
        1 if way.label.contains(" and ") => {
            let message =
                format!("whether one wire on {label} feeds all that its label says is not known");
            out.cannot_tell(
                place,
                Signal::Notice,
                message,
                vec![missing("count the wires on it", place)],
            );
        }
        1 => out.holds(),
        count => out.fails(Failure {
            place,
            related: vec![Place::Device(id)],
            signal: Signal::Notice,
            confidence: Confidence::Firm,
            message: format!("{count} wires are on {label}"),
            evidence: vec![format!("they are {}", names.join(", "))],
            limit: practice("one wire for each terminal of a fuse box"),
            remedy: format!(
                "give each wire on {label} a way of its own, or join them on a bar behind it"
            ),
        }),
    }
}
