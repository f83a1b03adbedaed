//! Photos beside the record.

use model::Place;

use super::{clean, only, read};

const VAN: &str = r#"unbury = 1
[vehicle]
name = "Van"
seen = "by RK on 2026-05-02"
[devices]
house = { kind = "agm battery" }
lamp = { kind = "filament lamp" }
[wires]
w1 = "house.+ to lamp.+, 1.5 mm2, 3 m"
[parts]
lid = "bench lid"
[photos]
p1 = { file = "photos/lug.jpg", of = "w1 at house.+", arrow = "62 %, 40 %", words = "green lug" }
"#;

#[test]
fn a_photo_says_what_it_shows_where_the_arrow_points_and_who_took_it() {
    let record = clean(VAN);
    let photo = &record.vehicle.photos[0];
    assert_eq!((photo.name.as_str(), photo.file.as_str()), ("p1", "photos/lug.jpg"));
    let Some(Place::Joint(joint)) = photo.of else { panic!("{:?}", photo.of) };
    assert_eq!(record.vehicle.joint_name(joint), "w1 at house.+");
    assert_eq!(photo.arrow, Some((0.62, 0.4)));
    assert_eq!(photo.words, "green lug");
    assert!(format!("{:?}", photo.origin).contains("RK"), "{:?}", photo.origin);
}

#[test]
fn anything_that_has_a_place_can_be_shown() {
    for of in ["house", "house.+", "w1", "wire w1", "lid", "w1 at lamp.+"] {
        let record = clean(&VAN.replace("w1 at house.+", of));
        assert!(record.vehicle.photos[0].of.is_some(), "{of}");
    }
    let record = read(&VAN.replace("w1 at house.+", "hose"));
    let fault = only(&record, "unknown-place");
    assert!(fault.help.iter().any(|help| help.contains("house")), "{:?}", fault.help);
    assert_eq!(record.vehicle.photos.len(), 1, "the photo itself stays");
}

#[test]
fn a_path_that_leaves_the_folder_of_the_record_is_refused_where_it_stands() {
    for path in [
        "../lug.jpg",
        "photos/../../lug.jpg",
        "/etc/passwd",
        "photos//lug.jpg",
        "./lug.jpg",
        "C:/lug.jpg",
        "photos\\\\lug.jpg",
        "lug\\u0000.jpg",
        "",
    ] {
        let text = VAN.replace("photos/lug.jpg", path);
        let record = read(&text);
        let fault = only(&record, "photo-file");
        assert!(record.vehicle.photos.is_empty(), "{path}");
        let place = &text[fault.labels[0].span.start..];
        assert!(path.is_empty() || place.starts_with(path) || place.starts_with('"'), "{place}");
    }
    only(&read(&VAN.replace("file = \"photos/lug.jpg\", ", "")), "photo-file");
}

#[test]
fn an_arrow_stays_inside_the_picture() {
    for arrow in ["62 %", "130 %, 40 %", "-1 %, 40 %"] {
        let record = read(&VAN.replace("62 %, 40 %", arrow));
        assert!(!record.diagnostics.is_empty(), "{arrow}");
        assert_eq!(record.vehicle.photos[0].arrow, None, "{arrow}");
    }
}
