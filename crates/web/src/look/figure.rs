//! Drawings on a page.

use maud::{Markup, PreEscaped, html};

/// A drawing that the script fetches and makes ready for fingers; a picture of it without script.
/// `others` are drawings that can be shown in its place: address and words.
pub(crate) fn drawing(address: &str, title: &str, others: &[(String, String)]) -> Markup {
    html! {
        figure data-drawing-src=(address) {
            @if others.len() > 1 {
                div class="buttons" { @for (other, words) in others {
                    a class="button" href=(other) data-show=(other) aria-pressed=((other == address).to_string()) { (words) }
                } }
            }
            div class="stage" { noscript { img src=(address) alt=(title); } }
            figcaption class="quiet small" { (title) }
        }
    }
}

/// A chart that is made as wide as the page. `svg` is one of our own: it escapes what it is given.
pub(crate) fn chart(title: &str, svg: &str) -> Markup {
    html! {
        figure class="chart" {
            div class="paper" tabindex="0" role="group" aria-label=(title) { (PreEscaped(inline(svg))) }
        }
    }
}

/// Without the declaration of a file of its own, and without its style rules: those of the page say the
/// same (`assets/unbury.css`), and no rule written into a page is let through.
fn inline(svg: &str) -> String {
    let from = svg.find("<svg").map_or("", |at| &svg[at..]);
    match (from.find("<style>"), from.find("</style>")) {
        (Some(start), Some(end)) if start < end => {
            format!("{}{}", &from[..start], &from[end + "</style>".len()..])
        }
        _ => from.to_owned(),
    }
}
