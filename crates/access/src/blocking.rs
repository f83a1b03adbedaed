//! Which part is in the way of which, along each of the six directions of the vehicle: derived from
//! boxes, and what follows from it for the order in which parts can come out.
//!
//! Straight moves only, boxes taken as solid. Boxes that reach into each other (a drawer in its frame)
//! say nothing about each other.

use std::collections::BTreeSet;

use model::{Cuboid, Direction};

use crate::problem::PartIdx;

/// Boxes closer than this touch; figures are written to a centimetre or a millimetre. Our choice, no
/// source.
const TOUCHING_M: f64 = 0.001;

/// Parts in the way of each other, by direction.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Blocking {
    parts: Vec<[Side; 6]>,
}

/// What is in the way of a part in one direction.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Side {
    /// Parts that must be out before it can move this way.
    pub parts: BTreeSet<PartIdx>,
    /// The vehicle's own wall is in the way.
    pub wall: bool,
}

impl Side {
    /// True when it can move this way once `out` is out.
    pub fn is_free(&self, out: &BTreeSet<PartIdx>) -> bool {
        !self.wall && self.parts.is_subset(out)
    }
}

impl Blocking {
    /// So many parts with nothing in the way.
    pub fn free(parts: usize) -> Blocking {
        Blocking { parts: vec![<[Side; 6]>::default(); parts] }
    }

    /// From boxes: a part moves by its own depth, at least by a hand's room, and what its box would
    /// then run into is in the way; so is the wall when the part is inside and would run through it.
    /// Parts without a box block nothing and are not blocked.
    pub fn of(boxes: &[Option<Cuboid>], inside: Option<&Cuboid>, hand_room_m: f64) -> Blocking {
        let mut blocking = Blocking::free(boxes.len());
        for (index, part) in boxes.iter().enumerate() {
            let Some(part) = part else { continue };
            for direction in Direction::ALL {
                let travel_m = part.size(direction.axis()).si().max(hand_room_m);
                blocking.parts[index][number(direction)] =
                    side(part, boxes, inside, direction, travel_m);
            }
        }
        blocking
    }

    /// Says that `blocker` is in the way of `part`.
    pub fn block(&mut self, part: PartIdx, direction: Direction, blocker: PartIdx) {
        self.parts[part.0][number(direction)].parts.insert(blocker);
    }

    /// What is in the way of a part in one direction.
    pub fn side(&self, part: PartIdx, direction: Direction) -> &Side {
        &self.parts[part.0][number(direction)]
    }

    /// The sets of parts of which one must be out before a part can come out, the smallest first,
    /// none holding another. One empty set: it can come out now. No set: walls on all sides.
    pub fn alternatives(&self, part: PartIdx) -> Vec<BTreeSet<PartIdx>> {
        let open = self.parts[part.0].iter().filter(|side| !side.wall);
        let mut sets: Vec<BTreeSet<PartIdx>> = open.map(|side| side.parts.clone()).collect();
        sets.sort_by_key(|set| (set.len(), set.clone()));
        sets.dedup();
        let mut least: Vec<BTreeSet<PartIdx>> = Vec::new();
        for set in sets {
            if !least.iter().any(|smaller| smaller.is_subset(&set)) {
                least.push(set);
            }
        }
        least
    }
}

/// What a box runs into when it moves so far.
pub(crate) fn side(
    part: &Cuboid,
    boxes: &[Option<Cuboid>],
    inside: Option<&Cuboid>,
    direction: Direction,
    travel_m: f64,
) -> Side {
    let in_the_way = |other: &Cuboid| {
        gap_m(part, other, direction).is_some_and(|gap_m| gap_m + TOUCHING_M < travel_m)
    };
    let parts =
        boxes.iter().enumerate().filter(|(_, other)| other.as_ref().is_some_and(in_the_way));
    let wall = room_m(part, inside, direction).is_some_and(|room_m| room_m + TOUCHING_M < travel_m);
    Side { parts: parts.map(|(index, _)| PartIdx(index)).collect(), wall }
}

/// How far a box is from another that lies ahead of it, m; `None` when it would never run into it,
/// or the two reach into each other.
pub(crate) fn gap_m(from: &Cuboid, to: &Cuboid, direction: Direction) -> Option<f64> {
    let axis = direction.axis();
    let across = (0..3).filter(|other| *other != axis).all(|other| overlaps(from, to, other));
    let gap_m = if direction.is_positive() {
        to.low[axis].si() - from.high[axis].si()
    } else {
        from.low[axis].si() - to.high[axis].si()
    };
    (across && gap_m > -TOUCHING_M).then_some(gap_m.max(0.0))
}

/// How far a box inside the vehicle is from the wall, m; `None` for one that is not inside.
pub(crate) fn room_m(part: &Cuboid, inside: Option<&Cuboid>, direction: Direction) -> Option<f64> {
    let inside = inside?;
    let within = (0..3).all(|axis| {
        part.low[axis].si() > inside.low[axis].si() - TOUCHING_M
            && part.high[axis].si() < inside.high[axis].si() + TOUCHING_M
    });
    let axis = direction.axis();
    within.then(|| {
        if direction.is_positive() {
            inside.high[axis].si() - part.high[axis].si()
        } else {
            part.low[axis].si() - inside.low[axis].si()
        }
    })
}

/// True when two boxes reach into each other.
pub(crate) fn meet(a: &Cuboid, b: &Cuboid) -> bool {
    (0..3).all(|axis| overlaps(a, b, axis))
}

fn overlaps(a: &Cuboid, b: &Cuboid, axis: usize) -> bool {
    let low_m = a.low[axis].si().max(b.low[axis].si());
    let high_m = a.high[axis].si().min(b.high[axis].si());
    high_m - low_m > TOUCHING_M
}

fn number(direction: Direction) -> usize {
    direction.axis() * 2 + usize::from(!direction.is_positive())
}
