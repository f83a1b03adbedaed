//! The frame of every page: the title block of a drawing, the bar of stations, what is still live.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::look::viewer::Viewer;
use crate::serve::Opened;
use crate::station::{Station, dead_plan, open, triage};

/// The mark of the program: a bar with three taps, the middle one open.
const MARK: &str = r#"<svg viewBox="0 0 28 28" aria-hidden="true"><path d="M2 7h24M6 7v9M14 7v4M14 11l5 5M22 7v9" fill="none" stroke="currentColor" stroke-width="3"/><path d="M3 21h6M11 21h6M19 21h6" stroke="currentColor" stroke-width="3"/></svg>"#;

/// What stands round a page.
pub(crate) struct Frame<'a> {
    /// What the page is.
    pub(crate) title: &'a str,
    /// Who looks at it.
    pub(crate) viewer: &'a Viewer,
    /// The case, if it is of one.
    pub(crate) case: Option<&'a Opened>,
    /// The station, if it is one.
    pub(crate) station: Option<Station>,
}

/// A whole page.
pub(crate) fn page(frame: &Frame<'_>, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover";
                meta name="color-scheme" content="light dark";
                meta name="theme-color" content="#15181c";
                title { (frame.title) " · Unbury" }
                script src="/assets/light.js" {}
                link rel="stylesheet" href="/assets/unbury.css";
                link rel="stylesheet" href="/assets/added.css";
                link rel="icon" href="/assets/mark.svg" type="image/svg+xml";
                script type="module" src="/assets/unbury.js" {}
            }
            body data-case=[frame.case.map(|case| &case.id)]
                data-head=[frame.case.map(|case| case.kept.head)] {
                a class="skip" href="#main" { "To the page itself" }
                (block(frame))
                @if let Some(case) = frame.case { (live_now(case)) }
                @if let Some(case) = frame.case { (bar(case, frame.station)) }
                main id="main" data-part { (body) div data-waiting-here {} }
            }
        }
    }
}

/// A page that stands for itself: logging in, something that went wrong.
pub(crate) fn plain(title: &str, body: &Markup) -> Markup {
    let viewer = Viewer::default();
    page(&Frame { title, viewer: &viewer, case: None, station: None }, body)
}

fn block(frame: &Frame<'_>) -> Markup {
    html! {
        header class="block" { div class="block-in" {
            a class="cell mark" href="/" aria-label="All cases" { (PreEscaped(MARK)) }
            div class="cell name" id="case-name" data-part {
                @match frame.case {
                    Some(case) => {
                        b { (case.kept.title) }
                        a class="small" href={ "/case/" (case.id) "/history" } {
                            span { "entry " span class="fig" { (case.kept.head) } " · history" }
                        }
                    },
                    None => b { "Unbury" },
                }
            }
            details {
                summary aria-label="Light, and who you are" { (PreEscaped(LAMP)) }
                div class="drop" {
                    button type="button" data-light-next { "Light" }
                    p { "You are " b { (frame.viewer.name.as_deref().unwrap_or("whoever holds this device")) } }
                    @if frame.viewer.can_leave {
                        form method="post" action="/logout" { button { "Log out" } }
                        p class="pair" { a class="in" href="/password" { "New password" } @if frame.viewer.is_lead { a class="in" href="/people" { "People" } } }
                    }
                    @if frame.viewer.is_lead { p class="pair" { a class="in" href="/keep" { "Keep and move" } } }
                }
            }
        } }
    }
}

const LAMP: &str = r#"<svg viewBox="0 0 24 24" width="26" height="26" aria-hidden="true"><circle cx="12" cy="12" r="5" fill="none" stroke="currentColor" stroke-width="2.4"/><path d="M12 1v4M12 19v4M1 12h4M19 12h4M4 4l3 3M17 17l3 3M20 4l-3 3M7 17l-3 3" stroke="currentColor" stroke-width="2.4"/></svg>"#;

/// The stations in the order of the job, with what is still open at each.
fn bar(case: &Opened, here: Option<Station>) -> Markup {
    let open = open::at_each(case);
    html! {
        nav class="stations" id="stations" data-part aria-label="Stations" { ol {
            @for (number, station) in (1..).zip(Station::ALL) {
                @let count = open[station as usize];
                li class=[(count == 0).then_some("done")] {
                    a href=(station.address(&case.id)) data-keep aria-current=[(here == Some(station)).then_some("page")] {
                        span class="tap" aria-hidden="true" { (number) }
                        @if count > 0 {
                            span class="open" aria-hidden="true" { (count) }
                        }
                        span class="word" { (station.title()) }
                        span class="out" { @if count > 0 { ", " (count) " open" } @else { ", nothing open" } }
                    }
                }
            }
        } }
    }
}

/// What stays live whatever is switched off, on every station.
fn live_now(case: &Opened) -> Markup {
    let stays = &case.study.handover().isolation.stays;
    let certain: Vec<&str> = stays
        .iter()
        .filter(|stay| !stay.wires.is_empty())
        .map(|stay| if stay.label.is_empty() { stay.source.as_str() } else { stay.label.as_str() })
        .collect();
    let planned = dead_plan::banner(case);
    html! { (triage::dangers(case)) @if !certain.is_empty() || !planned.0.is_empty() {
        div class={ "live" @if dead_plan::is_stopped(case) { " stop" } } id="live" data-part {
            (planned)
            @if !certain.is_empty() { div class="live-in" {
                (crate::look::finding::sign("WARNING"))
                " Still live with everything switched off: " b { (certain.join(", ")) } " "
                a href=(Station::Dead.address(&case.id)) { "what to do" }
            } }
        }
    } }
}
