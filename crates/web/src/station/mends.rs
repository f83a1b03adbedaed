//! Repairs on the page Put right: those chosen with what they make of the findings, those offered.

use analysis::{ChosenMend, MendList, MendOffer};
use maud::{Markup, html};

use crate::look::finding::{encoded, hazard, sign};
use crate::look::form;
use crate::serve::Opened;
use crate::station::Station;
use crate::station::put_right::key;
use crate::study::Study;

/// What is chosen: `[mends]` of the record, with the findings before and after.
pub(crate) fn chosen(case: &Opened, chosen: &[ChosenMend]) -> Markup {
    html! {
        section class="card big" id="mends" {
            header { h2 { "Chosen" } span class="count" { (chosen.len()) } }
            @if chosen.is_empty() { p { "None is chosen yet. Choose below; the proof sheet follows from what is chosen." } }
            ul class="rows" { @for mend in chosen { li { (one_chosen(case, mend)) } } }
            @if let Some(after) = case.study.mended() { (compared(&case.study, after)) }
            @if !chosen.is_empty() { p { a class="button" href=(Station::Prove.address(&case.id)) { "The proof sheet" } } }
        }
    }
}

fn one_chosen(case: &Opened, mend: &ChosenMend) -> Markup {
    let back = format!("{}#mends", Station::PutRight.address(&case.id));
    let path = format!("mends.{}", mend.name);
    let was = case.study.case().written_value(&["mends", &mend.name]);
    html! {
        b { (mend.words) }
        span { span class="tag" { (mend.stands) } " " span class="fig quiet" { (mend.name) } }
        @if !mend.why.is_empty() { (hazard("NOTICE", &html! { p { (mend.why) ". Nothing was written." } })) }
        div class="buttons" {
            @if mend.stands == "planned" {
                (form::plain(&case.id, "put-in", &back, &html! {
                    (form::hidden("mend", &mend.name))
                    button class="main" { "It is done: write it into the record" }
                }))
            }
            (form::change_line(&case.id, "remove", &back, &html! {
                (form::hidden("path", &path))
                @if let Some(was) = &was { (form::hidden("was", was)) }
                button { "Not this after all" }
            }))
        }
    }
}

fn compared(before: &Study, after: &Study) -> Markup {
    let (before, after) = (&before.review().findings, &after.review().findings);
    let gone: Vec<_> =
        before.iter().filter(|of| !after.iter().any(|other| key(other) == key(of))).collect();
    let new: Vec<_> =
        after.iter().filter(|of| !before.iter().any(|other| key(other) == key(of))).collect();
    html! {
        dl class="facts" {
            div { dt { "Fails now" } dd class="fig" { (before.len()) } }
            div { dt { "Fails with the mends" } dd class="fig" { (after.len()) } }
        }
        @if !gone.is_empty() { h3 { "Goes away" } ul { @for of in gone { li { (key(of)) } } } }
        @if !new.is_empty() { h3 { "Comes up" } ul { @for of in new { li { b { (of.signal) ": " } (of.message) } } } }
    }
}

/// What is offered, worst finding first.
pub(crate) fn offers(case: &Opened, list: &MendList) -> Markup {
    html! {
        section class="card" id="offers" {
            header { h2 { "Repairs offered" } span class="count" { (list.offers.len()) } }
            p class="quiet" { "Each was put into the record and looked at again: it cures, and raises nothing. Minutes are common practice; the opening comes on top." }
            @for offer in &list.offers { (one_offer(case, list, offer)) }
        }
    }
}

/// What was offered before the last entry, while it is worked out anew: to read, not to choose from, as
/// what was entered since may have changed it.
pub(crate) fn before(case: &Opened, list: &MendList) -> Markup {
    let chosen = case.study.case().chosen_mends();
    html! {
        div class="old" { section class="card" aria-label="Before the last entry" {
            header { h2 { "Repairs offered" } span class="count" { (list.offers.len()) } }
            p class="said" { b { "Before the last entry. " } "These were offered then; what was entered since is not in it yet." }
            ul class="rows" {
                @for offer in &list.offers {
                    li { div class="row" {
                        b { (offer.title) }
                        span class="quiet small" { span class="fig" { (round(offer.minutes[1])) " min" } " of work" }
                        @if chosen.iter().any(|mend| mend.name == offer.id) { span class="tag" { "chosen" } }
                    } }
                }
            }
        } }
    }
}

/// An offer on one line with the word of the worst it cures and its minutes; opened by a touch.
fn one_offer(case: &Opened, list: &MendList, offer: &MendOffer) -> Markup {
    let is_chosen = list.chosen.iter().any(|mend| mend.name == offer.id);
    let findings = &case.study.review().findings;
    let is_cured = |of: &&analysis::FindingView| {
        offer.cures.iter().any(|cured| cured.check == of.check && cured.place == of.place.name)
    };
    html! {
        details class="fold finding" data-key={ "offer " (offer.id) } {
            summary { span class="line-of" {
                @if let Some(worst) = findings.iter().find(is_cured) { (sign(&worst.signal)) }
                b { (offer.title) }
                span class="quiet small" { span class="fig" { (round(offer.minutes[1])) " min" } " of work" @if !offer.reach.is_empty() { ", opening on top" } }
                @if offer.by == "licensed" { span class="tag" { "licensed" } }
                @if is_chosen { span class="tag" { "chosen" } }
            } }
            div { article class="what" id={ "mend-" (offer.id) } { (whole_offer(case, list, offer, is_chosen)) } }
        }
    }
}

fn whole_offer(case: &Opened, list: &MendList, offer: &MendOffer, is_chosen: bool) -> Markup {
    let [low, likely, high] = offer.minutes;
    html! {
        @if offer.by == "licensed" { p { span class="tag" { "only for somebody licensed, by the local rules" } } }
        @for caution in &offer.cautions { (hazard(&caution.signal, &html! { p { (caution.words) } })) }
        dl class="facts" {
            @for figure in &offer.figures { div { dt { (figure.what) } dd class="fig" { (figure.before) " → " (figure.after) } } }
            div { dt { "Minutes of work" } dd class="fig" { (round(low)) " / " (round(likely)) " / " (round(high)) } }
        }
        p { "Cures: " (offer.cures.iter().map(|cured| format!("{}, {}", cured.title, cured.place)).collect::<Vec<_>>().join("; ")) }
        @if !offer.then_find_out.is_empty() { p class="quiet" { "Then to be measured: " (offer.then_find_out.join("; ")) } }
        (reach(case, offer))
        (more(offer))
        @if !offer.instead.is_empty() { p class="small" { "Instead of it: "
            @for id in &offer.instead { a class="in" href={ "#mend-" (id) } { (title_of(list, id)) } " " } } }
        @if is_chosen { p { span class="tag" { "chosen" } } }
        @else if let Some(other) = list.chosen_instead_of(offer) { p class="quiet" {
            "It changes the same as what is chosen already: "
            a class="in" href={ "#mend-" (other.id) } { (other.title) } ". Take that back first."
        } }
        @else { (choose(case, offer)) }
    }
}

fn title_of<'l>(list: &'l MendList, id: &'l str) -> &'l str {
    list.offers.iter().find(|offer| offer.id == id).map_or(id, |offer| offer.title.as_str())
}

fn round(minutes: f64) -> String {
    format!("{minutes:.0}")
}

/// What must be open for it, place by place.
fn reach(case: &Opened, offer: &MendOffer) -> Markup {
    let ways = offer.reach.iter().filter_map(|name| case.study.case().way_in(name));
    let words = ways.map(|way| match &way.cost {
        Some(cost) => format!("{}: {}", way.target, cost.words),
        None => format!("{}: {}", way.target, way.words),
    });
    html! {
        @if !offer.reach.is_empty() {
            p class="quiet" { "To get there: " (words.collect::<Vec<_>>().join("; ")) }
            p { a class="in" href={ (Station::WayIn.address(&case.id)) "?to=" (encoded(&offer.reach.join(","))) } { "The way in to all of it" } }
        }
    }
}

fn more(offer: &MendOffer) -> Markup {
    html! {
        details class="fold" { summary { "Parts, work, reasons" } div {
            ul { @for part in &offer.parts { li { span class="fig" { (part.quantity) " " (part.unit) } ": " (part.what) span class="quiet" { " (" (part.why) ")" } } } }
            ul { @for work in &offer.work { li { span class="fig" { (round(work.minutes[1])) " min" } ": " (work.what) } } }
            ul { @for why in &offer.because { li class="quiet" { (why) } } }
        } }
    }
}

fn choose(case: &Opened, offer: &MendOffer) -> Markup {
    let back = format!("{}#mends", Station::PutRight.address(&case.id));
    form::change_line(
        &case.id,
        "line",
        &back,
        &html! {
            (form::hidden("section", "mends")) (form::hidden("text", &offer.line))
            button class="main" { "Choose" }
        },
    )
}
