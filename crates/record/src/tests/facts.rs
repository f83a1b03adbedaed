//! How a value came to be known.

use model::{Attribute, Fact, Origin};

use super::{clean, device, near, only, read, told, underlined};

fn power(value: &str) -> Fact<f64> {
    let record = clean(&format!("[devices]\nh = {{ kind = \"heater\", power = \"{value}\" }}"));
    let vehicle = &record.vehicle;
    vehicle.devices[device(vehicle, "h")].fact(Attribute::Power)
}

fn known(value: f64, origin: Origin) -> Fact<f64> {
    Fact::known(value, origin)
}

#[test]
fn a_bare_value_was_seen() {
    assert_eq!(power("100 W"), known(100.0, Origin::seen()));
}

#[test]
fn a_bare_value_was_seen_by_whom_the_record_says_and_when() {
    let text = "[vehicle]\nseen = \"by RK on 2026-05-02\"\n[devices]\nh = { kind = \"heater\", power = \"100 W\" }";
    let record = clean(text);
    let vehicle = &record.vehicle;
    let fact = vehicle.devices[device(vehicle, "h")].fact(Attribute::Power);
    let origin = Origin::Seen { by: Some("RK".into()), on: Some("2026-05-02".into()) };
    assert_eq!(fact, known(100.0, origin));
}

#[test]
fn told_names_who_and_when_if_written() {
    assert_eq!(power("told 90 W by the owner"), known(90.0, told("the owner")));
    let both = Origin::Told { by: Some("the owner".into()), on: Some("2026-05-01".into()) };
    assert_eq!(power("told 90 W by the owner on 2026-05-01"), known(90.0, both));
    assert_eq!(power("told 90 W"), known(90.0, Origin::Told { by: None, on: None }));
    let on = Origin::Told { by: None, on: Some("2026-05-01".into()) };
    assert_eq!(power("told 90 W on 2026-05-01"), known(90.0, on));
}

#[test]
fn assumed_carries_its_reason() {
    let because = Origin::Assumed { why: "its neighbour says so, by chance on top".into() };
    assert_eq!(
        power("assumed 80 W because its neighbour says so, by chance on top"),
        known(80.0, because)
    );
    let none = power("assumed 80 W");
    assert_eq!(none.value(), Some(&80.0));
    assert!(none.is_assumed());
}

#[test]
fn measured_keeps_its_spread_in_every_spelling_of_plus_or_minus() {
    for sign in ["±", "+-", "+/-", " ± "] {
        let fact = power(&format!("measured 100 W{sign}5 W by RK on 2026-05-02"));
        let Fact::Known { value, origin: Origin::Measured { spread, by, on } } = fact else {
            panic!("{sign}: not measured");
        };
        near(value, 100.0);
        near(spread.expect("a spread"), 5.0);
        assert_eq!((by.as_deref(), on.as_deref()), (Some("RK"), Some("2026-05-02")));
    }
    let without = Origin::Measured { spread: None, by: None, on: None };
    assert_eq!(power("measured 100 W"), known(100.0, without));
}

#[test]
fn a_spread_is_in_the_unit_it_was_written_in() {
    let text =
        "[devices]\nf = { kind = \"blade fuse\", resistance = \"measured 0.2 Ohm ± 5 mOhm\" }";
    let record = clean(text);
    let vehicle = &record.vehicle;
    let fact = vehicle.devices[device(vehicle, "f")].fact(Attribute::Resistance);
    let Some(Origin::Measured { spread: Some(spread), .. }) = fact.origin() else { panic!() };
    near(*spread, 0.005);
}

#[test]
fn a_negative_spread_is_a_slip() {
    let text = "[devices]\nf = { kind = \"fan\", power = \"measured 20 W ± -5 W\" }";
    let record = read(text);
    assert_eq!(underlined(text, only(&record, "impossible-value")), "-5 W");
}

#[test]
fn unknown_leaves_the_usual_value_as_an_assumption_and_nothing_where_none_is_usual() {
    for unknown in ["unknown", "?", " unknown "] {
        let fact = power(unknown);
        assert!(fact.is_assumed(), "{fact:?}");
        assert!(fact.evidence().is_none());
    }
    let record = clean("[devices]\nf = { kind = \"blade fuse\", rated = \"unknown\" }");
    assert!(
        record.vehicle.devices[device(&record.vehicle, "f")].fact(Attribute::Rated).is_unknown()
    );
}

#[test]
fn a_word_that_only_begins_like_an_origin_is_no_origin() {
    let text = "[devices]\nh = { kind = \"heater\", power = \"toldish 9 W\" }";
    assert_eq!(underlined(text, only(&read(text), "bad-quantity")), "toldish 9 W");
}

#[test]
fn only_the_wrong_piece_of_a_stated_value_is_underlined() {
    let text = "[devices]\nh = { kind = \"heater\", power = \"told 9 V by the owner\" }";
    assert_eq!(underlined(text, only(&read(text), "bad-quantity")), "V");
    let text = "[devices]\nh = { kind = \"heater\", power = \"measured 9 W ± 1 V by RK\" }";
    assert_eq!(underlined(text, only(&read(text), "bad-quantity")), "V");
}
