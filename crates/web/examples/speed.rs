//! How long the server takes for each page of Dunlin, looked at before, and for the first look at a
//! record that changed: `cargo run --release -p web --example speed`, with a number for more edits.

#![expect(clippy::print_stdout, reason = "an example prints what it measured")]

use std::time::{Duration, Instant};

use axum::body::{Body, to_bytes};
use axum::http::{Request, header};
use tower::ServiceExt as _;

const TIMES: usize = 60;

#[tokio::main]
async fn main() {
    let record = include_str!("../../../records/dunlin/dunlin.toml");
    let state = web::AppState::with_records([("dunlin".to_owned(), record.to_owned())]);
    let router = web::serve::router(state.clone());
    let took = async |address: &str| {
        let request = Request::get(address)
            .header(header::HOST, "localhost")
            .header(header::ACCEPT, "text/html")
            .body(Body::empty())
            .expect("a request");
        let start = Instant::now();
        let response = router.clone().oneshot(request).await.expect("an answer");
        let body = to_bytes(response.into_body(), 32 << 20).await.expect("a body");
        (start.elapsed(), body.len())
    };
    let first = Instant::now();
    state.open("dunlin").expect("the case").study.search();
    println!("search for the fault          {:8.1} ms, apart from any page", ms(first.elapsed()));
    for page in [
        "arrival",
        "dead",
        "found",
        "suspects",
        "way-in",
        "put-right",
        "prove",
        "hand-over",
        "item/charger",
        "history",
        "drawing/wiring.svg",
        "drawing/vehicle-plan.svg",
    ] {
        let address = format!("/case/dunlin/{page}");
        let once = took(&address).await.0;
        let mut all = Vec::new();
        let mut bytes = 0;
        for _ in 0..TIMES {
            let (time, length) = took(&address).await;
            all.push(time);
            bytes = length;
        }
        all.sort();
        println!(
            "{page:28} first {:8.1} ms, then p95 {:6.2} ms, {bytes} bytes",
            ms(once),
            ms(all[TIMES * 95 / 100])
        );
    }
    edits(record);
}

/// A wire more each time, as at As found: how long the record takes to be read and solved, and the rest.
fn edits(record: &str) {
    let rounds = std::env::args().nth(1).and_then(|count| count.parse().ok()).unwrap_or(12);
    let (mut solved, mut all) = (Vec::new(), Vec::new());
    let before = web::Study::of(record);
    before.review();
    for number in 0..rounds {
        let wire = format!("[wires]\nbare{number} = \"house.+ to pump.+, 2.5 mm2, red, 3 m\"\n");
        let changed = record.replacen("[wires]\n", &wire, 1);
        let start = Instant::now();
        let study = before.anew(&changed);
        solved.push(start.elapsed());
        let findings = study.review().findings.len();
        all.push(start.elapsed());
        assert!(findings > 0);
    }
    solved.sort();
    all.sort();
    let (middle, most) = (rounds / 2, rounds - 1);
    println!(
        "findings after an edit       middle {:6.1} ms ({:.1} ms read and solved), most {:6.1} ms",
        ms(all[middle]),
        ms(solved[middle]),
        ms(all[most])
    );
}

fn ms(time: Duration) -> f64 {
    1000.0 * time.as_secs_f64()
}
