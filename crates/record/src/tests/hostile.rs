//! Records made to hurt: nothing panics, nothing takes long, and what is wrong is said. The tests
//! run on the small stack of a test thread (2 MiB), smaller than any the program reads on.

use std::fmt::Write;
use std::time::{Duration, Instant};

use super::{only, read, well_formed};
use crate::{MAX_BYTES, MAX_ITEMS, Record};

/// Long even for an unoptimized build on a busy machine; what these tests guard against took
/// minutes or for ever.
const LONG: Duration = Duration::from_secs(30);

#[track_caller]
fn survives(text: &str) -> Record {
    let start = Instant::now();
    let record = read(text);
    assert!(start.elapsed() < LONG, "{:?}", start.elapsed());
    well_formed(text, &record);
    assert!(record.diagnostics.len() <= 501, "{}", record.diagnostics.len());
    record
}

fn slugs(record: &Record) -> Vec<&'static str> {
    record.diagnostics.iter().map(|d| d.slug).collect()
}

const TAIL: &str = "\nb = { kind = \"busbar\" }\n";

#[test]
fn brackets_ten_thousand_deep_are_refused_and_the_next_line_is_read() {
    let n = 10_000;
    for deep in [
        format!("[devices]\na = {}{}", "[".repeat(n), "]".repeat(n)),
        format!("[devices]\na = {}1{}", "{x=".repeat(n), "}".repeat(n)),
        format!("[devices]\na = {{ kind = {}{} }}", "[".repeat(n), "]".repeat(n)),
    ] {
        let record = survives(&format!("{deep}{TAIL}"));
        assert!(slugs(&record).contains(&"too-deep"), "{:?}", slugs(&record));
        assert!(record.vehicle.devices.find(|d| d.name == "b").is_some());
    }
    for deep in [
        format!("[devices]\n{}b = 1\n", "a.".repeat(n)),
        format!("[{}b]\nx = 1\n", "a.".repeat(n)),
        format!("{}b = 1\n", "a.".repeat(500_000)),
    ] {
        assert!(slugs(&survives(&deep)).contains(&"too-deep"));
    }
}

#[test]
fn a_megabyte_of_one_sign_is_a_fault_and_no_more() {
    for sign in [
        "[", "]", "{", "}", "\"", "'", "=", ".", ",", "#", "\\", "a", "0", "\0", "\r", "\n", " ",
        "[[", "a=[", "a={a=", "[a]\n", "\"\n", "=\n", "[\n", "a=1\n",
    ] {
        let size = if matches!(sign, "[" | "=\n" | "a=[") { 1_000_000 } else { 100_000 };
        let record = survives(&sign.repeat(size / sign.len()));
        assert!(!record.diagnostics.is_empty(), "{sign:?}");
    }
}

#[test]
fn a_record_too_large_is_not_read() {
    let text = format!("[devices]\n# {}\n", "x".repeat(MAX_BYTES));
    let record = survives(&text);
    assert_eq!(slugs(&record), ["too-large"]);
    let just = format!("[devices]\n#{}", "x".repeat(MAX_BYTES - 11));
    assert_eq!(just.len(), MAX_BYTES);
    assert!(survives(&just).diagnostics.is_empty());
}

#[test]
fn of_thirteen_thousand_wires_the_first_twelve_thousand_are_read_and_the_rest_reported() {
    let mut text =
        String::from("[devices]\na = { kind = \"busbar\" }\nb = { kind = \"stud\" }\n[wires]\n");
    for wire in 0..13_000 {
        writeln!(text, "w{wire} = \"a to b, 6 mm2, 1 m\"").unwrap();
    }
    let record = survives(&text);
    assert_eq!(record.vehicle.wires.len(), MAX_ITEMS);
    assert_eq!(&text[only(&record, "too-many").place().start..][..7], "w12000 ");
}

#[test]
fn no_thing_is_dropped_in_silence_when_the_arenas_are_full() {
    let mut text = String::from("[devices]\n");
    for device in 0..MAX_ITEMS {
        writeln!(text, "d{device} = {{ kind = \"inverter charger\" }}").unwrap();
    }
    let record = survives(&text);
    only(&record, "too-many");
    assert!(record.vehicle.terminals.len() <= 4 * MAX_ITEMS);
    let mut text = String::from(
        "[devices]\na = { kind = \"shore inlet\" }\nb = { kind = \"consumer unit\" }\n[wires]\n",
    );
    for wire in 0..MAX_ITEMS {
        writeln!(text, "w{wire} = \"a.ac to b.in, 3 x 1 mm2\"").unwrap();
    }
    let record = survives(&text);
    assert!(slugs(&record).contains(&"too-many"));
    assert!(record.vehicle.joints.len() <= 4 * MAX_ITEMS);
}

#[test]
fn thousands_of_names_that_are_not_known_are_reported_up_to_the_limit() {
    let mut text = String::from("[devices]\n");
    for n in 0..5_000 {
        writeln!(text, "d{n} = {{ kind = \"busbar\" }}").unwrap();
    }
    text.push_str("[wires]\n");
    for n in 0..4_999 {
        writeln!(text, "w{n} = \"d{n} to d{}\"", n + 1).unwrap();
    }
    text.push_str("[joints]\n");
    for n in 0..4_999 {
        writeln!(text, "\"xxw{n} at d1\" = \"lug\"").unwrap();
    }
    let record = survives(&text);
    assert_eq!(record.diagnostics.len(), 501);
    only(&record, "too-many-faults");
    let all_at = text.replace("xxw", "all at d").replace(" at d1\"", "\"");
    assert!(survives(&all_at).diagnostics.is_empty());
}

#[test]
fn lines_of_endless_pieces_are_left_out_whole() {
    let many = |word: &str| format!("{word}{}", word.repeat(200_000));
    let head = "[devices]\na = { kind = \"busbar\" }\nb = { kind = \"stud\" }\nc = { kind = \"agm battery\", held = \"x\" }\n";
    let parts = "[parts]\np = { out = \"1 min\" }\n";
    for (line, lost) in [
        (format!("{head}[wires]\nw = \"a to b{}\"", many(", red")), "wires"),
        (format!("{head}[usual]\nwire = \"red{}\"", many(", red")), ""),
        (format!("{head}[usual]\njoint = \"lug{}\"", many(", lug")), ""),
        (format!("{head}[stacks]\na = \"nut{}\"", many(", nut")), ""),
        (format!("{parts}q = {{ fixings = \"1 screw{}\" }}", many(", 1 screw")), ""),
        (format!("{parts}q = {{ out = \"1 min\", after = \"p{}\" }}", many(" or p")), ""),
        (format!("{parts}q = {{ out = \"1 min\", after = \"p{}\" }}", many(" and p")), ""),
        (format!("{parts}q = {{ out = \"1{} min\" }}", many(" / 1")), ""),
        (head.replace("\"x\"", &format!("\"x{}\"", many(", x"))), ""),
    ] {
        let record = survives(&line);
        only(&record, "too-many");
        assert!(lost != "wires" || record.vehicle.wires.is_empty());
    }
    // Sixty-four of each are fine, and what they say is used.
    let or64 = vec!["p"; 64].join(" or ");
    let and64 = vec!["p"; 64].join(" and ");
    let record = survives(&format!(
        "{parts}q = {{ out = \"1 min\", after = \"{or64}\" }}\nr = {{ out = \"1 min\", after = \"{and64}\" }}"
    ));
    assert!(record.diagnostics.is_empty());
    assert_eq!(record.vehicle.removals.len(), 1 + 64 + 1);
}

#[test]
fn ways_of_ways_of_ways_do_not_multiply() {
    let or = vec!["p"; 64].join(" or ");
    let way = format!("{{ out = \"1 min\", after = \"{or}\" }}");
    let ways = vec![way.as_str(); 1_000].join(", ");
    let record = survives(&format!(
        "[parts]\np = {{ out = \"1 min\" }}\nq = {{ out = \"1 min\", or = [{ways}] }}"
    ));
    assert!(record.vehicle.removals.len() <= 4 * MAX_ITEMS);
    assert!(slugs(&record).contains(&"too-many"));
}

#[test]
fn five_thousand_parts_in_a_ring_or_a_chain_are_followed_to_the_end() {
    let chain = |closed: bool| {
        let mut text = String::from("[parts]\n");
        for n in 0..5_000 {
            let next = if n == 4_999 { 0 } else { n + 1 };
            let after =
                if n < 4_999 || closed { format!(", after = \"p{next}\"") } else { String::new() };
            writeln!(text, "p{n} = {{ out = \"1 min\"{after} }}").unwrap();
        }
        text
    };
    assert!(survives(&chain(false)).diagnostics.is_empty());
    let record = survives(&chain(true));
    assert!(only(&record, "part-circle").message.ends_with("`p5` after ... after `p0`"));
}

#[test]
fn numbers_that_are_none_never_reach_the_vehicle() {
    for number in [
        "nan",
        "+nan",
        "-nan",
        "inf",
        "-inf",
        "1e400",
        "-1e400",
        "1e-400",
        "0x7fffffffffffffff",
        "99999999999999999999999999",
        "-0.0",
        "1_0",
        "１２",
        "−5",
        "٣",
        "1,200",
        ".",
        "-",
        "e9",
        "1e999999999999",
    ] {
        for text in [
            format!("[devices]\na = {{ kind = \"blade fuse\", rated = \"{number} A\" }}"),
            format!("[devices]\na = {{ kind = \"blade fuse\", rated = {number} }}"),
            format!(
                "[devices]\na = {{ kind = \"busbar\" }}\n[wires]\nw = \"a to unknown, {number} mm2, {number} m, {number} C\""
            ),
            format!("[vehicle]\nsystem = \"{number} V\""),
            format!(
                "[parts]\np = {{ out = \"{number} min\", breaks = \"{number} % for {number} EUR\" }}"
            ),
            format!("[states]\ns = {{ sun = \"{number} W/m2\", temperature = \"{number} C\" }}"),
            format!(
                "[devices]\na = {{ kind = \"agm battery\", held = \"{number} screws {number} mm\" }}"
            ),
        ] {
            let record = survives(&text);
            let v = &record.vehicle;
            let numbers = v
                .devices
                .iter()
                .flat_map(|(_, d)| {
                    d.attributes.values().filter_map(|f| f.value().copied()).collect::<Vec<_>>()
                })
                .chain(v.wires.iter().flat_map(|(_, w)| {
                    [
                        w.area.value().map(|a| a.si()),
                        w.length.value().map(|l| l.si()),
                        w.insulation.value().map(|c| c.si()),
                    ]
                    .into_iter()
                    .flatten()
                    .collect::<Vec<_>>()
                }))
                .chain(
                    v.removals
                        .iter()
                        .flat_map(|(_, r)| [r.out.low, r.out.likely, r.out.high, r.breaks.si()]),
                )
                .chain(v.states.iter().flat_map(|(_, s)| [s.sun.si(), s.temperature.si()]))
                .chain(v.nominal.value().map(|v| v.si()));
            for value in numbers {
                assert!(value.is_finite(), "{number} in {text}");
            }
        }
    }
}

#[test]
fn letters_of_other_scripts_are_named() {
    // Cyrillic er, Greek omicron, minus sign, full-width a, zero-width space.
    let text = "[devices]\nb = { kind = \"busba\u{440}\" }\nlong-name = { kind = \"stud\" }\n[wires]\nw1 = \"l\u{3bf}ng-name to unknown\"\nw2 = \"long\u{2212}name to unknown\"\nw3 = \"long-n\u{ff41}me to unknown\"\nw4 = \"long-\u{200b}name to unknown, 4 \u{43c}\"\n";
    let record = survives(text);
    let helps: Vec<&String> = record.diagnostics.iter().flat_map(|d| &d.help).collect();
    for wanted in ["U+0440", "U+03BF", "U+2212", "U+FF41", "cannot be seen"] {
        assert!(helps.iter().any(|h| h.contains(wanted)), "{wanted}: {helps:#?}");
    }
    assert_eq!(helps.iter().filter(|h| *h == &"did you mean `long-name`?").count(), 4);
    assert!(record.diagnostics.iter().any(|d| d.message.contains("\u{440}")));
}

#[test]
fn odd_line_ends_marks_and_bytes_do_not_shift_what_is_underlined() {
    let plain = "[devices]\na = { kind = \"busbarr\" }\n";
    for text in
        [plain.replace('\n', "\r\n"), format!("\u{feff}{plain}"), format!("# \u{feff}é\n{plain}")]
    {
        let record = survives(&text);
        assert_eq!(super::underlined(&text, only(&record, "unknown-kind")), "busbarr");
    }
    for bad in [
        "[devices]\ra = 1\n",
        "[devices]\na = { kind = \"bus\0bar\" }\n\0\n",
        "[devices]\na = { kind = \"\\ud800\" }\n",
        "[devices]\na = { kind = \"\\U00110000\" }\n",
        "[devices]\na = { kind = \"\\q\" }\n",
    ] {
        assert!(!survives(bad).diagnostics.is_empty(), "{bad:?}");
    }
}

#[test]
fn huge_words_are_shortened_in_messages() {
    let huge = "\u{416}x".repeat(60_000);
    for text in [
        format!("[devices]\na = {{ kind = \"{huge}\" }}"),
        format!("[devices]\n\"{huge}\" = {{ kind = \"busbar\" }}"),
        format!("[wires]\nw = \"{huge}\""),
        format!("[wires]\nw = \"{huge} to b.{huge}\""),
        format!("[wires]\nw = \"unknown to unknown, {huge}\""),
        format!("[joints]\n\"{huge}\" = \"{huge}\""),
        format!("[joints]\n\"w at {huge}\" = \"lug\""),
        format!("[joints]\n\"all at {huge}\" = \"lug\""),
        format!(
            "[devices]\nbar = {{ kind = \"busbar\" }}\nf = {{ kind = \"fan\" }}\n[wires]\nw = \"bar to f.{huge}\"\n[stacks]\nbar = \"{huge}\""
        ),
        format!("[readings]\nr = \"{huge}: 1 V between a and b\""),
        format!("[mends]\nm = {{ sets = {{ \"{huge}\" = \"x\" }} }}"),
        format!("[vehicle]\nregion = \"{huge}\"\nsystem = \"{huge}\"\nseen = \"{huge}\""),
        format!("\"{huge}\" = 1"),
        format!("unbury = \"{huge}\""),
    ] {
        assert!(!survives(&text).diagnostics.is_empty());
    }
}

#[test]
fn sections_of_the_wrong_sort_are_reported_and_the_others_read() {
    for section in [
        "vehicle", "usual", "devices", "wires", "joints", "stacks", "parts", "spots", "states",
        "symptoms", "readings", "mends",
    ] {
        for value in ["3", "\"x\"", "[]", "true", "2026-05-02", "[[1]]", "1.5"] {
            let record = survives(&format!("{section} = {value}\n"));
            assert!(slugs(&record).contains(&"wrong-form"), "{section} = {value}");
        }
        let record = survives(&format!("[[{section}]]\nx = 1\n"));
        assert!(slugs(&record).contains(&"wrong-form"), "[[{section}]]");
        for value in ["3", "[]", "true", "2026-05-02", "{ x = { y = [1] } }"] {
            let record = survives(&format!("[{section}]\nx = {value}\n"));
            assert!(!record.diagnostics.is_empty(), "[{section}] x = {value}");
        }
    }
}

#[test]
fn dotted_names_are_tables_like_any_other() {
    let record = survives(
        "devices.a.kind = \"busbar\"\ndevices.b = { kind = \"stud\" }\nwires.w.from = \"a\"\nwires.w.to = \"b\"\n",
    );
    assert!(record.diagnostics.is_empty(), "{:?}", record.diagnostics);
    assert_eq!(record.vehicle.wires.len(), 1);
    let record = survives("[devices]\na.kind = \"busbar\"\na.kind.deep = \"x\"\n");
    assert!(!record.diagnostics.is_empty());
}
