//! Entries and photos as devices send them.

use axum::Router;
use axum::extract::{DefaultBodyLimit, Json, Multipart, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::post;
use pack::{MAX_PHOTO_BYTES, PhotoRefused};
use serde_json::Value;
use store::{Answer, Change, Draft, Outcome};

use super::problem::{Problem, sentence};
use super::state::AppState;
use super::visitor::Visitor;
use super::waits;

/// Most entries in one parcel.
const MOST: usize = 1000;

pub(crate) fn routes() -> Router<AppState> {
    let photos = post(photo).layer(DefaultBodyLimit::max(MAX_PHOTO_BYTES + (1 << 20)));
    Router::new().route("/case/{id}/entries", post(entries)).route("/case/{id}/photos", photos)
}

async fn entries(
    State(state): State<AppState>,
    visitor: Visitor,
    Path(case): Path<String>,
    Json(parcel): Json<Vec<Value>>,
) -> Result<Response, Problem> {
    if parcel.len() > MOST {
        let message = format!("Send at most {MOST} entries at once.");
        return Err(Problem::new(StatusCode::PAYLOAD_TOO_LARGE, message));
    }
    let store = state.store().clone();
    let answers = waits(move || {
        store.head(&case)?;
        // One that cannot be read does not keep the others out.
        let (mut drafts, mut unread) = (Vec::new(), Vec::new());
        for (place, value) in parcel.into_iter().enumerate() {
            let id = value.get("id").and_then(Value::as_str).unwrap_or("").to_owned();
            match serde_json::from_value::<Draft>(value) {
                Ok(draft) => drafts.push(draft),
                Err(fault) => {
                    unread.push((place, refused(id, &format!("it cannot be read: {fault}"))))
                }
            }
        }
        let mut answers = store.append(&case, &visitor.who(), drafts)?;
        for (place, answer) in unread {
            answers.insert(place, answer);
        }
        Ok::<_, Problem>(answers)
    })
    .await??;
    Ok(Json(answers).into_response())
}

fn refused(id: String, message: &str) -> Answer {
    Answer { id, seq: 0, outcome: Outcome::Refused, message: message.to_owned() }
}

impl AppState {
    /// Enters a change of a case for a visitor, as from a page. An `id` given with the form makes the
    /// same form twice one entry.
    ///
    /// # Errors
    /// When it is refused, there is no such case, or the store fails.
    pub fn enter(
        &self,
        visitor: &Visitor,
        case: &str,
        change: Change,
        sent: &Sent,
    ) -> Result<Answer, Problem> {
        let store = self.store();
        let draft = Draft {
            id: sent.id.clone().unwrap_or_else(store::new_id),
            device: sent.device.clone().unwrap_or_else(|| "page".to_owned()),
            at: sent.at.clone().unwrap_or_else(|| store.clock().text()),
            base: match sent.base {
                Some(base) => base,
                None => store.head(case)?,
            },
            change,
        };
        let mut answers = store.append(case, &visitor.who(), vec![draft])?;
        match answers.pop() {
            Some(Answer { outcome: Outcome::Refused, message, .. }) => {
                Err(Problem::new(StatusCode::UNPROCESSABLE_ENTITY, sentence(&message)))
            }
            Some(answer) => Ok(answer),
            None => Err(Problem::bad("Nothing was sent.")),
        }
    }
}

/// What came with a form about the entry itself.
#[derive(Clone, Debug, Default)]
pub struct Sent {
    /// The id made for it.
    pub id: Option<String>,
    /// What the device calls itself.
    pub device: Option<String>,
    /// When, by the clock of the device.
    pub at: Option<String>,
    /// The last entry the page showed.
    pub base: Option<u64>,
}

#[derive(Default)]
struct PhotoForm {
    sent: Sent,
    token: Option<String>,
    back: Option<String>,
    on: Option<String>,
    arrow: Option<String>,
    words: Option<String>,
    file: Vec<u8>,
}

async fn photo(
    State(state): State<AppState>,
    visitor: Visitor,
    Path(case): Path<String>,
    headers: axum::http::HeaderMap,
    form: Multipart,
) -> Result<Response, Problem> {
    let form = photo_form(form).await?;
    if form.file.is_empty() {
        return Err(Problem::bad("There is no picture in what was sent."));
    }
    let is_page = super::problem::wants_page(&headers);
    if is_page {
        visitor.check_token(form.token.as_deref().unwrap_or(""))?;
    }
    // The semaphore is never closed.
    let _turn = state.photos().acquire().await.ok();
    let store = state.clone();
    let back = form.back.clone();
    let answer = waits(move || take_photo(&store, &visitor, &case, form)).await??;
    if is_page {
        let back = super::door::own_address(back.as_deref()).to_owned();
        return Ok(axum::response::Redirect::to(&back).into_response());
    }
    Ok(Json(answer).into_response())
}

fn take_photo(
    state: &AppState,
    visitor: &Visitor,
    case: &str,
    form: PhotoForm,
) -> Result<Answer, Problem> {
    state.store().head(case)?;
    let (bytes, _, _) = pack::clean_photo(&form.file).map_err(|why| refused_photo(&why))?;
    let sha = state.store().keep_photo(case, &visitor.who(), &bytes)?;
    let PhotoForm { on, arrow, words, sent, .. } = form;
    state.enter(visitor, case, Change::Photo { sha, on, arrow, words }, &sent)
}

fn refused_photo(why: &PhotoRefused) -> Problem {
    let status = match why {
        PhotoRefused::TooManyBytes(_) => StatusCode::PAYLOAD_TOO_LARGE,
        PhotoRefused::Heic | PhotoRefused::NoPicture => StatusCode::UNSUPPORTED_MEDIA_TYPE,
        PhotoRefused::TooLarge(..) | PhotoRefused::Broken(_) => StatusCode::UNPROCESSABLE_ENTITY,
    };
    Problem::new(status, format!("The photo is not taken: {why}."))
}

async fn photo_form(mut parts: Multipart) -> Result<PhotoForm, Problem> {
    let mut form = PhotoForm::default();
    let unread = |fault: axum::extract::multipart::MultipartError| {
        Problem::new(
            fault.status(),
            format!("The photo did not arrive whole: {}.", fault.body_text()),
        )
    };
    while let Some(part) = parts.next_field().await.map_err(unread)? {
        let name = part.name().unwrap_or("").to_owned();
        if name == "file" {
            form.file = part.bytes().await.map_err(unread)?.to_vec();
            continue;
        }
        let text = Some(part.text().await.map_err(unread)?).filter(|text| !text.is_empty());
        match name.as_str() {
            "id" => form.sent.id = text,
            "device" => form.sent.device = text,
            "at" => form.sent.at = text,
            "base" => form.sent.base = text.and_then(|text| text.parse().ok()),
            "token" => form.token = text,
            "back" => form.back = text,
            "on" => form.on = text,
            "arrow" => form.arrow = text,
            "words" => form.words = text,
            _ => {}
        }
    }
    Ok(form)
}
