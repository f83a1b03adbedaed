//! Drawings are parsed as XML and measured: nothing leaves the sheet, no number covers another.

use proptest::prelude::*;

use crate::badge::{self, RADIUS};
use crate::{Cuboid, OrderBox, OrderDrawing, Role, Thing, VehicleDrawing, order, vehicle};

fn cuboid(from: [f64; 3], to: [f64; 3]) -> Cuboid {
    Cuboid::new(from, to).expect("a box with length, width and height")
}

fn thing(label: &str, role: Role, from: [f64; 3], to: [f64; 3]) -> Thing {
    Thing { label: label.to_owned(), cuboid: Some(cuboid(from, to)), role }
}

fn small_van() -> VehicleDrawing {
    VehicleDrawing {
        title: "Way in to the pump".to_owned(),
        inside: Some(cuboid([0.0, 0.0, 0.0], [4.0, 1.8, 1.9])),
        things: vec![
            thing("bench lid", Role::Step(1), [2.0, 0.0, 0.5], [3.5, 0.6, 0.55]),
            thing("bench front", Role::Step(2), [2.0, 0.58, 0.0], [3.5, 0.6, 0.5]),
            thing("pump", Role::Wanted, [2.2, 0.1, 0.0], [2.5, 0.4, 0.3]),
            thing("wardrobe", Role::Stays, [3.4, 1.2, 0.0], [4.0, 1.8, 1.9]),
            Thing { label: "skirting".to_owned(), cuboid: None, role: Role::Step(3) },
        ],
    }
}

/// Parses, and returns every rectangle with its attributes as numbers.
fn rectangles(svg: &str) -> Vec<[f64; 4]> {
    let document = roxmltree::Document::parse(svg).expect("well-formed XML");
    document
        .descendants()
        .filter(|node| node.has_tag_name("rect") && node.has_attribute("x"))
        .map(|node| {
            ["x", "y", "width", "height"].map(|key| {
                node.attribute(key).expect("present").parse().expect("a number in points")
            })
        })
        .collect()
}

#[test]
fn a_box_without_length_is_no_box() {
    assert!(Cuboid::new([0.0; 3], [1.0, 0.0, 1.0]).is_none());
    assert!(Cuboid::new([0.0; 3], [1.0, f64::NAN, 1.0]).is_none());
    assert!(Cuboid::new([0.0; 3], [1.0, f64::INFINITY, 1.0]).is_none());
    assert!(Cuboid::new([2.0, 0.0, 0.0], [1.0, 1.0, 1.0]).is_none());
}

#[test]
fn every_step_has_its_number_in_the_plan_and_in_the_legend() {
    let svg = vehicle(&small_van()).expect("positions are there");
    let document = roxmltree::Document::parse(&svg).expect("well-formed XML");
    let count = |text: &str| {
        document
            .descendants()
            .filter(|node| node.has_tag_name("text") && node.text() == Some(text))
            .count()
    };
    // Steps 1 and 2 stand left of the middle: plan, left half, legend. Step 3 has no position.
    assert_eq!([count("1"), count("2"), count("3")], [3, 3, 1]);
    assert!(svg.contains("skirting (no position recorded)"));
}

#[test]
fn what_stands_on_the_right_is_not_drawn_in_the_left_half() {
    let mut van = small_van();
    van.things.retain(|thing| thing.label == "wardrobe");
    let all = rectangles(&vehicle(&van).expect("a position is there"));
    // Three frames; the wardrobe in plan and right half only.
    assert_eq!(all.len(), 3 + 2);
}

#[test]
fn a_side_on_which_nothing_is_to_be_done_is_left_out() {
    // Frames: plan and left half. Boxes: lid, front, pump in both, the wardrobe in the plan only.
    let drawn = rectangles(&vehicle(&small_van()).expect("positions are there"));
    let in_legend = 1;
    assert_eq!(drawn.len(), 2 + 2 * 3 + 1 + in_legend);
}

#[test]
fn the_front_is_on_the_left_and_the_left_side_at_the_bottom_of_the_plan() {
    let van = VehicleDrawing {
        title: String::new(),
        inside: Some(cuboid([0.0; 3], [4.0, 2.0, 2.0])),
        things: vec![thing("front left", Role::Stays, [0.0, 0.0, 0.0], [0.5, 0.5, 0.5])],
    };
    let all = rectangles(&vehicle(&van).expect("a position is there"));
    let (item, frame) = (all[0], all[1]);
    assert!((item[0] - frame[0]).abs() < 0.11, "front at the left edge");
    assert!((item[1] + item[3] - frame[1] - frame[3]).abs() < 0.21, "left at the bottom edge");
    // One scale for all directions: an eighth of the length is a quarter of the width.
    assert!((item[2] / frame[2] - 0.125).abs() < 1e-3 && (item[3] / frame[3] - 0.25).abs() < 2e-3);
}

#[test]
fn nothing_with_a_position_gives_no_drawing() {
    let mut van = small_van();
    van.things.iter_mut().for_each(|thing| thing.cuboid = None);
    assert_eq!(vehicle(&van), None);
}

#[test]
fn marks_in_a_label_stay_words() {
    let mut van = small_van();
    van.title = "<script>alert('&')</script> \u{1} ]]>".to_owned();
    let svg = vehicle(&van).expect("positions are there");
    let document = roxmltree::Document::parse(&svg).expect("well-formed XML");
    assert!(!document.descendants().any(|node| node.has_tag_name("script")));
}

#[test]
fn a_part_stands_in_a_column_before_what_it_hides() {
    let part = |number, label: &str, hides: &[usize]| OrderBox {
        number,
        label: label.to_owned(),
        hides: hides.to_vec(),
    };
    let drawing = OrderDrawing {
        title: "Order".to_owned(),
        boxes: vec![
            part(None, "charger", &[]),
            part(Some(3), "back", &[0]),
            part(Some(1), "drawer", &[2, 1]),
            part(Some(2), "frame", &[1]),
            part(Some(4), "cover", &[0, 99]),
        ],
    };
    // Positions: the drawer hides back and back; a missing box (99) draws no arrow.
    let all = rectangles(&order(&drawing));
    let x: Vec<f64> = all.iter().map(|rect| rect[0]).collect();
    assert!(x[1] < x[0] && x[2] < x[1] && x[3] < x[1] && x[4] < x[0], "{x:?}");
}

#[test]
fn a_circle_does_not_hang_the_drawing() {
    let part = |hides: &[usize]| OrderBox {
        number: Some(1),
        label: "part".to_owned(),
        hides: hides.to_vec(),
    };
    let drawing =
        OrderDrawing { title: String::new(), boxes: vec![part(&[1]), part(&[2]), part(&[0])] };
    assert_eq!(rectangles(&order(&drawing)).len(), 3);
}

proptest! {
    #[test]
    fn numbers_never_cover_each_other(
        homes in proptest::collection::vec((0.0..470.0_f64, 0.0..150.0_f64), 1..60)
    ) {
        let homes: Vec<(usize, (f64, f64))> = (1..).zip(homes).collect();
        let placed = badge::place(&homes, (0.0, 0.0, 470.0, 150.0));
        for (k, a) in placed.iter().enumerate() {
            for b in &placed[k + 1..] {
                let apart = (a.at.0 - b.at.0).hypot(a.at.1 - b.at.1);
                prop_assert!(apart >= 2.0 * RADIUS, "{a:?} {b:?}");
            }
            prop_assert!((RADIUS..=470.0 - RADIUS).contains(&a.at.0));
            prop_assert!((RADIUS..=150.0 - RADIUS).contains(&a.at.1));
        }
    }

    #[test]
    fn boxes_of_an_order_never_overlap(
        hides in proptest::collection::vec(proptest::collection::vec(0_usize..20, 0..4), 1..20)
    ) {
        let boxes = hides
            .into_iter()
            .enumerate()
            .map(|(k, hides)| OrderBox { number: Some(k + 1), label: format!("part {k}"), hides })
            .collect();
        let all = rectangles(&order(&OrderDrawing { title: String::new(), boxes }));
        for (k, a) in all.iter().enumerate() {
            for b in &all[k + 1..] {
                let apart = a[0] + a[2] <= b[0] || b[0] + b[2] <= a[0]
                    || a[1] + a[3] <= b[1] || b[1] + b[3] <= a[1];
                prop_assert!(apart, "{a:?} {b:?}");
            }
        }
    }

    #[test]
    fn whatever_the_words_the_file_is_xml(title in ".*", label in ".*") {
        let mut van = small_van();
        van.title = title;
        van.things[0].label = label;
        let svg = vehicle(&van).expect("positions are there");
        prop_assert!(roxmltree::Document::parse(&svg).is_ok());
    }
}

#[test]
fn a_code_is_square_and_what_is_too_long_gets_none() {
    let svg = crate::qr("Van\nbag 3\ndrawer frame\n8 x screw").expect("short enough");
    let document = roxmltree::Document::parse(&svg).expect("well-formed XML");
    let root = document.root_element();
    assert_eq!(root.attribute("width"), root.attribute("height"));
    // ISO/IEC 18004: 1663 bytes is the most a code of level Q holds.
    assert!(crate::qr(&"x".repeat(1_663)).is_some());
    assert!(crate::qr(&"x".repeat(1_664)).is_none());
}
