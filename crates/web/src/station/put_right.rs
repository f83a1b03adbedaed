//! Put right: repairs that cure, chosen and written; what fails with what to do about it.

use analysis::{FindingView, MendList};
use maud::{Markup, html};

use crate::look::finding::{Beside, Told};
use crate::look::{finding, form, tick};
use crate::serve::Opened;
use crate::station::{Station, agreed, mends, price_card};

pub(crate) fn page(case: &Opened) -> Markup {
    let findings = &case.study.review().findings;
    let list = case.study.repairs();
    let is_open = |of: &&FindingView| !case.is_ticked("mend", &key(of));
    html! {
        div class="title" { h1 { "Put right" }
            p class="quiet" { (findings.iter().filter(is_open).count()) " of " (findings.len()) " findings open"
                @if let Some(list) = list { ", " (list.offers.len()) " repairs offered" } }
        }
        (mends::chosen(case, &case.study.case().chosen_mends()))
        section class="card" id="findings" {
            h2 { "Findings, worst first" }
            @if findings.is_empty() { p { "By what is recorded nothing fails. What was not seen was not judged." } }
            (finding::grouped(&case.id, case.study.review(), Told::Briefly, &Beside {
                on_line: &|of| html! { @if case.is_ticked("mend", &key(of)) { span class="tag" { "put right" } } },
                below: &|number, of| html! {
                    @if let Some(list) = list { (repairs(list, of)) }
                    (tick::form(case, &tick::Step {
                        list: "mend", step: &key(of), done: "It is put right", undone: "Not so after all", reading: None,
                        pad: "", back: &format!("{}#finding-{number}", Station::PutRight.address(&case.id)),
                    }))
                },
            }))
        }
        @match list {
            Some(list) => { (mends::offers(case, list)) (by_hand(case)) (price_card::card(case)) },
            None => {
                (working())
                @if let Some(earlier) = case.repaired_before().and_then(|study| study.repairs()) { (mends::before(case, earlier)) }
                (by_hand(case))
            },
        }
        section class="card" id="agreed" { header { h2 { "Agreed and declined" } span class="count" { (agreed::count(case)) } }
            (agreed::list(case))
            (agreed::form(case, &format!("{}#agreed", Station::PutRight.address(&case.id)), &["everything"]))
        }
    }
}

/// Repairs take their time; the page is taken anew when they are there.
fn working() -> Markup {
    html! {
        div class="working" role="status" id="offers" {
            p { b { "Working. " } span class="fig" data-elapsed="" aria-hidden="true" {} " Every repair is put into the record, looked at again and priced before it is offered." }
            p class="quiet" { "The page shows them when they are there. Without script: " a href="" { "look again" } "." }
        }
    }
}

/// A finding as a step: the same as long as check and place are.
pub(crate) fn key(of: &FindingView) -> String {
    format!("{}, {}", of.title, of.place.name)
}

/// The repairs for a finding, or why there is none.
fn repairs(list: &MendList, of: &FindingView) -> Markup {
    let cures = |offer: &&analysis::MendOffer| {
        offer.cures.iter().any(|cured| cured.check == of.check && cured.place == of.place.name)
    };
    let offers: Vec<_> = list.offers.iter().filter(cures).collect();
    let without =
        list.without.iter().find(|no| no.check == of.check && no.place.name == of.place.name);
    html! {
        @if !offers.is_empty() {
            p { "Cured by:" }
            ul class="rows" { @for offer in offers { li { a class="row" href={ "#mend-" (offer.id) } { b { (offer.title) } } } } }
        }
        @if let Some(no) = without {
            p class="quiet" { "No repair is computed: " (no.why.join("; ")) "." }
        }
    }
}

/// A repair that somebody thinks of.
fn by_hand(case: &Opened) -> Markup {
    html! {
        section class="card" id="by-hand" {
            h2 { "Another repair" }
            details class="fold" { summary { "Write one yourself" } div {
                p class="quiet" { "It changes values of the record; what comes of it is computed before anybody picks up a tool." }
                (form::change(&case.id, "line", &format!("{}#mends", Station::PutRight.address(&case.id)), &html! {
                    (form::line_fields("mends", "%name% = { words = \"%words%\", sets = { \"%path%\" = \"%is%\" } }"))
                    (form::words("name", "Name", "letters, digits, hyphens", ""))
                    (form::words("words", "What is done", "", ""))
                    (form::words("path", "Which value", "wires.w12, devices.fridge-fuse.rated, joints.c3 at bracket", ""))
                    (form::words("is", "What it will be", "the whole line or the value", ""))
                    button class="main" { "Propose" }
                }))
            } }
        }
    }
}
