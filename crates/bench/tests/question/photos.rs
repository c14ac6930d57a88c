//! Photos.

use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use crate::bench::{Bench, Reply, read};
use crate::form::of;

/// A picture of one red pixel.
const PIXEL: &str =
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mP8z8BQDwAEhQGAhKmMIQAAAABJRU5ErkJggg==";

fn send(bench: &Bench, question: knockon_desk::QuestionId, bytes: &[u8], caption: &str) -> Reply {
    let mut body = Vec::new();
    body.extend_from_slice(b"--cut\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"../../x.html\"\r\nContent-Type: text/html\r\n\r\n");
    body.extend_from_slice(bytes);
    body.extend_from_slice(
        format!(
            "\r\n--cut\r\nContent-Disposition: form-data; name=\"caption\"\r\n\r\n{caption}\r\n--cut--\r\n"
        )
        .as_bytes(),
    );
    let request = Request::post(format!("/questions/{question}/photos"))
        .header(header::CONTENT_TYPE, "multipart/form-data; boundary=cut");
    bench.send(request, Body::from(body))
}

#[test]
fn a_photo_is_shown_with_its_caption_and_removed() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Higher?", Some(bike), "bar rise 40");
    let pixel = STANDARD.decode(PIXEL).unwrap();
    assert_eq!(send(&bench, id, &pixel, "the <b>stem</b>").status, StatusCode::SEE_OTHER);
    let page = bench.page(&format!("/questions/{id}"));
    let photo = bench.desk.photos(id).unwrap().remove(0);
    assert!(
        page.contains(&format!("<img src=\"/photos/{}\"", photo.id))
            && read(&page).contains("the <b>stem</b>")
    );
    let image = bench.get(&format!("/photos/{}", photo.id));
    assert!(image.media_type.starts_with("image/"), "{}", image.media_type);
    assert!(image.policy.contains("default-src 'none'"));
    bench.submit(&format!("/photos/{}/remove", photo.id), &of(&[("question", &id.to_string())]));
    assert!(bench.desk.photos(id).unwrap().is_empty());
    assert_eq!(bench.get(&format!("/photos/{}", photo.id)).status, StatusCode::NOT_FOUND);
}

#[test]
fn what_is_no_photo_is_refused() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("Higher?", Some(bike), "bar rise 40");
    for bytes in [&b""[..], b"<html><script>alert(1)</script></html>", b"\x89PNG\r\n\x1a\n and then nothing"]
    {
        assert_eq!(send(&bench, id, bytes, "").status, StatusCode::UNPROCESSABLE_ENTITY);
    }
    assert!(bench.desk.photos(id).unwrap().is_empty());
}
