//! Forms without script become changes of the record and of the case.

use axum::http::StatusCode;

use crate::records::DUNLIN;
use crate::support::Bay;

fn bay() -> Bay {
    Bay::with(&[("dunlin", DUNLIN)])
}

#[tokio::test(flavor = "multi_thread")]
async fn a_wire_asked_for_piece_by_piece_becomes_a_line() {
    let bay = bay();
    let template = "%name% = \"%from% to %to%(?, %size%?)(?, %colour%?)(?, %length%?)\"";
    bay.enter(
        "dunlin",
        &[
            ("kind", "line"),
            ("section", "wires"),
            ("template", template),
            ("name", "x9"),
            ("from", "box.14"),
            ("to", "unknown"),
            ("size", "1.5 mm2"),
            ("colour", ""),
            ("length", "told 2 m by the owner"),
        ],
    )
    .await;
    assert!(
        bay.record("dunlin")
            .contains("\nx9 = \"box.14 to unknown, 1.5 mm2, told 2 m by the owner\"\n")
    );
    let page = bay.page("/case/dunlin/item/x9").await;
    assert!(page.contains("told by the owner"), "{page}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_bare_number_gets_its_unit_and_a_free_name() {
    let bay = bay();
    let template = "%name% = \"night: %value% between fridge.+ and neg-bar, multimeter\"";
    for typed in ["10,71", "10.72 V", "−85 mV"] {
        bay.enter(
            "dunlin",
            &[
                ("kind", "line"),
                ("section", "readings"),
                ("template", template),
                ("value", typed),
                ("unit", "V"),
            ],
        )
        .await;
    }
    let record = bay.record("dunlin");
    for line in [
        "check-1 = \"night: 10.71 V between",
        "check-2 = \"night: 10.72 V between",
        "check-3 = \"night: -85 mV between",
    ] {
        assert!(record.contains(line), "{line}");
    }
    let opened = bay.state.open("dunlin").expect("the case");
    let readings = &opened.study.review().readings;
    assert_eq!(readings.iter().filter(|row| row.name.starts_with("check-")).count(), 3);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_fact_is_changed_and_made_unknown_in_its_place() {
    let bay = bay();
    bay.enter(
        "dunlin",
        &[("kind", "value"), ("path", "devices.charger.limit"), ("was", "30 A"), ("is", "unknown")],
    )
    .await;
    bay.enter(
        "dunlin",
        &[
            ("kind", "value"),
            ("path", "wires.c3"),
            ("was", "charger.in- to bracket, 6 mm2, black, 0.5 m"),
            ("before", "charger.in- to bracket, "),
            ("is", "10 mm2"),
            ("after", ", black, 0.5 m"),
        ],
    )
    .await;
    let record = bay.record("dunlin");
    assert!(record.contains("limit = \"unknown\""));
    assert!(record.contains("c3 = \"charger.in- to bracket, 10 mm2, black, 0.5 m\""));
    let page = bay.page("/case/dunlin/item/charger").await;
    assert!(page.contains("<span class=\"unknown\">unknown</span>"));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_pasted_table_becomes_a_line_for_each_wire() {
    let bay = bay();
    let table =
        "name\tfrom\tto\tsize\nz71\tbox.14\tunknown\t2.5 mm2\nz72\tneg-bar\tbehind splash\t\n";
    bay.enter(
        "dunlin",
        &[("kind", "line"), ("table", "yes"), ("section", "wires"), ("text", table)],
    )
    .await;
    let record = bay.record("dunlin");
    assert!(record.contains("z71 = \"box.14 to unknown, 2.5 mm2\""));
    assert!(record.contains("z72 = \"neg-bar to behind splash\""));
    assert!(!record.contains("name = \"from to to"));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_ticked_step_stays_ticked_and_counts_as_open() {
    let bay = bay();
    bay.enter(
        "dunlin",
        &[
            ("kind", "tick"),
            ("list", "way-in"),
            ("step", "locker-door"),
            ("done", "yes"),
            ("back", "/case/dunlin/way-in?to=box#out-1"),
        ],
    )
    .await;
    let page = bay.page("/case/dunlin/way-in?to=box").await;
    assert!(page.contains("class=\"step ticked\""), "{page}");
    let opened = bay.state.open("dunlin").expect("the case");
    let stands = opened.as_it_stands().case().way_in("box").expect("a way");
    assert_eq!(stands.outcome, "reachable now");
    assert_eq!(opened.study.case().way_in("box").expect("a way").outcome, "way found");
}

#[tokio::test(flavor = "multi_thread")]
async fn yeses_notes_and_answers_are_kept_and_shown() {
    let bay = bay();
    bay.enter(
        "dunlin",
        &[
            ("kind", "authority"),
            ("to", "open panels"),
            ("by", "the owner"),
            ("how", "on the telephone"),
            ("up_to", "300 EUR"),
            ("given", "yes"),
        ],
    )
    .await;
    bay.enter("dunlin", &[("kind", "note"), ("on", "charger"), ("words", "gets hot by hand")])
        .await;
    let question = "Is there a tingle from the step, the body or a tap?";
    bay.enter(
        "dunlin",
        &[("kind", "note"), ("on", "triage"), ("words", &format!("{question} yes"))],
    )
    .await;
    let page = bay.page("/case/dunlin/arrival").await;
    assert!(page.contains("on the telephone") && page.contains("300.00 EUR"), "{page}");
    assert!(page.contains("The body may be at mains voltage"), "a yes names the hazard");
    assert!(bay.page("/case/dunlin/item/charger").await.contains("gets hot by hand"));
    let history = bay.page("/case/dunlin/history").await;
    assert!(history.contains("gets hot by hand") && history.contains("open panels"));
    // One list: the record has it, and the price of the pack is held against it.
    let agreed = bay.state.open("dunlin").expect("the case").study.case().authorisations();
    assert_eq!(agreed.len(), 1);
    assert_eq!(
        (&agreed[0].allows[..], agreed[0].total.as_str()),
        (&["open panels".to_owned()][..], "300.00 EUR")
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_taken_says_why_and_changes_nothing() {
    let bay = bay();
    let refused: [&[(&str, &str)]; 5] = [
        &[("kind", "line"), ("section", "wires"), ("text", "a = \"b to c\"\n[devices]")],
        &[("kind", "line"), ("section", "wires")],
        &[("kind", "value"), ("path", "devices.charger.limit")],
        &[("kind", "nonsense")],
        &[("kind", "line"), ("table", "yes"), ("section", "wires"), ("text", "only-a-name")],
    ];
    for fields in refused {
        let (status, page) = bay.send("/case/dunlin/arrival", "/case/dunlin/form", fields).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{fields:?}");
        assert!(page.contains("Not taken"), "{page}");
    }
    assert_eq!(bay.record("dunlin"), DUNLIN);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_new_case_starts_from_a_record_that_is_understood() {
    let bay = Bay::with(&[]);
    for starter in ["bare", "small", "solar", "mains", "two"] {
        let fields =
            [("title", "Van \"7\""), ("complaint", "does not charge"), ("starter", starter)];
        let (status, _) = bay.send("/new", "/new", &fields).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{starter}");
    }
    let cases = bay.state.cases().expect("the list");
    assert_eq!(cases.len(), 5);
    for case in cases {
        let opened = bay.state.open(&case.id).expect("the case");
        let review = opened.study.review();
        assert!(review.record_faults.is_empty(), "{:?}", review.record_faults);
        assert_eq!(review.vehicle.name, "Van \"7\"");
        assert_eq!(review.vehicle.complaint, "does not charge");
    }
    let (status, _) = bay.send("/new", "/new", &[("title", " ")]).await;
    assert_eq!(status, StatusCode::OK, "a case without a name is asked for again");
}

/// What was known of the record before saves work and changes nothing.
#[test]
fn a_record_looked_at_after_another_says_the_same_as_by_itself() {
    let before = web::Study::of(DUNLIN);
    before.review();
    for (from, to) in [
        ("label = \"DC-DC charger\"", "label = \"charger\""),
        ("[wires]\n", "[wires]\nbare = \"house.+ to pump.+, 2.5 mm2, red, 3 m\"\n"),
        ("\n[parts]\n", "\n[parts]\nnew-lid = { is = \"lid\", fixings = \"2 screws\" }\n"),
        ("[states]\n", "[states]\nnoon = { on = [\"fridge\"] }\n"),
    ] {
        let text = DUNLIN.replacen(from, to, 1);
        assert_ne!(text, DUNLIN, "{from} is there");
        assert_eq!(before.anew(&text).review(), web::Study::of(&text).review(), "{to}");
    }
}
