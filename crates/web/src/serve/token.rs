//! Every form of every page carries the token of the session, and no form is taken without it. Put in
//! and asked for here, so that no page and no handler can forget it.

use axum::body::{Body, Bytes, to_bytes};
use axum::extract::Request;
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::response::Response;

use super::problem::Problem;

/// Longest form, and longest page.
const LONGEST: usize = 16 << 20;

/// What a form begins with on our pages, as the templates write it.
const FORMS: [&str; 2] = ["<form ", "<form>"];

pub(crate) const STALE: &str =
    "This form is from another session. Go back, load the page anew and send it again.";

/// Refuses a form without the token.
pub(crate) async fn checked(request: Request, token: &str) -> Result<Request, Problem> {
    if request.method() != Method::POST
        || !is(request.headers(), "application/x-www-form-urlencoded")
    {
        return Ok(request);
    }
    let (parts, body) = request.into_parts();
    let body = to_bytes(body, LONGEST).await.map_err(|_| {
        Problem::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            "This is larger than anything that is taken here.",
        )
    })?;
    if !is_same(given(&body), token) {
        return Err(Problem::forbidden(STALE));
    }
    Ok(Request::from_parts(parts, Body::from(body)))
}

/// Puts the token into the forms of a page.
pub(crate) async fn put_in(response: Response, token: &str) -> Response {
    if !is(response.headers(), "text/html") {
        return response;
    }
    let (mut parts, body) = response.into_parts();
    // Pages are made whole before they are sent, so this cannot fail.
    let page = to_bytes(body, LONGEST).await.unwrap_or_default();
    parts.headers.remove(header::CONTENT_LENGTH);
    Response::from_parts(parts, Body::from(with_token(&page, token)))
}

fn is(headers: &HeaderMap, kind: &str) -> bool {
    headers.get(header::CONTENT_TYPE).is_some_and(|is| is.as_bytes().starts_with(kind.as_bytes()))
}

fn with_token(page: &Bytes, token: &str) -> Vec<u8> {
    let page = String::from_utf8_lossy(page);
    let field = format!("<input type=\"hidden\" name=\"token\" value=\"{token}\">");
    let mut out = String::with_capacity(page.len() + 4096);
    let mut rest = page.as_ref();
    while let Some(at) = FORMS.iter().filter_map(|form| rest.find(form)).min() {
        let Some(end) = rest[at..].find('>').map(|more| at + more + 1) else { break };
        out.push_str(&rest[..end]);
        if rest[at..end].contains("method=\"post\"") {
            out.push_str(&field);
        }
        rest = &rest[end..];
    }
    out.push_str(rest);
    out.into_bytes()
}

/// The field `token` of a form; it is made of hexadecimal digits, so nothing in it is escaped.
fn given(body: &[u8]) -> &[u8] {
    let mut fields = body.split(|b| *b == b'&');
    fields.find_map(|field| field.strip_prefix(b"token=")).unwrap_or_default()
}

/// Compared in the same time wherever they differ.
pub(crate) fn is_same(given: &[u8], token: &str) -> bool {
    given.len() == token.len()
        && given.iter().zip(token.bytes()).fold(0, |all, (a, b)| all | (a ^ b)) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_that_is_posted_carries_the_token_and_no_other() {
        let page = "<p>a</p><form method=\"post\" action=\"/x\" data-form=\"a b\"><button></button></form>\
                    <form action=\"/find\"></form><form class=\"line\" method=\"post\"></form>";
        let with = String::from_utf8(with_token(&Bytes::from(page), "ab12")).unwrap();
        let field = "<input type=\"hidden\" name=\"token\" value=\"ab12\">";
        assert_eq!(with.matches(field).count(), 2);
        assert!(with.contains(&format!("data-form=\"a b\">{field}<button>")));
        assert!(with.contains("<form action=\"/find\"></form>"));
        assert_eq!(with.replace(field, ""), page);
    }

    #[test]
    fn the_token_is_found_among_the_fields() {
        assert_eq!(given(b"kind=note&token=ab12&words=x"), b"ab12");
        assert_eq!(given(b"token=ab12"), b"ab12");
        assert_eq!(given(b"mytoken=ab12"), b"");
        assert!(is_same(b"ab12", "ab12"));
        assert!(!is_same(b"ab13", "ab12") && !is_same(b"", "ab12") && !is_same(b"ab12x", "ab12"));
    }
}
