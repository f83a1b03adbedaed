//! Check: `no-residual-current-protection`.

use model::{Attribute, Confidence, DeviceId, Place, Pole, Role, Signal};
use network::{Item, Network, Passage, Walk};
use units::Ampere;

use crate::context::Context;
use crate::mains::sources::{MainsSource, sources};
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

pub(crate) const CHECK: Check = Check::new(
    "no-residual-current-protection",
    include_str!("../../spec/no-residual-current-protection.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let from_outside = |source: &MainsSource| {
        matches!(context.vehicle.devices[source.device].role, Role::ShoreInlet | Role::Generator)
    };
    for source in sources(context.vehicle).into_iter().filter(from_outside) {
        let from = solved.network.graph.stud(source.line);
        let all = solved.network.graph.metal([from]);
        let bare = solved.network.graph.walk([from], |link, _| {
            link.passage == Passage::Metal
                && !matches!(link.item, Item::Device(id) if protects(context, id) == Some(true))
        });
        for (id, device) in context.vehicle.devices.iter().filter(|(_, d)| d.role == Role::AcLoad) {
            let line =
                device.terminals.iter().find(|t| context.vehicle.terminals[**t].pole == Pole::Line);
            let Some(at) = line.map(|line| solved.network.graph.stud(*line)) else { continue };
            match (all.reaches(at), bare.reaches(at)) {
                (true, false) => out.holds(),
                (true, true) => judge(context, solved.network, &source, (id, &bare, at), out),
                _ => {}
            }
        }
    }
}

/// Whether a breaker has a residual-current device of at most the limit; `None`: it does not say.
fn protects(context: &Context<'_>, id: DeviceId) -> Option<bool> {
    let device = &context.vehicle.devices[id];
    if device.role != Role::AcBreaker {
        return Some(false);
    }
    let most_a = context.limit("residual-rated-most").value;
    let rated_a = *device.fact(Attribute::Residual).evidence()?;
    Some(rated_a > 0.0 && rated_a <= most_a * (1.0 + SLACK))
}

fn judge(
    context: &Context<'_>,
    network: &Network,
    source: &MainsSource,
    (id, walk, at): (DeviceId, &Walk, network::Point),
    out: &mut Out,
) {
    let vehicle = context.vehicle;
    let (name, from) = (&vehicle.devices[id].name, &vehicle.devices[source.device].name);
    let place = Place::Device(id);
    let on_way: Vec<DeviceId> = walk
        .path(at)
        .into_iter()
        .filter_map(|link| match network.graph.get(link).item {
            Item::Device(device) if vehicle.devices[device].role == Role::AcBreaker => Some(device),
            _ => None,
        })
        .collect();
    let silent: Vec<DeviceId> =
        on_way.iter().copied().filter(|device| protects(context, *device).is_none()).collect();
    if !silent.is_empty() {
        let message = format!("whether {name} has residual-current protection is not known");
        let what = "read its rated residual current off its front";
        let facts = silent.into_iter().map(|device| missing(what, Place::Device(device))).collect();
        out.cannot_tell(place, Signal::Danger, message, facts);
        return;
    }
    let words: Vec<String> = on_way.iter().map(|device| residual(context, *device)).collect();
    out.fails(Failure {
        place,
        related: vec![Place::Device(source.device)],
        signal: Signal::Danger,
        confidence: Confidence::Firm,
        message: format!("{name} is fed by {from} without residual-current protection"),
        evidence: vec![match words.is_empty() {
            true => format!("no breaker or board stands between {from} and {name}"),
            false => format!("between {from} and {name}: {}", words.join(", ")),
        }],
        limit: limit(context.limit("residual-rated-most")),
        remedy: format!("do not use {name}; a licensed electrician fits a residual-current device of at most 30 mA that opens both poles"),
    });
}

fn residual(context: &Context<'_>, id: DeviceId) -> String {
    let device = &context.vehicle.devices[id];
    match device.number(Attribute::Residual) {
        Some(ampere) if ampere > 0.0 => format!("{} with {}", device.name, Ampere::from_si(ampere)),
        _ => format!("{} with none", device.name),
    }
}
