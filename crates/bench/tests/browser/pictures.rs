//! Pictures of every page for people to look at, where `KNOCKON_SCREENSHOTS` names a folder.

use std::env;
use std::fs;
use std::path::Path;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::json;

use crate::page::Page;
use crate::places;
use crate::screen::Screen;
use crate::site::Site;

/// The whole page, from top to bottom, as a PNG.
fn picture(page: &Page) -> Vec<u8> {
    let size = &page.call("Page.getLayoutMetrics", json!({}))["cssContentSize"];
    let clip = json!({ "x": 0, "y": 0, "width": size["width"], "height": size["height"], "scale": 1 });
    let params = json!({ "format": "png", "captureBeyondViewport": true, "clip": clip });
    let answer = page.call("Page.captureScreenshot", params);
    STANDARD.decode(answer["data"].as_str().expect("a picture")).expect("a picture comes in base 64")
}

#[test]
fn pictures_of_every_page() {
    let Some(site) = Site::open() else { return };
    let folder = env::var_os("KNOCKON_SCREENSHOTS");
    let screens: &[Screen] = if folder.is_some() { &Screen::ALL } else { &[Screen::DESK] };
    for &screen in screens {
        let page = site.page(screen);
        for place in places::every(&site) {
            place.open(&page);
            let picture = picture(&page);
            assert!(picture.starts_with(b"\x89PNG"), "{}", place.name);
            if let Some(folder) = &folder {
                fs::create_dir_all(folder).expect("the folder for pictures can be made");
                let file = Path::new(folder).join(format!("{}-{screen}.png", place.name));
                fs::write(file, picture).expect("a picture can be written");
            }
        }
    }
}
