//! A name that is nearly one of the record: the one that was meant, in one touch, in the line that is
//! typed and in the record.

use analysis::RecordFault;
use maud::{Markup, html};
use store::Change;

use crate::look::form::{self, Fields};
use crate::serve::Opened;
use crate::station::Station;

/// What a fault says was probably meant: the words that stand there, where, and the names.
struct Meant<'f> {
    at: usize,
    was: &'f str,
    names: Vec<&'f str>,
}

fn meant<'f>(text: &'f str, fault: &'f RecordFault) -> Option<Meant<'f>> {
    let help = fault.help.iter().find_map(|help| help.strip_prefix("did you mean "))?;
    // Names stand between backticks.
    let names: Vec<&str> = help.split('`').skip(1).step_by(2).collect();
    let place = fault.places.first()?;
    let was = text.get(place.start_byte..place.end_byte)?;
    let is_plain = !was.is_empty() && !was.contains(['\n', '"', '\'']);
    (is_plain && !names.is_empty()).then_some(Meant { at: place.start_byte, was, names })
}

/// In the preview of a line: a touch puts the name into the field.
pub(crate) fn in_the_field(text: &str, fault: &RecordFault) -> Markup {
    html! { @if let Some(meant) = meant(text, fault) {
        div class="buttons" { @for name in &meant.names {
            button type="button" class="main" data-put=(name) data-for=(meant.was) { "Write " (name) }
        } }
    } }
}

/// In the record: a touch puts the name there.
pub(crate) fn in_the_record(case: &Opened, fault: &RecordFault) -> Markup {
    let back = format!("{}#faults", Station::Found.address(&case.id));
    html! { @if let Some(meant) = meant(&case.kept.text, fault) {
        div class="buttons" { @for name in &meant.names {
            (form::plain(&case.id, "spelling", &back, &html! {
                (form::hidden("at", &meant.at.to_string())) (form::hidden("was", meant.was)) (form::hidden("is", name))
                button class="main" { "Write " (name) }
            }))
        } }
    } }
}

/// The line with the name put in, if what was seen there still stands there.
pub(crate) fn change(case: &Opened, given: &Fields) -> Result<Change, String> {
    let want = |name: &str| given.get(name).ok_or_else(|| format!("`{name}` is missing"));
    let (was, is) = (want("was")?, want("is")?);
    let at: usize = want("at")?.parse().map_err(|_| "`at` is no number".to_owned())?;
    let text = &case.kept.text;
    let stands = text.get(at..).is_some_and(|rest| rest.starts_with(&was));
    if !stands || is.contains(['"', '\\', '\n', '\r']) {
        return Err(format!("`{was}` does not stand there any more: look at the page again"));
    }
    let start = text[..at].rfind('\n').map_or(0, |end| end + 1);
    let end = text[at..].find('\n').map_or(text.len(), |more| at + more + 1);
    let to = format!("{}{is}{}", &text[start..at], &text[at + was.len()..end]);
    Ok(Change::Lines { from: text[start..end].to_owned(), to })
}
