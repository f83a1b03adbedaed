//! Drawings on a page.

use maud::{Markup, html};

/// A drawing that the script fetches and makes ready for fingers; a picture of it without script.
/// `others` are drawings that can be shown in its place: address and words. `near` are the things that a
/// screen too small for the whole shows first.
pub(crate) fn drawing(
    address: &str,
    title: &str,
    others: &[(String, String)],
    near: &[String],
) -> Markup {
    html! {
        figure data-drawing-src=(address) data-near=(near.join(",")) {
            @if others.len() > 1 {
                div class="buttons" { @for (other, words) in others {
                    a class="button" role="button" href=(other) data-show=(other) aria-pressed=((other == address).to_string()) { (words) }
                } }
            }
            div class="stage" { noscript { img src=(address) alt=(title); } }
            figcaption class="quiet small" { (title) }
        }
    }
}
