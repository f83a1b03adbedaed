//! Every file of the folder is served, and nothing is asked for that is not there.

use std::collections::BTreeSet;
use std::fs;

use axum::body::Body;
use axum::http::{Request, StatusCode};
use tower::ServiceExt as _;

use super::*;

fn files() -> BTreeSet<String> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/assets");
    let names = fs::read_dir(folder).unwrap().map(|file| file.unwrap().file_name());
    names.map(|name| name.into_string().unwrap()).filter(|name| !name.ends_with(".md")).collect()
}

async fn answer(path: &str, tag: Option<&str>) -> Response {
    let mut request = Request::get(path);
    if let Some(tag) = tag {
        request = request.header(IF_NONE_MATCH, tag);
    }
    routes().with_state(()).oneshot(request.body(Body::empty()).unwrap()).await.unwrap()
}

async fn text_of(response: Response) -> String {
    let bytes = axum::body::to_bytes(response.into_body(), 1 << 20).await.unwrap();
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn every_file_of_the_folder_is_in_the_list() {
    let served: BTreeSet<String> = ASSETS
        .iter()
        .map(|(name, _)| (*name).to_owned())
        .chain(["service.js".to_owned()])
        .collect();
    assert_eq!(served, files());
}

#[test]
fn every_import_of_a_module_is_served_and_every_module_says_what_it_is() {
    for (name, text) in ASSETS.iter().filter(|(name, _)| name.ends_with(".js")) {
        assert!(text.starts_with("// "), "{name} has no header");
        for line in text.lines().filter(|line| line.contains(" from \"")) {
            let wanted = line.rsplit('"').nth(1).unwrap();
            let wanted = wanted.strip_prefix("./").expect(name);
            assert!(ASSETS.iter().any(|(known, _)| *known == wanted), "{name} asks for {wanted}");
        }
    }
}

#[tokio::test]
async fn who_has_the_present_version_is_not_sent_it_again() {
    let first = answer("/assets/unbury.js", None).await;
    assert_eq!(first.status(), StatusCode::OK);
    let tag = first.headers()[ETAG].to_str().unwrap().to_owned();
    assert_eq!(answer("/assets/unbury.js", Some(&tag)).await.status(), StatusCode::NOT_MODIFIED);
    assert_eq!(answer("/assets/unbury.js", Some("\"old\"")).await.status(), StatusCode::OK);
    assert_eq!(answer("/assets/../Cargo.toml", None).await.status(), StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn the_worker_knows_its_version_and_what_to_keep() {
    let text = text_of(answer("/service.js", None).await).await;
    assert!(!text.contains("__VERSION__") && !text.contains("__ASSETS__"), "a gap is left");
    assert!(
        text.contains("/assets/unbury.js /assets/unfold.js /assets/view-box.js"),
        "names are missing"
    );
}
