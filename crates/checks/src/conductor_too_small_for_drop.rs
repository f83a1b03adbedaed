//! Check: `conductor-too-small-for-drop`. Wires only; a bad joint on the way is another finding.

use circuit::Element;
use model::{Confidence, Place, Role, Signal, TerminalId, Vehicle, WireId};
use network::{Group, Port};
use solve::OperatingPoint;
use units::Volt;

use crate::circuits::way;
use crate::context::{Context, Solved};
use crate::outcome::{Failure, Out, limit, missing};

pub(crate) fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        if !device.role.is_dc_load() {
            continue;
        }
        let on: Vec<(&Solved<'_>, &Port)> = context
            .states
            .iter()
            .flat_map(|solved| solved.network.ports.iter().map(move |port| (solved, port)))
            .filter(|(_, port)| port.device == id && port.group == Group::Load)
            .collect();
        let place = Place::Device(id);
        let worst = on
            .iter()
            .flat_map(|(solved, port)| {
                solved.points.iter().map(move |point| (*solved, *port, point))
            })
            .filter_map(|(solved, port, point)| circuit_drop(context.vehicle, solved, port, point))
            .max_by(|a, b| a.drop_v.total_cmp(&b.drop_v));
        match worst {
            Some(worst) => judge(context, place, &device.name, device.critical, &worst, out),
            None if on.is_empty() => {
                let message =
                    format!("no state has {} on, so its current is not known", device.name);
                let facts = vec![missing("write a state in which it is on", place)];
                out.cannot_tell(place, Signal::Notice, message, facts);
            }
            None => {
                let message = format!("the way from {} to a battery is not recorded", device.name);
                let facts = vec![missing("follow its feed and its return to the battery", place)];
                out.cannot_tell(place, Signal::Caution, message, facts);
            }
        }
    }
}

struct CircuitDrop<'a> {
    drop_v: f64,
    known_drop_v: f64,
    ampere: f64,
    state: &'a str,
    wires: Vec<WireId>,
}

/// The drop along the wires of the way out and back.
fn circuit_drop<'a>(
    vehicle: &Vehicle,
    solved: &Solved<'a>,
    port: &Port,
    point: &OperatingPoint,
) -> Option<CircuitDrop<'a>> {
    let (pluses, minuses) = battery_terminals(vehicle);
    let mut wires = way(solved.network, port.plus, &pluses)?;
    wires.extend(way(solved.network, port.minus, &minuses).unwrap_or_default());
    let mut drop = CircuitDrop {
        drop_v: 0.0,
        known_drop_v: 0.0,
        ampere: point.current(port.branch).abs(),
        state: &solved.state.name,
        wires: wires.clone(),
    };
    for wire in wires {
        let Some(branch) = solved.network.wire_branch(wire) else { continue };
        let Element::Resistor { ohm, .. } = solved.network.circuit.branch(branch).element else {
            continue;
        };
        let volt = point.current(branch).abs() * ohm;
        drop.drop_v += volt;
        if !vehicle.wires[wire].area.is_unknown() && !vehicle.wires[wire].length.is_unknown() {
            drop.known_drop_v += volt;
        }
    }
    Some(drop)
}

/// Terminals of house batteries, or of all batteries if there is no other.
fn battery_terminals(vehicle: &Vehicle) -> (Vec<TerminalId>, Vec<TerminalId>) {
    let of = |base: Option<bool>, name: &str| -> Vec<TerminalId> {
        vehicle
            .devices
            .iter()
            .filter(|(_, d)| {
                d.role == Role::Battery && base.is_none_or(|base| d.base_vehicle == base)
            })
            .filter_map(|(id, _)| vehicle.terminal_of(id, name))
            .collect()
    };
    let house = of(Some(false), "+");
    if house.is_empty() { (of(None, "+"), of(None, "-")) } else { (house, of(Some(false), "-")) }
}

fn judge(
    context: &Context<'_>,
    place: Place,
    name: &str,
    critical: bool,
    worst: &CircuitDrop<'_>,
    out: &mut Out,
) {
    let row = context.limit(if critical { "drop-critical" } else { "drop-other" });
    let nominal_v = context.nominal_v();
    let share = units::Fraction::from_si((worst.known_drop_v / nominal_v).min(1.0));
    let (lost, current) = (Volt::from_si(worst.known_drop_v), units::Ampere::from_si(worst.ampere));
    if worst.known_drop_v > row.value * nominal_v {
        let wires: Vec<&str> =
            worst.wires.iter().map(|wire| context.vehicle.wires[*wire].name.as_str()).collect();
        out.fails(Failure {
            place,
            related: worst.wires.iter().map(|wire| Place::Wire(*wire)).collect(),
            signal: if critical { Signal::Caution } else { Signal::Notice },
            confidence: if rests_on_assumption(context, worst) {
                Confidence::Likely
            } else {
                Confidence::Firm
            },
            message: format!("the wires to {name} lose {lost} ({share}) at {current}"),
            evidence: vec![format!("state {}, summed along {}", worst.state, wires.join(", "))],
            limit: limit(row),
            remedy: format!(
                "lay larger wires to {name}, or a feed of its own: about {:.1} times the copper on the whole way brings it to the limit",
                worst.known_drop_v / (row.value * nominal_v)
            ),
        });
        return;
    }
    let facts: Vec<_> = worst
        .wires
        .iter()
        .filter(|wire| is_unsure(context, **wire))
        .map(|wire| missing("read the size and measure the length", Place::Wire(*wire)))
        .collect();
    if facts.is_empty() {
        out.holds();
    } else {
        let message = format!("what the wires to {name} lose rests on wires not fully known");
        out.cannot_tell(place, Signal::Notice, message, facts);
    }
}

fn is_unsure(context: &Context<'_>, wire: WireId) -> bool {
    let wire = &context.vehicle.wires[wire];
    wire.area.evidence().is_none() || wire.length.evidence().is_none()
}

fn rests_on_assumption(context: &Context<'_>, worst: &CircuitDrop<'_>) -> bool {
    worst.wires.iter().any(|wire| is_unsure(context, *wire))
}
