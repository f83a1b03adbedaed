//! Entries and photos as devices send them.

use axum::Router;
use axum::extract::{DefaultBodyLimit, Json, Multipart, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::post;
use pack::{MAX_PHOTO_BYTES, PhotoRefused};
use serde_json::Value;
use store::{Answer, Change, Draft, Outcome};

use super::problem::Problem;
use super::state::AppState;
use super::visitor::Visitor;
use super::waits;

/// Most entries in one parcel.
const MOST: usize = 1000;

pub(crate) fn routes() -> Router<AppState> {
    let photos = post(photo).layer(DefaultBodyLimit::max(MAX_PHOTO_BYTES + (1 << 20)));
    Router::new().route("/case/{id}/entries", post(entries)).route("/case/{id}/photos", photos)
}

pub(crate) async fn entries(
    State(state): State<AppState>,
    visitor: Visitor,
    Path(case): Path<String>,
    Json(parcel): Json<Vec<Value>>,
) -> Result<Response, Problem> {
    if parcel.len() > MOST {
        let message = format!("Send at most {MOST} entries at once.");
        return Err(Problem::new(StatusCode::PAYLOAD_TOO_LARGE, message));
    }
    let (store, id) = (state.store().clone(), case.clone());
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
    state.look_ahead(&id);
    Ok(Json(answers).into_response())
}

fn refused(id: String, message: &str) -> Answer {
    Answer { id, seq: 0, outcome: Outcome::Refused, message: message.to_owned() }
}

#[derive(Default)]
struct PhotoForm {
    id: Option<String>,
    device: Option<String>,
    at: Option<String>,
    base: Option<u64>,
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
    let PhotoForm { on, arrow, words, id, device, at, base, .. } = form;
    let draft = Draft {
        id: id.unwrap_or_else(store::new_id),
        device: device.unwrap_or_else(|| "page".to_owned()),
        at: at.unwrap_or_else(|| state.now()),
        base: base.unwrap_or(u64::MAX),
        change: Change::Photo { sha, on, arrow, words },
    };
    let mut answers = state.store().append(case, &visitor.who(), vec![draft])?;
    answers.pop().ok_or_else(|| Problem::bad("Nothing was sent."))
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
            "id" => form.id = text,
            "device" => form.device = text,
            "at" => form.at = text,
            "base" => form.base = text.and_then(|text| text.parse().ok()),
            "back" => form.back = text,
            "on" => form.on = text,
            "arrow" => form.arrow = text,
            "words" => form.words = text,
            _ => {}
        }
    }
    Ok(form)
}
