//! Thousands of variants of one circuit: what would the voltages and currents be if this joint
//! were bad, that wire shorted, both at once?
//!
//! A variant is not solved anew. Each set of guard positions is solved and factored once
//! (`base`); a change is a few currents added at a few places (`plan`), found from columns of
//! the inverse that are computed once and kept, by the formula of Sherman, Morrison and Woodbury;
//! Newton's iteration then runs in the small space of the nonlinear ports, and there only on those
//! whose slope has moved (`reduced`). Each answer is checked: at every port law and network must
//! agree, pivots must be large enough to trust, loads that have cut out must be unable to run.
//! Where any of that cannot be told, the changed circuit is solved in full, and that is counted.
//!
//! Source of the update formula: J. Sherman and W. J. Morrison, Annals of Mathematical Statistics
//! 21 (1950) 124, and M. A. Woodbury, Princeton Statistical Research Group Memorandum 42 (1950)
//! (both from memory). Checked by: `tests/it/variants.rs`.

mod answer;
mod base;
mod dense;
mod known;
mod plan;
mod reduced;

use std::collections::HashMap;
use std::sync::Arc;

use circuit::{BadChange, Change, Circuit, Edits};

use crate::settle::{settle_by, settle_from};
use crate::{Options, Outcome, Trouble, operating_point, validate};

pub use answer::Answer;
use base::Base;
use plan::Plan;

/// Why a variant was solved in full.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Why {
    /// The unchanged circuit has no operating point in these guard positions, or a converter in it
    /// has collapsed that might run with another feed.
    NoBase,
    /// The change is of a kind that updates do not cover, such as an ideal source on other nodes.
    Unlike,
    /// The change holds a value that no real part has: the full solve says which.
    Refused,
    /// The updated equations are singular, or so near to it that accuracy would be lost.
    Singular,
    /// A column failed its check.
    Inexact,
    /// The iteration did not come to rest.
    NoConvergence,
    /// A load might run or not, a converter has lost its feed: which, only the full solve tells.
    Mode,
}

/// How an answer was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// By an update of the base.
    Update {
        /// Iterations in the space of the ports.
        iterations: u32,
    },
    /// By a full solve of the changed circuit.
    Full(Why),
}

/// How many points were found in which way.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// By an update.
    pub updates: usize,
    /// By a full solve, with the reason.
    pub full: Vec<(Why, usize)>,
}

impl Counts {
    /// How many points were solved in full, for whatever reason.
    pub fn full_solves(&self) -> usize {
        self.full.iter().map(|(_, count)| count).sum()
    }

    fn note(&mut self, how: How) {
        let How::Full(why) = how else {
            self.updates += 1;
            return;
        };
        match self.full.iter_mut().find(|(w, _)| *w == why) {
            Some((_, count)) => *count += 1,
            None => self.full.push((why, 1)),
        }
    }
}

/// Why a variant has no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum VariantTrouble {
    /// The change names what the circuit does not hold.
    #[error("{0}")]
    BadChange(BadChange),
    /// The changed circuit has no answer.
    #[error(transparent)]
    Trouble(Trouble),
}

/// A circuit, and what all its variants share.
///
/// ```text
/// let mut variants = Variants::new(circuit)?;
/// let answer = variants.solve(&[Change::Open(fuse)])?;      // guards as they start
/// let volt = answer.between(p, q);                          // None: nothing joins p and q
/// match variants.settle(&[Change::Open(fuse), other])? {    // guards flipped until they rest
///     Outcome::Settled(answer) => ...
/// ```
///
/// An answer is the same as [`operating_point`] or [`crate::settle`] of the changed circuit
/// gives: voltages, currents, floating islands, equipment that has cut out, and troubles.
pub struct Variants {
    circuit: Arc<Circuit>,
    bases: HashMap<Vec<bool>, Option<Arc<Base>>>,
    counts: Counts,
}

impl Variants {
    /// Takes a circuit. Solves nothing yet: each set of guard positions is solved when it is met.
    ///
    /// # Errors
    /// A value that no real part has.
    pub fn new(circuit: Circuit) -> Result<Variants, Trouble> {
        validate::check(&circuit)?;
        Ok(Variants {
            circuit: Arc::new(circuit),
            bases: HashMap::new(),
            counts: Counts::default(),
        })
    }

    /// The circuit without change.
    pub fn circuit(&self) -> &Circuit {
        &self.circuit
    }

    /// How answers were found so far.
    pub fn counts(&self) -> &Counts {
        &self.counts
    }

    /// Solves a variant with the guards where they start.
    ///
    /// # Errors
    /// The change does not fit the circuit, or the changed circuit has no answer.
    pub fn solve(&mut self, changes: &[Change]) -> Result<Answer, VariantTrouble> {
        let positions: Vec<bool> = self.circuit.guards().iter().map(|g| g.starts_on).collect();
        self.solve_at(changes, &positions)
    }

    /// Solves a variant with the guards held in given positions.
    ///
    /// # Errors
    /// The change does not fit the circuit, or the changed circuit has no answer.
    pub fn solve_at(
        &mut self,
        changes: &[Change],
        positions: &[bool],
    ) -> Result<Answer, VariantTrouble> {
        let edits = Edits::of(&self.circuit, changes).map_err(VariantTrouble::BadChange)?;
        self.point(&edits, changes, positions).map_err(VariantTrouble::Trouble)
    }

    /// Solves a variant and flips guards until they rest, as [`crate::settle`] does.
    ///
    /// # Errors
    /// The change does not fit the circuit.
    pub fn settle(&mut self, changes: &[Change]) -> Result<Outcome<Answer>, BadChange> {
        let edits = Edits::of(&self.circuit, changes)?;
        let circuit = Arc::clone(&self.circuit);
        Ok(settle_by(&circuit, |positions| self.point(&edits, changes, positions)))
    }

    /// As [`Variants::settle`], but the guards stand at first as given, as they stood in another answer of
    /// this circuit: what changes while a vehicle is worked on, step by step. Positions of another
    /// circuit count as none.
    ///
    /// # Errors
    /// The change does not fit the circuit.
    pub fn settle_on(
        &mut self,
        changes: &[Change],
        stood: &[bool],
    ) -> Result<Outcome<Answer>, BadChange> {
        let edits = Edits::of(&self.circuit, changes)?;
        let circuit = Arc::clone(&self.circuit);
        if stood.len() != circuit.guards().len() {
            return self.settle(changes);
        }
        let point = |positions: &[bool]| self.point(&edits, changes, positions);
        Ok(settle_from(&circuit, stood.to_vec(), point))
    }

    /// As [`Variants::settle`], as long as updates suffice; `None` where any point on the way would
    /// have to be solved in full, which takes a hundred times as long.
    ///
    /// # Errors
    /// The change does not fit the circuit.
    pub fn settle_by_updates(
        &mut self,
        changes: &[Change],
    ) -> Result<Option<Outcome<Answer>>, BadChange> {
        let edits = Edits::of(&self.circuit, changes)?;
        let circuit = Arc::clone(&self.circuit);
        let mut is_enough = true;
        let outcome = settle_by(&circuit, |positions| {
            let base = self.base(positions).ok_or(Why::NoBase);
            let updated = base.and_then(|base| self.update(&base, &edits));
            if let Ok(answer) = &updated {
                self.counts.note(answer.how());
            }
            is_enough &= updated.is_ok();
            // The trouble only ends the settling; it is not told.
            updated.map_err(|_| Trouble::NoOperatingPoint { iterations: 0 })
        });
        Ok(is_enough.then_some(outcome))
    }

    fn point(
        &mut self,
        edits: &Edits,
        changes: &[Change],
        positions: &[bool],
    ) -> Result<Answer, Trouble> {
        let (expected, given) = (self.circuit.guards().len(), positions.len());
        if expected != given {
            return Err(Trouble::WrongPositions { expected, given });
        }
        let base = self.base(positions);
        let updated = match &base {
            Some(base) => match self.update(base, edits) {
                Err(Why::NoConvergence) => self.known(base, edits).ok_or(Why::NoConvergence),
                updated => updated,
            },
            None => Err(Why::NoBase),
        };
        let answer = match updated {
            Ok(answer) => answer,
            Err(why) => {
                self.counts.note(How::Full(why));
                let changed = self
                    .circuit
                    .changed(changes)
                    .expect("the edits of these changes were summed up already");
                let options = Options { guards: Some(positions.to_vec()) };
                let point = operating_point(&changed, &options)?;
                if let Some(base) = base.filter(|_| why == Why::NoConvergence)
                    && let Ok(plan) = Plan::of(&self.circuit, &base, edits)
                {
                    base.known.keep(&self.circuit, &base, &plan, &point);
                }
                return Ok(Answer::full(point, why));
            }
        };
        self.counts.note(answer.how());
        Ok(answer)
    }

    /// The answer, if a variant that was solved in full is the same to all equipment.
    fn known(&self, base: &Arc<Base>, edits: &Edits) -> Option<Answer> {
        let plan = Plan::of(&self.circuit, base, edits).ok()?;
        let (plan, found) = base.known.answer(&self.circuit, base, plan)?;
        Answer::update(&self.circuit, base, plan, found, None).ok()
    }

    fn base(&mut self, positions: &[bool]) -> Option<Arc<Base>> {
        if let Some(base) = self.bases.get(positions) {
            return base.clone();
        }
        let base = Base::new(&self.circuit, positions).map(Arc::new);
        self.bases.insert(positions.to_vec(), base.clone());
        base
    }

    fn update(&self, base: &Arc<Base>, edits: &Edits) -> Result<Answer, Why> {
        let mut plan = Plan::of(&self.circuit, base, edits)?;
        if !plan.joins_islands(base) {
            match reduced::solve(base, &plan) {
                Err(Why::Singular) => {}
                solved => return Answer::update(&self.circuit, base, plan, solved?, None),
            }
        }
        // Singular, or joined: islands may have changed. A current source between two of them
        // would need another look at its way back.
        let roots = plan.roots(&self.circuit, base);
        let pushes = base.system.injections.iter().any(|j| j.ampere.abs() > 0.0);
        if pushes || roots == base.system.root {
            return match roots == base.system.root {
                true => Err(Why::Singular),
                false => Err(Why::Unlike),
            };
        }
        plan.tie(base, &roots);
        let found = reduced::solve(base, &plan)?;
        Answer::update(&self.circuit, base, plan, found, Some(roots))
    }
}
