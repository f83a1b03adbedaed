//! The card of prices on Put right: choices, what each repair adds, what was agreed to.

use analysis::{ChoiceView, PriceView};
use maud::{Markup, html};

use crate::look::form;
use crate::serve::Opened;
use crate::station::{Station, agreed};

/// The card; without a rate in the record only how to get one.
pub(crate) fn card(case: &Opened) -> Markup {
    html! {
        section class="card" id="price" {
            h2 { "Price" }
            @match case.study.price() {
                None => {
                    p { "No rate is recorded. With one, choices with prices stand here." }
                    (hour(case))
                },
                Some(Err(why)) => p { (why) },
                Some(Ok(view)) => (choices(case, view)),
            }
        }
    }
}

/// A rate that is still wanted: a line of `[workshop]`.
fn ask(case: &Opened, label: &str, help: &str, key: &str, pattern: &str) -> Markup {
    let back = format!("{}#price", Station::PutRight.address(&case.id));
    form::change_line(
        &case.id,
        "line",
        &back,
        &html! {
            (form::line_fields("workshop", &format!("{key} = \"%is%\"")))
            label class="grow" { (label) small { (help) }
                input class="fig" name="is" required pattern=(pattern) title=(help) autocomplete="off"; }
            button { "Keep" }
        },
    )
}

fn hour(case: &Opened) -> Markup {
    let pattern = "\\s*[0-9]+([.,][0-9]+)?\\s*[A-Za-z]{3}\\s*";
    ask(case, "An hour of work, before tax", "a number and the currency: 78 EUR", "hour", pattern)
}

fn tax(case: &Opened) -> Markup {
    let pattern = "\\s*[0-9]+([.,][0-9]+)?\\s*%\\s*";
    ask(case, "Tax on it", "in per cent: 19 %", "tax", pattern)
}

fn choices(case: &Opened, view: &PriceView) -> Markup {
    let back = format!("{}#price", Station::PutRight.address(&case.id));
    html! {
        p class="quiet" { "Each choice ends findings that were made. None says that nothing else is wrong." }
        ul class="rows" { @for choice in &view.choices { li { (choice_row(choice))
            @if !choice.repairs.is_empty() { (agreed::form_for(case, &back, &choice.repairs, &choice.total)) }
        } } }
        @for missing in &view.missing_rates { p { b { "Missing: " } (missing) } }
        @if view.missing_rates.iter().any(|missing| missing.contains("tax")) { (tax(case)) }
        @if !view.flags.is_empty() {
            details class="fold" { summary { "To clear up (" (view.flags.len()) ")" } div { ul { @for flag in &view.flags { li { (flag) } } } } }
        }
        @if !view.marginal.is_empty() {
            details class="fold" { summary { "What each repair adds" } div {
                ul class="rows" { @for row in &view.marginal { li {
                    span { (row.title) }
                    span class="fig" { (row.amount) @if !row.is_in {
                        @if row.instead_of.is_empty() { " (not in it)" } @else { " (instead of " (row.instead_of.join(", ")) ")" }
                    } }
                } } }
            } }
        }
        @if let Some(law) = &view.law {
            details class="fold" { summary { "Rules on estimates: " (law.name) } div {
                ul { @for rule in law.rules.iter().chain(&law.opening) { li { (rule) } } }
                p class="quiet small" { (law.edition) ", " (law.standing) ". " (law.caution) }
            } }
        }
    }
}

fn choice_row(choice: &ChoiceView) -> Markup {
    if choice.repairs.is_empty() {
        return html! {
            span { b { (choice.title) } br;
                span class="quiet small" { "No repair of the list ends it. What the search for the fault comes to is not priced here: agree on it by itself." } }
            span { "not priced" }
        };
    }
    html! {
        span {
            b { (choice.title) }
            br;
            span class="quiet small" { (choice.repairs.len()) @if choice.repairs.len() == 1 { " repair, " } @else { " repairs, " } (format!("{:.0}", choice.minutes)) " min, " (format!("{:.0}", choice.minutes_p80)) " in eight of ten cases" }
        }
        span class="fig" {
            @if choice.total.is_empty() { "no rate" } @else { (choice.total) }
            @if !choice.without_amount.is_empty() { span class="quiet small" { " without " (choice.without_amount.len()) @if choice.without_amount.len() == 1 { " line that has no price" } @else { " lines that have no price" } } }
        }
    }
}
