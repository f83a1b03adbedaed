//! Repairs chosen, proved and written, by forms without script.

use crate::records::DUNLIN;
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
    let page = bay.worked("/case/bench/put-right").await;
    assert!(page.contains(&format!("id=\"mend-{ID}\"")), "the repair is offered");
    assert!(page.contains("Minutes of work"));
    let opened = bay.state.open("bench").expect("the case");
    let offers = &opened.study.mends().offers;
    let line = offers.iter().find(|offer| offer.id == ID).expect("the offer").line.clone();

    bay.enter("bench", &[("kind", "line"), ("section", "mends"), ("text", &line)]).await;
    let page = bay.worked("/case/bench/put-right").await;
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
    assert!(text.contains("\"w2 at heater.+\" = \"lug, good, crimped\""), "{text}");
    assert!(bay.worked("/case/bench/put-right").await.contains(">done<"));
    let passed = bay.page("/case/bench/prove").await;
    assert!(passed.contains(OVER) && passed.contains(">pass<"), "written in, it stays proved");
}

/// What was read and noticed before a repair tells of a vehicle that is no more: once the repair is written
/// into the record it is no longer weighed against it, and stays to be read.
#[tokio::test(flavor = "multi_thread")]
async fn what_was_observed_before_a_repair_is_laid_aside_when_it_is_written_in() {
    let seen = BENCH.replace(
        "[states]",
        "[symptoms]\ncold = { words = \"barely warm\", device = \"heater\", state = \"on\", shows = \"seen weak\" }\n[readings]\nr1 = \"on: 0.9 V over w2 at heater.+, multimeter\"\n[states]",
    );
    let bay = Bay::with(&[("bench", &seen)]);
    let offers = bay.state.open("bench").expect("the case").study.mends().offers.clone();
    let line = &offers.iter().find(|offer| offer.id == ID).expect("the offer").line;
    bay.enter("bench", &[("kind", "line"), ("section", "mends"), ("text", line)]).await;
    bay.enter("bench", &[("kind", "put-in"), ("mend", ID)]).await;
    let opened = bay.state.open("bench").expect("the case");
    let laid_aside = "[history]\nchanged = [\"w2 at heater.+: r1, cold\"]";
    assert!(opened.kept.text.contains(laid_aside), "{}", opened.kept.text);
    assert!(opened.study.faults().is_empty());
    let row = &opened.study.review().readings[0];
    assert_eq!((row.name.as_str(), row.verdict.as_str()), ("r1", "earlier"));
    assert!(row.read.starts_with("900 mV"), "it can still be read: {}", row.read);
    let next = &opened.study.search().next;
    assert_eq!(next.suspects.weighed, 1, "only that the joint now looks good");
    assert!(next.repair.is_none(), "nothing is to be repaired once more: {}", next.kind);
}

/// Only what a defect there could have moved is laid aside: the fuse of the fridge has no part in what the
/// battery shows at rest, nor in what the charger does while driving. The repair takes a value out of the
/// record and sets none.
#[tokio::test(flavor = "multi_thread")]
async fn what_a_repair_has_no_part_in_counts_as_before() {
    let bay = Bay::with(&[("dunlin", DUNLIN)]);
    let offers = bay.state.open("dunlin").expect("the case").study.mends().offers.clone();
    let is_it = |offer: &&analysis::MendOffer| offer.title.starts_with("Exchange fridge-fuse");
    let offer = offers.iter().find(is_it).expect("the repair");
    bay.enter("dunlin", &[("kind", "line"), ("section", "mends"), ("text", &offer.line)]).await;
    bay.enter("dunlin", &[("kind", "put-in"), ("mend", &offer.id)]).await;
    let opened = bay.state.open("dunlin").expect("the case");
    let is_earlier = |name: &str| {
        let readings = &opened.study.review().readings;
        readings.iter().find(|row| row.name == name).expect(name).verdict == "earlier"
    };
    for (name, earlier) in [
        ("night-holder", true),
        ("night-fridge", true),
        ("rest-bank", false),
        ("drive-starter", false),
    ] {
        assert_eq!(is_earlier(name), earlier, "{name}");
    }
    let symptoms = opened.study.case().arrival().symptoms;
    for symptom in symptoms.iter().filter(|symptom| !symptom.state.is_empty()) {
        let is_of_the_fridge = symptom.device == "fridge";
        assert_eq!(symptom.is_laid_aside, is_of_the_fridge, "{}", symptom.words);
    }
    let handed = opened.study.case().handover().mends;
    assert_eq!(handed.len(), 1, "the repair stands once: {handed:?}");
}

/// A tester that shows nothing on a known source proves nothing, and the last step waits for the points.
#[tokio::test(flavor = "multi_thread")]
async fn a_tester_that_shows_nothing_is_not_proved() {
    let bay = Bay::with(&[("dunlin", DUNLIN)]);
    let read = |reading: &'static str| {
        let step = "fridge | tester before";
        [("kind", "tick"), ("list", "dead"), ("step", step), ("done", "yes"), ("reading", reading)]
    };
    for (reading, is_proved) in [("0 V", false), ("OL", false), ("12.6 V", true)] {
        bay.enter("dunlin", &read(reading)).await;
        let page = bay.page("/case/dunlin/dead?area=fridge").await;
        assert_eq!(!page.contains("Not proved."), is_proved, "{reading}");
        let next = if is_proved { "Next is step 2 of" } else { "Next is step 1 of" };
        assert!(page.contains(next), "{reading}");
        assert!(!page.contains("value=\"fridge | tester after\""), "points come first");
    }
}

/// What people did on the vehicle, by whom: parts taken out, what was switched off and read.
#[tokio::test(flavor = "multi_thread")]
async fn what_was_ticked_off_stands_in_the_pack() {
    let bay = Bay::with(&[("dunlin", DUNLIN)]);
    let tick = |list: &'static str, step: &'static str, reading: &'static str| {
        [("kind", "tick"), ("list", list), ("step", step), ("done", "yes"), ("reading", reading)]
    };
    let opened = bay.state.open("dunlin").expect("the case");
    let way = opened.study.way_in(&["pump".to_owned()]);
    let part = way.steps[0].part.clone();
    let step = |list| [("kind", "tick"), ("list", list), ("step", part.as_str()), ("done", "yes")];
    bay.enter("dunlin", &step("way-in")).await;
    bay.enter("dunlin", &tick("dead", "fridge | switch main-switch before", "12.6 V")).await;
    bay.enter("dunlin", &tick("dead", "fridge | switch main-switch", "0.0 V")).await;
    bay.enter("dunlin", &tick("tester", "tester after", "12.4 V")).await;

    let pack = bay.bytes("/case/dunlin/pack.zip").await;
    let dead = table(&pack, "made-dead.csv");
    let rows: Vec<&str> = dead.lines().skip(1).collect();
    assert_eq!(rows.len(), 2, "a step with what was read before it is one row: {dead}");
    for words in ["fridge", "12.6 V", "0.0 V", "main-switch"] {
        assert!(rows[0].contains(words), "{words}: {dead}");
    }
    assert!(rows[1].contains("12.4 V"), "{dead}");
    let handed: serde_json::Value =
        serde_json::from_str(&table(&pack, "handover.json")).expect("JSON");
    let openings = handed["openings"].as_array().expect("openings");
    let out: Vec<&str> = openings
        .iter()
        .filter(|opening| opening["is_out"] == true)
        .filter_map(|opening| opening["part"].as_str())
        .collect();
    assert!(out.contains(&part.as_str()), "{part}: {out:?}");
}

/// A table of the pack as text.
fn table(pack: &[u8], name: &str) -> String {
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(pack)).expect("an archive");
    let names: Vec<String> =
        archive.file_names().map(|name| name.expect("a name").into_owned()).collect();
    let file = names.iter().find(|file| file.ends_with(name));
    let mut text = String::new();
    let mut file = archive.by_name(file.expect(name)).expect(name);
    std::io::Read::read_to_string(&mut file, &mut text).expect("text");
    text
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_chosen_read_and_agreed_to_stands_in_the_pack_once() {
    let rated = BENCH.replace("[devices]", "[workshop]\nhour = \"60 EUR\"\n[readings]\nr1 = \"on: 12.1 V between house.+ and house.-\"\n[devices]");
    let bay = Bay::with(&[("bench", &rated)]);
    let offers = &bay.state.open("bench").expect("the case").study.mends().offers.clone();
    let line = offers.iter().find(|offer| offer.id == ID).expect("the offer").line.clone();
    bay.enter("bench", &[("kind", "line"), ("section", "mends"), ("text", &line)]).await;
    for (step, reading) in [(OVER, "0.5 mV"), ("again r1", "12.34 V")] {
        let tick = [
            ("kind", "tick"),
            ("list", "proof"),
            ("step", step),
            ("done", "yes"),
            ("reading", reading),
        ];
        bay.enter("bench", &tick).await;
    }
    let yes = [
        ("kind", "authority"),
        ("to", ID),
        ("by", "the owner"),
        ("how", "by message"),
        ("up_to", "480 EUR"),
        ("words", "do it"),
        ("given", "yes"),
    ];
    bay.enter("bench", &yes).await;

    let pack = bay.bytes("/case/bench/pack.zip").await;
    assert!(table(&pack, "mends.csv").contains(ID));
    let proofs = table(&pack, "proofs.csv");
    let over = proofs.lines().find(|row| row.contains("0.5 mV")).expect("the proof of the repair");
    assert!(over.contains("pass") && over.contains("w2 at heater.+"), "{over}");
    let again = proofs.lines().find(|row| row.contains("12.34 V")).expect("the reading of before");
    assert!(again.contains("without a limit") && again.contains("house.+ to house.-"), "{again}");
    assert!(!again.contains("pass"), "no limit, no verdict: {again}");
    let agreed = table(&pack, "authority.csv");
    assert_eq!(agreed.matches("do it").count(), 1, "{agreed}");
    assert!(agreed.contains(ID) && agreed.contains("480.00 EUR") && agreed.contains("by message"));
    let page = bay.worked("/case/bench/put-right").await;
    assert!(!page.contains("nobody has agreed to it yet"), "the price knows of the yes");
}

/// What was switched off and shows 12.4 V is no step that is done: the work stops, and nothing live is
/// asked for until it is cleared.
#[tokio::test(flavor = "multi_thread")]
async fn a_dead_test_that_shows_volts_stops_the_proof() {
    let bay = Bay::with(&[("dunlin", DUNLIN)]);
    let read = |reading: &'static str| {
        let step = "dead solar-switch.out";
        [("kind", "tick"), ("list", "proof"), ("step", step), ("done", "yes"), ("reading", reading)]
    };
    for (reading, is_live) in [("12.4", true), ("12.4 V", true), ("0.02", false), ("a bit", false)]
    {
        bay.enter("dunlin", &read(reading)).await;
        let page = bay.page("/case/dunlin/prove").await;
        let says = ["where it should be dead", "Held: what should be dead is live."];
        assert_eq!(says.map(|words| page.contains(words)), [is_live; 2], "{reading}: {page}");
        // What could not be read is not done either.
        assert_eq!(page.contains(">pass<"), reading == "0.02", "{reading}");
    }
}

/// A danger that was answered yes on arrival stands on every station until the answer changes.
#[tokio::test(flavor = "multi_thread")]
async fn a_smell_of_gas_is_told_on_every_station() {
    let bay = Bay::with(&[("dunlin", DUNLIN)]);
    let asked = "Does it smell of gas, or is a gas alarm sounding?";
    for (answer, is_told) in [("yes", true), ("no", false)] {
        let words = format!("{asked} {answer}");
        bay.enter("dunlin", &[("kind", "note"), ("on", "triage"), ("words", &words)]).await;
        for station in ["dead", "found", "put-right", "prove"] {
            let page = bay.page(&format!("/case/dunlin/{station}")).await;
            let told = page.contains("Nothing is switched on or off, no flame.");
            assert_eq!(told, is_told, "{answer}, {station}");
        }
    }
}
