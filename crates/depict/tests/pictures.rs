//! Vehicle drawings and charts of the example records and of invented vehicles, measured as a viewer
//! shows them.

use std::collections::BTreeSet;

use analysis::Case;
use depict::{Paper, Picture, pictures};
use testkit::{DUNLIN, SHIPPED, WREN};

#[path = "../../draw/src/measure.rs"]
#[allow(dead_code, reason = "the measures of `draw`, of which these tests use some")]
mod measure;

use measure::{assert_fit_to_print, pixels};

/// All but the wiring drawing, whose layout has tests of its own.
fn drawn(text: &str) -> Vec<Picture> {
    let mut all = pictures(&Case::of(text), Paper::A4);
    all.retain(|picture| !picture.is_of("wiring"));
    all
}

fn check(pictures: &[Picture]) {
    let names: BTreeSet<&str> = pictures.iter().map(|picture| picture.name.as_str()).collect();
    assert_eq!(names.len(), pictures.len(), "names are unique");
    for picture in pictures {
        assert_fit_to_print(&picture.svg);
        assert!(!picture.title.is_empty());
        let is_plain = |letter: char| letter.is_alphanumeric() || letter == '-';
        assert!(picture.name.chars().all(is_plain), "{} is no stem of a file", picture.name);
    }
}

#[test]
fn pictures_of_the_records_are_fit_to_print_and_always_the_same() {
    for (name, text) in SHIPPED {
        let all = drawn(text);
        check(&all);
        assert_eq!(all, drawn(text), "{name}");
        let dark = |picture: &Picture| {
            let pixels = pixels(&picture.svg, 1.0);
            pixels.pixels().iter().filter(|pixel| pixel.red() < 96).count()
        };
        assert!(all.iter().all(|picture| dark(picture) > 300), "{name}: an empty picture");
    }
}

#[test]
fn pictures_of_invented_vehicles_are_fit_to_print() {
    for seed in 0..3 {
        let size = testkit::Size { wires: 60, parts: 30 };
        let options = testkit::Options { unknown: 0.1, defects: 0.2 };
        check(&drawn(&testkit::vehicle_with(seed, size, &options).text));
    }
}

#[test]
fn a_record_with_places_is_drawn_in_the_vehicle_and_one_without_says_what_to_write() {
    let names = |text: &str| -> Vec<String> {
        drawn(text).into_iter().map(|picture| picture.name).collect()
    };
    let dunlin = names(DUNLIN);
    for name in ["vehicle-plan", "vehicle-sides", "vehicle-isometric", "vehicle-wires"] {
        assert!(dunlin.iter().any(|known| known == name), "{name}: {dunlin:?}");
    }
    let wren = drawn(WREN);
    let order = wren.iter().find(|picture| picture.name == "vehicle-order").expect("an order");
    assert!(order.svg.contains("is not recorded") && !order.svg.contains('`'));
    assert!(!wren.iter().any(|picture| picture.name == "vehicle-plan"));
}

#[test]
fn an_empty_record_gives_few_pictures_and_no_fault() {
    for text in
        ["", "unbury = 1\n", "[parts]\na = { is = \"a panel\", box = \"forward 0 to 1 m\" }\n"]
    {
        check(&drawn(text));
    }
}

/// Each wanted thing, each step and each restraint failure can be taken hold of by a program.
#[test]
fn marks_carry_their_data() {
    let all = drawn(DUNLIN);
    let svg = |name: &str| &all.iter().find(|picture| picture.name == name).expect(name).svg;
    assert!(svg("vehicle-plan").contains("data-thing=\"worktop\""));
    assert!(svg("vehicle-wires").contains("class=\"route\""));
    assert!(svg("vehicle-restraint").contains("class=\"pull\""));
    assert!(svg("minutes-service").contains("data-item=\"pump\""));
    assert!(svg("mains").contains("data-verdict=\"fails\""));
    let trip = all.iter().find(|picture| picture.is_of("trip")).expect("a fuse and a wire");
    assert!(trip.svg.contains("data-withstand-a2s="));
}

/// Whoever points at a part, a way or a row, or cannot see it, is told in words what it is.
#[test]
fn parts_ways_pulls_and_rows_carry_their_words() {
    const NAMED: [&str; 8] = [
        "data-thing",
        "data-part",
        "data-route",
        "data-pull",
        "data-item",
        "data-suspect",
        "data-device",
        "data-wire",
    ];
    for text in [DUNLIN, WREN] {
        let mut count = 0;
        for picture in pictures(&Case::of(text), Paper::A4) {
            let svg = roxmltree::Document::parse(&picture.svg).expect("well-formed XML");
            for node in svg.descendants() {
                if !node.attributes().any(|given| NAMED.contains(&given.name())) {
                    continue;
                }
                let title = node.children().find(|child| child.has_tag_name("title"));
                let words = title.and_then(|title| title.text()).unwrap_or_default();
                assert!(!words.trim().is_empty(), "{}: {node:?}", picture.name);
                count += 1;
            }
        }
        assert!(count > 100, "{count} marks");
    }
}
