//! Check: `source-shorted`.

use model::{Confidence, DeviceId, Place, Role, Signal, TerminalId, Vehicle};
use network::{Item, Link, Network, Passage, Point};

use crate::circuits::wires_of;
use crate::context::Context;
use crate::outcome::{Failure, Out, practice};

pub(crate) fn check(context: &Context<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    for (id, device) in vehicle.devices.iter() {
        if device.role != Role::Battery {
            continue;
        }
        let (Some(plus), Some(minus)) =
            (vehicle.terminal_of(id, "+"), vehicle.terminal_of(id, "-"))
        else {
            continue;
        };
        let short = context.states.iter().find_map(|solved| {
            let path = short(vehicle, solved.network, id, plus, minus)?;
            Some((solved.state.name.as_str(), wires_of(solved.network, &path)))
        });
        let Some((state, wires)) = short else {
            out.holds();
            continue;
        };
        let names: Vec<&str> =
            wires.iter().map(|wire| vehicle.wires[*wire].name.as_str()).collect();
        out.fails(Failure {
            place: Place::Device(id),
            related: wires.iter().map(|wire| Place::Wire(*wire)).collect(),
            signal: Signal::Danger,
            confidence: Confidence::Firm,
            message: format!("metal joins plus and minus of {}", device.name),
            evidence: vec![format!("state {state}, by {}", names.join(", "))],
            limit: practice("no way of metal from plus to minus, and batteries joined plus to plus or in series"),
            remedy: format!(
                "do not switch on; take the cable off {} and find out whether the record or the vehicle is wrong",
                device.name
            ),
        });
    }
}

/// The way of metal from plus to minus, through other batteries only from minus to plus: a battery
/// the wrong way round closes the loop too.
fn short(
    vehicle: &Vehicle,
    network: &Network,
    id: DeviceId,
    plus: TerminalId,
    minus: TerminalId,
) -> Option<Vec<network::LinkId>> {
    let end = network.graph.stud(minus);
    let walk = network.graph.walk([network.graph.stud(plus)], |link, at| {
        link.passage == Passage::Metal || adds_up(vehicle, network, id, link, at)
    });
    walk.reaches(end).then(|| walk.path(end))
}

fn adds_up(vehicle: &Vehicle, network: &Network, id: DeviceId, link: &Link, at: Point) -> bool {
    let Item::Device(other) = link.item else { return false };
    other != id
        && vehicle.devices[other].role == Role::Battery
        && vehicle.terminal_of(other, "-").is_some_and(|minus| network.graph.stud(minus) == at)
}
