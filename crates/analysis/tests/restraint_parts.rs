//! Furniture is held against a crash like devices, and what is tall tips.

use analysis::Case;

/// A cupboard of 40 kg, 1.8 m high and 0.45 m deep, on four screws into 9 mm lining.
const CUPBOARD: &str = r#"unbury = 1
[vehicle]
name = "Cupboard"
region = "europe"
system = "12 V"
[parts]
cupboard = { is = "tall cupboard", mass = "40 kg", held = "4 screws 4 x 30 mm, into 9 mm lining, driven down", box = "forward 0 to 0.45 m, left 0 to 0.6 m, up 0 to 1.8 m" }
shelf = { is = "shelf", mass = "8 kg", fixings = "4 screws" }
"#;

fn against(criterion: &str) -> analysis::RestraintView {
    let case = Case::of(CUPBOARD);
    assert!(case.record_faults().is_empty(), "{:?}", case.record_faults());
    case.restraint_against(&[criterion.to_owned()], &[]).expect("a criterion")
}

/// 40 kg x 9.80665 m/s2 x 20 = 7845 N (49 CFR 571.207 S4.2: 20 times its weight).
#[test]
fn furniture_is_held_against_a_crash() {
    let view = against("crash-as-for-seats");
    let names: Vec<&str> = view.things.iter().map(|thing| thing.item.as_str()).collect();
    assert_eq!(names, ["cupboard"], "the shelf has no figures to hold against anything");
    let cases = &view.things[0].cases;
    let forward = cases.iter().find(|case| case.direction == "forward").expect("forward");
    assert!((forward.load_n - 7845.0).abs() < 1.0, "{}", forward.load_n);
}

/// Moments about the near edge, by hand: 392.3 N x (20 x 0.9 / 0.45 - 1/2) = 15 494 N; four screws in
/// 9 mm of lining pull out at a small part of that.
#[test]
fn a_tall_cupboard_would_tip() {
    let view = against("crash-as-for-seats");
    let rows = &view.things[0].overturning;
    let forward = rows.iter().find(|row| row.direction == "forward").expect("forward");
    assert!((forward.pull_n - 15_494.0).abs() < 2.0, "{}", forward.pull_n);
    assert_eq!(forward.verdict, "would fall short");
    // Upwards and by its own length it does not pass either: where its weight sits is not known.
    assert!(rows.iter().all(|row| row.verdict != "within rating"));
}

#[test]
fn a_part_may_be_named() {
    let case = Case::of(CUPBOARD);
    let view = case.restraint_against(&[], &["shelf".to_owned()]).expect("a part");
    assert_eq!(view.things[0].item, "shelf");
    assert!(case.restraint_against(&[], &["nothing".to_owned()]).is_err());
}

/// 8 kg x 9.80665 m/s2 x 20 = 1569 N (the same rule).
#[test]
fn furniture_whose_holding_nobody_wrote_cannot_be_told() {
    let view = against("crash-as-for-seats");
    let rows: Vec<(&str, &str, &str)> = view
        .not_recorded
        .iter()
        .map(|row| (row.item.as_str(), row.pulls.as_str(), row.verdict.as_str()))
        .collect();
    assert_eq!(rows.len(), 1, "the cupboard is written: {rows:?}");
    let (item, pulls, verdict) = rows[0];
    assert_eq!((item, verdict), ("shelf", "cannot tell"));
    assert!(pulls.starts_with("1.6\u{a0}kN") && pulls.ends_with("20 g"), "{pulls}");
    assert!(view.not_recorded[0].find_out.contains("look what holds it"));
    // Light things, and what was taken out, are not asked for.
    let light = CUPBOARD.replace("mass = \"8 kg\"", "mass = \"4 kg\"");
    let out = CUPBOARD.replace("mass = \"8 kg\"", "mass = \"8 kg\", taken_out = true");
    for text in [light, out] {
        let view = Case::of(&text).restraint_against(&[], &[]).expect("the usual criteria");
        assert_eq!(view.not_recorded, []);
    }
}
