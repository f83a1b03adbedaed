//! What was written, file by file, and the photos that were not taken.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use anyhow::Result;

use crate::page::Page;

/// Width of the column of file names.
const NAMES: usize = 24;

/// The files of a folder with what each is.
pub(crate) fn files<W: AsRef<str>>(
    page: &mut Page,
    folder: &Path,
    files: &[(PathBuf, W)],
) -> Result<()> {
    page.heading(&format!("Written to {}", folder.display()))?;
    for (path, what) in files {
        let name =
            path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        page.labelled(&format!("{name:<NAMES$}"), what.as_ref(), 2)?;
    }
    Ok(())
}

/// Photos that are not in the pack, on standard error: name, file, reason.
pub(crate) fn refused(page: &Page, refused: &[(String, String, String)]) -> Result<()> {
    let mut out = std::io::stderr().lock();
    for (name, file, why) in refused {
        let words = format!("photo `{name}` (`{file}`) is not in the pack: {why}");
        writeln!(out, "{}", page.wrapped(&words, "warning: ", "         "))?;
    }
    Ok(())
}
