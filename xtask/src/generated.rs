//! The files under docs/ that are written by the program itself: schemas and check pages.
//!
//! Knows which command prints which file. Does not know what is in them.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result, bail, ensure};

use crate::check_index;
use crate::files::root;
use crate::shell::{cargo, printed};

/// The JSON Schema of a record.
pub(crate) const RECORD_SCHEMA: &str = "docs/schema/record.schema.json";
/// The JSON Schema of what `unbury review --json` prints.
pub(crate) const REVIEW_SCHEMA: &str = "docs/schema/review.schema.json";
const CHECK_PAGES: &str = "docs/checks";
const REMEDY: &str = "run `cargo xtask regenerate` and look at the difference";

/// Fails if a generated file is missing, differs from what the program prints, or is left over.
pub(crate) fn check() -> Result<()> {
    let root = root();
    let wanted = wanted()?;
    let mut faults = Vec::new();
    for page in &wanted {
        let found = fs::read_to_string(root.join(&page.path)).ok();
        faults.extend(difference(page, found.as_deref()));
    }
    faults.extend(left_over(&root, &wanted)?.iter().map(|path| format!("{path}: left over")));
    ensure!(faults.is_empty(), "{}\n{REMEDY}", faults.join("\n"));
    println!("{} generated files are up to date", wanted.len());
    Ok(())
}

/// Writes every generated file and removes check pages of checks that are gone.
pub(crate) fn regenerate() -> Result<()> {
    let root = root();
    let wanted = wanted()?;
    for page in &wanted {
        let full = root.join(&page.path);
        let folder = full.parent().unwrap_or(&root);
        fs::create_dir_all(folder).with_context(|| format!("cannot make {}", folder.display()))?;
        let found = fs::read_to_string(&full).ok();
        if difference(page, found.as_deref()).is_some() {
            fs::write(&full, &page.text).with_context(|| format!("cannot write {}", page.path))?;
            println!("wrote {}", page.path);
        }
    }
    for path in left_over(&root, &wanted)? {
        fs::remove_file(root.join(&path)).with_context(|| format!("cannot remove {path}"))?;
        println!("removed {path}");
    }
    Ok(())
}

/// A generated file as it should be.
struct Page {
    path: String,
    text: String,
}

fn wanted() -> Result<Vec<Page>> {
    let mut pages = vec![
        Page { path: RECORD_SCHEMA.to_owned(), text: unbury(&["schema"])? },
        Page { path: REVIEW_SCHEMA.to_owned(), text: unbury(&["schema", "--of", "review"])? },
    ];
    for slug in slugs(&unbury(&["explain", "--list"])?)? {
        let text = unbury(&["explain", &slug, "--markdown"])?;
        pages.push(Page { path: format!("{CHECK_PAGES}/{slug}.md"), text });
    }
    let text = unbury(&["explain", "regions", "--markdown"])?;
    pages.push(Page { path: format!("{CHECK_PAGES}/regions.md"), text });
    let path = format!("{CHECK_PAGES}/README.md");
    pages.push(Page { path, text: check_index::text(&root())? });
    Ok(pages)
}

fn unbury(arguments: &[&str]) -> Result<String> {
    printed(cargo(&["run", "--quiet", "--package", "unbury", "--"]).args(arguments))
}

/// The first word of every line that starts with one; an indented line goes on with a title.
fn slugs(list: &str) -> Result<Vec<String>> {
    let starts = list.lines().filter(|line| !line.starts_with(' '));
    let words = starts.filter_map(|line| line.split_whitespace().next());
    let slugs: Vec<String> = words.map(ToOwned::to_owned).collect();
    ensure!(!slugs.is_empty(), "`unbury explain --list` named no checks");
    let allowed = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if let Some(odd) = slugs.iter().find(|slug| !slug.chars().all(allowed)) {
        bail!("`{odd}` cannot name a file: a slug is small letters, digits and dashes");
    }
    Ok(slugs)
}

/// Check pages on disk that no check asks for.
fn left_over(root: &Path, wanted: &[Page]) -> Result<Vec<String>> {
    let folder: PathBuf = root.join(CHECK_PAGES);
    if !folder.is_dir() {
        return Ok(Vec::new());
    }
    let mut out = Vec::new();
    let entries = fs::read_dir(&folder).with_context(|| format!("cannot list {CHECK_PAGES}"))?;
    for entry in entries {
        let name = entry?.file_name().to_string_lossy().into_owned();
        let path = format!("{CHECK_PAGES}/{name}");
        if name.ends_with(".md") && !wanted.iter().any(|page| page.path == path) {
            out.push(path);
        }
    }
    out.sort();
    Ok(out)
}

fn difference(page: &Page, found: Option<&str>) -> Option<String> {
    let Some(found) = found else { return Some(format!("{}: missing", page.path)) };
    if found == page.text {
        return None;
    }
    let same = found.lines().zip(page.text.lines()).take_while(|(a, b)| a == b).count();
    let line_of = |text: &str| text.lines().nth(same).unwrap_or("(end of file)").to_owned();
    Some(format!(
        "{}:{}: out of date\n  on disk: {}\n  program: {}",
        page.path,
        same + 1,
        line_of(found),
        line_of(&page.text)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(text: &str) -> Page {
        Page { path: "docs/a.md".to_owned(), text: text.to_owned() }
    }

    #[test]
    fn a_page_as_printed_is_up_to_date() {
        assert_eq!(difference(&page("a\nb\n"), Some("a\nb\n")), None);
    }

    #[test]
    fn the_first_line_that_differs_is_shown() {
        let text = difference(&page("a\nb\n"), Some("a\nc\n")).unwrap();
        assert_eq!(text, "docs/a.md:2: out of date\n  on disk: c\n  program: b");
    }

    #[test]
    fn a_missing_page_and_a_shorter_page_are_differences() {
        assert_eq!(difference(&page("a\n"), None).unwrap(), "docs/a.md: missing");
        assert!(difference(&page("a\nb\n"), Some("a\n")).unwrap().contains("(end of file)"));
        assert!(difference(&page("a\n"), Some("a")).is_some());
    }

    #[test]
    fn slugs_are_the_first_words_of_lines() {
        assert_eq!(
            slugs("solid-wire  No solid wire\n\nhot-joint\n").unwrap(),
            ["solid-wire", "hot-joint"]
        );
    }

    #[test]
    fn a_slug_that_leaves_the_folder_is_refused() {
        assert!(slugs("../x\n").is_err());
        assert!(slugs("").is_err());
    }
}
