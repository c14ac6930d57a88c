//! A chart with rows missing and figures mistyped is still answered, with what is wrong named as far as it can be: a slip of the
//! pen must never stop a technician. Nothing here has an expected value; the property is that there is an answer.

mod larch;

use knockon_trade::build::Build;
use knockon_trade::record::{Record, parse};
use proptest::prelude::*;

/// The example record with a chart that agrees with itself and has rows to spare.
fn full() -> Record {
    let text = larch::LARCH
        .replace(
            "stack = 628",
            "stack = 616\nfront_centre = 783\neffective_top_tube = 597\nbottom_bracket_height = 344\ntrail = 128",
        )
        .replace(
            "wheelbase = { value = 1222, known = \"measured\", with = \"tape\", tolerance = 3 }",
            "wheelbase = 1223",
        );
    parse("larch", &text).expect("the example parses").record
}

const ROWS: [&str; 14] = [
    "chart.stack",
    "chart.reach",
    "chart.head_angle",
    "chart.seat_angle",
    "chart.head_tube",
    "chart.chainstay",
    "chart.bottom_bracket_drop",
    "chart.wheelbase",
    "chart.front_centre",
    "chart.effective_top_tube",
    "chart.bottom_bracket_height",
    "chart.trail",
    "fork.axle_to_crown",
    "fork.offset",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn rows_left_out_and_figures_mistyped_are_answered(
        left_out in prop::collection::vec(prop::bool::weighted(0.3), ROWS.len()),
        slips in prop::collection::vec((0..ROWS.len(), -150.0..150.0_f64), 0..3),
        certain in prop::bool::weighted(0.3),
    ) {
        let mut record = full();
        for (key, out) in ROWS.iter().zip(&left_out) {
            if *out {
                record.facts.remove(key);
            }
        }
        for (row, by) in &slips {
            // An angle slips by hundredths of a radian, not by hundreds.
            let by = if ROWS[*row].ends_with("angle") { by / 1500.0 } else { *by };
            if let Some(fact) = record.facts.get_mut(ROWS[*row]) {
                fact.value += by;
            }
        }
        if certain {
            for fact in record.facts.values_mut() {
                fact.uncertainty = 0.0;
            }
        }
        let build = Build::new(&record);
        prop_assert!(build.is_ok(), "{:?}", build.err());
        let build = build.expect("just checked");
        prop_assert!(build.solved.values.iter().all(|value| value.is_finite()));
    }
}
