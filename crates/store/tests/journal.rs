//! Journals through the store, on real files: what is sent twice is taken once, what two people change
//! is joined or shown to both, what is taken back is gone, and what was tampered with is found.
//!
//! What has to come out is written by hand beside each case, from what the entries say.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::sync::atomic::{AtomicI64, Ordering};

use store::{Answer, Change, Clock, Draft, Keep, Outcome, Store, StoreError, Who};

const RECORD: &str = "\
unbury = 1

[vehicle]
name = \"Test van\"

[devices]
pump = { kind = \"water pump\", power = \"told 48 W\" } # behind the cork
fan  = { kind = \"fan\", power = \"36 W\" }

[wires]
w1 = \"pump.+ to fan.+, 2.5 mm2, red, 3 m\"
";

struct Shop {
    _folder: tempfile::TempDir,
    store: Store,
    case: String,
}

fn ana() -> Who {
    Who { name: "Ana".to_owned() }
}

fn ben() -> Who {
    Who { name: "Ben".to_owned() }
}

fn id(number: u64) -> String {
    format!("00000000-0000-4000-8000-{number:012x}")
}

fn draft(number: u64, base: u64, change: Change) -> Draft {
    let at = "2026-05-02T10:00:00+02:00".to_owned();
    Draft { id: id(number), device: "bench tablet".to_owned(), at, base, change }
}

fn shop() -> Shop {
    let folder = tempfile::tempdir().unwrap();
    let seconds = AtomicI64::new(1_777_000_000);
    let clock = Clock::of(move || seconds.fetch_add(1, Ordering::Relaxed));
    let store = Store::open(folder.path(), clock).unwrap();
    let open = Change::Open { title: "Test van".to_owned(), text: RECORD.to_owned() };
    let case = store.new_case(&ana(), draft(1, 0, open)).unwrap();
    Shop { _folder: folder, store, case }
}

impl Shop {
    fn send(&self, who: &Who, number: u64, base: u64, change: Change) -> Answer {
        let drafts = vec![draft(number, base, change)];
        self.store.append(&self.case, who, drafts).unwrap().remove(0)
    }

    fn text(&self) -> String {
        self.store.case(&self.case).unwrap().text.clone()
    }
}

fn value(path: &str, is: &str, was: Option<&str>) -> Change {
    let (path, is, was) = (path.to_owned(), is.to_owned(), was.map(str::to_owned));
    Change::Value { path, is, was }
}

#[test]
fn the_same_id_twice_is_one_entry() {
    let shop = shop();
    let note = || Change::Note { on: Some("pump".to_owned()), words: "hums".to_owned() };
    let first = shop.send(&ana(), 2, 1, note());
    assert_eq!((first.seq, first.outcome), (2, Outcome::Taken));
    let again = shop.send(&ana(), 2, 1, note());
    assert_eq!((again.seq, again.outcome), (2, Outcome::Already));
    assert_eq!(shop.store.case(&shop.case).unwrap().notes.len(), 1);
    // Twice in one parcel, too.
    let both = vec![draft(3, 2, note()), draft(3, 2, note())];
    let answers = shop.store.append(&shop.case, &ana(), both).unwrap();
    assert_eq!(answers[0].outcome, Outcome::Taken);
    assert_eq!(answers[1].outcome, Outcome::Already);
    assert_eq!(shop.store.head(&shop.case).unwrap(), 3);
}

#[test]
fn a_case_opened_twice_is_one_case() {
    let shop = shop();
    let open = Change::Open { title: "Test van".to_owned(), text: RECORD.to_owned() };
    assert_eq!(shop.store.new_case(&ana(), draft(1, 0, open)).unwrap(), shop.case);
    assert_eq!(shop.store.cases().unwrap().len(), 1);
    let second = Change::Open { title: "Again".to_owned(), text: String::new() };
    assert_eq!(shop.send(&ana(), 7, 1, second).outcome, Outcome::Refused);
}

#[test]
fn two_people_at_different_values_both_stand_and_remarks_stay() {
    let shop = shop();
    let one = value("devices.pump.power", "measured 51 W", Some("told 48 W"));
    let two = value("devices.fan.power", "measured 30 W", Some("36 W"));
    assert_eq!(shop.send(&ana(), 2, 1, one).outcome, Outcome::Taken);
    assert_eq!(shop.send(&ben(), 3, 1, two).outcome, Outcome::Taken);
    let expected = RECORD.replace("told 48 W", "measured 51 W").replace("36 W", "measured 30 W");
    assert_eq!(shop.text(), expected);
    let state = shop.store.case(&shop.case).unwrap();
    assert_eq!(state.said["devices.pump.power"].who, "Ana");
    assert_eq!(state.said["devices.fan.power"].who, "Ben");
    assert_eq!(state.conflicts, []);
}

#[test]
fn two_people_at_one_value_are_shown_both_and_one_chooses() {
    let shop = shop();
    let path = "devices.pump.power";
    shop.send(&ana(), 2, 1, value(path, "measured 51 W", Some("told 48 W")));
    let answer = shop.send(&ben(), 3, 1, value(path, "measured 44 W", Some("told 48 W")));
    assert_eq!(answer.outcome, Outcome::Conflict);
    assert!(answer.message.contains("measured 51 W (Ana)"), "{}", answer.message);
    let state = shop.store.case(&shop.case).unwrap();
    assert!(state.text.contains("measured 51 W"));
    let [conflict] = state.conflicts.as_slice() else { panic!("{:?}", state.conflicts) };
    assert_eq!(conflict.present.as_deref(), Some("measured 51 W"));
    assert_eq!(conflict.present_said.as_ref().unwrap().who, "Ana");
    assert_eq!(conflict.other.as_deref(), Some("measured 44 W"));
    assert_eq!(conflict.other_said.who, "Ben");
    assert_eq!(shop.store.cases().unwrap()[0].conflicts, 1);
    let choose = |keep| Change::Choose { entry: id(3), place: 0, keep };
    assert_eq!(shop.send(&ana(), 4, 3, choose(Keep::Other)).outcome, Outcome::Taken);
    assert_eq!(shop.text(), RECORD.replace("told 48 W", "measured 44 W"));
    assert_eq!(shop.store.case(&shop.case).unwrap().conflicts, []);
    assert_eq!(shop.send(&ana(), 5, 4, choose(Keep::Present)).outcome, Outcome::Refused);
    // The choice taken back brings the question back.
    shop.send(&ben(), 6, 4, Change::Undo { entry: id(4) });
    assert_eq!(shop.store.case(&shop.case).unwrap().conflicts.len(), 1);
    assert!(shop.text().contains("measured 51 W"));
}

#[test]
fn the_same_value_from_two_people_is_no_contradiction() {
    let shop = shop();
    let same = || value("devices.pump.power", "measured 51 W", Some("told 48 W"));
    shop.send(&ana(), 2, 1, same());
    assert_eq!(shop.send(&ben(), 3, 1, same()).outcome, Outcome::Taken);
}

#[test]
fn a_line_of_a_thing_that_is_there_contradicts_and_a_second_reading_gets_its_own_name() {
    let shop = shop();
    let line =
        |section: &str, text: &str| Change::Line { section: section.into(), text: text.into() };
    assert_eq!(shop.send(&ana(), 2, 1, line("wires", "w2 = \"a to b\"")).outcome, Outcome::Taken);
    let other = shop.send(&ben(), 3, 1, line("wires", "w2 = \"c to d\""));
    assert_eq!(other.outcome, Outcome::Conflict);
    shop.send(&ana(), 4, 3, line("readings", "r1 = \"12.1 V\""));
    shop.send(&ben(), 5, 3, line("readings", "r1 = \"11.9 V\""));
    let expected =
        format!("{RECORD}w2 = \"a to b\"\n\n[readings]\nr1 = \"12.1 V\"\nr1-2 = \"11.9 V\"\n");
    assert_eq!(shop.text(), expected);
    let choose = Change::Choose { entry: id(3), place: 0, keep: Keep::Other };
    shop.send(&ana(), 6, 5, choose);
    assert_eq!(shop.text(), expected.replace("a to b", "c to d"));
    for bad in ["w3", "[wires]", "a = 1\nb = 2", ""] {
        assert_eq!(
            shop.send(&ana(), 9, 5, line("wires", bad)).outcome,
            Outcome::Refused,
            "{bad:?}"
        );
    }
}

#[test]
fn a_whole_text_is_joined_with_what_others_changed_since() {
    let shop = shop();
    shop.send(&ana(), 2, 1, value("devices.pump.power", "measured 51 W", Some("told 48 W")));
    let edited = RECORD.replace("2.5 mm2", "4 mm2").replace("Test van", "Renamed");
    let answer = shop.send(&ben(), 3, 1, Change::Text { is: edited, was: None });
    assert_eq!(answer.outcome, Outcome::Taken, "{}", answer.message);
    let expected = RECORD
        .replace("told 48 W", "measured 51 W")
        .replace("2.5 mm2", "4 mm2")
        .replace("Test van", "Renamed");
    assert_eq!(shop.text(), expected);
    // The same value changed in a whole text and by itself.
    let edited = RECORD.replace("told 48 W", "told 60 W").replace("36 W", "37 W");
    let answer = shop.send(&ben(), 4, 1, Change::Text { is: edited, was: None });
    assert_eq!(answer.outcome, Outcome::Conflict);
    let state = shop.store.case(&shop.case).unwrap();
    assert_eq!(state.text, expected.replace("36 W", "37 W"));
    assert_eq!(state.conflicts.len(), 1);
    assert!(state.conflicts[0].other.as_ref().unwrap().contains("told 60 W"));
    shop.send(&ana(), 5, 4, Change::Choose { entry: id(4), place: 0, keep: Keep::Other });
    assert_eq!(shop.text(), expected.replace("36 W", "37 W").replace("measured 51 W", "told 60 W"));
}

#[test]
fn what_is_taken_back_is_as_if_it_never_was_unless_something_builds_on_it() {
    let shop = shop();
    let path = "devices.pump.power";
    shop.send(&ana(), 2, 1, value(path, "measured 51 W", Some("told 48 W")));
    shop.send(&ben(), 3, 2, value("devices.fan.power", "30 W", Some("36 W")));
    assert_eq!(shop.send(&ben(), 4, 3, Change::Undo { entry: id(2) }).outcome, Outcome::Taken);
    assert_eq!(shop.text(), RECORD.replace("36 W", "30 W"));
    let twice = shop.send(&ben(), 5, 4, Change::Undo { entry: id(2) });
    assert_eq!(twice.outcome, Outcome::Refused);
    // An undo taken back.
    assert_eq!(shop.send(&ana(), 6, 4, Change::Undo { entry: id(4) }).outcome, Outcome::Taken);
    assert_eq!(shop.text(), RECORD.replace("36 W", "30 W").replace("told 48 W", "measured 51 W"));
    let rows = shop.store.history(&shop.case, None, 100).unwrap();
    assert_eq!(rows.iter().map(|row| row.entry.seq).collect::<Vec<_>>(), [5, 4, 3, 2, 1]);
    assert_eq!(rows[1].undone.as_ref().unwrap().who, "Ana");
    shop.send(&ana(), 7, 5, value(path, "measured 52 W", Some("measured 51 W")));
    let built_on = shop.send(&ana(), 8, 6, Change::Undo { entry: id(2) });
    assert_eq!(built_on.outcome, Outcome::Refused);
    assert!(built_on.message.contains("entry 6"), "{}", built_on.message);
    for gone in [1, 99] {
        let answer = shop.send(&ana(), 10, 6, Change::Undo { entry: id(gone) });
        assert_eq!(answer.outcome, Outcome::Refused);
    }
}

#[test]
fn a_step_ticked_by_two_who_did_not_see_each_other_is_shown_to_both() {
    let shop = shop();
    let tick = |reading: &str| Change::Tick {
        list: "dead".to_owned(),
        step: "prove at box.1".to_owned(),
        reading: Some(reading.to_owned()),
        done: true,
    };
    shop.send(&ana(), 2, 1, tick("0.0 V"));
    assert_eq!(shop.send(&ben(), 3, 1, tick("12.6 V")).outcome, Outcome::Conflict);
    assert_eq!(shop.send(&ben(), 4, 3, tick("0.0 V")).outcome, Outcome::Taken);
    let state = shop.store.case(&shop.case).unwrap();
    assert_eq!(state.ticks.len(), 1);
    assert_eq!(state.ticks[0].said.who, "Ana", "whoever says the same later takes nothing over");
    assert_eq!(state.conflicts[0].other.as_deref(), Some("done, 12.6 V"));
}

/// Each person's own lock: only who put it on takes it off, by any of the four ways; a lead may for others.
#[test]
fn a_lock_is_taken_off_by_who_put_it_on_or_by_a_lead() {
    let shop = shop();
    shop.store.put_person("Ben", store::Role::Technician, "a long enough one").unwrap();
    shop.store.put_person("Eva", store::Role::Lead, "a long enough one").unwrap();
    let tick = |step: &str, reading: &str, done: bool| Change::Tick {
        list: "dead".to_owned(),
        step: step.to_owned(),
        reading: Some(reading.to_owned()),
        done,
    };
    let (eva, step) = (Who { name: "Eva".to_owned() }, "galley | switch main");
    assert_eq!(shop.send(&ana(), 2, 1, tick(step, "0 V", true)).outcome, Outcome::Taken);
    assert_eq!(shop.send(&ben(), 3, 1, tick(step, "3 V", true)).outcome, Outcome::Conflict);
    let choose = Change::Choose { entry: id(3), place: 0, keep: Keep::Other };
    for (number, change) in [
        (4, tick(step, "0 V", false)),
        (5, tick(step, "12 V", true)),
        (6, Change::Undo { entry: id(2) }),
        (7, choose),
    ] {
        let answer = shop.send(&ben(), number, 3, change);
        assert_eq!(answer.outcome, Outcome::Refused, "{number}");
        assert!(answer.message.starts_with("Ana put this lock on"), "{}", answer.message);
    }
    let holds = |who: &str| {
        let state = shop.store.case(&shop.case).unwrap();
        state.ticks.iter().any(|tick| tick.done && tick.step == step && tick.said.who == who)
    };
    assert!(holds("Ana"));
    // Nor by what brought it back after it was taken off.
    let undo = |of: u64| Change::Undo { entry: id(of) };
    assert_eq!(shop.send(&ana(), 20, 3, tick(step, "0 V", false)).outcome, Outcome::Taken);
    assert_eq!(shop.send(&ana(), 21, 4, undo(20)).outcome, Outcome::Taken);
    assert!(holds("Ana"));
    assert_eq!(shop.send(&ben(), 22, 5, undo(21)).outcome, Outcome::Refused);
    assert!(holds("Ana"));
    // The step of the tester is one like the others, whatever it is called.
    let tester = "galley | tester before";
    assert_eq!(shop.send(&ana(), 23, 5, tick(tester, "12.6 V", true)).outcome, Outcome::Taken);
    assert_eq!(shop.send(&ben(), 24, 6, tick(tester, "12.6 V", false)).outcome, Outcome::Refused);
    // A reading before a step is no lock.
    let before = format!("{step} before");
    assert_eq!(shop.send(&ana(), 8, 3, tick(&before, "12.6 V", true)).outcome, Outcome::Taken);
    assert_eq!(shop.send(&ben(), 9, 8, tick(&before, "12.6 V", false)).outcome, Outcome::Taken);
    assert_eq!(shop.send(&eva, 10, 9, tick(step, "0 V", false)).outcome, Outcome::Taken);
    assert!(!holds("Ana"));
    assert_eq!(shop.send(&ben(), 11, 10, tick(step, "0 V", true)).outcome, Outcome::Taken);
    assert_eq!(shop.send(&ben(), 12, 11, tick(step, "0 V", false)).outcome, Outcome::Taken);
}

#[test]
fn what_a_case_looks_like_is_the_same_when_it_is_computed_anew() {
    let shop = shop();
    for number in 0..40 {
        let line = format!("r{number} = \"12.{number} V\"");
        shop.send(&ana(), 10 + number, 1, Change::Line { section: "readings".into(), text: line });
        let note = Change::Note { on: None, words: format!("note {number}") };
        shop.send(&ben(), 100 + number, 1, note);
    }
    shop.send(&ana(), 200, 81, Change::Undo { entry: id(15) });
    let seen = shop.store.case(&shop.case).unwrap();
    assert_eq!(seen.head, 82);
    // Another process, with nothing in memory.
    let again = Store::open(shop.store.folder(), Clock::system()).unwrap();
    assert_eq!(again.case(&shop.case).unwrap(), seen);
}

#[test]
fn what_is_not_well_formed_is_refused_and_says_why() {
    let shop = shop();
    let note = || Change::Note { on: None, words: "x".to_owned() };
    let good = draft(2, 1, note());
    let send = |draft: Draft| shop.store.append(&shop.case, &ana(), vec![draft]).unwrap().remove(0);
    for bad in [
        Draft { id: "1".to_owned(), ..good.clone() },
        Draft { id: "00000000-0000-1000-8000-000000000001".to_owned(), ..good.clone() },
        Draft { at: "yesterday".to_owned(), ..good.clone() },
        Draft { device: "x".repeat(101), ..good.clone() },
        Draft { change: Change::Note { on: None, words: " ".to_owned() }, ..good.clone() },
        Draft { change: Change::Note { on: None, words: "\u{0}".to_owned() }, ..good.clone() },
        Draft { change: value("..", "x", None), ..good.clone() },
        Draft { change: value("devices.none.power", "x", None), ..good.clone() },
        Draft { change: Change::Undo { entry: "2".to_owned() }, ..good.clone() },
    ] {
        let answer = send(bad.clone());
        assert_eq!(answer.outcome, Outcome::Refused, "{bad:?}");
        assert!(!answer.message.is_empty());
    }
    assert_eq!(shop.store.head(&shop.case).unwrap(), 1);
    let nowhere = shop.store.append(&id(77), &ana(), vec![good]);
    assert_eq!(nowhere, Err(StoreError::NoSuchCase));
}

#[test]
fn a_photo_is_kept_by_its_content_and_held_against_it() {
    let shop = shop();
    let sha = shop.store.keep_photo(&shop.case, &ana(), b"picture").unwrap();
    // SHA-256 of "picture" by sha256sum (GNU coreutils 9.1).
    assert_eq!(sha, "2cea274d0bedc39ec4ab6ba9e59ec889e3ed6fb56a1cf088a64d9b383378dc97");
    let photo = |sha: &str| Change::Photo {
        sha: sha.to_owned(),
        on: Some("pump".into()),
        arrow: None,
        words: None,
    };
    assert_eq!(shop.send(&ana(), 2, 1, photo(&"0".repeat(64))).outcome, Outcome::Refused);
    assert_eq!(shop.send(&ana(), 2, 1, photo(&sha)).outcome, Outcome::Taken);
    assert_eq!(shop.store.photo(&shop.case, &sha).unwrap(), b"picture");
    for bad in ["../../etc/passwd", "", &"0".repeat(64)] {
        assert_eq!(shop.store.photo(&shop.case, bad), Err(StoreError::NoSuch("photo")));
    }
    let file = shop.store.folder().join("photos").join(&sha[..2]).join(format!("{sha}.jpg"));
    std::fs::write(file, b"another").unwrap();
    assert!(matches!(shop.store.photo(&shop.case, &sha), Err(StoreError::Damaged(_))));
}
