//! Proof sheets: what refutes a repair is on them, in the right order, and decides as it should.

use std::collections::BTreeMap;

use analysis::{Case, PriceAsked, ProofRow, ProofSheet};

/// A battery, a fuse and a pump on a bad lug, small enough to be worked out by hand: 12 V at rest,
/// a heater of 120 W at 12 V (1.2 Ohm), its lug 100 mOhm.
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
[mends]
remake = { words = "Remake it", sets = { "joints.w2 at heater.+" = "lug, good" }, was = { "joints.w2 at heater.+" = "lug, corroded, measured 100 mOhm" } }
"#;

fn sheet(text: &str, entered: &[(&str, &str)]) -> ProofSheet {
    let entered: BTreeMap<String, String> =
        entered.iter().map(|(key, read)| ((*key).to_owned(), (*read).to_owned())).collect();
    Case::of(text).proof_and_suspects(&entered)
}

fn row<'s>(sheet: &'s ProofSheet, key: &str) -> &'s ProofRow {
    let keys: Vec<&str> = sheet.rows.iter().map(|row| row.key.as_str()).collect();
    sheet.rows.iter().find(|row| row.key == key).unwrap_or_else(|| panic!("{key}: {keys:?}"))
}

const OVER: &str = "over w2 at heater.+";

#[test]
fn dead_tests_stand_before_live_tests() {
    let sheet = sheet(BENCH, &[]);
    let phases: Vec<&str> = sheet.rows.iter().map(|row| row.phase.as_str()).collect();
    let first_live = phases.iter().position(|phase| *phase == "live").expect("live tests");
    assert!(first_live > 0, "{phases:?}");
    assert!(phases[first_live..].iter().all(|phase| *phase == "live"), "{phases:?}");
    assert!(sheet.faults.is_empty(), "{:?}", sheet.faults);
    let over = row(&sheet, OVER);
    assert_eq!((over.state.as_str(), over.asks.as_str()), ("on", "reading"));
    assert!(over.cautions.iter().any(|caution| caution.words.contains("live")));
}

/// About 10 A flow (12.6 V over 1.2 Ohm); a lug as bad as before drops 1 V: far above any limit of the
/// trade (0.1 V across a connection). What a lug of a fraction of a milliohm drops passes.
#[test]
fn a_lug_as_bad_as_before_fails_and_a_good_one_passes() {
    let bad = sheet(BENCH, &[(OVER, "0.95 V")]);
    assert_eq!(row(&bad, OVER).verdict, "fail");
    let good = sheet(BENCH, &[(OVER, "0.5 mV")]);
    assert_eq!(row(&good, OVER).verdict, "pass", "{:?}", row(&good, OVER));
    assert!(good.reopened.is_none());
}

#[test]
fn a_reading_on_the_limit_is_taken_again() {
    let limit = row(&sheet(BENCH, &[]), OVER).decides.clone();
    // `pass up to X, fail from Y`: what lies between them decides nothing.
    let numbers: Vec<f64> =
        limit.split(&[' ', ','][..]).filter_map(|word| word.parse().ok()).collect();
    let [pass, fail, ..] = numbers.as_slice() else { panic!("{limit}") };
    assert!(pass < fail, "{limit}");
    let between = format!("{} mV", (pass + fail) / 2.0);
    assert_eq!(row(&sheet(BENCH, &[(OVER, &between)]), OVER).verdict, "repeat", "{limit}");
}

#[test]
fn a_failed_proof_reopens_the_search_with_its_reading() {
    let failed = sheet(BENCH, &[(OVER, "0.95 V")]);
    let view = failed.reopened.as_ref().expect("suspects");
    let first = view.rows.first().expect("a suspect");
    assert!(first.words.iter().any(|words| words.contains("w2")), "{first:?}");
}

#[test]
fn what_cannot_be_proved_is_named() {
    let unknown = sheet(BENCH, &[("over w9 at nowhere", "3 mV")]);
    assert!(unknown.faults[0].contains("over w9 at nowhere"), "{:?}", unknown.faults);
    let unread = sheet(BENCH, &[(OVER, "a lot")]);
    assert_eq!(row(&unread, OVER).verdict, "");
    assert!(row(&unread, OVER).words.contains("a lot"));
    // Somebody has changed the joint since the repair was chosen.
    let changed =
        BENCH.replacen("lug, corroded, measured 100 mOhm\"\n[states]", "lug, loose\"\n[states]", 1);
    let refused = sheet(&changed, &[]);
    assert!(
        refused.faults[0].contains("remake") && refused.faults[0].contains("loose"),
        "{:?}",
        refused.faults
    );
    assert!(refused.rows.is_empty());
    let none = sheet(&BENCH.replace("[mends]", "[photos]"), &[]);
    assert!(none.faults[0].contains("[mends]"), "{:?}", none.faults);
}

/// A reading is proof only where its note says so: one taken before the repair is none.
#[test]
fn readings_of_the_record_prove_only_where_they_say_so() {
    let with = |note: &str| {
        format!(
            "{BENCH}[readings]\nr1 = \"on: 0.5 mV over w2 at heater.+, millivolt range{note}\"\n"
        )
    };
    assert_eq!(row(&sheet(&with(", proof"), &[]), OVER).verdict, "pass");
    assert_eq!(row(&sheet(&with(""), &[]), OVER).verdict, "");
}

#[test]
fn a_new_fuse_is_proved_by_what_is_left_behind_it() {
    let text = BENCH.replace(
        "[mends]",
        "[mends]\nfuse-w1 = { words = \"a fuse\", adds = { \"devices.new-fuse\" = \"{ kind = \\\"strip fuse\\\", rated = \\\"30 A\\\" }\" }, sets = { \"wires.w3\" = \"heater.- to new-fuse.in, 10 mm2, 2 m, fine, 90 C\" }, was = { \"wires.w3\" = \"heater.- to house.-, 10 mm2, 2 m, fine, 90 C\" } }\n",
    );
    let sheet = sheet(&text, &[("look new-fuse", "no")]);
    let look = row(&sheet, "look new-fuse");
    assert_eq!((look.phase.as_str(), look.verdict.as_str()), ("dead", "fail"));
    assert!(look.expected.contains("30 A"), "{look:?}");
}

/// What only a look shows is asked by a look: nobody takes a wire's ends off to prove a grommet.
#[test]
fn what_is_seen_is_proved_by_a_look() {
    let text = BENCH
        .replace("w3 = \"heater.- to house.-, 10 mm2,", "w3 = \"heater.- to house.-, no grommet, 10 mm2,")
        .replace("[mends]\n", "[mends]\ngrommet-w3 = { words = \"a grommet\", sets = { \"wires.w3\" = \"heater.- to house.-, 10 mm2, 2 m, fine, 90 C, grommets\" }, was = { \"wires.w3\" = \"heater.- to house.-, no grommet, 10 mm2, 2 m, fine, 90 C\" } }\n");
    let asked = |text: &str| {
        let sheet = sheet(text, &[("look along w3", "yes")]);
        let look = row(&sheet, "look along w3").clone();
        assert_eq!((look.asks.as_str(), look.verdict.as_str()), ("look", "pass"));
        assert_eq!(look.expected, "grommets");
        assert!(sheet.rows.iter().all(|row| row.key != "continuity w3"));
    };
    asked(&text);
    // Once it is written into the record, what was proved stays proved.
    let done = text.replace(
        "w3 = \"heater.- to house.-, no grommet, 10 mm2, 2 m, fine, 90 C\"",
        "w3 = \"heater.- to house.-, 10 mm2, 2 m, fine, 90 C, grommets\"",
    );
    assert_ne!(done, text);
    asked(&done);
}

/// A state that cannot be: the record asks for one that no circuit can settle in. Two ideal sources of
/// different voltage cannot be joined; here the state is not in the record at all.
#[test]
fn a_proof_in_a_state_that_is_not_there_is_named_and_the_rest_is_used() {
    let text = BENCH.replace(
        "[mends]",
        "[readings]\nr1 = \"flying: 0.5 mV over w2 at heater.+, millivolt range, proof\"\n[mends]",
    );
    let case = Case::of(&text);
    assert!(
        case.record_faults().iter().any(|fault| fault.message.contains("flying")),
        "{:?}",
        case.record_faults()
    );
    assert_eq!(row(&sheet(&text, &[(OVER, "0.5 mV")]), OVER).verdict, "pass");
}

/// Work that is done as computed is proved by what was computed: no row of the examples calls its own
/// expected value a failure, or leaves it undecided, unless the instrument cannot tell.
#[test]
fn what_is_expected_passes() {
    for (name, text) in testkit::SHIPPED {
        let case = Case::of(text);
        let all = case.price(&PriceAsked::default()).expect("a price");
        let most = all.choices.iter().max_by_key(|choice| choice.repairs.len()).expect("a choice");
        let taken = case.mends().offers.iter().filter(|offer| most.repairs.contains(&offer.id));
        let chosen = taken.fold(text.to_owned(), |text, offer| {
            let (section, line) = ("mends".to_owned(), offer.line.clone());
            analysis::with_line(&text, &analysis::RecordLine { section, line })
        });
        let blank = Case::of(&chosen).proof(&BTreeMap::new());
        let readings =
            blank.rows.iter().filter(|row| row.asks == "reading" && row.words.is_empty());
        let entered: BTreeMap<String, String> =
            readings.map(|row| (row.key.clone(), row.expected.clone())).collect();
        let read = Case::of(&chosen).proof(&entered);
        for row in read.rows.iter().filter(|row| entered.contains_key(&row.key)) {
            assert_eq!(row.verdict, "pass", "{name}: {row:?}");
        }
    }
}

/// A charger with a bad joint in its feed is read while it charges, not while the engine is off.
#[test]
fn volts_at_a_charger_are_read_while_it_runs() {
    let case = Case::of(testkit::DUNLIN);
    let chosen = case.with_chosen("remake-c3-at-bracket").expect("an offer");
    let sheet = Case::of(&chosen).proof(&BTreeMap::new());
    let at = sheet.rows.iter().find(|row| row.key == "at charger");
    assert!(at.is_none_or(|row| row.state == "driving"), "{at:?}");
}

/// Tarn's two blocks stand in a row, 24 V: what its fridge has to have is not told from one block of 12 V.
/// By hand: rested lead blocks have some 12.6 V, two of them 25.2 V, so the limit lies above 20 V.
#[test]
fn the_limit_at_a_load_is_told_from_the_row_of_batteries_that_feeds_it() {
    let (_, text) = testkit::SHIPPED.iter().find(|(name, _)| *name == "Tarn").expect("it");
    let case = Case::of(text);
    let chosen = Case::of(&case.with_chosen("feed-4-fridge").expect("an offer"));
    let entered = [("at fridge".to_owned(), "20 V".to_owned())].into();
    let sheet = chosen.proof(&entered);
    let row = sheet.rows.iter().find(|row| row.key == "at fridge").expect("a row");
    assert_eq!(row.verdict, "fail", "{row:?}");
}

/// Two fuses in two leads of one post: both are chosen, both are proved.
#[test]
fn repairs_on_one_stud_are_proved_together() {
    let (_, text) = testkit::SHIPPED.iter().find(|(name, _)| *name == "Bracken").expect("it");
    let mut case = Case::of(text);
    for id in ["fuse-c2", "fuse-s1", "restack-house-1-plus", "restack-house-1-minus", "land-g1"] {
        case = Case::of(&case.with_chosen(id).expect("an offer"));
    }
    let sheet = case.proof(&std::collections::BTreeMap::new());
    assert_eq!(sheet.mends.len(), 5, "{:?}", sheet.faults);
    assert!(sheet.faults.iter().all(|fault| !fault.contains("not proved")), "{:?}", sheet.faults);
    let refused = case.with_chosen("remake-c2-at-house-1-plus").expect_err("its end is cut off");
    assert!(refused.contains("fuse-c2"), "{refused}");
}
