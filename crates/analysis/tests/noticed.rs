//! What was noticed, held against sums done by hand and against the findings at the equipment.

use analysis::{Case, NoticedRow};

/// The pad is a resistance of 12 V x 12 V / 48 W = 3 ohm, 0.1 ohm of wire in front of it; 2.5 A of the
/// lamp's 24 W pass a fuse of 10 A. The battery's plus goes to the box with nothing between.
const VAN: &str = r#"
unbury = 1
[vehicle]
name = "Bench"
region = "europe"
system = "12 V"
[devices]
house = { kind = "lfp battery", holds = "100 Ah", resistance = "5 mOhm", rest = "13.2 V", behind = "nothing" }
dist = { kind = "blade fuse box", ways = ["10 A heat", "10 A light"], behind = "nothing" }
pad = { kind = "heater", power = "48 W", behind = "nothing" }
lamp = { kind = "led lights", power = "24 W", behind = "nothing" }
rail = { kind = "busbar", behind = "nothing" }
[wires]
w1 = "house.+ to dist.in, 16 mm2, red, 1 m, fine"
w2 = "dist.1 to pad.+, 1.5 mm2, red, 4 m, fine"
w3 = "pad.- to rail, 1.5 mm2, black, 4 m, fine"
w4 = "dist.2 to lamp.+, 1.5 mm2, red, 5 m, fine"
w5 = "lamp.- to rail, 1.5 mm2, black, 5 m, fine"
w6 = "rail to house.-, 16 mm2, black, 1 m, fine"
[states]
evening = { on = ["pad", "lamp"], charge = { house = "60 %" } }
[joints]
"w2 at pad.+" = "loose"
[symptoms]
dead = { words = "the pad stays cold", device = "pad", state = "evening", shows = "seen dead" }
fine = { words = "the lamp is bright", device = "lamp", state = "evening", shows = "seen works" }
word = { words = "it shot past", device = "lamp" }
smell = "A burnt smell at night."
"#;

fn rows() -> (Vec<NoticedRow>, analysis::Review) {
    let case = Case::of(VAN);
    assert!(case.record_faults().is_empty(), "{:?}", case.record_faults());
    let review = case.review();
    (case.noticed(&review), review)
}

fn row<'r>(rows: &'r [NoticedRow], name: &str) -> &'r NoticedRow {
    rows.iter().find(|row| row.name == name).expect(name)
}

#[test]
fn what_was_said_is_held_against_what_the_sums_give() {
    let (rows, _) = rows();
    // By the sums 13.2 V less a few tenths reach the pad, and it draws some 4 A: it works.
    let dead = row(&rows, "dead");
    assert_eq!(dead.verdict, "contradicts");
    assert!(dead.computed.starts_with("12.") || dead.computed.starts_with("13."), "{dead:?}");
    assert_eq!(row(&rows, "fine").verdict, "fits");
    // Neither state nor word: nothing to hold against anything.
    let word = row(&rows, "word");
    assert_eq!((word.verdict.as_str(), word.computed.as_str()), ("", ""));
}

#[test]
fn what_tells_of_fire_stands_first_and_words_that_only_sound_so_do_not() {
    let (rows, _) = rows();
    let names: Vec<&str> = rows.iter().map(|row| row.name.as_str()).collect();
    assert_eq!(names, ["smell", "dead", "fine", "word"]);
}

#[test]
fn findings_at_the_equipment_its_joints_and_wires_are_named() {
    let (rows, review) = rows();
    let loose =
        review.findings.iter().position(|f| f.place.name == "w2 at pad.+").expect("it is loose");
    assert!(row(&rows, "dead").findings.contains(&(loose + 1)), "{:?}", row(&rows, "dead"));
    assert!(!row(&rows, "fine").findings.contains(&(loose + 1)));
    assert!(row(&rows, "smell").findings.is_empty());
}
