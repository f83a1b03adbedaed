//! The search for a fault: what answers are understood, what they leave in the record, and that the
//! record holds all there is.

use analysis::{Case, NextView, Search, SuspectsView, with_line};

/// A dark lamp beside a second load; the lamp and its minus joint lie behind a panel.
const VAN: &str = r#"unbury = 1
[vehicle]
name = "Bench"
region = "europe"
system = "12 V"
[devices]
house = { kind = "lfp battery", holds = "100 Ah", resistance = "5 mOhm", rest = "13.2 V", behind = "nothing" }
dist = { kind = "blade fuse box", ways = ["10 A heat", "10 A light"], behind = "nothing" }
pad = { kind = "heater", power = "48 W", behind = "nothing" }
lamp = { kind = "led lights", power = "24 W", behind = "panel" }
rail = { kind = "busbar", behind = "nothing" }
[wires]
w1 = "house.+ to dist.in, 16 mm2, 1 m, stranded"
w2 = "dist.1 to pad.+, 1.5 mm2, 5 m, stranded"
w3 = "pad.- to rail, 1.5 mm2, 5 m, stranded"
w4 = "dist.2 to lamp.+, 1.5 mm2, 5 m, stranded"
w5 = "lamp.- to rail, 1.5 mm2, 5 m, stranded"
w6 = "rail to house.-, 16 mm2, 1 m, stranded"
[parts]
panel = { is = "panel", out = "10 min", back = "5 min" }
[states]
evening = { on = ["pad", "lamp"], charge = { house = "60 %" } }
[symptoms]
dark = { words = "It is dark.", device = "lamp", state = "evening", shows = "told dead" }
"#;

/// What a card asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Sort {
    Volts,
    Amperes,
    Words,
    Look,
}

fn sort(view: &NextView) -> Option<Sort> {
    let answer = &view.check.as_ref()?.answer;
    Some(match () {
        () if answer.starts_with("volts") => Sort::Volts,
        () if answer.starts_with("amperes") => Sort::Amperes,
        () if answer.starts_with("`good`") => Sort::Look,
        () => Sort::Words,
    })
}

fn written(lines: &[analysis::RecordLine], text: &str) -> String {
    lines.iter().fold(text.to_owned(), |text, line| with_line(&text, line))
}

fn faults(text: &str) -> Vec<String> {
    let record = record::read(text, &catalog::Catalog::embedded());
    record.diagnostics.iter().map(|fault| fault.message.clone()).collect()
}

#[track_caller]
fn same_suspects(a: &SuspectsView, b: &SuspectsView) {
    assert_eq!((a.weighed, a.rows.len()), (b.weighed, b.rows.len()));
    for (here, there) in a.rows.iter().zip(&b.rows) {
        assert_eq!(here.words, there.words);
        assert!((here.probability - there.probability).abs() < 1e-9, "{here:?} {there:?}");
    }
    assert!((a.not_in_record - b.not_in_record).abs() < 1e-9);
}

fn good_answer(sort: Sort) -> &'static str {
    match sort {
        Sort::Volts => "13.05 V",
        Sort::Amperes => "0 A",
        Sort::Words => "works",
        Sort::Look => "good",
    }
}

fn bad_answers(sort: Sort) -> &'static [&'static str] {
    match sort {
        Sort::Volts => &["11.93 A", "much", "120 V", "nan", "inf", "", "dead", "1e9", "12 V 3"],
        Sort::Amperes => &["11.93 V", "much", "99999 A", "nan", "", "dead"],
        Sort::Words => &["11.93 V", "darkish", "", "good", "not"],
        Sort::Look => &["11.93 V", "so so", "", "dead", "worse"],
    }
}

/// Every answer of a search that is led astray: what is no answer changes nothing, undo gives back
/// the same card, and the record with the lines added says the same to a search that starts on it.
#[test]
fn the_lines_of_the_record_are_the_search() {
    let mut met = Vec::new();
    for volts in ["13.05 V", "0.4 V", "-12.9"] {
        let case = Case::of(VAN);
        let list = case.suspect_list();
        met.extend(led_by(volts, case.search(&list)));
    }
    assert!(met.len() > 3 && met.contains(&Sort::Volts), "{met:?}");
}

/// The sorts of cards met when every reading of volts is this.
fn led_by(volts: &str, mut search: Search<'_>) -> Vec<Sort> {
    let good_answer = |sort| if sort == Sort::Volts { volts } else { good_answer(sort) };
    let mut met = Vec::new();
    for step in 0..5 {
        let view = search.next_step();
        let Some(sort) = sort(&view) else { break };
        met.push(sort);
        for bad in bad_answers(sort) {
            let said = search.answer(0, bad);
            assert!(said.is_err(), "{sort:?} took `{bad}`: {said:?}");
        }
        if step < 2 {
            assert_eq!(search.next_step(), view, "a refused answer changed something");
            let said = search.answer(0, good_answer(sort));
            assert!(said.is_ok(), "{said:?}");
            assert!(search.undo());
            assert_eq!(search.next_step(), view, "undo did not give the card back");
        }
        let kept = search.answer(0, good_answer(sort)).expect("an answer");
        assert!(search.record_lines().iter().any(|line| line.line == kept), "{kept}");
        let text = written(&search.record_lines(), VAN);
        assert_eq!(faults(&text), Vec::<String>::new(), "{text}");
        resumed(&mut search, &text);
    }
    assert_eq!(search.record_lines().len(), met.len());
    met
}

/// A search that starts on the record stands where the other does.
#[track_caller]
fn resumed(search: &mut Search<'_>, text: &str) {
    let case = Case::of(text);
    let list = case.suspect_list();
    let (here, there) = (search.next_step(), case.search(&list).next_step());
    same_suspects(&here.suspects, &there.suspects);
    let card = |view: &NextView| view.check.as_ref().map(|card| card.title.clone());
    assert_eq!((here.kind.clone(), card(&here)), (there.kind.clone(), card(&there)));
    assert!((here.minutes - there.minutes).abs() < 1e-6, "{} {}", here.minutes, there.minutes);
}

#[test]
fn nothing_is_taken_back_before_an_answer() {
    let case = Case::of(VAN);
    let list = case.suspect_list();
    let mut search = case.search(&list);
    assert!(!search.undo());
    assert!(search.answer(0, "13 V").is_err(), "no card was shown yet");
    assert_eq!(search.record_lines(), []);
}

/// Brings a search to a card of volts by telling the truth about the lamp's neighbour.
fn to_volts(search: &mut Search<'_>) -> NextView {
    for _ in 0..4 {
        let view = search.next_step();
        match sort(&view).expect("a check") {
            Sort::Volts => return view,
            sort => search.answer(0, good_answer(sort)).expect("an answer"),
        };
    }
    panic!("no card of volts")
}

#[test]
fn volts_are_understood_as_a_technician_writes_them() {
    let case = Case::of(VAN);
    let list = case.suspect_list();
    for (answer, value) in
        [("11.93", 11.93), ("11.93 V", 11.93), (" 85 mV ", 0.085), ("-0.2", -0.2), ("0", 0.0)]
    {
        let mut search = case.search(&list);
        to_volts(&mut search);
        let kept = search.answer(0, answer).unwrap_or_else(|no| panic!("{answer}: {no}"));
        let text = written(&search.record_lines(), VAN);
        let vehicle = record::read(&text, &catalog::Catalog::embedded()).vehicle;
        let last = vehicle.readings.last().expect("a reading");
        assert!((last.value - value).abs() < 1e-12, "{answer}: {kept}");
    }
}

#[test]
fn a_place_out_of_reach_is_kept_in_one_list_and_not_asked_for_again() {
    let case = Case::of(VAN);
    let list = case.suspect_list();
    let mut search = case.search(&list);
    let (mut text, mut titles) = (VAN.to_owned(), Vec::new());
    for _ in 0..4 {
        let view = search.next_step();
        let Some(sort) = sort(&view) else { break };
        let title = view.check.expect("a check").title;
        assert!(!titles.contains(&title), "{title} again");
        titles.push(title);
        let answer = if sort == Sort::Volts { "cannot reach" } else { good_answer(sort) };
        search.answer(0, answer).expect("an answer");
        text = written(&search.record_lines(), VAN);
        assert_eq!(faults(&text), Vec::<String>::new(), "{text}");
        resumed(&mut search, &text);
    }
    assert!(text.matches("not_reached").count() <= 1, "{text}");
}

#[test]
fn readings_that_cannot_both_be_are_named() {
    let text = format!(
        "{VAN}[readings]\nfirst = \"evening: 13.1 V between dist.2 and house.-, multimeter\"\n\
         second = \"evening: 0.0 V between dist.2 and house.-, multimeter\"\n\
         third = \"evening: 120 V between dist.1 and house.-, multimeter\"\n"
    );
    let case = Case::of(&text);
    let list = case.suspect_list();
    let view = case.search(&list).suspects();
    let says = |parts: &[&str]| view.warnings.iter().any(|w| parts.iter().all(|p| w.contains(p)));
    assert!(says(&["`first`", "`second`", "13.1 V"]), "{:?}", view.warnings);
    assert!(says(&["`third`", "left out"]), "{:?}", view.warnings);
    assert!(!view.rows.is_empty());
    let sum: f64 = view.rows.iter().map(|row| row.probability).sum();
    assert!((sum + view.others + view.not_in_record - 1.0).abs() < 1e-9);
}

#[test]
fn another_symptom_is_not_weighed_when_only_one_is_asked_about() {
    let text = format!(
        "{}late = {{ on = [\"pad\"], charge = {{ house = \"60 %\" }} }}\n[symptoms]\n{}cold = {{ words = \
         \"It is cold.\", device = \"pad\", state = \"late\", shows = \"seen dead\" }}\n",
        VAN.split_once("[symptoms]\n").expect("symptoms").0,
        VAN.split_once("[symptoms]\n").expect("symptoms").1,
    );
    let case = Case::of(&text);
    let list = case.suspect_list();
    let mut search = case.search(&list);
    assert_eq!(search.suspects().weighed, 2);
    assert_eq!(search.only_about("drak"), Err(vec!["dark".to_owned(), "cold".to_owned()]));
    search.only_about("dark").expect("a symptom with a state");
    assert_eq!(search.suspects().weighed, 1);
    // What is answered on the way counts, in whatever state.
    let before = search.suspects().weighed;
    let view = search.next_step();
    search.answer(0, good_answer(sort(&view).expect("a check"))).expect("an answer");
    assert_eq!(search.suspects().weighed, before + 1);
}

/// No volts behind the lamp's fuse and all of them before it.
fn blown() -> String {
    format!(
        "{}[readings]\nbehind = \"evening: 0.01 V between dist.2 and house.-, multimeter\"\n\
         before = \"evening: 13.1 V between dist.in and house.-, multimeter\"\n",
        VAN.replace("told dead", "seen dead")
    )
}

/// The fuse was renewed, and the lamp is weak now: what was read before is about another vehicle.
#[test]
fn after_a_repair_that_changed_something_only_what_is_observed_anew_counts() {
    let text = blown();
    let case = Case::of(&text);
    let list = case.suspect_list();
    let mut search = case.search(&list);
    assert!(search.changed("weak").is_err(), "no card was shown yet");
    let view = search.next_step();
    let repair = view.repair.clone().expect("a repair");
    assert_eq!(repair.complained_of, ["lamp in evening"]);
    let why = search.changed("").expect_err("it is not said what it does now");
    assert!(why.contains("lamp in evening"), "{why}");
    assert!(search.changed("wobbly").expect_err("no word").contains("`wobbly`"));
    let kept = search.changed("weak").expect("a repair that changed something");
    let line = repair.changed.expect("a line").line;
    assert!(kept.starts_with(&line) && line.contains(": behind, before, "), "{kept}");
    let after = search.next_step();
    assert_eq!(after.suspects.weighed, 1, "only that it is weak");
    let words = after.suspects.rows.iter().flat_map(|row| &row.words);
    assert_eq!(words.filter(|words| words.starts_with("fuse 2")).count(), 0);
    let text = written(&search.record_lines(), &text);
    assert_eq!(faults(&text), Vec::<String>::new(), "{text}");
    same_suspects(&after.suspects, &Case::of(&text).suspects());
    assert!(search.undo());
    assert_eq!(search.next_step(), view);
}

/// The fuse's repair is due. Where it did not help, something else has to be wrong.
#[test]
fn a_repair_that_did_not_cure_is_kept_and_no_longer_suspected() {
    let text = blown();
    let case = Case::of(&text);
    let list = case.suspect_list();
    let mut search = case.search(&list);
    assert_eq!(search.no_cure(), None, "no card was shown yet");
    let view = search.next_step();
    let repair = view.repair.clone().expect("a repair");
    assert!(repair.title.starts_with("fuse 2"), "{}", repair.title);
    let kept = search.no_cure().expect("a repair that can fail");
    assert_eq!(repair.no_cure.map(|line| line.line), Some(kept));
    let after = search.next_step();
    let words = after.suspects.rows.iter().flat_map(|row| &row.words);
    let of_fuse = words.filter(|words| words.starts_with("fuse 2")).count();
    assert_eq!(of_fuse, 0, "{:?}", after.suspects.rows);
    let warned = after.suspects.warnings.iter().any(|w| w.starts_with("put right"));
    assert!(warned, "{:?}", after.suspects.warnings);
    let text = written(&search.record_lines(), &text);
    assert_eq!(faults(&text), Vec::<String>::new(), "{text}");
    same_suspects(&after.suspects, &Case::of(&text).suspects());
    assert!(search.undo());
    assert_eq!(search.next_step(), view);
}

/// What is off does nothing by the record either: that says nothing of a fault.
#[test]
fn a_symptom_of_what_is_not_on_is_doubted_and_ends_no_search() {
    let off = VAN.replace(r#"on = ["pad", "lamp"]"#, r#"on = ["pad"]"#);
    let case = Case::of(&off);
    let list = case.suspect_list();
    let mut search = case.search(&list);
    assert_eq!(search.next_step().kind, "not enough");
    let warnings = search.suspects().warnings;
    let told = warnings.iter().any(|words| words.contains("lamp is not on in state evening"));
    assert!(told, "{warnings:?}");
    let on = Case::of(VAN);
    let list = on.suspect_list();
    let warnings = on.search(&list).suspects().warnings;
    assert!(warnings.iter().all(|words| !words.contains("is not on")), "{warnings:?}");
}

/// The lamp has volts and does not burn: it is broken. A thicker wire at the battery has nothing to do with
/// it, though a bad one could have darkened the lamp.
#[test]
fn a_repair_that_has_nothing_to_do_with_the_fault_keeps_what_was_observed() {
    let at_the_lamp =
        "[readings]\nlamp-volts = \"evening: 12.9 V ± 0.05 V between lamp.+ and lamp.-\"\n";
    let thicker = "[mends]\nthicker = { words = \"put in a thicker w1\", sets = { \"wires.w1\" = \"house.+ to dist.in, 25 mm2, 1 m, stranded\" } }\n";
    let text = format!("{VAN}{at_the_lamp}{thicker}");
    let case = Case::of(&text);
    assert_eq!(case.review().record_faults, []);
    assert_eq!(case.observed_before("thicker"), None);
    // Nothing was read: then the wire may have been it, and the complaint is told anew.
    let unread = Case::of(&format!("{VAN}{thicker}"));
    let laid_aside = unread.observed_before("thicker").expect("the complaint");
    assert_eq!(laid_aside.line, "changed = [\"w1: dark\"]");
}
