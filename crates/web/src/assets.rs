//! What pages load beside themselves: the style sheet, the modules, the worker. All of it is in the
//! program.
//!
//! Names carry no version, so browsers ask each time and are told "not changed" by a tag; the worker
//! keeps one version of all of them on the device. Knows no page.

use std::sync::LazyLock;

use axum::Router;
use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, ETAG, IF_NONE_MATCH};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use sha2::{Digest, Sha256};

/// A file and its text.
type Asset = (&'static str, &'static str);

macro_rules! assets {
    ($($name:literal),* $(,)?) => {
        &[$(($name, include_str!(concat!("../assets/", $name)))),*]
    };
}

/// Everything a page may load, by name.
const ASSETS: &[Asset] = assets![
    "added.css",
    "clash.js",
    "dom.js",
    "drafts.js",
    "drawing.js",
    "elapsed.js",
    "form-entry.js",
    "forms.js",
    "id.js",
    "light.js",
    "live.js",
    "mark-up.js",
    "mark.js",
    "mark.svg",
    "number.js",
    "offline.js",
    "onward.js",
    "pad.js",
    "photo.js",
    "preview.js",
    "queue-rules.js",
    "queue-store.js",
    "queue.js",
    "sender.js",
    "swap.js",
    "table.js",
    "template.js",
    "told.js",
    "unbury.css",
    "unbury.js",
    "unfold.js",
    "view-box.js",
    "waiting.js",
];

/// The worker, with gaps for the version and the names.
const WORKER: &str = include_str!("../assets/service.js");

/// Changes when any of them changes.
static VERSION: LazyLock<String> = LazyLock::new(|| {
    let mut hash = Sha256::new();
    for (name, text) in ASSETS.iter().chain([&("service.js", WORKER)]) {
        hash.update(name.as_bytes());
        hash.update([0]);
        hash.update(text.as_bytes());
        hash.update([0]);
    }
    hash.finalize().iter().take(8).map(|byte| format!("{byte:02x}")).collect()
});

/// The addresses of all of them.
pub(crate) fn routes<S: Clone + Send + Sync + 'static>() -> Router<S> {
    Router::new().route("/assets/{name}", get(asset)).route("/service.js", get(worker))
}

async fn asset(Path(name): Path<String>, headers: HeaderMap) -> Response {
    match ASSETS.iter().find(|(known, _)| *known == name) {
        Some((name, text)) => tagged(&headers, kind_of(name), (*text).to_owned()),
        None => StatusCode::NOT_FOUND.into_response(),
    }
}

async fn worker(headers: HeaderMap) -> Response {
    let names: Vec<String> = ASSETS.iter().map(|(name, _)| format!("/assets/{name}")).collect();
    let text = WORKER.replace("__VERSION__", &VERSION).replace("__ASSETS__", &names.join(" "));
    tagged(&headers, kind_of("service.js"), text)
}

fn kind_of(name: &str) -> &'static str {
    if name.ends_with(".css") {
        "text/css; charset=utf-8"
    } else if name.ends_with(".svg") {
        "image/svg+xml"
    } else {
        "text/javascript; charset=utf-8"
    }
}

/// The text, or "not changed" for who has this version.
fn tagged(headers: &HeaderMap, kind: &'static str, text: String) -> Response {
    let tag = format!("W/\"{}\"", *VERSION);
    let known = headers.get(IF_NONE_MATCH).is_some_and(|seen| seen.as_bytes() == tag.as_bytes());
    let always = [(ETAG, tag), (CACHE_CONTROL, "no-cache".to_owned())];
    if known {
        return (StatusCode::NOT_MODIFIED, always).into_response();
    }
    (always, [(CONTENT_TYPE, kind)], text).into_response()
}

#[cfg(test)]
mod tests;
