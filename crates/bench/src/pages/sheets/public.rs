//! One published sheet, as it was stored: for everybody who knows its address, and with nothing else beside it.

use std::hash::{DefaultHasher, Hash, Hasher};

use axum::extract::{Path, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE, ETAG, IF_NONE_MATCH, LINK,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use knockon_desk::{Format, Publication};
use knockon_sheet::html::{Newer, with_notice_and_link};

use crate::app::App;
use crate::errors::Fault;
use crate::security::headers::SHEET_POLICY;

/// Longest code that is looked up; a longer one is none of ours.
const LONGEST_CODE: usize = 32;

/// The newest revision.
pub async fn newest(
    State(app): State<App>,
    Path(code): Path<String>,
    headers: HeaderMap,
) -> Result<Response, Fault> {
    Ok(sheet(&app, code, None, Format::Html, false).await?.answer(&headers))
}

/// A numbered revision as a page (`3`), or as a file to keep (`3.svg`).
pub async fn numbered(
    State(app): State<App>,
    Path((code, revision)): Path<(String, String)>,
    headers: HeaderMap,
) -> Result<Response, Fault> {
    let (number, format) = match revision.split_once('.') {
        None => (revision.as_str(), None),
        Some((number, extension)) => (number, Some(Format::of_extension(extension).ok_or_else(nothing)?)),
    };
    let number: u32 = number.parse().map_err(|_| nothing())?;
    let file = sheet(&app, code, Some(number), format.unwrap_or(Format::Html), format.is_some()).await?;
    Ok(file.answer(&headers))
}

/// The same words for every address that is not there: nobody learns which codes exist.
fn nothing() -> Fault {
    Fault::not_found("published sheet")
}

/// A file on its way out.
struct File {
    publication: Publication,
    format: Format,
    body: String,
    to_keep: bool,
}

async fn sheet(
    app: &App,
    code: String,
    revision: Option<u32>,
    format: Format,
    to_keep: bool,
) -> Result<File, Fault> {
    if code.is_empty() || code.len() > LONGEST_CODE || !code.bytes().all(|byte| byte.is_ascii_alphanumeric())
    {
        return Err(nothing());
    }
    let found = app
        .try_desk(move |desk| {
            let publication = desk.publication(&code, revision)?;
            let body = desk.published_file(&code, publication.revision, format)?;
            Ok((publication, body))
        })
        .await?;
    let (publication, body) = found.map_err(|error| {
        let fault = Fault::from(error);
        if fault.status == StatusCode::NOT_FOUND { nothing() } else { fault }
    })?;
    let body = marked(&publication, format, body);
    Ok(File { publication, format, body, to_keep })
}

/// An old revision says first that there is a newer one; the newest is exactly what was stored. A drawing and JSON have no
/// place for words: their header names the newest.
fn marked(publication: &Publication, format: Format, body: String) -> String {
    let Publication { code, revision, revisions, .. } = publication;
    if revision >= revisions {
        return body;
    }
    let notice = format!("This is revision {revision}. It was replaced by revision {revisions}.");
    let address = format!("/s/{code}");
    match format {
        Format::Html => {
            let newer = Newer { address: &address, words: &format!("Read revision {revisions}") };
            with_notice_and_link(&body, &notice, newer)
        }
        Format::Markdown => format!("**{notice}** It is at `{address}`.\n\n{body}"),
        Format::Text => format!("{notice}\nIt is at {address}.\n\n{body}"),
        Format::Svg | Format::Json => body,
    }
}

impl File {
    fn answer(self, asked: &HeaderMap) -> Response {
        let tag = tag(&self.body);
        let mut headers = HeaderMap::new();
        put(&mut headers, ETAG, &tag);
        // Even a numbered one may change: on the day when it is replaced, it has to say so.
        put(&mut headers, CACHE_CONTROL, "no-cache");
        put(&mut headers, HeaderName::from_static("x-robots-tag"), "noindex");
        put(&mut headers, CONTENT_SECURITY_POLICY, SHEET_POLICY);
        put(&mut headers, LINK, &self.links());
        if is_known(asked, &tag) {
            return (StatusCode::NOT_MODIFIED, headers).into_response();
        }
        put(&mut headers, CONTENT_TYPE, self.format.media_type());
        if self.to_keep {
            put(&mut headers, CONTENT_DISPOSITION, &format!("attachment; filename=\"{}\"", self.name()));
        }
        (headers, self.body).into_response()
    }

    /// Where the newest revision and this very one are.
    fn links(&self) -> String {
        let Publication { code, revision, revisions, .. } = &self.publication;
        if revision < revisions {
            format!("</s/{code}>; rel=\"latest-version\", </s/{code}/{revisions}>; rel=\"successor-version\"")
        } else {
            format!("</s/{code}/{revision}>; rel=\"bookmark\"")
        }
    }

    /// A name that every file system takes.
    fn name(&self) -> String {
        format!(
            "{}-revision-{}.{}",
            safe_name(&self.publication.title, &self.publication.code),
            self.publication.revision,
            self.format.extension()
        )
    }
}

fn put(headers: &mut HeaderMap, name: HeaderName, value: &str) {
    if let Ok(value) = HeaderValue::from_str(value) {
        headers.insert(name, value);
    }
}

/// Small letters, digits and dashes out of a title; the code where nothing is left.
fn safe_name(title: &str, code: &str) -> String {
    let plain: String =
        title.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { ' ' }).collect();
    let mut name = String::new();
    for word in plain.split_whitespace() {
        if name.len() + word.len() > 60 {
            break;
        }
        if !name.is_empty() {
            name.push('-');
        }
        name.push_str(word);
    }
    if name.is_empty() { format!("sheet-{}", code.to_ascii_lowercase()) } else { name }
}

fn tag(body: &str) -> String {
    let mut hasher = DefaultHasher::new();
    body.hash(&mut hasher);
    format!("\"{:016x}\"", hasher.finish())
}

/// True where the browser has this very content already. A proxy may have weakened the tag.
fn is_known(asked: &HeaderMap, tag: &str) -> bool {
    let known = asked.get(IF_NONE_MATCH).and_then(|value| value.to_str().ok()).unwrap_or_default();
    known.split(',').any(|one| one.trim().trim_start_matches("W/") == tag || one.trim() == "*")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_name_holds_nothing_but_letters_digits_and_dashes() {
        assert_eq!(safe_name("Longer fork, stem down?", "a1"), "longer-fork-stem-down");
        assert_eq!(safe_name("../../etc/passwd\r\nX: \"y\"", "a1"), "etc-passwd-x-y");
        assert_eq!(safe_name("長い", "Ab3"), "sheet-ab3");
        assert!(safe_name(&"word ".repeat(100), "a1").len() <= 60);
    }

    #[test]
    fn a_known_tag_is_recognised_weak_or_not() {
        let asked =
            |value: &'static str| HeaderMap::from_iter([(IF_NONE_MATCH, HeaderValue::from_static(value))]);
        assert!(is_known(&asked("\"a\", W/\"b\""), "\"b\""));
        assert!(!is_known(&asked("\"a\""), "\"b\"") && !is_known(&HeaderMap::new(), "\"b\""));
    }
}
