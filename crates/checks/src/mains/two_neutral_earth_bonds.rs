//! Check: `two-neutral-earth-bonds`.

use model::{Bond, Confidence, DeviceId, Fact, Place, Pole, Role, Shore, Signal, TerminalId};
use network::{Point, Walk};

use crate::context::{Context, Solved};
use crate::outcome::{Failure, Out, limit_of, missing};
use crate::registry::Check;

pub(crate) const CHECK: Check = Check::new(
    "two-neutral-earth-bonds",
    include_str!("../../spec/two-neutral-earth-bonds.md"),
    check,
);

fn check(context: &Context<'_>, out: &mut Out) {
    for solved in context.states {
        state(context, solved, out);
    }
}

/// A bond that is closed, or may be.
struct Joined {
    device: DeviceId,
    neutral: TerminalId,
    sure: bool,
    words: String,
}

/// Judges the bonds of each neutral on its own.
fn state(context: &Context<'_>, solved: &Solved<'_>, out: &mut Out) {
    let mut left = bonds(context, solved);
    while let Some(first) = left.first() {
        let neutral = neutral(context, solved, first.neutral);
        let at = |bond: &Joined| neutral.reaches(solved.network.graph.stud(bond.neutral));
        let (mut together, others): (Vec<Joined>, Vec<Joined>) = left.into_iter().partition(at);
        together.extend(wired(context, solved, &neutral, together.first()));
        judge(solved, &together, out);
        left = others;
    }
}

/// Everything of one neutral. With the shore lead in, an inverter that has an input passes it on.
fn neutral(context: &Context<'_>, solved: &Solved<'_>, from: TerminalId) -> Walk {
    let (vehicle, graph) = (context.vehicle, &solved.network.graph);
    let passing: Vec<[Point; 2]> = vehicle
        .devices
        .iter()
        .filter(|(id, _)| passes_on(context, solved, *id))
        .filter_map(|(id, _)| {
            Some([vehicle.terminal_of(id, "in.N")?, vehicle.terminal_of(id, "out.N")?])
        })
        .map(|pair| pair.map(|terminal| graph.stud(terminal)))
        .collect();
    let mut starts = vec![graph.stud(from)];
    loop {
        let walk = graph.metal(starts.iter().copied());
        let met = passing.iter().find(|[a, b]| walk.reaches(*a) != walk.reaches(*b));
        let Some(pair) = met else { return walk };
        starts.extend(pair);
    }
}

/// A neutral that wires join to earth or to the body.
fn wired(
    context: &Context<'_>,
    solved: &Solved<'_>,
    neutral: &Walk,
    first: Option<&Joined>,
) -> Option<Joined> {
    let (vehicle, graph) = (context.vehicle, &solved.network.graph);
    let (earth, _) = vehicle
        .terminals
        .iter()
        .find(|(id, terminal)| terminal.pole == Pole::Earth && neutral.reaches(graph.stud(*id)))?;
    let words = format!("wires join it to {}", vehicle.terminal_name(earth));
    let device = vehicle.terminals[earth].device;
    Some(Joined { device, neutral: first?.neutral, sure: true, words })
}

/// True for an inverter whose own changeover stands on the shore supply.
fn passes_on(context: &Context<'_>, solved: &Solved<'_>, id: DeviceId) -> bool {
    context.vehicle.devices[id].role == Role::Inverter
        && solved.state.shore == Shore::Plugged
        && context.vehicle.terminal_of(id, "in.N").is_some()
}

fn judge(solved: &Solved<'_>, together: &[Joined], out: &mut Out) {
    let place = Place::State(solved.id);
    let name = &solved.state.name;
    let words = |sure: bool| -> Vec<&str> {
        together.iter().filter(|b| b.sure == sure).map(|b| b.words.as_str()).collect()
    };
    let (sure, unsure) = (words(true), words(false));
    if sure.len() >= 2 {
        out.fails(Failure {
            place,
            related: together.iter().filter(|b| b.sure).map(|b| Place::Device(b.device)).collect(),
            signal: Signal::Danger,
            confidence: Confidence::Firm,
            message: format!("in state {name} neutral and earth are joined in {} places at once", sure.len()),
            evidence: sure.iter().map(|words| (*words).to_owned()).collect(),
            limit: limit_of("one bond for each source, at one point", "nec-250-30-a1"),
            remedy: "leave the bond that belongs to the source in use, take out the other; mains work is for a licensed electrician".to_owned(),
        });
    } else if sure.len() + unsure.len() >= 2 {
        let facts = together
            .iter()
            .filter(|bond| !bond.sure)
            .map(|bond| {
                missing(
                    "with every source off and locked off, measure neutral to earth for continuity",
                    Place::Device(bond.device),
                )
            })
            .collect();
        let message =
            format!("how often neutral and earth are joined in state {name} is not known");
        out.cannot_tell(place, Signal::Warning, message, facts);
    } else {
        out.holds();
    }
}

fn bonds(context: &Context<'_>, solved: &Solved<'_>) -> Vec<Joined> {
    let vehicle = context.vehicle;
    let mut bonds = Vec::new();
    for (device, item) in vehicle.devices.iter() {
        let on = solved.state.on.contains(&device);
        let neutral = ["out.N", "N", "in.N"].iter().find_map(|n| vehicle.terminal_of(device, n));
        let Some(neutral) = neutral else { continue };
        let name = &item.name;
        if item.role == Role::ShoreInlet && solved.state.shore == Shore::Plugged {
            let words = format!("{name}: the supply joins them at its own source");
            bonds.push(Joined { device, neutral, sure: true, words });
        }
        let inverting = on && !passes_on(context, solved, device);
        let known = item.bond.evidence();
        let how = match &item.bond {
            Fact::Known { origin, .. } => origin.word(),
            Fact::Unknown => "not known",
        };
        let (sure, words) = match (item.bond.value(), item.role) {
            (Some(Bond::Always), _) => (known.is_some(), format!("{name}: always ({how})")),
            (Some(Bond::WhileInverting), Role::Inverter) if inverting => {
                (known.is_some(), format!("{name}: while inverting ({how})"))
            }
            (Some(Bond::WhileInverting), _) => continue,
            (Some(Bond::CentreTap), _) if known.is_some() && on => {
                (true, format!("{name}: its centre tap ({how})"))
            }
            (Some(Bond::CentreTap), _) if known.is_some() => continue,
            (Some(Bond::Never), _) if known.is_some() => continue,
            (_, Role::Inverter | Role::Generator) if on => (false, format!("{name}: not known")),
            (_, Role::AcBreaker) => (false, format!("{name}: not known")),
            _ => continue,
        };
        bonds.push(Joined { device, neutral, sure, words });
    }
    bonds
}
