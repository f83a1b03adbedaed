//! Walks from one point over the ways that may be taken: fewest doubts first, then fewest steps.
//! Knows no rule of the live map; it is told what may be passed.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use network::{Network, Passage, Point};

use crate::ways::{Way, Ways};
use crate::{Doubt, Step};

/// A step a walk asks about.
pub(crate) struct Ahead<'w> {
    /// The way.
    pub(crate) way: &'w Way,
    /// The point the walk stands on.
    pub(crate) at: Point,
    /// Place of the point beyond, in tables.
    pub(crate) next: usize,
    /// Doubts after the step.
    pub(crate) doubts: u32,
}

impl Ahead<'_> {
    /// True for the wrong way through a diode, and for what is open.
    pub(crate) fn is_barred(&self) -> bool {
        match self.way.passage {
            Passage::Open => true,
            Passage::OneWay => self.at != self.way.a,
            _ => false,
        }
    }

    /// True when the step leads to none of the points never entered, nor by doubt to one that
    /// is held.
    pub(crate) fn is_outside(&self, never: &[bool], held: &[bool]) -> bool {
        let held = self.doubts > 0 && held[self.next];
        !never[self.next] && !held
    }
}

/// What a walk found: the best way to each point, as a tree.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Found {
    best: Vec<Option<Best>>,
}

/// The best way to a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Best {
    /// Doubts, then steps.
    pub(crate) cost: (u32, u32),
    /// The first doubt on the way.
    pub(crate) doubt: Option<Doubt>,
    /// Where the way starts.
    pub(crate) root: Point,
    came: Option<Came>,
}

/// The last step of a way, and the place it was taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Came {
    step: Step,
    from: usize,
}

/// Walks from starts, which may themselves be in doubt.
pub(crate) fn walk(
    network: &Network,
    ways: &Ways,
    starts: &[Point],
    doubt: Option<Doubt>,
    may: impl Fn(&Ahead<'_>) -> bool,
) -> Found {
    let graph = &network.graph;
    let mut best: Vec<Option<Best>> = vec![None; graph.point_count()];
    let mut queue = BinaryHeap::new();
    let cost = (u32::from(doubt.is_some()), 0);
    for start in starts {
        best[graph.index(*start)] = Some(Best { cost, doubt, root: *start, came: None });
        queue.push(Reverse((cost, *start)));
    }
    while let Some(Reverse((cost, at))) = queue.pop() {
        let from = graph.index(at);
        let Some(here) = best[from].filter(|known| known.cost == cost) else { continue };
        for way in ways.at(from) {
            let to = way.beyond(at);
            let next = graph.index(to);
            let doubts = cost.0 + u32::from(way.passage == Passage::Maybe);
            let ahead_cost = (doubts, cost.1 + 1);
            let better = best[next].is_none_or(|known| ahead_cost < known.cost);
            if better && may(&Ahead { way, at, next, doubts }) {
                let step = Step { item: way.item, passage: way.passage, to };
                best[next] = Some(Best {
                    cost: ahead_cost,
                    doubt: here.doubt.or(way.doubt),
                    root: here.root,
                    came: Some(Came { step, from }),
                });
                queue.push(Reverse((ahead_cost, to)));
            }
        }
    }
    Found { best }
}

impl Found {
    /// The best way to a point, by its place; none if never reached.
    pub(crate) fn best(&self, place: usize) -> Option<&Best> {
        self.best[place].as_ref()
    }

    /// The steps to a point, last first.
    pub(crate) fn steps_back(&self, place: usize) -> impl Iterator<Item = Step> + '_ {
        let mut place = place;
        std::iter::from_fn(move || {
            let came = self.best[place]?.came?;
            place = came.from;
            Some(came.step)
        })
    }
}
