//! Puts the study of a vehicle together: levels at every stud, a row for every end with a source.

use std::collections::BTreeSet;

use catalog::Catalog;
use circuit::NodeId;
use model::{DeviceId, TerminalId, Vehicle, WireEnd, WireId};
use network::{Network, Point, is_base_vehicle};

use crate::behind::{Behind, Looking};
use crate::faults::{Faults, return_node};
use crate::judge::{End, judge};
use crate::outcome::{Leaning, LeftOut, Level, Row, Study, Word};
use crate::stand::{Stand, at_most, runs, words};

/// Fault levels and protection of a vehicle, in any way it can stand or in one state.
///
/// Steady currents of bolted faults ([`solve::FaultStudy`]); opening times by class
/// ([`catalog::Band::opening`]); the wire by its heat ([`heat::adiabatic`]). Feed side only: a return
/// wire that touches the body carries next to nothing. Checked by `tests`.
pub fn study(vehicle: &Vehicle, catalog: &Catalog, stand: Stand) -> Study {
    let mut faults = Faults::new(runs(vehicle, catalog, stand));
    let network = faults.network().clone();
    let looking = Looking::new(vehicle, &network);
    let levels = levels(&looking, &mut faults);
    let (mut rows, left_out) = rows(&looking, catalog, &mut faults);
    rows.sort_by(|a, b| order(a).partial_cmp(&order(b)).unwrap_or(std::cmp::Ordering::Equal));
    Study {
        stands: words(vehicle, stand),
        levels,
        rows,
        left_out,
        assumptions: network.assumptions.clone(),
        troubles: faults.troubles,
    }
}

/// The most that a short circuit at some studs can draw, A: the upper end of their levels in
/// [`study`], without the rest of it. None where nothing feeds.
pub fn most_at(vehicle: &Vehicle, catalog: &Catalog, studs: &[TerminalId]) -> Vec<Option<f64>> {
    let mut faults = Faults::new(vec![at_most(vehicle, catalog)]);
    let network = faults.network().clone();
    let looking = Looking::new(vehicle, &network);
    let most = |stud: &TerminalId| {
        let point = network.graph.stud(*stud);
        network.node(point)?;
        let to = return_of(&looking, &looking.sources(point, None))?;
        faults.solve([(point, to)]);
        Some(faults.level(point, to)?.high())
    };
    studs.iter().map(most).collect()
}

/// The rows of a few wires, as [`study`] gives them, without the rest.
pub fn study_wires(
    vehicle: &Vehicle,
    catalog: &Catalog,
    stand: Stand,
    wires: &BTreeSet<WireId>,
) -> Vec<Row> {
    let mut faults = Faults::new(runs(vehicle, catalog, stand));
    let network = faults.network().clone();
    let looking = Looking::new(vehicle, &network);
    let asked = |wire: WireId| wires.contains(&wire);
    rows_of(&looking, catalog, &mut faults, asked).0
}

/// Worst first: short runs ahead of the first device last among what burns; more current first.
fn order(row: &Row) -> (Word, bool, Leaning, f64) {
    let leaning = row.verdict.leaning.unwrap_or(Leaning::TooLate);
    (row.verdict.word, row.short_run.is_some(), leaning, -row.near_a.high())
}

/// The node faults on the metal around these sources return to: that of a battery, if there is one.
fn return_of(looking: &Looking<'_>, behind: &[Behind]) -> Option<NodeId> {
    let strong = behind.iter().find(|behind| behind.is_strong(looking.vehicle));
    let source = strong.or(behind.first())?.source;
    return_node(looking.vehicle, looking.network, source)
}

fn levels(looking: &Looking<'_>, faults: &mut Faults) -> Vec<Level> {
    let mut levels = Vec::new();
    for terminal in looking.vehicle.terminals.ids() {
        let point = looking.network.graph.stud(terminal);
        if looking.network.node(point).is_none() {
            continue;
        }
        let behind = looking.sources(point, None);
        let Some(to) = return_of(looking, &behind) else { continue };
        faults.solve([(point, to)]);
        let Some(ampere_a) = faults.level(point, to) else { continue };
        let mut by_source: Vec<(DeviceId, f64)> = behind
            .iter()
            .map(|behind| (behind.source, faults.by_source(point, to, behind.source)))
            .filter(|(_, ampere_a)| *ampere_a > crate::faults::NOTHING_A)
            .collect();
        by_source.sort_by(|a, b| b.1.total_cmp(&a.1));
        levels.push(Level { terminal, ampere_a, by_source });
    }
    levels.sort_by(|a, b| b.ampere_a.high().total_cmp(&a.ampere_a.high()));
    levels
}

fn rows(looking: &Looking<'_>, catalog: &Catalog, faults: &mut Faults) -> (Vec<Row>, Vec<LeftOut>) {
    rows_of(looking, catalog, faults, |_| true)
}

fn rows_of(
    looking: &Looking<'_>,
    catalog: &Catalog,
    faults: &mut Faults,
    asked: impl Fn(WireId) -> bool,
) -> (Vec<Row>, Vec<LeftOut>) {
    let (mut rows, mut left_out) = (Vec::new(), Vec::new());
    for wire in looking.vehicle.wires.ids().filter(|wire| asked(*wire)) {
        let ends = WireEnd::BOTH.map(|end| looking.network.graph.wire_end(wire, end));
        let is_feed = ends
            .iter()
            .all(|point| looking.network.node(*point).is_some() && !looking.is_return(*point));
        if !is_feed {
            continue;
        }
        if let Some(why) = exempt(looking.vehicle, wire) {
            left_out.push(LeftOut { wire, why: why.to_owned() });
            continue;
        }
        for end in WireEnd::BOTH {
            rows.extend(row(looking, catalog, faults, wire, end));
        }
    }
    (rows, left_out)
}

/// Wires that are not judged.
fn exempt(vehicle: &Vehicle, wire: WireId) -> Option<&'static str> {
    if is_base_vehicle(vehicle, wire) {
        return Some(
            "joins two things of the base vehicle, so taken for its maker's; if it was added, judge it by hand",
        );
    }
    let on_motor = WireEnd::BOTH.into_iter().any(|end| {
        let device = vehicle.wires[wire].terminal(end).map(|t| vehicle.terminals[t].device);
        device.is_some_and(|id| vehicle.devices[id].exempt_cable)
    });
    on_motor.then_some("cable of a cranking motor, which needs no protection")
}

fn row(
    looking: &Looking<'_>,
    catalog: &Catalog,
    faults: &mut Faults,
    wire: WireId,
    end: WireEnd,
) -> Option<Row> {
    let vehicle = looking.vehicle;
    let mut behind = looking.behind(wire, end);
    let to = return_of(looking, &behind)?;
    let point = |end: WireEnd| -> Point {
        match vehicle.wires[wire].terminal(end) {
            Some(terminal) => looking.network.graph.stud(terminal),
            None => looking.network.graph.wire_end(wire, end),
        }
    };
    let (near, far) = ((point(end), to), (point(end.other()), to));
    faults.solve([near, far]);
    let far_a = faults.far(wire, end, far)?;
    let near_a = faults.near(wire, end, near).unwrap_or(far_a);
    let brings = |b: &Behind| faults.by_source(near.0, to, b.source);
    behind.sort_by(|a, b| brings(b).total_cmp(&brings(a)));
    let brings_a = behind.iter().map(brings).collect();
    let contacts: BTreeSet<_> = behind.iter().flat_map(|b| b.devices.iter().copied()).collect();
    let through = contacts
        .into_iter()
        .map(|contact| {
            let branch = |network: &Network| contact.branch(network);
            let share = faults.share(branch, (wire, end), far).unwrap_or(1.0);
            let near_a = faults.through(branch, near).unwrap_or(near_a);
            (contact, share, near_a)
        })
        .collect();
    let end = End { vehicle, catalog, wire, end, behind, far_a, near_a, brings_a, through };
    Some(judge(&end))
}
