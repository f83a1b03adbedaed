//! Who looks at a page.

use std::convert::Infallible;

use axum::extract::FromRequestParts;
use axum::http::request::Parts;

use crate::serve::Visitor;

/// Who looks at a page.
#[derive(Clone, Debug, Default)]
pub(crate) struct Viewer {
    /// The name entries are made under.
    pub(crate) name: Option<String>,
    /// Whether there is a session that can be ended.
    pub(crate) can_leave: bool,
    /// Whether they are a lead.
    pub(crate) is_lead: bool,
}

impl<S: Sync> FromRequestParts<S> for Viewer {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Viewer, Infallible> {
        let visitor = parts.extensions.get::<Visitor>();
        Ok(Viewer {
            name: visitor.map(|visitor| visitor.person.name.clone()),
            can_leave: visitor.is_some_and(|visitor| visitor.has_session),
            is_lead: visitor.is_some_and(|visitor| visitor.must_lead().is_ok()),
        })
    }
}
