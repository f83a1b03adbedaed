//! Check: `module-voltage-too-high`.

use std::collections::BTreeSet;

use model::{Attribute, Confidence, DeviceId, Missing, Place, Role, Signal, TerminalId};
use network::{Network, Walk};
use units::Volt;

use crate::context::Context;
use crate::metal::{Pieces, is_unlimited, reaches, unlimited};
use crate::outcome::{Failure, Out, limit, missing};
use crate::registry::Check;

/// Room for rounding, as a part of the limit.
const SLACK: f64 = 1e-9;

pub(crate) const CHECK: Check = Check::new(
    "module-voltage-too-high",
    include_str!("../../spec/module-voltage-too-high.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    let Some(solved) = context.first() else { return };
    let vehicle = context.vehicle;
    if !vehicle.devices.iter().any(|(_, row)| row.role == Role::SolarModule) {
        return;
    }
    // What a battery comes to is for protection-voltage-too-low.
    let pieces = Pieces::of(vehicle, solved.network, |link| is_unlimited(vehicle, link));
    let of_batteries = pieces.of_batteries(vehicle, solved.network);
    for (id, device) in vehicle.devices.iter() {
        let side = match device.role {
            Role::SolarController | Role::DirectController => vehicle.terminal_of(id, "pv+"),
            role if role.protects() || role == Role::Switch => device.terminals.first().copied(),
            _ => None,
        };
        let Some(side) = side else { continue };
        if of_batteries.contains(&pieces.at(solved.network, side)) {
            continue;
        }
        let walk = unlimited(vehicle, solved.network, side);
        if let Some(string) = highest(context, solved.network, &walk) {
            judge(context, id, &string, out);
        }
    }
}

/// Modules one after the other.
#[derive(Clone, Debug, Default)]
struct Rows {
    modules: Vec<DeviceId>,
    /// Their open-circuit voltages together, V.
    volt: f64,
    /// Modules whose voltage nobody read.
    unread: Vec<DeviceId>,
}

/// Of the rows of modules on a piece of metal, the one with most volts; one with an unread module first.
fn highest(context: &Context<'_>, network: &Network, walk: &Walk) -> Option<Rows> {
    let mut seen = BTreeSet::new();
    let rows = on(context, network, walk, &mut seen);
    rows.into_iter().max_by(|a, b| {
        let rank = |rows: &Rows| (!rows.unread.is_empty(), rows.volt);
        rank(a).partial_cmp(&rank(b)).unwrap_or(std::cmp::Ordering::Equal)
    })
}

/// The rows whose first plus is on this metal; each goes on at its module's minus.
fn on(
    context: &Context<'_>,
    network: &Network,
    walk: &Walk,
    seen: &mut BTreeSet<DeviceId>,
) -> Vec<Rows> {
    let vehicle = context.vehicle;
    let mut rows = Vec::new();
    for (id, module) in vehicle.devices.iter().filter(|(_, row)| row.role == Role::SolarModule) {
        if !reaches(vehicle, network, walk, (id, "+")) || !seen.insert(id) {
            continue;
        }
        let behind = vehicle.terminal_of(id, "-").map(|minus: TerminalId| {
            on(context, network, &unlimited(vehicle, network, minus), seen)
        });
        let highest = |a: &Rows, b: &Rows| a.volt.total_cmp(&b.volt);
        let mut row = behind.unwrap_or_default().into_iter().max_by(highest).unwrap_or_default();
        row.modules.insert(0, id);
        match module.fact(Attribute::OpenVoltage).evidence() {
            Some(volt) => row.volt += volt,
            None => row.unread.push(id),
        }
        rows.push(row);
    }
    rows
}

fn judge(context: &Context<'_>, id: DeviceId, rows: &Rows, out: &mut Out) {
    let device = &context.vehicle.devices[id];
    let (name, place) = (&device.name, Place::Device(id));
    let row = context.limit("module-cold");
    let cold_v = rows.volt * row.value;
    let made_for = device.fact(Attribute::MadeFor).evidence().copied();
    match made_for {
        // What is known of the row is too much already.
        Some(made_for) if cold_v > made_for * (1.0 + SLACK) => {
            let [most, cold, label] = [made_for, cold_v, rows.volt].map(Volt::from_si);
            let confidence =
                if rows.volt > made_for { Confidence::Firm } else { Confidence::Likely };
            out.fails(Failure {
                place,
                related: rows.modules.iter().map(|id| Place::Device(*id)).collect(),
                signal: Signal::Warning,
                confidence,
                message: format!("{name} is made for {most}, the modules give {cold} in the cold"),
                evidence: vec![format!("{label} by the labels of {}", names(context, &rows.modules))],
                limit: limit(row),
                remedy: format!(
                    "join the modules side by side instead of one after the other, or fit one in place of {name} that is made for {cold} or more"
                ),
            });
        }
        Some(_) if rows.unread.is_empty() => out.holds(),
        _ => {
            let message = format!("whether {name} bears its modules in the cold is not known");
            out.cannot_tell(place, Signal::Warning, message, facts(context, id, rows, made_for));
        }
    }
}

fn facts(context: &Context<'_>, id: DeviceId, rows: &Rows, made_for: Option<f64>) -> Vec<Missing> {
    let device = &context.vehicle.devices[id];
    let own = made_for.is_none().then(|| {
        let what = format!("read off {} up to what direct voltage it is made", device.name);
        missing(what, Place::Device(id))
    });
    let unread = rows.unread.iter().map(|module| {
        missing("read the open-circuit voltage off the module's label", Place::Device(*module))
    });
    own.into_iter().chain(unread).collect()
}

fn names(context: &Context<'_>, modules: &[DeviceId]) -> String {
    let names: Vec<&str> =
        modules.iter().map(|id| context.vehicle.devices[*id].name.as_str()).collect();
    names.join(", ")
}
