//! What was noticed, in words of the list, and how it began.

use catalog::Catalog;
use model::{Answer, Origin, ReadingPoints, Repaired, Shows};

const VAN: &str = r#"unbury = 1
[vehicle]
name = "Van"
[devices]
house = { kind = "agm battery" }
lamp = { kind = "filament lamp" }
shunt = { kind = "shunt" }
monitor = { kind = "monitor" }
[wires]
w1 = "house.+ to lamp.+, 1.5 mm2, 3 m"
w2 = "lamp.- to house.-, 1.5 mm2, 3 m"
[states]
night = { on = ["lamp"] }
[symptoms]
dim = { words = "It is dim.", device = "lamp", state = "night", shows = "told weak" }
trip = { words = "It trips.", device = "lamp", state = "night", shows = "trips", after = "20 s" }
[history]
answers = ["worked before", "after rain"]
not_reached = ["lamp.-"]
no_cure = ["w1 at lamp.+", "shunt", "w2"]
[readings]
r1 = "night: 4.2 A on monitor, display, RK"
"#;

fn slugs(text: &str) -> Vec<&'static str> {
    let record = crate::read(text, &Catalog::embedded());
    record.diagnostics.iter().map(|fault| fault.slug).collect()
}

#[test]
fn what_was_noticed_has_a_word_an_origin_and_a_time() {
    let record = crate::read(VAN, &Catalog::embedded());
    assert!(record.diagnostics.is_empty(), "{:?}", record.diagnostics);
    let [dim, trip] = &record.vehicle.symptoms[..] else { panic!("two symptoms") };
    assert_eq!(dim.shows.value(), Some(&Shows::Weak));
    assert!(matches!(dim.shows.origin(), Some(Origin::Told { .. })), "{:?}", dim.shows);
    assert_eq!(trip.shows.value(), Some(&Shows::Trips));
    assert_eq!(trip.after_s, Some(20.0));
    let history = &record.vehicle.history;
    assert_eq!(history.answers, [Answer::WorkedBefore, Answer::AfterRain]);
    assert_eq!(history.not_reached.len(), 1);
    let names: Vec<String> =
        history.no_cure.iter().map(|place| record.vehicle.place_name(*place)).collect();
    assert_eq!(names, ["w1 at lamp.+", "shunt", "wire w2"]);
    assert!(matches!(record.vehicle.readings[0].points, ReadingPoints::On(_)));
}

const CHANGED: &str = "[history]\nchanged = [\"w1 at lamp.+: r1, dim\", \"w2\"]";

#[test]
fn what_was_observed_before_a_repair_that_changed_something_is_named() {
    let record = crate::read(&VAN.replace("[history]", CHANGED), &Catalog::embedded());
    assert_eq!(record.diagnostics, []);
    let history = &record.vehicle.history;
    let of = |repaired: &Repaired| {
        (record.vehicle.place_name(repaired.place), repaired.before.join(" "))
    };
    let expected = [("w1 at lamp.+", "r1 dim"), ("wire w2", "")];
    let found: Vec<(String, String)> = history.changed.iter().map(of).collect();
    assert_eq!(found, expected.map(|(place, before)| (place.to_owned(), before.to_owned())));
    assert!(history.is_laid_aside("dim") && !history.is_laid_aside("trip"));
    let misspelt = |a: &str, b: &str| slugs(&VAN.replace("[history]", &CHANGED.replace(a, b)));
    assert_eq!(misspelt("dim", "dom"), ["unknown-word"]);
    assert_eq!(misspelt("w1 at", "w9 at"), ["unknown-wire"]);
}

#[test]
fn words_that_are_not_of_the_list_are_named() {
    assert_eq!(slugs(&VAN.replace("told weak", "told wobbly")), ["unknown-word"]);
    assert_eq!(slugs(&VAN.replace("after rain", "after rane")), ["unknown-word"]);
    assert_eq!(slugs(&VAN.replace("20 s", "20 V")), ["bad-quantity"]);
    assert_eq!(slugs(&VAN.replace("[\"lamp.-\"]", "[\"lamp.9\"]")), ["unknown-terminal"]);
    assert_eq!(slugs(&VAN.replace("\"shunt\", \"w2\"", "\"shant\", \"w2\"")), ["unknown-place"]);
    assert_eq!(slugs(&VAN.replace("on monitor", "on lamp")), ["reading-line"]);
}

#[test]
fn the_lists_of_the_model_and_of_the_catalog_are_the_same() {
    let catalog = Catalog::embedded();
    let answers: Vec<&str> = catalog.faults.history.iter().map(|row| row.answer.as_str()).collect();
    assert_eq!(answers, Answer::ALL.map(|row| row.1));
    assert_eq!(crate::fields::SHOWS, Shows::ALL.map(|row| row.1));
}

/// What the only fault of a reading underlines.
#[track_caller]
fn underlined(reading: &str) -> String {
    let text = VAN.replace("night: 4.2 A on monitor, display, RK", reading);
    let record = crate::read(&text, &Catalog::embedded());
    let [fault] = &record.diagnostics[..] else { panic!("{reading}: {:?}", record.diagnostics) };
    assert!(record.vehicle.readings.is_empty(), "{reading}");
    let span = fault.labels[0].span;
    text[span.start..span.end].to_owned()
}

#[test]
fn a_fault_of_a_reading_underlines_what_is_wrong() {
    // Beside each the piece that is wrong; the fault may underline a part of it.
    for (reading, piece) in [
        ("night: 4 V between lamp.+ and lump.-, multimeter", "lump.-"),
        ("night: 4 V between lamp.+ and lamp.9, multimeter", "lamp.9"),
        ("night: 4 A between lamp.+ and lamp.-, multimeter", "4 A"),
        ("night: 4 V in w1, clamp", "4 V"),
        ("night: 4 A in w9, clamp", "w9"),
        ("nigth: 4 A in w1, clamp", "nigth"),
        ("night: 4 A over w1 at lamp.+, multimeter", "4 A"),
        ("night: 4 mV over w1, multimeter", "w1"),
        ("night: 4 mV over w1 at lamp.-, multimeter", "w1 at lamp.-"),
        ("night: 4 mV over w9 at lamp.-, multimeter", "w9"),
    ] {
        let words = underlined(reading);
        assert!(!words.is_empty() && piece.contains(&words), "{reading}: {words}");
    }
}

#[test]
fn a_drop_over_a_joint_is_read() {
    let text =
        VAN.replace("4.2 A on monitor, display", "-3.5 mV over w1 at lamp.+, millivolt range");
    let record = crate::read(&text, &Catalog::embedded());
    assert!(record.diagnostics.is_empty(), "{:?}", record.diagnostics);
    let reading = &record.vehicle.readings[0];
    let ReadingPoints::Over(joint) = reading.points else { panic!("{reading:?}") };
    assert_eq!(record.vehicle.joint_name(joint), "w1 at lamp.+");
    assert!((reading.value + 0.0035).abs() < 1e-12 && reading.note.contains("millivolt"));
}
