//! Check: `load-reversed`.

use model::{Confidence, Place, Signal};
use network::Group;
use units::Volt;

use crate::context::Context;
use crate::outcome::{Failure, Out, practice};

/// Below this a load counts as reversed, V; above it a small negative voltage is a shared return.
const REVERSED_V: f64 = -1.0;

pub(crate) fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        if !device.role.is_dc_load() {
            continue;
        }
        let seen = context.states.iter().flat_map(|solved| {
            let port = solved
                .network
                .ports
                .iter()
                .find(|port| port.device == id && port.group == Group::Load);
            solved.points.iter().filter_map(move |point| {
                let port = port?;
                let (plus, minus) =
                    (solved.network.stud_node(port.plus)?, solved.network.stud_node(port.minus)?);
                Some((solved.state.name.as_str(), point.between(plus, minus)?))
            })
        });
        let Some((state, volt)) = seen.min_by(|a, b| a.1.total_cmp(&b.1)) else { continue };
        if volt > REVERSED_V {
            out.holds();
            continue;
        }
        let name = &device.name;
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
