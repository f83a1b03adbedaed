//! Check: `equipment-starved`. Names what loses the volts on the way.

use circuit::Element;
use model::{Attribute, Confidence, DeviceId, Place, Pole, Role, Signal, TerminalId, Vehicle};
use network::{Group, Item, LinkId, Network, Passage, Port};
use solve::OperatingPoint;
use units::{Ampere, Volt};

use crate::context::{Context, Solved};
use crate::outcome::{Failure, Out, missing, practice};

/// How many of the things on the way are named.
const NAMED: usize = 4;

/// Losses below this are not named, V.
const WORTH_NAMING_V: f64 = 0.02;

pub(crate) fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        let ports: Vec<(&Solved<'_>, &Port)> = context
            .states
            .iter()
            .flat_map(|solved| solved.network.ports.iter().map(move |port| (solved, port)))
            .filter(|(_, port)| {
                port.device == id && matches!(port.group, Group::Load | Group::Converter)
            })
            .collect();
        let starved =
            ports.iter().find_map(|(solved, port)| starved(context.vehicle, solved, port));
        match starved {
            Some(starved) => report(context, id, &starved, out),
            None if device.role.is_dc_load() && !ports.is_empty() => out.holds(),
            None => {}
        }
    }
}

/// How a device fails to stay on in a state.
struct Starved<'a> {
    solved: &'a Solved<'a>,
    port: Port,
    /// The point in which it draws current, if there is one.
    on: Option<&'a OperatingPoint>,
    /// The point in which it has switched itself off, if there is one.
    off: Option<&'a OperatingPoint>,
}

fn starved<'a>(vehicle: &Vehicle, solved: &'a Solved<'a>, port: &Port) -> Option<Starved<'a>> {
    let is_on = |point: &&OperatingPoint| {
        port.guard.is_none_or(|guard| point.guards[guard.0 as usize]) && !point.is_off(port.branch)
    };
    let on = solved.points.iter().find(is_on);
    let off = solved.points.iter().find(|point| !is_on(point));
    let wanted = vehicle.devices[port.device].role.is_dc_load();
    // A charger that rests does what it is made for; one that hunts does not.
    let fails = off.is_some() && (on.is_some() || wanted);
    fails.then_some(Starved { solved, port: *port, on, off })
}

fn report(context: &Context<'_>, id: DeviceId, starved: &Starved<'_>, out: &mut Out) {
    let vehicle = context.vehicle;
    let device = &vehicle.devices[id];
    let (network, state) = (starved.solved.network, &starved.solved.state.name);
    let (plus, minus) = input(vehicle, &starved.port);
    let volts = |point: Option<&OperatingPoint>| {
        point?.between(network.stud_node(plus)?, network.stud_node(minus)?).map(Volt::from_si)
    };
    let place = Place::Device(id);
    let fed = !way_to_source(vehicle, network, plus, Pole::Plus).is_empty()
        && !way_to_source(vehicle, network, minus, Pole::Minus).is_empty();
    let (Some(off_v), name, true) = (volts(starved.off), &device.name, fed) else {
        let name = &device.name;
        let message = format!("how {name} is fed in state {state} is not recorded");
        let facts = vec![missing("follow its feed and its return to a battery", place)];
        out.cannot_tell(place, Signal::Caution, message, facts);
        return;
    };
    let cut_out = device.fact(Attribute::CutOut);
    let limit_words = cut_out
        .value()
        .map_or_else(String::new, |v| format!(", it switches off below {}", Volt::from_si(*v)));
    let mut evidence = Vec::new();
    let mut related = Vec::new();
    let message = match (volts(starved.on), starved.on) {
        (Some(on_v), Some(point)) => {
            evidence
                .push(format!("state {state}: {off_v} while off, {on_v} while on{limit_words}"));
            let losses = losses(vehicle, network, point, plus, minus);
            let ampere = input_current(network, point, &starved.port);
            let named: Vec<String> = losses
                .iter()
                .take(NAMED)
                .map(|(item, volt)| format!("{} {}", name_of(vehicle, *item), Volt::from_si(*volt)))
                .collect();
            if !named.is_empty() {
                let current = Ampere::from_si(ampere);
                evidence.push(format!("lost on the way at {current}: {}", named.join(", ")));
            }
            related = losses.iter().take(NAMED).filter_map(|(item, _)| place_of(*item)).collect();
            format!("{name} switches itself off and on again for want of volts")
        }
        _ => {
            evidence.push(format!("state {state}: {off_v} at its terminals{limit_words}"));
            format!("{name} cannot run: its voltage is too low")
        }
    };
    let first = related.first().map(|place| vehicle.place_name(*place));
    out.fails(Failure {
        place,
        related,
        signal: if device.critical { Signal::Warning } else { Signal::Caution },
        confidence: if cut_out.is_assumed() { Confidence::Likely } else { Confidence::Firm },
        message,
        evidence,
        limit: practice("equipment stays on at the voltage it gets"),
        remedy: match first {
            Some(first) => format!(
                "start with what loses most, {first}: measure the drop across it while {name} runs"
            ),
            None => {
                format!("measure at {name} and at the battery together while it tries to start")
            }
        },
    });
}

/// Terminals at which a device takes its energy.
fn input(vehicle: &Vehicle, port: &Port) -> (TerminalId, TerminalId) {
    let named = |name: &str| vehicle.terminal_of(port.device, name);
    match (port.group, named("in+"), named("in-").or(named("-"))) {
        (Group::Converter, Some(plus), Some(minus)) => (plus, minus),
        _ => (port.plus, port.minus),
    }
}

/// What a load draws; a converter at its input.
fn input_current(network: &Network, point: &OperatingPoint, port: &Port) -> f64 {
    debug_assert!(!matches!(network.circuit.branch(port.branch).element, Element::Voltage { .. }));
    point.current(port.branch).abs()
}

/// What lies between a device and the nearest source, with the volts it loses, worst first.
fn losses(
    vehicle: &Vehicle,
    network: &Network,
    point: &OperatingPoint,
    plus: TerminalId,
    minus: TerminalId,
) -> Vec<(Item, f64)> {
    let mut losses: Vec<(Item, f64)> = Vec::new();
    for (from, pole) in [(plus, Pole::Plus), (minus, Pole::Minus)] {
        for id in way_to_source(vehicle, network, from, pole) {
            let link = network.graph.get(id);
            let (Some(a), Some(b)) = (network.node(link.a), network.node(link.b)) else { continue };
            let volt = point.between(a, b).map_or(0.0, f64::abs);
            if volt >= WORTH_NAMING_V {
                losses.push((link.item, volt));
            }
        }
    }
    losses.sort_by(|a, b| b.1.total_cmp(&a.1));
    losses
}

fn way_to_source(
    vehicle: &Vehicle,
    network: &Network,
    from: TerminalId,
    pole: Pole,
) -> Vec<LinkId> {
    let walk = network.graph.walk([network.graph.stud(from)], |link, _| {
        matches!(link.passage, Passage::Metal | Passage::OneWay)
    });
    let sources = vehicle
        .devices
        .iter()
        .filter(|(_, device)| matches!(device.role, Role::Battery | Role::Alternator));
    let studs = sources.flat_map(|(_, device)| {
        device.terminals.iter().filter(|t| vehicle.terminals[**t].pole == pole)
    });
    let ways = studs.map(|t| network.graph.stud(*t)).filter(|stud| walk.reaches(*stud));
    ways.map(|stud| walk.path(stud)).min_by_key(Vec::len).unwrap_or_default()
}

fn name_of(vehicle: &Vehicle, item: Item) -> String {
    place_of(item).map_or_else(|| "the body".to_owned(), |place| vehicle.place_name(place))
}

fn place_of(item: Item) -> Option<Place> {
    match item {
        Item::Wire(id) => Some(Place::Wire(id)),
        Item::Joint(id) => Some(Place::Joint(id)),
        Item::Device(id) => Some(Place::Device(id)),
        Item::Body => None,
    }
}
