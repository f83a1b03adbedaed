//! Answers made smaller for the way over the bay's Wi-Fi (gzip, RFC 1952), where the other side takes that.
//!
//! Texts only: photos and packs are small already, and events must not wait. Knows no page.

use std::io::Write as _;

use axum::body::{Body, to_bytes};
use axum::extract::Request;
use axum::http::header::{ACCEPT_ENCODING, CONTENT_ENCODING, CONTENT_LENGTH, CONTENT_TYPE, VARY};
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use flate2::Compression;
use flate2::write::GzEncoder;

use super::waits;

/// Below this nothing is gained: it fits into one packet.
const LEAST_BYTES: usize = 1200;

/// Longest text that is held in memory.
const MOST_BYTES: usize = 64 << 20;

/// What is made smaller.
const KINDS: [&str; 6] =
    ["text/html", "text/css", "text/javascript", "image/svg+xml", "application/json", "text/plain"];

/// Makes the answer smaller.
pub(crate) async fn shrink(request: Request, next: Next) -> Response {
    let is_taken = takes_gzip(request.headers());
    let response = next.run(request).await;
    if !is_taken || !is_text(response.status(), response.headers()) {
        return response;
    }
    let (mut parts, body) = response.into_parts();
    let Ok(bytes) = to_bytes(body, MOST_BYTES).await else {
        return StatusCode::INTERNAL_SERVER_ERROR.into_response();
    };
    parts.headers.insert(VARY, HeaderValue::from_static("accept-encoding"));
    if bytes.len() < LEAST_BYTES {
        return Response::from_parts(parts, Body::from(bytes));
    }
    let plain = bytes.clone();
    match waits(move || packed(&plain)).await {
        Ok(Ok(packed)) => {
            parts.headers.insert(CONTENT_ENCODING, HeaderValue::from_static("gzip"));
            parts.headers.remove(CONTENT_LENGTH);
            Response::from_parts(parts, Body::from(packed))
        }
        _ => Response::from_parts(parts, Body::from(bytes)),
    }
}

fn takes_gzip(headers: &HeaderMap) -> bool {
    let all = headers.get_all(ACCEPT_ENCODING).iter().filter_map(|value| value.to_str().ok());
    all.flat_map(|line| line.split(',')).any(|one| {
        let mut pieces = one.split(';').map(str::trim);
        let is_gzip = pieces.next().is_some_and(|name| name.eq_ignore_ascii_case("gzip"));
        is_gzip && pieces.all(|piece| !matches!(piece, "q=0" | "q=0.0" | "q=0.00" | "q=0.000"))
    })
}

fn is_text(status: StatusCode, headers: &HeaderMap) -> bool {
    let kind = headers.get(CONTENT_TYPE).and_then(|value| value.to_str().ok()).unwrap_or("");
    let kind = kind.split(';').next().unwrap_or("").trim();
    status != StatusCode::NOT_MODIFIED
        && !headers.contains_key(CONTENT_ENCODING)
        && KINDS.contains(&kind)
}

fn packed(bytes: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut encoder = GzEncoder::new(Vec::with_capacity(bytes.len() / 4), Compression::default());
    encoder.write_all(bytes)?;
    encoder.finish()
}

#[cfg(test)]
mod tests {
    use std::io::Read as _;

    use axum::Router;
    use axum::routing::get;
    use tower::ServiceExt as _;

    use super::*;

    async fn answer(path: &str, accept: Option<&str>) -> Response {
        let long = "a wire of four square millimetres. ".repeat(100);
        let with = move |kind: &'static str| {
            let long = long.clone();
            get(move || async move { ([(CONTENT_TYPE, kind)], long) })
        };
        let app: Router = Router::new()
            .route("/page", with("text/html; charset=utf-8"))
            .route("/events", with("text/event-stream"))
            .route("/photo", with("image/jpeg"))
            .route("/short", get(async || ([(CONTENT_TYPE, "text/html")], "short")))
            .layer(axum::middleware::from_fn(shrink));
        let request = Request::get(path);
        let request = match accept {
            Some(accept) => request.header(ACCEPT_ENCODING, accept),
            None => request,
        };
        app.oneshot(request.body(Body::empty()).unwrap()).await.unwrap()
    }

    async fn bytes(response: Response) -> Vec<u8> {
        to_bytes(response.into_body(), 1 << 20).await.unwrap().to_vec()
    }

    #[tokio::test]
    async fn a_page_is_packed_and_unpacks_to_what_it_was() {
        let plain = bytes(answer("/page", None).await).await;
        let response = answer("/page", Some("br, GZIP;q=0.8")).await;
        assert_eq!(response.headers()[CONTENT_ENCODING], "gzip");
        assert_eq!(response.headers()[VARY], "accept-encoding");
        let packed = bytes(response).await;
        let mut unpacked = Vec::new();
        flate2::read::GzDecoder::new(&packed[..]).read_to_end(&mut unpacked).unwrap();
        assert_eq!(unpacked, plain);
        assert!(packed.len() * 5 < plain.len(), "{} of {}", packed.len(), plain.len());
    }

    #[tokio::test]
    async fn events_photos_short_texts_and_who_does_not_take_it_are_left_alone() {
        for (path, accept) in [
            ("/events", Some("gzip")),
            ("/photo", Some("gzip")),
            ("/short", Some("gzip")),
            ("/page", Some("gzip;q=0, identity")),
            ("/page", Some("br")),
            ("/page", None),
        ] {
            let response = answer(path, accept).await;
            assert!(!response.headers().contains_key(CONTENT_ENCODING), "{path} {accept:?}");
        }
    }
}
