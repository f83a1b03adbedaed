//! Check: `conductor-too-small-for-drop`. Wires only; a bad joint on the way is another finding.

use circuit::Element;
use model::{
    Attribute, Confidence, Device, DeviceId, Place, Role, Signal, TerminalId, Vehicle, WireId,
};
use network::{Group, Network, Port};
use solve::OperatingPoint;
use units::Volt;

use crate::circuits::way;
use crate::context::{Context, Solved};
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;
use crate::weigh::{Amount, Weighed, weigh};

/// Below this a load counts as not running, A.
const LEAST_A: f64 = 1e-3;

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

pub(crate) const CHECK: Check = Check::new(
    "conductor-too-small-for-drop",
    include_str!("../../spec/conductor-too-small-for-drop.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        if !device.role.is_dc_load() {
            continue;
        }
        let runs = context.states.iter().filter_map(|solved| Run::of(context.vehicle, solved, id));
        let runs: Vec<Run<'_>> = runs.collect();
        let place = Place::Device(id);
        let drops = || runs.iter().flat_map(|run| &run.drops);
        let worst = drops()
            .filter(|drop| drop.ampere > LEAST_A)
            .max_by(|a, b| a.drop_v.total_cmp(&b.drop_v));
        match worst {
            Some(worst) => judge(context, id, worst, &amounts(context, id, &runs), out),
            None if runs.is_empty() => {
                let message =
                    format!("no state has {} on, so its current is not known", device.name);
                let facts = vec![missing("write a state in which it is on", place)];
                out.cannot_tell(place, Signal::Notice, message, facts);
            }
            None if drops().any(|drop| drop.return_known) => {
                let message = format!("{} draws nothing in any state it is on in", device.name);
                let facts = vec![missing("write a state in which it runs", place)];
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

/// A state a device is on in, with the drop along its circuit at each operating point.
struct Run<'a> {
    solved: &'a Solved<'a>,
    drops: Vec<CircuitDrop<'a>>,
}

impl<'a> Run<'a> {
    /// None where it is off.
    fn of(vehicle: &Vehicle, solved: &'a Solved<'a>, id: DeviceId) -> Option<Run<'a>> {
        let fits = |port: &&Port| port.device == id && port.group == Group::Load;
        let mut ports = solved.network.ports.iter().filter(fits).peekable();
        ports.peek()?;
        let drops = ports.flat_map(|port| circuit_drops(vehicle, solved, port)).collect();
        Some(Run { solved, drops })
    }
}

/// The drop along the known wires of a device's circuit in every state it is on in, and what is left
/// of it with everything off whose power is only assumed.
fn amounts<'a>(context: &Context<'a>, id: DeviceId, runs: &[Run<'a>]) -> Vec<Amount<'a>> {
    let most =
        |drops: &[CircuitDrop<'_>]| drops.iter().map(|drop| drop.known_drop_v).fold(0.0, f64::max);
    let amount = |run: &Run<'a>| {
        let (solved, left_out) = (run.solved, run.solved.sure.left_out);
        let all = most(&run.drops);
        let lessened =
            || Solved { network: solved.sure.network, points: solved.sure.points, ..*solved };
        let sure = match left_out.is_empty() {
            true => all,
            false => Run::of(context.vehicle, &lessened(), id).map_or(0.0, |run| most(&run.drops)),
        };
        Amount::new(all, sure, move || match left_out.contains(&id) {
            true => vec![id],
            false => left_out.to_vec(),
        })
    };
    runs.iter().filter(|run| run.solved.state.on.contains(&id)).map(amount).collect()
}

struct CircuitDrop<'a> {
    drop_v: f64,
    known_drop_v: f64,
    ampere: f64,
    state: &'a str,
    wires: Vec<WireId>,
    return_known: bool,
    /// Its voltage is too low: it draws less than it would if it ran.
    has_cut_out: bool,
    nominal_v: Option<f64>,
}

/// The drop along the wires of the way out and back, at each operating point; none where the way is
/// not recorded.
fn circuit_drops<'a>(
    vehicle: &Vehicle,
    solved: &'a Solved<'a>,
    port: &Port,
) -> Vec<CircuitDrop<'a>> {
    let Some(Way { feed: mut wires, back, nominal_v }) =
        way_out_and_back(vehicle, solved.network, port)
    else {
        return Vec::new();
    };
    let return_known = back.is_some();
    wires.extend(back.unwrap_or_default());
    let at = |point: &OperatingPoint| {
        let mut drop = CircuitDrop {
            drop_v: 0.0,
            known_drop_v: 0.0,
            ampere: point.current(port.branch).abs(),
            state: &solved.state.name,
            wires: wires.clone(),
            return_known,
            has_cut_out: point.is_off(port.branch),
            nominal_v,
        };
        for wire in &wires {
            let Some(branch) = solved.network.wire_branch(*wire) else { continue };
            let Element::Resistor { ohm, .. } = solved.network.circuit.branch(branch).element
            else {
                continue;
            };
            let volt = point.current(branch).abs() * ohm;
            drop.drop_v += volt;
            let row = &vehicle.wires[*wire];
            if !row.area.is_unknown() && !row.length.is_unknown() {
                drop.known_drop_v += volt;
            }
        }
        drop
    };
    solved.points.iter().map(at).collect()
}

/// The way of a load to what feeds it.
struct Way {
    feed: Vec<WireId>,
    back: Option<Vec<WireId>>,
    nominal_v: Option<f64>,
}

/// The way to a house battery, else to the base vehicle's, else to the output of a DC-DC charger.
fn way_out_and_back(vehicle: &Vehicle, network: &Network, port: &Port) -> Option<Way> {
    let to = |fits: &dyn Fn(&Device) -> bool, plus: &str, minus: &[&str]| -> Option<Way> {
        let sources: Vec<DeviceId> =
            vehicle.devices.iter().filter(|(_, device)| fits(device)).map(|(id, _)| id).collect();
        let terminals = |names: &[&str]| -> Vec<TerminalId> {
            let of = |id: &DeviceId| names.iter().find_map(|name| vehicle.terminal_of(*id, name));
            sources.iter().filter_map(of).collect()
        };
        let feed = way(network, port.plus, &terminals(&[plus]))?;
        Some(Way { feed, back: way(network, port.minus, &terminals(minus)), nominal_v: None })
    };
    let battery =
        |base| move |device: &Device| device.role == Role::Battery && device.base_vehicle == base;
    let converter = |device: &Device| device.role == Role::DcDcCharger;
    to(&battery(false), "+", &["-"]).or_else(|| to(&battery(true), "+", &["-"])).or_else(|| {
        let way = to(&converter, "out+", &["out-", "-"])?;
        Some(Way { nominal_v: converter_nominal_v(vehicle, network, port), ..way })
    })
}

/// The nominal voltage behind a converter: 12 or 24 V, whichever its set point is nearer to.
fn converter_nominal_v(vehicle: &Vehicle, network: &Network, port: &Port) -> Option<f64> {
    let stud = network.graph.stud(port.plus);
    let walk = network.graph.metal([stud]);
    let (_, device) = vehicle.devices.iter().find(|(id, device)| {
        device.role == Role::DcDcCharger
            && vehicle.terminal_of(*id, "out+").is_some_and(|t| walk.reaches(network.graph.stud(t)))
    })?;
    let set_v = device.number(Attribute::Regulates)?;
    Some(if set_v < HALFWAY_V { 12.0 } else { 24.0 })
}

/// Between the set points of 12 V and 24 V systems, V.
const HALFWAY_V: f64 = 20.0;

fn judge(
    context: &Context<'_>,
    id: DeviceId,
    worst: &CircuitDrop<'_>,
    amounts: &[Amount<'_>],
    out: &mut Out,
) {
    let device = &context.vehicle.devices[id];
    let (place, name, critical) = (Place::Device(id), &device.name, device.critical);
    let row = context.limit(if critical { "drop-critical" } else { "drop-other" });
    let nominal_v = worst.nominal_v.unwrap_or_else(|| context.nominal_v());
    let share = units::Fraction::from_si((worst.known_drop_v / nominal_v).min(1.0));
    let (lost, current) = (Volt::from_si(worst.known_drop_v), units::Ampere::from_si(worst.ampere));
    let over = |drop_v: f64| drop_v > row.value * nominal_v * (1.0 + SLACK);
    let weighed = weigh(context.vehicle, amounts, over);
    if weighed == Weighed::Fails {
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
    let mut facts: Vec<_> = worst
        .wires
        .iter()
        .filter(|wire| is_unsure(context, **wire))
        .map(|wire| missing("read the size and measure the length", Place::Wire(*wire)))
        .collect();
    if !worst.return_known {
        facts.push(missing("follow its return to the battery", place));
    }
    if worst.has_cut_out {
        facts.push(missing("find out why it cuts out; write a state in which it runs", place));
    }
    if let Weighed::Depends(asked) = &weighed {
        facts.extend(asked.iter().cloned());
    }
    if facts.is_empty() {
        if weighed == Weighed::Holds {
            out.holds();
        }
    } else {
        let message = format!("what the wires to {name} lose while it runs is not fully known");
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
