//! What is answered, mended or read in a touch or two, without script: the forms stand on the pages and
//! do what they say.

use crate::records::DUNLIN;
use crate::support::{Bay, between, escaped};

fn bay() -> Bay {
    Bay::with(&[("dunlin", DUNLIN)])
}

/// The fields of the first form that has a button of these words, with the button's own.
fn form_of(page: &str, words: &str) -> Vec<(String, String)> {
    let at = page.find(&format!(">{words}</button>")).expect("the button");
    let start = page[..at].rfind("<form").expect("its form");
    let inside = &page[start..at];
    let mut fields = Vec::new();
    for tag in inside.split('<').filter(|tag| tag.starts_with("input type=\"hidden\"")) {
        let name = between(tag, "name=\"", "\"").expect("a name");
        let value = between(tag, "value=\"", "\"").unwrap_or_default();
        fields.push((name.to_owned(), value.replace("&quot;", "\"").replace("&amp;", "&")));
    }
    let button = &inside[inside.rfind("<button").expect("the button")..];
    if let Some(name) = between(button, "name=\"", "\"") {
        let value = between(button, "value=\"", "\"").unwrap_or_default();
        fields.push((name.to_owned(), value.to_owned()));
    }
    fields
}

async fn touch(bay: &Bay, page: &str, words: &str, more: &[(&str, &str)]) {
    let fields = form_of(page, words);
    let fields = fields.iter().map(|(name, value)| (name.as_str(), value.as_str()));
    bay.enter("dunlin", &fields.chain(more.iter().copied()).collect::<Vec<_>>()).await;
}

/// What is asked of one symptom: the row of these words.
fn row<'p>(page: &'p str, words: &str) -> &'p str {
    let start = page.find(&escaped(words)).expect("the symptom");
    let end = page[start..].find("</li>").expect("the end of its row");
    &page[start..start + end]
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_not_said_of_a_symptom_is_said_where_it_stands() {
    let bay = bay();
    let browned = "The fuse-holder by the fridge vent is browned";
    let page = bay.page("/case/dunlin/arrival").await;
    let asked = row(&page, browned);
    assert!(!asked.contains("Which device?") && asked.contains("In which state?"), "{asked}");
    touch(&bay, asked, "night", &[]).await;
    let page = bay.page("/case/dunlin/arrival").await;
    let asked = row(&page, browned);
    assert!(!asked.contains("In which state?"), "{asked}");
    touch(&bay, asked, "warm", &[("by", "seen")]).await;
    let said = "device = \"fridge-fuse\", state = \"night\", shows = \"seen warm\" }";
    assert!(bay.record("dunlin").contains(said), "{}", bay.record("dunlin"));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_symptom_of_words_alone_keeps_them_and_gets_its_device() {
    let bay = bay();
    let words =
        "The residual-current device at one camp site tripped as soon as the lead was plugged in.";
    let page = bay.page("/case/dunlin/arrival").await;
    touch(&bay, row(&page, words), "fridge", &[]).await;
    let record = bay.record("dunlin");
    assert!(record.contains(&format!("trip = {{ words = \"{words}\", device = \"fridge\" }}")));
    assert_eq!(record.matches(words).count(), 1, "it stands there once");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_name_that_was_meant_is_written_into_the_record_by_a_touch() {
    let bay = bay();
    let line =
        [("kind", "line"), ("section", "wires"), ("text", "x9 = \"box.3 to frige.+, 1 mm2\"")];
    bay.enter("dunlin", &line).await;
    let page = bay.page("/case/dunlin/found").await;
    touch(&bay, &page, "Write fridge", &[]).await;
    assert!(bay.record("dunlin").contains("\nx9 = \"box.3 to fridge.+, 1 mm2\"\n"));
    assert!(!bay.page("/case/dunlin/found").await.contains("Not understood"));
    // Sent a second time it finds nothing to mend, and writes nothing.
    let fields = form_of(&page, "Write fridge");
    let fields: Vec<_> =
        fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    let (status, _) = bay.send("/case/dunlin/found", "/case/dunlin/form", &fields).await;
    assert_eq!(status.as_u16(), 422);
}

#[tokio::test(flavor = "multi_thread")]
async fn while_a_line_is_typed_the_near_name_is_offered_for_its_field() {
    let query = "section=wires&text=x9+%3D+%22box.3+to+frige.%2B%22";
    let said = bay().page(&format!("/case/dunlin/preview?{query}")).await;
    assert!(said.contains("data-put=\"fridge\" data-for=\"frige\""), "{said}");
}

#[tokio::test(flavor = "multi_thread")]
async fn who_has_nothing_yet_is_told_what_to_do_and_can_take_a_reading() {
    const NEW: &str = "unbury = 1\n[vehicle]\nname = \"N\"\n[devices]\nstarter = { kind = \"starter battery\" }\nearth = { kind = \"chassis point\" }\n[wires]\nv = \"starter.- to earth\"\n[states]\nrest = { charge = { starter = \"80 %\" } }\n";
    let bay = Bay::with(&[("dunlin", NEW)]);
    let page = bay.searched("dunlin").await;
    assert!(page.contains("Nothing to weigh yet"), "{page}");
    let read = [("state", "rest"), ("red", "starter.+"), ("black", "starter.-"), ("value", "12,4")];
    touch(&bay, &page, "Enter the reading", &read).await;
    let record = bay.record("dunlin");
    assert!(
        record.contains("\"rest: 12.4 V between starter.+ and starter.-, multimeter\""),
        "{record}"
    );
    let page = bay.searched("dunlin").await;
    let readings = &page[page.find("id=\"readings\"").expect("the readings")..];
    assert!(readings.contains("12.4 V"), "{readings}");
}

#[tokio::test(flavor = "multi_thread")]
async fn findings_and_repairs_are_folded_and_only_the_first_danger_is_open() {
    let bay = bay();
    let page = bay.worked("/case/dunlin/put-right").await;
    let folds = page.matches("<details class=\"fold finding\"").count();
    let open = page.split("<details class=\"fold finding\"").skip(1);
    let open: Vec<_> = open.map(|of| between(of, "", ">").unwrap_or_default()).collect();
    assert!(folds > 30, "{folds} findings and repairs");
    let open: Vec<_> = (0..open.len()).filter(|place| open[*place].ends_with(" open")).collect();
    assert_eq!(open, [0]);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_dead_test_has_a_field_for_the_tester_for_the_points_and_for_the_tester_again() {
    let bay = bay();
    let page = bay.page("/case/dunlin/dead").await;
    let read = [("known", "12.6 V"), ("points", "0.01 V"), ("again", "12.6 V")];
    touch(&bay, &page, "Off and proved", &read).await;
    let page = bay.page("/case/dunlin/dead").await;
    assert!(page.contains("known source 12.6 V; points 0.01 V; known source again 12.6 V"));
    let plan = bay.page("/case/dunlin/dead?area=fridge").await;
    for words in [
        "Read before the step",
        "Read after the step",
        "full daylight on the modules",
        "What it showed on the known source",
    ] {
        assert!(plan.contains(words), "{words}");
    }
    touch(&bay, &plan, "Keep the reading before", &[("reading", "12.6 V")]).await;
    let plan = bay.page("/case/dunlin/dead?area=fridge").await;
    assert!(
        plan.contains("Read it again") && !plan.contains("STOP."),
        "a live point before its step is no alarm"
    );
}
