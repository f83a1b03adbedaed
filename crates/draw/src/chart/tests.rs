//! Charts measured as a viewer shows them, and axes against closed forms.

use proptest::prelude::*;

use super::axis::{Axis, Scale};
use super::*;
use crate::measure::{assert_fit_to_print, contrast, laid, laid_by_usvg, pixels};
use crate::tone::Tone;

mod samples;

use samples::*;

fn numbers(svg: &str, class: &str, name: &str) -> Vec<f64> {
    let document = roxmltree::Document::parse(svg).expect("well-formed XML");
    let nodes = document.descendants().filter(|node| node.attribute("class") == Some(class));
    nodes.filter_map(|node| node.attribute(format!("data-{name}").as_str())?.parse().ok()).collect()
}

/// Points of the paths in the groups of a class, with the width of their lines.
fn paths(svg: &str, class: &str) -> Vec<(f64, Vec<(f64, f64)>)> {
    let document = roxmltree::Document::parse(svg).expect("well-formed XML");
    let groups = document.descendants().filter(|node| node.attribute("class") == Some(class));
    groups
        .flat_map(|group| group.descendants().collect::<Vec<_>>())
        .filter(|node| node.has_tag_name("path"))
        .map(|node| {
            let width = node.attribute("stroke-width").and_then(|w| w.parse().ok()).unwrap_or(0.0);
            let d = node.attribute("d").expect("a path").replace(['M', 'L', 'Z'], " ");
            let all: Vec<f64> =
                d.split_whitespace().map(|n| n.parse().expect("a number")).collect();
            (width, all.chunks(2).map(|pair| (pair[0], pair[1])).collect())
        })
        .collect()
}

/// The words on an axis with their places: x for the first axis of a chart, y for the second.
fn marks(svg: &str, axis: usize) -> Vec<(f64, f64)> {
    let document = roxmltree::Document::parse(svg).expect("well-formed XML");
    let group = document
        .descendants()
        .filter(|node| node.attribute("class") == Some("axis"))
        .nth(axis)
        .expect("the axis is there");
    let texts = group.descendants().filter(|node| node.has_tag_name("text"));
    texts
        .filter_map(|node| {
            let value: f64 =
                node.text()?.replace('\u{a0}', "").replace('\u{2212}', "-").parse().ok()?;
            let place = |name: &str| node.attribute(name).expect("placed").parse::<f64>().unwrap();
            // Words on the left axis stand 0.36 of their size below their mark.
            Some((value, if axis == 0 { place("x") } else { place("y") - 0.36 * 9.0 }))
        })
        .collect()
}

#[test]
fn every_chart_is_fit_to_print() {
    for svg in all() {
        assert_fit_to_print(&svg);
    }
}

/// The widths and heights the other tests measure by, against usvg's layout with the same typeface
/// (with kerning, and with what it takes from where for a letter that is missing): within a point.
#[test]
fn words_are_as_wide_as_usvg_lays_them_out() {
    for svg in all() {
        let document = roxmltree::Document::parse(&svg).expect("well-formed XML");
        let (ours, theirs) = (laid(&document), laid_by_usvg(&svg));
        assert_eq!(ours.len(), theirs.len());
        for (a, b) in ours.iter().zip(&theirs) {
            assert_eq!(a.text, b.text);
            let apart = [a.left - b.left, a.right - b.right, a.top - b.top, a.bottom - b.bottom];
            let most = 1.0 + 0.02 * (b.right - b.left);
            assert!(apart.iter().all(|d| d.abs() <= most), "{a:?} {b:?}");
        }
    }
}

#[test]
fn the_same_numbers_give_the_same_bytes() {
    assert_eq!(all(), all());
}

#[test]
fn every_chart_is_rendered_with_ink_on_white_paper() {
    for svg in all() {
        let picture = pixels(&svg, 1.0);
        let dark = picture.pixels().iter().filter(|pixel| pixel.red() < 96).count();
        let white = picture.pixels().iter().filter(|pixel| pixel.red() == 255).count();
        assert!(dark > 500, "{dark} dark pixels only");
        assert!(white > picture.pixels().len() / 2, "the rules for screens do not reach print");
    }
}

/// WCAG 2.2, 1.4.11: what is needed to understand a picture stands out 3 to 1. The shades of a
/// distribution or an order also carry outlines and words, so neighbours need no such distance.
#[test]
fn marks_stand_out_from_their_ground() {
    for (mark, ground) in [
        (Tone::Ink, Tone::Ground),
        (Tone::Ink, Tone::Light),
        (Tone::Ink, Tone::Middle),
        (Tone::Ink, Tone::Deep),
        (Tone::Quiet, Tone::Ground),
        (Tone::Danger, Tone::Ground),
        (Tone::Danger, Tone::Light),
        (Tone::Ground, Tone::Danger),
    ] {
        for (a, b) in [(mark.on_light(), ground.on_light()), (mark.on_dark(), ground.on_dark())] {
            assert!(contrast(a, b) >= 3.0, "{mark:?} on {ground:?}: {:.2}", contrast(a, b));
        }
    }
}

/// The formula itself: black on white is 21 to 1 (WCAG 2.2), #767676 on white 4.54 (a published pair of
/// the same document's techniques, from memory).
#[test]
fn the_contrast_formula_is_the_published_one() {
    assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    assert!((contrast("#767676", "#ffffff") - 4.54).abs() < 0.005);
}

/// Closed form: on a logarithmic axis a power of ten stands at equal steps, and 2 to 9 at log10 of
/// themselves within the decade.
#[test]
fn decades_are_equal_steps() {
    let axis = Axis::covering(Scale::Logarithmic, [3.0, 4200.0], (0.0, 400.0), 1.0).unwrap();
    assert!((axis.low() - 1.0).abs() < 1e-12 && (axis.high() - 1e4).abs() < 1e-6);
    for (value, at) in [(1.0, 0.0), (10.0, 100.0), (100.0, 200.0), (1e3, 300.0), (1e4, 400.0)] {
        assert!((axis.at(value) - at).abs() < 1e-9, "{value}");
    }
    // log10: 3 0.47712, 5 0.69897, 7 0.84510 (table of logarithms).
    for (value, part) in [(3.0, 0.477_12), (30.0, 1.477_12), (500.0, 2.698_97), (7e3, 3.845_10)] {
        assert!((axis.at(value) - 100.0 * part).abs() < 1e-3, "{value}");
    }
    let ticks = axis.ticks();
    assert_eq!(ticks.iter().filter(|tick| !tick.text.is_empty()).count(), 5);
    assert_eq!(ticks.len(), 5 + 4 * 8);
}

#[test]
fn linear_marks_are_whole_steps_of_one_two_or_five() {
    let axis = Axis::covering(Scale::Linear, [10.31, 12.98], (100.0, 340.0), 46.0).unwrap();
    let ticks = axis.ticks();
    let texts: Vec<&str> = ticks.iter().map(|tick| tick.text.as_str()).collect();
    assert_eq!(texts, ["10", "11", "12", "13"]);
    // By hand: 10 to 13 on 240 points is 80 points a step.
    assert!(ticks.windows(2).all(|pair| (pair[1].at - pair[0].at - 80.0).abs() < 1e-9));
    let fine = Axis::covering(Scale::Linear, [-0.04, 0.11], (0.0, 240.0), 46.0).unwrap();
    let texts: Vec<String> = fine.ticks().into_iter().map(|tick| tick.text).collect();
    assert_eq!(texts, ["\u{2212}0.05", "0.00", "0.05", "0.10", "0.15"]);
    let large = Axis::covering(Scale::Linear, [0.0, 12_000.0], (0.0, 150.0), 46.0).unwrap();
    assert_eq!(large.ticks()[1].text, "5000");
    assert_eq!(large.ticks()[2].text, "10\u{a0}000");
}

#[test]
fn a_logarithmic_axis_has_no_place_for_nothing() {
    assert_eq!(Axis::covering(Scale::Logarithmic, [0.0, -3.0], (0.0, 1.0), 1.0), None);
    assert_eq!(Axis::covering(Scale::Linear, [f64::NAN], (0.0, 1.0), 1.0), None);
}

/// The wire's line against `t = k² S² / I²` computed here. IEC 60364-5-54 table A.54.2 prints k = 143
/// for copper from 30 °C to 160 °C and 115 for 70 °C insulation (as restated); S = 16 mm².
#[test]
fn the_line_of_the_wire_is_the_adiabatic_law() {
    let k_and_s = 115.0 * 16.0;
    let chart = Trip {
        withstand: Some(Withstand { a2s: k_and_s * k_and_s, adiabatic_to_s: 5.0 }),
        ..bolt_down_fuse()
    };
    let svg = super::trip(&chart).expect("currents are there");
    let (across, up) = (marks(&svg, 0), marks(&svg, 1));
    let value = |marks: &[(f64, f64)], at: f64| {
        let ((v0, p0), (v1, p1)) = (marks[0], marks[1]);
        v0 * (v1 / v0).powf((at - p0) / (p1 - p0))
    };
    let lines = paths(&svg, "wire");
    assert_eq!(lines.len(), 2, "whole up to 5 s, dotted beyond");
    let mut checked = 0;
    for (ampere_at, second_at) in lines.iter().flat_map(|line| &line.1) {
        let (ampere, second) = (value(&across, *ampere_at), value(&up, *second_at));
        let by_law = (k_and_s / ampere).powi(2);
        // A hundredth of a point on paper is 0.1 % in current and time.
        assert!((second / by_law - 1.0).abs() < 0.005, "{ampere} A: {second} s, law {by_law} s");
        checked += 1;
    }
    assert_eq!(checked, 4);
    // The two pieces meet at 5 s: 115 × 16 / √5 = 822.9 A.
    let meet = lines[0].1[0];
    assert!((value(&up, meet.1) - 5.0).abs() < 0.02);
    assert!((value(&across, meet.0) - 822.9).abs() < 2.0);
}

#[test]
fn the_edges_of_the_band_pass_through_the_points_given() {
    let chart = bolt_down_fuse();
    let svg = super::trip(&chart).expect("currents are there");
    let (across, up) = (marks(&svg, 0), marks(&svg, 1));
    let place = |marks: &[(f64, f64)], value: f64| {
        let ((v0, p0), (v1, p1)) = (marks[0], marks[1]);
        p0 + (p1 - p0) * (value / v0).ln() / (v1 / v0).ln()
    };
    let drawn: Vec<(f64, f64)> =
        paths(&svg, "device").into_iter().flat_map(|path| path.1).collect();
    let mut seen = 0;
    for point in &chart.points {
        for second in [point.earliest_s, point.latest_s].into_iter().flatten() {
            if !(1e-3..=1e4).contains(&second) {
                continue;
            }
            let at = (place(&across, point.ampere), place(&up, second));
            let near = drawn.iter().any(|p| (p.0 - at.0).abs() < 0.05 && (p.1 - at.1).abs() < 0.05);
            assert!(near, "{} A, {second} s is not on an edge", point.ampere);
            seen += 1;
        }
    }
    assert!(seen >= 8, "{seen}");
}

#[test]
fn a_distribution_keeps_its_whole() {
    let svg = super::spread(&pert()).expect("shares are there");
    let whole: f64 = numbers(&svg, "bar", "percent").iter().sum();
    assert!((whole - 100.0).abs() < 1e-3, "{whole}");
    let marks = numbers(&svg, "mark", "value");
    assert_eq!(marks.len(), 2);
}

#[test]
fn what_agrees_with_the_reading_is_told_without_colour() {
    let svg = super::strips(&suspects()).expect("bands are there");
    let document = roxmltree::Document::parse(&svg).expect("well-formed XML");
    let strips = document.descendants().filter(|node| node.attribute("class") == Some("strip"));
    let full: Vec<bool> = strips
        .map(|strip| {
            let ring = strip.children().find(|node| node.has_tag_name("circle")).expect("a ring");
            ring.attribute("fill") != Some("none")
        })
        .collect();
    // 10.75 V ± 0.05 V lies in the band of the first, touches none of the others.
    assert_eq!(full, [true, false, false]);
    assert!(svg.contains("agrees with the reading"));
}

#[test]
fn what_is_past_a_limit_in_any_case_is_filled() {
    let chart = hot_joint();
    let svg = super::warm_wire(&chart).expect("a profile is there");
    let filled = format!("fill=\"{}\"", Tone::Danger.on_light());
    assert!(svg.contains(&filled) && svg.contains("url(#danger-hatch)\""));
    let cool = WarmWire { limits: Vec::new(), ..chart };
    let svg = super::warm_wire(&cool).expect("a profile is there");
    let in_pattern = 1;
    assert_eq!(svg.matches(&filled).count(), in_pattern);
}

#[test]
fn verdicts_differ_by_shape_and_word() {
    let svg = super::matrix(&mains()).expect("rows are there");
    let document = roxmltree::Document::parse(&svg).expect("well-formed XML");
    let shapes = |verdict: &str| {
        let cell = document.descendants().find(|n| n.attribute("data-verdict") == Some(verdict));
        let cell = cell.expect("a cell of each sort");
        let words: Vec<&str> = cell.descendants().filter_map(|n| n.text()).map(str::trim).collect();
        assert!(words.contains(&verdict), "{words:?}");
        let names = cell.children().filter(|node| node.is_element());
        names.map(|node| node.tag_name().name().to_owned()).collect::<Vec<_>>()
    };
    let all = ["holds", "fails", "cannot tell"].map(shapes);
    assert!(all[0] != all[1] && all[1] != all[2] && all[0] != all[2], "{all:?}");
}

#[test]
fn nothing_to_draw_gives_no_chart() {
    let none = Heading::default;
    let strips = Strips { rows: Vec::new(), reading: None, ..suspects() };
    assert_eq!(super::strips(&strips), None);
    assert_eq!(super::spread(&Spread { shares: Vec::new(), ..pert() }), None);
    let no_rows = Matrix { rows: Vec::new(), ..mains() };
    assert_eq!(super::matrix(&no_rows), None);
    assert_eq!(super::warm_wire(&WarmWire { profile: Vec::new(), ..hot_joint() }), None);
    let nothing = Trip {
        points: Vec::new(),
        currents: Vec::new(),
        critical_a: Vec::new(),
        ..bolt_down_fuse()
    };
    assert_eq!(super::trip(&nothing), None);
    let nothing = BeforeAfter { heading: none(), rows: Vec::new(), ..hatch() };
    assert_eq!(super::before_after(&nothing), None);
}

fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -1e4..1e4_f64,
        1 => Just(f64::NAN),
        1 => Just(f64::INFINITY),
        1 => Just(0.0),
        1 => 1e-12..1e-6_f64,
        1 => 1e9..1e15_f64,
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, max_shrink_iters: 100, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn strips_are_fit_to_print_whatever_the_numbers(
        rows in proptest::collection::vec(
            ("[a-zA-Z &<]{0,60}", proptest::collection::vec((any_number(), any_number(), any_number()), 0..4)),
            0..12,
        ),
        reading in any_number(),
        words in "[0-9a-zA-Z .]{0,80}",
        is_log in any::<bool>(),
    ) {
        let rows = rows.into_iter().map(|(label, bands)| Strip {
            id: label.clone(),
            aside: label.clone(),
            label,
            bands: bands.into_iter().map(|(low, high, weight)| Band { low, high, weight }).collect(),
        });
        let scale = if is_log { Scale::Logarithmic } else { Scale::Linear };
        let reading = Mark { value: reading, plus_minus: 0.1, words: String::new() };
        let quantity = words.repeat(3);
        let reading = Some(Mark { words, ..reading });
        let chart = Strips { scale, reading, quantity, rows: rows.collect(), ..suspects() };
        if let Some(svg) = super::strips(&chart) {
            assert_fit_to_print(&svg);
        }
    }

    #[test]
    fn trips_are_fit_to_print_whatever_the_numbers(
        points in proptest::collection::vec((any_number(), any_number(), any_number()), 0..6),
        currents in proptest::collection::vec((any_number(), any_number(), "[a-z 0-9]{0,90}"), 0..3),
        a2s in any_number(),
        critical in any_number(),
    ) {
        let points = points.into_iter().map(|(ampere, first, last)| TripPoint {
            ampere,
            earliest_s: Some(first),
            latest_s: Some(last),
            latest_read_s: Some(last),
        });
        let currents = currents.into_iter().map(|(least_a, most_a, words)| Prospective {
            words,
            least_a,
            most_a,
        });
        let chart = Trip {
            points: points.collect(),
            currents: currents.collect(),
            withstand: Some(Withstand { a2s, adiabatic_to_s: 5.0 }),
            critical_a: vec![critical],
            for_good: None,
            ..bolt_down_fuse()
        };
        if let Some(svg) = super::trip(&chart) {
            assert_fit_to_print(&svg);
        }
    }

    #[test]
    fn other_charts_are_fit_to_print_whatever_the_numbers(
        values in proptest::collection::vec((any_number(), any_number(), any_number()), 1..30),
        p in (any_number(), any_number()),
        text in "[a-zA-Z0-9 ]{0,120}",
    ) {
        let shares = values.iter().map(|(value, part, _)| Share { value: *value, part: *part });
        let mark = |value: f64| Mark { value, plus_minus: 0.0, words: format!("P50 {text}") };
        let chart = Spread { shares: shares.collect(), p50: mark(p.0), p80: mark(p.1), ..pert() };
        if let Some(svg) = super::spread(&chart) {
            assert_fit_to_print(&svg);
        }
        let profile = values.iter().enumerate().map(|(k, (low, high, _))| Warm {
            at_m: k as f64,
            coolest_c: low.min(*high),
            hottest_c: high.max(*low),
        });
        let limits = values.iter().take(4).map(|(celsius, ..)| WarmLimit {
            celsius: *celsius,
            words: text.clone(),
            place: Place::All,
        });
        let chart = WarmWire {
            profile: profile.collect(),
            limits: limits.collect(),
            air_c: p.0,
            ends: [text.clone(), text.clone()],
            ..hot_joint()
        };
        if let Some(svg) = super::warm_wire(&chart) {
            assert_fit_to_print(&svg);
        }
        let rows = values.iter().map(|(before, after, bearable)| Pair {
            id: text.clone(),
            label: text.clone(),
            before: Some(*before),
            after: Some(*after),
            bearable: Some(*bearable),
            words: text.clone(),
        });
        if let Some(svg) = super::before_after(&BeforeAfter { rows: rows.collect(), ..hatch() }) {
            assert_fit_to_print(&svg);
        }
        let cell = MatrixCell { verdict: Verdict::Fails, words: text.clone() };
        let row = MatrixRow {
            id: text.clone(),
            label: text.clone(),
            about: text.clone(),
            cells: vec![cell; values.len().min(5)],
        };
        let chart = Matrix { rows: vec![row; 3], ..mains() };
        assert_fit_to_print(&super::matrix(&chart).expect("rows are there"));
    }
}
