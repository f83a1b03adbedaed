//! Fault levels, and what opens before a wire is ruined.

use analysis::{FaultLevelView, LevelRow, ProtectionRow};
use anyhow::Result;
use unicode_width::UnicodeWidthStr;

use crate::page::{Page, Weight};

/// Rows of a long list without `--all`.
const FEW: usize = 16;

/// The whole of it.
pub(crate) fn whole(page: &mut Page, view: &FaultLevelView, all: bool) -> Result<()> {
    levels(page, view, all)?;
    page.heading("What opens, for each wire and each end with a source behind it")?;
    if view.protection.is_empty() {
        page.paragraph("No wire with a source behind it is recorded.", 2)?;
    }
    let (short, judged): (Vec<_>, Vec<_>) =
        view.protection.iter().partition(|row| row.short_run_m.is_some());
    failing(page, &judged)?;
    ahead(page, &short)?;
    cannot_tell(page, &judged, all)?;
    protected(page, &judged, all)?;
    rest(page, view)
}

fn levels(page: &mut Page, view: &FaultLevelView, all: bool) -> Result<()> {
    page.heading(
        "Fault level: what flows when a point is joined to its return by a short circuit",
    )?;
    for words in &view.stands {
        page.paragraph(words, 2)?;
    }
    page.blank()?;
    let shown = if all { view.levels.len() } else { FEW };
    let rows: Vec<Vec<String>> = view
        .levels
        .iter()
        .take(shown)
        .map(|row| vec![row.place.clone(), row.level.clone(), from(row)])
        .collect();
    page.table(&["place", "least to most", "from, each at most"], &rows, 2)?;
    more(page, view.levels.len(), shown)?;
    for trouble in &view.troubles {
        page.paragraph(trouble, 2)?;
    }
    Ok(())
}

/// Sources that bring a twentieth or more by name, the others together.
fn from(row: &LevelRow) -> String {
    let (large, small): (Vec<_>, Vec<_>) =
        row.from.iter().partition(|part| part.most_a >= 0.05 * row.most_a);
    let mut pieces: Vec<String> =
        large.iter().map(|part| format!("{} {}", part.source, part.most)).collect();
    match small[..] {
        [] => {}
        [one] => pieces.push(format!("{} {}", one.source, one.most)),
        _ => {
            let together_a: f64 = small.iter().map(|part| part.most_a).sum();
            pieces.push(format!("others {together_a:.0} A"));
        }
    }
    pieces.join(", ")
}

fn more(page: &mut Page, count: usize, shown: usize) -> Result<()> {
    if count > shown {
        page.paragraph(&format!("{} more; --all shows them", count - shown), 2)?;
    }
    Ok(())
}

/// Rows where something is wrong, in full.
fn failing(page: &mut Page, rows: &[&ProtectionRow]) -> Result<()> {
    for row in rows.iter().filter(|row| row.fails()) {
        let word = row.verdict.as_str();
        let head = format!("{word}  {} at {}", row.wire, row.end);
        let weight = if word == "OVERHEATS" { Weight::Warning } else { Weight::Danger };
        let shown = head.replacen(word, &page.weigh(word, weight), 1);
        page.line(&format!("  {shown}"))?;
        page.paragraph(&format!("{}.", row.why), 6)?;
        page.paragraph(&currents(row), 6)?;
        if !row.selectivity.is_empty() {
            page.paragraph(&format!("{}.", row.selectivity), 6)?;
        }
    }
    Ok(())
}

fn currents(row: &ProtectionRow) -> String {
    let (far, near) = (&row.far, &row.near);
    let from = row.sources.join(", ");
    let breaking =
        if row.breaking.is_empty() { String::new() } else { format!("; {}", row.breaking) };
    format!("From {from}: {far} shorted at the far end, up to {near} shorted here{breaking}.")
}

/// The first stretch from a source, which nothing protects and the rules allow.
fn ahead(page: &mut Page, rows: &[&ProtectionRow]) -> Result<()> {
    if rows.is_empty() {
        return Ok(());
    }
    page.blank()?;
    page.paragraph(
        "Ahead of the first device nothing opens; the rules allow so short a run. Keep these from \
         chafing:",
        2,
    )?;
    let rows: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            let time = if row.stands.is_empty() { "some time" } else { &row.stands };
            let ruined = format!("ruined after {time}");
            vec![row.wire.clone(), row.end.clone(), row.short_run.clone(), ruined]
        })
        .collect();
    page.table(&["wire", "end", "from source", "if shorted"], &rows, 4)
}

/// What to find out, what decides most wires first, and which wires wait for it.
fn cannot_tell(page: &mut Page, rows: &[&ProtectionRow], all: bool) -> Result<()> {
    let mut facts: Vec<(String, Vec<&ProtectionRow>)> = Vec::new();
    for row in rows.iter().filter(|row| row.verdict == "CANNOT TELL") {
        for what in &row.find_out {
            match facts.iter_mut().find(|(known, _)| known == what) {
                Some((_, waiting)) => waiting.push(row),
                None => facts.push((what.clone(), vec![row])),
            }
        }
    }
    if facts.is_empty() {
        return Ok(());
    }
    facts.sort_by_key(|(_, waiting)| std::cmp::Reverse(waiting.len()));
    page.blank()?;
    let word = page.weigh("CANNOT TELL", Weight::Strong);
    page.line(&format!("  {word}  until this is found out:"))?;
    let shown = if all { facts.len() } else { FEW };
    for (what, waiting) in facts.iter().take(shown) {
        page.line(&page.wrapped(what, "    - ", "      "))?;
        page.paragraph(&waiting_words(waiting), 8)?;
    }
    more(page, facts.len(), shown)
}

/// The wires that wait, by where recalled figures and assumed values point.
fn waiting_words(rows: &[&ProtectionRow]) -> String {
    let of = |leaning: &str| -> String {
        let names: Vec<String> = rows
            .iter()
            .filter(|row| row.leaning == leaning)
            .map(|row| format!("{} at {}", row.wire, row.end))
            .collect();
        names.join(", ")
    };
    let hints = [
        ("perhaps too late", "opens too late"),
        ("perhaps in time", "opens in time"),
        ("open", ""),
    ];
    let named = hints.into_iter().map(|(words, leaning)| (words, of(leaning)));
    let full: Vec<String> = named
        .filter(|(_, names)| !names.is_empty())
        .map(|(words, names)| format!("{words}: {names}"))
        .collect();
    full.join("; ")
}

fn protected(page: &mut Page, rows: &[&ProtectionRow], all: bool) -> Result<()> {
    let holds: Vec<&&ProtectionRow> =
        rows.iter().filter(|row| row.verdict == "PROTECTED").collect();
    if holds.is_empty() {
        return Ok(());
    }
    page.blank()?;
    page.line(&format!("  {}", page.weigh("PROTECTED", Weight::Strong)))?;
    page.paragraph("opens by, stands: at the current at which the two come closest", 4)?;
    let shown = if all { holds.len() } else { FEW };
    let cells: Vec<Vec<String>> = holds
        .iter()
        .take(shown)
        .map(|row| {
            let by = if row.device.is_empty() { "own limit" } else { &row.device };
            vec![
                format!("{} at {}", row.wire, row.end),
                row.far.clone(),
                right(&row.opens, 8),
                right(&row.stands, 7),
                by.to_owned(),
            ]
        })
        .collect();
    page.table(&["wire and end", "far fault", "opens by", "stands", "by"], &cells, 4)?;
    more(page, holds.len(), shown)
}

fn right(text: &str, width: usize) -> String {
    format!("{}{text}", " ".repeat(width.saturating_sub(text.width())))
}

fn rest(page: &mut Page, view: &FaultLevelView) -> Result<()> {
    page.blank()?;
    for left in &view.left_out {
        page.paragraph(&format!("{}: not judged, {}", left.wire, left.why), 2)?;
    }
    if !view.assumptions.is_empty() {
        page.blank()?;
        page.paragraph("Assumed, and taken at half and at twice:", 2)?;
        for words in &view.assumptions {
            page.paragraph(words, 4)?;
        }
    }
    page.blank()?;
    page.paragraph("Sources:", 2)?;
    for words in &view.sources {
        page.paragraph(words, 4)?;
    }
    page.blank()?;
    page.paragraph(
        "Short circuits of batteries burn, blind and start fires: compute them, do not try them. \
         Steady currents of bolted faults; an arc carries less and lasts longer. Local codes come \
         first.",
        2,
    )
}
