//! What the typesetter itself says of the pages.

#[path = "../tests/fixture/mod.rs"]
mod fixture;

use super::*;

#[test]
fn the_pages_settle_and_the_typesetter_has_no_complaint() {
    let (texts, handover) = (Texts::of(wording::Language::English), fixture::handover());
    for review in [fixture::heron(), fixture::small(), fixture::empty()] {
        let content = Content::of(&texts, &review, &handover);
        let (data, files) = sheet::files(&content, &Options::default()).unwrap();
        let made = render(Work::Report, data, files).unwrap();
        assert_eq!(made.complaints, Vec::<String>::new());
        assert!(made.bytes.starts_with(b"%PDF-"));
    }
}

mod step_sheet {
    use analysis::{Bag, Opening, OpeningStep, OpeningTarget};

    use crate::{Options, ReportError, StepSheet, Work, render, step_sheet, steps};

    const PICTURE: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="20" height="20"><path d="M0 0h9v9z"/></svg>"#;

    fn opening() -> Opening {
        Opening {
            targets: vec![OpeningTarget {
                target: "pump".to_owned(),
                label: "pump".to_owned(),
                outcome: "way found".to_owned(),
                ..OpeningTarget::default()
            }],
            steps: vec![OpeningStep {
                number: 1,
                label: "bench lid #[*not markup*]".to_owned(),
                how: "take out".to_owned(),
                bag: Some(1),
                ..OpeningStep::default()
            }],
            bags: vec![Bag {
                number: 1,
                label: "bench lid".to_owned(),
                count: 4,
                ..Bag::default()
            }],
            ..Opening::default()
        }
    }

    fn sheet(drawing: &str) -> StepSheet {
        StepSheet {
            texts: wording::Texts::of(wording::Language::English),
            vehicle: "Van".to_owned(),
            cautions: vec!["Prove it dead.".to_owned()],
            drawings: vec![drawing.to_owned()],
            codes: vec![PICTURE.to_owned()],
        }
    }

    #[test]
    fn a_step_sheet_is_set_without_a_complaint_and_twice_the_same() {
        let (data, pictures) =
            steps::files(&opening(), sheet(PICTURE), &Options::default()).unwrap();
        let made = render(Work::Steps, data, pictures).unwrap();
        assert_eq!(made.complaints, Vec::<String>::new());
        assert!(made.bytes.starts_with(b"%PDF-"));
        let again = step_sheet(&opening(), sheet(PICTURE), &Options::default()).unwrap();
        assert_eq!(made.bytes, again);
    }

    #[test]
    fn an_empty_way_in_still_gives_a_sheet() {
        let bare = StepSheet { drawings: vec![], codes: vec![], ..sheet(PICTURE) };
        let made = step_sheet(&Opening::default(), bare, &Options::default());
        assert!(made.is_ok(), "{:?}", made.err());
    }

    #[test]
    fn a_drawing_that_is_no_drawing_is_refused_in_words() {
        let refused = step_sheet(&opening(), sheet("<svg"), &Options::default());
        assert!(matches!(refused, Err(ReportError::Typeset(_))), "{refused:?}");
    }
}
