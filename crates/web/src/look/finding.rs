//! Signal words, hazards, findings, and what it costs to get somewhere.

use analysis::{AccessCost, FindingView, Review};
use maud::{Markup, PreEscaped, html};

/// The triangle of the standard with its mark; NOTICE has none (ANSI Z535.4-2007, 4.14).
const TRIANGLE: &str = r#"<svg viewBox="0 0 23 21" aria-hidden="true"><path d="M11.5 1.5 22 20H1Z" fill="none" stroke="currentColor" stroke-width="2" stroke-linejoin="round"/><path d="M11.5 7.5v6" stroke="currentColor" stroke-width="2.4"/><circle cx="11.5" cy="16.6" r="1.4" fill="currentColor"/></svg>"#;

/// A signal word in its colours.
pub(crate) fn sign(word: &str) -> Markup {
    html! {
        span class={ "sign " (class(word)) } {
            @if word != "NOTICE" { (PreEscaped(TRIANGLE)) }
            (word)
        }
    }
}

fn class(word: &str) -> &'static str {
    match word {
        "DANGER" => "danger",
        "WARNING" => "warning",
        "CAUTION" => "caution",
        _ => "notice",
    }
}

/// A hazard in words, named before the step it belongs to.
pub(crate) fn hazard(word: &str, words: &Markup) -> Markup {
    html! { div class={ "hazard " (class(word)) } { (sign(word)) div { (words) } } }
}

/// Cautions of a step, as the engines give them.
pub(crate) fn cautions(cautions: &[String]) -> Markup {
    html! { @if !cautions.is_empty() {
        (hazard("WARNING", &html! { ul { @for caution in cautions { li { (caution) } } } }))
    } }
}

/// What it costs to get there.
pub(crate) fn access(cost: Option<&AccessCost>) -> Markup {
    html! { @match cost {
        Some(cost) => span class="quiet" { "To get there: " span class="fig" { (cost.words) } },
        None => span class="quiet" { "What hides it is not recorded: what it costs to get there cannot be told." },
    } }
}

/// Where a thing has its sheet.
pub(crate) fn sheet_address(case: &str, name: &str) -> String {
    let name = name.strip_prefix("wire ").unwrap_or(name);
    format!("/case/{case}/item/{}", encoded(name))
}

/// A name as a piece of an address.
pub(crate) fn encoded(name: &str) -> String {
    let mut out = String::new();
    for byte in name.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' => {
                out.push(char::from(byte))
            }
            other => out.push_str(&format!("%{other:02X}")),
        }
    }
    out
}

/// How much of a finding stands open on the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Told {
    /// All of it.
    Whole,
    /// What fails and what to do; the reasons are folded.
    Briefly,
}

/// What a page puts beside a finding.
pub(crate) struct Beside<'b> {
    /// On its line, while it is folded.
    pub(crate) on_line: &'b dyn Fn(&FindingView) -> Markup,
    /// Below it, once it is opened.
    pub(crate) below: &'b dyn Fn(usize, &FindingView) -> Markup,
}

/// Findings of a review, one line each, opened by a touch; what follows from one is folded inside it.
/// A danger that stands first is open from the beginning.
pub(crate) fn grouped(case: &str, review: &Review, told: Told, beside: &Beside<'_>) -> Markup {
    let numbered = || (1..).zip(&review.findings);
    html! { @for (number, of) in numbered().filter(|(number, of)| cause(review, *number, of).is_none()) {
        (with_effects(case, review, (number, of), told, beside))
    } }
}

fn with_effects(
    case: &str,
    review: &Review,
    (number, of): (usize, &FindingView),
    told: Told,
    beside: &Beside<'_>,
) -> Markup {
    let follows =
        |(other, effect): &(usize, &FindingView)| cause(review, *other, effect) == Some(number);
    let cause = cause(review, number, of);
    // Two findings of one check may be at one place.
    let same = |other: &&FindingView| other.check == of.check && other.place.name == of.place.name;
    let alike = review.findings.iter().take(number - 1).filter(same).count();
    html! {
        details class={ "fold" @if cause.is_some() { " follows" } @else { " finding" } }
            data-key={ (of.check) " at " (of.place.name) " " (alike) } open[number == 1 && of.signal == "DANGER"] {
            summary { span class="line-of" {
                (sign(&of.signal))
                b { (number) ". " @if let Some(cause) = cause { "Follows from " (cause) ": " } (of.title) ", " (of.place.name) }
                span class="quiet small" { (minutes_to(of.access.as_ref())) }
                ((beside.on_line)(of))
            } }
            div {
                article class={ "hazard " (class(&of.signal)) } id={ "finding-" (number) } { (told_of(case, review, (number, of), told)) }
                ((beside.below)(number, of))
                @for effect in (1..).zip(&review.findings).filter(follows) { (with_effects(case, review, effect, told, beside)) }
            }
        }
    }
}

/// Minutes to get there and back, in a word.
pub(crate) fn minutes_to(cost: Option<&AccessCost>) -> Markup {
    html! { @match cost {
        Some(cost) if cost.minutes_out + cost.minutes_back < 0.5 => "within reach",
        Some(cost) => { span class="fig" { (format!("{:.0} min", cost.minutes_out + cost.minutes_back)) } " to open and close" },
        None => "minutes to get there not known",
    } }
}

/// The number of the finding that one follows from: one above it in the list.
fn cause(review: &Review, number: usize, of: &FindingView) -> Option<usize> {
    let name = of.follows_from.as_deref()?;
    let above = (1..number).zip(&review.findings);
    let is_it = |known: &FindingView| format!("{} at {}", known.check, known.place.name) == name;
    above.into_iter().find(|(_, known)| is_it(known)).map(|(number, _)| number)
}

/// How many findings follow from others.
pub(crate) fn effects(review: &Review) -> usize {
    (1..).zip(&review.findings).filter(|(number, of)| cause(review, *number, of).is_some()).count()
}

/// A finding with place, figures, limit, hazard, grade, remedy and cost.
pub(crate) fn finding(
    case: &str,
    review: &Review,
    (number, of): (usize, &FindingView),
    told: Told,
) -> Markup {
    html! {
        article class={ "hazard " (class(&of.signal)) } id={ "finding-" (number) } {
            div class="pair" { (sign(&of.signal)) b { (number) ". " (of.title) } }
            (told_of(case, review, (number, of), told))
        }
    }
}

/// What stands below the head of a finding.
fn told_of(case: &str, review: &Review, (number, of): (usize, &FindingView), told: Told) -> Markup {
    html! {
        @if of.confidence == "likely" { p { span class="tag" { "likely: rests on an assumption" } } }
        p { (of.message) }
        p class="pair" {
            a class="in" href=(sheet_address(case, &of.place.name)) { (of.place.name) }
            @if !of.place.label.is_empty() { span class="quiet" { (of.place.label) } }
        }
        @match told {
            Told::Whole => (reasons(review, of)),
            Told::Briefly => details class="fold" { summary { "Why" } div { (reasons(review, of)) } },
        }
        @if let Some(cause) = cause(review, number, of) {
            p { b { "Follows from " (cause) ": " } "put that right first; this may go with it." }
        }
        @if !of.remedy.is_empty() { p { b { "What to do: " } (of.remedy) } }
        p { (access(of.access.as_ref())) }
    }
}

/// Limit, figures, hazard, grade.
fn reasons(review: &Review, of: &FindingView) -> Markup {
    html! {
        @if let Some(limit) = &of.limit {
            p { "Limit: " (limit.words) ". " span class="quiet" { (source(review, &limit.source)) } }
        }
        @if !of.evidence.is_empty() {
            p class="quiet" { "Rests on: " (of.evidence.join("; ")) }
        }
        @if !of.hazard.is_empty() { p { b { "Hazard: " } (of.hazard) } }
        @if !of.grade.is_empty() { p { b { "Why " (of.signal) ": " } (graded(&of.grade)) } }
    }
}

/// `grave x expected: why` in words that need no key.
fn graded(grade: &str) -> String {
    match grade.split_once(": ").and_then(|(of, why)| Some((of.split_once(" x ")?, why))) {
        Some(((consequence, likelihood), why)) => {
            format!("consequence {consequence} × likelihood {likelihood}. {why}")
        }
        None => grade.to_owned(),
    }
}

/// Where a limit comes from, and how well it was seen.
fn source(review: &Review, key: &str) -> Markup {
    let known = review.sources.iter().find(|source| source.key == key);
    html! { @match known {
        Some(source) => { (source.words) " (" (source.standing) ")" },
        None => (key),
    } }
}

/// Something that cannot be told, and what to find out.
pub(crate) fn cannot_tell(case: &str, of: &FindingView) -> Markup {
    html! {
        article class={ "hazard " (class(&of.signal)) } {
            div class="pair" { (sign(&of.signal)) b { (of.title) } span class="tag" { "cannot tell" } }
            p { (of.message) }
            @for missing in &of.find_out {
                p { b { "Find out: " } (missing.what) }
                p class="pair" { @for item in &missing.items {
                    a class="in" href=(sheet_address(case, item)) { (item) }
                } }
                p { (access(missing.access.as_ref())) }
            }
        }
    }
}
