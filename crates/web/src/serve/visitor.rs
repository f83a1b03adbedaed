//! Who makes a request, as the guard found out.

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use store::{Person, Role, Who};

use super::problem::Problem;

/// Who makes a request. Handlers ask for it as an argument.
#[derive(Clone, Debug)]
pub struct Visitor {
    /// The person.
    pub person: Person,
    /// What every form has to carry in a hidden field `token`.
    pub token: String,
    /// Whether there is a session that can be ended.
    pub has_session: bool,
}

impl Visitor {
    /// As entries name them.
    pub fn who(&self) -> Who {
        Who { name: self.person.name.clone() }
    }

    /// Whether the token of a form is theirs.
    pub(crate) fn check_token(&self, token: &str) -> Result<(), Problem> {
        // Compared in the same time wherever they differ.
        let same = self.token.len() == token.len()
            && self.token.bytes().zip(token.bytes()).fold(0, |all, (a, b)| all | (a ^ b)) == 0;
        if same { Ok(()) } else { Err(Problem::forbidden(STALE)) }
    }

    /// Refuses whoever is no lead.
    pub(crate) fn must_lead(&self) -> Result<(), Problem> {
        match self.person.role {
            Role::Lead => Ok(()),
            Role::Technician => Err(Problem::forbidden("Only a lead may do this.")),
        }
    }
}

const STALE: &str =
    "This form is from another session. Go back, load the page anew and send it again.";

impl<S: Send + Sync> FromRequestParts<S> for Visitor {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Visitor, Problem> {
        parts.extensions.get::<Visitor>().cloned().ok_or_else(Problem::not_logged_in)
    }
}
