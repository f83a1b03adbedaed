//! Suspects: one card with the next check or the repair, the ranking under it, and what it would cost
//! to go straight in.

use analysis::{NextView, ReadingRow, SuspectRow, percent_words as percent};
use maud::{Markup, html};

use crate::look::{figure, form};
use crate::serve::Opened;
use crate::station::{Station, arrival, check, found, noticed, reading};
use crate::study::Advice;

pub(crate) fn page(case: &Opened) -> Markup {
    html! {
        div class="title" { h1 { "Suspects" } }
        div class="grid" id="search" {
            @match case.as_it_stands().advice() {
                Some(advice) => (found(case, advice)),
                None => {
                    (working())
                    @if let Some(earlier) = case.searched_before().and_then(|study| study.advice()) { (before(&earlier.next)) }
                },
            }
        }
        (readings(case))
        (not_shown(case))
    }
}

/// The search takes its time; the page is taken anew when it is done.
fn working() -> Markup {
    html! {
        div class="working" role="status" {
            p { b { "Working." } " " span class="fig" data-elapsed="" aria-hidden="true" {} " Every suspect is held against every reading; this takes a few seconds." }
            p class="quiet" { "The page shows it when it is done. Without script: " a href="" { "look again" } "." }
        }
    }
}

/// The ranking of the record as it was when it was last searched: marked as old, without its next check,
/// which what was entered since may have made pointless.
fn before(next: &NextView) -> Markup {
    html! {
        section class="old" aria-label="Before the last entry" {
            p class="said" { b { "Before the last entry. " } "This is how it stood then; what was entered since is not in it yet." }
            (ranking(next))
        }
    }
}

fn found(case: &Opened, advice: &Advice) -> Markup {
    let next = &advice.next;
    html! {
        @if begins(next) { (begin(case)) }
        @match (&next.check, &next.repair) {
            _ if begins(next) => {},
            (Some(card), _) => (check::card(case, card, advice.forms.first().and_then(Option::as_ref))),
            (None, Some(card)) => (check::repair(case, card)),
            (None, None) => (neither(case, next)),
        }
        @if !begins(next) { (cost(next)) }
        (ranking(next))
        details class="fold" data-key="on-the-wiring" { summary { "On the wiring" } div {
            (figure::drawing(&found_drawing(case), "Shaded by how likely each is the cause or part of it.", &[], &found::near(case)))
        } }
        @if !next.rivals.is_empty() {
            section class="card" {
                h2 { "Weighed against it" }
                ul class="rows" { @for rival in &next.rivals { li {
                    span { (rival.title) }
                    span class="quiet small" { span class="fig" { (minutes(rival.own_minutes)) } " itself, " span class="fig" { (minutes(rival.minutes)) } " expected to the proven repair" }
                } } }
            }
        }
    }
}

fn found_drawing(case: &Opened) -> String {
    found::drawing_address(case, "suspects")
}

fn neither(case: &Opened, next: &NextView) -> Markup {
    html! {
        section class="card big" {
            @match next.kind.as_str() {
                "as written" => {
                    h2 { "The vehicle as recorded does what was seen" }
                    p { "No new fault is needed to explain what was noticed: the record already holds the cause. It stands under the findings." }
                    p { a class="button main" href=(Station::PutRight.address(&case.id)) { "To the findings" } }
                },
                "not enough" => (not_enough(case)),
                _ => {
                    h2 { "No check is worth its minutes" }
                    p { "Nothing that can be reached tells the suspects apart for less than it saves. What is left is to strip and look at everything." }
                },
            }
        }
    }
}

/// What could not be weighed is asked for on the spot.
fn not_enough(case: &Opened) -> Markup {
    let view = case.study.case().arrival();
    let back = format!("{}#search", Station::Suspects.address(&case.id));
    let weak: Vec<_> =
        view.symptoms.iter().filter(|symptom| !arrival::is_weighed(symptom)).collect();
    let findings = Station::PutRight.address(&case.id);
    html! {
        h2 { "Not enough to say" }
        p { "What could be weighed needs no fault, but not all of it could: see the warnings below. Take those readings again, or complete those symptoms, before you conclude anything. What fails by the record stands under the " a href=(findings) { "findings" } "." }
        @if !weak.is_empty() { (noticed::list(case, &view, weak.iter().copied(), &back)) }
        details class="fold" open[weak.is_empty()] { summary { "Take a reading" } div { (reading::form(case, &back)) } }
    }
}

/// What to do while there is nothing to weigh yet: say what was noticed, or put the meter on something.
fn begin(case: &Opened) -> Markup {
    let view = case.study.case().arrival();
    let back = format!("{}#begin", Station::Suspects.address(&case.id));
    let laid_aside: Vec<_> = view.symptoms.iter().filter(|of| of.is_laid_aside).collect();
    let begun = view.symptoms.iter().any(|of| !of.is_laid_aside);
    html! {
        section class="card big" id="begin" {
            h2 { @if laid_aside.is_empty() { "Nothing to weigh yet" } @else { "What does it do now?" } }
            @if laid_aside.is_empty() { p { "A search needs something to start from. Do one of these; the next check then follows from it." } }
            @else {
                p { "What was noticed and read before a repair is laid aside. Say what these do now: where something is still amiss, the search goes on." }
                (noticed::now(case, &laid_aside, &back))
            }
            @if begun {
                h3 { "Say the rest of what was noticed" }
                p class="quiet" { "Touch what is hatched: which device, in which state, what it shows." }
                (noticed::list(case, &view, view.symptoms.iter().filter(|of| !of.is_laid_aside), &back))
            }
            @if view.states.is_empty() { (noticed::usual_states(case, &back)) }
            details class="fold" open[!begun] { summary { "Write down what was noticed" } div { (noticed::form(case, &view, &back)) } }
            details class="fold" open[!begun && view.states.is_empty()] { summary { "Or take a reading" } div { (reading::form(case, &back)) } }
        }
    }
}

/// What the proposed step comes to, and going straight in.
fn cost(next: &NextView) -> Markup {
    html! { @if next.minutes > 0.0 {
        section class="card" {
            dl class="facts" {
                div { dt { "By this step" } dd { span class="fig" { (minutes(next.minutes)) } " expected to the proven repair, opening and closing included (" (next.quality) ")" } }
                div { dt { "Straight in" } dd { span class="fig" { (minutes(next.straight_in_minutes)) } " expected, repairs tried in their best order without another check" } }
                @if next.no_way_in > 0 {
                    div { dt { "Left out" } dd { (next.no_way_in) " checks would tell something, but no way in to them is known" } }
                }
            }
        }
    } }
}

fn ranking(next: &NextView) -> Markup {
    let suspects = &next.suspects;
    html! {
        section class="card" id="ranking" {
            header { h2 { "Who it may be" } span class="quiet small" { (counted(suspects.weighed, "observation")) " weighed, " (counted(suspects.suspects, "suspect")) } }
            @for warning in &suspects.warnings { p class="quiet small" { (warning.replace('`', "")) } }
            ol class="rows" { @for row in &suspects.rows { (suspect(row)) } }
            p class="quiet small" {
                "All others together " span class="fig" { (percent(suspects.others)) }
                "; not in the record " span class="fig" { (percent(suspects.not_in_record)) }
                "; two defects at once " span class="fig" { (percent(suspects.two_defects)) }
            }
        }
    }
}

fn suspect(row: &SuspectRow) -> Markup {
    let sizes = row.sizes.iter().filter(|size| !size.is_empty()).cloned().collect::<Vec<_>>();
    html! {
        li {
            div class="pair" { b class="fig" { (percent(row.probability)) } span { (row.words.join(", and ")) } }
            @if !sizes.is_empty() { span class="quiet small" { (sizes.join(", ")) } }
            svg class="share" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true" {
                rect width=(format!("{:.1}", 100.0 * row.probability.clamp(0.0, 1.0))) height="10" {}
                rect class="frame" width="100" height="10" {}
            }
            @if !row.says.is_empty() {
                details data-key={ "says " (row.words.join(", ")) } { summary class="small" { "What each reading says of it" }
                    ul class="rows small" { @for says in &row.says { li {
                        span { span class="fig" { (says.reading) } ": read " span class="fig" { (says.read) } ", would be " span class="fig" { (says.predicted) } " · speaks " (speaks(&says.speaks)) }
                    } } }
                }
            }
        }
    }
}

fn speaks(word: &str) -> &str {
    match word {
        "neither" => "neither for nor against it",
        "for" => "for it",
        _ => "against it",
    }
}

/// Whether nothing was observed yet that could be weighed.
fn begins(next: &NextView) -> bool {
    next.kind == "nothing observed"
}

/// Whether any reading has its form below the readings, since it does not stand further up.
fn asks_elsewhere(next: &NextView) -> bool {
    let is_above = next.check.is_none() && next.repair.is_none() && next.kind == "not enough";
    !begins(next) && !is_above
}

fn readings(case: &Opened) -> Markup {
    let rows: &[ReadingRow] = &case.study.review().readings;
    html! {
        section class="card" id="readings" {
            header { h2 { "Readings" } span class="count" { (rows.len()) } }
            @if rows.is_empty() { p { "None yet." } }
            @if case.as_it_stands().advice().is_some_and(|advice| asks_elsewhere(&advice.next)) {
                details class="fold" data-key="another-reading" { summary { "Another reading, one that was not asked for" } div {
                    (reading::form(case, &format!("{}#readings", Station::Suspects.address(&case.id))))
                } }
            }
            ul class="rows" data-lines="readings" { @for row in rows { li {
                div class="pair" { b class="fig" { (row.read) } span { (row.points) } span class="tag" { (row.state) } }
                span class="quiet small" { "as recorded it would be " span class="fig" { (row.computed) } ": " (row.verdict) @if !row.words.is_empty() { "; " (row.words) } }
            } } }
        }
    }
}

/// What was complained of and did not show.
fn not_shown(case: &Opened) -> Markup {
    let view = case.study.case().arrival();
    let complained: Vec<_> = view
        .symptoms
        .iter()
        .filter(|symptom| !symptom.device.is_empty() && !symptom.state.is_empty())
        .filter(|symptom| symptom.shows != "not reproduced" && !symptom.is_laid_aside)
        .collect();
    let back = format!("{}#search", Station::Suspects.address(&case.id));
    html! { @if !complained.is_empty() {
        details class="fold" { summary { "It did not show when you tried" } div {
            @for symptom in complained {
                (form::change_line(&case.id, "line", &back, &html! {
                    (form::hidden("section", "symptoms"))
                    (form::hidden("template", &format!("%name% = {{ words = \"did not show when tried\", device = \"{}\", state = \"{}\", shows = \"seen not reproduced\" }}", symptom.device, symptom.state)))
                    button { (symptom.words) " (" (symptom.state) ")" }
                }))
            }
        } }
    } }
}

/// So many of something.
fn counted(count: usize, what: &str) -> String {
    match count {
        1 => format!("1 {what}"),
        more => format!("{more} {what}s"),
    }
}

/// Minutes in figures.
pub(crate) fn minutes(minutes: f64) -> String {
    // Rounding may leave minus nought.
    format!("{:.0} min", minutes.round() + 0.0)
}
