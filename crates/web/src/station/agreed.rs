//! What was agreed to and declined: the list, which is `[authority]` of the record, and the form for a
//! yes or a no.

use analysis::AuthorisationView;
use maud::{Markup, html};

use crate::look::form;
use crate::serve::Opened;

/// Everything that was agreed to or declined, in the order it came.
pub(crate) fn list(case: &Opened) -> Markup {
    let all = case.study.case().authorisations();
    html! {
        @if all.is_empty() { p { "Nothing is recorded yet." } }
        ul class="rows" data-lines="authority" { @for one in &all { li { (row(one)) } } }
    }
}

/// How many there are.
pub(crate) fn count(case: &Opened) -> usize {
    case.study.case().authorisations().len()
}

fn row(of: &AuthorisationView) -> Markup {
    let or = |words: &str, nothing: &str| {
        if words.is_empty() { nothing.to_owned() } else { words.to_owned() }
    };
    html! {
        @if !of.allows.is_empty() { span { b { "Yes: " } (of.allows.join(", ")) } }
        @if !of.declines.is_empty() { span { b { "Declined: " } (of.declines.join(", ")) } }
        @if !of.words.is_empty() { span { "“" (of.words) "”" } }
        span class="quiet small" {
            (or(&of.by, "nobody named"))
            @if !of.channel.is_empty() { ", " (of.channel) }
            @if !of.on.is_empty() { ", " (of.on) }
            @if !of.total.is_empty() { ", up to " span class="fig" { (of.total) } }
            @if !of.recorder.is_empty() { "; written down by " (of.recorder) }
        }
        @if !of.lacks.is_empty() { span class="quiet small" { "Not said: " (of.lacks.join(", ")) } }
    }
}

/// The form for a yes or a no to something that is written into it; `to` are usual things.
pub(crate) fn form(case: &Opened, back: &str, to: &[&str]) -> Markup {
    let what = html! { (form::suggested("to", "To what", "", to.iter().copied())) };
    let most =
        html! { (form::words("up_to", "Up to how much", "a sum, tax included, or a time", "")) };
    folded(case, back, ("Record a yes or a no", ""), &what, &most)
}

/// The form for a yes or a no to a set of repairs with its total.
pub(crate) fn form_for(case: &Opened, back: &str, repairs: &[String], total: &str) -> Markup {
    let repairs = repairs.join(", ");
    let what = form::hidden("to", &repairs);
    let most = form::hidden("up_to", total);
    folded(case, back, ("The owner's yes or no to this", &repairs), &what, &most)
}

fn folded(
    case: &Opened,
    back: &str,
    (title, of): (&str, &str),
    what: &Markup,
    most: &Markup,
) -> Markup {
    html! {
        details class="fold" data-key={ (title) " " (of) } { summary { (title) } div {
            (form::change(&case.id, "authority", back, &html! {
                (what)
                div class="fields" {
                    (form::words("by", "Who says so", "the owner, or who may speak for them", ""))
                    (form::suggested("how", "How", "", ["in person", "on the telephone", "by message", "in writing"]))
                    (most)
                    (form::words("words", "In their words", "as they said it", ""))
                }
                div class="buttons" {
                    button class="main" name="given" value="yes" { "Yes" }
                    button name="given" value="no" { "No" }
                }
            }))
        } }
    }
}
