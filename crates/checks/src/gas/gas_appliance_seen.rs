//! Check: `gas-appliance-seen`.

use model::{Place, Signal};

use crate::context::Context;
use crate::outcome::{Out, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("gas-appliance-seen", include_str!("../../spec/gas-appliance-seen.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter().filter(|(_, device)| device.gas) {
        let place = Place::Device(id);
        let message = format!(
            "{}: seen, not tested; needs a person licensed for gas in vehicles",
            device.name
        );
        let what = "have the gas system tested by a person licensed for gas in vehicles";
        out.cannot_tell(place, Signal::Warning, message, vec![missing(what, place)]);
    }
}
