//! Linkages in records: every class of fault is told where it stands and how to mend it, what is read survives being
//! written, edits leave it alone, and the demo workshop's linkages move through their whole stroke.

use std::collections::BTreeMap;

use knockon_engine::suspension::linkage::{JointKind, Stuck};
use knockon_engine::suspension::rear::RearAxle;
use knockon_engine::suspension::sag::sag;
use knockon_engine::tolerance::Uncertain;
use knockon_trade::audit::audit;
use knockon_trade::build::Build;
use knockon_trade::demo;
use knockon_trade::fact::Known;
use knockon_trade::linkage::words;
use knockon_trade::problem::Problem;
use knockon_trade::record::edit::{Entry, set};
use knockon_trade::record::linkage::{Idler, Linkage};
use knockon_trade::record::parse;

/// A four-bar linkage with everything that a linkage can hold.
const FOUR_BAR: &str = r#"
kind = "full suspension"
[linkage]
# The seat stay carries the axle.
axle = "seat stay"
caliper = "seat stay"
shock = ["rocker eye", "frame eye"]

[linkage.points]
# Taped with the wheel out.
"main pivot" = { at = [-12, 38], on = ["frame", "chain stay"], with = "tape" }
"rear pivot" = { at = [-400.5, "0.5 in"], on = ["chain stay", "seat stay"], known = "measured", tolerance = 3 }
"upper pivot" = { at = [-85, 315], on = ["seat stay", "rocker"] }
"rocker pivot" = { at = [-30, 290], on = ["frame", "rocker"] }
"rocker eye" = { at = [25, 300], on = ["rocker"] } # a bolt of its own
"frame eye" = { at = [130, 118], on = ["frame"], known = "assumed", tolerance = 4 }
"idler" = { at = [-40, 90], on = ["chain stay"], teeth = 16 }
"guide" = { at = [-60, 60], on = ["chain stay"], teeth = 12, chain = "under" }

[[linkage.distance]]
# Straight, not along the tube.
between = ["main pivot", "axle"]
value = 428
with = "tape"

[[linkage.distance]]
between = ["bottom bracket", "rocker pivot"]
value = "29.2 cm"

[linkage.chip]
moves = "frame eye"
now = "high"
places = { high = [0, 0], low = [-4, 6] }
"#;

/// A sliding joint with an angle of its own.
const SLIDE: &str = r#"
[linkage]
axle = "rear triangle"
shock = ["rocker eye", "frame eye"]
[linkage.points]
rail = { at = [-10, 60], on = ["frame", "carriage"], slides = 84, with = "tape" }
"carriage pivot" = { at = [-25, 65], on = ["carriage", "rear triangle"] }
"upper pivot" = { at = [-75, 250], on = ["rear triangle", "rocker"] }
"rocker pivot" = { at = [-30, 240], on = ["frame", "rocker"] }
"rocker eye" = { at = [30, 255], on = ["rocker"] }
"frame eye" = { at = [150, 130], on = ["frame"] }
"#;

fn linkage(text: &str) -> Linkage {
    let parsed = parse("bike.toml", text).unwrap_or_else(|problems| panic!("{problems:#?}"));
    assert!(parsed.warnings.is_empty(), "{:#?}", parsed.warnings);
    parsed.record.linkage.expect("a linkage")
}

fn problems(text: &str) -> Vec<Problem> {
    match parse("bike.toml", text) {
        Ok(parsed) => panic!("read without an error: {:#?}", parsed.record.linkage),
        Err(problems) => problems,
    }
}

#[test]
fn a_linkage_is_read_with_how_each_number_is_known() {
    let linkage = linkage(FOUR_BAR);
    assert_eq!(linkage.parts(), ["frame", "chain stay", "seat stay", "rocker"]);
    assert_eq!((linkage.axle.as_str(), linkage.caliper.as_deref()), ("seat stay", Some("seat stay")));
    assert_eq!(linkage.shock, ["rocker eye", "frame eye"]);
    let names: Vec<&str> = linkage.points.iter().map(|point| point.name.as_str()).collect();
    let expected = [
        "main pivot",
        "rear pivot",
        "upper pivot",
        "rocker pivot",
        "rocker eye",
        "frame eye",
        "idler",
        "guide",
    ];
    assert_eq!(names, expected);
    // A tape is good for ±2 mm, in both coordinates.
    let main = &linkage.points[0];
    assert_eq!((main.x.value, main.y.value, main.x.known), (-12.0, 38.0, Known::Measured));
    assert_eq!((main.x.uncertainty, main.y.uncertainty), (1.0, 1.0));
    // A told tolerance holds for both; half an inch is 12.7 mm.
    let rear = &linkage.points[1];
    assert!((rear.y.value - 12.7).abs() < 1e-12);
    assert_eq!((rear.x.uncertainty, rear.y.uncertainty), (1.5, 1.5));
    // Bare numbers are rounded to their last digit: 1 mm/√12.
    assert!((linkage.points[2].x.uncertainty - 1.0 / 12_f64.sqrt()).abs() < 1e-15);
    assert_eq!(linkage.points[5].x.known, Known::Assumed);
    let idlers: Vec<Idler> = linkage.points.iter().filter_map(|point| point.idler).collect();
    assert_eq!(idlers, [Idler { teeth: 16.0, over: true }, Idler { teeth: 12.0, over: false }]);
    assert_eq!(linkage.distances[0].between, ["main pivot", "axle"]);
    assert_eq!((linkage.distances[0].value.value, linkage.distances[0].value.uncertainty), (428.0, 1.0));
    assert!((linkage.distances[1].value.value - 292.0).abs() < 1e-12);
    let chip = linkage.chip.expect("a chip");
    assert_eq!((chip.moves.as_str(), chip.now.as_str()), ("frame eye", "high"));
    assert_eq!(
        (chip.places[1].name.as_str(), chip.places[1].x.value, chip.places[1].y.value),
        ("low", -4.0, 6.0)
    );
    // Where it is now it moves nothing, exactly.
    assert_eq!((chip.places[0].x.uncertainty, chip.places[0].y.uncertainty), (0.0, 0.0));
}

#[test]
fn a_line_is_known_as_its_point_is_unless_it_says_otherwise() {
    // A tape measures no angles, so the line is good for what an unnamed tool is: ±1°.
    let taped = linkage(SLIDE).points[0].slides.clone().expect("a line");
    assert!((taped.value - 84_f64.to_radians()).abs() < 1e-15);
    assert!((taped.uncertainty - 0.5_f64.to_radians()).abs() < 1e-15);
    assert_eq!(taped.known, Known::Measured);
    let level = SLIDE.replace("slides = 84", "slides = { value = 84.2, with = \"digital level\" }");
    let level = linkage(&level).points[0].slides.clone().expect("a line");
    assert!((level.uncertainty - 0.1_f64.to_radians()).abs() < 1e-15);
    let bare = linkage(&SLIDE.replace(", with = \"tape\"", "")).points[0].slides.clone().expect("a line");
    assert_eq!((bare.known, bare.with), (Known::Published, None));
}

#[test]
fn what_is_written_reads_back_the_same() {
    let told = SLIDE.replace("slides = 84", "slides = { value = 84, known = \"published\" }");
    let odd =
        SLIDE.replace("carriage pivot", "carriage \\\"C\\\", low").replace("rail = ", "\"rail #1.5\" = ");
    let measured = SLIDE.replace("slides = 84", "slides = { value = \"1.47 rad\", tolerance = 2 }");
    let chip =
        FOUR_BAR.replace("[linkage.chip]", "[linkage.chip]\nwith = \"calliper, long\"\ntolerance = 0.5");
    let at_pivot = FOUR_BAR.replace("moves = \"frame eye\"", "moves = \"rocker pivot\"\nin = \"rocker\"");
    for text in [FOUR_BAR, SLIDE, &told, &odd, &measured, &chip, &at_pivot] {
        let record = parse("a", text).unwrap_or_else(|problems| panic!("{text}\n{problems:#?}")).record;
        let written = record.to_toml();
        let again = parse("b", &written).unwrap_or_else(|problems| panic!("{written}\n{problems:#?}")).record;
        assert_eq!(again, record, "{written}");
        assert!(again.linkage.is_some());
    }
}

#[test]
fn a_workshops_own_tolerances_hold_for_points_too() {
    let record = parse("bike", FOUR_BAR).expect("a record").record;
    let own = record.with_tolerances(&BTreeMap::from([("tape".to_owned(), 1.0)])).linkage.expect("a linkage");
    assert_eq!((own.points[0].x.uncertainty, own.points[0].y.uncertainty), (0.5, 0.5));
    assert_eq!(own.distances[0].value.uncertainty, 0.5);
    // A tolerance that was written stays, and so does a published number's.
    assert_eq!(own.points[1].x.uncertainty, 1.5);
    assert_eq!(
        own.distances[1].value.uncertainty,
        record.linkage.expect("one").distances[1].value.uncertainty
    );
}

/// A fault made by replacing one text by another; the text at its place, what is said of it, and what helps.
#[test]
fn every_fault_is_told_where_it_stands_and_how_to_mend_it() {
    let row = |name: &str| -> &str { FOUR_BAR.lines().find(|line| line.starts_with(name)).expect("a row") };
    let (guide, rocker) = (row("\"guide\""), row("\"rocker pivot\""));
    let frame_eye = row("\"frame eye\"");
    let rocker_mark = rocker.replace(", \"rocker\"]", "]");
    let extra = format!("{guide}\nlink = {{ at = [3, 4], on = [\"frame\", \"chain stay\"] }}");
    let dangling = format!("{guide}\nlink = {{ at = [3, 4], on = [\"rocker\", \"bell crank\"] }}");
    let truss = format!("{guide}\nlink = {{ at = [3, 4], on = [\"chain stay\", \"rocker\"] }}");
    let many: String = (0..9).fold(guide.to_owned(), |text, n| {
        format!("{text}\n\"p{n}\" = {{ at = [{n}, 4], on = [\"frame\", \"part {n}\"] }}")
    });
    #[rustfmt::skip]
    let faults: [(&str, &str, &str, &str, &str); 37] = [
        ("axle = \"seat stay\"", "axel = \"seat stay\"", "axel", "a linkage has no `axel`", "did you mean `axle`?"),
        ("axle = \"seat stay\"", "axle = \"seatstay\"", "\"seatstay\"", "no point is on a part called \"seatstay\"", "did you mean \"seat stay\"?"),
        ("axle = \"seat stay\"", "axle = \"frame\"", "\"frame\"", "the frame itself cannot carry", "\"chain stay\", \"seat stay\", \"rocker\""),
        ("axle = \"seat stay\"\n", "", "[linkage]", "which part carries the rear axle", "axle = "),
        ("axle = \"seat stay\"", "axle = 7", "7", "must be a text in quotes", "linkage.axle = "),
        ("caliper = \"seat stay\"", "caliper = \"mount\"", "\"mount\"", "no point is on a part called \"mount\"", "\"rocker\""),
        ("shock = [\"rocker eye\", \"frame eye\"]\n", "", "[linkage]", "between which two points the shock sits", "shock = ["),
        ("shock = [\"rocker eye\", \"frame eye\"]", "shock = [\"rocker eye\"]", "[\"rocker eye\"]", "between two points", "shock = ["),
        ("[\"rocker eye\", \"frame eye\"]", "[\"rocker eye\", \"frame ey\"]", "\"frame ey\"", "no point is called \"frame ey\"", "did you mean \"frame eye\"?"),
        ("[\"rocker eye\", \"frame eye\"]", "[\"rocker eye\", \"rocker eye\"]", "\"rocker eye\"", "two different points", "stands twice"),
        ("[\"rocker eye\", \"frame eye\"]", "[\"rocker eye\", \"upper pivot\"]", "\"upper pivot\"", "both eyes of the shock are on \"rocker\"", "another part"),
        ("at = [25, 300], on", "att = [25, 300], on", "att", "a point has no `att`", "did you mean `at`?"),
        ("at = [25, 300], on", "at = [25], on", "[25]", "two numbers: forward and up", "[-12, 38]"),
        ("at = [25, 300], on", "at = [25, \"300 kg\"], on", "kg", "wrong kind of unit", "mm"),
        ("at = [25, 300], on", "at = [25, 3000], on", "3000", "\"rocker eye\" cannot be 3000 mm", "−2000 mm to 2000 mm"),
        ("at = [25, 300], on", "at = [25, nan], on", "nan", "finite number", "mm"),
        ("at = [25, 300], on = [\"rocker\"]", "on = [\"rocker\"]", "\"rocker eye\"", "must say where it is", "at = "),
        ("{ at = [25, 300], on = [\"rocker\"] }", "[25, 300]", "[25, 300]", "must say where it is", "at = "),
        ("on = [\"rocker\"] }", "on = [\"rocker\", \"seat stay\", \"frame\"] }", "\"frame\"", "joins 3 parts; a pivot joins two", "one on \"rocker\" and \"seat stay\", one on \"seat stay\" and \"frame\""),
        ("on = [\"rocker\"] }", "on = [\"rocker\", \"rocker\"] }", "\"rocker\"", "names the part \"rocker\" twice", "two different parts"),
        ("on = [\"rocker\"] }", "on = [] }", "\"rocker eye\"", "is on no part", "on = [\"frame\"]"),
        ("on = [\"rocker\"] }", "on = [\"rocker\"], slides = 80 }", "80", "slides, but is on \"rocker\" only", "on = [\"rocker\", "),
        ("on = [\"rocker\"] }", "on = [\"roker\"] }", "\"roker\"", "nothing joins the part \"roker\" to the frame", "did you mean \"rocker\"?"),
        ("\"rocker eye\" = { at", "\"axle\" = { at", "\"axle\"", "is known already", "chart"),
        ("known = \"assumed\", tolerance = 4", "known = \"assumed\"", "130", "needs its tolerance", "19 to 1"),
        ("teeth = 12,", "", "\"under\"", "has no `teeth`", "add `teeth = …`"),
        ("teeth = 12,", "teeth = 2,", "2", "a whole number from 6 to 60", "count them"),
        ("chain = \"under\"", "chain = \"below\"", "\"below\"", "cannot be \"below\"", "\"over\", \"under\""),
        ("[\"main pivot\", \"axle\"]", "[\"main pivot\", \"axel\"]", "\"axel\"", "no point is called \"axel\"", "did you mean \"axle\"?"),
        ("value = 428", "valeu = 428", "valeu", "a distance has no `valeu`", "did you mean `value`?"),
        ("value = 428", "value = 0", "0", "cannot be 0 mm", "1 mm to 2000 mm"),
        ("now = \"high\"", "now = \"hihg\"", "\"hihg\"", "no place \"hihg\"", "did you mean \"high\"?"),
        ("high = [0, 0]", "high = [0, 1]", "[0, 1]", "moves nothing: high = [0, 0]", "counted from it"),
        ("moves = \"frame eye\"", "moves = \"lower eye\"", "\"lower eye\"", "no point is called \"lower eye\"", "did you mean"),
        ("moves = \"frame eye\"", "moves = \"rocker pivot\"", "\"rocker pivot\"", "joins two parts, and the chip sits in one of them", "in = \"frame\" or in = \"rocker\""),
        ("now = \"high\"", "in = \"rocker\"\nnow = \"high\"", "\"rocker\"", "\"frame eye\" is not on \"rocker\"", "it is on \"frame\""),
        ("low = [-4, 6]", "low = [-4, 600]", "600", "cannot be 600 mm", "−100 mm to 100 mm"),
    ];
    let more = [
        (
            guide,
            extra.as_str(),
            "link",
            "\"main pivot\" and \"link\" both join \"frame\" and \"chain stay\"",
            "take one of them out",
        ),
        (guide, &dangling, "[linkage.points]", "can move in 2 ways; a suspension has one", "pivot by pivot"),
        (guide, &truss, "[linkage.points]", "cannot move at all", "can move in one way"),
        (guide, &many, "[linkage]", "12 parts that move are more than the 8", "bolted together"),
        (
            rocker,
            rocker_mark.as_str(),
            "[linkage.points]",
            "can move in 3 ways; a suspension has one: a link or pivot is missing",
            "pivot by pivot",
        ),
        (
            frame_eye,
            "\" x\" = { at = [1, 2], on = [\"frame\"] }",
            "\" x\"",
            "begin or end with a blank",
            "\"x\"",
        ),
    ];
    for (old, new, offending, message, help) in faults.into_iter().chain(more) {
        assert!(FOUR_BAR.contains(old), "{old}");
        let text = FOUR_BAR.replacen(old, new, 1);
        let found = problems(&text);
        let Some(problem) = found.iter().find(|problem| problem.message.contains(message)) else {
            panic!("{new}: {found:#?}")
        };
        assert_eq!(problem.offending().lines().next(), Some(offending), "{new}: {problem}");
        let told = problem.help.as_deref().unwrap_or_default();
        assert!(told.contains(help), "{new}: {told}");
        // Line and column are those of the offending text, past what was replaced.
        let (line, column) = problem.line_column();
        let rest: String = text.lines().nth(line - 1).expect("a line").chars().skip(column - 1).collect();
        assert!(rest.starts_with(offending), "{new}: {rest}");
    }
}

#[test]
fn several_faults_are_told_at_once() {
    let text = FOUR_BAR
        .replace("on = [\"rocker\"] }", "on = [\"rocker\"], tooth = 3 }")
        .replace("value = 428", "value = \"428 kg\"")
        .replace("high = [0, 0]", "high = [0]");
    assert_eq!(problems(&text).len(), 3);
}

#[test]
fn headings_are_known_and_asked_for() {
    let found = problems("[linkages]\naxle = \"a\"\n");
    assert_eq!(found[0].help.as_deref(), Some("did you mean `linkage`?"));
    let found = problems("linkage = 3\n");
    assert!(found[0].message.contains("is a heading"), "{found:#?}");
    let found = problems("[linkage]\naxle = \"a\"\nshock = [\"b\", \"c\"]\n");
    assert!(found[0].message.contains("at least two points"), "{found:#?}");
    let found = problems("[linkage]\ndistance = 3\n");
    assert!(found[0].help.as_deref().is_some_and(|help| help.contains("[[linkage.distance]]")), "{found:#?}");
}

#[test]
fn what_is_odd_is_a_warning() {
    let hardtail = FOUR_BAR.replace("full suspension", "hardtail");
    let parsed = parse("bike", &hardtail).expect("a record");
    assert!(
        parsed.warnings[0].message.contains("a linkage on a bike that is hardtail"),
        "{:?}",
        parsed.warnings
    );
    assert!(parsed.record.linkage.is_some());
    // The eyes lie √(105² + 182²) = 210.1 mm apart.
    let eyes =
        |told: f64| parse("bike", &format!("{FOUR_BAR}\n[shock]\neye_to_eye = {told}\n")).expect("a record");
    assert!(eyes(210.0).warnings.is_empty(), "{:?}", eyes(210.0).warnings);
    // One eye is assumed to ±4 mm, so 6 mm are too much.
    let warnings = eyes(216.0).warnings;
    assert!(warnings[0].message.contains("drawn 210.1 mm apart, but the shock is 216 mm"), "{warnings:?}");
    assert_eq!(warnings[0].offending(), "[\"rocker eye\", \"frame eye\"]");
}

#[test]
fn edits_leave_the_linkage_and_its_comments_alone() {
    let start = FOUR_BAR.find("[linkage]").expect("the heading");
    let text = FOUR_BAR[start..].trim_end();
    for (key, value) in [
        ("stem.length", "50"),
        ("kind", "full suspension"),
        ("rear.travel", "150"),
        ("name", "Invented"),
        ("shock.stroke", "55"),
    ] {
        let entry = Entry::new(value);
        let once = set(FOUR_BAR, key, Some(&entry)).unwrap_or_else(|problem| panic!("{key}: {problem}"));
        assert!(once.contains(text), "{key}:\n{once}");
        let record = parse("bike", &once).unwrap_or_else(|problems| panic!("{once}\n{problems:?}")).record;
        assert_eq!(record.linkage, Some(linkage(FOUR_BAR)), "{key}");
        // Setting it to something else, and taking it out again.
        let gone = set(&once, key, None).expect("a record");
        assert!(gone.contains(text), "{key}:\n{gone}");
    }
}

/// Demo bikes with a linkage: file name, and leverage at the start and at the end of the stroke as each was designed,
/// by a solver of its own (Newton's method on the loop closures, in Python).
const LINKED: [(&str, f64, f64); 6] = [
    ("bulrush-150", 3.01, 2.49),
    ("guelder-160", 2.90, 2.64),
    ("medlar-140", 2.97, 2.62),
    ("osier-130", 2.99, 2.51),
    ("samphire-145", 2.95, 2.47),
    ("tormentil-150", 2.98, 2.53),
];

fn built(stem: &str) -> Build {
    Build::new(&demo::bike(stem).expect("a bike of the workshop")).expect("a possible bike")
}

fn named<'a>(build: &'a Build, name: &str) -> &'a knockon_engine::geometry::point::FramePoint<Uncertain> {
    let linkage = build.linkage.as_ref().expect("a linkage");
    let at = linkage.points.iter().position(|point| point == name).expect("a point of this name");
    &linkage.linkage.points[at]
}

#[test]
fn demo_linkages_go_through_their_stroke_and_end_at_their_travel() {
    let linked: Vec<&str> = demo::bikes()
        .iter()
        .map(|(stem, _)| *stem)
        .filter(|stem| demo::bike(stem).is_some_and(|record| record.linkage.is_some()))
        .collect();
    assert_eq!(linked, LINKED.map(|(stem, ..)| stem));
    for (stem, start, end) in LINKED {
        let build = built(stem);
        let bike = build.bike.map(|number| number.value);
        let linkage = build.linkage.as_ref().expect("a linkage").linkage.map(|number| number.value);
        let poses = linkage
            .sweep(0.0, bike.shock_stroke, 101)
            .unwrap_or_else(|stuck| panic!("{stem}: {}", words(&stuck, build.linkage.as_ref().unwrap())));
        let (first, last) = (poses[0], poses[100]);
        let travel = last.axle.y - first.axle.y;
        assert!((travel - bike.rear_travel).abs() < 1.5, "{stem}: {travel}");
        let leverage = |pose: &knockon_engine::suspension::linkage::Pose<f64>| pose.axle_velocity.y;
        assert!((leverage(&first) - start).abs() < 0.06, "{stem}: {}", leverage(&first));
        assert!((leverage(&last) - end).abs() < 0.06, "{stem}: {}", leverage(&last));
        // The drawn eyes are as far apart as the shock is long.
        assert!((linkage.drawn_shock() - bike.eye_to_eye).abs() < 0.3, "{stem}: {}", linkage.drawn_shock());
        let residuals = build.linkage.as_ref().expect("a linkage").adjusted.iter();
        assert!(residuals.filter_map(|it| it.normalised).all(|w| w.abs() < 3.29), "{stem}");
    }
}

#[test]
fn demo_springs_carry_their_riders_at_a_plausible_sag() {
    for (stem, ..) in LINKED {
        let build = built(stem);
        let bike = build.bike.map(|number| number.value);
        let linkage = build.linkage.as_ref().expect("a linkage").linkage.map(|number| number.value);
        let sag = sag(&bike, Some(&linkage)).expect("a position");
        let share = sag.shock / bike.shock_stroke;
        println!("{stem}: {share} {sag:?}");
        assert!(sag.rear_by_spring && (0.25..=0.33).contains(&share), "{stem}: {share} {sag:?}");
        assert!(audit(&build).suspects.is_empty(), "{stem}");
    }
}

/// Circles about the rocker pivot (0.5, 281), 110.5 mm, and the stay pivot (−403.5, 8.5), 401 mm. Their middles are
/// √(404² + 272.5²) = 487.31 mm apart, unit vector (−0.82904, −0.55919). Along it (110.5² − 401² + 487.31²)/(2·487.31) = 91.20;
/// beside it √(110.5² − 91.20²) = 62.40: (0.5 − 0.82904·91.20 − 0.55919·62.40, 281 − 0.55919·91.20 + 0.82904·62.40) =
/// (−110.0, 281.7). The photo had it at (−106, 285).
#[test]
fn a_point_from_two_distances_lies_where_the_circles_meet() {
    let build = built("bulrush-150");
    let upper = named(&build, "upper pivot");
    assert!((upper.x.value + 110.0).abs() < 0.5, "{}", upper.x.value);
    assert!((upper.y.value - 281.7).abs() < 0.5, "{}", upper.y.value);
    // A centimetre in the photo, a millimetre and less now; the tape to the stay pivot moves it.
    let spread = |number: &Uncertain| number.moves.iter().map(|(_, by)| by * by).sum::<f64>().sqrt();
    assert!(spread(&upper.x) < 1.2 && spread(&upper.y) < 1.2, "{} {}", spread(&upper.x), spread(&upper.y));
    let tape = build
        .inputs
        .iter()
        .position(|input| input.label == "distance stay pivot to upper pivot")
        .expect("an input for the distance");
    assert!(upper.y.moves.iter().any(|(input, by)| *input == tape && by.abs() > 0.3), "{:?}", upper.y.moves);
    let labels: Vec<&str> = build.inputs.iter().map(|input| input.label.as_str()).collect();
    assert!(labels.contains(&"main pivot, forward") && labels.contains(&"main pivot, up"), "{labels:?}");
}

/// Without distances and without a shock's length the points are where they were told, and move with themselves alone.
#[test]
fn points_without_distances_are_their_observations() {
    let build = Build::new(&parse("bike", SLIDE).expect("a record").record).expect("a possible bike");
    let linkage = build.linkage.as_ref().expect("a linkage");
    assert!(linkage.adjusted.is_empty());
    assert_eq!(linkage.parts, ["frame", "carriage", "rear triangle", "rocker"]);
    assert_eq!(linkage.joints, ["rail", "carriage pivot", "upper pivot", "rocker pivot"]);
    let rail = named(&build, "rail");
    assert_eq!((rail.x.value, rail.y.value), (-10.0, 60.0));
    let input = |number: &Uncertain| {
        let [(input, by)] = number.moves[..] else { panic!("{:?}", number.moves) };
        (build.inputs[input].label.clone(), by)
    };
    assert_eq!(input(&rail.x), ("rail, forward".to_owned(), 1.0));
    assert_eq!(input(&rail.y), ("rail, up".to_owned(), 1.0));
    let layout = &linkage.linkage.layout;
    assert_eq!(layout.joints[0].kind, JointKind::Slide { direction: 0 });
    assert_eq!((layout.joints[1].bodies, layout.axle, layout.caliper), ([1, 2], 2, None));
    // The axle is that of the chart, whose first derivative is checked by moving the chainstay a little.
    let bike = build.bike.map(|number| number.value);
    let axle = &linkage.linkage.axle;
    let place = RearAxle::at(&bike, None, 0.0).expect("a place").place;
    assert!((axle.x.value - place.x).abs() < 1e-9 && (axle.y.value - place.y).abs() < 1e-9);
    let moved = |by: f64, of: fn(&mut knockon_engine::bike::Bike<f64>) -> &mut f64| {
        let mut bike = bike;
        *of(&mut bike) += by;
        -(bike.chainstay.powi(2) - bike.bottom_bracket_drop.powi(2)).sqrt()
    };
    for (input, by) in &axle.x.moves {
        let on = |number: &Uncertain| {
            number.moves.iter().filter(|(known, _)| known == input).map(|(_, by)| by).sum::<f64>()
        };
        let slope = |of| (moved(1e-4, of) - moved(-1e-4, of)) / 2e-4;
        let expected = on(&build.bike.chainstay) * slope(|bike| &mut bike.chainstay)
            + on(&build.bike.bottom_bracket_drop) * slope(|bike| &mut bike.bottom_bracket_drop);
        assert!((by - expected).abs() < 1e-6 * expected.abs().max(1.0), "{by} {expected}");
    }
}

#[test]
fn a_linkage_that_gets_stuck_is_told_in_its_own_words() {
    let build = built("medlar-140");
    let linkage = build.linkage.as_ref().expect("a linkage");
    let dead = words(&Stuck::DeadPoint { joint: 0, compression: 30.0 }, linkage);
    assert!(dead.contains("\"main pivot\"") && dead.contains("180 mm eye to eye"), "{dead}");
    let open = words(&Stuck::CannotClose { joint: 1, compression: 30.0 }, linkage);
    assert!(open.contains("the shock's eyes") && open.contains("180 mm"), "{open}");
    assert!(words(&Stuck::Loose { body: 1 }, linkage).contains("\"swing arm\""));
    assert!(words(&Stuck::Freedoms { freedoms: 2 }, linkage).contains("2 ways"));
    assert!(words(&Stuck::Freedoms { freedoms: 0 }, linkage).contains("cannot move"));
    assert!(words(&Stuck::Misplaced { joint: Some(0) }, linkage).contains("\"main pivot\""));
}

#[test]
fn distances_that_contradict_each_other_show_it_in_their_residuals() {
    // The chart's axle and the bottom bracket are 434 mm apart, and no point is 20 mm from both.
    let text = SLIDE.to_owned()
        + "\n[[linkage.distance]]\nbetween = [\"rail\", \"axle\"]\nvalue = 300\ntolerance = 0.1\n"
        + "\n[[linkage.distance]]\nbetween = [\"rail\", \"bottom bracket\"]\nvalue = 61\ntolerance = 0.1\n";
    let record = parse("bike", &text).expect("a record").record;
    let build = Build::new(&record).expect("adjusted all the same");
    let worst = build
        .linkage
        .expect("a linkage")
        .adjusted
        .iter()
        .filter_map(|it| it.normalised)
        .fold(0.0, |worst: f64, w| worst.max(w.abs()));
    assert!(worst > 3.29, "{worst}");
}
