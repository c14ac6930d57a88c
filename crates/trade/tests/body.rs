//! Where to begin from a body, against published factors and hand arithmetic.

use knockon_engine::quantity::Quantity;
use knockon_trade::body::{
    Bar, StartingPoint, Way, What, apart, bar_of, beside, cautions, measured, read_measures, starting_points,
    with_record,
};
use knockon_trade::demo;
use knockon_trade::record::{Record, parse};
use proptest::prelude::*;

#[track_caller]
fn close(value: f64, expected: f64, off: f64) {
    assert!((value - expected).abs() <= off, "{value} is not {expected}");
}

fn points(lines: &[&str]) -> Vec<StartingPoint> {
    starting_points(&read_measures(lines).unwrap_or_else(|problems| panic!("{problems:?}")), None)
}

#[track_caller]
fn by(points: &[StartingPoint], way: Way) -> &StartingPoint {
    points.iter().find(|point| point.way == way).unwrap_or_else(|| panic!("no {way:?}"))
}

fn record(text: &str) -> Record {
    parse("bike", text).expect("a record").record
}

/// Factors as quoted by Peveler et al., J. Exerc. Physiol. online 8(1):51–55, 2005: 0.883 · 830 = 732.89; 1.09 · 830 = 904.7, on a
/// crank of 170 mm 734.7. The two are 1.81 mm apart, and 0.207 · 830 = 171.81 mm is the crank on which they agree.
#[test]
fn saddle_height_by_the_inseam() {
    let told = points(&["inseam 830", "crank 170"]);
    let (bracket, pedal) = (by(&told, Way::InseamToBracket), by(&told, Way::InseamToPedal));
    close(bracket.value.value, 732.89, 1e-9);
    close(pedal.value.value, 734.7, 1e-9);
    assert_eq!((bracket.what, pedal.what), (What::SaddleHeight, What::SaddleHeight));
    let (quantity, far) = pedal.target.as_ref().expect("a target");
    assert_eq!(*quantity, Quantity::SaddleToPedal);
    close(far.value, 904.7, 1e-9);
    close(bracket.target.as_ref().expect("a target").1.value, 732.89 + 170.0, 1e-9);
    let apart = apart(&told);
    close(apart[0].by.as_ref().expect("both are saddle heights").value, 1.81, 1e-9);
    close(apart[0].agree_on_crank.as_ref().expect("a crank").value, 171.81, 1e-9);
}

/// By hand: ± 10 on the inseam is ± 8.83 and ± 10.9 on the saddle; of the difference it is ± 2.07, because one inseam is in both. An
/// inseam written to the millimetre adds 1²/12 to the variance of a standard uncertainty of 5: a factor of √(1 + 1/300).
#[test]
fn one_inseam_moves_both_rules() {
    let told = points(&["inseam 830 ± 10", "crank 170 ± 0"]);
    let written = (1.0_f64 + 1.0 / 300.0).sqrt();
    close(by(&told, Way::InseamToBracket).plus_minus(), 8.83 * written, 1e-9);
    // The crank's own last digit: rectangular over 1 mm, ± 2/√12.
    let crank = 2.0 / 12.0_f64.sqrt();
    close(by(&told, Way::InseamToPedal).plus_minus(), (10.9 * written).hypot(crank), 1e-9);
    let apart = apart(&told);
    let twice = |it: &Option<knockon_engine::tolerance::Uncertain>| {
        2.0 * it.as_ref().expect("a difference").standard_uncertainty()
    };
    close(twice(&apart[0].by), (2.07 * written).hypot(crank), 1e-9);
    close(twice(&apart[0].agree_on_crank), 2.07 * written, 1e-9);
}

/// Thigh 420 and lower leg 480, knee bent by 25°, 30° and 35°: √772 220 = 878.76, √755 971 = 869.47, √737 101 = 858.55 by a
/// four-figure table of cosines, whose last digit is worth 0.012 mm here.
#[test]
fn saddle_height_by_the_knee_is_a_range() {
    let legs = ["thigh 420", "lower leg 480"];
    let told = points(&legs);
    let open = by(&told, Way::KneeAngle);
    assert_eq!(open.what, What::PedalToSaddle);
    close(open.value.value, 869.47, 0.02);
    let [least, most] = open.range.expect("a range");
    close(least, 858.55, 0.02);
    close(most, 878.76, 0.02);
    let told = points(&[legs[0], legs[1], "crank 17 cm"]);
    let on_crank = by(&told, Way::KneeAngle);
    assert_eq!(on_crank.what, What::SaddleHeight);
    close(on_crank.value.value, 699.47, 0.02);
    close(on_crank.target.as_ref().expect("a target").1.value, 869.47, 0.02);
}

/// 20 % of 830 = 166, 41 % of 400 = 164 (Martin & Spirduso, Eur. J. Appl. Physiol. 84:413–418, 2001: from memory, unverified); bars by
/// common practice and from memory: 400, and 600 to 800.
#[test]
fn cranks_and_bars() {
    let told = points(&["inseam 830", "tibia 400", "shoulder width 400"]);
    close(by(&told, Way::LegToCrank).value.value, 166.0, 1e-9);
    close(by(&told, Way::TibiaToCrank).value.value, 164.0, 1e-9);
    let drop = by(&told, Way::ShouldersToDropBar);
    assert_eq!((drop.value.value, drop.range), (400.0, None));
    assert_eq!(
        drop.target.as_ref().map(|(quantity, value)| (*quantity, value.value)),
        Some((Quantity::GripWidth, 400.0))
    );
    let flat = by(&told, Way::ShouldersToFlatBar);
    assert_eq!((flat.value.value, flat.range), (700.0, Some([600.0, 800.0])));
    assert!(flat.target.is_none());
    let kinds = |bar| {
        let all = starting_points(&read_measures(&["shoulders 400"]).expect("a measure"), Some(bar));
        all.iter().map(|point| point.what).collect::<Vec<_>>()
    };
    assert_eq!((kinds(Bar::Drop), kinds(Bar::Flat)), (vec![What::DropBar], vec![What::FlatBar]));
}

#[test]
fn a_measure_says_its_unit_and_its_tolerance() {
    // 32.7 in = 830.58 mm, ± 0.2 in = 5.08 mm; the last digit, 2.54 mm wide, adds its twelfth.
    let inches = measured("Inside leg 32.7 in ± 0.2").expect("a measure");
    close(inches.value, 830.58, 1e-9);
    close(inches.uncertainty, 2.54_f64.hypot(2.54 / 12.0_f64.sqrt()), 1e-9);
    close(
        measured("inseam 83 cm +- 5 mm").expect("a measure").uncertainty,
        2.5_f64.hypot(10.0 / 12.0_f64.sqrt()),
        1e-9,
    );
    // A tape of ± 2 mm on a body that repeats to ± 10 mm.
    close(measured("inseam: 830").expect("a measure").uncertainty, (26.0_f64 + 1.0 / 12.0).sqrt(), 1e-9);
    // What is marked on a crank is only rounded.
    close(measured("crank 172.5").expect("a measure").uncertainty, 0.1 / 12.0_f64.sqrt(), 1e-9);
}

#[test]
fn what_is_no_measure_is_refused_where_it_stands() {
    for (line, at, says) in [
        ("insaem 830", "insaem", "did you mean `inseam`?"),
        ("knobs 3", "knobs", "`knockon body` lists"),
        ("inseam", "", "say for example `inseam 830`"),
        ("inseam 83", "83", "possible is 400 mm to 1100 mm"),
        ("inseam -830", "-830", "possible is"),
        ("inseam 830 kg", "kg", "lengths are in"),
        ("inseam 830 furlong", "furlong", "lengths are in"),
        ("inseam 830 ± -3", "-3", "it is the ± about the value"),
        ("inseam 83 cm ± no", "no", "say for example"),
        ("830", "830", "lists what can be measured"),
    ] {
        let problem = measured(line).expect_err(line);
        assert_eq!(problem.offending().trim(), at, "{line}: {problem}");
        let help = problem.help.as_deref().unwrap_or_default();
        assert!(help.contains(says), "{line}: {help}");
    }
    let twice = read_measures(&["inseam 830", "inside leg 840"]).expect_err("told twice");
    assert!(twice[0].message.contains("told before"), "{}", twice[0]);
}

#[test]
fn a_record_tells_the_crank_and_what_it_has() {
    let bike = record(
        "[crank]\nlength = 172.5\n[saddle]\nheight = { value = 735, tolerance = 2 }\n[bar]\nwidth = 780\n[rider]\nthigh = 420\nlower_leg = 480",
    );
    let all = with_record(
        read_measures(&["inseam 830 ± 0", "thigh 430", "shoulders 400"]).expect("measures"),
        &bike,
    );
    let told: Vec<(&str, f64, bool)> =
        all.iter().map(|it| (it.measure.id.as_str(), it.value, it.recorded)).collect();
    assert_eq!(
        told[1..],
        [
            ("thigh", 430.0, false),
            ("shoulder_width", 400.0, false),
            ("lower_leg", 480.0, true),
            ("crank", 172.5, true)
        ]
    );
    let points = starting_points(&all, Some(bar_of(&bike)));
    // 1.09 · 830 − 172.5 = 732.2; the record has 735.
    let saddle = beside(by(&points, Way::InseamToPedal), &bike).expect("a saddle height");
    close(saddle.more, 2.8, 1e-9);
    close(saddle.pm, 2.0, 1e-9);
    assert!(saddle.more_pm > saddle.pm);
    close(beside(by(&points, Way::LegToCrank), &bike).expect("a crank").more, 6.5, 1e-9);
    close(beside(by(&points, Way::ShouldersToFlatBar), &bike).expect("a bar").more, 80.0, 1e-9);
    assert!(points.iter().all(|point| point.what != What::DropBar));
}

/// The demo's drop bar: 530 mm across its flared ends, hoods 45 mm further in on either side: 440 mm.
#[test]
fn a_drop_bar_is_held_against_the_hoods() {
    let text = demo::bikes().iter().find(|(name, _)| *name == "yarrow").expect("a bike").1;
    let bike = record(text);
    assert_eq!(bar_of(&bike), Bar::Drop);
    let points = points(&["shoulders 420"]);
    let drop = beside(by(&points, Way::ShouldersToDropBar), &bike).expect("a width");
    close(drop.value, 440.0, 1e-9);
    close(drop.more, 20.0, 1e-9);
    assert!(beside(by(&points, Way::ShouldersToFlatBar), &bike).is_none());
}

#[test]
fn cautions_go_before_whatever_is_told() {
    let ids = |lines: &[&str]| -> Vec<String> {
        cautions(&points(lines)).iter().map(|caution| caution.id.clone()).collect()
    };
    assert_eq!(ids(&["inseam 830"])[..2], ["body_pain", "body_start"]);
    assert!(ids(&["thigh 420", "lower leg 480"]).contains(&"seat_post".to_owned()));
    assert!(ids(&["tibia 400"]).contains(&"toe".to_owned()));
    assert!(ids(&["shoulders 400"]).contains(&"steering".to_owned()));
}

proptest! {
    /// Whatever is typed is read or refused, and a problem's place lies in the line.
    #[test]
    fn any_text_is_read_or_refused(line in "(inseam|thigh|crank|[a-zé ]{0,8})[ =:]{0,2}[0-9±+., −a-zµ/-]{0,14}") {
        match measured(&line) {
            Ok(it) => prop_assert!(it.value > 0.0 && it.uncertainty.is_finite()),
            Err(problem) => prop_assert!(problem.place.end <= line.len() && problem.place.start <= problem.place.end),
        }
    }

    /// Every rule is proportional to the measures that it takes, crank included: a rider twice as tall gets twice the lengths.
    #[test]
    fn a_taller_rider_gets_proportionally_more(scale in 0.6_f64..1.2) {
        let ids = ["inseam", "thigh", "lower leg", "tibia", "shoulders", "crank"];
        let sizes = [800.0, 430.0, 490.0, 390.0, 390.0, 165.0];
        let of = |factor: f64| {
            let lines: Vec<String> = ids.iter().zip(sizes).map(|(id, size)| format!("{id} {}", size * factor)).collect();
            starting_points(&read_measures(&lines).expect("measures"), None)
        };
        for (a, b) in of(1.0).iter().zip(of(scale)) {
            prop_assert!((b.value.value - scale * a.value.value).abs() < 1e-6);
        }
    }
}
