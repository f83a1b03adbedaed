//! Who may log in: seen, added and removed by a lead. Everybody may change their own password.

use std::collections::BTreeMap;

use axum::Router;
use axum::extract::{Form, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use maud::{Markup, html};
use store::{Person, Role};

use super::problem::{Problem, sentence};
use super::state::AppState;
use super::visitor::Visitor;
use crate::look::frame::{self, Frame};
use crate::look::viewer::Viewer;

pub(crate) fn routes() -> Router<AppState> {
    Router::new()
        .route("/people", get(page).post(put))
        .route("/people/remove", post(remove))
        .route("/password", get(password_page).post(new_password))
}

type Fields = BTreeMap<String, String>;

fn given<'a>(fields: &'a Fields, name: &str) -> &'a str {
    fields.get(name).map_or("", String::as_str)
}

async fn page(
    State(state): State<AppState>,
    visitor: Visitor,
    viewer: Viewer,
) -> Result<Response, Problem> {
    visitor.must_lead()?;
    let people = state.store().people()?;
    let body = html! {
        div class="title" { h1 { "People" } p { "Who may log in. What somebody entered stays when they go." } }
        section class="card" {
            @if people.is_empty() { p { "Nobody: this machine lets in whoever sits at it." } }
            ul class="rows" { @for person in &people { (row(person, &visitor)) } }
        }
        section class="card" { h2 { "Add somebody, or give a new password" }
            form method="post" action="/people" {
                label { "Name, as it stands beside what they enter" input name="name" required maxlength="60" autocomplete="off"; }
                label { "Password, 8 characters or more" input name="password" type="password" required minlength="8" autocomplete="new-password"; }
                label { "May" select name="role" {
                    option value="technician" { "work on cases (technician)" }
                    option value="lead" { "also add people and give links to owners (lead)" }
                } }
                button class="main" { "Let them log in" }
            }
        }
    };
    let frame = Frame { title: "People", viewer: &viewer, case: None, station: None };
    Ok(frame::page(&frame, &body).into_response())
}

fn row(person: &Person, visitor: &Visitor) -> Markup {
    html! {
        li { div class="pair" {
            b { (person.name) } span class="tag" { (person.role.word()) }
            @if person.name != visitor.person.name {
                details { summary class="small" { "Remove" }
                    form class="line" method="post" action="/people/remove" {
                        input type="hidden" name="name" value=(person.name);
                        button { "Yes, " (person.name) " logs in no more" }
                    }
                }
            }
        } }
    }
}

async fn put(
    State(state): State<AppState>,
    visitor: Visitor,
    Form(fields): Form<Fields>,
) -> Result<Redirect, Problem> {
    visitor.must_lead()?;
    let role = if given(&fields, "role") == "lead" { Role::Lead } else { Role::Technician };
    state.store().put_person(given(&fields, "name"), role, given(&fields, "password"))?;
    Ok(Redirect::to("/people"))
}

async fn remove(
    State(state): State<AppState>,
    visitor: Visitor,
    Form(fields): Form<Fields>,
) -> Result<Redirect, Problem> {
    visitor.must_lead()?;
    state.store().remove_person(given(&fields, "name"))?;
    Ok(Redirect::to("/people"))
}

async fn password_page(viewer: Viewer) -> Response {
    let body = html! {
        div class="title" { h1 { "New password" } p { "You are logged out everywhere, and in again with the new one." } }
        form class="card" method="post" action="/password" {
            label { "Present password" input name="present" type="password" required autocomplete="current-password"; }
            label { "New password, 8 characters or more" input name="password" type="password" required minlength="8" autocomplete="new-password"; }
            button class="main" { "Change it" }
        }
    };
    let frame = Frame { title: "New password", viewer: &viewer, case: None, station: None };
    frame::page(&frame, &body).into_response()
}

async fn new_password(
    State(state): State<AppState>,
    visitor: Visitor,
    Form(fields): Form<Fields>,
) -> Result<Redirect, Problem> {
    let Person { name, role } = &visitor.person;
    if !visitor.has_session {
        return Err(Problem::forbidden("Nobody logs in on this machine."));
    }
    if state.store().check_password(name, given(&fields, "present"))?.is_none() {
        return Err(Problem::forbidden("This is not your present password."));
    }
    let put = state.store().put_person(name, *role, given(&fields, "password"));
    put.map_err(|fault| Problem::bad(sentence(&fault.to_string())))?;
    Ok(Redirect::to("/login"))
}
