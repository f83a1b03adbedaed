//! What of a problem may be used: sound, permitted, in place, and not ruled out by the question
//! "what if not this?".
//!
//! Deliberately knows neither targets nor how the answer is found.

use crate::problem::{
    Costing, Damage, PartIdx, Permitted, Presence, Problem, RemovalIdx, SetupIdx, Standing,
};

/// Something a plan is asked to do without.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Avoid {
    /// The part stays in place.
    Part(PartIdx),
    /// This removal is not used; another of the same part may be.
    Removal(RemovalIdx),
    /// The setup is not used, unless it is in place already.
    Setup(SetupIdx),
}

/// A problem with what may be used of it.
pub(crate) struct Scope<'p> {
    pub(crate) problem: &'p Problem,
    pub(crate) costing: Costing,
    /// By removal: whether it is free of faults.
    pub(crate) sound: Vec<bool>,
    /// By removal: whether it may be used.
    pub(crate) usable: Vec<bool>,
    /// By setup: whether it is in place, can be had, or cannot.
    pub(crate) standing: Vec<Standing>,
}

impl<'p> Scope<'p> {
    /// Everything sound, permitted and in place. `sound` is by removal.
    pub(crate) fn new(problem: &'p Problem, costing: &Costing, sound: Vec<bool>) -> Self {
        let permitted = |damage| match costing.allow {
            Permitted::Anything => true,
            Permitted::NothingDestroyed => damage != Damage::Destroys,
        };
        let usable = problem.removals.iter().zip(&sound).map(|(removal, sound)| {
            *sound
                && permitted(removal.damage)
                && problem.parts[removal.part.0].presence == Presence::Fitted
        });
        Self {
            usable: usable.collect(),
            standing: problem.setups.iter().map(|setup| setup.standing).collect(),
            problem,
            costing: *costing,
            sound,
        }
    }

    /// The same without something. What does not exist is not used anyway.
    pub(crate) fn avoiding(mut self, avoid: Avoid) -> Self {
        match avoid {
            Avoid::Part(part) => {
                for (usable, removal) in self.usable.iter_mut().zip(&self.problem.removals) {
                    *usable &= removal.part != part;
                }
            }
            Avoid::Removal(removal) => {
                if let Some(usable) = self.usable.get_mut(removal.0) {
                    *usable = false;
                }
            }
            Avoid::Setup(setup) => {
                if let Some(standing) = self.standing.get_mut(setup.0)
                    && *standing == Standing::ToDo
                {
                    *standing = Standing::Missing;
                }
            }
        }
        self
    }
}
