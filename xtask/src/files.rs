//! Which files belong to the repository, and their text.
//!
//! Knows git's list and, where git cannot answer, a plain walk. Knows nothing of what the files
//! should contain.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, Result};

/// A text file of the repository.
#[derive(Clone, Debug)]
pub(crate) struct TextFile {
    /// Path from the root of the repository, with forward slashes.
    pub(crate) path: String,
    /// The whole text.
    pub(crate) text: String,
}

/// The root of the repository: the folder above this crate.
pub(crate) fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent().unwrap_or(here).to_path_buf()
}

/// Every text file that is part of the repository or would be with the next commit, sorted by
/// path. Files that are not UTF-8 or hold a zero byte are left out.
pub(crate) fn text_files(root: &Path) -> Result<Vec<TextFile>> {
    let mut paths = git_paths(root).map_or_else(|| walked_paths(root), Ok)?;
    paths.sort();
    let mut out = Vec::new();
    for path in paths {
        let full = root.join(&path);
        if !full.is_file() {
            continue;
        }
        let bytes = fs::read(&full).with_context(|| format!("cannot read {}", full.display()))?;
        if let Ok(text) = String::from_utf8(bytes)
            && !text.contains('\0')
        {
            out.push(TextFile { path, text });
        }
    }
    Ok(out)
}

/// `None` when there is no git here or it will not answer.
fn git_paths(root: &Path) -> Option<Vec<String>> {
    let output = Command::new("git")
        .args(["ls-files", "-z", "--cached", "--others", "--exclude-standard"])
        .current_dir(root)
        .output()
        .ok()
        .filter(|output| output.status.success())?;
    let text = String::from_utf8(output.stdout).ok()?;
    let paths: Vec<String> =
        text.split('\0').filter(|path| !path.is_empty()).map(ToOwned::to_owned).collect();
    (!paths.is_empty()).then_some(paths)
}

fn walked_paths(root: &Path) -> Result<Vec<String>> {
    let mut out = Vec::new();
    let mut folders = vec![root.to_path_buf()];
    while let Some(folder) = folders.pop() {
        let entries =
            fs::read_dir(&folder).with_context(|| format!("cannot list {}", folder.display()))?;
        for entry in entries {
            let path = entry?.path();
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            if path.is_dir() {
                if !matches!(name.as_str(), ".git" | "unbury-pack") && !name.starts_with("target") {
                    folders.push(path);
                }
            } else if let Ok(relative) = path.strip_prefix(root) {
                out.push(relative.to_string_lossy().replace('\\', "/"));
            }
        }
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn this_file_is_part_of_the_repository() {
        let files = text_files(&root()).unwrap();
        assert!(files.iter().any(|file| file.path == "xtask/src/files.rs"));
    }

    #[test]
    fn the_walk_finds_what_git_finds_of_the_sources() {
        let walked = walked_paths(&root()).unwrap();
        assert!(walked.iter().any(|path| path == "xtask/src/files.rs"));
        assert!(!walked.iter().any(|path| path.starts_with("target/")));
    }
}
