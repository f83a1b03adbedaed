//! What was noticed, in words of the list, and how it began.

use catalog::Catalog;
use model::{Answer, Origin, ReadingPoints, Shows};

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
    assert!(matches!(record.vehicle.readings[0].points, ReadingPoints::On(_)));
}

#[test]
fn words_that_are_not_of_the_list_are_named() {
    assert_eq!(slugs(&VAN.replace("told weak", "told wobbly")), ["unknown-word"]);
    assert_eq!(slugs(&VAN.replace("after rain", "after rane")), ["unknown-word"]);
    assert_eq!(slugs(&VAN.replace("20 s", "20 V")), ["bad-quantity"]);
    assert_eq!(slugs(&VAN.replace("[\"lamp.-\"]", "[\"lamp.9\"]")), ["unknown-terminal"]);
    assert_eq!(slugs(&VAN.replace("on monitor", "on lamp")), ["reading-line"]);
}

#[test]
fn the_lists_of_the_model_and_of_the_catalog_are_the_same() {
    let catalog = Catalog::embedded();
    let answers: Vec<&str> = catalog.faults.history.iter().map(|row| row.answer.as_str()).collect();
    assert_eq!(answers, Answer::ALL.map(|row| row.1));
    assert_eq!(crate::fields::SHOWS, Shows::ALL.map(|row| row.1));
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
