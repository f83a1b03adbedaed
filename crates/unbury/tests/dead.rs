//! `unbury dead` as somebody types it: order of the steps, the stop at a contradiction, 80 columns.

use std::process::{Command, Output};

const WREN: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../records/wren/wren.toml");

fn dead(more: &[&str]) -> Output {
    let mut program = Command::new(env!("CARGO_BIN_EXE_unbury"));
    program.args(["dead", WREN]).args(more).output().expect("unbury runs")
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

/// Where words first stand.
fn at(text: &str, words: &str) -> usize {
    text.find(words).unwrap_or_else(|| panic!("no `{words}` in\n{text}"))
}

/// Instrument before and after every reading (NFPA 70E 120.5), loads before contacts, the minus of a
/// battery last of the openings (common practice, no source); the way back in reverse.
#[test]
fn steps_stand_in_their_order_and_go_back_in_reverse() {
    let output = dead(&["--area", "box"]);
    assert_eq!(output.status.code(), Some(1), "the module cannot be isolated");
    let shown = text(&output);
    let order = ["before the first reading", "Switch off every load", "Stop the engine"];
    let order = order.into_iter().chain(["Pull the fuse of box.1", "lug on the minus post of"]);
    let order = order.chain(["Measure box.1 to body", "again: no reading above counts"]);
    let places: Vec<usize> = order.map(|words| at(&shown, words)).collect();
    assert!(places.is_sorted(), "{places:?}\n{shown}");
    let back = &shown[at(&shown, "Switching on again")..];
    assert!(at(back, "minus post of second battery") < at(back, "Pull the fuse of box.1"));
    assert!(shown.contains("NO WAY TO ISOLATE. panel"), "{shown}");
    for line in shown.lines() {
        assert!(unicode_width::UnicodeWidthStr::width(line) <= 80, "{line}");
    }
}

#[test]
fn a_reading_that_contradicts_stops_the_plan_and_holds_what_follows() {
    let shown = text(&dead(&["--area", "box", "--read", "4=12.5 V"]));
    assert!(shown.contains("step 4: STOP"), "{shown}");
    assert!(shown.contains("contradicts") && shown.contains("5  HELD: "), "{shown}");
    let agreed = text(&dead(&["--area", "box", "--read", "4=0.01 V"]));
    assert!(!agreed.contains("STOP") && !agreed.contains("HELD"), "{agreed}");
}

#[test]
fn an_area_that_is_not_there_is_named() {
    let output = dead(&["--area", "nowhere"]);
    assert_eq!(output.status.code(), Some(5));
    assert!(String::from_utf8_lossy(&output.stderr).contains("`nowhere`"));
}
