//! "What do I have?" asked with a calliper. What is expected are facts of the trade (common practice, no source) and plane
//! geometry.

use knockon_trade::interface::gauge::{Gauged, gauge};
use knockon_trade::interface::taken::{Taken, taken};
use knockon_trade::tables;
use proptest::prelude::*;
use statrs::distribution::{ContinuousCDF, Normal};

fn read(lines: &[&str]) -> Vec<Taken> {
    lines.iter().map(|line| taken(line).unwrap_or_else(|problem| panic!("{line}: {problem}"))).collect()
}

fn ask(lines: &[&str]) -> Gauged {
    gauge(&read(lines))
}

fn names(gauged: &Gauged) -> Vec<&str> {
    gauged.matches.iter().map(|it| it.standard.name.as_str()).collect()
}

#[test]
fn a_hub_is_told_by_its_axle_and_its_width() {
    assert_eq!(names(&ask(&["axle 15", "hub width 110"])), ["15 × 110"]);
    assert_eq!(names(&ask(&["axle 12", "hub width 142"])), ["12 × 142"]);
    // A tape's word on the width leaves neighbours open, and then a calliper has to say.
    let open = ask(&["axle 12", "hub width 149 ± 2"]);
    assert!(open.matches.len() > 1 && names(&open).contains(&"12 × 148"), "{:?}", names(&open));
}

#[test]
fn what_is_wider_apart_than_a_calliper_errs_is_told_apart() {
    for post in [27.2, 30.9, 31.6, 34.9] {
        let found = ask(&[&format!("post {post}")]);
        assert_eq!(names(&found)[0], format!("{post:.1}"));
    }
    // 31.6 and 31.8 lie within what two callipers may disagree: both are told, and which is likelier.
    let close = ask(&["post 31.65"]);
    assert_eq!(names(&close), ["31.6", "31.8"]);
    assert!(close.matches[0].share > close.matches[1].share);
    // A bar of 35 mm is no bar of 31.8.
    assert_eq!(names(&ask(&["bar 35"])), ["35.0"]);
}

#[test]
fn a_shell_needs_both_figures_and_the_second_is_asked_for() {
    let bore = ask(&["shell bore 41"]);
    assert!(bore.matches.len() > 4);
    let next = bore.next.expect("its width tells");
    assert_eq!(next.measure.id, "shell_width");
    assert!(next.finds.iter().any(|(nominal, names)| *nominal == 92.0 && names == &["press fit 41 × 92"]));
    let both = ask(&["shell bore 41", "shell width 92"]);
    assert_eq!(names(&both), ["press fit 41 × 92"]);
    assert!(both.next.is_none());
    // A thread and a press fit of one bore look alike by figures; both are told.
    let alike = ask(&["shell bore 46", "shell width 68"]);
    assert!(["T47 68", "PF30 68"].iter().all(|name| names(&alike).contains(name)), "{:?}", names(&alike));
}

/// Of n bolts on a circle of diameter D neighbours are D·sin(π/n) apart: 4 × 104 gives 73.54 mm, 5 × 130 gives 76.41 mm.
#[test]
fn bolts_on_a_circle_are_told_by_their_chord() {
    assert_eq!(names(&ask(&["bolts 73.5", "number of bolts 4"])), ["4 × 104"]);
    assert_eq!(names(&ask(&["bolts 76.4", "number of bolts 5"])), ["5 × 130"]);
    assert_eq!(names(&ask(&["rotor bolts 22", "number of bolts 6"])), ["six bolts on 44 mm"]);
}

/// 24 half-inches are 304.8 mm (ISO 9633, title only seen); half a per cent more is 306.3 mm.
#[test]
fn a_chain_that_has_grown_is_told_by_how_much() {
    assert_eq!(names(&ask(&["12 links 304.8"]))[0], "as new");
    assert!(names(&ask(&["12 links 306.3"]))[0].starts_with("0.5 %"));
    assert!(names(&ask(&["12 links 307.9"]))[0].starts_with("1 %"));
}

#[test]
fn figures_of_no_standard_are_said_to_be_of_none_with_the_nearest() {
    let none = ask(&["post 29.5"]);
    assert!(none.matches.is_empty() && none.next.is_none());
    assert_eq!(none.nearest[0].standard.name, "30.0");
    // Of two parts nothing has both.
    let two = ask(&["post 27.2", "rotor 160"]);
    assert!(two.matches.is_empty() && two.nearest.is_empty());
}

#[test]
fn a_reading_that_cannot_be_read_says_what_is_wrong_and_how_to_mend_it() {
    for (line, offending, message, help) in [
        ("axel 15", "axel", "nothing that is measured is called `axel`", "did you mean `axle`?"),
        ("axle", "", "how much is the axle diameter?", "axle "),
        ("axle 150", "150", "cannot be 150 mm", "possible is 4 mm to 25 mm"),
        ("axle 15 kg", "kg", "another unit", "mm"),
        ("axle 15 foo", "foo", "unit is not known", "mm"),
        ("27.2", "27.2", "starts with what was measured", "knockon gauge"),
        ("", "", "starts with what was measured", "knockon gauge"),
    ] {
        let problem = taken(line).expect_err(line);
        assert!(problem.message.contains(message), "{line}: {problem}");
        assert!(problem.help.as_deref().unwrap_or_default().contains(help), "{line}: {:?}", problem.help);
        assert!(problem.offending().starts_with(offending), "{line}: {:?}", problem.offending());
    }
    // Inches, and a tolerance of one's own.
    assert!((taken("steerer 1.125 in").unwrap().value - 28.575).abs() < 1e-9);
    assert!((taken("bar 31.8 mm ± 0.5").unwrap().uncertainty - 0.25).abs() < 0.01);
}

/// Every standard read exactly is found, first of all or beside one that the figures do not tell apart; every figure can be read.
#[test]
fn every_row_is_found_by_its_own_figures() {
    for interface in tables::interfaces() {
        for standard in &interface.standards {
            let measures = tables::measures().iter();
            let readings: Vec<Taken> = measures
                .filter_map(|measure| {
                    let nominal = standard.nominal(&measure.id)?;
                    let line = format!("{} {nominal:.3}", measure.say[0]);
                    let reading = taken(&line).unwrap_or_else(|problem| panic!("{line}: {problem}"));
                    assert_eq!(reading.measure.id, measure.id);
                    Some(reading)
                })
                .collect();
            // What goes by its name alone has nothing to be told by.
            if interface.measures().is_empty() || readings.is_empty() {
                continue;
            }
            assert!(!readings.is_empty(), "{} {} can be told by nothing", interface.id, standard.name);
            let found = gauge(&readings);
            let rank = found.matches.iter().position(|it| std::ptr::eq(it.standard, standard));
            assert!(rank.is_some_and(|rank| rank < 4), "{} {}: {rank:?}", interface.id, standard.name);
            let sum: f64 = found.matches.iter().map(|it| it.share).sum();
            assert!((sum - 1.0).abs() < 1e-12);
        }
    }
}

/// No two rows of an interface have the same figures, unless their names say how else they differ; every measure is of some row.
#[test]
fn no_row_stands_twice_and_no_measure_is_an_orphan() {
    for interface in tables::interfaces() {
        for (at, one) in interface.standards.iter().enumerate() {
            assert!(interface.standards[..at].iter().all(|other| other.name != one.name), "{}", one.name);
        }
    }
    for measure in tables::measures() {
        let told = tables::interfaces().iter().flat_map(|row| &row.standards);
        let figures: Vec<f64> = told.filter_map(|row| row.nominal(&measure.id)).collect();
        assert!(!figures.is_empty(), "{} is of no standard", measure.id);
        let [least, most] = measure.usual;
        assert!(figures.iter().all(|figure| (least..=most).contains(figure)), "{}: {figures:?}", measure.id);
        assert!(measure.as_made >= 0.0 && !measure.how.is_empty());
    }
}

/// The share of a standard is Bayes' rule with normal errors, against a general-purpose library's distribution.
#[test]
fn shares_are_those_of_a_statistics_library() {
    let readings = read(&["post 31.68"]);
    let found = gauge(&readings);
    let spread = readings[0].uncertainty.hypot(readings[0].measure.as_made / 2.0);
    let density = |nominal: f64| {
        let normal = Normal::new(nominal, spread).unwrap();
        // By differences of the cumulative function, which is not what the code computes.
        (normal.cdf(31.68 + 1e-4) - normal.cdf(31.68 - 1e-4)) / 2e-4
    };
    let (one, other) = (density(31.6), density(31.8));
    assert_eq!(names(&found), ["31.6", "31.8"]);
    assert!((found.matches[0].share - one / (one + other)).abs() < 1e-5);
}

proptest! {
    /// Whatever is read, shares are of one whole and nothing that is told lies further off than three standard uncertainties.
    #[test]
    fn what_is_told_is_near(value in 20.0..45.0_f64, pm in 0.01..3.0_f64) {
        let readings = read(&[&format!("post {value:.2} ± {pm:.2}")]);
        let found = gauge(&readings);
        let spread = readings[0].uncertainty.hypot(readings[0].measure.as_made / 2.0);
        for it in &found.matches {
            let off = it.off[0].expect("a seat post has a diameter");
            prop_assert!(off.abs() <= 3.0 * spread + 1e-12);
            prop_assert!((0.0..=1.0).contains(&it.share));
        }
        prop_assert!(found.matches.is_empty() || (found.matches.iter().map(|it| it.share).sum::<f64>() - 1.0).abs() < 1e-9);
        prop_assert!(found.matches.is_empty() != found.nearest.is_empty());
    }
}
