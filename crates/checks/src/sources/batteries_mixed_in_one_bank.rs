//! Check: `batteries-mixed-in-one-bank`.

use model::{Chemistry, Confidence, Device, DeviceId, Place, Role, Signal};

use crate::context::Context;
use crate::metal::{metal, reaches};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "batteries-mixed-in-one-bank",
    include_str!("../../spec/batteries-mixed-in-one-bank.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let vehicle = context.vehicle;
    let house: Vec<(DeviceId, &Device)> = vehicle
        .devices
        .iter()
        .filter(|(_, device)| device.role == Role::Battery && !device.base_vehicle)
        .collect();
    for (index, (id, device)) in house.iter().enumerate() {
        let Some(plus) = vehicle.terminal_of(*id, "+") else { continue };
        let walk = metal(solved.network, plus);
        for (other, second) in house.iter().skip(index + 1) {
            if reaches(vehicle, solved.network, &walk, (*other, "+")) {
                judge((*id, device), (*other, second), out);
            }
        }
    }
}

fn judge((id, one): (DeviceId, &Device), (other, two): (DeviceId, &Device), out: &mut Out) {
    let place = Place::Device(id);
    let (name, second) = (&one.name, &two.name);
    let (Some(a), Some(b)) = (one.chemistry.value(), two.chemistry.value()) else {
        let at = if one.chemistry.is_unknown() { id } else { other };
        let message = format!("whether {name} and {second} are of one chemistry is not known");
        let facts = vec![missing("read the chemistry off the battery", Place::Device(at))];
        out.cannot_tell(place, Signal::Caution, message, facts);
        return;
    };
    let assumed = one.chemistry.is_assumed() || two.chemistry.is_assumed();
    if a == b {
        if !assumed {
            out.holds();
        }
        return;
    }
    out.fails(Failure {
        place,
        related: vec![Place::Device(other)],
        signal: Signal::Warning,
        confidence: if assumed { Confidence::Likely } else { Confidence::Firm },
        message: format!("{name} and {second} are joined for good and differ in chemistry"),
        evidence: vec![format!("{name}: {}; {second}: {}", words(*a), words(*b))],
        limit: practice("one bank, one chemistry, one age"),
        remedy: format!("separate {name} from {second}; a charger between them if both are needed"),
    });
}

fn words(chemistry: Chemistry) -> &'static str {
    match chemistry {
        Chemistry::Lfp => "lithium iron phosphate",
        Chemistry::Agm => "absorbed glass mat",
        Chemistry::Gel => "gel",
        Chemistry::Flooded => "flooded lead",
    }
}
