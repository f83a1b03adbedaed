//! How a phone or a laptop comes to trust the certificate made here; and the certificate itself.

use axum::Router;
use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use maud::html;

use super::problem::Problem;
use super::state::{AppState, Link};
use crate::look::frame;

pub(crate) fn routes() -> Router<AppState> {
    Router::new().route("/trust", get(page)).route("/trust/unbury.crt", get(certificate))
}

async fn page(State(state): State<AppState>) -> Response {
    let body = html! {
        div class="title" { h1 { "Trust this workshop" } }
        @match state.link() {
            Link::Plain => section class="card" {
                p { "This program was started without TLS, so there is nothing to trust, and everything that is sent can be read by others on the network. Start it with " code { "--tls" } "." }
            },
            Link::Tls { fingerprint, .. } => {
                section class="card" {
                    p { "Your browser warned you because no outside authority has vouched for this machine. The workshop has an authority of its own. Once a device trusts it, the warning goes, and pages and entries are kept on the device while the link is down." }
                }
                section class="card big" { h2 { "First compare" }
                    p { "Where the program was started it printed a fingerprint. It has to be this one, letter by letter:" }
                    p class="fig" { (fingerprint) }
                    p { "If it is another one, stop: somebody stands between you and the workshop." }
                }
                section class="card" { h2 { "Then install" }
                    p { a class="button main" href="/trust/unbury.crt" { "Fetch the certificate" } }
                    ul {
                        li { b { "Phones and tablets: " } "open what was fetched. If nothing asks you to install it, search the settings for \"certificate\" and install it as a certificate authority (CA) from the file. Some devices want a second step: search the settings for \"certificate trust\" and switch it on for \"Unbury, this workshop\"." }
                        li { b { "Computers: " } "open what was fetched and put it among the trusted root authorities; some browsers keep a list of their own in their settings, under \"certificates\"." }
                    }
                    p { "Then close the browser, open it again, and come back." }
                }
                section class="card" { h2 { "What you agree to" }
                    p { "Your device will believe this workshop's authority for names of the local network and addresses of private networks, and for nothing else. Its key lies in the data folder of the workshop. Take the certificate off the device when you leave." }
                }
            },
        }
    };
    frame::plain("Trust this workshop", &body).into_response()
}

async fn certificate(State(state): State<AppState>) -> Result<Response, Problem> {
    let Link::Tls { certificate, .. } = state.link() else {
        return Err(Problem::no_such("certificate"));
    };
    let headers = [
        (CONTENT_TYPE, "application/x-x509-ca-cert"),
        (CONTENT_DISPOSITION, "attachment; filename=\"unbury.crt\""),
    ];
    Ok((headers, certificate.clone()).into_response())
}
