//! Two suspects at once, by Bayes' rule: what is observed tells nothing of their odds against each other
//! where both predict the same, and what is independent stays so.

use super::van::Van;
use crate::{Explanation, Ranking};

/// The pad and the lamp hang on a stiff bank, so what befalls one does not move the other.
const BOTH_DEAD: &str = r#"
[symptoms]
s1 = { words = "x", device = "pad", state = "evening", shows = "seen dead" }
s2 = { words = "y", device = "lamp", state = "evening", shows = "seen dead" }
"#;
const PAD_DEAD: &str = r#"
[symptoms]
s1 = { words = "x", device = "pad", state = "evening", shows = "seen dead" }
"#;
const LAMP_FUSE: &str = "fuse 2 of dist is open";

/// The weight of a pair whose words begin like this.
#[track_caller]
fn weight_of(van: &Van, ranking: &Ranking, words: [&str; 2]) -> f64 {
    let is_it = |e: &&Explanation| {
        let said = van.words(e);
        let has = |words: &str| said.iter().any(|said| said.starts_with(words));
        said.len() == 2 && words.into_iter().all(has)
    };
    let found = ranking.explanations.iter().find(is_it);
    found.unwrap_or_else(|| panic!("no {words:?} in\n{}", van.told(ranking))).weight
}

/// The prior of a suspect whose words begin like this.
#[track_caller]
fn prior(van: &Van, words: &str) -> f64 {
    let found = van.suspects.iter().find(|suspect| suspect.words.starts_with(words));
    found.unwrap_or_else(|| panic!("no suspect {words}")).prior
}

/// All that hangs in one line predicts the same, so nothing read tells it apart: the odds of pairs are
/// those of their priors.
#[test]
fn pairs_that_predict_the_same_keep_the_odds_of_their_priors() {
    let van = Van::new(BOTH_DEAD);
    let ranking = van.ranking();
    let joint = "joint w2 at pad.+ has come apart";
    let (first, second) = (LAMP_FUSE, "joint w4 at lamp.+ has come apart");
    let odds =
        weight_of(&van, &ranking, [joint, first]) / weight_of(&van, &ranking, [joint, second]);
    let before = prior(&van, first) / prior(&van, second);
    assert!((odds / before - 1.0).abs() < 1e-6, "{odds} {before}");
}

/// A poor contact of unknown size against one that has come apart: what the words of the pad say of the
/// two is the same whether or not the lamp is dead of a cause of its own. Sizes are solved at every
/// factor of ten and, where equipment does something else, at two between: the share of them that
/// leave the pad dead, two and a half tens of five, is known within a quarter of ten each time.
#[test]
fn an_independent_second_defect_moves_no_odds_between_sizes() {
    let (poor, apart) =
        ("joint w2 at pad.+ has a poor contact", "joint w2 at pad.+ has come apart");
    let alone = Van::new(PAD_DEAD);
    let ranking = alone.ranking();
    let odds_alone = alone.weight(&ranking, poor) / alone.weight(&ranking, apart);
    let both = Van::new(BOTH_DEAD);
    let ranking = both.ranking();
    let odds = weight_of(&both, &ranking, [poor, LAMP_FUSE])
        / weight_of(&both, &ranking, [apart, LAMP_FUSE]);
    assert!((odds / odds_alone - 1.0).abs() < 0.15, "{odds} {odds_alone}");
}

/// The vehicle with a second battery, each behind a fuse of its own.
const TWO_FEEDS: &str = r#"
unbury = 1
[vehicle]
name = "Two feeds"
region = "europe"
system = "12 V"
[devices]
house = { kind = "lfp battery", holds = "100 Ah", resistance = "5 mOhm", rest = "13.2 V", behind = "nothing" }
spare = { kind = "lfp battery", holds = "100 Ah", resistance = "5 mOhm", rest = "13.2 V", behind = "nothing" }
fuse-a = { kind = "blade fuse", rated = "30 A", behind = "nothing" }
fuse-b = { kind = "blade fuse", rated = "30 A", behind = "nothing" }
bar = { kind = "busbar", behind = "nothing" }
pad = { kind = "heater", power = "48 W", behind = "nothing" }
rail = { kind = "busbar", behind = "nothing" }
[wires]
a1 = "house.+ to fuse-a.in, 16 mm2, 1 m, stranded"
a2 = "fuse-a.out to bar, 16 mm2, 1 m, stranded"
b1 = "spare.+ to fuse-b.in, 16 mm2, 1 m, stranded"
b2 = "fuse-b.out to bar, 16 mm2, 1 m, stranded"
p1 = "bar to pad.+, 1.5 mm2, 5 m, stranded"
p2 = "pad.- to rail, 1.5 mm2, 5 m, stranded"
r1 = "rail to house.-, 16 mm2, 1 m, stranded"
r2 = "rail to spare.-, 16 mm2, 1 m, stranded"
[states]
evening = { on = ["pad"], charge = { house = "60 %", spare = "60 %" } }
[symptoms]
s1 = { words = "x", device = "pad", state = "evening", shows = "seen dead" }
[readings]
m1 = "evening: 0.00 V between bar and rail, multimeter"
"#;

/// Neither of two feeds does anything visible alone, and together they do all of it. Two pairs of
/// openings in the two feeds leave the same, so their odds are those of their priors.
#[test]
fn two_feeds_that_are_both_cut_are_found() {
    let van = Van::of(TWO_FEEDS);
    let ranking = van.ranking();
    let (fuse_a, fuse_b) = ("fuse a is open", "fuse b is open");
    let joint = "joint b2 at bar has come apart";
    let fuses = weight_of(&van, &ranking, [fuse_a, fuse_b]);
    let odds = fuses / weight_of(&van, &ranking, [fuse_a, joint]);
    let before = prior(&van, fuse_b) / prior(&van, joint);
    assert!((odds / before - 1.0).abs() < 1e-6, "{odds} {before}");
    let fuses = |e: &&Explanation| van.words(e).iter().all(|words| words.starts_with("fuse"));
    let found = ranking.explanations.iter().filter(|e| e.faults.len() == 2).filter(fuses).count();
    assert_eq!(found, 1, "each two once:\n{}", van.told(&ranking));
    assert!(fuses(&&ranking.explanations[0]), "{}", van.told(&ranking));
}

/// What the vehicle of seed 101 does with its lamps' wire on the body and a poor contact at the
/// alternator: both are in the record, so it cannot be likely that the cause is not. Alone, some
/// suspects do the same to the lamps; beside a second one they do not.
#[test]
fn suspects_that_do_the_same_alone_are_told_apart_where_nothing_else_explains() {
    let size = testkit::Size { wires: 48, parts: 24 };
    let said = r#"
[symptoms]
s1 = { words = "x", device = "lights", state = "evening", shows = "dead" }
s2 = { words = "x", device = "lights", state = "evening", shows = "seen dead" }
s3 = { words = "y", device = "dcdc", state = "driving", shows = "hunts" }
s4 = { words = "y", device = "dcdc", state = "driving", shows = "seen hunts" }
"#;
    let van = Van::of_any(&format!("{}{said}", testkit::vehicle(101, size)));
    let ranking = van.ranking();
    assert!(ranking.not_in_record < 0.5, "{}", van.told(&ranking));
}
