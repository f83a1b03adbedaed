//! Twenty people at one case: how long the server takes for what they ask, with few cases kept and with
//! many. On one core: `taskset -c 0 cargo run --release -p web --example load`.
//!
//! Everybody asks every second or so for a page or enters something, as with a phone in the hand. Time
//! is measured from the request to the last byte of the answer, without network.

#![expect(clippy::print_stdout, reason = "an example prints what it measured")]

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Request, header};
use store::{Change, Clock, Draft, Store, Who};
use tower::ServiceExt as _;
use web::AppState;
use web::serve::{Door, Link, open_case};

const RECORD: &str = include_str!("../../../records/dunlin/dunlin.toml");
const PEOPLE: u64 = 20;
const ASKS: u32 = 60;
const CASES: usize = 1_000;
const PHOTOS: usize = 20_000;

type Times = Arc<Mutex<BTreeMap<&'static str, Vec<Duration>>>>;

fn main() {
    let who = Who { name: "Ana".to_owned() };
    let store = Store::scratch(Clock::system()).expect("a folder");
    open_case(&store, &who, "dunlin", RECORD).expect("a case");
    run("Dunlin alone", &store);
    let begin = Instant::now();
    fill(&store, &who);
    println!(
        "\n{CASES} cases and {PHOTOS} photos written in {:.0} s",
        begin.elapsed().as_secs_f64()
    );
    run("with them", &store);
}

/// Many cases, and photos spread over them.
fn fill(store: &Store, who: &Who) {
    let threads: Vec<_> = (0..8)
        .map(|thread| {
            let (store, who) = (store.clone(), who.clone());
            std::thread::spawn(move || {
                for number in (thread..CASES).step_by(8) {
                    let id = format!("van-{number}");
                    let open =
                        Change::Open { title: format!("Van {number}"), text: RECORD.to_owned() };
                    let answers = store.append(&id, &who, vec![draft(open)]).expect("a case");
                    assert_eq!(answers[0].seq, 1);
                    for photo in 0..PHOTOS / CASES {
                        let bytes = format!("\u{ff}\u{d8}{number} {photo}").into_bytes();
                        let sha = store.keep_photo(&id, &who, &bytes).expect("a photo");
                        let change = Change::Photo { sha, on: None, arrow: None, words: None };
                        store.append(&id, &who, vec![draft(change)]).expect("an entry");
                    }
                }
            })
        })
        .collect();
    threads.into_iter().for_each(|thread| thread.join().expect("written"));
}

fn draft(change: Change) -> Draft {
    let at = "2026-05-02T10:00:00Z".to_owned();
    Draft { id: store::new_id(), device: "load".to_owned(), at, base: 0, change }
}

fn run(what: &str, store: &Store) {
    let door = Door::Open { name: "Ana".to_owned() };
    let state = AppState::new(store.clone(), door, Link::Plain).expect("a state");
    let router = web::serve::router(state.clone());
    let runtime =
        tokio::runtime::Builder::new_multi_thread().enable_all().build().expect("threads");
    let times = Times::default();
    runtime.block_on(async {
        state.open("dunlin").expect("the case").study.search();
        let people = (0..PEOPLE)
            .map(|person| tokio::spawn(work(person, router.clone(), Arc::clone(&times))));
        for person in people.collect::<Vec<_>>() {
            person.await.expect("worked");
        }
    });
    println!("\n{what}: {PEOPLE} people, {ASKS} asks each");
    let times = times.lock().expect("whole").clone();
    let mut all = Vec::new();
    for (kind, mut some) in times {
        some.sort();
        line(kind, &some);
        all.extend(some);
    }
    all.sort();
    line("everything", &all);
}

fn line(kind: &str, sorted: &[Duration]) {
    let at = |share: usize| {
        1000.0 * sorted[(sorted.len() * share / 100).min(sorted.len() - 1)].as_secs_f64()
    };
    println!(
        "  {kind:24} {:5} asks, median {:7.2} ms, p95 {:7.2} ms, most {:7.2} ms",
        sorted.len(),
        at(50),
        at(95),
        at(100)
    );
}

/// What one person does: mostly pages, now and then a note, a tick, or a reading that changes the record.
async fn work(person: u64, router: Router, times: Times) {
    const PAGES: [&str; 6] = ["dead", "found", "suspects", "way-in", "prove", "item/charger"];
    // Xorshift (Marsaglia 2003), so that a run can be repeated.
    let mut random = 0x9e37_79b9_7f4a_7c15_u64 ^ (person + 1);
    for ask in 0..ASKS {
        random ^= random << 13;
        random ^= random >> 7;
        random ^= random << 17;
        tokio::time::sleep(Duration::from_millis(500 + random % 1000)).await;
        let (kind, request) = match random % 20 {
            0 => ("list of cases", get("/")),
            1 => ("note entered", entry(&format!(r#"{{"note":{{"words":"{person} {ask}"}}}}"#))),
            2 => (
                "step ticked",
                entry(&format!(
                    r#"{{"tick":{{"list":"prove","step":"{person} {ask}","done":true}}}}"#
                )),
            ),
            3 if ask % 3 == 0 => ("value entered", entry(&value(person, ask))),
            page => {
                ("page of a station", get(&format!("/case/dunlin/{}", PAGES[page as usize % 6])))
            }
        };
        let start = Instant::now();
        let response = router.clone().oneshot(request).await.expect("an answer");
        assert!(response.status().is_success(), "{kind}: {}", response.status());
        to_bytes(response.into_body(), 64 << 20).await.expect("a body");
        times.lock().expect("whole").entry(kind).or_default().push(start.elapsed());
    }
}

/// A label that changes the record, so that everything is computed anew.
fn value(person: u64, ask: u32) -> String {
    format!(r#"{{"value":{{"path":"devices.fridge.label","is":"fridge {person} {ask}"}}}}"#)
}

fn get(path: &str) -> Request<Body> {
    let asked =
        Request::get(path).header(header::HOST, "localhost").header(header::ACCEPT, "text/html");
    asked.body(Body::empty()).expect("a request")
}

fn entry(change: &str) -> Request<Body> {
    let id = store::new_id();
    let parcel = format!(
        r#"[{{"id":"{id}","device":"load","at":"2026-05-02T10:00:00Z","base":0,"change":{change}}}]"#
    );
    Request::post("/case/dunlin/entries")
        .header(header::HOST, "localhost")
        .header(header::CONTENT_TYPE, "application/json")
        .body(Body::from(parcel))
        .expect("a request")
}
