//! What the finished file holds, read back with poppler's `pdftotext` and `pdfinfo`, which know
//! nothing of how it was made.

mod fixture;

use std::path::PathBuf;
use std::process::{Command, Output};
use std::sync::LazyLock;

use analysis::{FindingView, Review};
use report::{Content, Options, Paper, ReportError};
use wording::{Language, Texts};

fn dated(paper: Paper) -> Options {
    Options { paper, dated: Some("25 November 2026".to_owned()) }
}

/// The report of a review in English.
fn pdf(review: &Review, options: &Options) -> Result<Vec<u8>, ReportError> {
    let (texts, handover) = (Texts::of(Language::English), fixture::handover());
    report::pdf(&Content::of(&texts, review, &handover), options)
}

fn poppler(tool: &str, arguments: &[&str], file: &PathBuf, after: &[&str]) -> Output {
    let made = Command::new(tool).args(arguments).arg(file).args(after).output();
    made.unwrap_or_else(|fault| {
        panic!("`{tool}` cannot be started ({fault}). It is part of poppler-utils; `cargo xtask test` sets it up.")
    })
}

/// The whole vehicle on both sheets and the empty record, each set in type once for all tests.
static HERON_A4: LazyLock<ReadBack> = LazyLock::new(|| ReadBack::of("heron-a4", heron(Paper::A4)));
static HERON_LETTER: LazyLock<ReadBack> =
    LazyLock::new(|| ReadBack::of("heron-letter", heron(Paper::Letter)));
static EMPTY: LazyLock<ReadBack> = LazyLock::new(|| {
    ReadBack::of("empty", pdf(&fixture::empty(), &Options::default()).expect("nothing can be set"))
});

fn heron(paper: Paper) -> Vec<u8> {
    pdf(&fixture::heron(), &dated(paper)).expect("the vehicle can be set")
}

/// A file with its text and facts, as another program reads them.
struct ReadBack {
    bytes: Vec<u8>,
    text: String,
    facts: String,
}

impl ReadBack {
    fn of(name: &str, bytes: Vec<u8>) -> Self {
        let file = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.pdf"));
        std::fs::write(&file, &bytes).expect("the test folder can be written");
        let text = poppler("pdftotext", &["-enc", "UTF-8"], &file, &["-"]);
        let facts = poppler("pdfinfo", &[], &file, &[]);
        assert!(text.status.success() && facts.status.success(), "poppler rejects the file");
        Self {
            bytes,
            text: String::from_utf8(text.stdout).expect("asked for UTF-8"),
            facts: String::from_utf8(facts.stdout).expect("prints UTF-8"),
        }
    }

    /// All words in one line, as breaking points in long names and lines do not matter.
    fn words(&self) -> String {
        flat(&self.text)
    }

    fn fact(&self, name: &str) -> &str {
        let line = self.facts.lines().find(|line| line.starts_with(name));
        line.and_then(|line| line.split_once(':')).map_or("", |(_, value)| value.trim())
    }

    fn pages(&self) -> usize {
        self.fact("Pages").parse().expect("pdfinfo counts pages")
    }
}

/// Text without spaces, line ends, breaking points and backticks; without hyphens too, as
/// `pdftotext` takes a hyphen at a line end for a divided word.
fn flat(text: &str) -> String {
    let kept = |c: &char| !c.is_whitespace() && !['\u{200b}', '`', '-'].contains(c);
    text.chars().filter(kept).collect()
}

fn page(read: &ReadBack, number: usize) -> String {
    flat(read.text.split('\u{c}').nth(number - 1).expect("the page is there"))
}

/// A finding of a check of its own.
fn another(number: usize, signal: &str) -> FindingView {
    let mut finding = fixture::heron().findings.remove(0);
    finding.check = format!("check-{number}");
    finding.title = format!("Another defect, number {number}");
    finding.message = format!("Wire x{number} has a defect of its own.");
    finding.place.name = format!("wire x{number}");
    finding.signal = signal.to_owned();
    // Page one does not show these.
    finding.evidence.clear();
    finding.access = None;
    finding
}

/// Words of page one between two of its headings.
fn between<'a>(first: &'a str, from: &str, to: &str) -> &'a str {
    let start = first.find(from).unwrap_or_else(|| panic!("no `{from}` on page one"));
    let end = first[start..].find(to).unwrap_or_else(|| panic!("no `{to}` after `{from}`"));
    &first[start..start + end]
}

#[test]
fn page_one_tells_the_vehicle_the_complaint_and_every_danger_and_warning() {
    let review = fixture::heron();
    for read in [&*HERON_A4, &*HERON_LETTER] {
        let first = page(read, 1);
        let grave = |f: &&FindingView| ["DANGER", "WARNING"].contains(&f.signal.as_str());
        let messages = review.findings.iter().filter(grave).map(|finding| &finding.message);
        for wanted in [&review.vehicle.name, &review.vehicle.complaint].into_iter().chain(messages)
        {
            assert!(first.contains(&flat(wanted)), "page one does not hold: {wanted}");
        }
        assert!(
            first.contains("DANGER") && first.contains("Localcodesandlicensedpracticecomefirst")
        );
        assert!(first.contains("findsnorest"), "page one does not say that a state hunts");
        assert!(
            first.contains(&format!("1of{}", read.pages())),
            "page one does not end on page one"
        );
    }
}

#[test]
fn a_crowded_page_one_stays_one_page_and_names_fourteen_dangers() {
    let mut review = fixture::small();
    review.findings = fixture::heron().findings.split_off(3);
    let dangers = (0..8).map(|n| another(n, "DANGER"));
    review.findings.extend(dangers.chain((8..14).map(|n| another(n, "WARNING"))));
    review.findings.extend((14..17).map(|n| another(n, "CAUTION")));
    review.cautions.extend(review.cautions.clone());
    review.cannot_tell.extend(review.cannot_tell.clone());
    for paper in [Paper::A4, Paper::Letter] {
        let read = ReadBack::of("crowded", pdf(&review, &dated(paper)).unwrap());
        let first = page(&read, 1);
        assert!(first.contains("nderstoodofthevehicle"), "the figures fell off page one");
        for number in 0..14 {
            assert!(first.contains(&format!("Wirex{number}has")), "no wire x{number} on page one");
        }
        assert!(first.contains("and4more(3CAUTION,1NOTICE)frompage"), "the rest is not counted");
    }
}

#[test]
fn more_dangers_than_a_page_can_hold_are_counted_on_page_one() {
    let mut review = fixture::small();
    review.findings = (0..20).map(|n| another(n, "DANGER")).collect();
    let read = ReadBack::of("too-many", pdf(&review, &dated(Paper::Letter)).unwrap());
    let first = page(&read, 1);
    assert!(first.contains("nderstoodofthevehicle"), "the figures fell off page one");
    assert!(first.contains("and6more(6DANGER)frompage"), "the rest is not counted: {first}");
}

#[test]
fn one_defect_at_many_places_is_told_once_with_every_place() {
    let mut review = fixture::small();
    let finding = review.findings[0].clone();
    review.findings = vec![finding.clone(); 7];
    for (at, finding) in review.findings.iter_mut().enumerate() {
        finding.place.name = format!("lug_{at}");
        finding.place.line = 700 + at;
    }
    let read = ReadBack::of("places", pdf(&review, &dated(Paper::A4)).unwrap());
    let first = page(&read, 1);
    assert_eq!(between(&first, "Dangers", "Untilitismended").matches("DANGER").count(), 1);
    assert!(first.contains("7places"));
    let words = read.words();
    // What can happen stands on page one too, once for the defect.
    assert_eq!(words.matches(&flat(&finding.hazard)).count(), 2, "{}", finding.hazard);
    for once in [&finding.message, &finding.remedy, &finding.evidence[2]] {
        assert_eq!(words.matches(&flat(once)).count(), 1, "not told once: {once}");
    }
    for at in 0..7 {
        assert!(words.contains(&format!("lug_{at}")) && words.contains(&format!("70{at}")));
    }
}

#[test]
fn two_places_with_one_defect_share_a_line_on_page_one() {
    let mut review = fixture::small();
    review.findings.truncate(2);
    review.findings[1].place.name = "w6".to_owned();
    let read = ReadBack::of("pair", pdf(&review, &dated(Paper::A4)).unwrap());
    let line = flat("A cable between two batteries has a fuse at one end only: w5, w6");
    assert!(page(&read, 1).contains(&line));
}

#[test]
fn what_starves_a_device_leads_what_the_sums_say() {
    let mut review = fixture::small();
    let mut starved = another(0, "WARNING");
    starved.check = "equipment-starved".to_owned();
    starved.message = "fridge switches itself off and on again for want of volts".to_owned();
    starved.evidence = vec![
        "state driving: 12.6 V while off, 10.8 V while on".to_owned(),
        "lost on the way at 5.6 A: fridge-fuse 1.48 V, wire f1 0.12 V".to_owned(),
    ];
    starved.related[0].name = "fridge-fuse".to_owned();
    review.findings.push(starved);
    let read = ReadBack::of("starved", pdf(&review, &dated(Paper::A4)).unwrap());
    let first = page(&read, 1);
    let told = flat(
        "Fridge switches itself off and on again for want of volts. Most is lost at fridge-fuse.",
    );
    let at = first.find(&told).expect("the cause is on page one");
    let state = first.find("Dangers").expect("the dangers are on page one");
    assert!(at < state, "the cause is not told first");
}

#[test]
fn every_finding_question_wire_and_source_is_in_the_report() {
    let review = fixture::heron();
    let words = HERON_A4.words();
    let mut wanted: Vec<&str> = Vec::new();
    for finding in review.findings.iter().chain(&review.cannot_tell) {
        wanted.extend([finding.title.as_str(), &finding.message, &finding.hazard, &finding.remedy]);
        wanted.extend(finding.evidence.iter().map(String::as_str));
        wanted.extend(finding.find_out.iter().map(|missing| missing.what.as_str()));
        wanted.extend(finding.access.iter().map(|cost| cost.words.as_str()));
    }
    wanted.extend(review.wires.iter().map(|wire| wire.name.as_str()));
    wanted.extend(review.sources.iter().flat_map(|s| [s.words.as_str(), s.standing.as_str()]));
    wanted.extend(review.assumptions.iter().map(|assumption| assumption.what.as_str()));
    wanted.extend(review.record_faults.iter().map(|fault| fault.message.as_str()));
    for each in wanted {
        assert!(words.contains(&flat(each)), "not in the report: {each}");
    }
}

#[test]
fn pages_are_numbered_and_carry_the_vehicle() {
    for read in [&*HERON_A4, &*HERON_LETTER] {
        let pages = read.pages();
        assert!((6..=14).contains(&pages), "{pages} pages");
        for number in 1..=pages {
            let words = page(read, number);
            assert!(words.contains(&format!("{number}of{pages}")), "page {number} has no number");
            assert!(words.contains("Heron"), "page {number} does not name the vehicle");
        }
    }
}

#[test]
fn the_file_is_tagged_titled_and_of_the_paper_asked_for() {
    // Sizes: ISO 216 A4 210 mm x 297 mm; letter 8.5 in x 11 in = 612 pt x 792 pt.
    for (read, size) in
        [(&*HERON_A4, "595.276 x 841.89 pts (A4)"), (&*HERON_LETTER, "612 x 792 pts (letter)")]
    {
        assert_eq!(read.fact("Page size"), size);
        assert_eq!(read.fact("Tagged"), "yes");
        assert_eq!(read.fact("Title"), "Hand-over report: Heron");
        let says_english = |some: &[u8]| some == b"/Lang(en)" || some == b"/Lang (en";
        assert!(read.bytes.windows(9).any(says_english), "no language");
    }
}

#[test]
fn the_same_review_gives_the_same_bytes() {
    assert!(HERON_A4.bytes == heron(Paper::A4), "two files of one review differ");
}

#[test]
fn nothing_in_the_report_is_called_free_of_danger() {
    for read in [&*HERON_A4, &*EMPTY] {
        assert!(!read.text.to_lowercase().contains("safe"));
    }
}

#[test]
fn an_empty_record_is_no_clean_bill() {
    let first = page(&EMPTY, 1);
    assert!(first.contains("Vehiclewithoutaname") && first.contains("Undated"));
    assert!(first.contains("Thatisnotacleanbill"));
    assert!(EMPTY.words().contains("Treateveryconductoraslive"));
}

/// Puts `text` into every text of the vehicle and of one finding, state, wire and way in.
fn hostile(text: &str) -> Review {
    spoiled(fixture::small(), text)
}

/// One review in which each of the texts stands in a finding, state, wire and way in of its own.
fn hostile_all(texts: &[&str]) -> Review {
    let mut all = hostile("");
    for text in texts {
        let mut one = hostile(text);
        // Beyond these a text stands nowhere.
        one.findings.truncate(3);
        one.live.truncate(1);
        one.wires.truncate(1);
        one.assumptions.truncate(1);
        one.tallies.truncate(1);
        one.cautions.truncate(1);
        one.sources.truncate(1);
        all.findings.extend(one.findings);
        all.states.extend(one.states);
        all.readings.extend(one.readings);
        all.live.extend(one.live);
        all.wires.extend(one.wires);
        all.service_access.extend(one.service_access);
        all.sources.extend(one.sources);
        all.record_faults.extend(one.record_faults);
        all.assumptions.extend(one.assumptions);
        all.tallies.extend(one.tallies);
        all.cautions.extend(one.cautions);
    }
    all
}

/// A review with little more than page one, every text of which is `text`.
fn hostile_front(text: &str) -> Review {
    let mut review = spoiled(fixture::small(), text);
    review.findings.truncate(2);
    review.states[0].rows.clear();
    review.cannot_tell[0].find_out[0].what = text.to_owned();
    Review {
        vehicle: review.vehicle,
        findings: review.findings,
        states: review.states,
        cannot_tell: review.cannot_tell,
        find_out: Vec::new(),
        cautions: review.cautions,
        ..fixture::empty()
    }
}

fn spoiled(mut review: Review, text: &str) -> Review {
    review.vehicle.name = text.to_owned();
    review.vehicle.words = text.to_owned();
    review.vehicle.complaint = text.to_owned();
    review.vehicle.system = text.to_owned();
    review.findings[0].title = text.to_owned();
    review.findings[0].signal = text.to_owned();
    review.findings[0].message = text.to_owned();
    review.findings[0].check = text.to_owned();
    review.findings[0].place.label = text.to_owned();
    review.findings[0].evidence[0] = text.to_owned();
    review.findings[1].message = text.to_owned();
    review.findings[1].remedy = text.to_owned();
    review.findings[2].place.name = text.to_owned();
    review.findings[2].related = vec![review.findings[0].place.clone(); 5];
    review.states[0].name = text.to_owned();
    review.states[0].notes[0] = text.to_owned();
    review.states[0].rows[0].device = text.to_owned();
    review.states[0].rows[0].voltage = text.to_owned();
    review.readings[0].points = text.to_owned();
    review.live[0].wire = text.to_owned();
    review.live[0].from[0].source = text.to_owned();
    review.live[0].from[0].path[0] = text.to_owned();
    review.wires[0].name = text.to_owned();
    review.wires[0].from = text.to_owned();
    review.wires[0].size = text.to_owned();
    review.service_access[0].label = text.to_owned();
    review.service_access[0].steps[0].how = text.to_owned();
    review.service_access[0].steps[0].part = text.to_owned();
    review.sources[0].key = text.to_owned();
    review.record_faults[0].slug = text.to_owned();
    review.assumptions[0].items[0] = text.to_owned();
    review.tallies[0].check = text.to_owned();
    review.cautions[0] = text.to_owned();
    review
}

#[test]
fn signs_of_the_typesetter_are_printed_not_obeyed() {
    let text = "#panic(\"x\") $a^2$ [b] <c> *d* _e_ @f \\g `h` // i /* j */ = k - l + m";
    let read = ReadBack::of("signs", pdf(&hostile(text), &dated(Paper::A4)).unwrap());
    let printed = flat(&text.replace('`', ""));
    assert!(page(&read, 1).contains(&printed), "changed on page one");
    assert!(read.words().matches(&printed).count() > 10, "changed further on");
}

#[test]
fn very_long_words_foreign_scripts_and_empty_texts_are_set() {
    let long = "m".repeat(300);
    let name = "house_battery.plus_stud.lug_".repeat(12);
    let lines = "line\n".repeat(90);
    let words = "bench front ".repeat(120);
    let texts = [
        "",
        " ",
        "`",
        long.as_str(),
        name.as_str(),
        lines.as_str(),
        words.as_str(),
        "שלום עולם ABC مرحبا 123",
        "👩\u{200d}🔧🔋語 \u{202e}tfel ot thgir\u{202c} e\u{301}\u{301}\u{301}",
        "nul\u{0} bell\u{7} escape\u{1b}[31m tab\t return\r\n",
    ];
    for (at, text) in texts.into_iter().enumerate() {
        let bytes = pdf(&hostile_front(text), &dated(Paper::Letter));
        let bytes = bytes.unwrap_or_else(|fault| panic!("text {at}: {fault}"));
        ReadBack::of(&format!("hostile-{at}"), bytes);
    }
    ReadBack::of("hostile-all", pdf(&hostile_all(&texts), &dated(Paper::Letter)).unwrap());
}

#[test]
fn characters_without_a_shape_are_named_in_the_method() {
    let read = ReadBack::of("unshown", pdf(&hostile("語"), &dated(Paper::A4)).unwrap());
    assert!(read.words().contains("U+8A9E"));
}

#[test]
fn four_hundred_findings_are_all_set() {
    let mut review = fixture::small();
    review.findings = vec![fixture::heron().findings.remove(3); 400];
    for (at, finding) in review.findings.iter_mut().enumerate() {
        finding.place.name = format!("place_{at}_of_many");
        // A hundred defects of their own, the rest one defect at three hundred places.
        if at < 100 {
            finding.title = format!("Trouble number {at} of many");
        }
    }
    let read = ReadBack::of("many", pdf(&review, &dated(Paper::A4)).unwrap());
    let words = read.words();
    for at in 0..400 {
        assert!(words.contains(&format!("place_{at}_of_many")), "finding {at} is missing");
        let title = format!("Troublenumber{at}ofmany");
        assert!(at >= 100 || words.contains(&title), "the title of finding {at} is missing");
    }
    assert!(page(&read, 1).contains("more("), "page one does not say how many more");
}

#[test]
fn numbers_that_are_none_do_not_stop_the_report() {
    let mut review = fixture::small();
    review.states[0].residual_a = Some(f64::NAN);
    review.states[0].rows[0].voltage_v = Some(f64::INFINITY);
    review.service_access[0].minutes_p80 = Some(f64::NAN);
    review.service_access[0].steps[0].minutes_out = f64::INFINITY;
    review.service_access[0].steps[0].minutes_back = 1e300;
    assert!(pdf(&review, &dated(Paper::A4)).is_ok());
}
