//! Check: `load-reversed`.

use model::{Confidence, Place, Signal};
use network::Group;
use units::Volt;

use crate::context::Context;
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

/// From this voltage on, either way, a load tells which way round it is connected, V; a smaller
/// one is a drop in a wire it shares with others, or nothing at all.
const TELLING_V: f64 = 1.0;

pub(crate) const CHECK: Check =
    Check::new("load-reversed", include_str!("../../spec/load-reversed.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        if !device.role.is_dc_load() {
            continue;
        }
        let seen: Vec<(&str, f64)> = context
            .states
            .iter()
            .flat_map(|solved| {
                let port = solved
                    .network
                    .ports
                    .iter()
                    .find(|port| port.device == id && port.group == Group::Load);
                solved.points.iter().filter_map(move |point| {
                    let port = port?;
                    let (plus, minus) = (
                        solved.network.stud_node(port.plus)?,
                        solved.network.stud_node(port.minus)?,
                    );
                    Some((solved.state.name.as_str(), point.between(plus, minus).unwrap_or(0.0)))
                })
            })
            .collect();
        let Some((state, volt)) = seen.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1)) else {
            continue;
        };
        let name = &device.name;
        if volt > -TELLING_V {
            if seen.iter().any(|(_, volt)| *volt >= TELLING_V) {
                out.holds();
            } else {
                let message = format!("which way round {name} is connected is not known");
                let facts = vec![missing("check its polarity with a meter", Place::Device(id))];
                out.cannot_tell(Place::Device(id), Signal::Notice, message, facts);
            }
            continue;
        }
        out.fails(Failure {
            place: Place::Device(id),
            related: Vec::new(),
            signal: Signal::Caution,
            confidence: Confidence::Firm,
            message: format!("plus and minus of {name} are swapped"),
            evidence: vec![format!(
                "{} from its plus to its minus in state {state}",
                Volt::from_si(volt)
            )],
            limit: practice("plus on plus"),
            remedy: format!(
                "check the polarity at {name} with a meter, then swap its wires and label them"
            ),
        });
    }
}
