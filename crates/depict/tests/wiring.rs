//! Wiring drawings of whole records, measured on the finished SVG: what usvg and the bundled typeface
//! make of it is the judge, not the layout's own figures.

#[path = "../examples/wiring_quality/measure.rs"]
#[allow(dead_code, reason = "the tests use some of the figures")]
mod measure;

use std::collections::BTreeMap;

use analysis::Case;
use depict::{Overlay, Paper, Picture, Suspicion, wiring};
use measure::{Quality, measure};
use testkit::{DUNLIN, Size, WREN};

const PLOVER: &str = include_str!("../../../records/plover/plover.toml");

fn quality(pictures: &[Picture]) -> Quality {
    let mut all = Quality::default();
    pictures.iter().for_each(|picture| all.add(measure(&picture.svg)));
    all
}

/// Few remarks of two lines each stand in the foot of a small sheet.
#[test]
fn nothing_lies_on_anything_on_small_sheets_with_findings() {
    let found = quality(&wiring(&Case::of(PLOVER), Overlay::Findings, Paper::A4));
    assert_eq!(found.faults(), Vec::<&String>::new());
}

#[test]
fn nothing_lies_on_anything_in_the_example_records() {
    for text in [DUNLIN, WREN] {
        let case = Case::of(text);
        let state = case.state_names()[1].clone();
        for overlay in [Overlay::Nothing, Overlay::Findings, Overlay::State(&state)] {
            let found = quality(&wiring(&case, overlay, Paper::A3));
            assert_eq!(found.faults(), Vec::<&String>::new(), "{overlay:?}");
        }
    }
}

#[test]
fn nothing_lies_on_anything_in_invented_vehicles_on_small_paper() {
    for seed in 1..=3 {
        let case = Case::of(&testkit::vehicle(seed, Size { wires: 100, parts: 40 }));
        let found = quality(&wiring(&case, Overlay::Nothing, Paper::Letter));
        assert_eq!(found.faults(), Vec::<&String>::new(), "seed {seed}");
    }
}

/// Each wire of the record once, whatever the number of sheets.
#[test]
fn every_wire_is_on_exactly_one_sheet() {
    let case = Case::of(DUNLIN);
    let sheets = wiring(&case, Overlay::Nothing, Paper::Letter);
    assert!(sheets.len() > 2, "letter paper takes several");
    let mut drawn: Vec<String> = Vec::new();
    for sheet in &sheets {
        let pieces = sheet.svg.split("data-wire=\"").skip(1);
        drawn.extend(pieces.map(|rest| rest.split('"').next().unwrap_or_default().to_owned()));
    }
    drawn.sort();
    // The cores of a cable are one line.
    let mut recorded: Vec<String> = case
        .wire_list()
        .into_iter()
        .map(|wire| wire.name.split('/').next().unwrap_or_default().to_owned())
        .collect();
    recorded.sort();
    recorded.dedup();
    assert_eq!(drawn, recorded);
}

/// The measure itself must be able to fail: a label moved onto a line, a line moved into a symbol.
#[test]
fn the_measure_sees_what_is_wrong() {
    let case = Case::of(DUNLIN);
    let sheets = wiring(&case, Overlay::Nothing, Paper::A3);
    let svgs = sheets.iter().map(|sheet| &sheet.svg);
    let found = svgs.filter_map(|svg| Some((svg, svg.find("data-wire=\"f3\"")?))).next();
    let (svg, wire) = found.expect("the wire is there");
    let path = wire + svg[wire..].find(" d=\"M").expect("its line") + 5;
    let x_end = path + svg[path..].find(' ').expect("a point");
    let x: f64 = svg[path..x_end].parse().expect("a number");
    let mut through = svg.clone();
    through.replace_range(path..x_end, &format!("{}", x - 30.0));
    let found = measure(&through);
    assert!(!found.through.is_empty() && !found.collisions.is_empty(), "{found:?}");
}

/// Places of symbols on paper, by name: their first words.
fn places(svg: &str) -> BTreeMap<String, (f64, f64)> {
    let mut places = BTreeMap::new();
    for piece in svg.split("data-device=\"").skip(1) {
        let name = piece.split('"').next().unwrap_or_default().to_owned();
        let number = |key: &str| -> Option<f64> {
            let text = &piece[piece.find("<text")?..];
            let rest = &text[text.find(key)? + key.len()..];
            rest.split('"').next()?.parse().ok()
        };
        if let (Some(x), Some(y)) = (number(" x=\""), number(" y=\"")) {
            places.entry(name).or_insert((x, y));
        }
    }
    places
}

/// One lamp more on a free way of the fuse box: the picture in the head still fits. Counted on the
/// unscaled sheet: symbols that leave their column, and pairs in a column that change their order.
#[test]
fn a_wire_more_moves_little() {
    let more = DUNLIN
        .replace("[wires]\n", "[wires]\nnew1 = \"box.14 to new-lamp.+, 1 mm2, red, 2 m\"\nnew2 = \"new-lamp.- to neg-bar, 1 mm2, black, 2 m\"\n")
        .replace("[devices]\n", "[devices]\nnew-lamp = { kind = \"led lights\", behind = \"nothing\" }\n")
        .replace("\"5 A reading lamps\"]", "\"5 A reading lamps\", \"5 A new\"]");
    let draw = |text: &str| wiring(&Case::of(text), Overlay::Nothing, Paper::Whole)[0].svg.clone();
    let (before, after) = (places(&draw(DUNLIN)), places(&draw(&more)));
    assert!(after.contains_key("new-lamp") && before.len() > 40);
    let mut moved_column = 0;
    for (name, place) in &before {
        moved_column += usize::from((place.0 - after[name].0).abs() > 12.0);
    }
    let names: Vec<&String> = before.keys().collect();
    let (mut pairs, mut turned) = (0, 0);
    for (k, a) in names.iter().enumerate() {
        for b in &names[k + 1..] {
            if (before[*a].0 - before[*b].0).abs() < 30.0 {
                pairs += 1;
                let order = |places: &BTreeMap<String, (f64, f64)>| places[*a].1 < places[*b].1;
                turned += usize::from(order(&before) != order(&after));
            }
        }
    }
    println!(
        "{moved_column} of {} left their column; {turned} of {pairs} pairs turned",
        before.len()
    );
    // Our own bar: nothing leaves its column, fewer than one pair in twenty turns.
    assert_eq!(moved_column, 0);
    assert!(20 * turned < pairs, "{turned} of {pairs}");
}

#[test]
fn suspects_are_shaded_with_their_share() {
    let case = Case::of(DUNLIN);
    let suspicion = Suspicion::from([("c3".to_owned(), 0.61), ("charger".to_owned(), 0.2)]);
    let pictures = wiring(&case, Overlay::Suspects(&suspicion), Paper::A3);
    let svg = &pictures[0].svg;
    assert!(svg.contains(">61 %<") && svg.contains(">20 %<") && svg.contains("fill-opacity"));
    assert_eq!(quality(&pictures).faults(), Vec::<&String>::new());
}

#[test]
fn a_state_tells_live_from_floating_and_not_reached_without_colour() {
    let case = Case::of(WREN);
    let svg = &wiring(&case, Overlay::State("rest"), Paper::A3)[0].svg;
    for class in ["wire feed live", "wire return to-return"] {
        assert!(svg.contains(class), "{class}");
    }
    // The key shows every style, and each style of line that is not live is broken its own way.
    for words in ["live", "may be live", "floating: no voltage is known", "not reached: prove dead"]
    {
        assert!(svg.contains(&format!(">{words}<")), "{words}");
    }
    assert!(wiring(&case, Overlay::State("no such state"), Paper::A3).is_empty());
}

#[test]
fn the_mains_side_is_drawn_live_where_a_state_feeds_it_and_not_at_all_where_none_does() {
    // With the lead plugged in, what leaves the inlet is at mains voltage; at rest no source of mains runs.
    let case = Case::of(DUNLIN);
    let mains = |state| {
        let pictures = wiring(&case, Overlay::State(state), Paper::A3);
        pictures.into_iter().find(|picture| picture.name.starts_with("wiring-mains-state"))
    };
    let shore = mains("shore").expect("the inlet feeds the mains side");
    let of_inlet = shore.svg.lines().find(|line| line.contains("data-wire=\"ac1\""));
    assert!(of_inlet.is_some_and(|line| line.contains("live")), "{of_inlet:?}");
    assert!(!shore.svg.contains("more current"), "no current is known on the mains side");
    assert!(mains("rest").is_none());
    assert_eq!(quality(&[shore]).faults(), Vec::<&String>::new());
}

#[test]
fn odd_records_still_give_drawings() {
    let head = "unbury = 1\n[vehicle]\nname = \"Odd\"\nregion = \"europe\"\nsystem = \"12 V\"\n";
    let only_mains = "[devices]\ninlet = { kind = \"shore inlet\" }\nsocket = { kind = \"mains socket\" }\n\
        [wires]\nac = \"inlet.ac to socket.ac, 3 x 2.5 mm2, 2 m\"\n";
    let only_ends = "[wires]\na = \"unknown to unknown, 1 mm2, red\"\n";
    let unknown_device = "[devices]\nlamp = { kind = \"led lights\" }\n\
        [wires]\na = \"nowhere.+ to lamp.+, 1 mm2, red\"\nb = \"lamp.- to unknown, 1 mm2\"\n";
    for (rest, drawings) in [(only_mains, 1), (only_ends, 1), (unknown_device, 1), ("", 0)] {
        let case = Case::of(&format!("{head}{rest}"));
        let pictures = wiring(&case, Overlay::Nothing, Paper::A4);
        assert_eq!(pictures.len(), drawings, "{rest}");
        assert_eq!(quality(&pictures).faults(), Vec::<&String>::new(), "{rest}");
    }
}

const BRACKEN: &str = include_str!("../../../records/bracken/bracken.toml");

/// Sheets of a record's findings on which the finding of a check at a place has its mark.
fn marked(text: &str, check: &str, place: &str) -> Vec<String> {
    let case = Case::of(text);
    let findings = case.review().findings;
    let at = findings.iter().position(|found| found.check == check && found.place.name == place);
    let number = at.unwrap_or_else(|| panic!("{check} at {place}")) + 1;
    let mark = format!("class=\"mark\" data-finding=\"{number}\"");
    let sheets = wiring(&case, Overlay::Findings, Paper::A3);
    let has_mark = |picture: &&Picture| picture.svg.contains(&mark);
    sheets.iter().filter(has_mark).map(|picture| picture.name.clone()).collect()
}

#[test]
fn what_is_found_at_a_terminal_is_marked_on_the_side_of_the_terminal() {
    for (check, place) in [
        ("washer-or-paint-in-current-path", "inverter.+"),
        ("conductor-too-small-for-drop", "inverter"),
    ] {
        let sheets = marked(PLOVER, check, place);
        assert!(!sheets.is_empty(), "{place} has no mark");
        assert!(!sheets.iter().any(|name| name.contains("mains")), "{place}: {sheets:?}");
    }
}

#[test]
fn what_is_found_in_a_state_is_marked_at_what_it_names() {
    for (text, state) in [(DUNLIN, "shore"), (DUNLIN, "wheel"), (BRACKEN, "shore")] {
        let sheets = marked(text, "two-neutral-earth-bonds", &format!("state {state}"));
        assert!(!sheets.is_empty(), "{state} has no mark");
        assert!(sheets.iter().all(|name| name.contains("mains")), "{state}: {sheets:?}");
    }
}

#[test]
fn what_is_found_at_a_body_point_has_a_mark() {
    for (text, check, place) in [
        (DUNLIN, "washer-or-paint-in-current-path", "bracket"),
        (BRACKEN, "washer-or-paint-in-current-path", "wall-screw"),
        (BRACKEN, "washer-or-paint-in-current-path", "ramp-screw"),
        (BRACKEN, "joint-buried", "floor-screw"),
        (WREN, "washer-or-paint-in-current-path", "rear-earth"),
        (WREN, "too-many-lugs-on-a-stud", "rear-earth"),
    ] {
        assert!(!marked(text, check, place).is_empty(), "{check} at {place} has no mark");
    }
}
