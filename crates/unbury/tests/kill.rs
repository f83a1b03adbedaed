//! The server ended by SIGKILL 200 times while entries pour in: every entry that was acknowledged is in
//! the journal, once; the database is whole; the hashes hold.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, RwLock};
use std::time::{Duration, Instant};

use store::{Change, Clock, Store, Who};
use support::{Ask, Server, sent};

const KILLS: u32 = 200;
const CLIENTS: u32 = 4;

#[test]
fn no_acknowledged_entry_is_lost_when_the_server_is_killed_200_times() {
    let data = tempfile::tempdir().unwrap();
    let case = {
        let store = Store::open(data.path(), Clock::system()).unwrap();
        let who = Who { name: "Test".to_owned() };
        let open = Change::Open { title: "Van".to_owned(), text: "unbury = 1\n".to_owned() };
        let at = "2026-05-02T10:00:00Z".to_owned();
        let draft = store::Draft {
            id: store::new_id(),
            device: "test".to_owned(),
            at,
            base: 0,
            change: open,
        };
        store.new_case(&who, draft).unwrap()
    };
    let address = Arc::new(RwLock::new(String::new()));
    let (done, taken) = (Arc::new(AtomicBool::new(false)), Arc::new(Mutex::new(Vec::new())));
    let clients: Vec<_> = (0..CLIENTS)
        .map(|client| {
            let (address, done, taken, case) =
                (Arc::clone(&address), Arc::clone(&done), Arc::clone(&taken), case.clone());
            std::thread::spawn(move || enter(client, &case, &address, &done, &taken))
        })
        .collect();
    let begin = Instant::now();
    // Xorshift (Marsaglia 2003), so that a run can be repeated.
    let mut random = 0x9e37_79b9_u32;
    for _ in 0..KILLS {
        let server = Server::start(data.path(), &["--listen", "127.0.0.1:0"]);
        address.write().unwrap().clone_from(&server.address);
        random ^= random << 13;
        random ^= random >> 17;
        random ^= random << 5;
        // After some more entries, at any moment of the next ones.
        let wanted = taken.lock().unwrap().len() + 1 + random as usize % 8;
        let patience = Instant::now() + Duration::from_secs(20);
        while taken.lock().unwrap().len() < wanted && Instant::now() < patience {
            std::thread::sleep(Duration::from_micros(200));
        }
        std::thread::sleep(Duration::from_micros(u64::from(random >> 8) % 3000));
        server.kill();
    }
    let server = Server::start(data.path(), &["--listen", "127.0.0.1:0"]);
    address.write().unwrap().clone_from(&server.address);
    done.store(true, Ordering::Relaxed);
    for client in clients {
        client.join().unwrap();
    }
    server.kill();
    let taken = taken.lock().unwrap();
    check(data.path(), &case, &taken);
    println!("{} entries acknowledged over {KILLS} kills in {:?}", taken.len(), begin.elapsed());
    assert!(taken.len() >= KILLS as usize, "the load was no load: {} entries", taken.len());
}

/// Enters notes one after the other; one that was not acknowledged is sent again with its id, as the
/// queue of a device does.
fn enter(
    client: u32,
    case: &str,
    address: &RwLock<String>,
    done: &AtomicBool,
    taken: &Mutex<Vec<String>>,
) {
    let mut number = 0;
    while !done.load(Ordering::Relaxed) {
        let id = store::new_id();
        number += 1;
        let entry = serde_json::json!([{
            "id": id, "device": format!("client {client}"), "at": "2026-05-02T10:00:00Z", "base": 0,
            "change": { "note": { "words": format!("{client} {number}") } },
        }]);
        let ask = Ask::json(&format!("/case/{case}/entries"), &entry);
        loop {
            let at = address.read().unwrap().clone();
            let answer = sent(&at, &ask).filter(|answer| answer.status == 200);
            let outcome = answer.map(|answer| answer.json()[0]["outcome"].clone());
            match outcome.as_ref().and_then(|outcome| outcome.as_str()) {
                Some("taken" | "already") => {
                    taken.lock().unwrap().push(id);
                    break;
                }
                Some(other) => panic!("{other}"),
                None => std::thread::sleep(Duration::from_millis(2)),
            }
        }
    }
}

fn check(data: &std::path::Path, case: &str, taken: &[String]) {
    let store = Store::open(data, Clock::system()).unwrap();
    assert_eq!(store.database_faults().unwrap(), Vec::<String>::new());
    assert_eq!(store.verify(case).unwrap().faults, Vec::<String>::new());
    let mut times: BTreeMap<String, u32> = BTreeMap::new();
    for row in store.history(case, None, usize::MAX).unwrap() {
        *times.entry(row.entry.id).or_default() += 1;
    }
    for id in taken {
        assert_eq!(times.get(id), Some(&1), "entry {id}");
    }
    // One opens the case; every client may have had one entry under way that nobody acknowledged.
    assert_eq!(times.len(), taken.len() + 1);
}
