//! A drawing with its name and title, and the list of all drawings of a record.

use analysis::Case;

use wording::Teller;

use crate::voice::Voice;
use crate::{Paper, charts, restraint, vehicle, wiring};

/// One drawing, ready to be written, printed or put on a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Its name: a word or words joined by hyphens, unique among the pictures of a case; good as the
    /// stem of a file name. Sheets of one drawing share the beginning: `wiring-1`, `wiring-2`.
    pub name: String,
    /// What it shows, one line.
    pub title: String,
    /// The drawing, a whole SVG file.
    pub svg: String,
}

impl Picture {
    /// Whether it is the drawing of this name, or one of its sheets.
    pub fn is_of(&self, name: &str) -> bool {
        self.name.strip_prefix(name).is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
    }
}

/// Every drawing that a record alone gives rise to; those of one way in are [`crate::way_in`].
pub fn pictures(case: &Case, paper: Paper) -> Vec<Picture> {
    all(case, paper, &Voice::default())
}

/// The same in the language and the units of whoever reads them.
pub fn pictures_told(case: &Case, paper: Paper, teller: &Teller) -> Vec<Picture> {
    all(case, paper, &Voice::of(teller))
}

fn all(case: &Case, paper: Paper, voice: &Voice<'_>) -> Vec<Picture> {
    let mut pictures = wiring::all(case, paper, voice);
    pictures.extend(vehicle::told(case, voice));
    pictures.extend(restraint::restraint(case, voice));
    pictures.extend(charts::charts(case, voice));
    pictures
}
