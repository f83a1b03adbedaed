//! Photos on a page, and the form that takes one.

use maud::{Markup, html};

use crate::serve::Opened;

/// The photos of a thing, or of the whole case, with a form for another.
pub(crate) fn card(case: &Opened, on: Option<&str>) -> Markup {
    let shown: Vec<_> =
        case.kept.photos.iter().filter(|photo| on.is_none() || photo.on.as_deref() == on).collect();
    html! {
        section class="card" id="photos" {
            header { h2 { "Photos" } span class="count" { (shown.len()) } }
            @if !shown.is_empty() { div class="photos" data-photos=[on] { @for photo in shown {
                @let what = photo.words.as_deref().or(photo.on.as_deref()).unwrap_or("photo");
                a class="taken" href={ "/case/" (case.id) "/photo/" (photo.sha) } {
                    span class="photo" {
                        img src={ "/case/" (case.id) "/photo/" (photo.sha) } alt=(what) loading="lazy" data-arrow=[photo.arrow.as_ref()];
                    }
                    span class="small" { (what) " · " (photo.said.who) }
                }
            } } }
            (form(case, on))
        }
    }
}

/// The form for a photo: the camera opens at once on a phone.
pub(crate) fn form(case: &Opened, on: Option<&str>) -> Markup {
    html! {
        form class="line" method="post" enctype="multipart/form-data"
            action={ "/case/" (case.id) "/photos" } {
            @if let Some(on) = on { input type="hidden" name="on" value=(on); }
            label { "Take a photo" input type="file" name="file" accept="image/jpeg,image/png,image/webp" capture="environment" required data-photo-on=(on.unwrap_or("")); }
            button { "Send" }
        }
    }
}
