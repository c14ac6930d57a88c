//! What is told, and what is not.

use knockon_engine::bike::Bike;
use knockon_engine::suspension::curve::Curve;
use knockon_trade::findings::Suspension;

use super::{Given, ride, sample};
use crate::ride::Ride;
use crate::units::{Language, LengthUnit, Units};

fn told(suspension: &Suspension, units: Units) -> Ride {
    let bike = Bike::unknown();
    let given = Given { suspension, bikes: (&bike, &bike), outline: None, springs: Vec::new(), units };
    ride(&given, |source| {
        assert_eq!(source, "common practice, no source");
        7
    })
    .expect("a ride")
}

/// Figures that are easy by hand: leverage 3, 2.8 and 2.4 at compressions of 0, 20 and 40 mm, sag at 10 mm.
fn by_hand() -> Suspension {
    let mut suspension = sample::bare();
    for travel in [&mut suspension.before, &mut suspension.after] {
        travel.values.truncate(3);
        travel.plus_minus.truncate(3);
        let rows = [(0.0, 0.0, 3.0), (20.0, 58.0, 2.8), (40.0, 110.0, 2.4)];
        for (at, (compression, rise, leverage)) in rows.into_iter().enumerate() {
            travel.values[at] = [f64::NAN; Curve::COUNT];
            travel.values[at][Curve::Compression as usize] = compression;
            travel.values[at][Curve::Travel as usize] = rise;
            travel.values[at][Curve::Leverage as usize] = leverage;
            travel.plus_minus[at] = [0.0; Curve::COUNT];
            travel.plus_minus[at][Curve::Leverage as usize] = 0.03;
        }
        travel.sag = Some(10.0);
    }
    suspension
}

#[test]
fn the_table_reads_off_its_stations() {
    let mut suspension = by_hand();
    suspension.before.values[2][Curve::Leverage as usize] = 2.7;
    let ride = told(&suspension, Units::default());
    let row = |label: &str| ride.rows.iter().find(|row| row.label == label).unwrap();
    let cell = |label: &str, at: usize| {
        let cell = &row(label).cells[at];
        (cell.before.as_str(), cell.after.as_str(), cell.plus_minus.as_str())
    };
    // Halfway between the first two positions: 29 mm of travel, a ratio of 2.9.
    assert_eq!(cell("Vertical travel", 1), ("", "29", ""));
    assert_eq!(cell("Leverage ratio", 0), ("", "3.00", "0.03"));
    assert_eq!(cell("Leverage ratio", 1), ("", "2.90", "0.03"));
    assert_eq!(cell("Leverage ratio", 2), ("2.70", "2.40", "0.03"));
    // 1 − 2.9/3 = 3 %, 1 − 2.4/3 = 20 %, before 1 − 2.7/3 = 10 %; ± at most 0.03·(1 + 2.4/3)/3 = 1.8 %.
    assert_eq!(cell("Progression so far", 0), ("", "", ""));
    assert_eq!(cell("Progression so far", 1).1, "3");
    assert_eq!(cell("Progression so far", 2), ("10", "20", "2"));
    assert!(ride.rows.iter().all(|row| row.label != "Anti-squat"), "nothing is known of it");
}

#[test]
fn inches_are_inches_and_ratios_are_not() {
    let inches = Units { length: LengthUnit::Inch, language: Language::English };
    let ride = told(&by_hand(), inches);
    assert_eq!(ride.travel_unit, "in");
    let row = |label: &str| ride.rows.iter().find(|row| row.label == label).unwrap();
    // 110 / 25.4 = 4.33.
    assert_eq!(
        (row("Vertical travel").cells[2].after.as_str(), row("Vertical travel").unit.as_str()),
        ("4.33", "in")
    );
    assert_eq!(row("Leverage ratio").cells[2].after, "2.40");
    assert!((ride.charts[0].after[2].travel - 110.0 / 25.4).abs() < 1e-9);
}

#[test]
fn what_is_not_known_is_left_out_and_asked_for() {
    let ride = told(&sample::bare(), Units::default());
    assert_eq!(ride.charts.iter().map(|chart| chart.id).collect::<Vec<_>>(), ["leverage"]);
    assert!(ride.linkage.is_none() && ride.path.is_empty());
    let words = ride.untold.join("\n");
    for label in ["anti-squat", "anti-rise", "pedal kickback and chain growth", "force at the wheel"] {
        assert!(words.contains(&format!("Not shown: {label}. Ask for ")), "{words}");
    }
}

#[test]
fn an_unknown_sag_is_no_place_on_a_curve() {
    let mut suspension = by_hand();
    suspension.after.sag = None;
    let ride = told(&suspension, Units::default());
    assert_eq!(ride.charts[0].sag, None);
    let leverage = ride.rows.iter().find(|row| row.label == "Leverage ratio").unwrap();
    assert_eq!(leverage.cells[1].after, "?");
}

#[test]
fn a_linkage_that_is_stuck_says_why() {
    let mut suspension = sample::bare();
    suspension.stuck = Some("the parts do not reach each other".to_owned());
    let ride = told(&suspension, Units::default());
    assert!(ride.untold[0].contains("the parts do not reach each other."), "{:?}", ride.untold);
}

#[test]
fn every_word_about_a_curve_has_its_source() {
    for name in sample::names() {
        let ride = told(&sample::linkage(name, true), Units::default());
        assert!(
            ride.charts.iter().all(|chart| chart.meaning.source == 7 && chart.meaning.text.ends_with('.'))
        );
    }
}

#[test]
fn the_path_says_which_way_the_axle_goes() {
    // The idler bike's axle hangs below its pivot by 155 mm: it goes rearward first.
    let ride = told(&sample::linkage("high pivot with an idler", false), Units::default());
    assert!(ride.path.starts_with("The axle moves rearward by up to "), "{}", ride.path);
}
