//! What the drawings promise for every kind of linkage, with and without a change, on every page.

use kurbo::{Point, Rect, Shape as _, Size};
use proptest::prelude::*;

use super::{chart, chart_svg, figure, linkage_svg};
use crate::compose::suspension::{Given, ride, sample};
use crate::drawing::Page;
use crate::drawing::clearance::touches;
use crate::drawing::paper;
use crate::drawing::scene::{Ink, Item, Scene};
use crate::drawing::tests::{faults_of_boxes, within_page};
use crate::ride::{Chart, Place, Ride};
use crate::sheet::{Note, Sheet};
use crate::tie::tied;
use crate::units::{Language, LengthUnit, Units};

fn made(name: &str, changed: bool, units: Units) -> Ride {
    let bike = sample::bike();
    let suspension = sample::linkage(name, changed);
    let larch = crate::fixture::larch();
    let outline = larch.picture.as_ref().map(|picture| &picture.after);
    let given = Given { suspension: &suspension, bikes: (&bike, &bike), outline, springs: Vec::new(), units };
    ride(&given, |_| 1).expect("a ride")
}

/// Every ride of the sample, each with its name.
fn rides() -> Vec<(String, Ride)> {
    let inches = Units { length: LengthUnit::Inch, language: Language::English };
    let kinds = sample::names().into_iter();
    kinds
        .flat_map(|name| [(name, false), (name, true)])
        .flat_map(|(name, changed)| {
            [Units::default(), inches]
                .map(|units| (format!("{name}, {changed}, {units:?}"), made(name, changed, units)))
        })
        .collect()
}

/// Everything drawn in a scene, with groups resolved and what is cut off left out.
fn shown<'a>(items: &'a [Item], found: &mut Vec<&'a Item>) {
    for item in items {
        match item {
            Item::Group(group) if group.map.is_none() => shown(&group.items, found),
            _ => found.push(item),
        }
    }
}

fn faults(scene: &Scene, size: Size) -> Vec<String> {
    let mut faults = faults_of_boxes(scene, size);
    let within = |rect: Rect| within_page(rect, size);
    let mut items = Vec::new();
    shown(&scene.items, &mut items);
    for item in items {
        let bounds = match item {
            Item::Drawn(_, form) => form.bounds(),
            Item::Clipped(circle, _) => circle.bounding_box(),
            Item::Cropped(rect, _) => *rect,
            Item::Text(_) => continue,
            Item::Group(_) => panic!("what moves is cut off at the view's edge"),
        };
        if !within(bounds) {
            faults.push(format!("{bounds:?} leaves {size:?}"));
        }
    }
    faults
}

/// Lines of the curves in a chart.
fn curves(scene: &Scene) -> Vec<(Point, Point)> {
    let mut items = Vec::new();
    shown(&scene.items, &mut items);
    items
        .into_iter()
        .filter_map(|item| match item {
            Item::Drawn(Ink::Curve | Ink::Before, form) => Some(form.segments()),
            _ => None,
        })
        .flatten()
        .collect()
}

fn count(items: &[Item], ink: Ink) -> usize {
    items
        .iter()
        .map(|item| match item {
            Item::Drawn(own, _) => usize::from(*own == ink),
            Item::Clipped(_, items) | Item::Cropped(_, items) => count(items, ink),
            Item::Group(group) => count(&group.items, ink),
            Item::Text(_) => 0,
        })
        .sum()
}

#[test]
fn nothing_overlaps_or_leaves_a_linkage_figure() {
    for (name, ride) in rides() {
        let picture = ride.linkage.as_ref().expect("a linkage");
        for page in [Page::Desk, Page::Phone] {
            let (scene, size) = figure::compose(picture, page);
            let faults = faults(&scene, size);
            assert!(faults.is_empty(), "{name}, {page:?}: {faults:#?}");
        }
    }
}

#[test]
fn nothing_overlaps_or_leaves_a_chart() {
    for (name, ride) in rides() {
        assert_eq!(ride.charts.len(), 6, "{name}");
        for chart in &ride.charts {
            let scene = chart::compose(chart, &ride.travel_unit);
            let faults = faults(&scene, chart::SIZE);
            assert!(faults.is_empty(), "{name}, {}: {faults:#?}", chart.id);
            // The words at the curves are not crossed by them.
            for line in curves(&scene) {
                let crossed = scene.boxes.iter().filter(|rect| touches(&line, **rect)).count();
                assert_eq!(crossed, 0, "{name}, {}: {line:?}", chart.id);
            }
        }
    }
}

#[test]
fn every_curve_that_is_known_is_drawn_and_one_that_did_not_move_once() {
    for name in sample::names() {
        let still = made(name, false, Units::default());
        for chart in &still.charts {
            let scene = chart::compose(chart, &still.travel_unit);
            assert_eq!((count(&scene.items, Ink::Curve), count(&scene.items, Ink::Before)), (1, 0), "{name}");
            assert_eq!(count(&scene.items, Ink::Band), 1, "{name}");
        }
        let (scene, _) = figure::compose(still.linkage.as_ref().unwrap(), Page::Desk);
        assert_eq!(count(&scene.items, Ink::Before), 0, "{name}");

        let moved = made(name, true, Units::default());
        let squat = moved.charts.iter().find(|chart| chart.id == "anti_squat").unwrap();
        let scene = chart::compose(squat, "mm");
        assert_eq!((count(&scene.items, Ink::Curve), count(&scene.items, Ink::Before)), (1, 1), "{name}");
        let (scene, _) = figure::compose(moved.linkage.as_ref().unwrap(), Page::Desk);
        assert!(count(&scene.items, Ink::Before) > 1, "{name}");
    }
}

#[test]
fn a_curve_with_a_gap_is_drawn_on_both_sides_of_it() {
    let place = |travel: f64, value: f64| Place { travel, value, plus_minus: 0.1 };
    let chart = Chart {
        measure_next: String::new(),
        id: "leverage",
        label: "Leverage ratio".into(),
        unit: String::new(),
        decimals: 2,
        meaning: Note { text: String::new(), source: 0 },
        after: vec![
            place(0.0, 3.0),
            place(10.0, 2.9),
            place(20.0, f64::NAN),
            place(30.0, 2.7),
            place(40.0, 2.6),
        ],
        before: Vec::new(),
        sag: None,
        level: None,
    };
    assert_eq!(count(&chart::compose(&chart, "mm").items, Ink::Curve), 2);
}

#[test]
fn a_script_finds_every_part_that_moves() {
    for name in sample::names() {
        let ride = made(name, true, Units::default());
        let picture = ride.linkage.as_ref().unwrap();
        let svg = linkage_svg(picture, Page::Desk, "or-", "title", "description");
        for index in 0..picture.after.bodies.len() {
            assert_eq!(svg.matches(&format!("class=\"body\" data-body=\"{index}\"")).count(), 1, "{name}");
        }
        for mark in [
            "data-axle=",
            "data-shock=\"rod\"",
            "data-shock=\"cylinder\"",
            "data-chain=\"tight\"",
            "data-chain=\"slack\"",
        ] {
            assert_eq!(svg.matches(mark).count(), 1, "{name}: {mark}");
        }
        // No letter is ever turned with a part.
        let moving = svg.split("class=\"linkage\"").nth(1).unwrap();
        assert!(!moving[..moving.rfind("data-shock=\"cylinder\"").unwrap()].contains("<text"), "{name}");
        assert!(roxmltree::Document::parse(&svg).is_ok(), "{name}");
        assert!(svg.contains("id=\"or-linkage-desk-title\"") && svg.contains("url(#or-linkage-desk-clip-1)"));
    }
}

#[test]
fn a_body_is_placed_where_the_motion_says() {
    let ride = made("four-bar", false, Units::default());
    let svg = linkage_svg(ride.linkage.as_ref().unwrap(), Page::Phone, "", "title", "description");
    let motion: serde_json::Value = serde_json::from_str(&ride.motion).unwrap();
    assert_eq!(motion["count"], 21);
    assert_eq!(motion["shown"][0]["values"].as_array().unwrap().len(), 21);
    let body = &motion["bodies"][0][2];
    let at = |index: usize| body[index].as_f64().unwrap();
    let document = roxmltree::Document::parse(&svg).unwrap();
    let group = document.descendants().find(|node| node.attribute("data-body") == Some("2")).unwrap();
    let written: Vec<f64> = group
        .attribute("transform")
        .unwrap()
        .trim_start_matches("matrix(")
        .trim_end_matches(')')
        .split(' ')
        .map(|number| number.parse().unwrap())
        .collect();
    for (written, told) in written.iter().zip([at(0), at(1), -at(1), at(0), at(2), at(3)]) {
        assert!((written - told).abs() < 2e-4, "{written} {told}");
    }
}

#[test]
fn a_chart_tells_a_script_where_its_curve_is() {
    let ride = made("slide", true, Units::default());
    for chart in &ride.charts {
        let svg = chart_svg(chart, "mm", chart.id, "title", "description");
        let document = roxmltree::Document::parse(&svg).unwrap();
        let group = document.descendants().find(|node| node.attribute("class") == Some("chart")).unwrap();
        let list = |name: &str| -> Vec<f64> { serde_json::from_str(group.attribute(name).unwrap()).unwrap() };
        let (x, y, values) = (list("data-x"), list("data-y"), list("data-values"));
        assert_eq!((x.len(), y.len(), values.len()), (21, 21, 21));
        let end = |name: &str| -> f64 { group.attribute(name).unwrap().parse().unwrap() };
        assert!((x[0] - end("data-x0")).abs() < 0.06 && (x[20] - end("data-x1")).abs() < 0.06);
        // Its last point is the end of the drawn line.
        let last = curves(&chart::compose(chart, "mm"))
            .into_iter()
            .map(|(_, to)| to.distance(Point::new(x[20], y[20])))
            .fold(f64::INFINITY, f64::min);
        assert!(last < 0.2, "{}: {last}", chart.id);
    }
}

fn places() -> impl Strategy<Value = (Vec<Place>, Vec<Place>)> {
    let curve = (20.0..230.0, -1000.0..1000.0, -400.0..400.0, -300.0..300.0, 0.0..120.0).prop_map(
        |(travel, start, slope, bend, pm): (f64, f64, f64, f64, f64)| -> Vec<Place> {
            (0..21)
                .map(|index| {
                    let x = f64::from(index) / 20.0;
                    Place { travel: travel * x, value: start + slope * x + bend * x * x, plus_minus: pm * x }
                })
                .collect()
        },
    );
    (curve.clone(), proptest::option::of(curve))
        .prop_map(|(after, before)| (after, before.unwrap_or_default()))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn any_curve_stays_on_its_chart((after, before) in places(), sag in 0_usize..21, level in proptest::option::of(-500.0..500.0)) {
        let chart = Chart {
            measure_next: String::new(),
            id: "anti_squat",
            label: "Anti-squat".into(),
            unit: "%".into(),
            decimals: 0,
            meaning: Note { text: String::new(), source: 0 },
            sag: Some(after[sag]),
            after,
            before,
            level,
        };
        let faults = faults(&chart::compose(&chart, "mm"), chart::SIZE);
        prop_assert!(faults.is_empty(), "{faults:#?}");
    }
}

#[test]
fn nothing_overlaps_leaves_or_is_missing_on_a_suspensions_own_sheet() {
    for (name, ride) in rides() {
        for linkage in [ride.linkage.clone(), None] {
            let ride = Ride { linkage, ..ride.clone() };
            let sheet = Sheet { ride: Some(ride), ..crate::fixture::larch() };
            let (scene, size) = paper::compose(&sheet);
            let faults = faults_of_boxes(&scene, size);
            assert!(faults.is_empty(), "{name}: {faults:#?}");
            let squeezed = |text: &str| text.chars().filter(|c| !c.is_whitespace()).collect::<String>();
            let shown: String = scene
                .items
                .iter()
                .filter_map(|item| match item {
                    Item::Text(text) => Some(squeezed(&text.words)),
                    _ => None,
                })
                .collect();
            let ride = sheet.ride.as_ref().unwrap();
            let rows = ride.rows.iter().map(|row| &row.label);
            let meanings = ride.charts.iter().map(|chart| &chart.meaning.text);
            for wanted in rows.chain(meanings).chain([&ride.path]) {
                assert!(shown.contains(&squeezed(&tied(wanted))), "{name}: {wanted} is not on the sheet");
            }
        }
    }
}
