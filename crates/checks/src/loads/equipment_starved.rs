//! Check: `equipment-starved`. Names what loses the volts on the way.

use circuit::Element;
use model::{Attribute, Confidence, DeviceId, Place, Pole, Role, Signal, TerminalId, Vehicle};
use network::{Group, Item, LinkId, Network, Passage, Port};
use solve::OperatingPoint;
use units::{Ampere, Volt};

use crate::circuits::source_terminals;
use crate::context::{Context, Solved};
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

/// How many of the things on the way are named.
const NAMED: usize = 4;

/// Losses below this are not named, V.
const WORTH_NAMING_V: f64 = 0.02;

/// Below this voltage nothing feeds a device, V.
const DEAD_V: f64 = 1.0;

pub(crate) const CHECK: Check =
    Check::new("equipment-starved", include_str!("../../spec/equipment-starved.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for id in context.vehicle.devices.ids() {
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
            None => stays_on(context.vehicle, id, &ports, out),
        }
    }
}

/// Nothing switched it off. It holds where it drew current in a state and its cut-out is no
/// assumption; what has no cut-out of its own cannot switch itself off.
fn stays_on(vehicle: &Vehicle, id: DeviceId, ports: &[(&Solved<'_>, &Port)], out: &mut Out) {
    let device = &vehicle.devices[id];
    let has_cut_out = matches!(device.role, Role::PowerLoad | Role::Inverter);
    let ran = |(solved, port): &(&Solved<'_>, &Port)| {
        solved.points.iter().any(|point| is_on(port, point))
    };
    if !has_cut_out || !ports.iter().any(ran) {
        return;
    }
    if device.fact(Attribute::CutOut).evidence().is_some() {
        out.holds();
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
    /// The point in which it is switched on and its voltage collapses, if it is not the only one.
    tries: Option<&'a OperatingPoint>,
}

fn starved<'a>(vehicle: &Vehicle, solved: &'a Solved<'a>, port: &Port) -> Option<Starved<'a>> {
    let on = solved.points.iter().find(|point| is_on(port, point));
    let not_on = solved.points.iter().filter(|point| !is_on(port, point));
    let (rests, tries): (Vec<_>, Vec<_>) = not_on.partition(|point| !point.is_off(port.branch));
    let off = rests.first().or(tries.first()).copied();
    let tries = tries.first().copied().filter(|_| !rests.is_empty());
    let wanted = vehicle.devices[port.device].role.is_dc_load();
    // A charger that rests does what it is made for; one that hunts does not.
    let fails = off.is_some() && (on.is_some() || wanted);
    let starved = Starved { solved, port: *port, on, off, tries };
    (fails && !starved.is_switched_off(vehicle)).then_some(starved)
}

fn is_on(port: &Port, point: &OperatingPoint) -> bool {
    port.guard.is_none_or(|guard| point.guards[guard.0 as usize]) && !point.is_off(port.branch)
}

impl Starved<'_> {
    /// Its voltage while off.
    fn off_v(&self, vehicle: &Vehicle) -> Option<f64> {
        let (plus, minus) = input(vehicle, &self.port);
        let network = self.solved.network;
        self.off?.between(network.stud_node(plus)?, network.stud_node(minus)?)
    }

    fn is_fed(&self, vehicle: &Vehicle, over: Over) -> bool {
        let (plus, minus) = input(vehicle, &self.port);
        let network = self.solved.network;
        !way_to_source(vehicle, network, plus, Pole::Plus, over).is_empty()
            && !way_to_source(vehicle, network, minus, Pole::Minus, over).is_empty()
    }

    /// Only an open switch, fuse or relay keeps it from its source: it does not switch itself off.
    fn is_switched_off(&self, vehicle: &Vehicle) -> bool {
        let is_dead = self.off_v(vehicle).is_none_or(|volt| volt.abs() < DEAD_V);
        is_dead && !self.is_fed(vehicle, Over::Closed) && self.is_fed(vehicle, Over::Closable)
    }
}

/// Which links a way to a source may take.
#[derive(Clone, Copy, PartialEq)]
enum Over {
    /// Metal and diodes.
    Closed,
    /// Also open switches and fuses, and the contact of a relay.
    Closable,
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
    let fed = starved.is_fed(vehicle, Over::Closable);
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
            let tries = volts(starved.tries)
                .map_or_else(String::new, |volt| format!(", {volt} each time it tries to start"));
            evidence.push(format!("state {state}: {off_v} at its terminals{tries}{limit_words}"));
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
        let mut way = way_to_source(vehicle, network, from, pole, Over::Closed);
        if way.is_empty() {
            way = way_to_source(vehicle, network, from, pole, Over::Closable);
        }
        for id in way {
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

/// The shortest way to a battery or alternator, else to the output of a charger.
fn way_to_source(
    vehicle: &Vehicle,
    network: &Network,
    from: TerminalId,
    pole: Pole,
    over: Over,
) -> Vec<LinkId> {
    let walk = network.graph.walk([network.graph.stud(from)], |link, _| match link.passage {
        Passage::Metal | Passage::OneWay => true,
        Passage::Open => over == Over::Closable,
        Passage::Maybe => over == Over::Closable && is_relay(vehicle, link.item),
        Passage::Load | Passage::Source => false,
    });
    let nearest = |fits: fn(Role) -> bool| {
        let sources = vehicle.devices.iter().filter(|(_, device)| fits(device.role));
        let terminals = sources.flat_map(|(id, _)| delivers_at(vehicle, id, pole));
        let studs = terminals.map(|terminal| network.graph.stud(terminal));
        let ways = studs.filter(|stud| walk.reaches(*stud)).map(|stud| walk.path(stud));
        ways.min_by_key(Vec::len)
    };
    nearest(|role| matches!(role, Role::Battery | Role::Alternator))
        .or_else(|| nearest(Role::is_dc_source))
        .unwrap_or_default()
}

/// The terminals of a pole at which a source delivers.
fn delivers_at(vehicle: &Vehicle, id: DeviceId, pole: Pole) -> Vec<TerminalId> {
    let device = &vehicle.devices[id];
    if pole == Pole::Plus {
        return source_terminals(vehicle, id, device.role);
    }
    let minus = |name| vehicle.terminal_of(id, name);
    minus("out-").or_else(|| minus("-")).into_iter().collect()
}

fn is_relay(vehicle: &Vehicle, item: Item) -> bool {
    matches!(item, Item::Device(id) if vehicle.devices[id].role.is_relay())
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
