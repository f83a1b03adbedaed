//! What the finished file holds, read back with poppler's `pdftotext` and `pdfinfo`, which know
//! nothing of how it was made.

mod fixture;

use std::path::PathBuf;
use std::process::{Command, Output};

use analysis::Review;
use report::{Options, Paper, pdf};

fn dated(paper: Paper) -> Options {
    Options { paper, dated: Some("25 November 2026".to_owned()) }
}

fn poppler(tool: &str, arguments: &[&str], file: &PathBuf, after: &[&str]) -> Output {
    let made = Command::new(tool).args(arguments).arg(file).args(after).output();
    made.unwrap_or_else(|fault| {
        panic!("`{tool}` cannot be started ({fault}). It is part of poppler-utils; `cargo xtask test` sets it up.")
    })
}

/// Text and facts of a file, as another program reads them.
struct ReadBack {
    text: String,
    facts: String,
}

impl ReadBack {
    fn of(name: &str, bytes: &[u8]) -> Self {
        let file = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.pdf"));
        std::fs::write(&file, bytes).expect("the test folder can be written");
        let text = poppler("pdftotext", &["-enc", "UTF-8"], &file, &["-"]);
        let facts = poppler("pdfinfo", &[], &file, &[]);
        assert!(text.status.success() && facts.status.success(), "poppler rejects the file");
        Self {
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

#[test]
fn page_one_tells_the_vehicle_the_complaint_and_every_danger() {
    let review = fixture::heron();
    let read = ReadBack::of("heron", &pdf(&review, &dated(Paper::A4)).unwrap());
    let first = page(&read, 1);
    for wanted in [&review.vehicle.name, &review.vehicle.complaint, &review.findings[0].title] {
        assert!(first.contains(&flat(wanted)), "page one does not hold: {wanted}");
    }
    assert!(first.contains("DANGER") && first.contains("Defertolocalcodes"));
    assert!(first.contains("hunts"), "page one does not say that a state hunts");
    assert!(first.contains(&format!("1of{}", read.pages())), "page one does not end on page one");
}

#[test]
fn a_crowded_page_one_stays_one_page() {
    let mut review = fixture::heron();
    for number in 0..9 {
        let mut another = review.findings[0].clone();
        another.title = format!("Another defect of the same weight, number {number}");
        review.findings.push(another);
    }
    review.cautions.extend(review.cautions.clone());
    review.cannot_tell.extend(review.cannot_tell.clone());
    for paper in [Paper::A4, Paper::Letter] {
        let read = ReadBack::of("crowded", &pdf(&review, &dated(paper)).unwrap());
        let first = page(&read, 1);
        assert!(first.contains("nderstoodofthevehicle"), "the figures fell off page one");
        assert!(first.contains("more("), "page one does not say that there is more");
        assert!(!first.contains("NOTICE") || first.contains("1NOTICE"), "a notice before a danger");
    }
}

#[test]
fn one_defect_at_many_places_is_one_panel_on_page_one() {
    let mut review = fixture::heron();
    let first = review.findings[0].clone();
    review.findings.extend(vec![first; 6]);
    let read = ReadBack::of("places", &pdf(&review, &dated(Paper::A4)).unwrap());
    let first = page(&read, 1);
    assert_eq!(first.matches("DANGER").count(), 1);
    assert!(first.contains("7places") && first.contains("NOTICE"));
}

#[test]
fn every_finding_question_wire_and_source_is_in_the_report() {
    let review = fixture::heron();
    let words = ReadBack::of("heron-all", &pdf(&review, &dated(Paper::A4)).unwrap()).words();
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
    for paper in [Paper::A4, Paper::Letter] {
        let read = ReadBack::of("heron-pages", &pdf(&fixture::heron(), &dated(paper)).unwrap());
        let pages = read.pages();
        assert!((6..=14).contains(&pages), "{pages} pages");
        for number in 1..=pages {
            let words = page(&read, number);
            assert!(words.contains(&format!("{number}of{pages}")), "page {number} has no number");
            assert!(words.contains("Heron"), "page {number} does not name the vehicle");
        }
    }
}

#[test]
fn the_file_is_tagged_titled_and_of_the_paper_asked_for() {
    // Sizes: ISO 216 A4 210 mm x 297 mm; letter 8.5 in x 11 in = 612 pt x 792 pt.
    for (paper, size) in
        [(Paper::A4, "595.276 x 841.89 pts (A4)"), (Paper::Letter, "612 x 792 pts (letter)")]
    {
        let bytes = pdf(&fixture::heron(), &dated(paper)).unwrap();
        let read = ReadBack::of("heron-facts", &bytes);
        assert_eq!(read.fact("Page size"), size);
        assert_eq!(read.fact("Tagged"), "yes");
        assert_eq!(read.fact("Title"), "Hand-over report: Heron");
        assert!(
            bytes.windows(9).any(|some| some == b"/Lang(en)" || some == b"/Lang (en"),
            "no language"
        );
    }
}

#[test]
fn the_same_review_gives_the_same_bytes() {
    let options = dated(Paper::A4);
    assert_eq!(
        pdf(&fixture::heron(), &options).unwrap(),
        pdf(&fixture::heron(), &options).unwrap()
    );
}

#[test]
fn nothing_in_the_report_is_called_free_of_danger() {
    for review in [fixture::heron(), fixture::empty()] {
        let read = ReadBack::of("heron-word", &pdf(&review, &dated(Paper::A4)).unwrap());
        assert!(!read.text.to_lowercase().contains("safe"));
    }
}

#[test]
fn an_empty_record_is_no_clean_bill() {
    let read = ReadBack::of("empty", &pdf(&fixture::empty(), &Options::default()).unwrap());
    let first = page(&read, 1);
    assert!(first.contains("Vehiclewithoutaname") && first.contains("Undated"));
    assert!(first.contains("Thatisnotacleanbill"));
    assert!(read.words().contains("Treateveryconductoraslive"));
}

/// Puts `text` into every text of the vehicle and of one finding, state, wire and way in.
fn hostile(text: &str) -> Review {
    let mut review = fixture::heron();
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
    let read = ReadBack::of("signs", &pdf(&hostile(text), &dated(Paper::A4)).unwrap());
    let printed = flat(&text.replace('`', ""));
    assert!(page(&read, 1).contains(&printed), "changed on page one");
    assert!(read.words().matches(&printed).count() > 10, "changed further on");
}

#[test]
fn very_long_words_foreign_scripts_and_empty_texts_are_set() {
    let long = "m".repeat(300);
    let name = "house_battery.plus_stud.lug_".repeat(12);
    let lines = "line\n".repeat(90);
    let words = "bench front ".repeat(300);
    for (at, text) in [
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
    ]
    .into_iter()
    .enumerate()
    {
        let bytes = pdf(&hostile(text), &dated(Paper::Letter));
        let bytes = bytes.unwrap_or_else(|fault| panic!("text {at}: {fault}"));
        ReadBack::of(&format!("hostile-{at}"), &bytes);
    }
}

#[test]
fn characters_without_a_shape_are_named_in_the_method() {
    let read = ReadBack::of("unshown", &pdf(&hostile("語"), &dated(Paper::A4)).unwrap());
    assert!(read.words().contains("U+8A9E"));
}

#[test]
fn four_hundred_findings_are_all_set() {
    let mut review = fixture::heron();
    review.findings = vec![review.findings[3].clone(); 400];
    for (at, finding) in review.findings.iter_mut().enumerate() {
        finding.title = format!("Trouble number {at} of many");
    }
    let read = ReadBack::of("many", &pdf(&review, &dated(Paper::A4)).unwrap());
    let words = read.words();
    for at in 0..400 {
        assert!(words.contains(&format!("Troublenumber{at}ofmany")), "finding {at} is missing");
    }
    assert!(page(&read, 1).contains("more("), "page one does not say how many more");
}

#[test]
fn numbers_that_are_none_do_not_stop_the_report() {
    let mut review = fixture::heron();
    review.states[0].residual_a = Some(f64::NAN);
    review.states[0].rows[0].voltage_v = Some(f64::INFINITY);
    review.service_access[0].minutes_p80 = Some(f64::NAN);
    review.service_access[0].steps[0].minutes_out = f64::INFINITY;
    review.service_access[0].steps[0].minutes_back = 1e300;
    assert!(pdf(&review, &dated(Paper::A4)).is_ok());
}
