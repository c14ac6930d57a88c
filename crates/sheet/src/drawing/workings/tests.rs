//! What the drawings promise: nothing overlaps, nothing leaves the frame, nothing that is not known is drawn.

use kurbo::{Affine, Point, Rect, Size};
use proptest::prelude::*;

use super::sample::{EIGHT, WIDE, drawings, fan, gears, heat, inner, layouts};
use super::{compose, figure_svg};
use crate::drawing::clearance::touches;
use crate::drawing::scene::{Form, Ink, Item, Scene};
use crate::drawing::tests::{faults_of_boxes, within_page};
use crate::part::{Drawn, Figure, LaidOut};

/// Everything drawn, with its kind of line; what is cut off, as far as it shows.
fn drawn(items: &[Item], map: Affine, found: &mut Vec<(Ink, Form)>) {
    for item in items {
        match item {
            Item::Drawn(ink, form) => found.push((*ink, form.mapped(map))),
            Item::Group(group) => drawn(&group.items, map * group.map.unwrap_or_default(), found),
            Item::Cropped(rect, _) => {
                found.push((Ink::Ghost, Form::Path(map * kurbo::Shape::to_path(rect, 0.1))));
            }
            Item::Clipped(circle, _) => found.push((Ink::Ghost, Form::Circle(*circle).mapped(map))),
            Item::Text(_) => {}
        }
    }
}

fn of(scene: &Scene) -> Vec<(Ink, Form)> {
    let mut found = Vec::new();
    drawn(&scene.items, Affine::IDENTITY, &mut found);
    found
}

fn faults(scene: &Scene, size: Size) -> Vec<String> {
    let mut faults = faults_of_boxes(scene, size);
    for (ink, form) in of(scene) {
        let bounds = form.bounds();
        if !within_page(bounds, size) || !bounds.is_finite() {
            faults.push(format!("{ink:?} {bounds:?} leaves {size:?}"));
        }
        // A grid is broken where words stand; wheels hold their teeth.
        let may_hold_words = matches!(ink, Ink::Band | Ink::Ghost) || matches!(form, Form::Circle(_));
        for line in form.segments().into_iter().filter(|_| !may_hold_words) {
            let words = scene.boxes.iter().find(|area| touches(&line, area.inflate(-0.2, -0.2)));
            if let Some(words) = words {
                faults.push(format!("{ink:?} {line:?} runs through {words:?}"));
            }
        }
    }
    faults
}

/// The grid of a chart runs under what stands on it.
fn chart_faults(scene: &Scene, size: Size) -> Vec<String> {
    faults(scene, size).into_iter().filter(|fault| !fault.starts_with("Rule")).collect()
}

fn count(scene: &Scene, ink: Ink) -> usize {
    of(scene).iter().filter(|(own, _)| *own == ink).count()
}

fn words(scene: &Scene) -> Vec<String> {
    let text = |item: &Item| if let Item::Text(text) = item { Some(text.words.clone()) } else { None };
    scene.items.iter().filter_map(text).collect()
}

#[test]
fn nothing_overlaps_or_leaves_the_frame() {
    for (name, drawn) in drawings() {
        let (scene, size) = compose(&drawn);
        let faults =
            if matches!(drawn, Drawn::Heat(_)) { chart_faults(&scene, size) } else { faults(&scene, size) };
        assert!(faults.is_empty(), "{name}: {faults:#?}");
    }
}

#[test]
fn every_figure_is_a_picture_with_a_name() {
    for (name, drawn) in drawings() {
        let figure = Figure {
            id: "figure",
            title: "A <title>".to_owned(),
            description: "What is seen.".to_owned(),
            caption: String::new(),
            drawn,
        };
        let svg = figure_svg(&figure, "or-figure");
        let document = roxmltree::Document::parse(&svg).unwrap_or_else(|fault| panic!("{name}: {fault}"));
        assert_eq!(
            document.root_element().attribute("aria-labelledby"),
            Some("or-figure-title or-figure-desc")
        );
        assert!(svg.contains("<title id=\"or-figure-title\">A &lt;title&gt;</title>"), "{name}");
        let ids: Vec<_> = document.descendants().filter_map(|node| node.attribute("id")).collect();
        assert!(ids.iter().all(|id| id.starts_with("or-figure-")), "{name}: {ids:?}");
        assert!(!svg.contains("NaN") && !svg.contains("inf"), "{name}");
    }
}

#[test]
fn every_gear_has_a_mark_and_every_name_that_has_room() {
    let (scene, _) = compose(&Drawn::Gears(gears(&[32], &[], &WIDE)));
    assert_eq!((count(&scene, Ink::Curve), count(&scene, Ink::Before)), (12, 0));
    let all = words(&scene);
    assert!(WIDE.iter().all(|cog| all.contains(&cog.to_string())), "{all:?}");
    let (scene, _) = compose(&Drawn::Gears(inner(14)));
    assert_eq!(count(&scene, Ink::Curve), 14);
    assert!((1..=14).all(|gear: u32| words(&scene).contains(&gear.to_string())));
    assert!(["easier", "harder"].iter().all(|end| words(&scene).contains(&(*end).to_owned())));
}

#[test]
fn equal_steps_are_equally_far_apart() {
    let (scene, _) = compose(&Drawn::Gears(inner(14)));
    let marks: Vec<f64> = of(&scene)
        .into_iter()
        .filter_map(|(ink, form)| (ink == Ink::Curve).then(|| form.bounds().center().y))
        .collect();
    let first = marks[1] - marks[0];
    assert!(first < -10.0 && marks.windows(2).all(|pair| (pair[1] - pair[0] - first).abs() < 1e-6));
}

#[test]
fn a_ring_that_did_not_change_is_drawn_once() {
    let (scene, _) = compose(&Drawn::Gears(gears(&[34], &[22, 34, 44], &EIGHT)));
    // The two that are gone.
    assert_eq!((count(&scene, Ink::Before), count(&scene, Ink::Wide), count(&scene, Ink::Ghost)), (2, 1, 16));
    let (scene, _) = compose(&Drawn::Gears(gears(&[32], &[30], &WIDE)));
    assert!(words(&scene).join(" ").contains("30 teeth before"));
}

#[test]
fn the_chain_that_runs_most_askew_is_wide_and_named() {
    let rings = [(39.5, 22), (47.0, 32), (54.5, 44)];
    for fan in [fan(&rings, &EIGHT, 4.8), fan(&[(49.0, 32)], &WIDE, 3.65)] {
        let (scene, _) = compose(&Drawn::Fan(fan.clone()));
        assert_eq!(count(&scene, Ink::Chain), 1);
        assert_eq!(count(&scene, Ink::Ghost), fan.rings.len() * fan.cogs.len() - 1);
        let all = words(&scene);
        assert!(all.contains(&fan.worst.2), "{all:?}");
        assert!(fan.cogs.iter().chain(&fan.rings).all(|(_, teeth)| all.contains(teeth)), "{all:?}");
        assert!(all.iter().any(|words| words.contains("sideways") && words.contains("times enlarged")));
    }
}

#[test]
fn every_curve_and_level_is_drawn_and_named() {
    let (scene, _) = compose(&Drawn::Heat(heat(310.0, 240.0, 12.0, true)));
    let kinds = [Ink::Curve, Ink::Second, Ink::Before, Ink::Band, Ink::Centre].map(|ink| count(&scene, ink));
    assert_eq!(kinds, [1, 1, 2, 1, 3]);
    let all = words(&scene).join(" ");
    for wanted in ["Front rotor", "Rear rotor", "old brake fluid boils, 155", "organic pads fade, 300"] {
        assert!(all.contains(wanted), "{all}");
    }
}

#[test]
fn a_harder_pull_is_a_wider_run() {
    let layouts = layouts();
    let (scene, _) = compose(&Drawn::Layouts(layouts.clone()));
    let mut scales = Vec::new();
    for item in &scene.items {
        if let Item::Group(group) = item {
            scales.extend(group.map.map(|map| map.determinant().abs().sqrt()));
        }
    }
    let most = scales.iter().copied().fold(0.0, f64::max);
    let least = scales.iter().copied().fold(f64::INFINITY, f64::min);
    assert!((most * 2.4 - 5.0).abs() < 1e-6 && least < 0.6 * most, "{scales:?}");
    assert!(count(&scene, Ink::SlackChain) >= 5);
    let all = words(&scene);
    for layout in &layouts {
        assert!(all.contains(&layout.clearance), "{}", layout.label);
    }
    let teeth = |teeth: &str| all.iter().filter(|words| *words == teeth).count();
    assert_eq!((teeth("32"), teeth("18"), teeth("51"), teeth("12")), (5, 4, 1, 4));
}

#[test]
fn what_is_not_known_is_left_out() {
    let bad = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0, 0.0, 1e300];
    let mut gears = gears(&[32], &[], &WIDE);
    let mut chain = fan(&[(49.0, 32)], &WIDE, 3.65);
    let mut hot = heat(310.0, 240.0, 12.0, true);
    let mut laid = layouts();
    for (place, value) in bad.into_iter().enumerate() {
        gears.rings[0].gears[place * 2].0 = value;
        chain.cogs[place * 2].0 = value;
        hot.curves[0].after[place * 6][place % 3] = value;
        hot.curves[1].before[place * 6][place % 2] = value;
        hot.levels.push(("nowhere".to_owned(), value));
        let layout = &mut laid[place % 5];
        layout.runs[0].2 = value;
        layout.wheels[1].1 = value;
        layout.ground = value;
        layout.tyre = value;
    }
    chain.centres = f64::NAN;
    laid[0].runs[1].0.x = f64::NAN;
    for drawn in [Drawn::Gears(gears), Drawn::Fan(chain), Drawn::Heat(hot), Drawn::Layouts(laid)] {
        let (scene, size) = compose(&drawn);
        assert!(of(&scene).iter().all(|(_, form)| within_page(form.bounds(), size)), "{drawn:?}");
        assert!(scene.boxes.iter().all(Rect::is_finite));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn any_gears_stay_on_their_chart(
        cogs in proptest::collection::vec(9_u8..60, 0..15),
        rings in proptest::collection::vec(20_u8..60, 0..4),
        before in proptest::collection::vec(20_u8..60, 0..4),
    ) {
        let (scene, size) = compose(&Drawn::Gears(gears(&rings, &before, &cogs)));
        let faults = faults(&scene, size);
        prop_assert!(faults.is_empty(), "{faults:#?}");
    }

    #[test]
    fn any_fan_stays_on_its_figure(
        rings in proptest::collection::vec((25.0..70.0, 20_u8..60), 0..4),
        cogs in proptest::collection::vec(9_u8..60, 0..14),
        pitch in 2.0..6.0,
    ) {
        let (scene, size) = compose(&Drawn::Fan(fan(&rings, &cogs, pitch)));
        let faults = faults(&scene, size);
        prop_assert!(faults.is_empty(), "{faults:#?}");
    }

    #[test]
    fn any_descent_stays_on_its_chart(front in -10.0..900.0, rear in -10.0..900.0, minutes in 0.1..300.0, changed: bool) {
        let (scene, size) = compose(&Drawn::Heat(heat(front, rear, minutes, changed)));
        let faults = chart_faults(&scene, size);
        prop_assert!(faults.is_empty(), "{faults:#?}");
    }

    #[test]
    fn any_layout_stays_in_its_cell(x in -500.0..-300.0, y in -60.0..90.0, radius in 20.0..110.0, ground in -400.0..-150.0) {
        let mut all = layouts();
        for layout in &mut all {
            layout.ground = ground;
            layout.wheels.push((Point::new(x, y), radius, "24".to_owned()));
        }
        let (scene, size) = compose(&Drawn::Layouts(all));
        let mut faults = faults_of_boxes(&scene, size);
        faults.extend(of(&scene).iter().filter(|(_, form)| !within_page(form.bounds(), size)).map(|form| format!("{form:?}")));
        prop_assert!(faults.is_empty(), "{faults:#?}");
    }
}

/// Layouts as the tests need them must be laid as their words say.
#[test]
fn the_sample_of_layouts_is_sound() {
    for layout in layouts() {
        let LaidOut { runs, wheels, .. } = &layout;
        assert_eq!(runs.len(), wheels.len(), "{}", layout.label);
    }
}
