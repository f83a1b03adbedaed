//! Every page of every record: there, with the figures of the engines, every word of the record escaped.

use analysis::Case;
use axum::http::StatusCode;

use crate::records::{ALL, EXPECTED, FAULTY, with_script};
use crate::support::{Bay, escaped};

const STATIONS: [&str; 8] =
    ["arrival", "dead", "found", "suspects", "way-in", "put-right", "prove", "hand-over"];

async fn every_page(bay: &Bay, case: &str) -> Vec<(String, String)> {
    let mut pages = Vec::new();
    let mut addresses: Vec<String> =
        STATIONS.iter().map(|station| format!("/case/{case}/{station}")).collect();
    addresses.push(format!("/case/{case}/history"));
    let study = bay.state.open(case).expect("the case").study;
    let mut seen = Vec::new();
    for (sort, name, _) in study.case().item_names() {
        // A few of each sort; a core of a cable has a mark in its name.
        let few =
            seen.iter().filter(|known| **known == sort).count() < 2 || name.contains(['/', '+']);
        if few {
            addresses.push(format!(
                "/case/{case}/item/{}",
                name.replace('/', "%2F").replace('+', "%2B")
            ));
            addresses.push(format!(
                "/case/{case}/way-in?to={}",
                name.replace('/', "%2F").replace('+', "%2B")
            ));
        }
        seen.push(sort);
    }
    for address in addresses {
        let page = bay.page(&address).await;
        pages.push((address, page));
    }
    pages
}

/// The words of a page without what lies between angle brackets.
fn words(page: &str) -> String {
    let mut out = String::new();
    let mut is_inside = false;
    for letter in page.chars() {
        match letter {
            '<' => is_inside = true,
            '>' => is_inside = false,
            letter if !is_inside => out.push(letter),
            _ => {}
        }
    }
    out
}

#[tokio::test(flavor = "multi_thread")]
async fn every_page_of_every_record_is_there_and_never_says_that_something_is_without_danger() {
    let bay = Bay::with(&ALL);
    for (case, _) in ALL {
        for (address, page) in every_page(&bay, case).await {
            assert!(page.starts_with("<!DOCTYPE html>"), "{address}");
            let words = words(&page).to_lowercase();
            let forbidden = ["sa", "fe"].concat();
            let says = words.split(|c: char| !c.is_alphanumeric()).any(|word| word == forbidden);
            assert!(!says, "{address} says it");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn pages_show_what_the_engines_say() {
    let bay = Bay::with(&ALL);
    for (case, text) in ALL {
        let of = Case::of(text);
        let (review, handover) = (of.review(), of.handover());
        let found = bay.page(&format!("/case/{case}/found")).await;
        for finding in &review.findings {
            assert!(found.contains(&escaped(&finding.message)), "{case}: {}", finding.message);
            assert!(found.contains(&escaped(&finding.hazard)), "{case}: {}", finding.hazard);
            let sign = format!("sign {}", finding.signal.to_lowercase());
            assert!(found.contains(&sign), "{case}: {sign}");
        }
        let dead = bay.page(&format!("/case/{case}/dead")).await;
        for stay in &handover.isolation.stays {
            assert!(dead.contains(&escaped(&stay.label)), "{case}: {}", stay.label);
            for wire in stay.wires.iter().chain(&stay.may_be) {
                assert!(dead.contains(&format!(">{}<", escaped(wire))), "{case}: {wire}");
            }
        }
        let prove = bay.page(&format!("/case/{case}/prove")).await;
        for reading in &review.readings {
            assert!(prove.contains(&escaped(&reading.points)), "{case}: {}", reading.points);
        }
        let suspects = bay.searched(case).await;
        for reading in &review.readings {
            assert!(suspects.contains(&escaped(&reading.read)), "{case}: {}", reading.read);
            assert!(suspects.contains(&escaped(&reading.computed)), "{case}: {}", reading.computed);
        }
    }
}

/// `records/dunlin/expected.toml` was worked out by hand, before the program was run.
#[tokio::test(flavor = "multi_thread")]
async fn what_a_careful_technician_finds_in_dunlin_stands_on_its_page() {
    let bay = Bay::with(&ALL[..1]);
    let found = bay.page("/case/dunlin/put-right").await;
    let expected: toml::Table = EXPECTED.parse().expect("expected.toml");
    let findings = expected["finding"].as_array().expect("findings");
    let mut fails = 0;
    for finding in findings.iter().filter(|of| of["verdict"].as_str() == Some("fails")) {
        let place = finding["place"].as_str().expect("a place");
        assert!(found.contains(&format!(">{}</a>", escaped(place))), "{place}");
        fails += 1;
    }
    assert!(fails > 10, "{fails} findings were held against the page");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_finding_says_why_it_is_that_bad_and_stands_below_what_it_follows_from() {
    let bay = Bay::with(&ALL[..1]);
    let found = bay.page("/case/dunlin/found").await;
    let review = Case::of(ALL[0].1).review();
    let mut effects = 0;
    for (number, finding) in (1..).zip(&review.findings) {
        let (of, why) = finding.grade.split_once(": ").expect("consequence x likelihood: why");
        let (consequence, likelihood) = of.split_once(" x ").expect("two words");
        let grade = format!("consequence {consequence} \u{d7} likelihood {likelihood}. {why}");
        assert!(found.contains(&escaped(&grade)), "{number}: {grade}");
        let place =
            |number: usize| found.find(&format!("id=\"finding-{number}\"")).expect("it is there");
        let Some(cause) = &finding.follows_from else { continue };
        let is_it = |known: &analysis::FindingView| {
            format!("{} at {}", known.check, known.place.name) == *cause
        };
        let above = 1 + review.findings.iter().position(is_it).expect("its cause is there");
        let between = &found[place(above)..place(number)];
        assert!(between.contains("class=\"fold follows\""), "{number} is folded below {above}");
        assert!(between.contains(&format!("Follows from {above}: {}", escaped(&finding.title))));
        effects += 1;
    }
    // Read off the wiring: the charger starves by its joint, the fridge by its fuse, and the mixer's return by its fuse.
    assert_eq!(effects, 3);
}

#[tokio::test(flavor = "multi_thread")]
async fn while_a_changed_record_is_searched_the_ranking_of_before_stands_there_as_old() {
    let bay = Bay::with(&ALL[1..2]);
    let before = bay.searched("plover").await;
    let opened = bay.state.open("plover").expect("the case");
    let first = opened.as_it_stands().advice().expect("a search").next.suspects.rows[0]
        .words
        .join(", and ");
    assert!(before.contains(&escaped(&first)) && !before.contains("Before the last entry"));
    let change = [("kind", "value"), ("path", "vehicle.complaint"), ("is", "another one")];
    let was = [("was", opened.study.case().written_value(&["vehicle", "complaint"]).expect("one"))];
    let fields: Vec<(&str, &str)> =
        change.into_iter().chain(was.iter().map(|(k, v)| (*k, v.as_str()))).collect();
    bay.enter("plover", &fields).await;
    let page = bay.page("/case/plover/suspects").await;
    assert!(page.contains("class=\"working\"") && page.contains("Before the last entry"));
    assert!(page.contains(&escaped(&first)), "the ranking of before is there");
    assert!(!page.contains("id=\"answer\""), "but not its next check: it may be pointless by now");
    assert!(!bay.searched("plover").await.contains("Before the last entry"));
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_known_becomes_unknown_in_one_tap() {
    let bay = Bay::with(&ALL[..1]);
    let page = bay.page("/case/dunlin/item/charger").await;
    let at = page.find("aria-label=\"Unknown: limit\"").expect("the button");
    let (open, closed) =
        (page[..at].matches("<details").count(), page[..at].matches("</details>").count());
    assert_eq!(open - closed, 0, "it is not folded away");
}

#[tokio::test(flavor = "multi_thread")]
async fn the_next_check_has_places_state_strips_and_a_field() {
    let bay = Bay::with(&ALL[1..2]);
    let page = bay.searched("plover").await;
    let opened = bay.state.open("plover").expect("the case");
    let next = &opened.as_it_stands().advice().expect("a search").next;
    let card = next.check.as_ref().expect("readings of Plover leave several suspects");
    let mut shown =
        vec![escaped(&card.title), escaped(&card.state), "name=\"template\"".to_owned()];
    shown.extend(card.places.iter().chain(&card.cautions).map(|words| escaped(words)));
    shown.extend(card.expected.iter().flat_map(|row| [escaped(&row.suspect), escaped(&row.shows)]));
    shown.extend(next.suspects.rows.iter().flat_map(|row| row.words.iter().map(|w| escaped(w))));
    shown.extend(next.rivals.iter().map(|rival| escaped(&rival.title)));
    for words in shown {
        assert!(page.contains(&words), "{words}");
    }
    let (hazard, field) = (page.find("class=\"hazard"), page.find("id=\"answer\""));
    assert!(hazard.is_some() && hazard < field, "the hazard stands before the field");
}

#[tokio::test(flavor = "multi_thread")]
async fn script_in_every_field_stays_words() {
    let bay = Bay::with(&[("odd", &with_script())]);
    bay.searched("odd").await;
    let mut pages = every_page(&bay, "odd").await;
    pages.push(("/".to_owned(), bay.page("/").await));
    let asked = "%3Cscript%3Ealert(1)%3C%2Fscript%3E%22";
    for address in [
        "found?find=",
        "way-in?to=",
        "dead?state=",
        "preview?section=wires&text=",
        "pack.zip?language=",
    ] {
        let address = format!("/case/odd/{address}{asked}");
        let page = bay.get(&address).await.1;
        pages.push((address, page));
    }
    let mut escaped = 0;
    for (address, page) in &pages {
        assert!(!page.contains("<script>alert"), "{address}");
        assert!(!page.contains("\" onload=alert"), "{address}");
        escaped += page.matches("&lt;script&gt;alert").count();
    }
    assert!(escaped > 20, "the words themselves are shown: {escaped}");
}

#[tokio::test(flavor = "multi_thread")]
async fn faults_of_the_record_are_shown_where_they_are_and_the_rest_is_used() {
    let bay = Bay::with(&[("faulty", FAULTY), ("empty", ""), ("bare", "unbury = 1\n")]);
    let page = bay.page("/case/faulty/found").await;
    let faults = Case::of(FAULTY).record_faults();
    assert!(faults.len() >= 4);
    for fault in &faults {
        assert!(page.contains(&escaped(&fault.message)), "{}", fault.message);
    }
    assert!(page.contains("<mark>kilo</mark>"), "{page}");
    assert!(page.contains("/case/faulty/item/a"), "what was understood is there");
    for case in ["faulty", "empty", "bare"] {
        every_page(&bay, case).await;
        bay.searched(case).await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_not_there_is_a_page_that_says_so() {
    let bay = Bay::with(&ALL[..1]);
    for address in [
        "/case/none/arrival",
        "/case/dunlin/item/none",
        "/case/none/drawing/wiring.svg",
        "/case/dunlin/drawing/none.svg",
    ] {
        assert_eq!(bay.get(address).await.0, StatusCode::NOT_FOUND, "{address}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn drawings_are_files_of_their_own() {
    let bay = Bay::with(&ALL[..1]);
    for name in [
        "wiring",
        "wiring-findings",
        "wiring-mains",
        "wiring-state-night",
        "vehicle-plan",
        "vehicle-sides",
    ] {
        let svg = bay.page(&format!("/case/dunlin/drawing/{name}.svg")).await;
        assert!(svg.contains("<svg") && svg.contains("Dunlin"), "{name}");
    }
    let svg = bay.page("/case/dunlin/drawing/way-in-1.svg?to=charger").await;
    assert!(svg.contains("<svg"));
}
