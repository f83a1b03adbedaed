//! Photos as files named by the SHA-256 of their content. Whether something is a photo is decided
//! before it comes here.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use crate::chain::sha256;
use crate::store::StoreError;

/// Their folder in the data folder.
pub(crate) const FOLDER: &str = "photos";

/// Whether a text can be a SHA-256.
pub(crate) fn is_sha(text: &str) -> bool {
    text.len() == 64 && text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
}

/// Where a photo lies below the data folder: `photos/ab/ab12….jpg`.
pub(crate) fn place(sha: &str) -> PathBuf {
    Path::new(FOLDER).join(&sha[..2]).join(format!("{sha}.jpg"))
}

/// Writes a photo so that its file is whole or not there at all, and says its name.
pub(crate) fn write(folder: &Path, bytes: &[u8]) -> Result<String, StoreError> {
    let sha = sha256(bytes);
    let file = folder.join(place(&sha));
    if file.exists() {
        return Ok(sha);
    }
    written(&file, bytes).map_err(|fault| {
        StoreError::File(format!("cannot write the photo `{}`: {fault}", file.display()))
    })?;
    Ok(sha)
}

/// Reads a photo and holds it against its name.
pub(crate) fn read(folder: &Path, sha: &str) -> Result<Vec<u8>, StoreError> {
    if !is_sha(sha) {
        return Err(StoreError::NoSuch("photo"));
    }
    let file = folder.join(place(sha));
    let bytes = fs::read(&file).map_err(|fault| {
        StoreError::File(format!("cannot read the photo `{}`: {fault}", file.display()))
    })?;
    if sha256(&bytes) != sha {
        return Err(StoreError::Damaged(format!("the photo {sha} was changed on the disk")));
    }
    Ok(bytes)
}

/// Beside it under another name, onto the disk, then renamed.
fn written(file: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let folder = file.parent().unwrap_or(Path::new("."));
    fs::create_dir_all(folder)?;
    let beside = folder.join(format!(".{}", uuid::Uuid::new_v4()));
    let mut out = fs::File::create(&beside)?;
    out.write_all(bytes)?;
    out.sync_all()?;
    fs::rename(&beside, file)?;
    fs::File::open(folder)?.sync_all()
}
