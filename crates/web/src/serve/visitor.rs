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
    /// What every form carries in a hidden field `token`.
    pub token: String,
    /// Whether there is a session that can be ended.
    pub has_session: bool,
}

impl Visitor {
    /// As entries name them.
    pub fn who(&self) -> Who {
        Who { name: self.person.name.clone() }
    }

    /// Refuses whoever is no lead.
    pub(crate) fn must_lead(&self) -> Result<(), Problem> {
        match self.person.role {
            Role::Lead => Ok(()),
            Role::Technician => Err(Problem::forbidden("Only a lead may do this.")),
        }
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Visitor {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Visitor, Problem> {
        parts.extensions.get::<Visitor>().cloned().ok_or_else(Problem::not_logged_in)
    }
}
