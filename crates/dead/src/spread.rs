//! How energy spreads over a net: from every pole that feeds, through all that may conduct, with what
//! was done taken away. Also the way with the fewest things that could stop it.
//!
//! A place is a point, entered under the rules of a pole, with or without doubt on the way. Poles with
//! the same rules are walked together. Knows no cost.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use crate::net::Net;

/// Rules of a pole, shared by all poles that have the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Rules<'n> {
    both_ways: bool,
    never: &'n [bool],
    held: &'n [bool],
}

/// A net made ready for walking.
pub(crate) struct Spread<'n> {
    net: &'n Net,
    rules: Vec<Rules<'n>>,
    /// By pole: its rules.
    rules_of: Vec<usize>,
    /// By point: other point, conductor, whether the conductor is entered at its first end.
    at: Vec<Vec<(usize, usize, bool)>>,
    /// By point: poles that are fed there.
    feeds: Vec<Vec<usize>>,
    /// Actions that open a conductor, or stop a pole.
    cut_by: Vec<Vec<usize>>,
    stopped_by: Vec<Vec<usize>>,
}

/// A place: rules, point, doubt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Place {
    rules: usize,
    point: usize,
    doubt: bool,
}

/// How a place was come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Came {
    /// A pole starts here by itself.
    Start(usize),
    /// A pole starts here because another place is energised.
    Fed(usize, usize),
    /// Over a conductor, from another place.
    Over(usize, usize),
}

/// What was done, and which poles are out of the question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Done {
    /// By action.
    pub(crate) actions: Vec<bool>,
    /// By pole: left out of the question.
    pub(crate) gone: Vec<bool>,
}

/// A way of energy to a point: where it comes from, and what would stop it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Path {
    /// The pole it comes from in the end.
    pub(crate) start: usize,
    /// The wanted point it leads to.
    pub(crate) to: usize,
    /// Actions any one of which would stop it.
    pub(crate) stopped_by: Vec<usize>,
}

impl<'n> Spread<'n> {
    pub(crate) fn new(net: &'n Net) -> Spread<'n> {
        let mut rules: Vec<Rules<'n>> = Vec::new();
        let mut known: BTreeMap<Rules<'n>, usize> = BTreeMap::new();
        let mut rules_of = Vec::new();
        for start in &net.starts {
            let own = Rules { both_ways: start.both_ways, never: &start.never, held: &start.held };
            let index = *known.entry(own).or_insert_with(|| {
                rules.push(own);
                rules.len() - 1
            });
            rules_of.push(index);
        }
        let mut at = vec![Vec::new(); net.points];
        for (index, way) in net.ways.iter().enumerate() {
            at[way.a].push((way.b, index, true));
            at[way.b].push((way.a, index, false));
        }
        let mut feeds = vec![Vec::new(); net.points];
        for (index, start) in net.starts.iter().enumerate() {
            start.fed_by.iter().for_each(|point| feeds[*point].push(index));
        }
        let mut cut_by = vec![Vec::new(); net.ways.len()];
        let mut stopped_by = vec![Vec::new(); net.starts.len()];
        for (index, action) in net.actions.iter().enumerate() {
            action.cuts.iter().for_each(|way| cut_by[*way].push(index));
            action.stops.iter().for_each(|start| stopped_by[*start].push(index));
        }
        Spread { net, rules, rules_of, at, feeds, cut_by, stopped_by }
    }

    /// Which points are energised after what was done.
    pub(crate) fn energised(&self, done: &Done) -> Vec<bool> {
        let mut walk = Walk::new(self, done, |_| false);
        walk.go(None);
        let mut points = vec![false; self.net.points];
        for (index, _) in walk.came.iter().enumerate().filter(|(_, came)| came.is_some()) {
            points[self.of(index).point] = true;
        }
        points
    }

    /// The way to any of these points that the fewest actions could stop, after what was done; only
    /// actions that `may` be used are counted. None when nothing comes there.
    pub(crate) fn path(
        &self,
        done: &Done,
        to: &[usize],
        may: impl Fn(usize) -> bool,
    ) -> Option<Path> {
        let mut wanted = vec![false; self.net.points];
        to.iter().for_each(|point| wanted[*point] = true);
        let mut walk = Walk::new(self, done, may);
        let end = walk.go(Some(&wanted))?;
        Some(walk.told(end))
    }

    fn place(&self, place: Place) -> usize {
        (place.rules * self.net.points + place.point) * 2 + usize::from(place.doubt)
    }

    fn of(&self, index: usize) -> Place {
        let (place, doubt) = (index / 2, index % 2 == 1);
        Place { rules: place / self.net.points, point: place % self.net.points, doubt }
    }

    fn may_enter(&self, place: Place) -> bool {
        let Rules { never, held, .. } = self.rules[place.rules];
        let set = |table: &[bool]| table.get(place.point).copied().unwrap_or(false);
        !(set(never) || place.doubt && set(held))
    }
}

/// Lightest ways first, by the number of actions that could stop them.
struct Walk<'s, 'n, F> {
    spread: &'s Spread<'n>,
    done: &'s Done,
    may: F,
    best: Vec<u32>,
    came: Vec<Option<Came>>,
    queue: BinaryHeap<Reverse<(u32, usize)>>,
}

impl<'s, 'n, F: Fn(usize) -> bool> Walk<'s, 'n, F> {
    fn new(spread: &'s Spread<'n>, done: &'s Done, may: F) -> Walk<'s, 'n, F> {
        let places = spread.rules.len() * spread.net.points * 2;
        let (best, came) = (vec![u32::MAX; places], vec![None; places]);
        Walk { spread, done, may, best, came, queue: BinaryHeap::new() }
    }

    /// Walks to all places, or to the first wanted point.
    fn go(&mut self, wanted: Option<&[bool]>) -> Option<usize> {
        let starts = &self.spread.net.starts;
        for index in (0..starts.len()).filter(|index| starts[*index].fed_by.is_empty()) {
            self.start(index, 0, false, Came::Start(index));
        }
        while let Some(Reverse((cost, from))) = self.queue.pop() {
            let here = self.spread.of(from);
            if cost > self.best[from] {
                continue;
            }
            if wanted.is_some_and(|wanted| wanted[here.point]) {
                return Some(from);
            }
            self.over(here, from, cost);
            for index in &self.spread.feeds[here.point] {
                self.start(*index, cost, here.doubt, Came::Fed(*index, from));
            }
        }
        None
    }

    /// A pole starts.
    fn start(&mut self, index: usize, cost: u32, doubt: bool, came: Came) {
        let by = &self.spread.stopped_by[index];
        if self.done.gone[index] || self.is_done(by) {
            return;
        }
        let start = &self.spread.net.starts[index];
        let (cost, doubt) = (cost + self.weight(by), doubt || start.doubtful);
        for point in &start.points {
            self.offer(
                Place { rules: self.spread.rules_of[index], point: *point, doubt },
                cost,
                came,
            );
        }
    }

    /// On over the conductors at a place.
    fn over(&mut self, here: Place, from: usize, cost: u32) {
        let both_ways = self.spread.rules[here.rules].both_ways;
        for (point, way, forward) in &self.spread.at[here.point] {
            let (row, by) = (self.spread.net.ways[*way], &self.spread.cut_by[*way]);
            let barred = row.one_way && !forward && !both_ways;
            let to = Place { point: *point, doubt: here.doubt || row.doubtful, ..here };
            if !barred && !self.is_done(by) && self.spread.may_enter(to) {
                self.offer(to, cost + self.weight(by), Came::Over(*way, from));
            }
        }
    }

    fn offer(&mut self, place: Place, cost: u32, came: Came) {
        let index = self.spread.place(place);
        if cost < self.best[index] {
            self.best[index] = cost;
            self.came[index] = Some(came);
            self.queue.push(Reverse((cost, index)));
        }
    }

    fn is_done(&self, by: &[usize]) -> bool {
        by.iter().any(|action| self.done.actions[*action])
    }

    fn weight(&self, by: &[usize]) -> u32 {
        by.iter().filter(|action| (self.may)(**action)).count() as u32
    }

    fn told(&self, end: usize) -> Path {
        let mut stopped_by: Vec<usize> = Vec::new();
        let mut place = end;
        let mut start = 0;
        while let Some(came) = self.came[place] {
            let by = match came {
                Came::Over(way, _) => &self.spread.cut_by[way],
                Came::Fed(pole, _) | Came::Start(pole) => &self.spread.stopped_by[pole],
            };
            stopped_by.extend(by.iter().filter(|action| (self.may)(**action)));
            match came {
                Came::Over(_, from) | Came::Fed(_, from) => place = from,
                Came::Start(pole) => {
                    start = pole;
                    break;
                }
            }
        }
        stopped_by.sort_unstable();
        stopped_by.dedup();
        Path { start, to: self.spread.of(end).point, stopped_by }
    }
}
