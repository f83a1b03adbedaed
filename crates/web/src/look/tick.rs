//! A step that is ticked off, with what was read at it.

use maud::{Markup, html};

use crate::look::{form, moment};
use crate::serve::Opened;

/// A step to tick.
pub(crate) struct Step<'a> {
    /// The list it is on.
    pub(crate) list: &'a str,
    /// Its name on the list.
    pub(crate) step: &'a str,
    /// What is said when it is done.
    pub(crate) done: &'a str,
    /// What is said when it is not done after all.
    pub(crate) undone: &'a str,
    /// What is read at it, if something is.
    pub(crate) reading: Option<&'a str>,
    /// Units of the number pad for it; empty: it has none.
    pub(crate) pad: &'a str,
    /// Where to go on.
    pub(crate) back: &'a str,
}

/// The form that ticks a step, or who ticked it.
pub(crate) fn form(case: &Opened, of: &Step<'_>) -> Markup {
    with_fields(
        case,
        of,
        &html! {
            @if let Some(label) = of.reading { label { (label) input class="fig" name="reading" autocomplete="off" required[!of.pad.is_empty()] data-pad=[(!of.pad.is_empty()).then_some(of.pad)]; } }
        },
    )
}

/// The same for a dead test: what the tester showed on a known source, at the points, and on the known
/// source again. All three stand in the reading.
pub(crate) fn sequence(case: &Opened, of: &Step<'_>) -> Markup {
    with_fields(
        case,
        of,
        &html! {
            (form::hidden("template", "known source %known%; points %points%; known source again %again%"))
            @for (number, name, label) in [(1, "known", "Tester on a known source"), (2, "points", "At the points"), (3, "again", "Tester on the known source again")] {
                label { span { (number) ". " (label) } input class="fig" name=(name) autocomplete="off" required inputmode="decimal" data-pad=(of.pad); }
            }
        },
    )
}

fn with_fields(case: &Opened, of: &Step<'_>, fields: &Markup) -> Markup {
    let ticked = case.ticked(of.list, of.step).filter(|tick| tick.done);
    html! {
        div data-step=(of.step) { @if let Some(tick) = ticked {
            p class="small" { b { "Done" } ", " (moment::said(&tick.said))
                @if let Some(reading) = &tick.reading { ": " span class="fig" { (reading) } } }
        } }
        (form::change_line(&case.id, "tick", of.back, &html! {
            (form::hidden("list", of.list)) (form::hidden("step", of.step))
            @if ticked.is_some() { button name="done" value="no" { (of.undone) } }
            @else {
                (fields)
                button class="main" name="done" value="yes" { (of.done) }
            }
        }))
    }
}
