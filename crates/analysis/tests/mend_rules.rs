//! Every check has a rule that computes repairs, or a reason why there is none. Each failure that the
//! pages of the checks show is given to the rules: where there is a rule, some repair has to be offered
//! (it has cleared the finding and raised none), or the example stands in the list below with the reason
//! why nothing can be computed from what it says.
//!
//! The examples were written for the checks, by hand, before there were repairs for them.

use std::collections::BTreeSet;

use analysis::{Case, MendList};

/// Failures of the pages for which nothing can be offered from what the example says, and why.
const NOT_FROM_THIS: &[(&str, &str)] = &[
    (
        "Crossed behind the inlet",
        "crossed back, its missing earth comes to light: that is a finding",
    ),
    ("Charger in the inverter's socket", "no other mains source is in the record"),
    ("Heater on a flat battery", "the battery is flat or worn: nothing on the way is at fault"),
    ("Radio behind a converter that is too small", "nothing on the way is at fault"),
    (
        "Fridge behind a relay, wire too thin to start",
        "it draws nothing, so nothing tells what loses",
    ),
    ("A fuse and nothing else", "the minus of the module is not in the record"),
];

struct Example {
    record: String,
    fails: Vec<String>,
}

/// The examples below `### It fails` of a page.
fn failing(page: &str) -> Vec<Example> {
    let after = page.split("### It fails").nth(1).unwrap_or_default();
    let section = after.split("\n### ").next().unwrap_or_default();
    let blocks = section.split("```toml\n").skip(1);
    let records = blocks.map(|block| block.split("```").next().unwrap_or_default());
    let of = |record: &str| Example {
        record: record.to_owned(),
        fails: record
            .lines()
            .filter_map(|line| line.strip_prefix("# fails: "))
            .map(str::to_owned)
            .collect(),
    };
    records.map(of).collect()
}

fn cured(list: &MendList) -> BTreeSet<(&str, &str)> {
    let cures = list.offers.iter().flat_map(|offer| &offer.cures);
    cures.map(|of| (of.check.as_str(), of.place.as_str())).collect()
}

#[test]
fn every_check_has_a_rule_or_a_reason_that_its_page_gives() {
    for (slug, _) in analysis::check_list() {
        let page = analysis::check_page(slug).expect("a page");
        match analysis::mend_rule(slug) {
            Some(Ok(())) => {
                assert!(!page.contains("No repair is computed"), "{slug}: there is a rule");
            }
            Some(Err(why)) => {
                let line = format!("- No repair is computed: {why}.");
                assert!(page.contains(&line), "{slug}: its page says\n{line}");
            }
            None => panic!("{slug}: neither a rule nor a reason"),
        }
    }
}

#[test]
fn what_the_pages_show_failing_has_a_repair() {
    let mut missing = Vec::new();
    let (mut shown, mut offered) = (0, 0);
    for (slug, _) in analysis::check_list() {
        if !matches!(analysis::mend_rule(slug), Some(Ok(()))) {
            continue;
        }
        for example in failing(analysis::check_page(slug).expect("a page")) {
            let name = example.record.lines().find_map(|line| line.strip_prefix("name = "));
            let name = name.unwrap_or_default().trim_matches('"').to_owned();
            let case = Case::of(&example.record);
            let list = case.mends();
            let cured = cured(list);
            for place in &example.fails {
                shown += 1;
                if cured.contains(&(slug, place.as_str())) {
                    offered += 1;
                } else if !NOT_FROM_THIS.iter().any(|(of, _)| *of == name) {
                    let no =
                        list.without.iter().find(|no| no.check == slug && no.place.name == *place);
                    let why = no.map_or_else(String::new, |no| no.why.join("; "));
                    missing.push(format!("{slug}, {name}, {place}: {why}"));
                }
            }
        }
    }
    println!("{offered} of {shown} failures of the pages have a repair");
    assert!(missing.is_empty(), "{} of {shown}:\n{}", missing.len(), missing.join("\n"));
}
