//! Check: `charging-voltage-too-high`.

use model::{Attribute, Chemistry, Confidence, Device, DeviceId, Fact, Place, Role, Signal};
use network::Network;
use units::Volt;

use crate::circuits::source_terminals;
use crate::context::Context;
use crate::metal::{closable, reaches};
use crate::outcome::{Failure, Out, limit, limit_of, missing};
use crate::registry::Check;

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

pub(crate) const CHECK: Check = Check::new(
    "charging-voltage-too-high",
    include_str!("../../spec/charging-voltage-too-high.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    for (id, device) in context.vehicle.devices.iter() {
        let charges = matches!(
            device.role,
            Role::DcDcCharger | Role::SolarController | Role::DirectController | Role::MainsCharger
        );
        if charges {
            judge(context, solved.network, id, out);
        }
    }
}

/// What the batteries of a source bear: the lowest of their limits.
struct Bears {
    battery: DeviceId,
    volt: f64,
    row: Option<&'static str>,
}

fn judge(context: &Context<'_>, network: &Network, id: DeviceId, out: &mut Out) {
    let vehicle = context.vehicle;
    let device = &vehicle.devices[id];
    let Some(plus) = source_terminals(vehicle, id, device.role).first().copied() else { return };
    let walk = closable(network, plus);
    let bears = vehicle
        .devices
        .iter()
        .filter(|(other, battery)| {
            battery.role == Role::Battery && reaches(vehicle, network, &walk, (*other, "+"))
        })
        .filter(|(other, _)| !is_in_series(context, network, *other))
        .filter_map(|(other, battery)| bears(context, other, battery))
        .min_by(|a, b| a.volt.total_cmp(&b.volt));
    let Some(bears) = bears else { return };
    let (name, place) = (&device.name, Place::Device(id));
    match device.fact(Attribute::Regulates) {
        Fact::Known { value, origin } if origin.is_evidence() => {
            if value > bears.volt * (1.0 + SLACK) {
                fails(context, id, &bears, value, out);
            } else {
                out.holds();
            }
        }
        _ => {
            let battery = &vehicle.devices[bears.battery].name;
            let message = format!("whether {name} is set for {battery} is not known");
            let facts = vec![missing("read the charging voltage off its settings", place)];
            out.cannot_tell(place, Signal::Caution, message, facts);
        }
    }
}

/// A block whose plus metal also joins to another's minus: its own limit is a part of the bank's.
fn is_in_series(context: &Context<'_>, network: &Network, id: DeviceId) -> bool {
    let vehicle = context.vehicle;
    let joined = |from: &str, to: &str| {
        let Some(terminal) = vehicle.terminal_of(id, from) else { return false };
        let walk = closable(network, terminal);
        vehicle.devices.iter().any(|(other, battery)| {
            other != id
                && battery.role == Role::Battery
                && reaches(vehicle, network, &walk, (other, to))
        })
    };
    joined("+", "-") || joined("-", "+")
}

fn bears(context: &Context<'_>, id: DeviceId, battery: &Device) -> Option<Bears> {
    if let Some(volt) = battery.fact(Attribute::ChargeStop).evidence() {
        return Some(Bears { battery: id, volt: *volt, row: None });
    }
    let key = match battery.chemistry.evidence()? {
        Chemistry::Lfp => "charge-lfp",
        Chemistry::Agm => "charge-agm",
        Chemistry::Gel => "charge-gel",
        Chemistry::Flooded => "charge-flooded",
    };
    let block = context.catalog.stand_ins.nominal.si();
    let blocks = battery.number(Attribute::Nominal).unwrap_or(block) / block;
    Some(Bears { battery: id, volt: context.limit(key).value * blocks, row: Some(key) })
}

fn fails(context: &Context<'_>, id: DeviceId, bears: &Bears, volt: f64, out: &mut Out) {
    let [name, battery] = [id, bears.battery].map(|id| context.vehicle.devices[id].name.as_str());
    let [set, most] = [volt, bears.volt].map(Volt::from_si);
    out.fails(Failure {
        place: Place::Device(id),
        related: vec![Place::Device(bears.battery)],
        signal: Signal::Warning,
        confidence: Confidence::Firm,
        message: format!("{name} charges {battery} to {set}; it bears {most}"),
        evidence: vec![format!("{name} regulates to {set}")],
        limit: match bears.row {
            Some(key) => limit(context.limit(key)),
            None => limit_of(
                "at most the voltage at which the battery's board stops charging",
                "practice",
            ),
        },
        remedy: format!("set {name} to what the label of {battery} says, or exchange it"),
    });
}
