//! Photos of a run.

use axum::extract::{Multipart, Path, State};
use axum::response::Redirect;
use knockon_desk::{InspectionId, PhotoRow};
use knockon_sheet::inspection::{Photo, figure};
use knockon_trade::inspection::mark::read_marks;
use maud::{Markup, html};

use crate::app::App;
use crate::errors::Fault;
use crate::pages::question::sent_photo;
use crate::visitor::Writer;

/// A photo as a page shows it.
pub fn picture(photo: &PhotoRow) -> Photo {
    Photo {
        href: format!("/photos/{}", photo.id),
        width: photo.width,
        height: photo.height,
        caption: photo.caption.clone(),
        marks: read_marks(&photo.marks).unwrap_or_default(),
    }
}

/// Photos with their marks, each with the way to draw on it where that is open.
pub fn figures(photos: &[PhotoRow], open: bool) -> Markup {
    html! {
        div.pictures.sheet-part {
            @for photo in photos {
                div {
                    (figure(&picture(photo)))
                    @if open { p { a href={ "/photos/" (photo.id) "/marks" } { "Draw on it" } } }
                }
            }
        }
    }
}

/// The photos that were taken, and the field for another one; on a phone it opens the camera.
pub fn taking(id: InspectionId, photos: &[PhotoRow]) -> Markup {
    html! {
        @if !photos.is_empty() {
            (figures(photos, true))
        }
        form.fields.take-photo method="post" action={ "/inspections/" (id) "/photos" } enctype="multipart/form-data" {
            div.field {
                label for="photo" { "Take or choose a photo" }
                input id="photo" type="file" name="photo" accept="image/jpeg,image/png,image/webp" capture="environment" required;
            }
            div.field {
                label for="caption" { "What it shows" }
                input id="caption" name="caption" maxlength="300" autocomplete="off";
            }
            div { button { "Keep the photo" } }
        }
    }
}

/// Takes a photo for a run.
pub async fn add(
    State(app): State<App>,
    Writer(visitor): Writer,
    Path(id): Path<InspectionId>,
    form: Multipart,
) -> Result<Redirect, Fault> {
    let (bytes, caption) = sent_photo(form).await?;
    app.desk(move |desk| desk.add_photo_of(id, &bytes, &caption, &visitor.stamp())).await?;
    Ok(Redirect::to(&format!("/inspections/{id}#ask")))
}
