//! Check: `conductor-too-small-for-drop`. Wires only; a bad joint on the way is another finding.

use std::collections::BTreeMap;

use circuit::Element;
use model::{Attribute, Confidence, Device, DeviceId, Place, Role, Signal, Vehicle, WireId};
use network::{Group, Network, Port};
use solve::OperatingPoint;
use units::Volt;

use crate::circuits::WaysTo;
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
    let feeds: Vec<Feeds<'_>> =
        context.states.iter().map(|solved| Feeds::of(context.vehicle, *solved)).collect();
    for (id, device) in context.vehicle.devices.iter() {
        if !device.role.is_dc_load() {
            continue;
        }
        let runs: Vec<Run<'_, '_>> =
            feeds.iter().filter_map(|feeds| Run::of(context.vehicle, feeds, id)).collect();
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
struct Run<'f, 'a> {
    feeds: &'f Feeds<'a>,
    drops: Vec<CircuitDrop<'a>>,
}

impl<'f, 'a> Run<'f, 'a> {
    /// None where it is off.
    fn of(vehicle: &Vehicle, feeds: &'f Feeds<'a>, id: DeviceId) -> Option<Run<'f, 'a>> {
        Some(Run { feeds, drops: feeds.all.drops(vehicle, id)? })
    }
}

/// The drop along the known wires of a device's circuit in every state it is on in, and what is left
/// of it with everything off whose power is only assumed.
fn amounts<'a>(context: &Context<'a>, id: DeviceId, runs: &[Run<'_, 'a>]) -> Vec<Amount<'a>> {
    let most =
        |drops: &[CircuitDrop<'_>]| drops.iter().map(|drop| drop.known_drop_v).fold(0.0, f64::max);
    let amount = |run: &Run<'_, 'a>| {
        let left_out = run.feeds.all.solved.sure.left_out;
        let all = most(&run.drops);
        let sure = match &run.feeds.sure {
            None => all,
            Some(sure) => sure.drops(context.vehicle, id).map_or(0.0, |drops| most(&drops)),
        };
        Amount::new(all, sure, move || match left_out.contains(&id) {
            true => vec![id],
            false => left_out.to_vec(),
        })
    };
    let is_on = |run: &&Run<'_, '_>| run.feeds.all.solved.state.on.contains(&id);
    runs.iter().filter(is_on).map(amount).collect()
}

/// What feeds the loads of a state; and the same with everything off whose power is only assumed, where
/// anything is.
struct Feeds<'a> {
    all: Fed<'a>,
    sure: Option<Fed<'a>>,
}

impl<'a> Feeds<'a> {
    fn of(vehicle: &Vehicle, solved: Solved<'a>) -> Feeds<'a> {
        let lessened =
            || Solved { network: solved.sure.network, points: solved.sure.points, ..solved };
        let sure = !solved.sure.left_out.is_empty();
        Feeds { all: Fed::of(vehicle, solved), sure: sure.then(|| Fed::of(vehicle, lessened())) }
    }
}

/// The ways from all loads of a network to what feeds them.
struct Fed<'a> {
    solved: Solved<'a>,
    ports: BTreeMap<DeviceId, Vec<&'a Port>>,
    house: Sources,
    base: Sources,
    converters: Sources,
}

/// The ways to the plus posts of some sources, and to their minus posts.
struct Sources {
    plus: WaysTo,
    minus: WaysTo,
}

impl Sources {
    fn of(
        vehicle: &Vehicle,
        network: &Network,
        fits: impl Fn(&Device) -> bool,
        [plus, minus]: [&[&str]; 2],
    ) -> Sources {
        let ways_to = |names: &[&str]| {
            let sources = vehicle.devices.iter().filter(|(_, device)| fits(device));
            let post = |id| names.iter().find_map(|name| vehicle.terminal_of(id, name));
            WaysTo::of(network, sources.filter_map(|(id, _)| post(id)).collect::<Vec<_>>())
        };
        Sources { plus: ways_to(plus), minus: ways_to(minus) }
    }

    /// None where no feed comes to the load.
    fn way(&self, network: &Network, port: &Port) -> Option<Way> {
        let feed = self.plus.from(network, port.plus)?;
        Some(Way { feed, back: self.minus.from(network, port.minus), nominal_v: None })
    }
}

impl<'a> Fed<'a> {
    fn of(vehicle: &Vehicle, solved: Solved<'a>) -> Fed<'a> {
        let network = solved.network;
        let mut ports: BTreeMap<DeviceId, Vec<&Port>> = BTreeMap::new();
        for port in network.ports.iter().filter(|port| port.group == Group::Load) {
            ports.entry(port.device).or_default().push(port);
        }
        let battery = |base| {
            move |device: &Device| device.role == Role::Battery && device.base_vehicle == base
        };
        let converter = |device: &Device| device.role == Role::DcDcCharger;
        let posts: [&[&str]; 2] = [&["+"], &["-"]];
        Fed {
            solved,
            ports,
            house: Sources::of(vehicle, network, battery(false), posts),
            base: Sources::of(vehicle, network, battery(true), posts),
            converters: Sources::of(vehicle, network, converter, [&["out+"], &["out-", "-"]]),
        }
    }

    /// The drops along the circuit of a device; none where it is off.
    fn drops(&self, vehicle: &Vehicle, id: DeviceId) -> Option<Vec<CircuitDrop<'a>>> {
        let ports = self.ports.get(&id)?;
        Some(ports.iter().flat_map(|port| self.circuit_drops(vehicle, port)).collect())
    }

    /// The way to a house battery, else to the base vehicle's, else to the output of a DC-DC charger.
    fn way_out_and_back(&self, vehicle: &Vehicle, port: &Port) -> Option<Way> {
        let network = self.solved.network;
        let battery = self.house.way(network, port).or_else(|| self.base.way(network, port));
        battery.or_else(|| {
            let way = self.converters.way(network, port)?;
            Some(Way { nominal_v: converter_nominal_v(vehicle, network, port), ..way })
        })
    }

    /// The drop along the wires of the way out and back, at each operating point; none where the way is
    /// not recorded.
    fn circuit_drops(&self, vehicle: &Vehicle, port: &Port) -> Vec<CircuitDrop<'a>> {
        let solved = &self.solved;
        let Some(Way { feed: mut wires, back, nominal_v }) = self.way_out_and_back(vehicle, port)
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

/// The way of a load to what feeds it.
struct Way {
    feed: Vec<WireId>,
    back: Option<Vec<WireId>>,
    nominal_v: Option<f64>,
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
