//! Volts and amperes of a state.

use analysis::StateView;
use anyhow::Result;

use crate::page::{Page, Weight};

/// One state with its table.
pub(crate) fn state(page: &mut Page, view: &StateView) -> Result<()> {
    page.heading(&format!("State {}: {}", view.name, view.outcome))?;
    page.paragraph(&view.words, 2)?;
    for note in &view.notes {
        let strong = page.weigh("!", Weight::Strong);
        let wrapped = page.wrapped(note, "  ! ", "    ").replacen('!', &strong, 1);
        page.line(&wrapped)?;
    }
    page.blank()?;
    let rows: Vec<Vec<String>> = view
        .rows
        .iter()
        .map(|row| {
            vec![
                row.device.clone(),
                right(&row.voltage, 9),
                right(&row.current, 9),
                right(&row.power, 9),
                row.note.clone(),
            ]
        })
        .collect();
    page.table(&["device", "voltage", "current", "power", "remark"], &rows, 2)?;
    if let Some(residual_a) = view.residual_a {
        let words = format!(
            "+ into a load or battery, - delivered; currents balance within {} ({} steps)",
            residual(residual_a),
            view.iterations
        );
        let words = page.wrapped(&words, "  ", "  ");
        let quiet = page.weigh(&words, Weight::Quiet);
        page.line(&quiet)?;
    }
    Ok(())
}

fn right(text: &str, width: usize) -> String {
    let missing = width.saturating_sub(unicode_width::UnicodeWidthStr::width(text));
    format!("{}{text}", " ".repeat(missing))
}

/// A residual far below anything a meter shows is not worth its digits.
fn residual(residual_a: f64) -> String {
    if residual_a < 1e-9 { "1 nA".to_owned() } else { format!("{residual_a:.0e} A") }
}
