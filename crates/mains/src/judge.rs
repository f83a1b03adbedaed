//! From the outcomes of all variants to one verdict for each aspect of a feed. A cell holds only
//! if it holds however the unknown stands; it names what is unknown otherwise.

use model::{DeviceId, Place, Signal, Supply, Vehicle};

use crate::feed::{Factor, Known, Variant, loads_of};
use crate::grade::{self, Grade};
use crate::layout::Scene;
use crate::outcome::Outcome;

/// What a cell of the matrix is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Aspect {
    /// Line and neutral at the sockets.
    Polarity,
    /// Joins of neutral and earth.
    Bond,
    /// Current that comes back by other ways.
    Residual,
    /// Voltage of the body against the ground.
    Touch,
    /// A line lying on the metal of the body or an appliance.
    Fault,
}

/// The verdict of a cell.
#[derive(Clone, Debug, PartialEq)]
pub enum CellVerdict {
    /// As it should be, however the unknown stands.
    Holds,
    /// Not as it should be.
    Fails(Signal),
    /// It depends on these.
    CannotTell(Vec<ToFind>),
}

/// A fact to be found out.
#[derive(Clone, Debug, PartialEq)]
pub struct ToFind {
    /// As an instruction.
    pub what: String,
    /// Where.
    pub at: Place,
}

/// One cell of the matrix.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// What it is about.
    pub aspect: Aspect,
    /// The verdict.
    pub verdict: CellVerdict,
    /// The result in a few signs.
    pub short: String,
    /// The result and its cause in words.
    pub words: String,
    /// Places in the record.
    pub places: Vec<Place>,
    /// Keys of limits it was held against.
    pub limits: Vec<&'static str>,
}

/// Judges one feed in a state: five cells.
pub(crate) fn cells(scene: Scene<'_>, known: &Known, outcomes: &[(Variant, Outcome)]) -> Vec<Cell> {
    let aspects: [(Aspect, &[&'static str]); 5] = [
        (Aspect::Polarity, &[]),
        (Aspect::Bond, &["one-bond", "bond-in-vehicle"]),
        (
            Aspect::Residual,
            &["residual-rated-most", "residual-hold", "ground-fault-trip", "leakage-most"],
        ),
        (Aspect::Touch, &["touch-usual", "touch-disconnect"]),
        (Aspect::Fault, &["residual-hold", "breaker-instant-sure"]),
    ];
    aspects
        .into_iter()
        .map(|(aspect, limits)| {
            let grades: Vec<Grade> = outcomes
                .iter()
                .map(|(variant, outcome)| grade::grade(scene, known, aspect, variant, outcome))
                .collect();
            let variants: Vec<&Variant> = outcomes.iter().map(|(variant, _)| variant).collect();
            let cell = combine(scene, known, aspect, &variants, &grades);
            Cell { limits: limits.to_vec(), ..cell }
        })
        .collect()
}

/// All alike: that. Otherwise: cannot tell, with the factors on which it turns.
fn combine(
    scene: Scene<'_>,
    known: &Known,
    aspect: Aspect,
    variants: &[&Variant],
    grades: &[Grade],
) -> Cell {
    // The worst and the first of the good ones speak for all.
    let worst = grades.iter().max_by(|a, b| a.weight.total_cmp(&b.weight)).expect("a variant");
    let cell = |verdict, short: &str, words: String| Cell {
        aspect,
        verdict,
        short: short.to_owned(),
        words,
        places: worst.places.clone(),
        limits: Vec::new(),
    };
    let bad = grades.iter().filter(|grade| !grade.good).count();
    let mut open: Vec<ToFind> = grades.iter().flat_map(|grade| grade.open.clone()).collect();
    if bad == grades.len() {
        let mildest =
            grades.iter().min_by(|a, b| a.weight.total_cmp(&b.weight)).expect("a variant");
        let signal = grades.iter().map(|grade| grade.signal).max().unwrap_or(worst.signal);
        let chosen = cell(CellVerdict::Fails(signal), &mildest.short, mildest.words.clone());
        return Cell { places: mildest.places.clone(), ..chosen };
    }
    if bad > 0 {
        let turning = known.factors.iter().filter(|factor| turns(**factor, variants, grades));
        open.extend(turning.map(|factor| grade::to_find(scene, *factor)));
    }
    open.extend(untried(known).filter(|_| aspect == Aspect::Bond));
    dedup(&mut open);
    if open.is_empty() && bad == 0 {
        return cell(CellVerdict::Holds, &worst.short, worst.words.clone());
    }
    let words = if bad > 0 {
        format!("not known; it may be that {}", worst.words)
    } else {
        worst.words.clone()
    };
    cell(CellVerdict::CannotTell(open), "cannot tell", words)
}

/// True when two variants that differ in one factor only get different grades.
fn turns(factor: Factor, variants: &[&Variant], grades: &[Grade]) -> bool {
    let without = |variant: &Variant| {
        let mut neutral = variant.clone();
        match factor {
            Factor::Supply => neutral.supply = Supply::Correct,
            Factor::Bond(id) => {
                neutral.bonds.remove(&id);
            }
            Factor::Leakage => neutral.leaks = false,
            Factor::Body => neutral.body = true,
        }
        neutral
    };
    let all = || variants.iter().zip(grades);
    all().any(|(a, first)| {
        all().any(|(b, second)| first.good != second.good && without(a) == without(b))
    })
}

fn untried(known: &Known) -> impl Iterator<Item = ToFind> + '_ {
    known.untried.iter().map(|id| ToFind {
        what: "with every source off and locked off, measure neutral to earth for continuity"
            .to_owned(),
        at: Place::Device(*id),
    })
}

fn dedup(open: &mut Vec<ToFind>) {
    let mut kept: Vec<ToFind> = Vec::new();
    for item in open.drain(..) {
        if !kept.contains(&item) {
            kept.push(item);
        }
    }
    *open = kept;
}

/// Sockets and appliances that no recorded wire joins to any source of the state.
pub(crate) fn unfed(vehicle: &Vehicle, scenes: &[Scene<'_>]) -> Vec<DeviceId> {
    let fed: Vec<DeviceId> = scenes
        .iter()
        .flat_map(|scene| loads_of(vehicle, scene.metal, scene.feed).collect::<Vec<_>>())
        .collect();
    vehicle
        .devices
        .iter()
        .filter(|(id, device)| device.role == model::Role::AcLoad && !fed.contains(id))
        .map(|(id, _)| id)
        .collect()
}

/// Two feeds of a state of which metal joins a live pole of one to a live pole of the other.
pub(crate) fn fight(scenes: &[Scene<'_>]) -> Option<[DeviceId; 2]> {
    let poles = |scene: &Scene<'_>| {
        let (feed, vehicle) = (scene.feed, scene.vehicle);
        feed.lines(vehicle).into_iter().chain(feed.neutral(vehicle)).collect::<Vec<_>>()
    };
    scenes.iter().enumerate().find_map(|(index, first)| {
        let second = scenes[index + 1..].iter().find(|second| {
            poles(first).iter().any(|a| poles(second).iter().any(|b| first.metal.joined(*a, *b)))
        })?;
        Some([first.feed.device, second.feed.device])
    })
}
