use std::io::Cursor;

use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use knockon_desk::{PhotoId, QuestionId};

use crate::{Workshop, at, not_found, refused};

/// A picture with a red upper left corner.
fn picture(width: u32, height: u32) -> DynamicImage {
    let corner = |x: u32, y: u32| x < width / 2 && y < height / 2;
    let pixel = |x, y| if corner(x, y) { Rgb([220, 10, 10]) } else { Rgb([20, 20, 160]) };
    DynamicImage::ImageRgb8(RgbImage::from_fn(width, height, pixel))
}

fn encoded(picture: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    picture.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

/// An EXIF segment with an orientation and a place, built by hand: TIFF header, one directory with orientation and the
/// pointer to a second one with the latitude's reference and degrees (JEITA CP-3451, 4.5 and 4.6).
fn exif(orientation: u16) -> Vec<u8> {
    let mut tiff = Vec::new();
    tiff.extend(b"MM\0\x2a");
    tiff.extend(8_u32.to_be_bytes());
    let entry = |tiff: &mut Vec<u8>, tag: u16, kind: u16, count: u32, value: [u8; 4]| {
        tiff.extend(tag.to_be_bytes());
        tiff.extend(kind.to_be_bytes());
        tiff.extend(count.to_be_bytes());
        tiff.extend(value);
    };
    let [high, low] = orientation.to_be_bytes();
    tiff.extend(2_u16.to_be_bytes());
    entry(&mut tiff, 0x0112, 3, 1, [high, low, 0, 0]);
    // The second directory follows this one: 8 + 2 + 2 · 12 + 4.
    entry(&mut tiff, 0x8825, 4, 1, 38_u32.to_be_bytes());
    tiff.extend(0_u32.to_be_bytes());
    tiff.extend(2_u16.to_be_bytes());
    entry(&mut tiff, 0x0001, 2, 2, *b"N\0\0\0");
    // Three fractions after the directory: 38 + 2 + 2 · 12 + 4.
    entry(&mut tiff, 0x0002, 5, 3, 68_u32.to_be_bytes());
    tiff.extend(0_u32.to_be_bytes());
    for number in [47_u32, 1, 22, 1, 5150, 100] {
        tiff.extend(number.to_be_bytes());
    }
    let mut segment = b"\xff\xe1".to_vec();
    segment.extend((tiff.len() as u16 + 8).to_be_bytes());
    segment.extend(b"Exif\0\0");
    segment.extend(tiff);
    segment
}

/// A JPEG with an EXIF segment right after its beginning.
fn jpeg_with_exif(picture: &DynamicImage, orientation: u16) -> Vec<u8> {
    let plain = encoded(picture, ImageFormat::Jpeg);
    [&plain[..2], &exif(orientation), &plain[2..]].concat()
}

/// A small photo with a place in it, turned by a quarter.
pub fn jpeg_with_gps() -> Vec<u8> {
    jpeg_with_exif(&picture(60, 40), 6)
}

fn decoded(workshop: &Workshop, id: PhotoId) -> RgbImage {
    let (media_type, bytes) = workshop.photo(id).unwrap();
    assert_eq!(media_type, "image/jpeg");
    image::load_from_memory_with_format(&bytes, ImageFormat::Jpeg).unwrap().into_rgb8()
}

#[test]
fn a_photo_is_turned_upright_and_loses_its_place() {
    let workshop = Workshop::new();
    let question = workshop.asks("see photo");
    let sent = jpeg_with_gps();
    assert!(sent.windows(4).any(|window| window == b"Exif"));
    let id = workshop.add_photo(question, &sent, " crack? ", &at(1)).unwrap();
    let (_, kept) = workshop.photo(id).unwrap();
    for trace in [&b"Exif"[..], b"MM\0\x2a", &5150_u32.to_be_bytes()] {
        assert!(!kept.windows(trace.len()).any(|window| window == trace));
    }
    // Orientation 6: what was the upper left corner is the upper right one.
    let upright = decoded(&workshop, id);
    assert_eq!(upright.dimensions(), (40, 60));
    let (left, right) = (upright.get_pixel(5, 5), upright.get_pixel(35, 5));
    assert!(right[0] > 180 && right[2] < 60, "{right:?}");
    assert!(left[2] > 120 && left[0] < 60, "{left:?}");
    let row = &workshop.photos(question).unwrap()[0];
    assert_eq!((row.id, row.caption.as_str(), row.width, row.height), (id, "crack?", 40, 60));
    assert_eq!((row.bytes, &row.stamp), (kept.len() as u64, &at(1)));
}

#[test]
fn every_orientation_puts_the_corner_in_its_place() {
    let workshop = Workshop::new();
    let question = workshop.asks("?");
    // Where the first row and the first column lie (EXIF 2.32, orientation): the red corner lies where they meet.
    let corners = [(0, 0), (1, 0), (1, 1), (0, 1), (0, 0), (1, 0), (1, 1), (0, 1)];
    for (orientation, corner) in (1..).zip(corners) {
        let sent = jpeg_with_exif(&picture(64, 64), orientation);
        let id = workshop.add_photo(question, &sent, "", &at(0)).unwrap();
        let kept = decoded(&workshop, id);
        let (x, y) = (corner.0 * 32 + 16, corner.1 * 32 + 16);
        assert!(kept.get_pixel(x, y)[0] > 180, "orientation {orientation}: {:?}", kept.get_pixel(x, y));
    }
}

#[test]
fn png_and_webp_are_taken_whatever_they_are_called_and_large_ones_shrink() {
    let workshop = Workshop::new();
    let question = workshop.asks("?");
    for format in [ImageFormat::Png, ImageFormat::WebP, ImageFormat::Jpeg] {
        let id = workshop.add_photo(question, &encoded(&picture(80, 40), format), "", &at(0)).unwrap();
        assert_eq!(decoded(&workshop, id).dimensions(), (80, 40));
    }
    let id =
        workshop.add_photo(question, &encoded(&picture(3000, 1500), ImageFormat::Png), "", &at(0)).unwrap();
    assert_eq!(decoded(&workshop, id).dimensions(), (2048, 1024));
    let id = workshop.add_photo(question, &encoded(&picture(1, 2100), ImageFormat::Png), "", &at(0)).unwrap();
    assert_eq!(decoded(&workshop, id).dimensions(), (1, 2048));
    let see_through = DynamicImage::new_rgba8(20, 20);
    workshop.add_photo(question, &encoded(&see_through, ImageFormat::Png), "", &at(0)).unwrap();
}

/// A PNG that claims a size and holds next to nothing.
fn png_that_claims(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = encoded(&picture(8, 8), ImageFormat::Png);
    bytes[16..20].copy_from_slice(&width.to_be_bytes());
    bytes[20..24].copy_from_slice(&height.to_be_bytes());
    let checksum = crc(&bytes[12..29]);
    bytes[29..33].copy_from_slice(&checksum.to_be_bytes());
    bytes
}

/// The check sum of a PNG's parts (ISO/IEC 15948, annex D).
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(
            crc ^ u32::from(*byte),
            |crc, _| if crc & 1 == 1 { crc >> 1 ^ 0xedb8_8320 } else { crc >> 1 },
        )
    })
}

#[test]
fn what_is_no_photo_is_refused() {
    let workshop = Workshop::new();
    let question = workshop.asks("?");
    let add = |bytes: &[u8]| workshop.add_photo(question, bytes, "", &at(0));
    let jpeg = encoded(&picture(200, 200), ImageFormat::Jpeg);
    for bytes in [
        &b""[..],
        b"\xff",
        b"\xff\xd8\xff",
        b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
        b"GIF89a\x01\0\x01\0\0\0\0;",
        b"<html><script>alert(1)</script>",
        b"%PDF-1.7",
        b"RIFF\0\0\0\0WEBP",
        &jpeg[..20],
        b"\x89PNG\r\n\x1a\n",
        b"MZ\x90\0",
        b"BM\x3a\0\0\0",
    ] {
        refused(add(bytes), "");
    }
    refused(add(&png_that_claims(100_000, 100_000)), "");
    refused(add(&png_that_claims(19_999, 19_999)), "40 million");
    refused(add(&png_that_claims(0, 8)), "");
    refused(add(&vec![0xff; 12 * 1024 * 1024 + 1]), "12 MB");
    // Bytes turned over at every place: refused or read, but no panic.
    for place in 0..jpeg.len().min(700) {
        let mut turned = jpeg.clone();
        turned[place] ^= 0xff;
        let _ = add(&turned).map(|id| workshop.remove_photo(id).unwrap());
    }
    assert!(workshop.photos(question).unwrap().is_empty());
    not_found(workshop.add_photo(QuestionId(99), &jpeg, "", &at(0)));
    refused(workshop.add_photo(question, &jpeg, &"x".repeat(501), &at(0)), "caption");
}

#[test]
fn photos_are_removed_for_good_and_there_is_a_limit() {
    let workshop = Workshop::new();
    let question = workshop.asks("?");
    let small = encoded(&picture(8, 8), ImageFormat::Jpeg);
    let ids: Vec<PhotoId> =
        (0..40).map(|_| workshop.add_photo(question, &small, "", &at(0)).unwrap()).collect();
    refused(workshop.add_photo(question, &small, "", &at(0)), "40 photos");
    workshop.remove_photo(ids[3]).unwrap();
    not_found(workshop.photo(ids[3]));
    not_found(workshop.remove_photo(ids[3]));
    let left: Vec<PhotoId> = workshop.photos(question).unwrap().into_iter().map(|row| row.id).collect();
    assert_eq!(left.len(), 39);
    assert!(!left.contains(&ids[3]));
    // A number is never given twice: an old address does not show another photo.
    assert!(workshop.add_photo(question, &small, "", &at(0)).unwrap() > ids[39]);
    not_found(workshop.photos(QuestionId(99)));
}

#[test]
fn many_photos_at_once_are_all_kept() {
    let workshop = Workshop::new();
    let question = workshop.asks("?");
    let sent = encoded(&picture(600, 400), ImageFormat::Png);
    std::thread::scope(|scope| {
        for _ in 0..6 {
            scope.spawn(|| workshop.add_photo(question, &sent, "", &at(0)).unwrap());
        }
    });
    assert_eq!(workshop.photos(question).unwrap().len(), 6);
}
