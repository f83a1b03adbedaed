//! Writes drawings as SVG files.

use std::path::Path;

use anyhow::Result;
use depict::Picture;
use serde::Serialize;

use crate::pack::put_file;

/// A drawing that was written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub(crate) struct Written {
    /// The drawing's name.
    pub(crate) name: String,
    /// What it shows.
    pub(crate) title: String,
    /// The file, with its folder.
    pub(crate) file: String,
}

/// Writes every drawing to a folder, each whole or not at all.
pub(crate) fn write(folder: &Path, pictures: Vec<Picture>) -> Result<Vec<Written>> {
    let mut written = Vec::new();
    for Picture { name, title, svg } in pictures {
        let path = put_file(folder, &format!("{name}.svg"), svg.into_bytes())?;
        written.push(Written { name, title, file: path.display().to_string() });
    }
    Ok(written)
}
