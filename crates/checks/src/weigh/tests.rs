//! The rule on paper: a limit of 10 against amounts with and without what is assumed.

use super::{Amount, Weighed, weigh};

fn verdict(all: f64, sure: f64) -> Weighed {
    let text = "[devices]\nkettle = { kind = \"electronics\" }";
    let vehicle = record::read(text, &catalog::Catalog::embedded()).vehicle;
    let differs = (all - sure).abs() > 0.0;
    let devices = || vehicle.devices.ids().filter(|_| differs).collect();
    weigh(&vehicle, &[Amount::new(all, sure, devices)], |ampere| ampere > 10.0)
}

#[test]
fn what_fails_without_anything_assumed_fails() {
    assert_eq!(verdict(12.0, 12.0), Weighed::Fails);
    assert_eq!(verdict(30.0, 11.0), Weighed::Fails);
}

#[test]
fn what_fails_by_an_assumed_power_only_cannot_be_told() {
    let Weighed::Depends(missing) = verdict(12.0, 3.0) else { panic!() };
    assert!(missing[0].what.contains("kettle"));
}

#[test]
fn what_holds_by_an_assumed_power_is_no_pass() {
    // Twice 4 A above 3 A is over 10 A: worth a question. Twice 2 A is not, ten times is.
    assert!(matches!(verdict(7.0, 3.0), Weighed::Depends(_)));
    assert_eq!(verdict(5.0, 3.0), Weighed::Uncounted);
}

#[test]
fn what_holds_whatever_is_assumed_is_a_pass() {
    assert_eq!(verdict(5.0, 5.0), Weighed::Holds);
    assert_eq!(verdict(3.1, 3.0), Weighed::Holds);
}
