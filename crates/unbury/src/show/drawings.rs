//! The drawings that were written.

use std::path::Path;

use anyhow::Result;

use crate::drawings::Written;
use crate::page::Page;

/// File and title of each; says what is missing where there is nothing to draw.
pub(crate) fn list(page: &mut Page, folder: &Path, written: &[Written]) -> Result<()> {
    if written.is_empty() {
        return page.paragraph(
            "Nothing to draw: the record places nothing in the vehicle (`box = ...`).",
            0,
        );
    }
    page.heading(&format!("Written to {}", folder.display()))?;
    let longest = written.iter().map(|drawing| drawing.name.len()).max().unwrap_or_default();
    for drawing in written {
        let file = format!("{}.svg", drawing.name);
        page.labelled(&format!("{file:<width$}", width = longest + 6), &drawing.title, 2)?;
    }
    Ok(())
}

/// How many sentences stand in English for want of words in the language; nothing where none does.
pub(crate) fn left(page: &mut Page, left: &[String]) -> Result<()> {
    if left.is_empty() {
        return Ok(());
    }
    page.paragraph(&format!("Left in English, for want of words: {}.", left.join("; ")), 0)
}
