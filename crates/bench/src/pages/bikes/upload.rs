//! A geometry table as it arrives: pasted, or as a file in whatever encoding a spreadsheet wrote.

use axum::extract::Multipart;
use encoding_rs::{Encoding, UTF_8, WINDOWS_1252};

use crate::errors::Fault;

/// What was sent.
#[derive(Clone, Debug, Default)]
pub struct Sent {
    /// The pasted text, or the file's.
    pub table: String,
    /// What the bike is called.
    pub name: String,
    /// What kind of bike it is, as a record writes it.
    pub kind: String,
    /// True where both a text and a file came.
    pub both: bool,
}

/// Reads the form. The limit on the request's size holds for all of it.
pub async fn read(mut form: Multipart) -> Result<Sent, Fault> {
    let mut sent = Sent::default();
    let mut file = String::new();
    while let Some(part) = form.next_field().await.map_err(|error| unreadable(&error))? {
        let name = part.name().unwrap_or_default().to_owned();
        let bytes = part.bytes().await.map_err(|error| unreadable(&error))?;
        match name.as_str() {
            "table" => sent.table = String::from_utf8_lossy(&bytes).into_owned(),
            "name" => sent.name = String::from_utf8_lossy(&bytes).trim().to_owned(),
            "kind" => sent.kind = String::from_utf8_lossy(&bytes).trim().to_owned(),
            "file" => file = decoded(&bytes),
            _ => {}
        }
    }
    sent.both = !file.trim().is_empty() && !sent.table.trim().is_empty();
    if sent.table.trim().is_empty() {
        sent.table = file;
    }
    Ok(sent)
}

/// A too large form keeps its status; anything else broke on the way.
fn unreadable(error: &axum::extract::multipart::MultipartError) -> Fault {
    if error.status() == axum::http::StatusCode::PAYLOAD_TOO_LARGE {
        return crate::errors::too_large();
    }
    Fault::not_usable(
        "The form did not arrive whole.",
        "Send it once more; or paste the table instead of sending a file.",
    )
}

/// A file's text: by its byte order mark, else as UTF-8, else as Windows wrote it in western Europe.
fn decoded(bytes: &[u8]) -> String {
    let encoding = match Encoding::for_bom(bytes) {
        Some((encoding, _)) => encoding,
        None if std::str::from_utf8(bytes).is_ok() => UTF_8,
        None => WINDOWS_1252,
    };
    encoding.decode(bytes).0.into_owned()
}

#[cfg(test)]
mod tests {
    use super::decoded;

    #[test]
    fn whatever_a_spreadsheet_wrote_is_read() {
        assert_eq!(decoded("Länge;64,5°".as_bytes()), "Länge;64,5°");
        assert_eq!(decoded(b"\xEF\xBB\xBFReach;455"), "Reach;455");
        assert_eq!(decoded(b"L\xE4nge;64,5\xB0"), "Länge;64,5°");
        assert_eq!(decoded(b"\xFF\xFEL\x00\xE4\x00"), "Lä");
        assert_eq!(decoded(b""), "");
    }
}
