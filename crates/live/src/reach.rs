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

/// What a walk found.
pub(crate) struct Found {
    best: Vec<Option<Best>>,
    start_doubt: Option<Doubt>,
}

#[derive(Clone, Copy)]
struct Best {
    /// Doubts, then steps.
    cost: (u32, u32),
    came: Option<(usize, Point)>,
}

/// Walks from `start`, which may itself be in doubt.
pub(crate) fn walk(
    network: &Network,
    ways: &Ways,
    start: Point,
    start_doubt: Option<Doubt>,
    may: impl Fn(&Ahead<'_>) -> bool,
) -> Found {
    let graph = &network.graph;
    let mut best: Vec<Option<Best>> = vec![None; graph.point_count()];
    let mut queue = BinaryHeap::new();
    let cost = (u32::from(start_doubt.is_some()), 0);
    best[graph.index(start)] = Some(Best { cost, came: None });
    queue.push(Reverse((cost, start)));
    while let Some(Reverse((cost, at))) = queue.pop() {
        let here = graph.index(at);
        if best[here].is_some_and(|known| known.cost < cost) {
            continue;
        }
        for (index, way) in ways.at(here) {
            let beyond = way.beyond(at);
            let next = graph.index(beyond);
            let doubts = cost.0 + u32::from(way.passage == Passage::Maybe);
            let ahead_cost = (doubts, cost.1 + 1);
            let better = best[next].is_none_or(|known| ahead_cost < known.cost);
            if better && may(&Ahead { way, at, next, doubts }) {
                best[next] = Some(Best { cost: ahead_cost, came: Some((index, at)) });
                queue.push(Reverse((ahead_cost, beyond)));
            }
        }
    }
    Found { best, start_doubt }
}

impl Found {
    /// Doubts and steps to a point, by its place; none if never reached.
    pub(crate) fn cost(&self, place: usize) -> Option<(u32, u32)> {
        self.best[place].map(|best| best.cost)
    }

    /// The way to a point.
    pub(crate) fn path(&self, network: &Network, ways: &Ways, to: Point) -> Vec<Step> {
        let mut path = Vec::new();
        let mut point = to;
        while let Some((index, before)) =
            self.best[network.graph.index(point)].and_then(|best| best.came)
        {
            let way = ways.get(index);
            path.push(Step { item: way.item, passage: way.passage, to: point });
            point = before;
        }
        path.reverse();
        path
    }

    /// The first doubt on the way to a point.
    pub(crate) fn doubt(&self, network: &Network, ways: &Ways, to: Point) -> Option<Doubt> {
        let mut first = None;
        let mut point = to;
        while let Some((index, before)) =
            self.best[network.graph.index(point)].and_then(|best| best.came)
        {
            first = ways.get(index).doubt.or(first);
            point = before;
        }
        self.start_doubt.or(first)
    }
}
