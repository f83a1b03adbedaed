//! What was read or said once and may have been wrong is asked for once more.

use model::ReadingPoints;

use super::van::Van;
use crate::{Advice, Offered, What};

const PAD_DEAD: &str = r#"
[symptoms]
s1 = { words = "x", device = "pad", state = "evening", shows = "seen dead" }
"#;
/// The owner called it by the wrong word, and at the first look it worked.
const SAID_WRONGLY: &str = r#"
[symptoms]
s1 = { words = "x", device = "pad", state = "evening", shows = "told hunts" }
s2 = { words = "y", device = "pad", state = "evening", shows = "seen works" }
"#;
const SEEN_DEAD: &str = r#"
s3 = { words = "z", device = "pad", state = "evening", shows = "seen dead" }
"#;

#[track_caller]
fn asks(van: &Van, advice: &Advice, red: &str, black: &str) -> bool {
    let points = ReadingPoints::Between(van.terminal(red), van.terminal(black));
    advice.checks.iter().any(|considered| considered.check.what == What::Read(points))
}

/// 6.5 V where 13.2 V are due: something that is not in the record, or the probe slipped. A second reading of 13.2 V settles it, and nobody is asked a third time.
#[test]
fn a_reading_that_may_have_slipped_is_offered_again_until_it_is_settled() {
    let read = |name: &str, volts: f64| {
        format!("{name} = \"evening: {volts} V between dist.in and house.-, multimeter\"\n")
    };
    let van = Van::new(&format!("{PAD_DEAD}[readings]\n{}", read("r1", 6.5)));
    assert!(asks(&van, &van.advice("evening"), "dist.in", "house.-"));
    let van = Van::new(&format!("{PAD_DEAD}[readings]\n{}{}", read("r1", 6.5), read("r2", 13.2)));
    assert!(!asks(&van, &van.advice("evening"), "dist.in", "house.-"));
    let van = Van::new(&format!("{PAD_DEAD}[readings]\n{}", read("r1", 13.2)));
    assert!(!asks(&van, &van.advice("evening"), "dist.in", "house.-"), "nobody doubts 13.2 V");
}

/// Of something that was said to hunt and seen to work, what leaves it dead stays in view, and it is
/// watched once more before anybody searches everything. Two looks are enough.
#[test]
fn what_was_seen_to_work_is_watched_once_more() {
    let watches = |van: &Van| {
        let pad = van.vehicle.devices.find(|device| device.name == "pad").expect("the pad").0;
        let (here, advice) = (Some(van.state("evening")), van.advice("evening"));
        let is_it = |check: &Offered| (check.what, check.state) == (What::Watch(pad), here);
        advice.checks.iter().any(|considered| is_it(&considered.check))
    };
    let van = Van::new(SAID_WRONGLY);
    let ranking = van.ranking();
    let weight = van.weight(&ranking, "fuse 1 of dist is open");
    assert!(weight > 1e-3, "{}", van.told(&ranking));
    assert!(watches(&van), "{}", van.told(&ranking));
    assert!(!watches(&Van::new(&format!("{SAID_WRONGLY}{SEEN_DEAD}"))));
}
