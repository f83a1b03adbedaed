//! What has to come out for a check or a repair, so that what several need is paid for once.
//!
//! Each place is planned by itself from how the vehicle stands. What two plans share is counted once;
//! that a joint plan might take another way altogether is not looked into here, so minutes may be a
//! little high, never too low for a single place.

use std::collections::BTreeMap;

use access::{Costing, PaidFor, Problem as Furniture};
use model::Reach;

use crate::problem::{Access, Target};

/// How a place is opened.
#[derive(Clone, Debug, PartialEq)]
struct Way {
    /// What is paid for, with minutes and breakage as minutes.
    pieces: Vec<(usize, f64)>,
}

/// Places and their ways in.
pub struct Openings<'f> {
    furniture: &'f Furniture,
    costing: Costing,
    places: Vec<Option<Way>>,
    known: BTreeMap<Reach, Target>,
    pieces: BTreeMap<PaidFor, usize>,
    worth_min: Vec<f64>,
}

/// What is paid for already.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Opened([u64; WORDS]);

/// Pieces kept apart, 64 to a word; further ones are paid for each time.
const WORDS: usize = 8;

impl Opened {
    fn has(&self, piece: usize) -> bool {
        self.0.get(piece / 64).is_some_and(|word| word >> (piece % 64) & 1 == 1)
    }

    fn add(&mut self, piece: usize) {
        if let Some(word) = self.0.get_mut(piece / 64) {
            *word |= 1 << (piece % 64);
        }
    }
}

impl<'f> Openings<'f> {
    /// No place yet. `furniture` is the planner's question from how the vehicle stands now.
    pub fn new(furniture: &'f Furniture, costing: Costing) -> Openings<'f> {
        Openings {
            furniture,
            costing,
            places: Vec::new(),
            known: BTreeMap::new(),
            pieces: BTreeMap::new(),
            worth_min: Vec::new(),
        }
    }

    /// The place that any of these sets of parts hides; `None` if nothing hides it.
    pub fn place(&mut self, reach: &Reach) -> Option<Target> {
        if reach.iter().any(Vec::is_empty) {
            return None;
        }
        if let Some(known) = self.known.get(reach) {
            return Some(*known);
        }
        let plan = access::vehicle::way_in(self.furniture, "place", reach, &self.costing).ok();
        let way = plan.map(|plan| {
            let paid = plan.paid(self.furniture, &self.costing);
            let piece = |paid: &access::Paid| self.piece(paid);
            Way { pieces: paid.iter().map(piece).collect() }
        });
        self.places.push(way);
        let target = Target(self.places.len() - 1);
        self.known.insert(reach.clone(), target);
        Some(target)
    }

    fn piece(&mut self, paid: &access::Paid) -> (usize, f64) {
        let next = self.pieces.len();
        let id = *self.pieces.entry(paid.what).or_insert(next);
        let worth = paid.worth_min(&self.costing);
        if id == next {
            self.worth_min.push(worth);
        }
        (id, worth)
    }

    /// Whether a place can be reached at all.
    pub fn can_be_reached(&self, target: Option<Target>) -> bool {
        target.is_none_or(|target| self.places[target.0].is_some())
    }

    /// Minutes to a place from how the vehicle stands, breakage counted as minutes.
    pub fn minutes(&self, target: Option<Target>) -> Option<f64> {
        let Some(target) = target else { return Some(0.0) };
        Access::minutes(self, &Opened::default(), target)
    }
}

impl Access for Openings<'_> {
    type State = Opened;

    fn open(&self, from: &Opened, target: Target) -> Option<(f64, Opened)> {
        let way = self.places.get(target.0)?.as_ref()?;
        let (mut minutes, mut opened) = (0.0, *from);
        for (piece, worth) in &way.pieces {
            if !opened.has(*piece) {
                minutes += worth;
                opened.add(*piece);
            }
        }
        Some((minutes, opened))
    }

    fn minutes(&self, from: &Opened, target: Target) -> Option<f64> {
        let way = self.places.get(target.0)?.as_ref()?;
        let missing = way.pieces.iter().filter(|(piece, _)| !from.has(*piece));
        Some(missing.map(|(_, worth)| worth).sum())
    }
}
