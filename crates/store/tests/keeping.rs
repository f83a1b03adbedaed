//! A case as one file, backups, tampering, people, sessions and links, on real files.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::io::Cursor;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use store::{Change, Clock, Draft, Outcome, Role, SESSION_S, Store, StoreError, Who};

/// A JPEG of 1 by 1 point begins like this (ITU-T T.81); what follows is not looked at here.
const PHOTO: &[u8] = &[0xff, 0xd8, 0xff, 0xe0, 0, 16, b'J', b'F', b'I', b'F', 0];

fn who() -> Who {
    Who { name: "Ana".to_owned() }
}

fn draft(change: Change) -> Draft {
    let at = "2026-05-02T10:00:00Z".to_owned();
    Draft { id: store::new_id(), device: "bench".to_owned(), at, base: 0, change }
}

fn note(words: &str) -> Change {
    Change::Note { on: None, words: words.to_owned() }
}

/// A store with a case, three notes and a photo; and its clock.
fn shop(folder: &std::path::Path) -> (Store, String, Arc<AtomicI64>) {
    let now = Arc::new(AtomicI64::new(1_777_000_000));
    let read = Arc::clone(&now);
    let store = Store::open(folder, Clock::of(move || read.load(Ordering::Relaxed))).unwrap();
    let open = Change::Open { title: "Van".to_owned(), text: "unbury = 1\n".to_owned() };
    let case = store.new_case(&who(), draft(open)).unwrap();
    for words in ["one", "two", "three"] {
        store.append(&case, &who(), vec![draft(note(words))]).unwrap();
    }
    let sha = store.keep_photo(&case, &who(), PHOTO).unwrap();
    let photo = Change::Photo { sha, on: None, arrow: None, words: None };
    store.append(&case, &who(), vec![draft(photo)]).unwrap();
    (store, case, now)
}

/// Changes the database behind the back of the program, triggers and all.
fn tamper(folder: &std::path::Path, steps: &str) {
    let connection = rusqlite::Connection::open(folder.join("unbury.db")).unwrap();
    connection.execute_batch("DROP TRIGGER entries_stay; DROP TRIGGER entries_are_kept;").unwrap();
    connection.execute_batch(steps).unwrap();
}

#[test]
fn an_untouched_journal_holds() {
    let folder = tempfile::tempdir().unwrap();
    let (store, case, _) = shop(folder.path());
    let verified = store.verify(&case).unwrap();
    assert_eq!(verified.faults, Vec::<String>::new());
    assert_eq!(verified.entries, 5);
    assert!(store.holds_hash(&case, &verified.last_hash).unwrap());
    assert!(!store.holds_hash(&case, &"0".repeat(64)).unwrap());
    assert_eq!(store.database_faults().unwrap(), Vec::<String>::new());
}

#[test]
fn whatever_is_tampered_with_is_found_and_named() {
    let cases = [
        ("UPDATE entries SET change = replace(change, 'two', 'too') WHERE seq = 3", "entry 3"),
        ("UPDATE entries SET who = 'Ben' WHERE seq = 2", "entry 2"),
        ("UPDATE entries SET received = '2020-01-01T00:00:00Z' WHERE seq = 2", "entry 2"),
        ("UPDATE entries SET device = 'other' WHERE seq = 4", "entry 4"),
        ("DELETE FROM entries WHERE seq = 3", "entry 3 is missing"),
        ("DELETE FROM entries WHERE seq = 5", "does not end at entry 5"),
        (
            "UPDATE entries SET seq = 99 WHERE seq = 2; UPDATE entries SET seq = 2 WHERE seq = 3;
             UPDATE entries SET seq = 3 WHERE seq = 99",
            "entry 2",
        ),
        ("UPDATE entries SET hash = previous WHERE seq = 4", "entry 4"),
        ("UPDATE entries SET change = 'x' WHERE seq = 4", "entry 4"),
    ];
    for (steps, named) in cases {
        let folder = tempfile::tempdir().unwrap();
        let (store, case, _) = shop(folder.path());
        drop(store);
        tamper(folder.path(), steps);
        let store = Store::open(folder.path(), Clock::system()).unwrap();
        let faults = store.verify(&case).unwrap().faults;
        assert!(faults.iter().any(|fault| fault.contains(named)), "{steps}: {faults:?}");
    }
}

#[test]
fn what_is_shown_beside_the_journal_is_held_against_it() {
    let folder = tempfile::tempdir().unwrap();
    let (store, case, _) = shop(folder.path());
    drop(store);
    tamper(folder.path(), "UPDATE states SET state = replace(state, 'unbury = 1', 'unbury = 2')");
    let store = Store::open(folder.path(), Clock::system()).unwrap();
    let faults = store.verify(&case).unwrap().faults;
    assert!(faults[0].contains("not what its journal says"), "{faults:?}");
}

#[test]
fn an_entry_cannot_be_changed_through_the_database_by_mistake() {
    let folder = tempfile::tempdir().unwrap();
    let (_store, ..) = shop(folder.path());
    let connection = rusqlite::Connection::open(folder.path().join("unbury.db")).unwrap();
    for steps in ["UPDATE entries SET who = 'x'", "DELETE FROM entries"] {
        let refused = connection.execute_batch(steps).unwrap_err().to_string();
        assert!(refused.contains("an entry is never"), "{refused}");
    }
}

#[test]
fn a_case_goes_to_another_workshop_in_one_file_and_on_from_there() {
    let (here, there) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (store, case, _) = shop(here.path());
    let file = |store: &Store| {
        let mut file = Cursor::new(Vec::new());
        store.write_case(&case, &mut file).unwrap();
        file.into_inner()
    };
    let first = file(&store);
    assert_eq!(file(&store), first, "the same case is the same file");
    let other = Store::open(there.path(), Clock::system()).unwrap();
    let taken = other.read_case(Cursor::new(&first)).unwrap();
    assert_eq!((taken.new_entries, taken.photos), (5, 1));
    assert_eq!(other.case(&case).unwrap(), store.case(&case).unwrap());
    assert_eq!(other.verify(&case).unwrap().faults, Vec::<String>::new());
    // Again: nothing new.
    assert_eq!(other.read_case(Cursor::new(&first)).unwrap().new_entries, 0);
    // Worked on there, and back.
    other.append(&case, &who(), vec![draft(note("there"))]).unwrap();
    let back = file(&other);
    assert_eq!(store.read_case(Cursor::new(&back)).unwrap().new_entries, 1);
    assert_eq!(store.head(&case).unwrap(), 6);
    // Worked on at both places.
    store.append(&case, &who(), vec![draft(note("here"))]).unwrap();
    other.append(&case, &who(), vec![draft(note("there"))]).unwrap();
    let apart = store.read_case(Cursor::new(file(&other))).unwrap_err().to_string();
    assert!(apart.contains("separate ways after entry 6"), "{apart}");
    assert_eq!(store.head(&case).unwrap(), 7);
}

#[test]
fn a_file_of_a_case_that_was_changed_is_not_taken() {
    let (here, there) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (store, case, _) = shop(here.path());
    let mut file = Cursor::new(Vec::new());
    store.write_case(&case, &mut file).unwrap();
    let file = file.into_inner();
    let other = Store::open(there.path(), Clock::system()).unwrap();
    for bad in [&b"PK"[..], b"", b"not a case at all", &file[..file.len() / 2]] {
        assert!(matches!(other.read_case(Cursor::new(bad)), Err(StoreError::Refused(_))));
    }
    let at = file.windows(5).position(|bytes| bytes == b"three").unwrap();
    let mut changed = file.clone();
    changed[at] = b'T';
    assert!(other.read_case(Cursor::new(changed)).is_err());
    assert_eq!(other.cases().unwrap(), []);
}

#[test]
fn a_backup_is_made_while_others_write_and_is_put_back_whole() {
    let (here, kept, new) =
        (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (store, case, _) = shop(here.path());
    let to = kept.path().join("monday");
    let writing = {
        let (store, case) = (store.clone(), case.clone());
        std::thread::spawn(move || {
            for number in 0..50 {
                store.append(&case, &who(), vec![draft(note(&format!("{number}")))]).unwrap();
            }
        })
    };
    let done = store.back_up(&to).unwrap();
    assert_eq!((done.cases, done.photos), (1, 1));
    writing.join().unwrap();
    // Once more into the same folder, with everything.
    store.back_up(&to).unwrap();
    store::restore(&to, new.path()).unwrap();
    let again = Store::open(new.path(), Clock::system()).unwrap();
    assert_eq!(again.case(&case).unwrap(), store.case(&case).unwrap());
    assert_eq!(again.verify(&case).unwrap().faults, Vec::<String>::new());
    let onto = store::restore(&to, new.path()).unwrap_err().to_string();
    assert!(onto.contains("there is data"), "{onto}");
    std::fs::write(to.join("unbury.db"), b"changed").unwrap();
    let fresh = tempfile::tempdir().unwrap();
    assert!(matches!(store::restore(&to, fresh.path()), Err(StoreError::Damaged(_))));
    std::fs::remove_file(to.join("backup.json")).unwrap();
    assert!(matches!(store::restore(&to, fresh.path()), Err(StoreError::File(_))));
}

#[test]
fn who_may_log_in_is_known_by_the_password_and_nothing_of_it_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let (store, ..) = shop(folder.path());
    store.put_person("Ana", Role::Lead, "correct horse").unwrap();
    store.put_person("Ben", Role::Technician, "battery staple").unwrap();
    assert_eq!(store.check_password("Ana", "correct horse").unwrap().unwrap().role, Role::Lead);
    for (name, password) in
        [("Ana", "correct horsE"), ("Ana", ""), ("Cleo", "correct horse"), ("' OR 1=1 --", "x")]
    {
        assert_eq!(store.check_password(name, password).unwrap(), None, "{name}");
    }
    for (name, password) in [("", "long enough"), ("Dora", "short"), ("a\u{0}b", "long enough")] {
        assert!(matches!(
            store.put_person(name, Role::Lead, password),
            Err(StoreError::Refused(_))
        ));
    }
    drop(store);
    let mut bytes = std::fs::read(folder.path().join("unbury.db")).unwrap();
    bytes.extend(std::fs::read(folder.path().join("unbury.db-wal")).unwrap_or_default());
    let holds = |words: &[u8]| bytes.windows(words.len()).any(|part| part == words);
    assert!(holds(b"$argon2id$") && !holds(b"correct horse") && !holds(b"battery staple"));
}

#[test]
fn a_session_ends_by_time_by_logging_out_and_with_its_person() {
    let folder = tempfile::tempdir().unwrap();
    let (store, _, now) = shop(folder.path());
    store.put_person("Ana", Role::Lead, "correct horse").unwrap();
    store.put_person("Ben", Role::Technician, "battery staple").unwrap();
    let ben = store.check_password("Ben", "battery staple").unwrap().unwrap();
    let [first, second] = [store.begin_session(&ben).unwrap(), store.begin_session(&ben).unwrap()];
    assert_ne!(first.secret, second.secret);
    assert_eq!(store.session(&first.secret).unwrap().unwrap(), first.session);
    store.end_session(&first.secret).unwrap();
    assert_eq!(store.session(&first.secret).unwrap(), None);
    // Used every day it goes on; left alone it ends.
    for _ in 0..20 {
        now.fetch_add(2 * 24 * 3600, Ordering::Relaxed);
        assert!(store.session(&second.secret).unwrap().is_some());
    }
    now.fetch_add(SESSION_S + 1, Ordering::Relaxed);
    assert_eq!(store.session(&second.secret).unwrap(), None);
    let third = store.begin_session(&ben).unwrap();
    store.remove_person("Ben").unwrap();
    assert_eq!(store.session(&third.secret).unwrap(), None);
    assert_eq!(store.check_password("Ben", "battery staple").unwrap(), None);
    assert!(matches!(store.remove_person("Ana"), Err(StoreError::Refused(_))));
    assert_eq!(store.session("").unwrap(), None);
}

#[test]
fn a_link_opens_its_case_until_it_ends_or_is_taken_back() {
    let folder = tempfile::tempdir().unwrap();
    let (store, case, now) = shop(folder.path());
    let first = store.give_link(&case, &who(), 7).unwrap();
    let second = store.give_link(&case, &who(), 30).unwrap();
    let followed = store.follow_link(&first).unwrap().unwrap();
    assert_eq!(followed.case, case);
    // The clock of these tests begins at 1777000000 s, which is 2026-04-24 03:06:40 UTC (by hand); seven days on.
    assert_eq!(followed.last_day, "2026-05-01");
    assert_eq!(store.follow_link("' OR 1=1 --").unwrap(), None);
    now.fetch_add(7 * 24 * 3600 + 1, Ordering::Relaxed);
    assert_eq!(store.follow_link(&first).unwrap(), None);
    assert!(store.follow_link(&second).unwrap().is_some());
    let open = |link: &&store::Link| link.ends > now.load(Ordering::Relaxed);
    let name = store.links(&case).unwrap().iter().find(open).unwrap().name.clone();
    store.revoke_link(&case, &name).unwrap();
    assert_eq!(store.follow_link(&second).unwrap(), None);
    assert_eq!(store.revoke_link(&case, &name), Err(StoreError::NoSuch("link")));
    for days in [0, 367] {
        assert!(matches!(store.give_link(&case, &who(), days), Err(StoreError::Refused(_))));
    }
}

#[test]
fn words_that_look_like_commands_of_the_database_are_only_words() {
    let folder = tempfile::tempdir().unwrap();
    let (store, case, _) = shop(folder.path());
    let evil = "'); DROP TABLE entries; --\" OR 1=1";
    let drafts = [
        note(evil),
        Change::Note { on: Some(evil.to_owned()), words: "x".to_owned() },
        Change::Tick {
            list: evil.into(),
            step: evil.into(),
            reading: Some(evil.into()),
            done: true,
        },
        Change::Line { section: "wires".into(), text: format!("w1 = {evil:?}") },
    ];
    for change in drafts {
        let answers = store.append(&case, &who(), vec![draft(change)]).unwrap();
        assert_eq!(answers[0].outcome, Outcome::Taken, "{answers:?}");
    }
    assert_eq!(store.case(evil), Err(StoreError::NoSuchCase));
    assert_eq!(store.head(&case).unwrap(), 9);
    assert_eq!(store.verify(&case).unwrap().faults, Vec::<String>::new());
}
