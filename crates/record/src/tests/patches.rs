//! A patch changes one value and not a byte besides; what was patched in is read back.

use std::path::PathBuf;

use proptest::prelude::*;
use toml::Value;

use super::{clean, device, near, wire};
use crate::{PatchError, add_line, patch};

/// Every example record of the repository, by name.
fn records() -> Vec<(String, String)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../records");
    let mut records = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if let Ok(text) = std::fs::read_to_string(path.join(format!("{name}.toml"))) {
            records.push((name, text));
        }
    }
    records.sort();
    assert!(!records.is_empty());
    records
}

/// The paths of all single values.
fn paths(value: &Value, here: &[String], found: &mut Vec<Vec<String>>) {
    match value {
        Value::Table(table) => {
            for (key, value) in table {
                let mut path = here.to_vec();
                path.push(key.clone());
                paths(value, &path, found);
            }
        }
        Value::Array(_) => {}
        _ => found.push(here.to_vec()),
    }
}

fn at<'v>(value: &'v Value, path: &[String]) -> &'v Value {
    path.iter().fold(value, |value, key| &value[key.as_str()])
}

/// Every value of every record, so that the test chooses among all.
fn places() -> Vec<(usize, Vec<String>)> {
    let mut all = Vec::new();
    for (index, (_, text)) in records().iter().enumerate() {
        let mut found = Vec::new();
        paths(&Value::Table(text.parse().unwrap()), &[], &mut found);
        all.extend(found.into_iter().map(|path| (index, path)));
    }
    all
}

#[track_caller]
fn check(text: &str, path: &[String], new: &str) {
    let keys: Vec<&str> = path.iter().map(String::as_str).collect();
    let patched = patch(text, &keys, new).unwrap_or_else(|error| panic!("{path:?}: {error}"));
    // Outside the value nothing differs: the longest common head and tail leave one value.
    let head = text.bytes().zip(patched.bytes()).take_while(|(a, b)| a == b).count();
    let room = text.len().min(patched.len()) - head;
    let tail =
        text.bytes().rev().zip(patched.bytes().rev()).take_while(|(a, b)| a == b).count().min(room);
    let gone = &text[head..text.len() - tail];
    assert!(!gone.contains('\n'), "{path:?}: more than one line changed: {gone:?}");
    assert_eq!(text.lines().count(), patched.lines().count(), "{path:?}");
    let (mut before, after): (Value, Value) =
        (Value::Table(text.parse().unwrap()), Value::Table(patched.parse().unwrap()));
    assert_eq!(at(&after, path).as_str(), Some(new), "{path:?}");
    let last = path.iter().fold(&mut before, |value, key| &mut value[key.as_str()]);
    *last = Value::String(new.to_owned());
    assert_eq!(before, after, "{path:?}: another value changed");
    assert_eq!(comments(text), comments(&patched), "{path:?}");
}

/// The remarks of a text whose values hold no `#`.
fn comments(text: &str) -> Vec<&str> {
    text.lines().filter_map(|line| line.split_once(" # ").map(|(_, remark)| remark)).collect()
}

#[test]
fn a_value_of_a_record_is_patched_alone() {
    let records = records();
    let places = places();
    assert!(places.len() > 100 * records.len());
    // Each parse takes a few milliseconds; one in twenty-three of all records is enough here.
    for (index, path) in places.iter().step_by(23) {
        check(&records[*index].1, path, "a new value");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_words_can_be_patched_in_anywhere(choice in any::<prop::sample::Index>(), new in "[^#]{0,30}") {
        let (records, places) = (records(), places());
        let (index, path) = &places[choice.index(places.len())];
        // Line ends of the new words are written as escapes, so the text keeps its lines.
        check(&records[*index].1, path, &new);
    }

    #[test]
    fn patching_any_text_at_any_path_never_panics(text in "\\PC{0,60}", path in prop::collection::vec("[a-c.\"]{0,3}", 0..4)) {
        let keys: Vec<&str> = path.iter().map(String::as_str).collect();
        let _ = patch(&text, &keys, "x");
    }
}

const SMALL: &str = "# head\nunbury = 1\n\n[devices]   # things\nbar   = { kind = \"busbar\" }\nf = { kind = \"fan\", power = '30 W' }  # the loud one\n\n[wires]\n'w1' = \"bar to f.+, 4 mm2\" # short\n[parts]\np = { taken_out = true, out = \"1 min\" }\n";

#[test]
fn patched_text_is_read_with_the_new_value() {
    let patched = patch(SMALL, &["wires", "w1"], "bar to f.+, 6 mm2, 2 m").unwrap();
    let record = clean(&patched);
    near(wire(&record.vehicle, "w1").area.value().unwrap().si(), 6.0);
    near(wire(&record.vehicle, "w1").length.value().unwrap().si(), 2.0);
    let patched = patch(&patched, &["devices", "f", "power"], "told 25 W by the owner").unwrap();
    let record = clean(&patched);
    let fan = &record.vehicle.devices[device(&record.vehicle, "f")];
    near(fan.number(model::Attribute::Power).unwrap(), 25.0);
    assert_eq!(
        patched,
        SMALL
            .replace("\"bar to f.+, 4 mm2\"", "\"bar to f.+, 6 mm2, 2 m\"")
            .replace("'30 W'", "\"told 25 W by the owner\"")
    );
}

#[test]
fn words_with_quotes_backslashes_and_line_ends_come_back_as_they_were() {
    for new in [
        "say \"hi\"",
        "c:\\vans",
        "two\nlines",
        "tab\there",
        "nul\0del\u{7f}",
        "'''",
        "\"\"\"",
        "é±−\u{1f69a}",
        "",
        "#",
        "}",
    ] {
        let patched = patch(SMALL, &["devices", "f", "power"], new).unwrap();
        let table: Value = Value::Table(patched.parse().unwrap());
        assert_eq!(table["devices"]["f"]["power"].as_str(), Some(new));
    }
}

#[test]
fn a_byte_order_mark_and_line_ends_of_another_system_stay() {
    let text = format!("\u{feff}{}", SMALL.replace('\n', "\r\n"));
    let patched = patch(&text, &["devices", "f", "power"], "9 W").unwrap();
    assert_eq!(patched, text.replace("'30 W'", "\"9 W\""));
}

#[test]
fn a_path_that_leads_nowhere_says_how_far_it_went() {
    let missing = |found: &str, missing: &str| PatchError::NoSuchPath {
        found: found.to_owned(),
        missing: missing.to_owned(),
    };
    assert_eq!(patch(SMALL, &["wires", "w9"], "x"), Err(missing("wires", "w9")));
    assert_eq!(patch(SMALL, &["wirs", "w1"], "x"), Err(missing("", "wirs")));
    assert_eq!(
        patch(SMALL, &["devices", "f", "power", "x"], "x"),
        Err(missing("devices.f.power", "x"))
    );
    assert_eq!(patch(SMALL, &[], "x"), Err(missing("", "")));
    assert_eq!(
        patch(SMALL, &["devices", "f"], "x"),
        Err(PatchError::NotOneValue { path: "devices.f".to_owned() })
    );
    let words = patch(SMALL, &["wires", "w9"], "x").unwrap_err().to_string();
    assert_eq!(words, "`wires` has no `w9` in the record");
}

#[test]
fn a_line_is_added_at_the_end_of_its_section() {
    let cases = [
        // The section is there, others follow; remarks stay before the section they stand above.
        (
            "[a]\nx = 1 # one\n\n# of b\n[b]\ny = 2\n",
            "[a]\nx = 1 # one\nz = 3\n\n# of b\n[b]\ny = 2\n",
        ),
        // It is the last one, without a line end.
        ("[b]\ny = 2\n[a]\nx = 1", "[b]\ny = 2\n[a]\nx = 1\nz = 3\n"),
        // It is empty.
        ("[a]\n[b]\ny = 2\n", "[a]\nz = 3\n[b]\ny = 2\n"),
        ("[a] # head\n\n[b]\ny = 2\n", "[a] # head\nz = 3\n\n[b]\ny = 2\n"),
        // It is not there.
        ("[b]\ny = 2\n", "[b]\ny = 2\n\n[a]\nz = 3\n"),
        ("[b]\ny = 2", "[b]\ny = 2\n\n[a]\nz = 3\n"),
        ("", "\n[a]\nz = 3\n"),
        // Lines of another system end as the others do.
        ("[a]\r\nx = 1\r\n\r\n[b]\r\n", "[a]\r\nx = 1\r\nz = 3\r\n\r\n[b]\r\n"),
        // Lists over several lines are no headers.
        ("[a]\nx = [\n  [1],\n  [2]\n]\n[b]\n", "[a]\nx = [\n  [1],\n  [2]\n]\nz = 3\n[b]\n"),
    ];
    for (text, expected) in cases {
        let added = add_line(text, "a", "z = 3");
        assert_eq!(added, expected, "{text:?}");
        let table: Value = Value::Table(added.parse().unwrap());
        assert_eq!(table["a"]["z"].as_integer(), Some(3));
    }
}

#[test]
fn a_list_that_is_there_gets_the_new_members() {
    let add = |text: &str, line: &str| {
        let added = add_line(text, "history", line);
        let table: Value = Value::Table(added.parse().unwrap_or_else(|no| panic!("{added}: {no}")));
        let list = table["history"]["not_reached"].as_array().unwrap().clone();
        let members: Vec<String> = list.iter().map(|m| m.as_str().unwrap().to_owned()).collect();
        (added, members.join(" "))
    };
    let more = "not_reached = [\"b.1\", \"c.+\"]";
    for (text, members) in [
        ("[history]\nnot_reached = [\"a.+\"]\n", "a.+ b.1 c.+"),
        ("[history]\nnot_reached = [\"a.+\",] # hidden\n", "a.+ b.1 c.+"),
        ("[history]\nnot_reached = [\n  \"a.+\", # hidden\n]\n", "a.+ b.1 c.+"),
        ("[history]\nnot_reached = []\n", "b.1 c.+"),
        ("[history]\nanswers = [\"after rain\"]\n", "b.1 c.+"),
        ("", "b.1 c.+"),
    ] {
        let (added, found) = add(text, more);
        assert_eq!(found, members, "{added}");
        assert_eq!(added.matches('#').count(), text.matches('#').count());
        // Nothing more changes nothing, and leaves a list that can be added to again.
        assert_eq!(add(&added, "not_reached = []").0, added);
        assert_eq!(add(&added, "not_reached = [\"d.-\"]").1, format!("{members} d.-"));
    }
}

#[test]
fn a_joint_that_was_described_keeps_its_words_and_gets_a_new_condition() {
    let text =
        "[joints]\n\"w1 at f.+\" = \"lug, good, 0.5 mOhm\" # torqued\n\"w2 at f.-\" = 'loose'\n";
    let added = add_line(text, "joints", "\"w1 at f.+\" = \"loose\"");
    assert_eq!(added, text.replace("\"lug, good, 0.5 mOhm\"", "\"lug, 0.5 mOhm, loose\""));
    let added = add_line(&added, "joints", "\"w2 at f.-\" = \"good\"");
    assert!(added.contains("\"w2 at f.-\" = \"good\"\n"), "{added}");
    let added = add_line(&added, "joints", "\"w3 at f.-\" = \"good\"");
    assert!(added.ends_with("\"w3 at f.-\" = \"good\"\n"), "{added}");
}

proptest! {
    #[test]
    fn adding_to_any_text_never_panics(text in "\\PC{0,60}", line in "\\PC{0,30}") {
        let _ = add_line(&text, "a", &line);
        let _ = add_line(&format!("[a]\n{text}"), "a", &line);
    }
}
