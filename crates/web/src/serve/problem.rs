//! What went wrong with a request, as a page for people and as JSON for programs.

use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use maud::html;
use store::StoreError;

use crate::look::frame;

/// What went wrong, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The status of the answer.
    pub status: StatusCode,
    /// For people.
    pub message: String,
    /// In how many seconds it may work.
    pub wait_s: Option<i64>,
}

impl Problem {
    pub(crate) fn new(status: StatusCode, message: impl Into<String>) -> Problem {
        Problem { status, message: message.into(), wait_s: None }
    }

    pub(crate) fn bad(message: impl Into<String>) -> Problem {
        Problem::new(StatusCode::BAD_REQUEST, message)
    }

    pub(crate) fn forbidden(message: impl Into<String>) -> Problem {
        Problem::new(StatusCode::FORBIDDEN, message)
    }

    pub(crate) fn no_such(what: &str) -> Problem {
        Problem::new(StatusCode::NOT_FOUND, format!("There is no such {what}."))
    }

    pub(crate) fn not_logged_in() -> Problem {
        Problem::new(StatusCode::UNAUTHORIZED, "Log in first.")
    }

    pub(crate) fn retry_after(self, wait_s: i64) -> Problem {
        Problem { wait_s: Some(wait_s), ..self }
    }

    fn title(&self) -> &'static str {
        match self.status.as_u16() {
            401 => "Log in first",
            403 | 421 => "Not allowed",
            404 => "Not here",
            413 => "Too large",
            429 => "Too often",
            500.. => "The program failed",
            _ => "Not taken",
        }
    }
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Problem {
        let status = match error {
            StoreError::NoSuchCase | StoreError::NoSuch(_) => StatusCode::NOT_FOUND,
            StoreError::Refused(_) => StatusCode::UNPROCESSABLE_ENTITY,
            _ => StatusCode::INTERNAL_SERVER_ERROR,
        };
        Problem::new(status, sentence(&error.to_string()))
    }
}

/// With a capital letter and a full stop.
pub(crate) fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
    let stop = if words.ends_with(['.', '!', '?']) { "" } else { "." };
    format!("{first}{}{stop}", letters.as_str())
}

/// Marks answers that [`told`] turns into a page or into JSON.
#[derive(Clone)]
struct Untold(Problem);

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let mut response = self.status.into_response();
        response.extensions_mut().insert(Untold(self));
        response
    }
}

/// Whether who asked wants a page.
pub(crate) fn wants_page(headers: &HeaderMap) -> bool {
    let accepts = headers.get(header::ACCEPT).and_then(|value| value.to_str().ok());
    accepts.is_some_and(|accepts| accepts.contains("text/html"))
}

/// Gives a problem its body: a page or JSON. Refusals of the web library become problems too.
pub(crate) fn told(response: Response, wants_page: bool) -> Response {
    let status = response.status();
    let known = response.extensions().get::<Untold>().map(|untold| untold.0.clone());
    let is_plain = |response: &Response| {
        let kind = response.headers().get(header::CONTENT_TYPE);
        kind.is_none_or(|kind| kind.as_bytes().starts_with(b"text/plain"))
    };
    let problem = match known {
        Some(problem) => problem,
        None if !(status.is_client_error() || status.is_server_error()) => return response,
        None if !is_plain(&response) => return response,
        None => Problem::new(status, words_of(status)),
    };
    let mut answer = match wants_page {
        true => {
            let body = html! {
                h1 { (problem.title()) }
                p { (problem.message) }
                p { a href="/" { "To the cases" } }
            };
            (status, frame::plain(problem.title(), &body)).into_response()
        }
        false => {
            (status, axum::Json(serde_json::json!({ "message": problem.message }))).into_response()
        }
    };
    if let Some(wait) = problem.wait_s {
        answer.headers_mut().insert(header::RETRY_AFTER, wait.into());
    }
    for name in [header::ALLOW, header::SET_COOKIE] {
        if let Some(value) = response.headers().get(&name) {
            answer.headers_mut().insert(name, value.clone());
        }
    }
    answer
}

fn words_of(status: StatusCode) -> &'static str {
    match status.as_u16() {
        400 => "The request cannot be read.",
        404 => "There is nothing at this address.",
        405 => "This address does not take that.",
        408 => "It took too long.",
        413 => "This is larger than anything that is taken here.",
        415 => "This is sent in a form that is not taken here.",
        422 => "Something is missing in what was sent, or is not what it should be.",
        _ => "That did not work.",
    }
}
