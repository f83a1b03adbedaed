//! Sheets of things: every fact says how it is known, and what a form would write stands in its place.

use analysis::{Case, FactView};

const RECORDS: [&str; 3] = [
    include_str!("../../../records/dunlin/dunlin.toml"),
    include_str!("../../../records/plover/plover.toml"),
    include_str!("../../../records/wren/wren.toml"),
];

/// A record whose facts are known by what stands in it; the expected words are read off the text.
const SMALL: &str = r#"unbury = 1
[vehicle]
name = "Small"
system = "12 V"
seen = "by TM on 2026-06-11"
[devices]
house = { kind = "agm battery", behind = "lid", holds = "told 90 Ah by the owner", resistance = "assumed 4 mOhm because it is old" }
bar   = { kind = "busbar", behind = "nothing" }
[wires]
w1 = "house.- to bar, assumed 25 mm2 because it is thick, black, measured 0.4 m ± 0.1 m by RK on 2026-05-02, fine"
w2 = "bar to unknown, 1.5 mm2"
[parts]
lid = { is = "lid", fixings = "4 screws" }
"#;

fn fact(case: &Case, item: &str, key: &str) -> FactView {
    let item = case.item(item).expect("the thing");
    item.facts.into_iter().find(|fact| fact.key == key).expect("the fact")
}

#[test]
fn a_fact_says_its_value_how_it_is_known_and_by_whom() {
    let case = Case::of(SMALL);
    let said = |item: &str, key: &str| {
        let fact = fact(&case, item, key);
        (fact.value, fact.origin, fact.from)
    };
    let of = |value: &str, origin: &str, from: &str| {
        (value.to_owned(), origin.to_owned(), from.to_owned())
    };
    assert_eq!(said("house", "holds"), of("90 Ah", "told", "by the owner"));
    assert_eq!(said("house", "resistance"), of("4 mΩ", "assumed", "it is old"));
    assert_eq!(said("house", "behind"), of("lid", "seen", "by TM on 2026-06-11"));
    assert_eq!(said("w1", "size"), of("25 mm2", "assumed", "it is thick"));
    assert_eq!(said("w1", "length"), of("400 mm", "measured", "by RK on 2026-05-02"));
    assert_eq!(said("w2", "length"), of("unknown", "", ""));
    assert_eq!(said("lid", "fixings"), of("4 x screw", "seen", ""));
}

#[test]
fn what_is_near_is_named() {
    let case = Case::of(SMALL);
    let near = |item: &str| {
        let item = case.item(item).expect("the thing");
        item.near.into_iter().map(|near| near.name).collect::<Vec<_>>()
    };
    assert_eq!(near("bar"), ["w1", "w2"]);
    assert_eq!(near("w1"), ["house", "bar"]);
    assert_eq!(near("lid"), ["house"]);
    assert!(case.item("nothing-of-the-sort").is_none());
}

/// Making a fact unknown, as the form of its sheet does, makes it unknown and leaves the record
/// without a new error (that nothing says how long a part takes is a warning).
#[test]
fn every_fact_of_every_record_can_be_made_unknown_in_its_place() {
    let mut changed = 0;
    for text in RECORDS.into_iter().chain([SMALL]) {
        let case = Case::of(text);
        let errors = case.record_faults().iter().filter(|fault| fault.severity == "error").count();
        // What is written once for all wires fills a wire that says nothing.
        let usual = text.contains("[usual]");
        for (sort, name, _) in case.item_names().into_iter().step_by(9) {
            let item = case.item(&name).expect("a thing that is listed");
            for fact in item.facts {
                let Some(change) = fact.change.filter(|change| !change.is.is_empty()) else {
                    continue;
                };
                let stands = format!("{}{}{}", change.before, change.is, change.after);
                assert_eq!(Some(&stands), change.was.as_ref(), "{name} {}", fact.key);
                let keys = record::split_path(&change.path).expect("a path");
                let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
                let new = format!("{}{}{}", change.before, change.unknown, change.after);
                let text = record::set(text, &keys, &new).expect("a value that is there");
                let catalog = catalog::Catalog::embedded();
                let read = record::read(&text, &catalog);
                let faults = read.diagnostics.iter();
                let made = faults.filter(|fault| fault.severity.word() == "error").count();
                assert!(made <= errors, "{name} {}: {:?}", fact.key, read.diagnostics);
                changed += 1;
                if changed % 40 == 0 && !(usual && sort == "wire") && fact.key != "fixings" {
                    let after = Case::of(&text).item(&name).expect("it is still there");
                    let after = after.facts.into_iter().find(|after| after.key == fact.key);
                    let origin = after.map(|fact| fact.origin).unwrap_or_default();
                    assert!(
                        origin.is_empty() || origin == "assumed",
                        "{name} {}: {origin}",
                        fact.key
                    );
                }
            }
        }
    }
    assert!(changed > 40, "{changed} facts were changed");
}

#[test]
fn what_was_seen_stands_on_the_sheet_with_how_it_is_known() {
    let text = SMALL
        .replace("1.5 mm2\"", "1.5 mm2, no grommet, told near heat by the owner, bend 12 mm\"\nw3 = \"bar to house.+\"")
        .replace("behind = \"nothing\"", "behind = \"nothing\", looks = \"no label\"");
    let text = format!("{text}[joints]\n\"w3 at bar\" = \"lug, not crimped\"\n");
    let case = Case::of(&text);
    let seen: Vec<(String, String)> = case
        .item("w2")
        .expect("the wire")
        .facts
        .into_iter()
        .filter(|fact| fact.key == "looks" || fact.key == "bend")
        .map(|fact| (fact.value, fact.origin))
        .collect();
    let of = |value: &str, origin: &str| (value.to_owned(), origin.to_owned());
    let wanted = [of("no grommet", "seen"), of("near heat", "told"), of("12 mm", "seen")];
    assert_eq!(seen, wanted);
    let bar = fact(&case, "bar", "looks");
    assert_eq!((bar.value.as_str(), bar.origin.as_str()), ("no label", "seen"));
    let change = bar.change.expect("a field of its own");
    assert_eq!((change.path.as_str(), change.is.as_str()), ("devices.bar.looks", "no label"));
    let near = case.item("w3").expect("the wire").near;
    assert!(near.iter().any(|near| near.words.contains("not crimped (seen)")), "{near:?}");
}

#[test]
fn a_value_is_changed_where_it_stands_and_refused_where_it_cannot_stand() {
    let changed = analysis::with_value(SMALL, "wires.w2", "bar to unknown, 2.5 mm2, no grommet");
    let changed = changed.expect("a line of its own");
    assert!(changed.contains("w2 = \"bar to unknown, 2.5 mm2, no grommet\""), "{changed}");
    let grommet = |text: &str| {
        let review = Case::of(text).review();
        review.findings.iter().any(|finding| finding.check == "edge-without-grommet")
    };
    assert!(!grommet(SMALL) && grommet(&changed));
    assert_eq!(analysis::with_value(SMALL, "wires", "red"), None);
}

#[test]
fn a_way_of_a_fuse_box_is_changed_alone() {
    let text = SMALL.replace(
        "[wires]",
        "box = { kind = \"blade fuse box\", ways = [\"unknown lamp\", \"10 A pump\", \"empty\"] }\n[wires]",
    );
    let case = Case::of(&text);
    assert_eq!(fact(&case, "box", "way 1").value, "unknown");
    assert_eq!(fact(&case, "box", "way 2").value, "10 A pump");
    assert_eq!(fact(&case, "box", "way 3").value, "empty");
    let change = fact(&case, "box", "way 1").change.expect("where it is written");
    let list = format!("{}15 A lamp{}", change.before, change.after);
    let changed = analysis::with_value(&text, &change.path, &list).expect("a list in its place");
    assert!(changed.contains(r#"ways = ["15 A lamp", "10 A pump", "empty"]"#), "{changed}");
    assert_eq!(fact(&Case::of(&changed), "box", "way 1").value, "15 A lamp");
}
