//! The faults found so far, up to a limit. Once it is full nothing more is worked out about further
//! faults, so that a hostile record costs no more time than a long one.

use diag::{Diagnostic, Severity, Span};

use crate::limits::MAX_DIAGNOSTICS;
use crate::names;

/// Faults in the order they were found.
#[derive(Default)]
pub(crate) struct Faults {
    list: Vec<Diagnostic>,
}

impl Faults {
    /// Keeps a fault; the one past the limit says that there are more.
    pub(crate) fn report(&mut self, fault: Diagnostic) {
        if self.list.len() < MAX_DIAGNOSTICS {
            self.list.push(fault);
        } else if self.list.len() == MAX_DIAGNOSTICS {
            let span = fault.place();
            self.list.push(
                Diagnostic::error("too-many-faults", "there are more faults than are shown", span)
                    .help("mend the first ones and look again"),
            );
        }
    }

    /// Keeps a fault about a word that is not known, with what may have been meant; `otherwise` is
    /// the help when nothing known comes near.
    pub(crate) fn suggest<'a>(
        &mut self,
        fault: Diagnostic,
        wanted: &str,
        known: impl IntoIterator<Item = &'a str>,
        otherwise: &str,
    ) {
        if self.list.len() <= MAX_DIAGNOSTICS {
            self.report(names::suggest(fault, wanted, known, otherwise));
        }
    }

    /// Makes what is amiss within a place no fault, but a note that says why it is none.
    pub(crate) fn excuse(&mut self, span: Span, why: &str) {
        let within = |fault: &&mut Diagnostic| {
            let at = fault.place();
            fault.slug != "syntax" && span.start <= at.start && at.end <= span.end
        };
        for fault in self.list.iter_mut().filter(within) {
            fault.severity = Severity::Note;
            fault.message = format!("{why}: {}", fault.message);
        }
    }

    /// True when the text is broken inside a place, so that what is missing there was perhaps
    /// written.
    pub(crate) fn is_broken(&self, span: Span) -> bool {
        self.list.iter().any(|fault| {
            let start = fault.place().start;
            fault.slug == "syntax" && span.start <= start && start <= span.end + 1
        })
    }

    /// All of them in the order of the text, the worst first where two begin together.
    pub(crate) fn sorted(mut self) -> Vec<Diagnostic> {
        self.list.sort_by_key(|fault| (fault.place(), std::cmp::Reverse(fault.severity)));
        self.list
    }
}
