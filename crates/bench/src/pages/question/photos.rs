//! Photos of a question. What is stored was decoded and written anew, so what is served is an image and nothing else.

use axum::body::Bytes;
use axum::extract::multipart::MultipartError;
use axum::extract::{Multipart, Path, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Redirect, Response};
use knockon_desk::{PhotoId, PhotoRow, QuestionId};
use maud::{Markup, html};

use crate::app::App;
use crate::errors::Fault;
use crate::visitor::{Visitor, Writer};

/// Longest caption, characters.
const LONGEST_CAPTION: usize = 300;

/// The photos with their captions, and the field for another one.
pub fn section(question: QuestionId, photos: &[PhotoRow], may_write: bool) -> Markup {
    html! {
        section.photos id="photos" aria-labelledby="photos-head" {
            h2 id="photos-head" { "Photos" }
            @if photos.is_empty() { p.quiet { "None yet." } }
            ul.bare {
                @for photo in photos {
                    li {
                        a href={ "/photos/" (photo.id) } {
                            img src={ "/photos/" (photo.id) } alt=(alt(photo)) width=(photo.width) height=(photo.height) loading="lazy";
                        }
                        @if !photo.caption.is_empty() { p { (photo.caption) } }
                        @if may_write {
                            a href={ "/photos/" (photo.id) "/marks" } aria-label={ "Draw on photo: " (alt(photo)) } { "Draw on it" }
                            form method="post" action={ "/photos/" (photo.id) "/remove" } {
                                input type="hidden" name="question" value=(question);
                                button.plain aria-label={ "Remove photo: " (alt(photo)) } { "Remove" }
                            }
                        }
                    }
                }
            }
            @if may_write {
                form.fields method="post" action={ "/questions/" (question) "/photos" } enctype="multipart/form-data" {
                    div.field {
                        label for="photo" { "Add a photo" }
                        input id="photo" type="file" name="photo" accept="image/jpeg,image/png,image/webp" required;
                    }
                    div.field {
                        label for="caption" { "What it shows" }
                        input id="caption" name="caption" maxlength=(LONGEST_CAPTION) autocomplete="off";
                    }
                    div { button { "Add photo" } }
                }
            }
        }
    }
}

fn alt(photo: &PhotoRow) -> String {
    if photo.caption.is_empty() { format!("Photo {}", photo.id) } else { photo.caption.clone() }
}

/// Takes a photo. Its size is limited by the layer that reads the request and by the desk.
pub async fn add(
    State(app): State<App>,
    Writer(visitor): Writer,
    Path(question): Path<QuestionId>,
    form: Multipart,
) -> Result<Redirect, Fault> {
    let (bytes, caption) = sent(form).await?;
    app.desk(move |desk| desk.add_photo(question, &bytes, &caption, &visitor.stamp())).await?;
    Ok(Redirect::to(&format!("/questions/{question}#photos")))
}

/// The picture and the caption of a form.
pub async fn sent(mut form: Multipart) -> Result<(Bytes, String), Fault> {
    let (mut bytes, mut caption) = (None, String::new());
    while let Some(field) = form.next_field().await.map_err(|error| unreadable(&error))? {
        match field.name() {
            Some("photo") => bytes = Some(field.bytes().await.map_err(|error| unreadable(&error))?),
            Some("caption") => caption = field.text().await.map_err(|error| unreadable(&error))?,
            _ => {}
        }
    }
    let bytes = bytes.filter(|bytes| !bytes.is_empty()).ok_or_else(|| {
        Fault::not_usable("No photo was chosen.", "Choose a file with the field “Add a photo”, then send it.")
    })?;
    Ok((bytes, caption.trim().chars().take(LONGEST_CAPTION).collect()))
}

fn unreadable(error: &MultipartError) -> Fault {
    if error.status() == axum::http::StatusCode::PAYLOAD_TOO_LARGE {
        return crate::errors::too_large();
    }
    Fault::not_usable("The form could not be read to its end.", "Reload the page and send the photo again.")
}

/// The image itself, as the type that the desk wrote it in.
pub async fn photo(State(app): State<App>, _: Visitor, Path(id): Path<PhotoId>) -> Result<Response, Fault> {
    let (media_type, bytes) = app.desk(move |desk| desk.photo(id)).await?;
    let headers = [
        (CONTENT_TYPE, media_type.to_string()),
        (CONTENT_DISPOSITION, format!("inline; filename=\"photo-{id}\"")),
        // A photo never changes under its number; only this browser may keep it.
        (CACHE_CONTROL, "private, max-age=3600".to_owned()),
    ];
    Ok((headers, bytes).into_response())
}

/// Where to go back to.
#[derive(serde::Deserialize)]
pub struct Back {
    question: QuestionId,
}

/// Removes a photo.
pub async fn remove(
    State(app): State<App>,
    Writer(_): Writer,
    Path(id): Path<PhotoId>,
    axum::extract::Form(back): axum::extract::Form<Back>,
) -> Result<Redirect, Fault> {
    app.desk(move |desk| desk.remove_photo(id)).await?;
    Ok(Redirect::to(&format!("/questions/{}#photos", back.question)))
}
