//! The card of the next check, and of the repair.

use analysis::{AnswerForm, AnswerKind, CheckCard, RepairCard, percent_words as percent};
use maud::{Markup, html};

use crate::look::finding::{cautions, encoded, hazard};
use crate::look::form;
use crate::serve::Opened;
use crate::station::suspects::minutes;
use crate::station::{Station, dead, dead_plan};

/// The next check: before, what may hurt; then where, in which state, what was read.
pub(crate) fn card(case: &Opened, of: &CheckCard, answer: Option<&AnswerForm>) -> Markup {
    html! {
        section class="card big" aria-labelledby="next" {
            header { h2 id="next" { (of.title) } span class="count" { (minutes(of.minutes + of.opening_minutes)) } }
            (cautions(&of.cautions))
            @if !of.state.is_empty() { (locked(case)) }
            ol class="rows" { @for place in &of.places { li { b { (place) } } } }
            @if !of.state.is_empty() { p { "State: " b { (of.state) } } }
            p class="quiet" { (of.how) }
            (open(case, &of.open, Some(of.opening_minutes)))
            @if let Some(form) = answer { (entry(case, form)) }
            (strips(of))
            details class="fold" { summary { "What each outcome would mean" } div {
                ul class="rows" { @for row in &of.outcomes { li {
                    div class="pair" { b class="fig" { (row.outcome) } span class="quiet" { (percent(row.chance)) } }
                    span { @if row.then.is_empty() { "nothing likely" } @else { (row.then.join("; ")) } }
                    @if row.rules_out > 0 { span class="quiet small" { "rules out " (row.rules_out) " of the suspects shown" } }
                } } }
            } }
        }
    }
}

/// What is locked is not read live before those who locked it have switched it on again.
fn locked(case: &Opened) -> Markup {
    let areas = dead_plan::locked_areas(case);
    html! { @if !areas.is_empty() {
        (hazard("NOTICE", &html! { p { b { "Locks are on: " (areas.join("; ")) ". " } "This check needs the state below. Nobody takes off somebody else's lock; "
            a href=(Station::Dead.address(&case.id)) { "switching on again" } " comes first." } }))
    } }
}

/// What has to come out first.
fn open(case: &Opened, parts: &[String], opening: Option<f64>) -> Markup {
    html! {
        @if parts.is_empty() {
            @if opening.is_none() { p { "What hides it is not recorded: what it costs to get there cannot be told." } }
        } @else {
            p { "First out: " (dead::links(case, parts)) }
            p { @if let Some(of) = opening { span class="fig" { (minutes(of)) } " to open and close. " }
                a href={ (Station::WayIn.address(&case.id)) "?to=" (encoded(&parts.join(","))) } { "The way in, step by step" } }
        }
    }
}

/// Where the page is taken up again after an answer.
fn search_address(case: &Opened) -> String {
    format!("{}#search", Station::Suspects.address(&case.id))
}

/// Where the answer goes: a number with a pad, or a word in one tap.
fn entry(case: &Opened, of: &AnswerForm) -> Markup {
    let back = search_address(case);
    let fields = |inner: Markup| {
        form::change(
            &case.id,
            "line",
            &back,
            &html! { (form::line_fields(&of.section, &of.line)) (inner) },
        )
    };
    html! {
        div id="answer" { @match &of.kind {
            AnswerKind::Volts => (fields(number("reading", "V", "mV"))),
            AnswerKind::Amperes => (fields(number("reading", "A", "mA"))),
            AnswerKind::Word(words) => (fields(html! { div class="buttons" {
                @for word in words { button name="value" value=(word) { (word) } }
            } })),
            AnswerKind::Look { good, bad } => (fields(html! { div class="buttons" {
                button class="main" name="value" value=(good) { "Looks good and holds" }
                button class="main" name="value" value=(bad) { "Looks bad or gives way" }
            } })),
        } }
        div class="buttons" {
            @match &of.not_reached {
                Some(line) => (form::change(&case.id, "line", &back, &html! {
                    (form::hidden("section", &line.section)) (form::hidden("text", &line.line))
                    button { "Cannot reach it" }
                })),
                None => span class="quiet small" { "If you cannot reach it, take one of the steps weighed against it." },
            }
        }
    }
}

/// A number with the two units it may have; the script puts a pad for one thumb below it.
pub(crate) fn number(id: &str, unit: &str, small: &str) -> Markup {
    html! {
        label { "Reading, " (unit)
            input class="reading" id=(id) name="value" inputmode="decimal" autocomplete="off" required data-pad={ (unit) " " (small) }
                pattern={ "\\s*[+\\-−]?[0-9]+([.,][0-9]+)?\\s*(" (unit) "|" (small) ")?\\s*" } title={ "a number, with " (unit) " or " (small) " behind it if you like" };
        }
        (form::hidden("unit", unit))
        button class="main" { "Enter the reading" }
    }
}

/// What each suspect would make the meter show: one strip each over one axis.
fn strips(of: &CheckCard) -> Markup {
    let bands = || of.expected.iter().flat_map(|row| &row.bands);
    let low = bands().map(|band| band.0).fold(f64::INFINITY, f64::min);
    let high = bands().map(|band| band.1).fold(f64::NEG_INFINITY, f64::max);
    html! {
        h3 { "What each would make it show" }
        ul class="rows" { @for row in &of.expected { li class="strip" {
            div class="pair" { b class="fig" { (percent(row.probability)) } span { (row.suspect) } }
            @if low < high { (strip(&row.bands, low, high)) }
            span class="fig small" { (row.shows) }
        } } }
        @if low < high { div class="axis" aria-hidden="true" {
            @for end in [low, high] { span { (end_words(of, end)) } }
        } }
        p class="quiet small" { "A darker band holds more of the suspect's chances. From the record and its stand-ins." }
    }
}

/// Bands of one suspect, from `low` to `high`, darker where more of its chances lie.
fn strip(bands: &[(f64, f64, f64)], low: f64, high: f64) -> Markup {
    let across = |value: f64| 100.0 * (value - low) / (high - low);
    html! {
        svg viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true" {
            @for (from, to, share) in bands {
                rect x=(format!("{:.2}", across(*from))) width=(format!("{:.2}", (across(*to) - across(*from)).max(1.2)))
                    y="1" height="8" opacity=(format!("{:.2}", 0.3 + 0.7 * share.clamp(0.0, 1.0))) {}
            }
        }
    }
}

/// An end of the axis in the unit of the words beside it.
fn end_words(of: &CheckCard, value: f64) -> String {
    let is_volts = of.expected.iter().any(|row| row.shows.ends_with('V'));
    let dimension = if is_volts { units::Dimension::Voltage } else { units::Dimension::Current };
    units::format(value, dimension, units::System::Metric)
}

/// The repair, when no check is worth its minutes any more.
pub(crate) fn repair(case: &Opened, of: &RepairCard) -> Markup {
    html! {
        section class="card big" aria-labelledby="next" {
            header { h2 id="next" { "Repair: " (of.title) } span class="count" { (percent(of.probability)) } }
            (cautions(&["Make it dead first, and prove it.".to_owned()]))
            ul class="rows" { @for remedy in &of.remedies { li { b { (remedy) } } } }
            p { span class="fig" { (minutes(of.minutes)) } " for the repair itself." }
            (open(case, &of.open, of.opening_minutes))
            p class="quiet" { (of.why) }
            @if let Some(proof) = &of.proof { p { b { "Proof: " } (proof) } }
            @if !of.still.is_empty() { p { "What else may be wrong after it: " (of.still.join("; ")) } }
            div class="buttons" {
                a class="button" href=(dead_plan::address(case, &of.places)) { "Make it dead" }
                a class="button main" href=(Station::Prove.address(&case.id)) { "To the proof" }
            }
            @if let (Some(same), Some(changed)) = (&of.no_cure, &of.changed) {
                div class="buttons" {
                    @if let Some(cured) = case.as_it_stands().advice().and_then(|advice| advice.cured.as_ref()) {
                        (form::plain(&case.id, "cured", &search_address(case), &html! { button { "It was made, and works again: " (cured.works.join(", ")) } }))
                    }
                    (form::change(&case.id, "line", &search_address(case), &html! {
                        (form::hidden("section", &same.section)) (form::hidden("text", &same.line))
                        button { "It was made, and nothing has changed" }
                    }))
                    (form::change(&case.id, "line", &search_address(case), &html! {
                        (form::hidden("section", &changed.section)) (form::hidden("text", &changed.line))
                        button { "It was made, and something is different" }
                    }))
                }
                p class="quiet small" { "The search then goes on without it. Where something is different, what was read and noticed before no longer counts: say next what these do now: " (of.complained_of.join(", ")) "." }
            }
        }
    }
}
