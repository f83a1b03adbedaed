//! Logging in and out, and the first lead of a workshop.

use core::net::SocketAddr;

use axum::extract::{ConnectInfo, Form, Query, State};
use axum::http::header::SET_COOKIE;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Extension, Router};
use maud::{Markup, html};
use serde::Deserialize;
use store::{Person, Role};

use super::guard::{cookie, set_cookie};
use super::problem::{Problem, sentence};
use super::state::{AppState, Door};
use super::waits;
use crate::look::frame;

pub(crate) fn routes() -> Router<AppState> {
    Router::new()
        .route("/login", get(login_page).post(log_in))
        .route("/logout", post(log_out))
        .route("/begin", get(begin_page).post(begin))
}

#[derive(Deserialize)]
struct Back {
    back: Option<String>,
}

#[derive(Deserialize)]
struct Login {
    name: String,
    password: String,
    back: Option<String>,
}

#[derive(Deserialize)]
struct Beginning {
    code: String,
    name: String,
    password: String,
}

/// An address of ours to go on to, whatever was asked for.
pub(crate) fn own_address(back: Option<&str>) -> &str {
    match back {
        Some(back) if back.starts_with('/') && !back.starts_with("//") && !back.contains('\\') => {
            back
        }
        _ => "/",
    }
}

async fn login_page(State(state): State<AppState>, Query(back): Query<Back>) -> Response {
    if matches!(state.door(), Door::Open { .. }) {
        return Redirect::to("/").into_response();
    }
    login_form(own_address(back.back.as_deref()), "").into_response()
}

fn login_form(back: &str, complaint: &str) -> Markup {
    let body = html! {
        h1 { "Log in" }
        @if !complaint.is_empty() { p role="alert" { (complaint) } }
        form method="post" action="/login" {
            input type="hidden" name="back" value=(back);
            p { label for="name" { "Name" } }
            p { input id="name" name="name" autocomplete="username" required autofocus; }
            p { label for="password" { "Password" } }
            p { input id="password" name="password" type="password" autocomplete="current-password" required; }
            p { button { "Log in" } }
        }
        p { a href="/trust" { "The browser warns of this machine?" } }
    };
    frame::plain("Log in", &body)
}

/// Where requests come from; behind nothing that tells it, all count as one.
fn address(from: Option<Extension<ConnectInfo<SocketAddr>>>) -> String {
    from.map_or_else(
        || "somewhere".to_owned(),
        |Extension(ConnectInfo(from))| from.ip().to_string(),
    )
}

async fn log_in(
    State(state): State<AppState>,
    from: Option<Extension<ConnectInfo<SocketAddr>>>,
    headers: HeaderMap,
    Form(login): Form<Login>,
) -> Result<Response, Problem> {
    let address = address(from);
    let now = state.store().clock().seconds();
    let name = login.name.trim().chars().take(100).collect::<String>();
    must_wait(&state, &address, &name, now)?;
    let back = own_address(login.back.as_deref()).to_owned();
    let found = checked(&state, &name, login.password).await?;
    let Some(person) = found else {
        state.attempts().wrong(&address, &name, now);
        let page = login_form(&back, "Name and password do not belong together.");
        return Ok((StatusCode::UNAUTHORIZED, page).into_response());
    };
    state.attempts().right(&address, &name);
    let_in(&state, person, cookie(&headers).map(str::to_owned), &back).await
}

fn must_wait(state: &AppState, address: &str, name: &str, now: i64) -> Result<(), Problem> {
    match state.attempts().wait_s(address, name, now) {
        None => Ok(()),
        Some(wait) => Err(Problem::new(
            StatusCode::TOO_MANY_REQUESTS,
            format!("Too many wrong passwords. Wait {wait} seconds and try again."),
        )
        .retry_after(wait)),
    }
}

async fn checked(
    state: &AppState,
    name: &str,
    password: String,
) -> Result<Option<Person>, Problem> {
    // The semaphore is never closed.
    let _turn = state.passwords().acquire().await.ok();
    let (store, name) = (state.store().clone(), name.to_owned());
    Ok(waits(move || store.check_password(&name, &password)).await??)
}

/// Begins a new session; one the browser had ends, so that nobody can have put it there.
async fn let_in(
    state: &AppState,
    person: Person,
    old: Option<String>,
    back: &str,
) -> Result<Response, Problem> {
    let store = state.store().clone();
    let begun = waits(move || {
        if let Some(old) = old {
            store.end_session(&old)?;
        }
        store.begin_session(&person)
    })
    .await??;
    let cookie = set_cookie(state.link(), Some(&begun.secret));
    Ok(([(SET_COOKIE, cookie)], Redirect::to(back)).into_response())
}

async fn log_out(State(state): State<AppState>, headers: HeaderMap) -> Result<Response, Problem> {
    if let Some(secret) = cookie(&headers).map(str::to_owned) {
        let store = state.store().clone();
        waits(move || store.end_session(&secret)).await??;
    }
    Ok(([(SET_COOKIE, set_cookie(state.link(), None))], Redirect::to("/login")).into_response())
}

async fn nobody_yet(state: &AppState) -> Result<bool, Problem> {
    let store = state.store().clone();
    Ok(waits(move || store.people()).await??.is_empty())
}

async fn begin_page(State(state): State<AppState>) -> Result<Response, Problem> {
    if matches!(state.door(), Door::Open { .. }) || !nobody_yet(&state).await? {
        return Ok(Redirect::to("/login").into_response());
    }
    Ok(begin_form("").into_response())
}

fn begin_form(complaint: &str) -> Markup {
    let body = html! {
        h1 { "First person" }
        p { "Nobody can log in yet. Make yourself the first lead; you add the others afterwards." }
        @if !complaint.is_empty() { p role="alert" { (complaint) } }
        form method="post" action="/begin" {
            p { label for="code" { "Code, as printed where the program was started" } }
            p { input id="code" name="code" autocomplete="off" required autofocus; }
            p { label for="name" { "Your name, as it will stand beside what you enter" } }
            p { input id="name" name="name" autocomplete="username" required maxlength="60"; }
            p { label for="password" { "Password, 8 characters or more" } }
            p { input id="password" name="password" type="password" autocomplete="new-password" required minlength="8"; }
            p { button { "Begin" } }
        }
    };
    frame::plain("First person", &body)
}

async fn begin(
    State(state): State<AppState>,
    from: Option<Extension<ConnectInfo<SocketAddr>>>,
    headers: HeaderMap,
    Form(beginning): Form<Beginning>,
) -> Result<Response, Problem> {
    let Door::Login { code } = state.door() else { return Ok(Redirect::to("/").into_response()) };
    if !nobody_yet(&state).await? {
        return Err(Problem::forbidden("There are people already; one of them has to add you."));
    }
    let (address, now) = (address(from), state.store().clock().seconds());
    must_wait(&state, &address, "", now)?;
    if beginning.code.trim() != code {
        state.attempts().wrong(&address, "", now);
        let page = begin_form("This is not the code that was printed.");
        return Ok((StatusCode::UNAUTHORIZED, page).into_response());
    }
    let Beginning { name, password, .. } = beginning;
    let (store, kept) = (state.store().clone(), name.trim().to_owned());
    let put = waits(move || store.put_person(&name, Role::Lead, &password)).await?;
    if let Err(fault) = put {
        let page = begin_form(&sentence(&fault.to_string()));
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    let person = Person { name: kept, role: Role::Lead };
    let_in(&state, person, cookie(&headers).map(str::to_owned), "/").await
}
