//! What every drawing promises, for any bike, any changes and any words.

use kurbo::{Point, Rect, Size, Vec2};
use proptest::prelude::*;

use super::clearance::{overlap, touches};
use super::sample::{self, Figures};
use super::scene::{Ink, Item, Scene};
use super::style::Page;
use super::{figure, paper};
use crate::picture::{Dimension, DimensionKind, Flag, Part, Picture};
use crate::sheet::{Note, Sheet};
use crate::tie::tied;

const PARTS: [Part; 14] = [
    Part::Bar,
    Part::Stem,
    Part::Spacers,
    Part::UpperHeadset,
    Part::LowerHeadset,
    Part::HeadTube,
    Part::Fork,
    Part::FrontWheel,
    Part::RearWheel,
    Part::Saddle,
    Part::Crank,
    Part::Shock,
    Part::Chainstay,
    Part::BottomBracket,
];

const KINDS: [DimensionKind; 11] = [
    DimensionKind::GripReach,
    DimensionKind::GripStack,
    DimensionKind::Reach,
    DimensionKind::Stack,
    DimensionKind::Wheelbase,
    DimensionKind::BottomBracketHeight,
    DimensionKind::SaddleToGripReach,
    DimensionKind::SaddleToGripDrop,
    DimensionKind::HeadAngle,
    DimensionKind::SeatAngle,
    DimensionKind::Trail,
];

/// Whether something lies on the page, to a hundredth of a unit.
pub(super) fn within_page(rect: Rect, size: Size) -> bool {
    let page = Rect::from_origin_size(Point::ZERO, size).inflate(0.01, 0.01);
    page.union(rect) == page
}

/// Labels that leave the page or lie on each other.
pub(super) fn faults_of_boxes(scene: &Scene, size: Size) -> Vec<String> {
    let mut faults = Vec::new();
    for (index, rect) in scene.boxes.iter().enumerate() {
        if !within_page(*rect, size) {
            faults.push(format!("{rect:?} leaves {size:?}"));
        }
        for other in &scene.boxes[..index] {
            // A tenth of a unit is the precision of what is written.
            if overlap(rect.inflate(-0.1, -0.1), *other) {
                faults.push(format!("{rect:?} overlaps {other:?}"));
            }
        }
    }
    faults
}

/// Everything wrong with where things stand; empty when all is well.
fn faults(scene: &Scene, size: Size) -> Vec<String> {
    let mut faults = faults_of_boxes(scene, size);
    let within = |rect: Rect| within_page(rect, size);
    for item in &scene.items {
        let Item::Drawn(ink, form) = item else { continue };
        if !within(form.bounds()) {
            faults.push(format!("{ink:?} leaves the page at {:?}", form.bounds()));
        }
        if !matches!(ink, Ink::Solid | Ink::Wide | Ink::Before) {
            continue;
        }
        for line in form.segments() {
            if let Some(rect) = scene.clear.iter().find(|rect| touches(&line, **rect)) {
                faults.push(format!("{ink:?} runs through the flag at {rect:?}"));
            }
        }
    }
    faults
}

fn figures() -> impl Strategy<Value = Figures> {
    let frame = (230.0..380.0, -40.0..40.0, 300.0..470.0, -30.0..85.0, 260.0..530.0, 330.0..680.0);
    let front =
        (70.0..220.0, 58.0..76.0, 66.0..80.0, 300.0..600.0, 25.0..60.0, proptest::option::of(60.0..205.0));
    let seat = (proptest::option::of(0.9..1.9), -0.1..0.1, 0.0..60.0, 20.0..130.0, -20.0..40.0);
    let hands = (
        proptest::option::of((-90.0..120.0, -40.0..140.0)),
        any::<bool>(),
        proptest::option::of(100.0..185.0),
        any::<bool>(),
    );
    (frame, front, seat, hands).prop_map(|(frame, front, seat, hands)| Figures {
        rear_radius: frame.0,
        front_radius: frame.0 + frame.1,
        rear_rim: (frame.2 > 380.0).then_some(frame.0 - 45.0),
        chainstay: frame.2 + 40.0,
        drop: frame.3,
        reach: frame.4,
        stack: frame.5,
        head_tube: front.0,
        head_angle: front.1,
        seat_angle: front.2,
        fork_length: front.3,
        offset: front.4,
        travel: front.5,
        saddle_height: seat.0.map(|share| share * frame.5),
        saddle_tip: seat.1,
        spacers: seat.2,
        stem: seat.3,
        stem_angle: seat.4,
        grip: hands.0.map(|(x, y)| Vec2::new(x, y)),
        drop_bar: hands.1,
        crank: hands.2,
        suspension: hands.3,
    })
}

/// A change of the bike: nothing, something small, or another bike altogether.
fn pairs() -> impl Strategy<Value = (Figures, Figures)> {
    let changed = figures().prop_flat_map(|before| {
        let fork = Figures { fork_length: before.fork_length + 20.0, spacers: 0.0, ..before };
        let tyre = Figures { rear_radius: before.rear_radius + 4.0, ..before };
        let seat = Figures { saddle_height: before.saddle_height.map(|height| height + 12.0), ..before };
        (Just(before), prop_oneof![Just(before), Just(fork), Just(tyre), Just(seat)])
    });
    prop_oneof![4 => changed, 1 => (figures(), figures())]
}

fn words() -> impl Strategy<Value = String> {
    prop_oneof!["[a-z]{3,9} [a-z]{3,9} [0-9]{3}", "[a-zA-Z0-9 ,:·+−±]{0,160}", "[A-Z]{40,90}",]
}

fn pictures() -> impl Strategy<Value = Picture> {
    let flags = proptest::collection::vec(proptest::sample::select(PARTS.to_vec()), 0..=16);
    let kinds = proptest::sample::subsequence(KINDS.to_vec(), 0..=KINDS.len()).prop_shuffle();
    let texts = proptest::collection::vec((words(), words()), KINDS.len());
    (pairs(), flags, kinds, texts).prop_map(|((before, after), flags, kinds, texts)| Picture {
        before: before.outline(),
        after: after.outline(),
        flags: ('A'..='Z').zip(flags).map(|(letter, part)| Flag { letter, part }).collect(),
        dimensions: kinds
            .into_iter()
            .zip(texts)
            .map(|(kind, (text, change))| Dimension { kind, text, change })
            .collect(),
    })
}

fn texts(most: usize) -> impl Strategy<Value = Vec<String>> {
    let text = prop_oneof![3 => "[a-z]{2,9}( [a-z0-9]{1,10}){3,30}", 1 => "\\PC{1,80}", 1 => "[a-z]{200}"];
    proptest::collection::vec(text, 0..most)
}

/// The example with other words, other lengths of lists and another drawing.
fn sheets() -> impl Strategy<Value = Sheet> {
    let lists = (texts(9), texts(5), texts(5), texts(6), texts(20));
    let table = (1_usize..16, 0_usize..18);
    (proptest::option::of(pictures()), lists, table, texts(6)).prop_map(|(picture, lists, table, title)| {
        let note = |text: String| Note { text, source: 1 };
        let mut sheet = crate::fixture::larch();
        sheet.picture = picture;
        sheet.cautions = lists.0.into_iter().map(note).collect();
        sheet.check_first = lists.1;
        sheet.how_sure = lists.2;
        sheet.assumptions = lists.3.into_iter().map(note).collect();
        sheet.sources = lists.4;
        let revision = sheet.revisions[0].clone();
        sheet.revisions = ('A'..='Z')
            .take(table.0)
            .map(|letter| crate::sheet::RevisionRow { letter, ..revision.clone() })
            .collect();
        let mut row = sheet.knock_ons[0].clone();
        row.shares = vec!["+1200".to_owned(); table.0];
        sheet.knock_ons = vec![row; table.1];
        let mut title = title.into_iter();
        let fields = &mut sheet.title;
        for field in [&mut fields.question, &mut fields.bike, &mut fields.workshop, &mut fields.frame_data] {
            if let Some(text) = title.next() {
                *field = text;
            }
        }
        if let Some(text) = title.next() {
            sheet.answer.headline = text;
        }
        sheet
    })
}

/// Headings, which stand again in the middle of a note that runs on in another column.
const HEADINGS: [&str; 8] = [
    "Caution",
    "Check first",
    "How sure",
    "Ask the rider",
    "Assumed",
    "Title block in full",
    "Sources",
    "Limits",
];

/// A text without spaces.
fn squeezed(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

/// All words of a scene but its headings, in drawing order, without spaces.
fn visible(scene: &Scene) -> String {
    let words = scene.items.iter().filter_map(|item| match item {
        Item::Text(text) if HEADINGS.contains(&text.words.as_str()) => None,
        Item::Text(text) => Some(squeezed(&text.words)),
        _ => None,
    });
    words.collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: ProptestConfig::default().cases / 3, ..ProptestConfig::default() })]

    #[test]
    fn nothing_overlaps_or_leaves_a_figure(picture in pictures()) {
        for page in [Page::Desk, Page::Phone] {
            let (scene, size) = figure::compose(&picture, page);
            let faults = faults(&scene, size);
            prop_assert!(faults.is_empty(), "{page:?}: {faults:#?}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: ProptestConfig::default().cases / 10, ..ProptestConfig::default() })]

    #[test]
    fn nothing_overlaps_leaves_or_is_missing_on_a_sheet(sheet in sheets()) {
        let (scene, size) = paper::compose(&sheet);
        let faults = faults(&scene, size);
        prop_assert!(faults.is_empty(), "{faults:#?}");
        let shown = visible(&scene);
        let notes = sheet.cautions.iter().map(|note| &note.text);
        for text in notes.chain(&sheet.check_first).chain(&sheet.sources).chain(&sheet.how_sure) {
            let wanted = squeezed(&tied(text));
            prop_assert!(shown.contains(&wanted), "{wanted} is not on the sheet");
        }
    }
}

#[test]
fn every_svg_is_well_formed_and_small() {
    for (name, picture) in samples() {
        for page in [Page::Desk, Page::Phone] {
            let svg = super::elevation_svg(&picture, page, "a < b & \"c\"", "described");
            assert!(svg.len() <= 20_000, "{name}: {} bytes", svg.len());
            let document = roxmltree::Document::parse(&svg).expect("well-formed");
            let root = document.root_element();
            for attribute in ["viewBox", "role", "aria-labelledby"] {
                assert!(root.attribute(attribute).is_some(), "{attribute} on {name}");
            }
            assert!(document.descendants().all(|node| node.attribute("style").is_none()));
            let ids: Vec<_> = document.descendants().filter_map(|node| node.attribute("id")).collect();
            for id in root.attribute("aria-labelledby").unwrap_or_default().split(' ') {
                assert!(ids.contains(&id), "{id} is on {name}");
            }
        }
    }
}

#[test]
fn every_class_that_is_used_has_a_rule() {
    let svgs = [super::sheet_svg(&example()), super::sheet_svg(&crate::fixture::hostile())];
    for svg in svgs {
        let document = roxmltree::Document::parse(&svg).expect("well-formed");
        for class in
            document.descendants().filter_map(|node| node.attribute("class")).flat_map(|c| c.split(' '))
        {
            assert!(super::drawing_css().contains(&format!(".{class}")), "no rule for {class}");
        }
    }
}

#[test]
fn no_caution_is_shortened() {
    for sheet in [example(), crate::fixture::hostile()] {
        let svg = super::sheet_svg(&sheet);
        let document = roxmltree::Document::parse(&svg).expect("well-formed");
        let shown: String = document
            .descendants()
            .filter(|node| node.has_tag_name("text"))
            .filter_map(|node| node.text())
            .filter(|text| !HEADINGS.contains(text))
            .map(squeezed)
            .collect();
        for note in &sheet.cautions {
            assert!(shown.contains(&squeezed(&tied(&note.text))), "{} is missing", note.text);
        }
    }
}

#[test]
fn a_bike_that_did_not_move_is_drawn_once() {
    let svg = super::elevation_svg(&sample::unchanged(), Page::Desk, "", "");
    assert!(!svg.contains("kd-before") && !svg.contains("clipPath"));
    let svg = super::elevation_svg(&sample::trail(), Page::Desk, "", "");
    assert!(svg.contains("kd-before") && svg.contains("clipPath") && svg.contains("kd-motion"));
}

#[test]
fn text_stays_legible_on_a_phone() {
    let (scene, size) = figure::compose(&sample::trail(), Page::Phone);
    assert_eq!(size.width, 390.0);
    for item in &scene.items {
        if let Item::Text(text) = item {
            assert!(text.face.size >= 11, "{}", text.words);
        }
    }
}

fn samples() -> [(&'static str, Picture); 4] {
    [
        ("trail", sample::trail()),
        ("road", sample::road()),
        ("child", sample::child()),
        ("unchanged", sample::unchanged()),
    ]
}

/// The example sheet with the trail bike's drawing.
fn example() -> Sheet {
    Sheet { picture: Some(sample::trail()), ..crate::fixture::larch() }
}

/// Writes the samples to the folder named by `KNOCKON_DRAWINGS`, to be looked at; checks that they differ.
#[test]
fn samples_can_be_written_for_viewing() {
    let mut files = vec![
        ("drawing.css".to_owned(), super::drawing_css().to_owned()),
        ("fonts.css".to_owned(), crate::lettering::font_face_css()),
        ("sheet.svg".to_owned(), super::sheet_svg(&example())),
        ("hostile.svg".to_owned(), super::sheet_svg(&crate::fixture::hostile())),
    ];
    for (name, picture) in samples() {
        for page in [Page::Desk, Page::Phone] {
            let file = format!("{name}-{page:?}.svg").to_lowercase();
            files.push((file, super::elevation_svg(&picture, page, name, "a sample")));
        }
    }
    let different: std::collections::HashSet<&String> = files.iter().map(|(_, text)| text).collect();
    assert_eq!(different.len(), files.len());
    if let Some(folder) = std::env::var_os("KNOCKON_DRAWINGS") {
        std::fs::create_dir_all(&folder).expect("the folder can be made");
        for (name, text) in files {
            std::fs::write(std::path::Path::new(&folder).join(name), text).expect("it can be written");
        }
    }
}
