//! Where a wire ends that vanishes behind a panel: the terminals it may end on, how likely each is,
//! and which test tells most of them apart per minute.

use access::{Costing, Problem as Furniture};
use catalog::Catalog;
use model::{Fact, Landing, PartId, Pole, Reach, TerminalId, Vehicle, WireEnd, WireId};
use network::Network;
use solve::{OperatingPoint, Outcome as Settled};

use crate::next::{Choice, next_action};
use crate::openings::{Opened, Openings};
use crate::problem::{Check, Problem, Repair};

/// Volts from which a terminal counts as live, and below which it is on the minus side.
const LIVE_V: f64 = 2.0;

/// How often somebody who looks at a terminal takes another wire for this one. Own choice.
const SEEN_WRONGLY: f64 = 0.005;

/// Where a wire may end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FarEnd {
    /// On this terminal.
    At(TerminalId),
    /// Nowhere: cut off, taped, forgotten.
    Nowhere,
}

/// A candidate.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// Where.
    pub end: FarEnd,
    /// Probability before any test.
    pub prior: f64,
    /// What speaks for it.
    pub why: Vec<String>,
    /// What the freed near end would read against minus with the sources on: live, on the minus
    /// side (or through a load to it), or nothing.
    side: Side,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    Live,
    ToMinus,
    Nothing,
}

/// A test.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TraceTest {
    /// Volts of the freed end against minus, sources on: present or not.
    Volts,
    /// Ohms from the freed end to minus, everything dead: low or open.
    Ohms,
    /// Continuity from the freed end to this terminal.
    Continuity(TerminalId),
    /// Tone on the freed end: loudest at this terminal's place or not.
    Tone(TerminalId),
    /// A look at this terminal: the wire lands there or not.
    Seen(TerminalId),
}

/// Why a wire cannot be traced.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoTrace {
    /// Both ends are written down.
    #[error("both its ends are in the record; nothing vanishes")]
    BothEnds,
    /// Neither end is.
    #[error("neither of its ends is on a terminal of the record; write down the one you see first")]
    NoEnd,
    /// It belongs to the mains side.
    #[error("it belongs to the mains side: tracing it is for licensed people, with the supply off")]
    Mains,
}

/// A wire with one end in sight.
#[derive(Clone, Debug)]
pub struct Trace {
    /// The wire.
    pub wire: WireId,
    /// The terminal of the end in sight.
    pub near: TerminalId,
    /// Where the other end may be, most likely first.
    pub candidates: Vec<Candidate>,
    /// The tests, in the order of [`Problem::checks`].
    pub tests: Vec<TraceTest>,
}

/// Lists where a wire may end.
///
/// # Errors
/// [`NoTrace`]: there is nothing to trace, or nothing to start from.
pub fn trace(
    vehicle: &Vehicle,
    catalog: &Catalog,
    network: &Network,
    settled: &Settled,
    wire: WireId,
) -> Result<Trace, NoTrace> {
    let ends = WireEnd::BOTH.map(|end| vehicle.wires[wire].end(end).landing);
    let (near, vanishes) = match ends {
        [Landing::At(_), Landing::At(_)] => return Err(NoTrace::BothEnds),
        [Landing::At(near), other] | [other, Landing::At(near)] => (near, other),
        _ => return Err(NoTrace::NoEnd),
    };
    if vehicle.terminals[near].pole.is_ac() || vehicle.is_ac(wire) {
        return Err(NoTrace::Mains);
    }
    let behind = match vanishes {
        Landing::Behind(part) => Some(part),
        _ => None,
    };
    let from = From { vehicle, catalog, network, settled, wire, near, behind };
    let candidates = from.candidates();
    let mut tests = vec![TraceTest::Volts, TraceTest::Ohms];
    let terminals = candidates.iter().filter_map(|candidate| match candidate.end {
        FarEnd::At(terminal) => Some(terminal),
        FarEnd::Nowhere => None,
    });
    for terminal in terminals {
        tests.extend([TraceTest::Continuity(terminal), TraceTest::Tone(terminal)]);
    }
    Ok(Trace { wire, near, candidates, tests })
}

struct From<'a> {
    vehicle: &'a Vehicle,
    catalog: &'a Catalog,
    network: &'a Network,
    settled: &'a Settled,
    wire: WireId,
    near: TerminalId,
    behind: Option<PartId>,
}

impl From<'_> {
    fn candidates(&self) -> Vec<Candidate> {
        let tracing = &self.catalog.tracing;
        let mut found: Vec<Candidate> = self
            .vehicle
            .terminals
            .iter()
            .filter(|(id, terminal)| *id != self.near && !terminal.pole.is_ac())
            .map(|(id, _)| self.candidate(id))
            .collect();
        found.sort_by(|a, b| b.prior.total_cmp(&a.prior).then(a.end.cmp(&b.end)));
        found.truncate(tracing.most);
        let total: f64 = found.iter().map(|candidate| candidate.prior).sum();
        let known = 1.0 - tracing.nowhere;
        found.iter_mut().for_each(|candidate| candidate.prior *= known / total);
        found.push(Candidate {
            end: FarEnd::Nowhere,
            prior: tracing.nowhere,
            why: vec!["some wires were cut off and left".to_owned()],
            side: Side::Nothing,
        });
        found.sort_by(|a, b| b.prior.total_cmp(&a.prior).then(a.end.cmp(&b.end)));
        found
    }

    fn candidate(&self, id: TerminalId) -> Candidate {
        let (vehicle, tracing) = (self.vehicle, &self.catalog.tracing);
        let terminal = &vehicle.terminals[id];
        let device = &vehicle.devices[terminal.device];
        let (mut prior, mut why) = (1.0, Vec::new());
        let mut reason = |factor: f64, words: &str| {
            prior *= factor;
            why.push(words.to_owned());
        };
        let is_bare = vehicle.wires_at(id).next().is_none();
        // What is bolted to metal has its minus without a wire.
        let is_bolted = device.base_vehicle && terminal.pole == Pole::Minus;
        if is_bare && !device.is_chassis && !is_bolted {
            reason(tracing.wants_a_wire, "no wire of the record lands there");
        }
        let is_behind = |part: PartId| {
            device.reach.value().is_some_and(|reach| reach.iter().any(|way| way.contains(&part)))
        };
        if self.behind.is_some_and(is_behind) {
            reason(tracing.behind_the_part, "it lies behind the part at which the wire vanishes");
        }
        if self.label_names(&device.label) || self.label_names(&device.name) {
            reason(tracing.named, "the label at the near end names it");
        }
        if self.colour_suits(terminal.pole) {
            reason(tracing.colour, "the colour suits (weak: colours are often wrong)");
        }
        if terminal.device == vehicle.terminals[self.near].device {
            prior *= tracing.same_device;
        }
        Candidate { end: FarEnd::At(id), prior, why, side: self.side(id) }
    }

    /// Whether the label of the fuse way at the near end shares a word with a name.
    fn label_names(&self, name: &str) -> bool {
        let device = &self.vehicle.devices[self.vehicle.terminals[self.near].device];
        let way = device.ways.iter().find(|way| way.terminal == self.near);
        let words = |text: &str| -> Vec<String> {
            let split = text.split(|c: char| !c.is_alphanumeric());
            split.filter(|word| word.len() > 3).map(str::to_lowercase).collect()
        };
        let name = words(name);
        way.is_some_and(|way| words(&way.label).iter().any(|word| name.contains(word)))
    }

    fn colour_suits(&self, pole: Pole) -> bool {
        let Some(colour) = &self.vehicle.wires[self.wire].colour else { return false };
        let colour = colour.to_lowercase();
        match pole {
            Pole::Plus => colour.starts_with("red"),
            Pole::Minus => colour.starts_with("black"),
            _ => false,
        }
    }

    /// What the freed near end would be joined to.
    fn side(&self, id: TerminalId) -> Side {
        let Some(node) = self.network.stud_node(id) else { return Side::Nothing };
        let point: Option<&OperatingPoint> = match self.settled {
            Settled::Settled(point) => Some(point),
            Settled::Hunts { between, .. } => between.first(),
            Settled::Trouble(_) => None,
        };
        let device = &self.vehicle.devices[self.vehicle.terminals[id].device];
        let is_load_plus =
            device.role.is_dc_load() && self.vehicle.terminals[id].pole == Pole::Plus;
        let volt = point.and_then(|point| point.between(node, circuit::REFERENCE));
        match volt {
            // Fed by another wire, or through a load to minus.
            Some(volt) if volt.abs() >= LIVE_V => Side::Live,
            Some(_) => Side::ToMinus,
            None if is_load_plus => Side::ToMinus,
            None => Side::Nothing,
        }
    }
}

impl Trace {
    /// The best next test, or the end of the trace, after what was found.
    pub fn next(
        &self,
        vehicle: &Vehicle,
        catalog: &Catalog,
        furniture: &Furniture,
        costing: Costing,
        found: &[(TraceTest, bool)],
    ) -> (Vec<f64>, Choice, Vec<f64>) {
        let weights = self.weights(catalog, found);
        let mut openings = Openings::new(furniture, costing);
        let (problem, opening_min) = self.question(vehicle, catalog, &mut openings, found);
        (
            weights.clone(),
            next_action(&problem, &openings, &weights, Opened::default()),
            opening_min,
        )
    }

    /// Probability of each candidate after what was found: `prior x product of P(answer | candidate)`.
    pub fn weights(&self, catalog: &Catalog, found: &[(TraceTest, bool)]) -> Vec<f64> {
        let mut weights: Vec<f64> =
            self.candidates.iter().map(|candidate| candidate.prior).collect();
        for (test, yes) in found {
            for (weight, candidate) in weights.iter_mut().zip(&self.candidates) {
                let chance = yes_chance(catalog, *test, candidate);
                *weight *= if *yes { chance } else { 1.0 - chance };
            }
        }
        let total: f64 = weights.iter().sum();
        weights.iter_mut().for_each(|weight| *weight /= total);
        weights
    }

    fn question(
        &self,
        vehicle: &Vehicle,
        catalog: &Catalog,
        openings: &mut Openings<'_>,
        found: &[(TraceTest, bool)],
    ) -> (Problem, Vec<f64>) {
        let suspects = self.candidates.len();
        let mut checks = Vec::with_capacity(self.tests.len());
        let mut opening_min = Vec::with_capacity(self.tests.len());
        for test in &self.tests {
            let row = |candidate: &Candidate| {
                let yes = yes_chance(catalog, *test, candidate);
                vec![yes, 1.0 - yes]
            };
            let is_done = found.iter().any(|(done, _)| done == test);
            // A test that was made tells nothing more.
            let outcomes = match is_done {
                true => vec![vec![1.0]; suspects],
                false => self.candidates.iter().map(row).collect(),
            };
            let place = self.place(vehicle, *test);
            let behind = place.as_ref().and_then(|reach| openings.place(reach));
            let unknown = place.is_none() && !matches!(test, TraceTest::Volts | TraceTest::Ohms);
            let extra = if unknown { catalog.checking.unknown_place_min } else { 0.0 };
            opening_min.push(openings.minutes(behind).unwrap_or(extra) + extra);
            checks.push(Check { minutes: minutes(catalog, *test) + extra, behind, outcomes });
        }
        let finish = &catalog.tracing.finish;
        let mut repairs: Vec<Repair> = Vec::with_capacity(suspects + 1);
        for (k, candidate) in self.candidates.iter().enumerate() {
            let cures = (0..suspects).map(|g| if g == k { 1.0 } else { 0.0 }).collect();
            let (minutes, behind) = match candidate.end {
                FarEnd::At(terminal) => {
                    let reach = reach(vehicle, terminal);
                    (finish.label_minutes, reach.and_then(|reach| openings.place(reach)))
                }
                FarEnd::Nowhere => (finish.nowhere_minutes, None),
            };
            repairs.push(Repair { minutes, behind, cures });
        }
        let cures = vec![1.0; suspects];
        repairs.push(Repair { minutes: finish.search_minutes, behind: None, cures });
        (Problem { suspects, checks, repairs }, opening_min)
    }

    /// What hides the place of a test; `None`: nothing has to be opened, or it is not known.
    fn place(&self, vehicle: &Vehicle, test: TraceTest) -> Option<Reach> {
        match test {
            TraceTest::Volts | TraceTest::Ohms => reach(vehicle, self.near).cloned(),
            TraceTest::Continuity(at) | TraceTest::Tone(at) | TraceTest::Seen(at) => {
                reach(vehicle, at).cloned()
            }
        }
    }
}

fn reach(vehicle: &Vehicle, terminal: TerminalId) -> Option<&Reach> {
    match &vehicle.devices[vehicle.terminals[terminal].device].reach {
        Fact::Known { value, .. } => Some(value),
        Fact::Unknown => None,
    }
}

fn minutes(catalog: &Catalog, test: TraceTest) -> f64 {
    let checks = &catalog.tracing.check;
    match test {
        TraceTest::Volts => checks.volts.minutes,
        TraceTest::Ohms => checks.ohms.minutes,
        TraceTest::Continuity(_) => checks.continuity.minutes,
        TraceTest::Tone(_) => checks.tone.minutes,
        TraceTest::Seen(_) => catalog.tracing.finish.label_minutes,
    }
}

/// Probability that a test says yes if the wire ends there.
fn yes_chance(catalog: &Catalog, test: TraceTest, candidate: &Candidate) -> f64 {
    let checks = &catalog.tracing.check;
    let (is_yes, error) = match test {
        TraceTest::Volts => (candidate.side == Side::Live, checks.volts.error),
        TraceTest::Ohms => (candidate.side == Side::ToMinus, checks.ohms.error),
        TraceTest::Continuity(at) => (candidate.end == FarEnd::At(at), checks.continuity.error),
        TraceTest::Tone(at) => (candidate.end == FarEnd::At(at), checks.tone.error),
        TraceTest::Seen(at) => (candidate.end == FarEnd::At(at), SEEN_WRONGLY),
    };
    if is_yes { 1.0 - error } else { error }
}
