//! `cargo xtask new-check GROUP SLUG`: starts a check. Writes its file, its page and its line in
//! the list of its group, so that the suite of examples finds it, and fails until it is written.
//!
//! Knows where the parts of a check live. Does not know what any check looks for.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, Result, bail, ensure};

use crate::files::{root, text_files};
use crate::shell::{cargo, target_folder};

const CRATE: &str = "crates/checks";

/// Starts a check in the repository and says what to do next.
pub(crate) fn new_check(group: &str, slug: &str) -> Result<()> {
    let written = scaffold(&root(), group, slug)?;
    for path in written {
        println!("wrote {path}");
    }
    println!(
        "\nNow write the page, then the check, until `cargo test -p analysis --test check_pages` passes.\n\
         Its title, hazard and sentences go into crates/wording/texts/es-phrases.toml, what not to use until\n\
         it is mended into en.toml and es.toml (`until.{slug}`); `cargo test -p wording` says what is missing.\n\
         A rule that computes its repair, or the reason why none is computed, goes into\n\
         crates/mend/src/rules.rs; `cargo test -p analysis --test mend_rules` asks for it.\n\
         `cargo xtask regenerate` writes docs/checks/{slug}.md; docs/checks/README.md wants its line."
    );
    Ok(())
}

/// Writes the parts of a check below a root; gives the paths, from the root.
fn scaffold(root: &Path, group: &str, slug: &str) -> Result<Vec<String>> {
    let is_word = |word: &str, between: char| {
        let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == between;
        word.starts_with(|c: char| c.is_ascii_lowercase()) && word.chars().all(fits)
    };
    ensure!(is_word(slug, '-'), "`{slug}` cannot name a check: small letters, digits and dashes");
    let module = slug.replace('-', "_");
    let list = format!("{CRATE}/src/{group}.rs");
    let Some(text) =
        is_word(group, '_').then(|| fs::read_to_string(root.join(&list)).ok()).flatten()
    else {
        bail!("no group `{group}`; there are {}", groups(root)?.join(", "));
    };
    let listed = listed(&text, &module)
        .with_context(|| format!("{list} has no list of checks, or lists {module} already"))?;
    let parts = [
        (format!("{CRATE}/src/{group}/{module}.rs"), source(slug)),
        (format!("{CRATE}/spec/{slug}.md"), page()),
    ];
    for (path, _) in &parts {
        ensure!(!root.join(path).exists(), "{path} is there already");
    }
    let parts = parts.into_iter().chain([(list, listed)]);
    parts.map(|(path, text)| write(root, path, &text)).collect()
}

fn write(root: &Path, path: String, text: &str) -> Result<String> {
    let full = root.join(&path);
    let folder = full.parent().unwrap_or(root);
    fs::create_dir_all(folder).with_context(|| format!("cannot make {}", folder.display()))?;
    fs::write(&full, text).with_context(|| format!("cannot write {path}"))?;
    Ok(path)
}

/// Files of the crate that hold a list of checks.
fn groups(root: &Path) -> Result<Vec<String>> {
    let mut names = Vec::new();
    for entry in fs::read_dir(root.join(CRATE).join("src")).context("cannot list the checks")? {
        let path = entry?.path();
        let Some(name) = path.file_stem().map(|name| name.to_string_lossy().into_owned()) else {
            continue;
        };
        if path.is_file() && fs::read_to_string(&path)?.contains(LIST) {
            names.push(name);
        }
    }
    names.sort();
    Ok(names)
}

const LIST: &str = "pub(crate) const CHECKS: &[Check] = &[";

/// The list of a group with one more check: its module in the order of the alphabet, its line last.
fn listed(text: &str, module: &str) -> Option<String> {
    let declaration = format!("mod {module};");
    let (before, list) = text.split_once(LIST)?;
    let (list, after) = list.split_once("];")?;
    if before.lines().any(|line| line == declaration) {
        return None;
    }
    let mut lines: Vec<&str> = before.lines().collect();
    let first = lines.iter().position(|line| line.starts_with("mod "));
    let at =
        lines.iter().rposition(|line| line.starts_with("mod ") && *line < declaration.as_str());
    // Without a module yet, above the attribute of the list.
    match (at.map(|at| at + 1).or(first), lines.iter().rposition(|line| line.starts_with("#["))) {
        (Some(at), _) => lines.insert(at, &declaration),
        (None, last) => lines.splice(last?..last?, [declaration.as_str(), ""]).for_each(drop),
    }
    let list = list.trim_end();
    let before = lines.join("\n");
    Some(format!("{before}\n{LIST}{list}\n    {module}::CHECK,\n];{after}"))
}

fn source(slug: &str) -> String {
    format!(
        "//! Check: `{slug}`.\n\n\
         use crate::context::Context;\n\
         use crate::outcome::Out;\n\
         use crate::registry::Check;\n\n\
         pub(crate) const CHECK: Check =\n    \
         Check::new(\"{slug}\", include_str!(\"../../spec/{slug}.md\"), check);\n\n\
         fn check(_context: &Context<'_>, _out: &mut Out) {{}}\n"
    )
}

/// A page with everything a page has. The suite refuses `(write here)`, and an example that fails
/// while the check finds nothing.
fn page() -> String {
    let example = |heading: &str, ending: &str| {
        format!(
            "### {heading}\n\n```toml\nunbury = 1\n[vehicle]\nname = \"(write here)\"\n\
             system = \"12 V\"\n[devices]\nhouse = {{ kind = \"lfp battery\" }}\n\
             pump  = {{ kind = \"water pump\" }}\n[wires]\nw1 = \"house.+ to pump.+, 2.5 mm2, 4 m\"\n\
             w2 = \"pump.- to house.-, 2.5 mm2, 4 m\"\n# {ending}\n```\n"
        )
    };
    [
        "# (write here)\n".to_owned(),
        "(write here)\n".to_owned(),
        "## What it finds\n\n(write here)\n".to_owned(),
        "## Why it matters\n\n(write here)\n".to_owned(),
        "## How it decides\n\nIt reads (write here).\n".to_owned(),
        "## How bad it is\n\n- WARNING: grave x possible. (write here)\n".to_owned(),
        "## What to do\n\n(write here)\n".to_owned(),
        "## Sources\n\n- practice: (write here) (common practice, no source).\n".to_owned(),
        "## Examples\n".to_owned(),
        example("It fails", "fails: wire w1"),
        example("It holds", "holds"),
        example("Exactly at the limit", "holds"),
        example("Not known", "cannot tell: wire w1"),
        example("Not this check", "silent"),
    ]
    .join("\n")
}

/// Starts a check in a copy of the repository and runs the suite of examples there: it has to find
/// the new page, and to fail because nothing of it is written.
pub(crate) fn try_out() -> Result<()> {
    const SLUG: &str = "tried-by-the-suite";
    let copy = target_folder().join("new-check");
    copy_repository(&copy)?;
    scaffold(&copy, "sources", SLUG)?;
    let mut suite = Command::new(cargo(&[]).get_program());
    suite.args(["test", "--package", "analysis", "--test", "check_pages", "--locked"]);
    let output = suite.current_dir(&copy).env("CARGO_TARGET_DIR", target_folder()).output()?;
    let said = String::from_utf8_lossy(&output.stdout);
    let told = format!("{said}\n{}", String::from_utf8_lossy(&output.stderr));
    ensure!(said.contains("running "), "the suite did not run:\n{told}");
    ensure!(!output.status.success(), "a check that is not written passes the suite");
    ensure!(said.contains(SLUG), "the suite fails, but not because of the new check:\n{told}");
    println!("an unwritten check is found by the suite and fails it");
    fs::remove_dir_all(&copy).with_context(|| format!("cannot remove {}", copy.display()))
}

fn copy_repository(to: &Path) -> Result<()> {
    if to.exists() {
        fs::remove_dir_all(to).with_context(|| format!("cannot remove {}", to.display()))?;
    }
    for file in text_files(&root())? {
        write(to, file.path, &file.text)?;
    }
    for path in binary_files()? {
        let (from, to) = (root().join(&path), to.join(&path));
        fs::create_dir_all(to.parent().unwrap_or(&to))?;
        fs::copy(&from, &to).with_context(|| format!("cannot copy {}", from.display()))?;
    }
    Ok(())
}

/// Typefaces and pictures that sources include.
fn binary_files() -> Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    let mut folders = vec![PathBuf::from("crates")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(root().join(&folder))? {
            let entry = entry?;
            let path = folder.join(entry.file_name());
            if entry.file_type()?.is_dir() {
                folders.push(path);
            } else if String::from_utf8(fs::read(entry.path())?).map_or(true, |t| t.contains('\0'))
            {
                found.push(path);
            }
        }
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_check_is_put_in_its_place_and_on_its_line() {
        let text = "//! Head.\n\nuse crate::registry::Check;\n\nmod a;\nmod c;\n\npub(crate) const CHECKS: &[Check] = &[\n    c::CHECK,\n    a::CHECK,\n];\n";
        let with = listed(text, "b").unwrap();
        assert!(with.contains("mod a;\nmod b;\nmod c;\n\n"), "{with}");
        assert!(with.ends_with("    c::CHECK,\n    a::CHECK,\n    b::CHECK,\n];\n"), "{with}");
        assert!(listed(text, "a").is_none(), "it is there already");
        assert!(listed(text, "aa").unwrap().contains("mod a;\nmod aa;\nmod c;"));
    }

    #[test]
    fn the_first_check_of_a_group_is_listed_too() {
        let text = "//! Head.\n\nuse crate::registry::Check;\n\n#[skip]\npub(crate) const CHECKS: &[Check] = &[\n];\n";
        let with = listed(text, "b").unwrap();
        assert!(
            with.ends_with(
                "Check;\n\nmod b;\n\n#[skip]\npub(crate) const CHECKS: &[Check] = &[\n    b::CHECK,\n];\n"
            ),
            "{with}"
        );
    }

    #[test]
    fn a_check_is_written_once_and_only_into_a_group_that_is_there() {
        let copy = target_folder().join(format!("new-check-test-{}", std::process::id()));
        let group = format!("{CRATE}/src/sources.rs");
        let text = fs::read_to_string(root().join(&group)).unwrap();
        write(&copy, group.clone(), &text).unwrap();
        let written = scaffold(&copy, "sources", "drawn-by-nobody").unwrap();
        assert_eq!(written[0], "crates/checks/src/sources/drawn_by_nobody.rs");
        assert_eq!(written[1], "crates/checks/spec/drawn-by-nobody.md");
        assert!(
            fs::read_to_string(copy.join(group)).unwrap().contains("    drawn_by_nobody::CHECK,\n")
        );
        assert!(scaffold(&copy, "sources", "drawn-by-nobody").is_err(), "it is there already");
        assert!(scaffold(&copy, "nowhere", "another").is_err());
        assert!(scaffold(&copy, "sources", "../another").is_err());
        fs::remove_dir_all(copy).unwrap();
    }

    #[test]
    fn the_groups_are_the_files_with_a_list() {
        let groups = groups(&root()).unwrap();
        assert!(groups.contains(&"mains".to_owned()) && !groups.contains(&"registry".to_owned()));
    }
}
