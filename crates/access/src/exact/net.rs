//! One piece of a question, packed for speed: who needs what, who gives what, at what price.
//!
//! Deliberately does not know where actions come from.

use crate::exact::{NEVER, Price};

/// No action, no fact.
pub(crate) const NONE: usize = usize::MAX;

/// Lists of numbers, one after another in one piece of memory.
pub(crate) struct Lists {
    starts: Vec<usize>,
    items: Vec<usize>,
}

impl Lists {
    pub(crate) fn new<'l>(lists: impl Iterator<Item = &'l [usize]>) -> Self {
        let mut packed = Self { starts: vec![0], items: Vec::new() };
        for list in lists {
            packed.items.extend_from_slice(list);
            packed.starts.push(packed.items.len());
        }
        packed
    }

    pub(crate) fn of(&self, index: usize) -> &[usize] {
        &self.items[self.starts[index]..self.starts[index + 1]]
    }
}

/// Facts and actions.
pub(crate) struct Net {
    pub(crate) facts: usize,
    pub(crate) goal: usize,
    pub(crate) start: usize,
    /// By action: the facts it needs, never none.
    pub(crate) needs: Lists,
    /// By action: the fact it gives.
    pub(crate) gives: Vec<usize>,
    /// By action: its price; 0 for bookkeeping.
    pub(crate) price: Vec<Price>,
    /// By fact: the actions that give it.
    pub(crate) achievers: Lists,
    /// By fact: the actions that need it.
    pub(crate) users: Lists,
}

impl Net {
    pub(crate) fn actions(&self) -> usize {
        self.gives.len()
    }

    /// Which facts come true using only the actions for which `usable` holds, starting with those
    /// already in `reached`.
    pub(crate) fn reach(&self, reached: &mut [bool], usable: impl Fn(usize) -> bool) {
        let mut open: Vec<usize> = (0..self.actions()).map(|a| self.needs.of(a).len()).collect();
        let mut queue: Vec<usize> = (0..self.facts).filter(|fact| reached[*fact]).collect();
        while let Some(fact) = queue.pop() {
            for &user in self.users.of(fact) {
                open[user] -= 1;
                let gives = self.gives[user];
                if open[user] == 0 && !reached[gives] && usable(user) {
                    reached[gives] = true;
                    queue.push(gives);
                }
            }
        }
    }

    /// Whether the goal comes true using only such actions.
    pub(crate) fn works(&self, usable: impl Fn(usize) -> bool) -> bool {
        let mut reached = vec![false; self.facts];
        reached[self.start] = true;
        self.reach(&mut reached, usable);
        reached[self.goal]
    }

    /// The actions of which every plan uses at least one: those that can be the first to make
    /// something in `zone` true. The goal is in the zone, the start is not.
    pub(crate) fn landmark(&self, zone: &[bool]) -> Vec<usize> {
        let mut reached = vec![false; self.facts];
        reached[self.start] = true;
        self.reach(&mut reached, |action| !zone[self.gives[action]]);
        let enters = |action: &usize| {
            zone[self.gives[*action]] && self.needs.of(*action).iter().all(|need| reached[*need])
        };
        (0..self.actions()).filter(enters).collect()
    }
}

/// Adds two prices; what cannot be had stays so.
pub(crate) fn plus(a: Price, b: Price) -> Price {
    if a >= NEVER || b >= NEVER { NEVER } else { a + b }
}
