//! Pages of checks, and lists.

use analysis::KindRow;
use anyhow::Result;

use crate::page::{Page, Weight};

/// All checks.
pub(crate) fn list(page: &mut Page, checks: &[(&str, &str)]) -> Result<()> {
    for (slug, title) in checks {
        page.line(&page.wrapped(title, &format!("{slug:<36}"), &" ".repeat(36)))?;
    }
    Ok(())
}

/// A page of Markdown, wrapped; headings strong, code as it is.
pub(crate) fn page(page: &mut Page, markdown: &str) -> Result<()> {
    let mut in_code = false;
    let mut paragraph = String::new();
    for line in markdown.lines() {
        if line.starts_with("```") {
            flush(page, &mut paragraph)?;
            in_code = !in_code;
        } else if in_code {
            page.line(&format!("    {line}"))?;
        } else if let Some(heading) = line.strip_prefix('#') {
            flush(page, &mut paragraph)?;
            let strong = page.weigh(heading.trim_start_matches('#').trim(), Weight::Strong);
            page.line(&strong)?;
        } else if line.trim().is_empty() {
            flush(page, &mut paragraph)?;
            page.blank()?;
        } else if let Some(item) = line.strip_prefix("- ") {
            flush(page, &mut paragraph)?;
            page.line(&page.wrapped(item, "- ", "  "))?;
        } else {
            paragraph.push_str(line.trim());
            paragraph.push(' ');
        }
    }
    flush(page, &mut paragraph)
}

fn flush(page: &mut Page, paragraph: &mut String) -> Result<()> {
    if !paragraph.is_empty() {
        page.paragraph(paragraph.trim_end(), 0)?;
        paragraph.clear();
    }
    Ok(())
}

/// Kinds of devices.
pub(crate) fn kinds(page: &mut Page, rows: &[KindRow]) -> Result<()> {
    for row in rows {
        let strong = page.weigh(&row.name, Weight::Strong);
        page.line(&strong)?;
        let terminals = match row.terminals.as_slice() {
            [only] if only.is_empty() => "one; write the device's name alone".to_owned(),
            names => names.join("  "),
        };
        page.labelled("terminals", &terminals, 2)?;
        page.labelled("may say", &row.numbers.join("  "), 2)?;
        page.labelled("usual", &row.usual.join("; "), 2)?;
    }
    Ok(())
}
