//! Prove: what should be read, beside what was; dead tests before live tests.

use analysis::{Caution, ProofRow, READ_TOO_EARLY, ReadAtProof, read_too_early};
use maud::{Markup, html};

use crate::look::finding::hazard;
use crate::look::steps::{self, Stands};
use crate::look::{form, tick};
use crate::serve::Opened;
use crate::station::{Station, dead_plan};
use crate::study::Entered;

/// A reading to take.
#[derive(Default)]
pub(crate) struct Row {
    /// Its name on the list.
    pub(crate) key: String,
    /// It is taken with the vehicle made dead.
    pub(crate) is_dead: bool,
    /// What is done, in words.
    pub(crate) what: String,
    /// Where, in words.
    pub(crate) points: String,
    /// In which state.
    pub(crate) state: String,
    /// What it should be.
    pub(crate) expected: String,
    /// Instrument and setting.
    pub(crate) instrument: String,
    /// What it is held against, and how it is decided.
    pub(crate) limits: Vec<String>,
    /// What to mind before it.
    pub(crate) cautions: Vec<Caution>,
    /// Yes or no is asked, no figure.
    pub(crate) is_look: bool,
    /// Units of the number pad.
    pub(crate) pad: &'static str,
    /// What it was.
    pub(crate) measured: Option<String>,
    /// A verdict is due on what is read.
    pub(crate) is_judged: bool,
    /// `pass`, `fail`, `repeat`, or nothing.
    pub(crate) verdict: String,
    /// What to make of it.
    pub(crate) words: String,
}

impl Row {
    /// Nothing is left to do about it: what has a limit passed, what has none was read.
    pub(crate) fn is_settled(&self) -> bool {
        let read = self.measured.as_ref();
        read.is_some_and(|_| self.verdict == "pass" || !self.is_judged && !self.is_unread())
    }

    /// A figure is asked, and what was entered is none.
    fn is_unread(&self) -> bool {
        let read = self.measured.as_deref().map(str::trim).unwrap_or_default();
        !self.is_look && !self.is_judged && !self.pad.is_empty() && !starts_with_a_number(read)
    }

    /// It should be dead and is not.
    fn is_live(&self) -> bool {
        self.is_dead && !self.is_look && self.verdict == "fail"
    }
}

/// Whether words begin with a number, whatever its sign and unit.
fn starts_with_a_number(words: &str) -> bool {
    let digits = words.trim_start_matches(['+', '-', '\u{2212}', ' ']);
    digits.starts_with(|first: char| first.is_ascii_digit())
}

/// The readings to take: that what was opened is dead, the proof of every chosen repair and of the
/// cause, every reading that was taken before, and what each device that was complained of has at its
/// terminals.
pub(crate) fn rows(case: &Opened) -> Vec<Row> {
    let sheet = case.study.proof(&entered(case));
    let further = case.study.further_proofs();
    let isolation = &case.study.handover().isolation;
    let judged = |row: &ProofRow| {
        let read = measured(case, &row.key).filter(|read| !read.is_empty());
        read.and_then(|read| case.study.case().judged_dead(isolation, &row.key, &read))
    };
    let mut rows: Vec<Row> = sheet.rows.iter().map(|row| of_sheet(case, row)).collect();
    rows.extend(further.iter().map(|row| of_sheet(case, judged(row).as_ref().unwrap_or(row))));
    if let Some(card) = case.as_it_stands().advice().and_then(|advice| advice.next.repair.as_ref())
        && let Some(proof) = &card.proof
    {
        let key = format!("repair {}", card.title);
        let measured = measured(case, &key);
        let (points, expected) = (proof.clone(), "as it says".to_owned());
        rows.push(Row { key, points, expected, measured, ..Row::default() });
    }
    let mut seen = std::collections::BTreeSet::new();
    rows.retain(|row| seen.insert(row.key.clone()));
    read_again(case, &mut rows);
    rows
}

/// Where work is ahead again, what was read dead before power came on says nothing of it.
fn read_again(case: &Opened, rows: &mut [Row]) {
    let when = |key: &str| case.ticked("proof", key).filter(|tick| tick.done).map(|t| t.said.seq);
    let read = rows.iter().map(|row| ReadAtProof {
        key: &row.key,
        is_dead: row.is_dead,
        passed: row.verdict == "pass",
        is_read: row.measured.is_some() && (!row.is_judged || !row.verdict.is_empty()),
    });
    let read: Vec<ReadAtProof<'_>> = read.collect();
    let old: Vec<String> = read_too_early(&read, when).into_iter().map(str::to_owned).collect();
    for row in rows.iter_mut().filter(|row| old.contains(&row.key)) {
        "repeat".clone_into(&mut row.verdict);
        READ_TOO_EARLY.clone_into(&mut row.words);
    }
}

fn measured(case: &Opened, key: &str) -> Option<String> {
    let tick = case.ticked("proof", key).filter(|tick| tick.done);
    tick.map(|tick| tick.reading.clone().unwrap_or_default())
}

/// What was entered so far, by the name of the row.
fn entered(case: &Opened) -> Entered {
    let known = case.study.proof(&Entered::new());
    let is_row = |key: &String| known.rows.iter().any(|row| row.key == *key);
    case.kept.proofs().into_iter().filter(|(key, _)| is_row(key)).collect()
}

fn of_sheet(case: &Opened, row: &ProofRow) -> Row {
    let limit = match row.limit.is_empty() {
        true => String::new(),
        false => format!("{} ({})", row.limit, row.source),
    };
    let limits = [limit, row.decides.clone()].into_iter().filter(|words| !words.is_empty());
    let state = match row.state.is_empty() {
        true => row.state_words.clone(),
        false => row.state.clone(),
    };
    Row {
        key: row.key.clone(),
        is_dead: row.phase == "dead",
        what: row.what.clone(),
        points: row.points.clone(),
        state,
        expected: row.expected.clone(),
        instrument: row.instrument.clone(),
        limits: limits.collect(),
        cautions: row.cautions.clone(),
        is_look: row.asks == "look",
        pad: match row.unit.as_str() {
            "mV" => "mV V",
            "V" => "V mV",
            "A" => "A mA",
            "Ohm" => "Ohm mOhm kOhm",
            _ => "",
        },
        measured: row.measured.clone().or_else(|| measured(case, &row.key)),
        is_judged: row.asks == "look" || !row.decides.is_empty(),
        verdict: row.verdict.clone(),
        words: row.words.clone(),
    }
}

pub(crate) fn page(case: &Opened) -> Markup {
    let rows = rows(case);
    let open = rows.iter().filter(|row| !row.is_settled()).count();
    let sheet = case.study.proof(&entered(case));
    html! {
        div class="title" { h1 { "Prove" }
            p class="quiet" { (open) " of " (rows.len()) " readings open. "
                @if case.study.mended().is_some() { "Expected is what the vehicle shows with the chosen repairs done." }
                @else { "Expected is what the record says as it stands; no repair is chosen." } }
        }
        (live(case, &rows))
        (hazard("WARNING", &html! { "Dead tests first. Live tests only when every dead test is done, tools are out, covers that keep hands off mains are on, and everybody knows that power comes on." }))
        @if case.study.mended().is_some() && !sheet.faults.is_empty() {
            (hazard("NOTICE", &html! { ul { @for fault in &sheet.faults { li { (fault) } } } }))
        }
        (failed(case, &rows))
        (part(case, "Dead tests", rows.iter().filter(|row| row.is_dead), false))
        (part(case, "Live tests", rows.iter().filter(|row| !row.is_dead), rows.iter().any(Row::is_live)))
        details class="fold" { summary { "How it is decided" } div { p { (sheet.rule) } } }
    }
}

/// What should be dead and is not.
fn live(case: &Opened, rows: &[Row]) -> Markup {
    html! { @for row in rows.iter().filter(|row| row.is_live()) {
        (hazard("DANGER", &html! {
            p { b { "STOP. " } (row.points) " reads " span class="fig" { (volts(row.measured.as_deref().unwrap_or_default())) }
                " where it should be dead. Touch nothing; find what feeds it." }
            p { a href=(Station::Dead.address(&case.id)) { "Make it dead" } }
        }))
    } }
}

/// A bare number is volts.
fn volts(read: &str) -> String {
    if read.trim().parse::<f64>().is_ok() { format!("{read} V") } else { read.to_owned() }
}

/// Proofs that failed, and what may be wrong in the mended vehicle.
fn failed(case: &Opened, rows: &[Row]) -> Markup {
    let is_failed = |row: &&Row| row.verdict == "fail" && !row.is_live();
    let failed: Vec<&Row> = rows.iter().filter(is_failed).collect();
    if failed.is_empty() {
        return html! {};
    }
    let suspects = case.study.failed_proof(&entered(case));
    html! {
        section class="card big" id="failed" role="alert" {
            h2 { "Not proved" }
            ul { @for row in &failed { li { b { (row.what) } ": " span class="fig" { (row.measured.as_deref().unwrap_or_default()) } @if !row.words.is_empty() { ": " (row.words) } } } }
            @if let Some(view) = &suspects.reopened {
                h3 { "What may be wrong in the mended vehicle, likeliest first" }
                ol class="rows" { @for row in &view.rows { li { b { (row.words.join("; ")) }
                    span class="fig" { (format!("{:.0} %", 100.0 * row.probability)) } } } }
            }
        }
    }
}

fn part<'r>(
    case: &Opened,
    title: &str,
    rows: impl Iterator<Item = &'r Row>,
    is_held: bool,
) -> Markup {
    let rows: Vec<&Row> = rows.collect();
    let next = rows.iter().position(|row| !row.is_settled()).map(|place| place + 1);
    let stands = |number: usize, row: &Row| match row.verdict.as_str() {
        "fail" | "repeat" => Stands::Next,
        _ => Stands::of(number, row.is_settled(), next),
    };
    html! {
        section class="card" {
            header { h2 { (title) } span class="count" { (rows.len()) } }
            @if rows.is_empty() { p { "None follows from the record." } }
            @if is_held { p { b { "Held: what should be dead is live." } } }
            @let is_measured = rows.iter().any(|row| row.is_dead && !row.is_look);
            @if is_measured { (not_off(case)) }
            @if is_measured { (tester(case, "before", "Prove the tester on a known source, before the first dead test")) }
            ol class="steps" { @for (number, row) in (1..).zip(&rows) { (one(case, title, (number, row), stands(number, row), is_held)) } }
            @if is_measured { (tester(case, "after", "Prove the tester on the known source again: no reading above counts without it")) }
        }
    }
}

/// Steps of switching off that nobody has ticked: what is not off is not dead.
fn not_off(case: &Opened) -> Markup {
    let steps = &case.study.handover().isolation.steps;
    let open = steps.iter().filter(|step| !case.is_ticked("dead", &step.key)).count();
    let planned = case.kept.ticks.iter().any(|tick| tick.list == "dead" && tick.done);
    html! { @if open > 0 && !planned {
        (hazard("WARNING", &html! { p { "No step of switching off is ticked. "
            a href=(Station::Dead.address(&case.id)) { "Make it dead first" } ": what is not off reads live here, or by chance does not." } }))
    } }
}

/// The tester on a known source: a field of its own, before the dead tests and after them.
fn tester(case: &Opened, when: &str, words: &str) -> Markup {
    let back = format!("{}#tester-{when}", Station::Prove.address(&case.id));
    html! {
        div class="reads" id={ "tester-" (when) } {
            p { b { (words) } }
            @if case.ticked("tester", &format!("tester {when}")).is_some_and(|tick| tick.done && !dead_plan::shows_volts(case, tick)) { (dead_plan::not_proved()) }
            (tick::form(case, &tick::Step {
                list: "tester", step: &format!("tester {when}"), done: "Proved", undone: "Prove it again",
                reading: Some("What it showed on the known source"), pad: "V mV", back: &back,
            }))
        }
    }
}

fn one(
    case: &Opened,
    title: &str,
    (number, row): (usize, &Row),
    stands: Stands,
    is_held: bool,
) -> Markup {
    let id = format!("{}-{number}", if title.starts_with("Dead") { "dead" } else { "live" });
    let back = format!("{}#{id}", Station::Prove.address(&case.id));
    let line = html! {
        b { @if row.what.is_empty() { (row.points) } @else { (row.what) } }
        @if !row.what.is_empty() && !row.is_dead { span class="grow small quiet" { (row.points) @if !row.state.is_empty() { ", " (row.state) } } }
        @if let Some(read) = row.measured.as_ref().filter(|read| !read.is_empty()) { span class="small" { "read " span class="fig" { (read) } } }
        @if !row.verdict.is_empty() { span class="tag" { (row.verdict) } }
    };
    steps::step(
        &id,
        number,
        stands,
        &line,
        &html! {
            @for caution in &row.cautions { (hazard(&caution.signal, &html! { p { (caution.words) } })) }
            p { (row.points) @if !row.state.is_empty() { " " span class="tag" { (row.state) } } }
            @if !row.instrument.is_empty() { p class="quiet" { "With: " (row.instrument) } }
            dl class="facts" {
                div { dt { "Expected" } dd class="fig" { (row.expected) } }
                @for limit in &row.limits { div { dt { "Limit" } dd { (limit) } } }
                div { dt { "Measured" } dd class="fig" { @match &row.measured {
                    Some(read) if !read.is_empty() => (read),
                    Some(_) => "done, no figure written",
                    None => span class="unknown" { "not yet" },
                } } }
                @if !row.verdict.is_empty() { div { dt { "Verdict" } dd { b { (row.verdict) } @if !row.words.is_empty() { ": " (row.words) } } } }
            }
            @if row.verdict.is_empty() && !row.words.is_empty() { p class="quiet" { (row.words) } }
            @if row.measured.is_some() && row.is_unread() { p { b { "No figure. " } "Write what the meter shows, a number with its unit; where it shows none (OL, no contact), say so in a note and find out why." } }
            @if row.is_live() { (hazard("DANGER", &html! { p { b { "STOP. " } "This should be dead and is live. Touch nothing; find what feeds it." } })) }
            @if !is_held { (entry(case, row, &back)) }
        },
    )
}

/// Where it is entered: a figure with the number pad, or yes and no.
fn entry(case: &Opened, row: &Row, back: &str) -> Markup {
    if !row.is_look || row.measured.is_some() {
        return tick::form(
            case,
            &tick::Step {
                list: "proof",
                step: &row.key,
                done: "Measured",
                undone: "Take it again",
                reading: Some("What the meter showed"),
                pad: row.pad,
                back,
            },
        );
    }
    let answer = |said: &str, words: &str, class: &str| {
        form::change_line(
            &case.id,
            "tick",
            back,
            &html! {
                (form::hidden("list", "proof")) (form::hidden("step", &row.key)) (form::hidden("reading", said))
                button class=(class) name="done" value="yes" { (words) }
            },
        )
    };
    html! { div data-step=(row.key) class="buttons" { (answer("yes", "It is so", "main")) (answer("no", "It is not so", "")) } }
}
