//! One chart of each sort with made-up figures.

use crate::chart::*;

pub(super) fn all() -> Vec<String> {
    let charts = [
        strips(&suspects()),
        trip(&bolt_down_fuse()),
        warm_wire(&hot_joint()),
        spread(&pert()),
        before_after(&hatch()),
        matrix(&mains()),
    ];
    charts.into_iter().map(|chart| chart.expect("there is something to draw")).collect()
}

fn head(title: &str, about: &str, notes: &[&str]) -> Heading {
    Heading {
        title: title.to_owned(),
        about: about.to_owned(),
        notes: notes.iter().map(|note| (*note).to_owned()).collect(),
        ..Heading::default()
    }
}

pub(super) fn suspects() -> Strips {
    let strip = |label: &str, aside: &str, bands: &[(f64, f64, f64)]| Strip {
        id: label.replace(' ', "-"),
        label: label.to_owned(),
        aside: aside.to_owned(),
        bands: bands
            .iter()
            .map(|(low, high, weight)| Band { low: *low, high: *high, weight: *weight })
            .collect(),
    };
    Strips {
        heading: head(
            "Next check: volts at the fridge while its compressor runs",
            "What each suspect predicts, in the state night; told by the record and its stand-ins.",
            &[
                "A higher band holds more of the suspect's chances. A filled ring agrees with the reading.",
            ],
        ),
        quantity: "between fridge.+ and fridge.-, V".to_owned(),
        scale: Scale::Linear,
        reading: Some(Mark {
            value: 10.75,
            plus_minus: 0.05,
            words: "measured 10.75 V ± 0.05 V".to_owned(),
        }),
        rows: vec![
            strip(
                "contact of fridge-fuse high in resistance",
                "62 %",
                &[(10.4, 10.9, 0.8), (10.9, 11.4, 0.2)],
            ),
            strip("wire w3 thinner than written", "21 %", &[(11.1, 11.7, 1.0)]),
            strip("battery worn out", "17 %", &[(11.2, 11.5, 0.3), (11.9, 12.4, 0.7)]),
        ],
    }
}

/// The rows of ISO 8820-5 that the catalog recalls, for a rating of 150 A.
pub(super) fn bolt_down_fuse() -> Trip {
    let point = |multiple: f64, earliest_s: f64, latest_s: Option<f64>| TripPoint {
        ampere: 150.0 * multiple,
        earliest_s: Some(earliest_s),
        latest_s,
        latest_read_s: None,
    };
    Trip {
        heading: head(
            "inverter-fuse and wire i2",
            "Whether the fuse opens before the wire is ruined, whatever the current of the short circuit.",
            &["Opening times: ISO 8820-5 (from memory): they hint, they decide nothing."],
        ),
        device: "inverter-fuse, 150 A, bolt-down strip fuse".to_owned(),
        wire: "i2, 16 mm², 70 °C insulation".to_owned(),
        points: vec![
            point(0.75, 360_000.0, None),
            point(1.35, 120.0, Some(1800.0)),
            point(2.0, 1.0, Some(15.0)),
            point(3.5, 0.3, Some(5.0)),
            point(5.0, 0.1, Some(1.0)),
        ],
        withstand: Some(Withstand { a2s: (115.0_f64 * 16.0).powi(2), adiabatic_to_s: 5.0 }),
        currents: vec![
            Prospective {
                words: "short at the far end: 640 A to 1.2 kA".to_owned(),
                least_a: 640.0,
                most_a: 1200.0,
            },
            Prospective {
                words: "short right behind the fuse: 1.4 kA to 2.6 kA".to_owned(),
                least_a: 1400.0,
                most_a: 2600.0,
            },
        ],
        critical_a: vec![640.0],
        for_good: None,
    }
}

pub(super) fn hot_joint() -> WarmWire {
    let warm = |k: u32| {
        let at_m = f64::from(k) * 0.1;
        let fade = |from_m: f64| (-3.0 * (at_m - from_m).abs()).exp();
        let (low_k, high_k) =
            (60.0 * fade(0.0) + 4.0 * fade(5.0), 90.0 * fade(0.0) + 8.0 * fade(5.0));
        Warm { at_m, coolest_c: 52.0 + low_k, hottest_c: 61.0 + high_k }
    };
    WarmWire {
        heading: head(
            "Wire i2 in the state kettle, 101 A",
            "Temperature of the copper along the wire, alone in still air; a range where the record leaves one.",
            &["Film coefficient 12 W/(m² K): common practice, no source."],
        ),
        ends: [
            "i2 at inverter.+: measured 5 mOhm, 51 W".to_owned(),
            "i2 at inverter-fuse.out: measured 0.1 mOhm, 1.0 W".to_owned(),
        ],
        profile: (0..=50).map(warm).collect(),
        air_c: 25.0,
        limits: vec![
            WarmLimit {
                celsius: 70.0,
                words: "insulation of the wire, 70 °C (seen)".to_owned(),
                place: Place::All,
            },
            WarmLimit {
                celsius: 106.0,
                words: "joint: 45 K above its wire".to_owned(),
                place: Place::First,
            },
        ],
        ceiling_c: Some(140.0),
        reach: Reach::WholeWire,
    }
}

pub(super) fn pert() -> Spread {
    let share = |k: u32| {
        let x = (f64::from(k) + 0.5) / 400.0;
        Share { value: 20.0 + 50.0 * x, part: x.powi(2) * (1.0 - x).powi(4) }
    };
    Spread {
        heading: head(
            "Way in to the charger: minutes of work",
            "To open and close, all steps together.",
            &["Minutes of 4 steps are told, of 3 estimated."],
        ),
        quantity: "time to open and close".to_owned(),
        unit: "min".to_owned(),
        shares: (0..400).map(share).collect(),
        p50: Mark { value: 37.9, plus_minus: 0.0, words: "P50 37.9 min".to_owned() },
        p80: Mark { value: 45.1, plus_minus: 0.0, words: "P80 45.1 min".to_owned() },
    }
}

pub(super) fn hatch() -> BeforeAfter {
    let pair = |label: &str, before, after: Option<f64>, words: &str| Pair {
        id: label.replace(' ', "-"),
        label: label.to_owned(),
        before: Some(before),
        after,
        bearable: Some(10.0),
        words: words.to_owned(),
    };
    BeforeAfter {
        heading: head(
            "What a hatch in the side of the bunk would save",
            "Minutes to open and close for what wants service.",
            &["A hatch saves only the part it is cut into."],
        ),
        quantity: "minutes to open and close, expected".to_owned(),
        before: "as the vehicle is".to_owned(),
        after: "with a hatch in bunk-side".to_owned(),
        rows: vec![
            pair("house battery", 42.0, Some(12.0), "42 min, then 12"),
            pair("main fuse beside the battery", 38.5, Some(12.0), "38.5 min, then 12"),
            pair("roof fan", 6.0, None, "6 min"),
        ],
    }
}

pub(super) fn mains() -> Matrix {
    let cell = |verdict, words: &str| MatrixCell { verdict, words: words.to_owned() };
    let row = |label: &str, about: &str, cells: Vec<MatrixCell>| MatrixRow {
        id: label.to_owned(),
        label: label.to_owned(),
        about: about.to_owned(),
        cells,
    };
    Matrix {
        heading: head("Mains side", "Every source in every state.", &["Mains voltage kills."]),
        corner: "source".to_owned(),
        columns: ["polarity", "bond", "residual current", "touch voltage", "line on metal"]
            .map(ToOwned::to_owned)
            .to_vec(),
        rows: vec![
            row(
                "inlet",
                "shore; supply measured correct",
                vec![
                    cell(Verdict::Holds, "L on L"),
                    cell(Verdict::Fails, "2 bonds"),
                    cell(Verdict::CannotTell, "0 to 41 mA"),
                    cell(Verdict::Holds, "0 V"),
                    cell(Verdict::Holds, "unit opens"),
                ],
            ),
            row(
                "inverter",
                "wheel",
                vec![
                    cell(Verdict::Figure, "no lead"),
                    cell(Verdict::Holds, "1 bond"),
                    cell(Verdict::Holds, "0 mA"),
                    cell(
                        Verdict::CannotTell,
                        "0 to 115 V: find out whether the bond closes while inverting",
                    ),
                    cell(Verdict::Fails, "nothing opens"),
                ],
            ),
        ],
    }
}
