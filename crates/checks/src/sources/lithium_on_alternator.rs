//! Check: `lithium-on-alternator`.

use model::{Chemistry, Confidence, DeviceId, Place, Role, Signal};

use crate::context::Context;
use crate::metal::{reaches, unlimited, unseen};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("lithium-on-alternator", include_str!("../../spec/lithium-on-alternator.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        if device.role == Role::Alternator {
            judge(context, id, out);
        }
    }
}

fn judge(context: &Context<'_>, id: DeviceId, out: &mut Out) {
    let (vehicle, Some(solved)) = (context.vehicle, context.first()) else { return };
    let Some(plus) = vehicle.terminal_of(id, "+") else { return };
    let walk = unlimited(vehicle, solved.network, plus);
    let place = Place::Device(id);
    let name = &vehicle.devices[id].name;
    let house = |other: &DeviceId| {
        let device = &vehicle.devices[*other];
        device.role == Role::Battery && !device.base_vehicle
    };
    let is_lithium =
        |other: &DeviceId| vehicle.devices[*other].chemistry.value() == Some(&Chemistry::Lfp);
    let met: Vec<DeviceId> = vehicle
        .devices
        .ids()
        .filter(house)
        .filter(|other| reaches(vehicle, solved.network, &walk, (*other, "+")))
        .collect();
    if let Some(battery) = met.iter().copied().find(is_lithium) {
        fails(context, id, battery, out);
    } else if let Some(battery) = met.iter().find(|id| vehicle.devices[**id].chemistry.is_unknown())
    {
        let message =
            format!("whether {name} charges a lithium battery without a limit is not known");
        let at = Place::Device(*battery);
        out.cannot_tell(
            place,
            Signal::Caution,
            message,
            vec![missing("read the chemistry off the battery", at)],
        );
    } else if let (Some(wire), true) = (
        unseen(vehicle, solved.network, &walk),
        vehicle.devices.ids().filter(house).any(|id| is_lithium(&id)),
    ) {
        let message =
            format!("whether {name} charges a lithium battery without a limit is not known");
        let facts = vec![missing("follow it to its end", Place::Wire(wire))];
        out.cannot_tell(place, Signal::Caution, message, facts);
    } else {
        out.holds();
    }
}

fn fails(context: &Context<'_>, id: DeviceId, battery: DeviceId, out: &mut Out) {
    let [name, battery_name] = [id, battery].map(|id| context.vehicle.devices[id].name.as_str());
    let chemistry = &context.vehicle.devices[battery].chemistry;
    out.fails(Failure {
        place: Place::Device(id),
        related: vec![Place::Device(battery)],
        signal: Signal::Caution,
        confidence: if chemistry.is_assumed() { Confidence::Likely } else { Confidence::Firm },
        message: format!("{name} charges the lithium battery {battery_name} without a limit of current"),
        evidence: vec![format!("the way from {name} to {battery_name} passes no charger")],
        limit: practice("a charger with a current limit between alternator and lithium battery"),
        remedy: format!("fit a DC-DC charger between {name} and {battery_name}, for a current that {name} gives for good"),
    });
}
