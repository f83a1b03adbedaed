//! Drawings are parsed as XML and measured: nothing leaves the sheet, no number covers another.

use proptest::prelude::*;

use crate::badge::{self, RADIUS};
use crate::measure::assert_fit_to_print;
use crate::{Cuboid, OrderBox, OrderDrawing, Speech, order};

/// Parses, and returns every rectangle with its attributes as numbers.
fn rectangles(svg: &str) -> Vec<[f64; 4]> {
    assert_fit_to_print(svg);
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
fn a_part_stands_in_a_column_before_what_it_hides() {
    let part = |number, label: &str, hides: &[usize]| OrderBox {
        number,
        label: label.to_owned(),
        hides: hides.to_vec(),
    };
    let drawing = OrderDrawing {
        title: "Order".to_owned(),
        notes: vec!["Two more parts.".to_owned()],
        speech: Speech::default(),
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
    let boxes = vec![part(&[1]), part(&[2]), part(&[0])];
    let drawing =
        OrderDrawing { title: String::new(), boxes, notes: Vec::new(), speech: Speech::default() };
    assert_eq!(rectangles(&order(&drawing)).len(), 3);
}

proptest! {
    #[test]
    fn numbers_never_cover_each_other(
        homes in proptest::collection::vec(((0.0..470.0_f64, 0.0..150.0_f64), any::<bool>()), 1..60)
    ) {
        let home = |(number, (at, has_room))| badge::Home { number, at, has_room };
        let homes: Vec<badge::Home> = (1..).zip(homes).map(home).collect();
        let placed = badge::place(&homes, (0.0, 0.0, 470.0, 150.0), |at| at.0 < 100.0);
        prop_assert_eq!(placed.len(), homes.len());
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
        let boxes: Vec<OrderBox> = hides
            .into_iter()
            .enumerate()
            .map(|(k, hides)| OrderBox { number: Some(k + 1), label: format!("part {k}"), hides })
            .collect();
        let all = rectangles(&order(&OrderDrawing { title: String::new(), boxes, notes: Vec::new(), speech: Speech::default() }));
        for (k, a) in all.iter().enumerate() {
            for b in &all[k + 1..] {
                let apart = a[0] + a[2] <= b[0] || b[0] + b[2] <= a[0]
                    || a[1] + a[3] <= b[1] || b[1] + b[3] <= a[1];
                prop_assert!(apart, "{a:?} {b:?}");
            }
        }
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
