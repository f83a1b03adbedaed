//! Check: `two-neutral-earth-bonds`.

use model::{Bond, Confidence, DeviceId, Fact, Place, Role, Shore, Signal, TerminalId};

use crate::context::{Context, Solved};
use crate::outcome::{Failure, Out, limit_of, missing};

pub(crate) fn check(context: &Context<'_>, out: &mut Out) {
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

fn state(context: &Context<'_>, solved: &Solved<'_>, out: &mut Out) {
    let bonds = bonds(context, solved);
    let Some(first) = bonds.iter().find(|bond| bond.sure).or(bonds.first()) else { return };
    let network = solved.network;
    let walk = network.graph.metal([network.graph.stud(first.neutral)]);
    let together: Vec<&Joined> =
        bonds.iter().filter(|bond| walk.reaches(network.graph.stud(bond.neutral))).collect();
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
        let (sure, words) = match (&item.bond, item.role) {
            (Fact::Known { value: Bond::Always, origin }, _) => {
                (origin.is_evidence(), format!("{name}: always ({})", origin.word()))
            }
            (Fact::Known { value: Bond::WhileInverting, origin }, Role::Inverter) if on => {
                (origin.is_evidence(), format!("{name}: while inverting ({})", origin.word()))
            }
            (Fact::Unknown, Role::Inverter) if on => (false, format!("{name}: not known")),
            _ => continue,
        };
        bonds.push(Joined { device, neutral, sure, words });
    }
    bonds
}
