//! Files that are no photos, or photos that are more than that.

use crate::bench::Bench;
use crate::client::Reply;

/// A picture of one black point, as the PNG specification (ISO/IEC 15948) has it: header, data, end.
pub const PNG: &[u8] = &[
    0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13, 0x49, 0x48, 0x44, 0x52, 0, 0, 0, 1, 0, 0, 0,
    1, 8, 0, 0, 0, 0, 0x3a, 0x7e, 0x9b, 0x55, 0, 0, 0, 10, 0x49, 0x44, 0x41, 0x54, 0x78, 0x9c, 0x63, 0x60, 0,
    0, 0, 2, 0, 1, 0x48, 0xaf, 0xa4, 0x71, 0, 0, 0, 0, 0x49, 0x45, 0x4e, 0x44, 0xae, 0x42, 0x60, 0x82,
];

fn send(bench: &Bench, name: &str, media_type: &str, bytes: &[u8]) -> Reply {
    let question = bench.question("here is a photo");
    bench
        .ask("POST", &format!("/questions/{question}/photos"))
        .own()
        .photo(name, media_type, bytes, "a caption")
        .send()
}

/// The checksum of a PNG's piece (ISO/IEC 15948, annex D).
fn checksum(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |sum, byte| {
        (0..8).fold(
            sum ^ u32::from(*byte),
            |sum: u32, _| if sum & 1 == 1 { sum >> 1 ^ 0xedb8_8320 } else { sum >> 1 },
        )
    })
}

/// A PNG whose header claims another size than its data has.
fn claiming(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = PNG.to_vec();
    bytes[16..20].copy_from_slice(&width.to_be_bytes());
    bytes[20..24].copy_from_slice(&height.to_be_bytes());
    let sum = checksum(&bytes[12..29]);
    bytes[29..33].copy_from_slice(&sum.to_be_bytes());
    bytes
}

#[test]
fn the_sample_is_what_the_specification_says() {
    assert_eq!(checksum(b"IEND"), 0xae42_6082);
    assert_eq!(claiming(1, 1), PNG);
}

#[test]
fn a_photo_is_kept_and_served_as_an_image_only() {
    let bench = Bench::open();
    let reply = send(&bench, "bike.png", "image/png", PNG);
    assert_eq!(reply.status, 303, "{}", reply.text());
    let photo = bench.get("/photos/1");
    assert_eq!(photo.status, 200);
    assert_eq!(photo.header("content-type"), Some("image/jpeg"));
    assert_eq!(photo.header("x-content-type-options"), Some("nosniff"));
    assert!(photo.body.starts_with(&[0xff, 0xd8, 0xff]), "written anew as JPEG");
}

#[test]
fn what_is_no_photo_is_refused_whatever_it_says_it_is() {
    let bench = Bench::open();
    let html = b"<!doctype html><script>planted()</script>";
    let svg = b"<svg xmlns='http://www.w3.org/2000/svg' onload='planted()'/>";
    let both = [b"GIF89a/*", &html[..]].concat();
    let broken = &PNG[..40];
    for (name, media_type, bytes) in [
        ("a.png", "image/png", &html[..]),
        ("a.jpg", "image/jpeg", &svg[..]),
        ("a.svg", "image/svg+xml", &svg[..]),
        ("a.html", "text/html", &html[..]),
        ("a.gif", "image/gif", &both[..]),
        ("a.png", "image/png", broken),
        ("a.png", "image/png", b""),
        ("../../a.png", "image/png", b"\x89PNG\r\n\x1a\n"),
    ] {
        let reply = send(&bench, name, media_type, bytes);
        assert_eq!(reply.status, 422, "{name} {media_type}");
    }
    assert_eq!(bench.get("/photos/1").status, 404);
}

#[test]
fn a_photo_that_unfolds_to_gigabytes_is_refused_before_it_does() {
    let bench = Bench::open();
    for (width, height) in [(60_000, 60_000), (1, 1 << 31), (1 << 31, 1), (u32::MAX, u32::MAX), (0, 0)] {
        let start = std::time::Instant::now();
        let reply = send(&bench, "bomb.png", "image/png", &claiming(width, height));
        assert_eq!(reply.status, 422, "{width} × {height}");
        assert!(
            start.elapsed() < std::time::Duration::from_secs(10),
            "{width} × {height} took {:?}",
            start.elapsed()
        );
    }
}

#[test]
fn what_hides_behind_the_picture_is_not_kept() {
    let bench = Bench::open();
    let with_tail = [PNG, b"<script>planted()</script>"].concat();
    let reply = send(&bench, "x\"><script>planted()</script>.png", "text/html", &with_tail);
    if reply.status == 303 {
        let photo = bench.get("/photos/1");
        assert_eq!(photo.header("content-type"), Some("image/jpeg"));
        assert!(!photo.text().contains("planted"));
    } else {
        assert_eq!(reply.status, 422);
    }
}
