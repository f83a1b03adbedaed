//! What stands before every page: where a request comes from, who makes it, and what an answer must
//! carry. Knows no page but the door.

use axum::extract::{Request, State};
use axum::http::header::{self, HeaderName, HeaderValue};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

use super::problem::{self, Problem};
use super::state::{AppState, Door, Link};
use super::token;
use super::visitor::Visitor;

/// What pages may load: only what is here. Pictures may also be made in the page itself.
const POLICY: &str = "default-src 'self'; img-src 'self' blob: data:; object-src 'none'; \
                      base-uri 'none'; form-action 'self'; frame-ancestors 'none'";

/// Longest a request may take to arrive and to be answered: a large photo over bad Wi-Fi.
const LONGEST: core::time::Duration = core::time::Duration::from_secs(300);

/// Addresses for which nobody has to log in.
const FREE: [&str; 4] = ["/login", "/begin", "/service.js", "/trust"];
const FREE_BELOW: [&str; 3] = ["/assets/", "/owner/", "/trust/"];

/// Lets a request through, or says why not; completes the answer.
pub(crate) async fn guard(State(state): State<AppState>, request: Request, next: Next) -> Response {
    let wants_page = problem::wants_page(request.headers());
    let answered = answered(&state, request, next).await;
    let (response, token) = match answered {
        Ok(answered) => answered,
        Err(response) => (response, None),
    };
    let mut response = problem::told(response, wants_page);
    if let Some(token) = token {
        response = token::put_in(response, &token).await;
    }
    complete(response.headers_mut());
    response
}

/// The answer, with the token that its forms carry; or why there is none.
async fn answered(
    state: &AppState,
    mut request: Request,
    next: Next,
) -> Result<(Response, Option<String>), Response> {
    let refused = |problem: Problem| problem.into_response();
    same_site(state, request.method(), request.headers()).map_err(refused)?;
    let path = request.uri().path().to_owned();
    let Some(visitor) = visitor(state, request.headers()).await.map_err(refused)? else {
        if is_free(&path) {
            return Ok((in_time(request, next).await, None));
        }
        let is_page = request.method() == Method::GET && problem::wants_page(request.headers());
        let door = if is_page {
            to_the_door(state, &path).await
        } else {
            refused(Problem::not_logged_in())
        };
        return Err(door);
    };
    let token = visitor.token.clone();
    if !is_free(&path) {
        request = token::checked(request, &token).await.map_err(refused)?;
    }
    request.extensions_mut().insert(visitor.who());
    request.extensions_mut().insert(visitor);
    Ok((in_time(request, next).await, Some(token)))
}

/// Ends what does not get on, such as a photo of which no more arrives.
async fn in_time(request: Request, next: Next) -> Response {
    match tokio::time::timeout(LONGEST, next.run(request)).await {
        Ok(response) => response,
        Err(_) => Problem::new(StatusCode::REQUEST_TIMEOUT, "It took too long.").into_response(),
    }
}

fn is_free(path: &str) -> bool {
    FREE.contains(&path) || FREE_BELOW.iter().any(|below| path.starts_with(below))
}

/// Refuses what another site made a browser send, and, where nobody has to log in, other names for
/// this machine than its own.
fn same_site(state: &AppState, method: &Method, headers: &HeaderMap) -> Result<(), Problem> {
    let text = |name: HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
    let host = text(header::HOST).unwrap_or("");
    if matches!(state.door(), Door::Open { .. }) && !is_own_machine(host) {
        let message =
            "This is only for the machine it runs on. Start it with --listen to let others in.";
        return Err(Problem::new(StatusCode::MISDIRECTED_REQUEST, message));
    }
    if method.is_safe() {
        return Ok(());
    }
    const FOREIGN: &str = "Another site sent this. Nothing was changed.";
    let site = text(HeaderName::from_static("sec-fetch-site"));
    if site.is_some_and(|site| site != "same-origin" && site != "none") {
        return Err(Problem::forbidden(FOREIGN));
    }
    let own = |origin: &str| {
        let rest = origin.strip_prefix("https://").or_else(|| origin.strip_prefix("http://"));
        !host.is_empty() && rest == Some(host)
    };
    match headers.get(header::ORIGIN).map(HeaderValue::to_str) {
        Some(Ok(origin)) if own(origin) => Ok(()),
        None => Ok(()),
        Some(_) => Err(Problem::forbidden(FOREIGN)),
    }
}

fn is_own_machine(host: &str) -> bool {
    let name = match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|b| b.is_ascii_digit()) => name,
        _ => host,
    };
    matches!(name, "localhost" | "127.0.0.1" | "[::1]")
}

async fn visitor(state: &AppState, headers: &HeaderMap) -> Result<Option<Visitor>, Problem> {
    if let Door::Open { name } = state.door() {
        let (person, token) = state.whoever(name);
        return Ok(Some(Visitor { person, token, has_session: false }));
    }
    let Some(secret) = cookie(headers).map(str::to_owned) else { return Ok(None) };
    let store = state.store().clone();
    let session = super::waits(move || store.session(&secret)).await??;
    Ok(session.map(|session| Visitor {
        person: session.person,
        token: session.token,
        has_session: true,
    }))
}

/// What the browser holds.
pub(crate) fn cookie(headers: &HeaderMap) -> Option<&str> {
    let all = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
    all.flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(name, _)| *name == COOKIE)
        .map(|(_, value)| value)
}

const COOKIE: &str = "unbury";

/// The header that gives a browser its session, or takes it away.
pub(crate) fn set_cookie(link: &Link, secret: Option<&str>) -> String {
    let secure = if *link == Link::Plain { "" } else { "; Secure" };
    let (value, age) = secret.map_or(("", 0), |secret| (secret, store::SESSION_S));
    format!("{COOKIE}={value}; Path=/; HttpOnly; SameSite=Strict; Max-Age={age}{secure}")
}

/// Leads to the door and back.
async fn to_the_door(state: &AppState, path: &str) -> Response {
    let store = state.store().clone();
    let people = super::waits(move || store.people()).await;
    match people {
        Ok(Ok(people)) if people.is_empty() => Redirect::to("/begin").into_response(),
        _ => Redirect::to(&format!("/login?back={path}")).into_response(),
    }
}

/// What every answer carries.
fn complete(headers: &mut HeaderMap) {
    let always = [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        // With `no-referrer` browsers would send forms without saying from where.
        (header::REFERRER_POLICY, "same-origin"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        (
            HeaderName::from_static("permissions-policy"),
            "camera=(self), microphone=(self), geolocation=()",
        ),
    ];
    for (name, value) in always {
        headers.insert(name, HeaderValue::from_static(value));
    }
    // Where nothing stricter is said.
    let otherwise =
        [(header::CONTENT_SECURITY_POLICY, POLICY), (header::CACHE_CONTROL, "private, no-cache")];
    for (name, value) in otherwise {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    }
}
