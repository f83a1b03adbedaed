//! What the typesetter itself says of the pages.

#[path = "../tests/fixture/mod.rs"]
mod fixture;

use super::*;

#[test]
fn the_pages_settle_and_the_typesetter_has_no_complaint() {
    for review in [fixture::heron(), fixture::small(), fixture::empty()] {
        let made = render(&review, &Options::default()).unwrap();
        assert_eq!(made.complaints, Vec::<String>::new());
        assert!(made.bytes.starts_with(b"%PDF-"));
    }
}
