//! Puts the pack away: reads the photos beside the record, writes the files. What is in them is known
//! elsewhere.

use std::io::Read as _;
use std::path::{Path, PathBuf};

use ::pack::{MAX_PHOTO_BYTES, Options, Pack, PhotoFound, Request};
use analysis::{Case, PhotoView, Review};
use anyhow::{Context, Result};

use crate::progress::Progress;

/// Where the record came from, so that photos beside it are found.
#[derive(Clone, Copy)]
pub(crate) enum Beside<'a> {
    /// A folder.
    Folder(&'a Path),
    /// Nowhere: it came by standard input.
    Nothing,
    /// Inside the program, with these photos by file.
    Program(&'a [(&'static str, &'static [u8])]),
}

impl<'a> Beside<'a> {
    /// Beside a record file.
    pub(crate) fn of(record: &'a Path) -> Beside<'a> {
        if record == Path::new("-") {
            return Beside::Nothing;
        }
        match record.parent() {
            Some(folder) if folder != Path::new("") => Beside::Folder(folder),
            _ => Beside::Folder(Path::new(".")),
        }
    }

    /// The bytes of a file, or why they cannot be read.
    pub(crate) fn read(self, file: &str) -> Result<Vec<u8>, String> {
        match self {
            Beside::Folder(folder) => read_beside(folder, file),
            Beside::Nothing => {
                Err("the record came by standard input; photos lie beside a file".to_owned())
            }
            Beside::Program(files) => files
                .iter()
                .find(|(name, _)| *name == file)
                .map(|(_, bytes)| bytes.to_vec())
                .ok_or_else(|| "there is no such file".to_owned()),
        }
    }
}

/// What was written, and which photos were not taken.
pub(crate) struct Written {
    /// The files, with what each is.
    pub(crate) files: Vec<(PathBuf, String)>,
    /// Photos by name and file, and why they are not in the pack.
    pub(crate) refused: Vec<(String, String, String)>,
}

/// Makes the pack and writes every file of it to a folder, each whole or not at all.
pub(crate) fn write(
    folder: &Path,
    record: &str,
    beside: Beside<'_>,
    (case, review): (&Case, &Review),
    options: &Options,
) -> Result<(Pack, Written)> {
    let progress = Progress::of("making the pack");
    let views = case.handover().photos;
    let photos = views.iter().map(|photo| found(beside, photo)).collect();
    let made = ::pack::make(&Request { record, case, review, photos }, options)?;
    drop(progress);
    let mut files = Vec::new();
    for file in &made.files {
        files.push((put_file(folder, &file.name, file.bytes.clone())?, file.what.clone()));
    }
    let file_of = |name: &str| views.iter().find(|view| view.name == name).map(|v| v.file.clone());
    let refused = made
        .refused
        .iter()
        .map(|(name, why)| (name.clone(), file_of(name).unwrap_or_default(), why.clone()));
    let refused = refused.collect();
    Ok((made, Written { files, refused }))
}

/// Writes the whole pack as one archive beside its folder.
pub(crate) fn write_zip(folder: &Path, pack: &Pack) -> Result<PathBuf> {
    let stem = folder.file_name().map_or("pack".into(), |name| name.to_string_lossy());
    let bytes = ::pack::zip(pack, &stem)?;
    let parent = match folder.parent() {
        Some(parent) if parent != Path::new("") => parent,
        _ => Path::new("."),
    };
    put_file(parent, &format!("{stem}.zip"), bytes)
}

fn found(beside: Beside<'_>, photo: &PhotoView) -> PhotoFound {
    PhotoFound { name: photo.name.clone(), bytes: beside.read(&photo.file) }
}

/// A file below the folder; a link that leads out of it is refused.
fn read_beside(folder: &Path, file: &str) -> Result<Vec<u8>, String> {
    let failed = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        _ => format!("it cannot be read: {error}"),
    };
    let home = folder.canonicalize().map_err(failed)?;
    let path = home.join(file).canonicalize().map_err(failed)?;
    if !path.starts_with(&home) {
        return Err("it leads out of the folder of the record".to_owned());
    }
    if !path.is_file() {
        return Err("it is no file".to_owned());
    }
    let mut bytes = Vec::new();
    let most = u64::try_from(MAX_PHOTO_BYTES).unwrap_or(u64::MAX).saturating_add(1);
    let file = std::fs::File::open(&path).map_err(failed)?;
    file.take(most).read_to_end(&mut bytes).map_err(failed)?;
    Ok(bytes)
}

/// Writes one file whole or not at all, and the folder where it is missing.
pub(crate) fn put_file(folder: &Path, name: &str, bytes: Vec<u8>) -> Result<PathBuf> {
    std::fs::create_dir_all(folder)
        .with_context(|| format!("cannot make the folder `{}`", folder.display()))?;
    let path = folder.join(name);
    let temporary = folder.join(format!(".{name}.part"));
    std::fs::write(&temporary, bytes)
        .and_then(|()| std::fs::rename(&temporary, &path))
        .with_context(|| format!("cannot write `{}`", path.display()))?;
    Ok(path)
}
