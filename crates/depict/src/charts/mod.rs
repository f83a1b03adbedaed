//! The charts of a case: plain data of `analysis` handed to `draw::chart`.
//!
//! | file | what it holds |
//! |---|---|
//! | `strips.rs` | what each suspect predicts for the next check |
//! | `trip.rs` | opening times against what wires stand |
//! | `warmth.rs` | temperature along wires |
//! | `minutes.rs` | service and hatches in minutes; how minutes and money are spread |
//! | `mains.rs` | verdicts and readings of the mains side |

mod mains;
mod minutes;
mod strips;
mod trip;
mod warmth;

use analysis::Case;

use crate::Picture;
use crate::voice::Voice;

pub use minutes::minutes_of;
pub use strips::{next_check, next_check_of};

/// Wires shown of each sort, worst first: more would bury the worst.
const MOST: usize = 6;

/// Every chart that a record alone gives rise to.
pub(crate) fn charts(case: &Case, voice: &Voice<'_>) -> Vec<Picture> {
    let mut pictures = trip::trips(case, voice);
    pictures.extend(warmth::warm_wires(case, voice));
    pictures.extend(minutes::service(case, voice));
    pictures.extend(minutes::hatch(case, voice));
    pictures.extend(minutes::all(case, voice));
    pictures.extend(minutes::price(case, voice));
    pictures.extend(mains::matrix(case, voice));
    pictures.extend(mains::meter(case, voice));
    pictures
}

fn picture(name: impl Into<String>, title: &str, svg: Option<String>) -> Option<Picture> {
    Some(Picture { name: name.into(), title: title.to_owned(), svg: svg? })
}

/// A name as part of a file's name: letters, digits and hyphens.
fn stem(name: &str) -> String {
    let keep = |letter: char| if letter.is_alphanumeric() { letter } else { '-' };
    name.chars().map(keep).collect()
}

/// With a capital and a full stop.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|first| first.to_uppercase().to_string()).unwrap_or_default();
    closed(&format!("{first}{}", letters.as_str()))
}

/// With a full stop; a name it begins with stays as it is written.
fn closed(text: &str) -> String {
    let end = if text.is_empty() || text.ends_with('.') { "" } else { "." };
    format!("{text}{end}")
}
