//! Photos of a question.
//!
//! Whatever comes in is decoded under limits and encoded anew: only pixels are kept, no place, no time, no name of a camera,
//! and nothing that is a picture to one program and something else to another.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits};
use knockon_trade::inspection::mark::{read_marks, written};
use rusqlite::{Connection, Row, Transaction, params};

use crate::error::missing;
use crate::{Desk, DeskError, InspectionId, PhotoId, QuestionId, Result, Stamp, inspection, question};

/// A photo in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct PhotoRow {
    /// Its number.
    pub id: PhotoId,
    /// What it shows, in words.
    pub caption: String,
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// Size in bytes.
    pub bytes: u64,
    /// The inspection that it was taken for.
    pub inspection: Option<InspectionId>,
    /// What was drawn on it, one mark a line.
    pub marks: String,
    /// Who added it, and when.
    pub stamp: Stamp,
}

/// Largest file that is looked at, in bytes.
const LARGEST: usize = 12 * 1024 * 1024;
/// Most pixels that are decoded: more than a telephone's camera makes by default.
const MOST_PIXELS: u64 = 40_000_000;
/// Longest side that is decoded, in pixels.
const LONGEST_SIDE: u32 = 20_000;
/// Most memory that a decoder may take, in bytes: 40 megapixels of four bytes, and room to work in.
const MOST_MEMORY: u64 = 256 * 1024 * 1024;
/// Longest side that is kept, in pixels: enough to see a crack, and a third of a megabyte.
const KEPT_SIDE: u32 = 2048;
/// Longest side on a published sheet, in pixels: a hand's breadth on paper.
const PRINT_SIDE: u32 = 1024;
/// Quality of the JPEG that is kept, out of 100.
const QUALITY: u8 = 85;
/// Most photos of one question.
const MOST_PHOTOS: i64 = 40;
/// Longest caption, in characters.
const LONGEST_CAPTION: usize = 500;

const ADD: &str = "INSERT INTO photo (id, question, caption, width, height, at, who, jpeg, inspection, marks)
    VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)";
const COUNT: &str = "SELECT count(*) FROM photo WHERE question = ?1";
const LIST: &str =
    "SELECT id, caption, width, height, length(jpeg), at, who, inspection, marks, question FROM photo
    WHERE question = ?1 ORDER BY id";
const ONE: &str = "SELECT id, caption, width, height, length(jpeg), at, who, inspection, marks, question FROM photo WHERE id = ?1";
const MARK: &str = "UPDATE photo SET marks = ?2, caption = ?3 WHERE id = ?1";

/// What is kept of a photo beside its pixels.
pub(crate) struct About<'a> {
    pub(crate) caption: &'a str,
    pub(crate) inspection: Option<InspectionId>,
    pub(crate) marks: &'a str,
}

/// A photo that is ready to be stored.
pub(crate) struct Picture {
    pub(crate) width: u32,
    pub(crate) height: u32,
    pub(crate) jpeg: Vec<u8>,
}

impl Desk {
    /// Adds a photo to a question: a JPEG, PNG or WebP file of at most 12 MB and 40 megapixels. It is turned upright, made no
    /// larger than 2,048 pixels on its longer side, and loses every metadatum.
    ///
    /// # Errors
    /// [`DeskError::Refused`] for anything else.
    pub fn add_photo(
        &self,
        question: QuestionId,
        bytes: &[u8],
        caption: &str,
        stamp: &Stamp,
    ) -> Result<PhotoId> {
        check_caption(caption)?;
        self.read(|connection| {
            question::exists(connection, question)?;
            check_room(connection, question)
        })?;
        let picture = self.develop(bytes)?;
        self.write(|tx| {
            question::exists(tx, question)?;
            check_room(tx, question)?;
            let about = About { caption, inspection: None, marks: "" };
            add(tx, None, question, &picture, &about, stamp)
        })
    }

    /// Adds a photo to the question of an inspection, taken for it.
    ///
    /// # Errors
    /// As [`Desk::add_photo`]; [`DeskError::Refused`] for a signed inspection.
    pub fn add_photo_of(
        &self,
        inspection: InspectionId,
        bytes: &[u8],
        caption: &str,
        stamp: &Stamp,
    ) -> Result<PhotoId> {
        check_caption(caption)?;
        let open = |connection: &Connection| {
            let found = inspection::read(connection, inspection)?;
            inspection::unsigned(&found)?;
            check_room(connection, found.question)?;
            Ok(found.question)
        };
        self.read(open)?;
        let picture = self.develop(bytes)?;
        self.write(|tx| {
            let question = open(tx)?;
            let about = About { caption, inspection: Some(inspection), marks: "" };
            add(tx, None, question, &picture, &about, stamp)
        })
    }

    /// A photo's row, and the question that it belongs to.
    pub fn photo_row(&self, id: PhotoId) -> Result<(QuestionId, PhotoRow)> {
        self.read(|connection| {
            let mut statement = connection.prepare_cached(ONE)?;
            let mut rows = statement.query([id])?;
            let found =
                rows.next()?.ok_or(rusqlite::Error::QueryReturnedNoRows).map_err(missing("photo", &id))?;
            Ok((found.get(9)?, row(found)?))
        })
    }

    /// Says what is drawn on a photo, one mark a line, and what it shows.
    ///
    /// # Errors
    /// [`DeskError::Marks`] with every line that is no mark; [`DeskError::Refused`] when its inspection is signed.
    pub fn mark_photo(&self, id: PhotoId, marks: &str, caption: &str) -> Result<()> {
        check_caption(caption)?;
        let marks = written(&read_marks(marks).map_err(DeskError::Marks)?);
        let (_, row) = self.photo_row(id)?;
        self.write(|tx| {
            if let Some(inspection) = row.inspection {
                inspection::unsigned(&inspection::read(tx, inspection)?)?;
            }
            tx.prepare_cached(MARK)?.execute(params![id, marks, caption.trim()])?;
            Ok(())
        })
    }

    /// The photos of a question, in the order in which they were added.
    pub fn photos(&self, question: QuestionId) -> Result<Vec<PhotoRow>> {
        self.read(|connection| {
            question::exists(connection, question)?;
            list(connection, question)
        })
    }

    /// A photo: its media type and its bytes.
    pub fn photo(&self, id: PhotoId) -> Result<(&'static str, Vec<u8>)> {
        self.read(|connection| Ok(("image/jpeg", jpeg(connection, id)?)))
    }

    /// Removes a photo for good.
    pub fn remove_photo(&self, id: PhotoId) -> Result<()> {
        self.write(|tx| {
            if tx.execute("DELETE FROM photo WHERE id = ?1", [id])? == 0 {
                return Err(DeskError::NotFound { what: "photo", id: id.to_string() });
            }
            Ok(())
        })
    }

    /// A photo that comes back from a folder: kept byte for byte when it is as this desk keeps photos, else treated as any
    /// other.
    pub(crate) fn reprint(&self, jpeg: Vec<u8>) -> Result<Picture> {
        if !is_bare(&jpeg) || jpeg.len() > LARGEST {
            return self.develop(&jpeg);
        }
        let _alone = self.darkroom();
        let picture = decode(&jpeg)?;
        let (width, height) = (picture.width(), picture.height());
        if width.max(height) > KEPT_SIDE {
            return develop(&jpeg);
        }
        Ok(Picture { width, height, jpeg })
    }

    /// Decodes a file and encodes its pixels anew. One at a time, so that many at once do not fill the memory.
    pub(crate) fn develop(&self, bytes: &[u8]) -> Result<Picture> {
        let _alone = self.darkroom();
        develop(bytes)
    }
}

/// Whether a JPEG file holds nothing but what a decoder needs: no segment that could carry a place, a name or a comment, and
/// nothing after its end.
fn is_bare(jpeg: &[u8]) -> bool {
    /// Start of the scan: compressed pixels up to the end.
    const SCAN: u8 = 0xda;
    /// Tables, frames and restart intervals, and JFIF's own segment (ITU-T T.81, table B.1).
    const NEEDED: [u8; 8] = [0xc0, 0xc1, 0xc2, 0xc4, 0xdb, 0xdd, 0xe0, SCAN];
    let Some(mut rest) = jpeg.strip_prefix(&[0xff, 0xd8]) else { return false };
    loop {
        let [0xff, marker, high, low, ..] = *rest else { return false };
        if !NEEDED.contains(&marker) {
            return false;
        }
        let length = 2 + usize::from(u16::from_be_bytes([high, low]));
        let Some(after) = rest.get(length..) else { return false };
        // JFIF's segment has 16 bytes; a longer one carries a small picture.
        if marker == 0xe0 && length != 18 {
            return false;
        }
        if marker == SCAN {
            // Within the scan 0xff is followed by 0 or a restart marker; anything else but the end begins a segment.
            let mut markers = after
                .windows(2)
                .enumerate()
                .filter(|(_, pair)| pair[0] == 0xff && pair[1] != 0 && !(0xd0..=0xd7).contains(&pair[1]));
            return markers.next().is_some_and(|(at, pair)| pair[1] == 0xd9 && at + 2 == after.len());
        }
        rest = after;
    }
}

pub(crate) fn list(connection: &Connection, question: QuestionId) -> Result<Vec<PhotoRow>> {
    let mut statement = connection.prepare_cached(LIST)?;
    let mut rows = statement.query([question])?;
    let mut photos = Vec::new();
    while let Some(found) = rows.next()? {
        photos.push(row(found)?);
    }
    Ok(photos)
}

fn row(row: &Row<'_>) -> Result<PhotoRow> {
    Ok(PhotoRow {
        id: row.get(0)?,
        caption: row.get(1)?,
        width: row.get(2)?,
        height: row.get(3)?,
        bytes: row.get::<_, u32>(4)?.into(),
        stamp: Stamp::read(row, 5)?,
        inspection: row.get(7)?,
        marks: row.get(8)?,
    })
}

/// A picture that is compiled in as it is kept: nothing is encoded anew.
pub(crate) fn bare(jpeg: &[u8]) -> Result<Picture> {
    let picture = decode(jpeg)?;
    debug_assert!(is_bare(jpeg), "a picture of the demo carries metadata");
    Ok(Picture { width: picture.width(), height: picture.height(), jpeg: jpeg.to_vec() })
}

/// A smaller print of a photo for a sheet that holds its pictures in itself.
pub(crate) fn print(jpeg: &[u8]) -> Result<Vec<u8>> {
    let reader = ImageReader::with_format(Cursor::new(jpeg), ImageFormat::Jpeg);
    let (width, height) = reader.into_dimensions().map_err(unusable)?;
    if width.max(height) <= PRINT_SIDE {
        return Ok(jpeg.to_vec());
    }
    let picture = decode(jpeg)?.resize(PRINT_SIDE, PRINT_SIDE, FilterType::Triangle);
    let mut print = Vec::new();
    JpegEncoder::new_with_quality(&mut print, QUALITY)
        .encode_image(&picture.into_rgb8())
        .map_err(unusable)?;
    Ok(print)
}

pub(crate) fn jpeg(connection: &Connection, id: PhotoId) -> Result<Vec<u8>> {
    let mut statement = connection.prepare_cached("SELECT jpeg FROM photo WHERE id = ?1")?;
    statement.query_row([id], |row| row.get(0)).map_err(missing("photo", &id))
}

pub(crate) fn add(
    tx: &Transaction<'_>,
    id: Option<PhotoId>,
    question: QuestionId,
    picture: &Picture,
    about: &About<'_>,
    stamp: &Stamp,
) -> Result<PhotoId> {
    let Picture { width, height, jpeg } = picture;
    let About { caption, inspection, marks } = *about;
    let caption = caption.trim();
    let row =
        params![id, question, caption, width, height, stamp.millis(), stamp.who, jpeg, inspection, marks];
    tx.prepare_cached(ADD)?.execute(row)?;
    Ok(PhotoId(tx.last_insert_rowid()))
}

pub(crate) fn check_caption(caption: &str) -> Result<()> {
    if caption.chars().count() > LONGEST_CAPTION {
        return Err(DeskError::refused(
            format!("the caption has more than {LONGEST_CAPTION} characters"),
            "shorten it",
        ));
    }
    Ok(())
}

fn check_room(connection: &Connection, question: QuestionId) -> Result<()> {
    let count: i64 = connection.prepare_cached(COUNT)?.query_row([question], |row| row.get(0))?;
    if count >= MOST_PHOTOS {
        return Err(DeskError::refused(
            format!("this question has {MOST_PHOTOS} photos already"),
            "remove those that show nothing",
        ));
    }
    Ok(())
}

fn develop(bytes: &[u8]) -> Result<Picture> {
    if bytes.len() > LARGEST {
        return Err(DeskError::refused(
            "the photo has more than 12 MB",
            "send a smaller one; cameras offer a size for messages",
        ));
    }
    let mut picture = decode(bytes)?;
    if picture.width().max(picture.height()) > KEPT_SIDE {
        picture = picture.resize(KEPT_SIDE, KEPT_SIDE, FilterType::Triangle);
    }
    // JPEG knows no transparency: what was transparent becomes black pixels or whatever lay under it; a photo has none.
    let pixels = picture.into_rgb8();
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, QUALITY).encode_image(&pixels).map_err(unusable)?;
    Ok(Picture { width: pixels.width(), height: pixels.height(), jpeg })
}

/// The pixels of a file, upright.
fn decode(bytes: &[u8]) -> Result<DynamicImage> {
    let format = image::guess_format(bytes)
        .ok()
        .filter(|format| matches!(format, ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::WebP));
    let Some(format) = format else {
        return Err(DeskError::refused(
            "this file is neither a JPEG nor a PNG nor a WebP picture",
            "send the photo as one of them; what the file is called does not matter",
        ));
    };
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    limits.max_image_width = Some(LONGEST_SIDE);
    limits.max_image_height = Some(LONGEST_SIDE);
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(unusable)?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > MOST_PIXELS || width == 0 || height == 0 {
        return Err(DeskError::refused(
            format!("the photo has {width} × {height} pixels, at most 40 million are decoded"),
            "send a smaller one",
        ));
    }
    let orientation = decoder.orientation().map_err(unusable)?;
    let mut picture = DynamicImage::from_decoder(decoder).map_err(unusable)?;
    picture.apply_orientation(orientation);
    Ok(picture)
}

#[allow(clippy::needless_pass_by_value)]
fn unusable(error: image::ImageError) -> DeskError {
    DeskError::refused(
        format!("the photo cannot be read: {error}"),
        "take it again, or send it in another format",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_photo_is_told_from_one_that_carries_something() {
        let mut kept = Vec::new();
        let pixels = image::RgbImage::from_fn(64, 48, |x, y| image::Rgb([x as u8 * 3, y as u8 * 5, 99]));
        JpegEncoder::new_with_quality(&mut kept, QUALITY).encode_image(&pixels).unwrap();
        assert!(is_bare(&kept));
        let with = |at: usize, more: &[u8]| [&kept[..at], more, &kept[at..]].concat();
        assert!(!is_bare(&with(2, b"\xff\xfe\0\x06home")), "a comment");
        assert!(!is_bare(&with(2, b"\xff\xe1\0\x06Exif")), "a segment of a camera");
        assert!(!is_bare(&with(kept.len(), b"PK\x03\x04")), "something after the end");
        assert!(!is_bare(&with(kept.len(), &kept)), "a second picture");
        for length in 0..kept.len() {
            assert!(!is_bare(&kept[..length]), "cut to {length}");
        }
    }
}
