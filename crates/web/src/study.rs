//! A record looked at once: everything the pages ask of the engines, computed when first asked for
//! and kept.

use std::sync::OnceLock;

use analysis::{Case, HandoverView, Review};

/// A record, looked at.
#[derive(Debug)]
pub struct Study {
    case: Case,
    review: OnceLock<Review>,
    handover: OnceLock<HandoverView>,
}

impl Study {
    /// Reads a record and solves its states.
    pub fn of(text: &str) -> Study {
        Study { case: Case::of(text), review: OnceLock::new(), handover: OnceLock::new() }
    }

    /// The case.
    pub fn case(&self) -> &Case {
        &self.case
    }

    /// Everything a look at the record says.
    pub fn review(&self) -> &Review {
        self.review.get_or_init(|| self.case.review())
    }

    /// What a hand-over says beyond it.
    pub fn handover(&self) -> &HandoverView {
        self.handover.get_or_init(|| self.case.handover())
    }
}
