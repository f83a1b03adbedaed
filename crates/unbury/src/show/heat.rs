//! How warm wires and joints get, and whether they may stay.

use analysis::{HeatState, HeatView, JointHeatRow, WireHeatRow};
use anyhow::Result;

use crate::page::{Page, Weight};

/// A wire that is not told, or holds, and is less than this above its air is not worth a line, K.
const COOL_K: f64 = 5.0;
/// Joints shown at the least, most heat first.
const JOINTS_SHOWN: usize = 8;

/// Every state asked for, then what is assumed.
pub(crate) fn view(page: &mut Page, view: &HeatView) -> Result<()> {
    for state in &view.states {
        one(page, state)?;
    }
    page.heading("What these figures assume")?;
    for words in &view.assumes {
        bullet(page, words)?;
    }
    page.blank()?;
    for source in &view.sources {
        let words = format!("{} ({})", source.words, source.standing);
        let words = page.wrapped(&words, "  ", "    ");
        let quiet = page.weigh(&words, Weight::Quiet);
        page.line(&quiet)?;
    }
    Ok(())
}

fn one(page: &mut Page, state: &HeatState) -> Result<()> {
    let fails = state.wires.iter().filter(|row| row.verdict == "fails").count()
        + state.joints.iter().filter(|row| row.verdict == "fails").count();
    let count = match fails {
        0 => String::new(),
        1 => ", 1 fails".to_owned(),
        many => format!(", {many} fail"),
    };
    page.heading(&format!("State {}: heat{count}", state.state))?;
    page.paragraph(&state.words, 2)?;
    if state.outcome == "no answer" {
        return page.paragraph("No answer for this state, so no currents; see `unbury solve`.", 2);
    }
    if state.outcome == "hunts" {
        page.paragraph("This state hunts: the largest current of both positions counts.", 2)?;
    }
    page.blank()?;
    wires(page, state)?;
    joints(page, state)?;
    find_out(page, state)
}

fn wires(page: &mut Page, state: &HeatState) -> Result<()> {
    let worth = |row: &&WireHeatRow| {
        row.verdict == "fails" || row.hottest_c.is_none_or(|hot_c| hot_c - row.air_c >= COOL_K)
    };
    let (shown, cool): (Vec<_>, Vec<_>) = state.wires.iter().partition(worth);
    let cells: Vec<Vec<String>> = shown
        .iter()
        .map(|row| {
            vec![
                row.wire.clone(),
                right(&row.current, 7),
                right(&row.may_carry, 7),
                row.conductor.clone(),
                row.verdict.clone(),
                short(row),
            ]
        })
        .collect();
    if !cells.is_empty() {
        let head = ["wire", "carries", "may", "conductor", "verdict", "decided by"];
        page.table(&head, &cells, 2)?;
    }
    let holds = cool.iter().filter(|row| row.verdict == "holds").count();
    let open = cool.len() - holds;
    let mut rest = Vec::new();
    if !cool.is_empty() {
        rest.push(format!(
            "{} more less than {COOL_K:.0} K above the air: {holds} hold, {open} cannot be told",
            cool.len()
        ));
    }
    rest.push(format!("{} without current", state.idle_wires));
    if state.mains_wires > 0 {
        rest.push(format!("{} mains conductors not judged here", state.mains_wires));
    }
    note(page, &rest.join("; "))?;
    for row in shown.iter().filter(|row| row.verdict == "fails") {
        failing_wire(page, row)?;
    }
    for row in state.wires.iter().filter(|row| row.verdict != "fails") {
        for hint in row.stricter_hints() {
            bullet(page, &format!("{}: {hint}; look it up", row.wire))?;
        }
    }
    Ok(())
}

/// The deciding rule in a few words.
fn short(row: &WireHeatRow) -> String {
    match row.decided_by.as_str() {
        "missing fact" => row.reason.clone(),
        _ if row.verdict == "cannot tell" && row.place_not_known => "place not known".to_owned(),
        _ if row.verdict == "cannot tell" && row.rests_on_assumption => "assumed facts".to_owned(),
        rule if row.used.is_empty() => rule.to_owned(),
        rule => format!("{rule}, {} used", row.used),
    }
}

fn failing_wire(page: &mut Page, row: &WireHeatRow) -> Result<()> {
    let likely = if row.rests_on_assumption { " (by an assumed fact: likely)" } else { "" };
    let mut words = format!(
        "{} ({}, {}, {}): {}{likely}.",
        row.wire, row.run, row.size, row.rating, row.reason
    );
    if let Some(time) = &row.passes_rating_after {
        words.push_str(&format!(
            " From {} it passes its rating after {time} at the soonest.",
            row.air
        ));
    }
    bullet(page, &words)
}

fn joints(page: &mut Page, state: &HeatState) -> Result<()> {
    let worth = |(index, row): (usize, &JointHeatRow)| {
        row.measured || row.verdict == "fails" || index < JOINTS_SHOWN
    };
    let shown: Vec<&JointHeatRow> = state
        .joints
        .iter()
        .enumerate()
        .filter(|entry| worth(*entry))
        .map(|entry| entry.1)
        .collect();
    if shown.is_empty() {
        return Ok(());
    }
    page.blank()?;
    let cells: Vec<Vec<String>> = shown
        .iter()
        .map(|row| {
            vec![
                row.joint.clone(),
                right(&row.drop, 7),
                right(&row.power, 7),
                right(row.rise.rsplit(" to ").next().unwrap_or_default(), 6),
                row.verdict.clone(),
                margin(row),
            ]
        })
        .collect();
    page.table(&["joint", "drops", "heat", "rise to", "verdict", "why"], &cells, 2)?;
    let more = state.joints.len() - shown.len();
    let mut words = "rise: above what its wires run at, with a thin wall and its length".to_owned();
    if more > 0 {
        let rest =
            format!("; {more} more joints, none measured, each with less heat by a stand-in");
        words.push_str(&rest);
    }
    note(page, &words)?;
    for row in shown.iter().filter(|row| row.verdict == "fails") {
        let words = format!(
            "{}, {}, {}: {}; {} and {} at {}",
            row.joint, row.resistance, row.rise, row.reason, row.drop, row.power, row.current
        );
        bullet(page, &words)?;
    }
    Ok(())
}

/// The larger part of its limits that a measured joint uses.
fn margin(row: &JointHeatRow) -> String {
    if row.verdict == "fails" {
        return "see below".to_owned();
    }
    if !row.measured {
        return row.reason.split(',').next().unwrap_or_default().to_owned();
    }
    let most = row.rise_share.map_or(row.drop_share, |share| share.max(row.drop_share));
    format!("{:.0} % of limit", 100.0 * most)
}

fn find_out(page: &mut Page, state: &HeatState) -> Result<()> {
    const NAMED: usize = 8;
    if state.assumed_values > 0 {
        let words = format!(
            "The currents rest on {} assumed values; `unbury review` lists them.",
            state.assumed_values
        );
        page.blank()?;
        page.paragraph(&words, 2)?;
    }
    if state.find_out.is_empty() {
        return Ok(());
    }
    page.blank()?;
    page.paragraph("What cannot be told yet, and what to find out:", 2)?;
    for entry in &state.find_out {
        let named: Vec<&str> = entry.items.iter().take(NAMED).map(String::as_str).collect();
        let more = entry.items.len().saturating_sub(NAMED);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        bullet(page, &format!("{}: {}{more}", entry.what, named.join(", ")))?;
    }
    Ok(())
}

fn bullet(page: &mut Page, words: &str) -> Result<()> {
    let wrapped = page.wrapped(words, "  - ", "    ");
    page.line(&wrapped)
}

fn note(page: &mut Page, words: &str) -> Result<()> {
    let wrapped = page.wrapped(words, "  ", "  ");
    let quiet = page.weigh(&wrapped, Weight::Quiet);
    page.line(&quiet)
}

fn right(text: &str, width: usize) -> String {
    let missing = width.saturating_sub(unicode_width::UnicodeWidthStr::width(text));
    format!("{}{text}", " ".repeat(missing))
}
