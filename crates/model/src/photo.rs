//! Photos that go with the record. The model knows where a picture lies and what it shows; it has
//! never seen the picture.

use crate::{Origin, Place};

/// A photo that lies beside the record.
#[derive(Clone, Debug, PartialEq)]
pub struct Photo {
    /// Its id in the record.
    pub name: String,
    /// The file, as a path from the folder of the record.
    pub file: String,
    /// What it shows.
    pub of: Option<Place>,
    /// Where an arrow points: parts of the width from the left, of the height from the top.
    pub arrow: Option<(f64, f64)>,
    /// What it shows, in words.
    pub words: String,
    /// Who took it, and when.
    pub origin: Origin,
}
