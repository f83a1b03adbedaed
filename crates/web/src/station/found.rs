//! As found: what is in the vehicle, drawn and listed, with what fails beside what it is about, what the
//! program did not understand, and the forms that add to it.

use std::collections::BTreeMap;

use analysis::{FindingView, RecordFault, Review};
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use depict::{Overlay, Picture};
use maud::{Markup, html};

use crate::look::finding::{self, sheet_address, sign};
use crate::look::form::Fields;
use crate::look::viewer::Viewer;
use crate::look::{figure, form};
use crate::serve::{AppState, Opened};
use crate::station::{Station, capture, of_case, spelling};

pub(crate) fn page(case: &Opened, asked: &Fields) -> Markup {
    let review = case.study.review();
    let known = &review.understood;
    html! {
        div class="title" { h1 { "As found" }
            p class="pair quiet" {
                span { span class="fig" { (known.devices) } " devices" }
                span { span class="fig" { (known.wires) } " wires, " span class="fig" { (known.wires_with_unknown_end) } " with an end nobody has seen" }
                span { span class="fig" { (known.parts) } " parts" }
                span { span class="fig" { (known.facts_known) } " facts known, " span class="fig" { (known.facts_assumed) } " assumed, " span class="fig" { (known.facts_unknown) } " not known" }
            }
        }
        (capture::line(case, &Station::Found.address(&case.id)))
        (faults(case, review))
        (drawings(case))
        (capture::forms(case))
        (findings(case, review))
        (lists(case, review, asked))
        (whole_text(case))
    }
}

/// What the program did not understand.
fn faults(case: &Opened, review: &Review) -> Markup {
    html! { @if !review.record_faults.is_empty() {
        section class="card" id="faults" {
            header { h2 { "Not understood" } span class="count" { (review.record_faults.len()) } }
            p class="quiet" { "What this touches was left out; the rest is used." }
            ul class="rows" { @for fault in &review.record_faults { (fault_row(&case.kept.text, fault, &html! { (spelling::in_the_record(case, fault)) (mend_line(case, fault)) })) } }
        }
    } }
}

/// A fault of the record with the line it is in, and what can be done about it.
pub(crate) fn fault_row(text: &str, fault: &RecordFault, mend: &Markup) -> Markup {
    html! {
        li {
            span { b { (fault.severity) ": " } (fault.message) }
            @for place in &fault.places {
                @let line = text.lines().nth(place.line.saturating_sub(1)).unwrap_or_default();
                pre class="small" { span class="quiet" { (place.line) "  " } (marked(text, line, place.start_byte, place.end_byte)) }
                @if !place.label.is_empty() { span class="small" { (place.label) } }
            }
            @for help in &fault.help { span class="small" { b { "Do: " } (help) } }
            (mend)
        }
    }
}

/// The line that was not understood, to be put right where it is told of. Nothing where it stands twice.
fn mend_line(case: &Opened, fault: &RecordFault) -> Markup {
    let text = &case.kept.text;
    let place = fault.places.first();
    let line = place.and_then(|place| text.lines().nth(place.line.saturating_sub(1)));
    let line = line.filter(|line| !line.trim().is_empty() && text.matches(*line).count() == 1);
    let back = format!("{}#faults", Station::Found.address(&case.id));
    html! { @if let Some(line) = line {
        details { summary class="small" { "Put this line right" }
            (form::change(&case.id, "lines", &back, &html! {
                (form::hidden("from", line))
                label { span class="out" { "The line" }
                    textarea class="fig" name="to" rows="2" autocomplete="off" autocapitalize="off" spellcheck="false" data-one-line="" { (line) } }
                button { "Keep the line" }
            }))
        }
    } }
}

/// A line with the bytes from `start` to `end` of the whole text marked in it.
fn marked(text: &str, line: &str, start: usize, end: usize) -> Markup {
    let offset = (line.as_ptr() as usize).saturating_sub(text.as_ptr() as usize);
    let from = start.saturating_sub(offset).min(line.len());
    let to = end.saturating_sub(offset).clamp(from, line.len());
    html! { @match (line.get(..from), line.get(from..to), line.get(to..)) {
        (Some(before), Some(inside), Some(after)) if !inside.is_empty() => { (before) mark { (inside) } (after) },
        _ => (line),
    } }
}

/// Drawings to choose from: name, words.
const VIEWS: [(&str, &str); 5] = [
    ("wiring", "Wiring"),
    ("wiring-findings", "With findings"),
    ("wiring-mains", "Mains side"),
    ("vehicle-plan", "From above"),
    ("vehicle-sides", "From the middle"),
];

fn drawings(case: &Opened) -> Markup {
    let views = VIEWS.map(|(name, words)| (drawing_address(case, name), words.to_owned()));
    html! {
        section class="card" id="drawings" {
            h2 { "Drawings" }
            @if case.study.review().understood.devices == 0 { p { "Nothing to draw yet." } }
            @else { (figure::drawing(&views[0].0, "Touch a thing to open its sheet. The list below has the same things.", &views, &near(case))) }
        }
    }
}

/// What matters first on a drawing: what the complaint is about, then what the worst finding is on.
pub(crate) fn near(case: &Opened) -> Vec<String> {
    let symptoms = case.study.case().arrival().symptoms;
    let told = symptoms.into_iter().map(|symptom| symptom.device).filter(|name| !name.is_empty());
    let worst = case.study.review().findings.first();
    let worst = worst.into_iter().flat_map(|of| things(&of.place.name)).map(ToOwned::to_owned);
    told.chain(worst).collect()
}

/// Where a drawing is.
pub(crate) fn drawing_address(case: &Opened, name: &str) -> String {
    format!("/case/{}/drawing/{}.svg", case.id, finding::encoded(name))
}

/// What fails and what cannot be told.
fn findings(case: &Opened, review: &Review) -> Markup {
    html! {
        section class="card" id="findings" data-soon=(now_address(case)) {
            header { h2 { "Findings" } span class="count" { (review.findings.len()) } }
            @let following = finding::effects(review);
            @if following > 0 { p class="quiet" { (following) " of them follow from others and are folded below their cause." } }
            (finding::grouped(&case.id, review, finding::Told::Whole, &finding::Beside { on_line: &|_| html! {}, below: &|_, _| html! {} }))
            @if review.findings.is_empty() { p { "By what is recorded nothing fails. What was not seen was not judged." } }
            details class="fold" data-key="cannot-tell" { summary { "Cannot tell yet (" (review.cannot_tell.len()) ")" } div {
                @for of in &review.cannot_tell { (finding::cannot_tell(&case.id, of)) }
            } }
            details class="fold" data-key="assumed" { summary { "Assumed, so that anything can be computed (" (review.assumptions.len()) ")" } div {
                ul class="rows" { @for of in &review.assumptions { li {
                    span { (of.what) " " span class="quiet" { "because " (of.why) } }
                    span class="pair small" { @for item in &of.items { a class="in" href=(sheet_address(&case.id, item)) { (item) } } }
                } } }
            } }
        }
    }
}

fn now_address(case: &Opened) -> String {
    format!("{}/now", Station::Found.address(&case.id))
}

/// The findings alone: what somebody waits for who has just entered a line.
pub(crate) async fn now(
    State(state): State<AppState>,
    viewer: Viewer,
    Path(id): Path<String>,
) -> Response {
    of_case(state, id, viewer, |case, _| findings(case, case.study.review()).into_response()).await
}

/// What fails, by the name of the thing it is about.
fn beside(review: &Review) -> BTreeMap<&str, Vec<(usize, &FindingView)>> {
    let mut all: BTreeMap<&str, Vec<(usize, &FindingView)>> = BTreeMap::new();
    for (number, of) in (1..).zip(&review.findings) {
        for name in things(&of.place.name) {
            all.entry(name).or_default().push((number, of));
        }
    }
    all
}

/// The things a place is on: a joint is on its wire and on the device it lands on, a terminal on its
/// device.
pub(crate) fn things(place: &str) -> Vec<&str> {
    let place = place.strip_prefix("wire ").unwrap_or(place);
    let pieces = place.split(" at ").map(|piece| piece.split('.').next().unwrap_or(piece));
    pieces.collect()
}

fn lists(case: &Opened, review: &Review, asked: &Fields) -> Markup {
    let beside = beside(review);
    let all = case.study.case().item_names();
    let wanted = asked.get("find").map(|words| words.to_lowercase());
    let fits = |name: &str, label: &str| {
        wanted.as_ref().is_none_or(|words| {
            name.to_lowercase().contains(words) || label.to_lowercase().contains(words)
        })
    };
    html! {
        section class="card" id="list" {
            h2 { "Everything in it" }
            form class="line" method="get" action={ (Station::Found.address(&case.id)) "#list" } {
                span class="grow" { (form::words("find", "Find", "a name or a word", wanted.as_deref().unwrap_or(""))) }
                button { "Find" }
            }
            @for (sort, title) in [("device", "Devices"), ("wire", "Wires"), ("part", "Parts"), ("spot", "Spots")] {
                @let of: Vec<_> = all.iter().filter(|(s, name, label)| *s == sort && fits(name, label)).collect();
                @if !of.is_empty() {
                    details class="fold" open[wanted.is_some()] { summary { (title) " (" (of.len()) ")" } div {
                        ul class="rows" { @for (_, name, label) in of { li {
                            a class="row" href=(sheet_address(&case.id, name)) {
                                span { b class="fig" { (name) } " " span class="quiet" { (label) } (wire_facts(review, sort, name)) }
                                (beside_it(beside.get(name.as_str())))
                            }
                        } } }
                    } }
                }
            }
        }
    }
}

/// Signal words of what fails here, and what it is.
fn beside_it(findings: Option<&Vec<(usize, &FindingView)>>) -> Markup {
    html! { @for (_, of) in findings.into_iter().flatten() {
        span class="pair small" { (sign(&of.signal)) span { (of.title) } }
    } }
}

/// Size, length and make of a wire, with how they are known.
fn wire_facts(review: &Review, sort: &str, name: &str) -> Markup {
    let wire = review.wires.iter().find(|wire| sort == "wire" && wire.name == name);
    html! { @if let Some(wire) = wire {
        br; span class="fig small" { (wire.size) " · " (wire.length) @if !wire.make.is_empty() { " · " (wire.make) } }
    } }
}

fn whole_text(case: &Opened) -> Markup {
    html! {
        details class="fold" id="text" { summary { "The record as text" } div {
            p class="quiet" { "For whoever prefers an editor. What others changed meanwhile is put together with yours, line by line." }
            (form::change(&case.id, "text", &format!("{}#text", Station::Found.address(&case.id)), &html! {
                (form::hidden("base", &case.kept.head.to_string()))
                label { span class="out" { "The record" } textarea class="fig" name="is" rows="24" spellcheck="false" { "\n" (case.kept.text) } }
                button class="main" { "Keep" }
            }))
        } }
    }
}

/// A drawing as a file.
pub(crate) async fn drawing(
    State(state): State<AppState>,
    viewer: Viewer,
    Path((id, file)): Path<(String, String)>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    of_case(state, id, viewer, move |case, _| {
        let name = file.strip_suffix(".svg").unwrap_or_default();
        match drawn(case, name, &Fields(asked)) {
            Some(picture) => {
                let svg = without_rules(&picture.svg);
                ([(header::CONTENT_TYPE, "image/svg+xml")], svg).into_response()
            }
            None => StatusCode::NOT_FOUND.into_response(),
        }
    })
    .await
}

/// A drawing without its style rules: those of the page say the same (`assets/unbury.css`), and a page
/// lets no rule in that is not in its style sheet.
fn without_rules(svg: &str) -> String {
    match (svg.find("<style>"), svg.find("</style>")) {
        (Some(start), Some(end)) if start < end => {
            format!("{}{}", &svg[..start], &svg[end + "</style>".len()..])
        }
        _ => svg.to_owned(),
    }
}

/// The drawing of a name; only what it needs is computed.
fn drawn(case: &Opened, name: &str, asked: &Fields) -> Option<Picture> {
    let is_mains = name.starts_with("wiring-mains");
    let first = |pictures: &[Picture]| {
        let of_side = |picture: &&Picture| picture.name.starts_with("wiring-mains") == is_mains;
        pictures.iter().find(of_side).cloned()
    };
    let named = |pictures: &[Picture]| pictures.iter().find(|picture| picture.is_of(name)).cloned();
    if let Some(number) =
        name.strip_prefix("way-in-").and_then(|number| number.parse::<usize>().ok())
    {
        let to: Vec<String> =
            asked.get("to")?.split(',').map(|name| name.trim().to_owned()).collect();
        let pictures = depict::way_in(case.study.case(), &case.study.way_in(&to));
        return pictures.into_iter().nth(number.checked_sub(1)?);
    }
    if let Some(state) = name.strip_prefix("wiring-state-") {
        return first(&case.study.wiring(Overlay::State(state)));
    }
    match name {
        "wiring" | "wiring-mains" => first(&case.study.wiring(Overlay::Nothing)),
        "wiring-findings" | "wiring-mains-findings" => first(&case.study.wiring(Overlay::Findings)),
        "suspects" => {
            let shading = &case.as_it_stands().advice()?.shading;
            first(&case.study.wiring(Overlay::Suspects(shading)))
        }
        _ if name.starts_with("vehicle") => {
            let places = case.study.places();
            named(places).or_else(|| places.first().cloned())
        }
        _ => named(case.study.pictures()),
    }
}
