//! Every kind of fault: where it is underlined, what helps, and that the rest is still read.

use std::collections::BTreeSet;

use diag::Severity;

use super::{only, read, underlined, well_formed};
use crate::line_column;

/// A small record without a fault. Each case adds to it and must leave all of it readable.
const SOUND: &str = r#"unbury = 1
[devices]
bar = { kind = "busbar" }
box = { kind = "blade fuse box", ways = ["15 A fridge"] }
fridge = { kind = "compressor fridge" }
inlet = { kind = "shore inlet" }
unit = { kind = "consumer unit" }
[wires]
w1 = "box.1 to fridge.+, 2.5 mm2, 4 m"
[parts]
drawer = { out = "4 min" }
[states]
night = { on = ["fridge"] }
"#;

type Case = (&'static str, &'static str, &'static str, &'static str, (usize, usize), &'static str);

/// Kind of fault; what is put in place of what in the sound record (nothing: added at the end);
/// what is underlined; line and column of it; part of a line of help.
const CASES: &[Case] = &[
    ("record-version", "unbury = 1", "unbury = 7", "7", (1, 10), "unbury = 1"),
    ("unknown-section", "", "[wire]\n", "wire", (14, 2), "did you mean `wires`?"),
    ("wrong-form", "", "[spots]\nx = 3\n", "3", (15, 5), "is, behind"),
    ("wrong-form", "", "[mends]\nm = { words = 3 }\n", "3", (15, 15), "quotes"),
    (
        "unknown-field",
        "{ out = \"4 min\" }",
        "{ out = \"4 min\", afer = \"x\" }",
        "afer",
        (11, 27),
        "did you mean `after`?",
    ),
    ("unknown-field", "", "[usual]\nlamp = \"x\"\n", "lamp", (15, 1), "wire, joint"),
    ("bad-quantity", "2.5 mm2", "2.5 qmn", "qmn", (9, 30), "mm2"),
    ("bad-quantity", "4 m\"", "4 \u{43c}\"", "\u{43c}", (9, 37), "12.8 V"),
    ("impossible-value", "4 m\"", "0 m\"", "0 m", (9, 35), "unknown"),
    (
        "unknown-word",
        "",
        "[vehicle]\nregion = \"eurpoe\"\n",
        "eurpoe",
        (15, 11),
        "did you mean `europe`?",
    ),
    ("bad-name", "", "[spots]\n\"a b\" = {}\n", "a b", (15, 2), "letters"),
    (
        "bad-name",
        "",
        "[spots]\n\"fr\u{456}dge\" = {}\n",
        "fr\u{456}dge",
        (15, 2),
        "only looks like `i`",
    ),
    ("bad-name", "", "[spots]\n\"a\u{200b}\" = {}\n", "a\u{200b}", (15, 2), "cannot be seen"),
    ("missing-field", "", "[devices.fan]\nlabel = \"x\"\n", "fan", (14, 10), "kind = \"other\""),
    ("unknown-kind", "\"busbar\"", "\"busbr\"", "busbr", (3, 17), "did you mean `busbar`?"),
    (
        "wrong-field",
        "kind = \"busbar\"",
        "kind = \"busbar\", ways = [\"5 A x\"]",
        "[\"5 A x\"]",
        (3, 33),
        "rated",
    ),
    (
        "unknown-device",
        "[\"fridge\"]",
        "[\"fridge\", \"frigde\"]",
        "frigde",
        (13, 28),
        "did you mean `fridge`?",
    ),
    (
        "unknown-terminal",
        "",
        "[stacks]\n\"fridge.\u{2212}\" = \"nut\"\n",
        "\u{2212}",
        (15, 9),
        "did you mean `fridge.-`?",
    ),
    (
        "unknown-terminal",
        "",
        "[stacks]\nfridge = \"nut\"\n",
        "fridge",
        (15, 1),
        "it has fridge.+, fridge.-",
    ),
    ("wire-line", "[parts]", "w2 = \"bar\"\n[parts]", "bar", (10, 7), "box.3 to fridge.+"),
    ("wire-piece", "4 m\"", "4 m, stiff\"", "stiff", (9, 40), "pieces are"),
    ("wire-piece", "4 m\"", "4 m, 15 A\"", "15 A", (9, 40), "device of its own"),
    ("short-length", "4 m\"", "4 mm\"", "4 mm", (9, 35), "4 mm2"),
    (
        "decimal-comma",
        "2.5 mm2, 4 m\"",
        "2.5 mm2\"\nw2 = \"bar to unknown, 2,5 mm2\"",
        "2,5",
        (10, 23),
        "`2.5`",
    ),
    (
        "cable-ends",
        "[parts]",
        "w2 = \"inlet.ac to unit.in, 2 x 1 mm2\"\n[parts]",
        "2 x 1 mm2",
        (10, 28),
        "each core",
    ),
    ("wire-to-itself", "[parts]", "w2 = \"bar to bar\"\n[parts]", "w2", (10, 1), "two different"),
    ("joint-name", "", "[joints]\n\"w1 on bar\" = \"lug\"\n", "w1 on bar", (15, 2), "all at"),
    ("joint-name", "", "[joints]\n\"w1 at bar\" = \"lug\"\n", "w1 at bar", (15, 2), "look where"),
    ("joint-name", "", "[joints]\n\"all at bar\" = \"lug\"\n", "bar", (15, 9), "look where"),
    (
        "unknown-wire",
        "",
        "[joints]\n\"w9 at bar\" = \"lug\"\n",
        "w9",
        (15, 2),
        "did you mean `w1`?",
    ),
    (
        "joint-piece",
        "",
        "[joints]\n\"w1 at box\" = \"lugg\"\n",
        "lugg",
        (15, 16),
        "did you mean `lug`?",
    ),
    ("stack-piece", "", "[stacks]\nbar = \"putty\"\n", "putty", (15, 8), "known here: w1"),
    ("stack-wire", "", "[stacks]\nbar = \"w1\"\n", "w1", (15, 8), "that stud"),
    (
        "fixing",
        "{ out = \"4 min\" }",
        "{ out = \"4 min\", fixings = \"4 scerws\" }",
        "scerws",
        (11, 40),
        "did you mean `screw`?",
    ),
    ("minutes", "4 min", "4 / 2 / 1 min", "4 / 2 / 1 min", (11, 19), "smallest first"),
    (
        "part-needs-itself",
        "{ out = \"4 min\" }",
        "{ out = \"4 min\", after = \"drawer\" }",
        "\"drawer\"",
        (11, 35),
        "left out",
    ),
    (
        "part-circle",
        "{ out = \"4 min\" }",
        "{ out = \"4 min\", after = \"b\" }\nb = { out = \"1 min\", after = \"drawer\" }",
        "drawer",
        (11, 1),
        "some other way",
    ),
    (
        "no-minutes",
        "{ out = \"4 min\" }",
        "{ out = \"4 min\", or = [{ after = \"drawer\" }] }",
        "\"drawer\"",
        (11, 43),
        "10 min",
    ),
    (
        "unknown-part",
        "",
        "[spots]\ns = { behind = \"drawr\" }\n",
        "drawr",
        (15, 17),
        "did you mean `drawer`?",
    ),
    (
        "box",
        "",
        "[spots]\ns = { box = \"forward 1 to 1 m, left 0 to 1 m, up 0 to 1 m\" }\n",
        "1 to 1 m",
        (15, 22),
        "thickness",
    ),
    (
        "box",
        "",
        "[spots]\ns = { box = \"up 2 to 1 m, left 0 to 1 m, back 0 to 1 m\" }\n",
        "2 to 1 m",
        (15, 17),
        "smaller",
    ),
    ("box", "", "[spots]\ns = { box = \"ahead 1 to 2 m\" }\n", "ahead", (15, 14), "forward"),
    (
        "unknown-tool",
        "{ out = \"4 min\" }",
        "{ out = \"4 min\", with = \"hamer\" }",
        "hamer",
        (11, 35),
        "did you mean `hammer`?",
    ),
    (
        "unknown-tool",
        "",
        "[workshop]\ntools = [\"driller\"]\n",
        "driller",
        (15, 11),
        "did you mean `drill`?",
    ),
    (
        "unknown-position",
        "{ out = \"4 min\" }",
        "{ out = \"4 min\", moved = \"slip\", moves = [{ to = \"slid\", out = \"1 min\" }] }",
        "slip",
        (11, 36),
        "did you mean `slid`?",
    ),
    (
        "missing-field",
        "{ out = \"4 min\" }",
        "{ out = \"4 min\", moves = [{ out = \"1 min\" }] }",
        "{ out = \"1 min\" }",
        (11, 36),
        "to = ",
    ),
    (
        "force",
        "{ out = \"4 min\" }",
        "{ out = \"4 min\", force = \"20 kg\" }",
        "20 kg",
        (11, 36),
        "220 N",
    ),
    (
        "too-heavy-for-one",
        "{ out = \"4 min\" }",
        "{ out = \"4 min\", mass = \"31 kg\", second_person = false }",
        "false",
        (11, 59),
        "second_person = true",
    ),
    (
        "never-out",
        "[parts]",
        "[parts]\nb = { fixings = \"2 unreachable bolts\" }",
        "b",
        (11, 1),
        "destructive",
    ),
    (
        "fixing-on-nothing",
        "[parts]",
        "[parts]\na = { out = \"1 min\", taken_out = true }\nb = { fixings = \"2 bolts into a\" }",
        "\"2 bolts into a\"",
        (12, 17),
        "taken_out",
    ),
    ("wrong-device", "[\"fridge\"]", "[\"fridge\", \"bar\"]", "bar", (13, 28), "turned on"),
    (
        "state-at-odds",
        "[\"fridge\"]",
        "[\"fridge\"], engine_speed = \"800 rpm\"",
        "\"800 rpm\"",
        (13, 43),
        "engine = \"running\"",
    ),
    ("unknown-state", "", "[readings]\nr = \"nite: 1 A in w1\"\n", "nite", (15, 6), "night"),
    ("reading-line", "", "[readings]\nr = \"night: 1 A\"\n", "1 A", (15, 13), "4.9 A in w12"),
    (
        "mend-path",
        "",
        "[mends]\nm = { sets = { \"wires.w9\" = \"x\" } }\n",
        "wires.w9",
        (15, 17),
        "wires.w12",
    ),
    ("seen-by", "", "[vehicle]\nseen = \"RK\"\n", "RK", (15, 9), "by RK on"),
    ("duplicate", "[parts]", "w1 = \"bar to unknown\"\n[parts]", "w1", (10, 1), "only the first"),
    ("duplicate", "", "[parts]\nlid = \"lid\"\n", "parts", (14, 2), "read all the same"),
    ("syntax", "[parts]", "w2 = \"bar to unknown\n[parts]", "", (10, 21), "closing quotes"),
    ("syntax", "[parts]", "w2 bar\n[parts]", "", (10, 4), "name = \"value\""),
    ("syntax", "[parts]", "w2 = bar to unknown\n[parts]", "bar to unknown", (10, 6), "w12 = "),
    ("syntax", "", "[spots]\na = { is = \"x\" behind = \"drawer\" }\n", "", (15, 16), "kind = "),
    ("syntax", "[parts]", "w2 = { from = \"bar\"\n[parts]", "{", (10, 6), "kind = "),
    ("syntax", "[\"15 A fridge\"]", "[\"15 A fridge\"", "{", (4, 7), "left out"),
    ("syntax", "", "[spots]\na = { is = \"c:\\vans\" }\n", "", (15, 16), "\\\\"),
    ("syntax", "", "[spots\n", "", (14, 7), "[devices]"),
];

/// Kinds that need a text of their own; see the named tests.
const ELSEWHERE: &[&str] = &[
    "too-large",
    "too-deep",
    "too-many",
    "too-many-faults",
    "empty-record",
    "serviced",
    "took-line",
    "took-way",
];

#[test]
fn each_kind_of_fault_is_underlined_where_it_is_and_the_rest_is_read() {
    super::clean(SOUND);
    for (slug, old, new, at, place, help) in CASES {
        let text = if old.is_empty() {
            format!("{SOUND}{new}")
        } else {
            assert_eq!(SOUND.matches(old).count(), 1, "{old}");
            SOUND.replace(old, new)
        };
        let record = read(&text);
        well_formed(&text, &record);
        let fault = record
            .diagnostics
            .iter()
            .find(|d| d.slug == *slug && underlined(&text, d) == *at)
            .unwrap_or_else(|| panic!("{slug} at {at:?} in {new:?}: {:#?}", record.diagnostics));
        let found = line_column(&text, fault.place().start);
        assert_eq!((found.line, found.column), *place, "{slug} in {new:?}");
        assert!(fault.help.iter().any(|line| line.contains(help)), "{slug}: {:?}", fault.help);
        // What the fault does not touch is there.
        let v = &record.vehicle;
        let names = |found: Vec<&str>, wanted: &[&str]| {
            for name in wanted {
                let touched = (*slug == "unknown-kind" && *name == "bar")
                    || (new.ends_with("fridge\"") && *name == "box");
                assert!(touched || found.contains(name), "{slug} in {new:?}: lost {name}");
            }
        };
        names(
            v.devices.iter().map(|(_, d)| d.name.as_str()).collect(),
            &["bar", "box", "fridge", "inlet", "unit"],
        );
        let wires: &[&str] = if new.ends_with("fridge\"") { &[] } else { &["w1"] };
        names(v.wires.iter().map(|(_, w)| w.name.as_str()).collect(), wires);
        names(v.parts.iter().map(|(_, p)| p.name.as_str()).collect(), &["drawer"]);
        names(v.states.iter().map(|(_, s)| s.name.as_str()).collect(), &["night"]);
    }
}

#[test]
fn no_kind_of_fault_is_without_a_test() {
    let sources = [
        include_str!("../at_odds.rs"),
        include_str!("../boxes.rs"),
        include_str!("../broken.rs"),
        include_str!("../cables.rs"),
        include_str!("../circles.rs"),
        include_str!("../devices.rs"),
        include_str!("../faults.rs"),
        include_str!("../fixings.rs"),
        include_str!("../joints.rs"),
        include_str!("../names.rs"),
        include_str!("../observations.rs"),
        include_str!("../parts.rs"),
        include_str!("../possible.rs"),
        include_str!("../reader.rs"),
        include_str!("../removals.rs"),
        include_str!("../states.rs"),
        include_str!("../syntax.rs"),
        include_str!("../took.rs"),
        include_str!("../wires.rs"),
    ];
    let mut written = BTreeSet::new();
    for source in sources {
        for call in ["Diagnostic::error(", "Diagnostic::warning("] {
            for (at, _) in source.match_indices(call) {
                let rest = source[at + call.len()..].trim_start();
                let slug = rest.strip_prefix('"').and_then(|rest| rest.split('"').next());
                written.insert(slug.expect("a slug stands first"));
            }
        }
    }
    let tested: BTreeSet<&str> =
        CASES.iter().map(|case| case.0).chain(ELSEWHERE.iter().copied()).collect();
    assert_eq!(written, tested);
}

#[test]
fn faults_come_in_the_order_of_the_text() {
    let record = read(
        "[devices]\na = { kind = \"x\" }\n[wires]\nw = \"b to c\"\n[vehicle]\nname = 3\n[zzz]\n",
    );
    let starts: Vec<usize> = record.diagnostics.iter().map(|d| d.place().start).collect();
    assert!(starts.is_sorted() && starts.len() >= 4, "{starts:?}");
}

#[test]
fn an_empty_record_is_remarked_and_one_with_only_remarks_too() {
    for text in ["", "\n\n", "# a remark\n# another\n", "\u{feff}"] {
        let record = read(text);
        assert_eq!(only(&record, "empty-record").severity, Severity::Warning);
        well_formed(text, &record);
    }
    assert!(read("unbury = 1\n").diagnostics.is_empty());
}

#[test]
fn columns_count_characters_not_bytes() {
    let text = "[vehicle]\ncomplaint = \"käse\" # ü\n[devices]\n\"a\" = { label = \"größe\", kind = \"busbr\" }\n";
    let fault = only(&read(text), "unknown-kind").clone();
    let place = line_column(text, fault.place().start);
    assert_eq!((place.line, place.column), (4, 34));
    assert_eq!(line_column(text, usize::MAX).line, 5);
    // A byte in the middle of a character is placed at the character.
    let inside = text.find('ä').unwrap() + 1;
    assert_eq!(line_column(text, inside), line_column(text, inside - 1));
}

#[test]
fn words_written_with_escapes_are_underlined_whole() {
    let text = "[devices]\na = { kind = \"bus\\u0062r\" }\n[wires]\nw = '''\nb to c'''\n";
    let record = read(text);
    assert_eq!(underlined(text, only(&record, "unknown-kind")), "\"bus\\u0062r\"");
    well_formed(text, &record);
}

#[test]
fn a_line_broken_by_a_missing_quote_is_not_also_called_incomplete() {
    let text = "[devices]\na = { kind = \"busbar }\nb = { kind = \"busbar\" }\n";
    let record = read(text);
    assert!(
        record.diagnostics.iter().all(|d| d.slug != "missing-field"),
        "{:#?}",
        record.diagnostics
    );
    assert!(record.diagnostics.iter().any(|d| d.message.contains("quotes are not closed")));
}

#[test]
fn a_line_broken_in_any_way_does_not_take_the_next_lines_with_it() {
    for broken in [
        "x",
        "x y",
        "x =",
        "= \"y\"",
        "x = y",
        "x = {",
        "x = [",
        "x = { is = \"y\"",
        "x = { is = \"y }",
        "x = [\"y\", [\"z\"]",
        "x = \"y",
        "x = 'y",
        "x = \"\"\"y",
        "x = \'\'\'",
        "x = }",
        "x = ]",
        "x = \"y\" z",
        "x = { is = \"a\", is = \"b\" }",
        "x.y.z",
        "x. = 1",
        ".x = 1",
        "\"x",
        "[x",
        "[[x",
        "]",
        "}",
        "x = \"\\q\"",
        "\u{0}",
        "\\",
        "x = { is = { is = { is = ",
        "x == 1",
        "x = 1 = 2",
        ",",
    ] {
        let text = SOUND.replace("[parts]", &format!("{broken}\n[parts]"));
        let record = read(&text);
        well_formed(&text, &record);
        assert!(!record.diagnostics.is_empty(), "{broken:?}");
        let v = &record.vehicle;
        let read = (v.devices.len(), v.parts.len(), v.states.len());
        assert_eq!(read, (5, 1, 1), "{broken:?}: {:#?}", record.diagnostics);
        assert!(v.wires.find(|wire| wire.name == "w1").is_some(), "{broken:?}");
    }
}

#[test]
fn a_decimal_comma_is_never_read_as_a_smaller_number_and_a_larger() {
    for (line, at) in [
        ("w2 = \"bar to unknown, 2,5 mm2\"", "2,5"),
        ("w2 = \"bar to unknown, told 0,4 m by the owner\"", "0,4"),
        ("w2 = \"bar to unknown, 16 mm2, 1,25 m\"", "1,25"),
    ] {
        let text = SOUND.replace("[parts]", &format!("{line}\n[parts]"));
        let record = read(&text);
        assert_eq!(underlined(&text, only(&record, "decimal-comma")), at);
        assert!(record.vehicle.wires.find(|wire| wire.name == "w2").is_none());
    }
    for rest in [
        "[joints]\n\"w1 at box\" = \"lug, measured 0,5 mOhm\"",
        "[readings]\nr = \"night: 10,7 V between fridge.+ and fridge.-\"",
        "[spots]\n[parts.x]\nfixings = \"8,2 clips\"",
    ] {
        let text = format!("{SOUND}{rest}\n");
        only(&read(&text), "decimal-comma");
    }
    // Where no comma separates, it is an ordinary decimal comma.
    super::clean(&SOUND.replace("4 min", "4,5 min"));
    super::clean(&SOUND.replace("2.5 mm2, 4 m", "2.5 mm2,4 m"));
    super::clean(&SOUND.replace("2.5 mm2, 4 m", "10 AWG,4 m"));
}

#[test]
fn a_word_in_common_is_a_hint_too() {
    let help = |text: &str| read(text).diagnostics[0].help.join(" ");
    assert!(help("[devices]\na = { kind = \"fridge\" }").contains("`compressor fridge`"));
    assert!(help("[devices]\na = { kind = \"battery\" }").contains("`agm battery` or "));
    assert!(help("[parts]\np = { fixings = \"4 self-tapping screws\" }").contains("`screw`"));
}
