//! `docs/checks/README.md`: all checks by their groups, put together from their pages.
//!
//! Knows where the list of a group, and the sentences of a page, stand. Does not know what a check
//! does.

use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result, ensure};

const CHECKS: &str = "crates/checks";

const HEAD: &str = "\
# The checks

What a review looks for. Each check has a page: what it finds, why it matters, how it decides, how bad it is,
what to do, its sources, and examples that fail, hold, stand exactly at the limit, cannot be told, or belong
to another check. The examples are run whenever the program is tested.

A check says one of three things: it **fails**, it **holds**, or it **cannot be told** until somebody finds
something out. A fact that is only assumed may make a check fail, as \"likely\"; it never makes one hold. That
no check fails does not mean that nothing is wrong: a check sees only what is in the record. Local codes come
first, and mains work is for licensed people.

How bad a defect is, is consequence times likelihood, as its page reasons; the signal words follow from it
(see [GLOSSARY.md](../../GLOSSARY.md)). Which document decides under the rules of which region:
[regions.md](regions.md).
";

/// The page as it should be.
pub(crate) fn text(root: &Path) -> Result<String> {
    let read = |path: &str| {
        fs::read_to_string(root.join(path)).with_context(|| format!("cannot read {path}"))
    };
    let mut text = HEAD.to_owned();
    let mut count = 0;
    for group in groups(&read(&format!("{CHECKS}/src/registry.rs"))?) {
        let list = read(&format!("{CHECKS}/src/{group}.rs"))?;
        let slugs = slugs(&list);
        if slugs.is_empty() {
            continue;
        }
        let heading = list.lines().next().unwrap_or_default().trim_start_matches("//! ");
        text.push_str(&format!(
            "\n## {}\n\n| check | what it finds |\n|---|---|\n",
            heading.trim_end_matches('.')
        ));
        for slug in slugs {
            let page = read(&format!("{CHECKS}/spec/{slug}.md"))?;
            text.push_str(&format!("| [{slug}]({slug}.md) | {} |\n", finds(&page)));
            count += 1;
        }
    }
    ensure!(count > 0, "the registry names no checks");
    Ok(text)
}

/// The groups in the order of the registry.
fn groups(registry: &str) -> Vec<&str> {
    registry.lines().filter_map(|line| line.trim().strip_suffix("::CHECKS,")).collect()
}

/// The checks of a group in the order of its list.
fn slugs(list: &str) -> Vec<String> {
    let modules = list.lines().filter_map(|line| line.trim().strip_suffix("::CHECK,"));
    modules.map(|module| module.replace('_', "-")).collect()
}

/// The first paragraph below `## What it finds`.
fn finds(page: &str) -> String {
    let below = page.split_once("\n## What it finds\n").map_or("", |(_, below)| below);
    below.trim_start().lines().take_while(|line| !line.is_empty()).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_index_names_every_page_once() {
        let root = crate::files::root();
        let text = text(&root).unwrap();
        let mut count = 0;
        for entry in fs::read_dir(root.join(CHECKS).join("spec")).unwrap() {
            let name = entry.unwrap().file_name().to_string_lossy().into_owned();
            assert_eq!(text.matches(&format!("]({name})")).count(), 1, "{name}");
            count += 1;
        }
        assert!(count >= 18);
    }

    #[test]
    fn what_a_check_finds_is_its_first_paragraph() {
        let page = "# t\n\nh\n\n## What it finds\n\nA wire\nthat burns.\n\nMore.\n";
        assert_eq!(finds(page), "A wire that burns.");
    }
}
