//! Vehicle drawings are parsed and measured; projections and hidden lines against closed forms.

use proptest::prelude::*;

use super::hidden::{edges, pieces};
use super::projection::{Flat, Isometric};
use super::*;
use crate::measure::{assert_fit_to_print, pixels};
use crate::svg::Rect;

fn cuboid(from: [f64; 3], to: [f64; 3]) -> Cuboid {
    Cuboid::new(from, to).expect("a box with length, width and height")
}

fn step(number: usize) -> Role {
    Role::Step { number, rank: number }
}

fn thing(label: &str, role: Role, from: [f64; 3], to: [f64; 3]) -> Thing {
    Thing { id: label.to_owned(), label: label.to_owned(), cuboid: Some(cuboid(from, to)), role }
}

fn small_van() -> VehicleDrawing {
    VehicleDrawing {
        heading: Heading { title: "Way in to the pump".to_owned(), ..Heading::default() },
        inside: Some(cuboid([0.0, 0.0, 0.0], [4.0, 1.8, 1.9])),
        views: Vec::new(),
        things: vec![
            thing("bench lid", step(1), [2.0, 0.0, 0.5], [3.5, 0.6, 0.55]),
            thing("bench front", step(2), [2.0, 0.58, 0.0], [3.5, 0.6, 0.5]),
            thing("pump", Role::Wanted, [2.2, 0.1, 0.02], [2.5, 0.4, 0.3]),
            thing("wardrobe", Role::Stays, [3.4, 1.2, 0.0], [4.0, 1.8, 1.9]),
            Thing {
                id: "skirting".to_owned(),
                label: "skirting".to_owned(),
                cuboid: None,
                role: step(3),
            },
        ],
        routes: Vec::new(),
        work_area: None,
        pulls: Vec::new(),
    }
}

/// The same with everything that may lie over it.
fn full_van() -> VehicleDrawing {
    let place = cuboid([0.2, 1.4, 0.2], [0.5, 1.7, 0.5]);
    let far = cuboid([3.4, 0.2, 0.3], [3.7, 0.5, 0.6]);
    let route = |number, ends, past| Route {
        number,
        words: format!("electrics locker to pump: w{number}"),
        ends,
        past,
    };
    VehicleDrawing {
        views: vec![
            VehicleView::Plan,
            VehicleView::LeftHalf,
            VehicleView::RightHalf,
            VehicleView::Isometric,
        ],
        routes: vec![
            route(1, [RouteEnd::At(place), RouteEnd::At(far)], vec![cuboid([2.0; 3], [2.1; 3])]),
            route(2, [RouteEnd::Behind(far), RouteEnd::Unknown], Vec::new()),
        ],
        work_area: Some(cuboid([2.0, 0.0, 0.0], [3.5, 0.6, 0.55])),
        pulls: vec![Pull {
            number: 1,
            words: "house battery, 24 kg: 2 straps".to_owned(),
            cuboid: Some(place),
            directions: [
                PullVerdict::FallsShort,
                PullVerdict::WithinRating,
                PullVerdict::CannotTell,
                PullVerdict::CannotTell,
                PullVerdict::NotJudged,
                PullVerdict::NotJudged,
            ],
        }],
        ..small_van()
    }
}

fn draw(drawing: &VehicleDrawing) -> String {
    let svg = vehicle(drawing).expect("positions are there");
    assert_fit_to_print(&svg);
    svg
}

fn count_texts(svg: &str, text: &str) -> usize {
    let document = roxmltree::Document::parse(svg).expect("well-formed XML");
    let texts = document.descendants().filter(|node| node.has_tag_name("text"));
    texts.filter(|node| node.text() == Some(text)).count()
}

/// How often each thing has an outline.
fn outlines(svg: &str, id: &str) -> usize {
    let document = roxmltree::Document::parse(svg).expect("well-formed XML");
    let groups = document.descendants().filter(|node| node.attribute("class") == Some("outline"));
    groups.filter(|node| node.attribute("data-thing") == Some(id)).count()
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
    let svg = draw(&small_van());
    // Steps 1 and 2 stand left of the middle: plan, left half, legend. Step 3 has no position.
    assert_eq!(["1", "2", "3"].map(|text| count_texts(&svg, text)), [3, 3, 1]);
    assert!(svg.contains("skirting (no position recorded)") || svg.contains("position recorded)"));
}

#[test]
fn what_stands_on_the_right_is_not_drawn_in_the_left_half() {
    let mut van = small_van();
    van.things.retain(|thing| thing.label == "wardrobe");
    // Both halves, as nothing is to be done; the wardrobe in plan and right half only.
    assert_eq!(outlines(&draw(&van), "wardrobe"), 2);
}

#[test]
fn a_side_on_which_nothing_is_to_be_done_is_left_out() {
    let svg = draw(&small_van());
    assert!(svg.contains("Left half, seen") && !svg.contains("Right half, seen"));
}

#[test]
fn the_front_is_where_the_arrow_says() {
    let hull = cuboid([0.0; 3], [4.0, 2.0, 2.0]);
    let flat = |view| Flat { view, hull, points_per_m: 100.0, left: 12.0, top: 40.0 };
    let corner = cuboid([0.0, 0.0, 0.0], [0.5, 0.5, 0.5]);
    // By hand, 100 points a metre. Plan: front left of the vehicle is lower left on paper.
    let at = flat(VehicleView::Plan).on_paper(&corner);
    assert_eq!(at, Rect { x: 12.0, y: 190.0, w: 50.0, h: 50.0 });
    // Seen from the middle towards the left the front is on the right.
    let at = flat(VehicleView::LeftHalf).on_paper(&corner);
    assert_eq!(at, Rect { x: 362.0, y: 190.0, w: 50.0, h: 50.0 });
    let at = flat(VehicleView::RightHalf).on_paper(&corner);
    assert_eq!(at, Rect { x: 12.0, y: 190.0, w: 50.0, h: 50.0 });
}

/// What stands nearer to the middle hides what stands at the wall, in either half.
#[test]
fn one_looks_from_the_middle_to_the_walls() {
    let hull = cuboid([0.0; 3], [4.0, 2.0, 2.0]);
    let flat = |view| Flat { view, hull, points_per_m: 100.0, left: 0.0, top: 0.0 };
    let thin = |y: f64| cuboid([1.0, y, 0.0], [2.0, y + 0.02, 1.0]);
    let left = flat(VehicleView::LeftHalf);
    assert!(left.depth_m(&thin(0.1)) > left.depth_m(&thin(0.7)));
    let right = flat(VehicleView::RightHalf);
    assert!(right.depth_m(&thin(1.8)) > right.depth_m(&thin(1.2)));
    let plan = flat(VehicleView::Plan);
    let low = cuboid([1.0, 0.0, 0.0], [2.0, 1.0, 0.2]);
    assert!(plan.depth_m(&low) > plan.depth_m(&thin(0.1)));
}

/// ISO 5456-3, isometric axonometry: the vertical stays vertical, the other axes make 30° with the
/// level, all three have one scale.
#[test]
fn isometric_axes_stand_at_thirty_degrees_with_one_scale() {
    for towards in [[1.0, 1.0], [1.0, -1.0], [-1.0, 1.0], [-1.0, -1.0]] {
        let view = Isometric { towards, points_per_m: 50.0, origin: (300.0, 200.0) };
        let from = view.at([0.0; 3]);
        let axis = |point: [f64; 3]| {
            let to = view.at(point);
            (to.0 - from.0, to.1 - from.1)
        };
        let axes = [axis([1.0, 0.0, 0.0]), axis([0.0, 1.0, 0.0]), axis([0.0, 0.0, 1.0])];
        for (x, y) in axes {
            assert!((x.hypot(y) - 50.0).abs() < 1e-9, "{towards:?}");
        }
        for (x, y) in &axes[..2] {
            let degrees = y.abs().atan2(x.abs()).to_degrees();
            assert!((degrees - 30.0).abs() < 1e-9, "{towards:?}: {degrees}");
        }
        assert!(axes[2].0.abs() < 1e-9 && axes[2].1 < 0.0, "up is up");
        // What comes towards the one who looks goes down the paper.
        assert!(axes[0].1 * towards[0] > 0.0 && axes[1].1 * towards[1] > 0.0);
    }
}

/// Derived anew: a parallel projection onto a plane whose normal makes equal angles with the axes shortens all of
/// them to √(2/3); drawn at full scale every length on paper is √(3/2) of that projection.
#[test]
fn isometric_is_the_projection_along_the_space_diagonal() {
    let view = Isometric { towards: [1.0, 1.0], points_per_m: 1.0, origin: (0.0, 0.0) };
    let normal = [1.0, 1.0, 1.0].map(|v: f64| v / 3.0_f64.sqrt());
    for point in [[1.0, 0.0, 0.0], [0.3, -2.0, 0.7], [1.5, 0.2, -0.4], [-1.0, 1.0, 0.0]] {
        let along: f64 = (0..3).map(|k| point[k] * normal[k]).sum();
        let square: f64 = point.iter().map(|v| v * v).sum();
        let on_plane = (square - along * along).max(0.0).sqrt();
        let (x, y) = view.at(point);
        assert!((x.hypot(y) - 1.5_f64.sqrt() * on_plane).abs() < 1e-9, "{point:?}");
    }
}

/// By hand: an edge from 0 to 100 with something over 20 to 50 and 40 to 70 is hidden from 20 to 70.
#[test]
fn what_something_nearer_covers_is_hidden_and_the_rest_is_seen() {
    let over = |x: f64, w: f64| Rect { x, y: -5.0, w, h: 10.0 };
    let found = pieces((0.0, 0.0), (100.0, 0.0), &[over(40.0, 30.0), over(20.0, 30.0)]);
    let ends: Vec<(f64, f64, bool)> =
        found.iter().map(|piece| (piece.from.0, piece.to.0, piece.is_hidden)).collect();
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
    let hidden: f64 = ends.iter().filter(|piece| piece.2).map(|piece| piece.1 - piece.0).sum();
    assert!(near(hidden, 50.0), "{ends:?}");
    assert!(near(ends[0].1, 20.0) && !ends[0].2);
    assert!(near(ends[ends.len() - 1].0, 70.0) && !ends[ends.len() - 1].2);
    // An edge that only touches something nearer is seen.
    let beside = Rect { x: 0.0, y: 0.0, w: 100.0, h: 10.0 };
    assert!(pieces((0.0, 0.0), (100.0, 0.0), &[beside]).iter().all(|piece| !piece.is_hidden));
    let rect = Rect { x: 0.0, y: 0.0, w: 10.0, h: 10.0 };
    let wide = Rect { x: -1.0, y: -1.0, w: 12.0, h: 12.0 };
    assert!(edges(rect, &[wide]).iter().all(|piece| piece.is_hidden));
}

/// A lamp over a table over a mat, a wall behind them and a door in front of them, in any order of the
/// record: what is nearer along an axis is drawn later.
#[test]
fn the_nearer_of_two_boxes_is_drawn_later() {
    let boxes = [
        ("mat", [1.0, 0.4, 0.0], [3.0, 1.4, 0.02]),
        ("table", [1.5, 0.6, 0.3], [2.5, 1.2, 0.7]),
        ("lamp", [1.9, 0.8, 1.4], [2.1, 1.0, 1.6]),
        ("wall", [0.0, 0.0, 0.0], [4.0, 0.05, 1.7]),
        ("door", [1.0, 1.6, 0.0], [3.0, 1.65, 1.7]),
    ];
    for turn in 0..boxes.len() {
        let mut van = small_van();
        let mut things: Vec<Thing> =
            boxes.iter().map(|(name, from, to)| thing(name, Role::Stays, *from, *to)).collect();
        things.rotate_left(turn);
        van.things = things;
        let view = Isometric { towards: [1.0, 1.0], points_per_m: 50.0, origin: (0.0, 0.0) };
        let order: Vec<&str> =
            isometric::in_order(&view, &van).iter().map(|(thing, _)| thing.id.as_str()).collect();
        let at = |name: &str| order.iter().position(|known| *known == name).unwrap();
        assert!(at("wall") < at("table") && at("mat") < at("table"), "{order:?}");
        assert!(at("table") < at("lamp") && at("lamp") < at("door"), "{order:?}");
    }
}

#[test]
fn what_is_wanted_behind_a_part_is_dashed() {
    let svg = draw(&small_van());
    let document = roxmltree::Document::parse(&svg).expect("well-formed XML");
    // The pump lies under the lid: all of its outline in the plan is dashed, and behind the front too.
    let pump = document.descendants().filter(|node| {
        node.attribute("class") == Some("outline") && node.attribute("data-thing") == Some("pump")
    });
    let paths: Vec<bool> = pump
        .flat_map(|node| node.children().collect::<Vec<_>>())
        .filter(|node| node.has_tag_name("path"))
        .map(|node| node.attribute("stroke-dasharray").is_some())
        .collect();
    assert!(paths.len() >= 8 && paths.iter().all(|dashed| *dashed), "{paths:?}");
}

#[test]
fn what_comes_out_later_is_shaded_darker() {
    use crate::tone::Tone;
    let shades: Vec<Tone> = (1..=8).map(|rank| super::flat::shade(rank, 8)).collect();
    let place = |tone: &Tone| Tone::SHADES.iter().position(|shade| shade == tone).unwrap();
    assert!(shades.windows(2).all(|pair| place(&pair[0]) <= place(&pair[1])), "{shades:?}");
    assert_eq!((shades[0], shades[7]), (Tone::Wash, Tone::Deep));
}

#[test]
fn of_many_numbers_each_stands_in_one_flat_view() {
    let mut van = small_van();
    van.things = (1..=20)
        .map(|number| {
            let x = 0.19 * number as f64;
            let y = if number % 2 == 0 { 0.1 } else { 1.4 };
            thing(&format!("part {number}"), step(number), [x, y, 0.1], [x + 0.15, y + 0.3, 0.9])
        })
        .collect();
    let svg = draw(&van);
    for number in 1..=20 {
        assert_eq!(count_texts(&svg, &number.to_string()), 2, "{number}: once drawn, once told");
    }
}

#[test]
fn pulls_are_told_by_form_and_only_danger_has_a_colour() {
    let svg = draw(&full_van());
    let danger = crate::tone::Tone::Danger.on_light();
    let document = roxmltree::Document::parse(&svg).expect("well-formed XML");
    let coloured = document.descendants().filter(|node| {
        node.attribute("stroke") == Some(danger) || node.attribute("fill") == Some(danger)
    });
    let of_pull_or_key = coloured.filter(|node| {
        let mut above = node.ancestors();
        above
            .any(|g| matches!(g.attribute("class"), Some("pull" | "key")) || g.has_tag_name("defs"))
    });
    assert!(of_pull_or_key.count() >= 4, "forward, in plan and side, and in the legend");
    assert!(svg.contains("what holds it falls short this way"));
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
    van.heading.title = "<script>alert('&')</script> \u{1} ]]>".to_owned();
    let svg = vehicle(&van).expect("positions are there");
    let document = roxmltree::Document::parse(&svg).expect("well-formed XML");
    assert!(!document.descendants().any(|node| node.has_tag_name("script")));
}

#[test]
fn the_same_vehicle_gives_the_same_bytes_and_a_picture() {
    let svg = draw(&full_van());
    assert_eq!(svg, draw(&full_van()));
    let picture = pixels(&svg, 1.0);
    let dark = picture.pixels().iter().filter(|pixel| pixel.red() < 96).count();
    assert!(dark > 2_000, "{dark} dark pixels only");
}

fn any_box() -> impl Strategy<Value = Cuboid> {
    let corner = (-0.5..4.5_f64, -1.0..1.0_f64, -0.3..2.0_f64);
    (corner, 0.005..1.5_f64, 0.005..1.0_f64, 0.005..1.5_f64)
        .prop_map(|((x, y, z), l, w, h)| cuboid([x, y, z], [x + l, y + w, z + h]))
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 24,
        max_shrink_iters: 100,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn vehicles_are_fit_to_print_whatever_stands_in_them(
        boxes in proptest::collection::vec((any_box(), 0..4_usize), 1..40),
        label in "[a-zA-Z0-9 <&]{0,70}",
    ) {
        let things = boxes.iter().enumerate().map(|(k, (place, role))| Thing {
            id: format!("t{k}"),
            label: label.clone(),
            cuboid: Some(*place),
            role: match role {
                0 => Role::Stays,
                1 => Role::Wanted,
                2 => Role::Out,
                _ => Role::Step { number: k + 1, rank: 1 + k / 3 },
            },
        });
        let van = VehicleDrawing { things: things.collect(), inside: None, ..full_van() };
        assert_fit_to_print(&vehicle(&van).expect("positions are there"));
    }

    #[test]
    fn seen_and_hidden_pieces_make_up_the_edge(
        covers in proptest::collection::vec((-50.0..150.0_f64, 0.0..60.0_f64), 0..8)
    ) {
        let rects: Vec<Rect> =
            covers.iter().map(|(x, w)| Rect { x: *x, y: -1.0, w: *w, h: 2.0 }).collect();
        let found = pieces((0.0, 0.0), (100.0, 0.0), &rects);
        let length: f64 = found.iter().map(|piece| piece.to.0 - piece.from.0).sum();
        // Pieces shorter than 0.4 points are left out, at most two for each cover.
        prop_assert!(length <= 100.0 + 1e-9 && length >= 100.0 - 0.8 * covers.len() as f64 - 1e-9);
        prop_assert!(found.windows(2).all(|pair| pair[0].to.0 <= pair[1].from.0 + 1e-9));
        for piece in &found {
            let middle = (piece.from.0 + piece.to.0) / 2.0;
            let under = rects.iter().any(|r| middle > r.x && middle < r.x + r.w);
            prop_assert_eq!(under, piece.is_hidden);
        }
    }
}
