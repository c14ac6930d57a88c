//! Tyre sizes by ISO 5775: what a marking means, and which markings are none.
//!
//! Source: the rule "rim diameter + 2 × section height, the height being the width and 2.5 mm more below 28 mm" and the
//! marking 32-597 as public summaries of ISO 5775-1 give them (older edition); the diameters are worked out from it.

use knockon_engine::bike::Parameter;
use knockon_trade::build::Build;
use knockon_trade::record::parse;
use knockon_trade::tyre::Tyre;

fn built(tyre: &str) -> Build {
    let text =
        format!("kind = \"rigid\"\n[wheel.front]\ntyre = \"{tyre}\"\n[wheel.rear]\ntyre = \"{tyre}\"\n");
    Build::new(&parse(tyre, &text).expect("a record").record).expect("a possible bike")
}

#[test]
fn the_diameter_over_the_tyre_follows_from_its_marking() {
    for (tyre, diameter) in [("25-622", 677.0), ("37-622", 696.0), ("50-584", 684.0)] {
        let build = built(tyre);
        for parameter in [Parameter::FrontRadius, Parameter::RearRadius] {
            let radius = build.bike.get(parameter);
            // The wide priors on the rest of the chart pull by some thousandths.
            assert!((2.0 * radius.value - diameter).abs() < 0.1, "{tyre}: {}", 2.0 * radius.value);
            let pm = 2.0 * radius.moves.iter().map(|(_, by)| by * by).sum::<f64>().sqrt();
            assert!((1.0..6.0).contains(&pm), "{tyre}: ±{pm}");
        }
    }
}

#[test]
fn the_first_number_is_the_width_and_the_second_the_bead_seat() {
    let tyre = Tyre::read("32-597").expect("a size");
    assert_eq!((tyre.width, tyre.bead_seat, tyre.bead_seat_radius()), (32.0, 597, 298.5));
    assert_eq!(tyre.to_string(), "32-597");
    let build = built("32-597");
    assert_eq!(build.bike.front_tyre_width.value, 32.0);
    assert!((build.bike.front_radius.value - 330.5).abs() < 0.1);
    for spelling in [" 32-597 ", "32 - 597", "32–597", "32−597"] {
        assert_eq!(Tyre::read(spelling).as_ref(), Ok(&tyre), "{spelling}");
    }
}

#[test]
fn swapped_and_unknown_sizes_are_refused_with_what_would_be_right() {
    for (size, says) in [
        ("597-32", "the width comes first: 32-597"),
        ("622-61", "the width comes first: 61-622"),
        ("61-623", "the nearest is 622"),
        ("61-600", "the nearest is 597"),
        ("61-622.5", "the nearest is 622"),
        ("5-622", "no bicycle tyre is 5 mm wide"),
        ("400-622", "no bicycle tyre is 400 mm wide"),
        ("-61-622", "such as 61-622"),
        ("29 x 2.4", "such as 61-622"),
        ("61", "such as 61-622"),
        ("NaN-622", "such as 61-622"),
        ("61-inf", "such as 61-622"),
        ("", "such as 61-622"),
    ] {
        let why = Tyre::read(size).expect_err(size);
        assert!(why.contains(says), "{size}: {why}");
        let text = format!("[wheel.rear]\ntyre = \"{size}\"\n");
        let errors = parse("bike", &text).expect_err(size);
        assert_eq!((errors.len(), errors[0].line_column()), (1, (2, 8)), "{size}: {errors:?}");
    }
}
