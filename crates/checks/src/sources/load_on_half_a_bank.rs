//! Check: `load-on-half-a-bank`.

use model::{Confidence, DeviceId, Place, Role, Signal};
use network::{Network, Walk};

use crate::context::Context;
use crate::metal::{closable, reaches, unseen};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("load-on-half-a-bank", include_str!("../../spec/load-on-half-a-bank.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let vehicle = context.vehicle;
    for (id, device) in vehicle.devices.iter() {
        let Some(plus) = vehicle.terminal_of(id, "+").filter(|_| device.role == Role::Battery)
        else {
            continue;
        };
        let walk = closable(solved.network, plus);
        let next = vehicle.devices.iter().find(|(other, battery)| {
            *other != id
                && battery.role == Role::Battery
                && reaches(vehicle, solved.network, &walk, (*other, "-"))
        });
        // Metal that also comes to this battery's own minus is for source-shorted.
        if let (Some((next, _)), false) = (next, reaches(vehicle, solved.network, &walk, (id, "-")))
        {
            judge(context, solved.network, &walk, (id, next), out);
        }
    }
}

fn judge(
    context: &Context<'_>,
    network: &Network,
    walk: &Walk,
    (id, next): (DeviceId, DeviceId),
    out: &mut Out,
) {
    let vehicle = context.vehicle;
    let [name, upper] = [id, next].map(|id| vehicle.devices[id].name.as_str());
    let mut taps = vehicle.devices.iter().filter(|(other, device)| {
        let takes = device.role.is_dc_load() || device.role == Role::DcDcCharger;
        takes && ["+", "in+"].iter().any(|t| reaches(vehicle, network, walk, (*other, t)))
    });
    if let Some((load, device)) = taps.next() {
        let load_name = &device.name;
        out.fails(Failure {
            place: Place::Device(load),
            related: vec![Place::Device(id), Place::Device(next)],
            signal: Signal::Caution,
            confidence: Confidence::Firm,
            message: format!("{load_name} hangs on the middle between {name} and {upper}"),
            evidence: vec![format!(
                "metal joins its plus to the plus of {name} and the minus of {upper}"
            )],
            limit: practice("nothing hangs on the middle of a bank"),
            remedy: format!("feed {load_name} from the whole bank through a converter"),
        });
    } else if let Some(wire) = unseen(vehicle, network, walk) {
        let message = format!("what hangs on the middle between {name} and {upper} is not known");
        let facts = vec![missing("follow it to its end", Place::Wire(wire))];
        out.cannot_tell(Place::Device(id), Signal::Caution, message, facts);
    } else {
        out.holds();
    }
}
