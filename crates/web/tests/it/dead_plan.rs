//! A work area made dead on its station: steps ticked with a reading, a reading that contradicts, what
//! stands on every page meanwhile, and what the next shift is told.

use crate::records::DUNLIN;
use crate::support::Bay;

const PLAN: &str = "/case/dunlin/dead?area=fridge";

async fn tick(bay: &Bay, step: &str, reading: &str) {
    let fields =
        [("kind", "tick"), ("list", "dead"), ("step", step), ("done", "yes"), ("reading", reading)];
    bay.enter("dunlin", &fields).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn an_area_asked_for_gets_its_plan_with_hazard_reading_and_tag() {
    let bay = Bay::with(&[("dunlin", DUNLIN)]);
    let page = bay.page(PLAN).await;
    for words in
        ["Pull the fuse of box.1", "box.1 to body", "Tag: Do not put a fuse in.", "below 1 V"]
    {
        assert!(page.contains(words), "{words}");
    }
    assert!(page.contains("Not dead."), "nothing was done yet");
    let unknown = bay.page("/case/dunlin/dead?area=nowhere").await;
    assert!(unknown.contains("no device, wire, part or spot nowhere"));
}

#[tokio::test(flavor = "multi_thread")]
async fn while_steps_are_open_every_page_of_the_case_says_still_live() {
    let bay = Bay::with(&[("dunlin", DUNLIN)]);
    assert!(!bay.page("/case/dunlin/found").await.contains("STILL LIVE"));
    tick(&bay, "fridge | loads", "").await;
    for page in ["found", "way-in", "hand-over", "history", "item/house"] {
        let page = bay.page(&format!("/case/dunlin/{page}")).await;
        assert!(page.contains("STILL LIVE: <b>fridge</b>, 1 of "), "{page}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_reading_that_contradicts_stops_the_plan_on_every_page_and_holds_what_follows() {
    let bay = Bay::with(&[("dunlin", DUNLIN)]);
    tick(&bay, "fridge | pull fuse box.1", "13,1").await;
    let page = bay.page("/case/dunlin/dead").await;
    assert!(page.contains("13.1 V") && page.contains("What could feed it"), "{page}");
    assert!(page.contains("held: a reading contradicts the plan"));
    assert!(page.contains("second battery of the base vehicle"));
    let other = bay.page("/case/dunlin/suspects").await;
    assert!(other.contains("STOP. Making dead <b>fridge</b>: step 3"), "{other}");
}

#[tokio::test(flavor = "multi_thread")]
async fn the_next_shift_is_told_who_locked_what_and_what_was_read() {
    let bay = Bay::with(&[("dunlin", DUNLIN)]);
    tick(&bay, "fridge | pull fuse box.1", "0.02 V").await;
    let page = bay.page("/case/dunlin/dead").await;
    let card = &page[page.find("For the next shift").expect("the card")..];
    assert!(card.contains("Pull the fuse of box.1") && card.contains("locked by"), "{card}");
    assert!(card.contains("0.02 V"));
    assert!(!page.contains("STOP."));
}
