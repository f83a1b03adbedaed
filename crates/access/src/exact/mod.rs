//! The exact search over one piece of a question: best-first branch and bound over "use this
//! action" / "do not use it".
//!
//! Bounds come from landmarks, sets of actions of which every plan uses at least one: first cut
//! from labels, then priced by a linear programme that gets new landmarks as long as its relaxed
//! plan neglects some. Counts, not clocks, limit the search: the same question gives the same
//! answer on every machine. Deliberately does not know parts, minutes or money.

mod dual;
mod flow;
mod greedy;
mod labels;
mod net;
mod relaxed;
mod simplex;
mod tree;

pub(crate) use net::{Lists, Net};
pub(crate) use tree::{Allowance, search};

/// A price in whole units; see [`crate::search`].
pub(crate) type Price = i64;

/// Price of what cannot be done. A quarter of the largest number, so that a few sums stay in range.
pub(crate) const NEVER: Price = i64::MAX / 4;

/// What is decided about an action at a node of the search.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Choice {
    /// Nothing.
    Open,
    /// It is used, and paid for.
    In,
    /// It is not used.
    Out,
}
