//! Every address of the description answers, in the form it says; and the description is OpenAPI.

use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode};
use tower::ServiceExt as _;

use super::*;
use crate::serve::openapi::Method;
use crate::serve::router;

const DUNLIN: &str = include_str!("../../../../../records/dunlin/dunlin.toml");

async fn answer(state: &AppState, request: Request<Body>) -> (StatusCode, String, Vec<u8>) {
    let response = router(state.clone()).oneshot(request).await.unwrap();
    let (parts, body) = response.into_parts();
    let kind = parts.headers[CONTENT_TYPE].to_str().unwrap().to_owned();
    (parts.status, kind, to_bytes(body, 64 << 20).await.unwrap().to_vec())
}

fn get_request(path: &str) -> Request<Body> {
    Request::get(path).header("host", "localhost").body(Body::empty()).unwrap()
}

fn state() -> AppState {
    AppState::with_records([("dunlin".to_owned(), DUNLIN.to_owned())])
}

#[tokio::test(flavor = "multi_thread")]
async fn every_address_that_is_described_answers_as_described() {
    let state = state();
    for endpoint in endpoints().iter().filter(|endpoint| endpoint.method == Method::Get) {
        // What views want besides the case, in words the record knows.
        let asked = match endpoint.path.rsplit('/').next() {
            Some("meter") => "?words=volts%20house.%2B%20to%20body",
            Some("wayin") => "?to=fridge",
            _ => "",
        };
        let path = endpoint.path.replace("{id}", "dunlin") + asked;
        let (status, kind, bytes) = answer(&state, get_request(&path)).await;
        assert_eq!(status, StatusCode::OK, "{path}: {}", String::from_utf8_lossy(&bytes));
        match &endpoint.gives {
            Kind::File(media) => assert!(kind.starts_with(media), "{path}: {kind}"),
            _ => {
                assert_eq!(kind, "application/json", "{path}");
                let _: Value = serde_json::from_slice(&bytes).unwrap();
            }
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_not_there_is_said_as_json() {
    let state = state();
    for path in ["/api/cases/none", "/api/cases/none/review", "/api/none", "/api/cases/dunlin/none"]
    {
        let (status, kind, bytes) = answer(&state, get_request(path)).await;
        assert_eq!((status, kind.as_str()), (StatusCode::NOT_FOUND, "application/json"), "{path}");
        let said: Value = serde_json::from_slice(&bytes).unwrap();
        assert!(said["message"].as_str().unwrap().len() > 10, "{path}");
    }
    for path in [
        "/api/cases/dunlin/live?state=none",
        "/api/cases/dunlin/meter?words=x",
        "/api/cases/dunlin/wayin?to=none",
        "/api/cases/dunlin/history?most=x",
    ] {
        let (status, ..) = answer(&state, get_request(path)).await;
        assert_eq!(status, StatusCode::BAD_REQUEST, "{path}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_root_leads_to_the_description() {
    let request = get_request("/api");
    let response = router(state()).oneshot(request).await.unwrap();
    assert!(response.status().is_redirection(), "{}", response.status());
    assert_eq!(response.headers()[axum::http::header::LOCATION], "/api/openapi.json");
}

#[tokio::test(flavor = "multi_thread")]
async fn the_description_names_every_address_once_and_its_references_lead_somewhere() {
    let (status, _, bytes) = answer(&state(), get_request("/api/openapi.json")).await;
    assert_eq!(status, StatusCode::OK);
    let document: Value = serde_json::from_slice(&bytes).unwrap();
    // Required by OpenAPI 3.1.0, 4.8.1 and 4.8.2.
    assert_eq!(document["openapi"], "3.1.0");
    for field in ["title", "version"] {
        assert!(document["info"][field].is_string());
    }
    let described: usize = document["paths"]
        .as_object()
        .unwrap()
        .values()
        .map(|path| path.as_object().unwrap().len())
        .sum();
    assert_eq!(described, endpoints().len());
    let mut references = Vec::new();
    collect(&document, &mut references);
    assert!(references.len() > 10);
    for reference in references {
        let place = reference.strip_prefix('#').unwrap();
        assert!(document.pointer(place).is_some(), "{reference}");
    }
}

fn collect(value: &Value, out: &mut Vec<String>) {
    match value {
        Value::Object(fields) => {
            if let Some(Value::String(to)) = fields.get("$ref") {
                out.push(to.clone());
            }
            fields.values().for_each(|value| collect(value, out));
        }
        Value::Array(items) => items.iter().for_each(|value| collect(value, out)),
        _ => {}
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn an_entry_sent_by_a_program_is_in_the_case() {
    let state = state();
    let draft = json!([{
        "id": store::new_id(), "device": "program", "at": "2026-05-02T10:00:00Z", "base": 1,
        "change": { "note": { "on": "fridge", "words": "hums" } },
    }]);
    let request = Request::post("/api/cases/dunlin/entries")
        .header("host", "localhost")
        .header("content-type", "application/json")
        .body(Body::from(draft.to_string()))
        .unwrap();
    let (status, _, bytes) = answer(&state, request).await;
    assert_eq!(status, StatusCode::OK);
    let said: Vec<Answer> = serde_json::from_slice(&bytes).unwrap();
    assert_eq!(said[0].seq, 2);
    let (_, _, bytes) = answer(&state, get_request("/api/cases/dunlin")).await;
    let case: CaseState = serde_json::from_slice(&bytes).unwrap();
    assert_eq!(case.notes[0].words, "hums");
}
