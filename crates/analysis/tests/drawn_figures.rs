//! Figures that go into charts and drawings, against published rows, closed forms, and what a person reads in
//! the records.

use analysis::{Case, TripView};

const DUNLIN: &str = include_str!("../../../records/dunlin/dunlin.toml");
const PLOVER: &str = include_str!("../../../records/plover/plover.toml");
const WREN: &str = include_str!("../../../records/wren/wren.toml");

fn trip(case: &Case, wire: &str) -> TripView {
    let found = case.trips().into_iter().find(|view| view.wire == wire);
    found.unwrap_or_else(|| panic!("{wire} has a device with opening times"))
}

fn near(value: Option<f64>, expected: f64) -> bool {
    value.is_some_and(|value| (value / expected - 1.0).abs() < 1e-9)
}

/// Plover's inverter fuse, 150 A, bolt-down. ISO 8820-5 (recalled, as the catalog says): 1.35 times 120
/// to 1800 s, 2 times 1 to 15 s, 3.5 times 0.3 to 5 s, 5 times 0.1 to 1 s.
#[test]
fn the_band_of_a_bolt_down_fuse_passes_through_the_published_rows() {
    let view = trip(&Case::of(PLOVER), "i2");
    assert_eq!(view.device, "inverter-fuse");
    for (multiple, earliest_s, latest_s) in
        [(1.35, 120.0, 1800.0), (2.0, 1.0, 15.0), (3.5, 0.3, 5.0), (5.0, 0.1, 1.0)]
    {
        let at = |ampere: f64| (ampere / (150.0 * multiple) - 1.0).abs() < 1e-9;
        let time = view.times.iter().find(|time| at(time.ampere)).expect("the row is there");
        assert!(near(time.earliest_s, earliest_s) && near(time.latest_s, latest_s), "{time:?}");
        assert_eq!(time.latest_read_s, None, "recalled rows decide nothing");
    }
    // Beyond the last row no more heat than there: t = 1 s (750 A/I)², at the most that flows.
    let last = view.times.last().expect("there are rows");
    assert!((last.ampere / view.near_a.1.max(view.far_a.1) - 1.0).abs() < 1e-9);
    let by_heat_s = (750.0 / last.ampere).powi(2);
    assert!(near(last.latest_s, by_heat_s), "{last:?}, {by_heat_s} s");
    assert_eq!(last.earliest_s, None, "the earliest is not known there");
}

/// IEC 60364-5-54 annex A (as restated) prints k = 115 for copper from 70 °C to 160 °C; the law gives
/// 115.2. 16 mm²: (115 16)² = 3 385 600 A²s.
#[test]
fn what_the_wire_stands_is_k_times_its_size() {
    let view = trip(&Case::of(PLOVER), "i2");
    let stands = view.withstand.as_ref().expect("its size is known");
    assert!((stands.a2s / 3_385_600.0 - 1.0).abs() < 0.005, "{stands:?}");
    assert!(stands.words.contains("k = 115"), "{stands:?}");
    assert!((stands.adiabatic_to_s - 5.0).abs() < 1e-12, "434.5.2: up to 5 s");
    assert!(view.far_a.0 <= view.far_a.1 && view.far_a.1 <= view.near_a.1);
}

/// Dunlin's way 2 of the bench box: 30 A before 1.5 mm². A relay maker's table (seen second-hand) has blade
/// fuses open within 5 s at twice, 0.5 s at 3.5 times, 0.1 s at 6 times.
#[test]
fn figures_that_were_read_stand_apart_from_recalled_ones() {
    let view = trip(&Case::of(DUNLIN), "m1");
    for (multiple, latest_s) in [(2.0, 5.0), (3.5, 0.5), (6.0, 0.1)] {
        let at = |ampere: f64| (ampere / (30.0 * multiple) - 1.0).abs() < 1e-9;
        let time = view.times.iter().find(|time| at(time.ampere)).expect("the row is there");
        assert!(near(time.latest_read_s, latest_s), "{time:?}");
    }
    assert!(view.sources.iter().any(|source| source.ends_with("(from memory)")));
    assert!(view.sources.iter().any(|source| source.contains("second-hand")));
}

/// The lug of Plover's i2 was measured at 5 mohm and seen loose: the wire is hottest there, at its second
/// end; 105 A squared times 5 mohm is some 55 W.
#[test]
fn a_wire_is_warmest_at_its_bad_joint() {
    let views = Case::of(PLOVER).warm_wires();
    let view = views.iter().find(|view| view.wire == "i2").expect("it fails");
    assert_eq!(view.state, "kettle");
    assert!(view.is_whole && view.ends[1].contains("inverter.+") && view.ends[1].contains("5"));
    let at = |k: usize| view.places[k].coolest_c;
    let last = view.places.len() - 1;
    assert!(at(last) > at(0) && at(0) > at(last / 2));
    assert!((view.places[last].at_m - 5.2).abs() < 1e-9);
    assert!(view.failures.iter().any(|words| words.contains("seen loose")));
}

/// Read in Dunlin's record: the bottom drawer asks for nothing, the frame for both drawers, the back of the
/// cupboard for the frame and the shelf, which asks for the door.
#[test]
fn ranks_count_what_has_to_be_out_first() {
    let order = Case::of(DUNLIN).removal_order();
    let part = |name: &str| order.parts.iter().find(|part| part.part == name).expect(name);
    assert_eq!(part("lower-drawer").rank, 1);
    assert_eq!((part("drawer-frame").rank, part("sink-shelf").rank), (2, 2));
    assert_eq!(part("cupboard-back").rank, 3);
    assert_eq!(part("cupboard-back").after, ["drawer-frame", "sink-shelf"]);
    // The fridge is slid out after its frame and the kickboard, then lifted: no layer of its own.
    assert_eq!(part("fridge-body").rank, 2);
    assert_eq!(part("fridge-body").after, ["fridge-trim", "kickboard"]);
    let ranks: Vec<usize> = order.parts.iter().map(|part| part.rank).collect();
    assert!(ranks.is_sorted() && order.no_way.is_empty());
}

/// By hand for Dunlin's house battery: 62 kg at 20 g pull 62 x 20 x 9.80665 = 12 160 N; two screws of 4 mm in
/// 9 mm of the densest lining hold, pulled across, 1.5 x 1686.0 + 0.25 x 1909.5 = 3006.3 N each (mode IIIm of
/// NDS 12.3 with 8600 psi for G 0.7, 61 850 psi for 6 mm of steel, 620 MPa in bending; worked out apart from the
/// program), and friction at most 608 N.
#[test]
fn a_battery_on_lining_falls_short_in_a_crash_and_no_direction_is_passed() {
    let rows = Case::of(DUNLIN).restraint();
    assert_eq!(rows[0].item, "house", "heaviest first");
    let [forward, rearward, left, right, up, down] = &rows[0].sides;
    for side in [forward, rearward] {
        assert_eq!(side.verdict, "falls short");
        assert!((side.load_n.unwrap() - 12_160.0).abs() < 1.0, "{side:?}");
        assert!((side.at_most_n.unwrap() - (2.0 * 3006.3 + 608.0)).abs() < 2.0, "{side:?}");
    }
    assert_eq!((left, left.verdict.as_str()), (right, "cannot tell"));
    assert_eq!([up, down].map(|side| side.verdict.as_str()), ["not judged"; 2]);
    let wheel = rows.iter().find(|row| row.item == "wheel").expect("46 kg");
    assert!(wheel.sides[0].verdict == "cannot tell" && !wheel.find_out.is_empty());
    // A battery of the base vehicle is not judged; one whose mass nobody wrote down cannot be.
    assert!(rows.iter().all(|row| row.item != "starter"));
}

/// Plover: i2 and i3 run from the bay under the bench to the rear locker, behind the trim strip. The run
/// signal c6 vanishes behind the dash, which has no place; u3 goes on to the head of the bed, which has none.
#[test]
fn wires_between_the_same_places_are_one_way() {
    let routes = Case::of(PLOVER).routes();
    let inverter = routes.routes.iter().find(|route| route.wires.contains(&"i2".to_owned()));
    let inverter = inverter.expect("both ends have a place");
    assert_eq!(inverter.wires, ["i2", "i3"]);
    assert_eq!(inverter.past[0].0, "floor-trim");
    assert!(inverter.past[0].1.is_some());
    let one_end: Vec<&String> = routes.one_end.iter().flat_map(|(_, wires)| wires).collect();
    assert!(one_end.iter().any(|wire| *wire == "c6") && one_end.iter().any(|wire| *wire == "u3"));
    let counted = routes.routes.iter().map(|route| route.wires.len()).sum::<usize>()
        + routes.within
        + one_end.len()
        + routes.no_place.len();
    assert_eq!(counted, Case::of(PLOVER).wire_list().len(), "no wire is lost");
}

#[test]
fn a_record_without_places_has_no_ways_but_an_order() {
    let case = Case::of(WREN);
    let routes = case.routes();
    assert!(routes.routes.is_empty() && routes.within == 0);
    assert_eq!(routes.no_place.len(), case.wire_list().len());
    assert!(case.removal_order().parts.iter().any(|part| part.rank > 1));
}

/// The whole distribution: its shares make one, its mean is the mean, and half of it lies below P50.
#[test]
fn the_minutes_of_a_way_in_are_a_distribution() {
    let case = Case::of(DUNLIN);
    let spread = case.minutes_spread(&["charger".to_owned()]).expect("something comes out");
    let whole: f64 = spread.shares.iter().map(|(_, share)| share).sum();
    assert!((whole - 1.0).abs() < 1e-9, "{whole}");
    let mean: f64 = spread.shares.iter().map(|(value, share)| value * share).sum();
    assert!((mean - spread.mean_min).abs() < 1e-6);
    let below = |limit: f64| -> f64 {
        spread.shares.iter().filter(|(value, _)| *value <= limit).map(|(_, share)| share).sum()
    };
    // A cell of the grid holds no more than a hundredth here.
    assert!(
        (below(spread.p50_min) - 0.5).abs() < 0.01 && (below(spread.p80_min) - 0.8).abs() < 0.01
    );
    assert_eq!(case.minutes_spread(&["main-switch".to_owned()]), None, "nothing comes out");
    assert_eq!(case.minutes_spread(&["no-such".to_owned()]), None);
}

/// What a chart of opening times or of heavy things names as its source can be looked up in the list.
#[test]
fn what_charts_quote_is_among_the_sources() {
    for text in [DUNLIN, PLOVER, WREN] {
        let case = Case::of(text);
        let review = case.review();
        let more = case.chart_sources(&review);
        let listed: Vec<&str> =
            review.sources.iter().chain(&more).map(|source| source.words.as_str()).collect();
        let trips = case.trips();
        assert!(!trips.is_empty());
        for quoted in trips.iter().flat_map(|trip| &trip.sources).chain(&case.restraint_sources()) {
            assert!(listed.iter().any(|words| quoted.starts_with(words)), "{quoted}");
        }
        let mut keys: Vec<&str> =
            review.sources.iter().chain(&more).map(|source| source.key.as_str()).collect();
        let all = keys.len();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), all, "none is listed twice");
    }
}

/// As the record has them: `v1` has neither size nor length, `h1` has both, `r3` has a length that
/// somebody told.
#[test]
fn a_drop_is_marked_where_nobody_wrote_down_size_or_length() {
    let wires = Case::of(WREN).wire_list();
    let is_marked = |name: &str| {
        let wire = wires.iter().find(|wire| wire.name == name).expect("the wire");
        assert!(wire.drop.contains('V'), "{wire:?}");
        wire.drop.ends_with(" (assumed)")
    };
    assert_eq!(["v1", "h1", "r3"].map(is_marked), [true, false, false]);
}

/// Wren's `r3` runs from the relay to the second battery, where its joint is loose.
#[test]
fn places_tell_what_people_call_the_things_they_are_of() {
    let review = Case::of(WREN).review();
    let things = |name: &str| {
        let mut places = review.findings.iter().map(|finding| &finding.place);
        places.find(|place| place.name == name).map(|place| place.things.clone())
    };
    assert_eq!(things("wire r3"), Some(vec!["relay".to_owned(), "second battery".to_owned()]));
    assert_eq!(things("house"), Some(vec!["second battery".to_owned()]));
    assert_eq!(things("r3 at house.+"), Some(vec!["second battery".to_owned()]));
}
