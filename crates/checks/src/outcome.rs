//! Where a check writes what it found.

use model::{Confidence, Evidence, Finding, Limit, Missing, Place, Signal, Verdict};

/// Outcomes of one check.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Places that fail.
    pub fails: usize,
    /// Places that hold.
    pub holds: usize,
    /// Places that cannot be told.
    pub cannot_tell: usize,
}

/// What a check found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outcome {
    /// Fails and cannot-tells.
    pub findings: Vec<Finding>,
    /// How many of each.
    pub tally: Tally,
}

/// A failure being described.
pub(crate) struct Failure {
    pub(crate) place: Place,
    pub(crate) related: Vec<Place>,
    pub(crate) signal: Signal,
    pub(crate) confidence: Confidence,
    pub(crate) message: String,
    pub(crate) evidence: Vec<String>,
    pub(crate) limit: Option<Limit>,
    pub(crate) remedy: String,
}

/// Collects what one check finds.
pub(crate) struct Out {
    check: &'static str,
    outcome: Outcome,
}

impl Out {
    pub(crate) fn new(check: &'static str) -> Out {
        Out { check, outcome: Outcome::default() }
    }

    pub(crate) fn holds(&mut self) {
        self.outcome.tally.holds += 1;
    }

    pub(crate) fn fails(&mut self, failure: Failure) {
        self.outcome.tally.fails += 1;
        self.outcome.findings.push(Finding {
            check: self.check,
            place: failure.place,
            related: failure.related,
            verdict: Verdict::Fails(failure.confidence),
            signal: failure.signal,
            message: failure.message,
            evidence: failure.evidence.into_iter().map(|words| Evidence { words }).collect(),
            limit: failure.limit,
            remedy: failure.remedy,
        });
    }

    /// Cannot tell: at least one missing fact is named.
    pub(crate) fn cannot_tell(
        &mut self,
        place: Place,
        signal: Signal,
        message: impl Into<String>,
        missing: Vec<Missing>,
    ) {
        debug_assert!(!missing.is_empty(), "a cannot-tell says what to find out");
        self.outcome.tally.cannot_tell += 1;
        self.outcome.findings.push(Finding {
            check: self.check,
            place,
            related: Vec::new(),
            verdict: Verdict::CannotTell(missing),
            signal,
            message: message.into(),
            evidence: Vec::new(),
            limit: None,
            remedy: String::new(),
        });
    }

    pub(crate) fn finish(self) -> Outcome {
        self.outcome
    }
}

/// A missing fact.
pub(crate) fn missing(what: impl Into<String>, at: Place) -> Missing {
    Missing { what: what.into(), at }
}

/// A limit of the catalog as a finding carries it.
pub(crate) fn limit(row: &catalog::LimitRow) -> Option<Limit> {
    Some(Limit { words: row.words.clone(), source: row.source.clone() })
}

/// A limit that is common practice.
pub(crate) fn practice(words: &str) -> Option<Limit> {
    limit_of(words, "practice")
}

/// A limit in words with the key of its source.
pub(crate) fn limit_of(words: &str, source: &str) -> Option<Limit> {
    Some(Limit { words: words.to_owned(), source: source.to_owned() })
}
