//! A pack in one file (ZIP), the same bytes for the same pack.

use std::io::{Cursor, Write as _};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use crate::{Pack, PackError};

/// All files of the pack in one archive, under one folder. Files carry the earliest time the format
/// knows (1 January 1980), since nothing here has a clock.
///
/// # Errors
/// [`PackError::Archive`] when the format cannot hold the files.
pub fn zip(pack: &Pack, folder: &str) -> Result<Vec<u8>, PackError> {
    let failed = |fault: &dyn std::fmt::Display| PackError::Archive(fault.to_string());
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default())
        .unix_permissions(0o644);
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for file in &pack.files {
        let name = format!("{folder}/{}", file.name);
        archive.start_file(name, options).map_err(|fault| failed(&fault))?;
        archive.write_all(&file.bytes).map_err(|fault| failed(&fault))?;
    }
    archive.finish().map(Cursor::into_inner).map_err(|fault| failed(&fault))
}
