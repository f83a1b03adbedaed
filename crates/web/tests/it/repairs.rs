//! Repairs chosen, proved and written, by forms without script.

use crate::support::Bay;

/// A heater on a corroded lug, as small as a record can be.
const BENCH: &str = r#"unbury = 1
[vehicle]
name = "Bench"
region = "europe"
system = "12 V"
[devices]
house = { kind = "agm battery", holds = "100 Ah", rest = "12.6 V", resistance = "1 mOhm" }
fuse = { kind = "strip fuse", rated = "40 A", resistance = "0.1 mOhm" }
heater = { kind = "heater", power = "120 W" }
[wires]
w1 = "house.+ to fuse.in, 10 mm2, 0.15 m, fine, 90 C"
w2 = "fuse.out to heater.+, 10 mm2, 2 m, fine, 90 C"
w3 = "heater.- to house.-, 10 mm2, 2 m, fine, 90 C"
[joints]
"w2 at heater.+" = "lug, corroded, measured 100 mOhm"
[states]
on = { on = ["heater"] }
"#;

const ID: &str = "remake-w2-at-heater-plus";
const OVER: &str = "over w2 at heater.+";

#[tokio::test(flavor = "multi_thread")]
async fn a_repair_is_chosen_proved_and_written() {
    let bay = Bay::with(&[("bench", BENCH)]);
    let page = bay.page("/case/bench/put-right").await;
    assert!(page.contains(&format!("id=\"mend-{ID}\"")), "the repair is offered");
    assert!(page.contains("Minutes of work"));
    let opened = bay.state.open("bench").expect("the case");
    let offers = &opened.study.mends().offers;
    let line = offers.iter().find(|offer| offer.id == ID).expect("the offer").line.clone();

    bay.enter("bench", &[("kind", "line"), ("section", "mends"), ("text", &line)]).await;
    let page = bay.page("/case/bench/put-right").await;
    assert!(page.contains("planned") && page.contains("It is done: write it into the record"));

    let prove = bay.page("/case/bench/prove").await;
    assert!(prove.contains("Drop across the joint w2 at heater.+, under load"));
    assert!(prove.contains("data-pad=\"mV V\""), "the number pad knows the unit");
    let dead = prove.find("Dead tests").expect("dead tests");
    assert!(dead < prove.find("Live tests</h2>").expect("live tests"), "dead tests first");

    let tick = |reading: &'static str| {
        [("kind", "tick"), ("list", "proof"), ("step", OVER), ("done", "yes"), ("reading", reading)]
    };
    bay.enter("bench", &tick("0.9 V")).await;
    let failed = bay.page("/case/bench/prove").await;
    assert!(failed.contains("Not proved") && failed.contains("likeliest first"));
    bay.enter("bench", &tick("0.5 mV")).await;
    let passed = bay.page("/case/bench/prove").await;
    assert!(!passed.contains("Not proved") && passed.contains(">pass<"));

    bay.enter("bench", &[("kind", "put-in"), ("mend", ID)]).await;
    let text = bay.state.open("bench").expect("the case").kept.text.clone();
    assert!(text.contains("\"w2 at heater.+\" = \"lug, good\""), "{text}");
    assert!(bay.page("/case/bench/put-right").await.contains(">done<"));
}
