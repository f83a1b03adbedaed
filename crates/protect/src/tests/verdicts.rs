//! One fault at a time in small vehicles.

use model::{Breaking, WireEnd};
use proptest::prelude::*;

use super::{SOUND, row, studied, vehicle, word};
use crate::{Leaning, Overload, Word};

fn missing(text: &str, wire: &str) -> String {
    let row = row(text, wire, WireEnd::From).unwrap();
    row.verdict.missing.iter().map(|m| m.what.clone()).collect::<Vec<_>>().join("; ")
}

/// 15 A blade fuse before 2.5 mm²: at most 0.5 s at 3.5 times its rating (52.5 A) where 2.5 mm² stands
/// (226² ln(1 + 70/324.5) 2.5²)/52.5² = 22.6 s, and 1000 A to break against 13.3 V over 14 mOhm and
/// more. 2.5 mm² carries 35 A and more (33 CFR 183.425 Table 5, 14 AWG 30 A at 90 °C).
#[test]
fn a_blade_fuse_before_a_wire_of_its_size_protects_it() {
    let row = row(SOUND, "w3", WireEnd::From).unwrap();
    assert_eq!(row.verdict.word, Word::Protected, "{:?}", row.verdict);
    let device = row.device.unwrap();
    assert_eq!(device.name, "box way 1");
    assert!(device.is_published);
    assert!(matches!(device.breaking, Breaking::Enough { .. }), "{:?}", device.breaking);
    assert!(matches!(row.overload, Overload::Holds { .. }));
    assert!(row.near_a.high() > row.far_a.high() && row.far_a.low() < row.far_a.high());
}

/// Ohm's law: at the post the rest voltage over the battery's own resistance. LFP at 80 %: between the
/// published 3.2772 V at 29.72 % and 3.3511 V at 98.33 %, by hand 3.33136 V a cell, 13.3254 V.
#[test]
fn at_the_post_the_fault_level_is_rest_voltage_over_inner_resistance() {
    let (vehicle, study) = studied(SOUND);
    let level = study.levels.iter().find(|l| vehicle.terminal_name(l.terminal) == "house.+");
    let by_hand_a = 13.3254 / 0.014;
    let ampere_a = level.unwrap().ampere_a;
    assert!((ampere_a.high() / by_hand_a - 1.0).abs() < 2e-4, "{ampere_a:?} {by_hand_a}");
    assert!((ampere_a.low() / by_hand_a - 1.0).abs() < 2e-4, "told: no spread");
    assert_eq!(study.levels[0].terminal, level.unwrap().terminal, "nowhere flows more");
}

#[test]
fn the_fault_level_falls_along_the_way() {
    let (vehicle, study) = studied(SOUND);
    let most_a = |name: &str| {
        let mut levels = study.levels.iter();
        levels.find(|l| vehicle.terminal_name(l.terminal) == name).unwrap().ampere_a.high()
    };
    let way = ["house.+", "main.in", "main.out", "box.in", "box.1", "lamp.+"];
    assert!(way.windows(2).all(|pair| most_a(pair[0]) > most_a(pair[1])));
}

/// A wire is ruined at its limit for a short circuit, from full load: 2.5 mm², 70 °C insulation,
/// 500 A, 0.3307 s (reference value of the adiabatic law with k from 70 to 160 °C, 115.00).
#[test]
fn the_wire_stands_the_worked_examples() {
    let vehicle =
        vehicle(&SOUND.replace("2.5 mm2, 4 m, stranded, 90 C", "2.5 mm2, 4 m, stranded, 70 C"));
    let (id, _) = vehicle.wires.find(|wire| wire.name == "w3").unwrap();
    let stands = crate::wire::Stands::of(&vehicle, &catalog::Catalog::embedded(), id);
    let time = stands.time(500.0).unwrap().si();
    assert!((time - 0.3307).abs() < 5e-5, "{time}");
}

#[test]
fn without_a_device_the_wire_burns_and_the_time_is_told() {
    let bare = SOUND.replace("house.+ to main.in", "house.+ to box.in");
    let bare = bare.replace("w2 = \"main.out to box.in", "w2 = \"main.in to main.out");
    let bare = bare.replace("25 mm2, 0.3 m", "25 mm2, 3 m");
    let row = row(&bare, "w1", WireEnd::From).unwrap();
    assert_eq!(row.verdict.word, Word::BurnsFirst);
    assert!(row.verdict.why.contains("nothing opens"), "{}", row.verdict.why);
    assert!(row.short_run.is_none());
    // k from 90 to 160 °C: 226 sqrt(ln(1 + 70/324.5)) = 99.86; (99.86 x 25)² / I².
    let by_hand_s = (99.86_f64 * 25.0).powi(2) / row.far_a.high().powi(2);
    assert!((row.stands.unwrap().si() / by_hand_s - 1.0).abs() < 1e-3);
}

/// NEC 552.10(E) as used here: 450 mm from the source without a device.
#[test]
fn the_run_to_the_first_fuse_burns_but_is_marked_as_short() {
    let run = row(SOUND, "w1", WireEnd::From).unwrap();
    assert_eq!(run.verdict.word, Word::BurnsFirst);
    assert!((run.short_run.unwrap().si() - 0.3).abs() < 1e-12);
    let on_limit = row(&SOUND.replace("0.3 m", "0.45 m"), "w1", WireEnd::From).unwrap();
    assert!(on_limit.short_run.is_some(), "at the limit it holds");
    let long = row(&SOUND.replace("0.3 m", "0.46 m"), "w1", WireEnd::From).unwrap();
    assert!(long.short_run.is_none());
}

/// 33 CFR 183.425 Table 5: 16 AWG, 1.31 mm², carries 25 A for good at 90 °C; 1 mm² carries no more, and
/// 30 A is above it.
#[test]
fn a_fuse_too_large_for_its_wire_lets_it_overheat() {
    let large = SOUND.replace("15 A lamp", "30 A lamp").replace("2.5 mm2", "1 mm2");
    let row = row(&large, "w3", WireEnd::From).unwrap();
    assert_eq!(row.verdict.word, Word::Overheats, "{:?}", row.verdict);
    assert!(
        matches!(row.overload, Overload::TooLarge { rated_a, .. } if (rated_a - 30.0).abs() < 1e-9)
    );
    assert!(!row.verdict.why.contains("assumed"), "{}", row.verdict.why);
}

#[test]
fn a_verdict_that_fails_says_what_of_it_is_only_assumed() {
    let large = SOUND.replace("15 A lamp", "assumed 30 A lamp");
    let large = large.replace("2.5 mm2, 4 m, stranded, 90 C", "assumed 1 mm2, 4 m, stranded, 90 C");
    let row = row(&large, "w3", WireEnd::From).unwrap();
    assert_eq!(row.verdict.word, Word::Overheats, "{:?}", row.verdict);
    let why = &row.verdict.why;
    assert!(
        why.contains("the size of the wire and the rating of the device only assumed"),
        "{why}"
    );
}

/// 20 m of 1 mm² (IEC 60228 class 2, 18.1 mOhm/m) are 362 mOhm: 13.3 V drive less than 37 A, which
/// a 40 A fuse carries for good and 1 mm² does not (18 AWG, 0.82 mm², 20 A at 90 °C, and 16 AWG, 25 A,
/// in 33 CFR 183.425 Table 5).
#[test]
fn a_long_thin_wire_never_opens_its_fuse() {
    let long = SOUND
        .replace("15 A lamp", "40 A lamp")
        .replace("box.1 to lamp.+, 2.5 mm2, 4 m", "box.1 to lamp.+, 1 mm2, 20 m");
    let row = row(&long, "w3", WireEnd::From).unwrap();
    assert_eq!(row.verdict.word, Word::BurnsFirst, "{:?}", row.verdict);
    assert!(row.verdict.why.contains("for good"), "{}", row.verdict.why);
    assert!(row.far_a.high() < 13.3254 / 0.362, "{:?}", row.far_a);
}

/// 13.3 V over 2 mOhm is above 5 kA in the post; ISO 8820-3 blade fuses break 1000 A.
#[test]
fn a_blade_fuse_at_a_strong_battery_cannot_break_it() {
    let strong = SOUND.replace("told 14 mOhm by its maker", "told 2 mOhm by its maker");
    let strong = strong.replace("house.+ to main.in", "house.+ to box.in, ").replace(", ,", ",");
    let strong = strong.replace("w2 = \"main.out to box.in", "w2 = \"main.in to main.out");
    let strong = strong.replace("15 A lamp", "40 A lamp").replace("2.5 mm2", "16 mm2");
    let row = row(&strong, "w3", WireEnd::From).unwrap();
    assert_eq!(row.verdict.word, Word::CannotBreak, "{:?}", row.verdict);
}

#[test]
fn times_that_were_only_recalled_let_nothing_pass() {
    let row = row(SOUND, "w2", WireEnd::From).unwrap();
    assert_eq!(row.verdict.word, Word::CannotTell);
    assert_eq!(row.verdict.leaning, Some(Leaning::InTime), "{:?}", row.verdict);
    assert!(missing(SOUND, "w2").contains("maker's curve"), "{}", missing(SOUND, "w2"));
}

#[test]
fn a_missing_fact_never_protects() {
    for (was, now, wanted) in [
        ("2.5 mm2, 4 m, stranded, 90 C", "unknown size, 4 m, stranded, 90 C", "size"),
        ("2.5 mm2, 4 m, stranded, 90 C", "assumed 2.5 mm2, 4 m, stranded, 90 C", "size"),
        ("2.5 mm2, 4 m, stranded, 90 C", "2.5 mm2, 4 m, stranded", "temperature rating"),
        ("\"15 A lamp\"", "\"unknown lamp\"", "rating of box way 1"),
        ("\"15 A lamp\"", "\"assumed 15 A lamp\"", "rating of box way 1"),
        ("told 14 mOhm by its maker", "assumed 14 mOhm because it is usual", "resistance of house"),
    ] {
        let text = SOUND.replacen(was, now, 1);
        let row = row(&text, "w3", WireEnd::From).unwrap();
        assert_eq!(row.verdict.word, Word::CannotTell, "{now}: {:?}", row.verdict);
        assert!(missing(&text, "w3").contains(wanted), "{now}: {}", missing(&text, "w3"));
    }
}

#[test]
fn a_fuse_of_unknown_class_cannot_be_judged() {
    let text = SOUND.replace("main = { kind = \"strip fuse\"", "main = { kind = \"fuse\"");
    assert_eq!(word(&text, "w2"), Word::CannotTell);
    assert!(missing(&text, "w2").contains("what class"), "{}", missing(&text, "w2"));
}

/// A length nobody measured does not matter where the fuse opens in time at every current there can
/// be: then any length gives the same verdict.
#[test]
fn an_unknown_length_changes_no_verdict_that_holds_for_every_length() {
    let of = |length: &str| {
        word(
            &SOUND.replace(
                "box.1 to lamp.+, 2.5 mm2, 4 m",
                &format!("box.1 to lamp.+, 2.5 mm2, {length}"),
            ),
            "w3",
        )
    };
    assert_eq!(of("unknown length"), Word::Protected);
    for length in ["0.1 m", "1 m", "10 m", "40 m", "200 m"] {
        assert_eq!(of(length), Word::Protected, "{length}");
    }
}

const LINK: &str = r#"
unbury = 1
[vehicle]
name = "Link"
region = "europe"
system = "12 V"
[devices]
alternator = { kind = "alternator", limit = "120 A" }
starter = { kind = "starter battery", resistance = "told 5 mOhm by its maker" }
front = { kind = "blade fuse", rated = "40 A" }
relay = { kind = "combiner relay" }
rear = { kind = "blade fuse", rated = "40 A" }
house = { kind = "agm battery", resistance = "told 6 mOhm by its maker", holds = "100 Ah" }
earth = { kind = "chassis point" }
[wires]
v1 = "alternator.+ to starter.+, 35 mm2, 1 m, stranded, 90 C"
k1 = "starter.+ to front.in, 10 mm2, 0.2 m, stranded, 90 C"
k2 = "front.out to relay.a, 10 mm2, 3 m, stranded, 90 C"
k3 = "relay.b to rear.in, 10 mm2, 3 m, stranded, 90 C"
k4 = "rear.out to house.+, 10 mm2, 0.2 m, stranded, 90 C"
k5 = "house.- to earth, 35 mm2, 0.5 m, stranded, 90 C"
[states]
driving = { engine = "running", charge = { house = "80 %", starter = "95 %" } }
"#;

#[test]
fn a_wire_between_two_sources_is_judged_at_each_end() {
    let (vehicle, study) = studied(LINK);
    let of = |end: WireEnd| {
        study.rows.iter().find(|r| vehicle.wires[r.wire].name == "k3" && r.end == end).unwrap()
    };
    let (front, rear) = (of(WireEnd::From), of(WireEnd::To));
    assert_eq!(front.device.as_ref().unwrap().name, "front");
    assert_eq!(rear.device.as_ref().unwrap().name, "rear");
    let names = |row: &crate::Row| -> Vec<String> {
        row.sources.iter().map(|id| vehicle.devices[*id].name.clone()).collect()
    };
    assert!(
        names(front).contains(&"starter".to_owned()) && !names(front).contains(&"house".to_owned())
    );
    assert!(names(rear).contains(&"house".to_owned()));
}

#[test]
fn with_the_fuse_at_one_end_gone_that_end_burns_and_the_other_does_not_change() {
    let bare = LINK.replace("k1 = \"starter.+ to front.in", "k1 = \"starter.+ to relay.a");
    let bare = bare.replace("k2 = \"front.out to relay.a", "k2 = \"front.in to front.out");
    let end = |text: &str, end| row(text, "k3", end).unwrap().verdict.word;
    assert_eq!(end(&bare, WireEnd::From), Word::BurnsFirst);
    assert_eq!(end(&bare, WireEnd::To), end(LINK, WireEnd::To));
}

#[test]
fn a_source_that_limits_itself_needs_no_device() {
    let text = SOUND.replace(
        "[wires]",
        "solar = { kind = \"mains charger\", limit = \"20 A\" }\n[wires]\n\
         s1 = \"solar.+ to box.in, 6 mm2, 2 m, stranded, 90 C\"\n\
         s2 = \"solar.- to house.-, 6 mm2, 2 m, stranded, 90 C\"",
    );
    let own = row(&text, "s1", WireEnd::From).unwrap();
    assert_eq!(own.verdict.word, Word::Protected, "{:?}", own.verdict);
    assert!(
        matches!(own.overload, Overload::OwnLimit { limit_a, .. } if (limit_a - 20.0).abs() < 1e-6)
    );
    // What the battery drives into the same wire from its other end is another matter.
    let fed_back = row(&text, "s1", WireEnd::To).unwrap();
    assert_ne!(fed_back.verdict.word, Word::Protected);
    let assumed = text.replace("limit = \"20 A\"", "limit = \"assumed 20 A because it is usual\"");
    assert_eq!(word(&assumed, "s1"), Word::CannotTell);
}

/// 15 A by the fuse and 30 A past it are 45 A in one wire; 33 CFR 183.425 Table 5 gives 12 AWG, 3.31 mm²,
/// 40 A at 90 °C, and 14 AWG, 2.08 mm², 30 A.
#[test]
fn what_a_charger_adds_past_the_fuse_counts_for_the_wire() {
    let with = |limit: &str| {
        SOUND.replace("box.1 to lamp.+", "box.1 to bar").replace(
            "[wires]",
            &format!(
                "bar = {{ kind = \"busbar\" }}\n\
                 charger = {{ kind = \"mains charger\", limit = \"{limit}\" }}\n[wires]\n\
                 w5 = \"bar to lamp.+, 2.5 mm2, 1 m, stranded, 90 C\"\n\
                 s1 = \"charger.+ to bar, 6 mm2, 2 m, stranded, 90 C\"\n\
                 s2 = \"charger.- to house.-, 6 mm2, 2 m, stranded, 90 C\""
            ),
        )
    };
    assert_eq!(word(&with("5 A"), "w5"), Word::Protected);
    assert_eq!(word(&with("30 A"), "w5"), Word::CannotTell);
    let asked = missing(&with("30 A"), "w5");
    assert!(asked.contains("of charger at once"), "{asked}");
}

/// 13.3 V over some 4 mOhm are more than 3 kA: the front fuse is said to break 10 kA, the rear one
/// breaks the 1000 A of its class (ISO 8820-3) and is as quick.
#[test]
fn a_fuse_that_bursts_beside_one_that_holds_is_asked_about() {
    const TWO: &str = r#"
unbury = 1
[vehicle]
name = "Two"
region = "europe"
system = "12 V"
[devices]
house = { kind = "lfp battery", resistance = "told 2 mOhm by its maker", holds = "100 Ah" }
front = { kind = "blade fuse", rated = "40 A", resistance = "told 0.5 mOhm by its maker", interrupts = "10 kA" }
rear = { kind = "blade fuse", rated = "40 A", resistance = "told 0.5 mOhm by its maker" }
lamp = { kind = "led lights", power = "24 W" }
[usual]
joint = "told 0.05 mOhm"
[wires]
a = "house.+ to front.in, 16 mm2, 0.3 m, stranded, 90 C"
b = "front.out to rear.in, 16 mm2, 0.2 m, stranded, 90 C"
c = "rear.out to lamp.+, 16 mm2, 4 m, stranded, 90 C"
d = "lamp.- to house.-, 16 mm2, 4 m, stranded, 90 C"
[states]
evening = { on = ["lamp"], charge = { house = "80 %" } }
"#;
    assert_eq!(word(TWO, "c"), Word::CannotTell);
    assert!(missing(TWO, "c").contains("before rear bursts"), "{}", missing(TWO, "c"));
    let both = TWO.replace("maker\" }\nlamp", "maker\", interrupts = \"10 kA\" }\nlamp");
    assert_eq!(word(&both, "c"), Word::Protected, "{}", missing(&both, "c"));
}

#[test]
fn two_fuses_of_one_rating_in_a_line_are_not_selective() {
    let text = SOUND
        .replace("[wires]", "own = { kind = \"blade fuse\", rated = \"15 A\" }\n[wires]\nw5 = \"own.out to lamp.+, 2.5 mm2, 0.5 m, stranded, 90 C\"")
        .replace("box.1 to lamp.+", "box.1 to own.in");
    let line = row(&text, "w5", WireEnd::From).unwrap();
    assert!(line.selectivity.contains("may open first"), "{}", line.selectivity);
}

#[test]
fn two_ways_with_a_fuse_each_are_told_and_not_passed() {
    let text = SOUND.replace(
        "[wires]",
        "spare = { kind = \"blade fuse\", rated = \"15 A\" }\n[wires]\n\
         w6 = \"box.in to spare.in, 2.5 mm2, 0.2 m, stranded, 90 C\"\n\
         w7 = \"spare.out to box.1, 2.5 mm2, 0.2 m, stranded, 90 C\"",
    );
    // Behind the box the strip fuse still cuts both ways off; without it nothing alone does.
    let bare = text.replace("house.+ to main.in", "house.+ to box.in");
    let bare = bare.replace("main.out to box.in", "main.in to main.out");
    let both = row(&bare, "w3", WireEnd::From).unwrap();
    assert_eq!(both.verdict.word, Word::CannotTell, "{:?}", both.verdict);
    assert!(both.verdict.why.contains("several ways"), "{}", both.verdict.why);
}

fn rank(word: Word) -> u8 {
    word as u8
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// A thicker wire, or a smaller fuse, is never worse off.
    #[test]
    fn a_thicker_wire_or_a_smaller_fuse_is_never_worse(
        small in 0usize..7,
        step in 1usize..3,
        rating in 0usize..6,
        length in 1u32..30,
    ) {
        const SIZES: [&str; 9] =
            ["1 mm2", "1.5 mm2", "2.5 mm2", "4 mm2", "6 mm2", "10 mm2", "16 mm2", "25 mm2", "35 mm2"];
        const RATINGS: [&str; 7] = ["3 A", "7.5 A", "10 A", "15 A", "20 A", "30 A", "40 A"];
        let of = |size: &str, rated: &str| {
            let wire = format!("box.1 to lamp.+, {size}, {length} m");
            let text = SOUND.replace("box.1 to lamp.+, 2.5 mm2, 4 m", &wire);
            rank(word(&text.replace("15 A lamp", &format!("{rated} lamp")), "w3"))
        };
        let here = of(SIZES[small], RATINGS[rating + 1]);
        let larger = of(SIZES[(small + step).min(8)], RATINGS[rating + 1]);
        prop_assert!(larger >= here, "thicker: {larger} after {here}");
        let weaker = of(SIZES[small], RATINGS[rating]);
        prop_assert!(weaker >= here, "smaller fuse: {weaker} after {here}");
    }
}

/// A core that touches the minus core beside it does not pass the wire from the minus to the body: the
/// most that flows is the same whatever that wire is.
#[test]
fn a_thin_wire_to_the_body_hides_nothing_of_a_short_to_the_minus() {
    let bonded = |wire: &str| {
        let text = SOUND.replace(
            "[wires]",
            &format!(
                "stud = {{ kind = \"chassis point\", resistance = \"measured 0.5 mOhm\" }}\n[wires]\n\
                 g1 = \"house.- to stud, {wire}, stranded, 90 C\""
            ),
        );
        row(&text, "w3", WireEnd::From).unwrap()
    };
    let (thin, thick) = (bonded("4 mm2, 2 m"), bonded("50 mm2, 0.2 m"));
    let most = |row: &crate::Row| row.near_a.high();
    assert!((most(&thin) - most(&thick)).abs() < 1e-3 * most(&thick), "{thin:?}\n{thick:?}");
    // The least still counts the way through the body.
    assert!(thin.far_a.low() < thick.far_a.low());
}
