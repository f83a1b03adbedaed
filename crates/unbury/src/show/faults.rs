//! Faults of a record: `file:line:column`, the text underlined, and what to do.

use std::io::Write;

use analysis::RecordFault;
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use anyhow::Result;

use crate::page::Page;

/// All faults as text.
pub(crate) fn text(path: &str, record: &str, faults: &[RecordFault], colour: bool) -> String {
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    let renderer = renderer.term_width(80);
    let mut text = String::new();
    for fault in faults {
        text.push_str(&one(&renderer, path, record, fault));
        text.push_str("\n\n");
    }
    text
}

/// Prints them on standard error.
pub(crate) fn on_standard_error(
    page: &Page,
    path: &str,
    record: &str,
    faults: &[RecordFault],
) -> Result<()> {
    let text = text(path, record, faults, page.colour_on_error());
    std::io::stderr().lock().write_all(text.as_bytes())?;
    Ok(())
}

fn one(renderer: &Renderer, path: &str, record: &str, fault: &RecordFault) -> String {
    let level = match fault.severity.as_str() {
        "error" => Level::ERROR,
        "warning" => Level::WARNING,
        _ => Level::NOTE,
    };
    let mut snippet = Snippet::source(record).path(path);
    for (index, place) in fault.places.iter().enumerate() {
        let kind = if index == 0 { AnnotationKind::Primary } else { AnnotationKind::Context };
        let (start, end) = within(record, place.start_byte, place.end_byte);
        snippet = snippet.annotation(kind.span(start..end).label(place.label.as_str()));
    }
    let mut group = level.primary_title(fault.message.as_str()).element(snippet);
    for help in &fault.help {
        group = group.element(Level::HELP.message(help.as_str()));
    }
    renderer.render(&[group])
}

/// A range cut to the text and to whole characters.
fn within(text: &str, start: usize, end: usize) -> (usize, usize) {
    let floor = |at: usize| {
        let mut at = at.min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let start = floor(start);
    (start, floor(end).max(start))
}
