//! Asking for pages and sending forms.

use std::time::{Duration, Instant};

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use tower::ServiceExt as _;
use web::AppState;

/// Longest a search may take on a busy machine before a test gives up.
const PATIENCE: Duration = Duration::from_secs(180);

/// A server with records.
pub(crate) struct Bay {
    pub(crate) state: AppState,
    router: Router,
}

impl Bay {
    pub(crate) fn with(records: &[(&str, &str)]) -> Bay {
        let records = records.iter().map(|(id, text)| ((*id).to_owned(), (*text).to_owned()));
        let state = AppState::with_records(records);
        Bay { router: web::serve::router(state.clone()), state }
    }

    pub(crate) async fn get(&self, address: &str) -> (StatusCode, String) {
        let request = Request::get(address)
            .header(header::HOST, "localhost")
            .header(header::ACCEPT, "text/html")
            .body(Body::empty())
            .expect("a request");
        self.answer(request).await
    }

    /// A file that has to be there.
    pub(crate) async fn bytes(&self, address: &str) -> Vec<u8> {
        let request = Request::get(address).header(header::HOST, "localhost");
        let request = request.body(Body::empty()).expect("a request");
        let response = self.router.clone().oneshot(request).await.expect("an answer");
        assert_eq!(response.status(), StatusCode::OK, "{address}");
        to_bytes(response.into_body(), 64 << 20).await.expect("a body").to_vec()
    }

    /// A page that has to be there.
    pub(crate) async fn page(&self, address: &str) -> String {
        let (status, page) = self.get(address).await;
        assert_eq!(status, StatusCode::OK, "{address}\n{page}");
        page
    }

    /// Sends a form of the page at `from`, with its token; where it leads.
    pub(crate) async fn send(
        &self,
        from: &str,
        to: &str,
        fields: &[(&str, &str)],
    ) -> (StatusCode, String) {
        let page = self.page(from).await;
        let token = between(&page, "name=\"token\" value=\"", "\"").unwrap_or_default();
        let mut body = format!("token={}", encoded(token));
        for (name, value) in fields {
            body.push_str(&format!("&{name}={}", encoded(value)));
        }
        let request = Request::post(to)
            .header(header::HOST, "localhost")
            .header(header::ACCEPT, "text/html")
            .header("sec-fetch-site", "same-origin")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .body(Body::from(body))
            .expect("a request");
        self.answer(request).await
    }

    /// Sends a form that has to be taken.
    pub(crate) async fn enter(&self, case: &str, fields: &[(&str, &str)]) {
        let from = format!("/case/{case}/arrival");
        let (status, page) = self.send(&from, &format!("/case/{case}/form"), fields).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{fields:?}\n{page}");
    }

    /// Waits for the search of a case.
    pub(crate) async fn searched(&self, case: &str) -> String {
        self.worked(&format!("/case/{case}/suspects")).await
    }

    /// Waits until a page has what it works at.
    pub(crate) async fn worked(&self, address: &str) -> String {
        let start = Instant::now();
        loop {
            let page = self.page(address).await;
            if !page.contains("class=\"working\"") {
                return page;
            }
            assert!(start.elapsed() < PATIENCE, "{address}: it does not end");
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
    }

    pub(crate) fn record(&self, case: &str) -> String {
        self.state.open(case).expect("the case").kept.text.clone()
    }

    async fn answer(&self, request: Request<Body>) -> (StatusCode, String) {
        let response = self.router.clone().oneshot(request).await.expect("an answer");
        let status = response.status();
        let body = to_bytes(response.into_body(), 32 << 20).await.expect("a body");
        (status, String::from_utf8_lossy(&body).into_owned())
    }
}

/// What stands between two marks.
pub(crate) fn between<'t>(text: &'t str, from: &str, to: &str) -> Option<&'t str> {
    let rest = &text[text.find(from)? + from.len()..];
    rest.find(to).map(|end| &rest[..end])
}

/// As it stands in HTML (the five characters of the HTML standard, 13.3, and what maud escapes).
pub(crate) fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

fn encoded(text: &str) -> String {
    text.bytes().fold(String::new(), |mut out, byte| {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' => out.push(char::from(byte)),
            other => out.push_str(&format!("%{other:02X}")),
        }
        out
    })
}
