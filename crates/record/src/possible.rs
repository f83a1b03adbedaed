//! A value that cannot be is reported and left out.

use diag::{Diagnostic, Span};
use model::Fact;
pub(crate) use model::Must;

use crate::reader::Reader;

impl Reader<'_> {
    /// The fact, or unknown and reported when its value is impossible.
    pub(crate) fn possible(
        &mut self,
        what: &str,
        fact: Fact<f64>,
        must: Must,
        span: Span,
    ) -> Fact<f64> {
        match fact.value() {
            Some(value) if !must.allows(*value) => {
                let message = format!("`{what}` {}", must.words());
                self.report(
                    Diagnostic::error("impossible-value", message, span)
                        .help("leave it out, or write `unknown`, when you do not know it"),
                );
                Fact::Unknown
            }
            _ => fact,
        }
    }
}
