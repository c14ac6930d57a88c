//! A workshop's own tolerances of its tools.

use std::collections::BTreeMap;

use knockon_trade::fact::tool_settings;
use knockon_trade::record::{Record, parse};

const TEXT: &str = "[chart]\n\
    stack = 616\n\
    head_angle = { value = 64.5, with = \"photo\" }\n\
    wheelbase = { value = 1222, with = \"tape\", tolerance = 3 }\n\
    [saddle]\n\
    height = { value = 735, with = \"tape\" }\n\
    setback = { value = 60, known = \"measured\" }\n\
    [bar]\n\
    width = { value = 780, with = \"my grandfather's rule\" }\n\
    rise = { value = 25, with = \"phone level\" }\n";

fn with(own: &[(&str, f64)]) -> Record {
    let own: BTreeMap<String, f64> = own.iter().map(|(name, pm)| ((*name).to_owned(), *pm)).collect();
    parse("bike", TEXT).expect("a record").record.with_tolerances(&own)
}

fn pm(record: &Record, key: &str) -> f64 {
    2.0 * record.fact(key).expect("a fact").uncertainty
}

#[test]
fn they_replace_the_tables_where_none_is_written() {
    let own = with(&[("tape", 1.0), ("unnamed length", 5.0)]);
    assert_eq!(pm(&own, "saddle.height"), 1.0);
    // Without a tool, with one that nobody knows, and with one that measures no lengths.
    for key in ["saddle.setback", "bar.width", "bar.rise"] {
        assert_eq!(pm(&own, key), 5.0, "{key}");
    }
    // What was written stays, and so does what is published.
    let before = with(&[]);
    for key in ["chart.wheelbase", "chart.stack", "chart.head_angle"] {
        assert_eq!(own.fact(key), before.fact(key), "{key}");
    }
}

#[test]
fn angles_are_in_degrees_and_lengths_apart_from_them() {
    let own = with(&[("photo angle", 3.0), ("photo length", 30.0)]);
    assert!((pm(&own, "chart.head_angle").to_degrees() - 3.0).abs() < 1e-12);
    assert_eq!(with(&[("photo", 3.0)]), with(&[]));
}

#[test]
fn what_is_no_tolerance_is_passed_over() {
    assert_eq!(with(&[("tape", -1.0)]), with(&[]));
    assert_eq!(with(&[("tape", f64::NAN)]), with(&[]));
}

#[test]
fn every_setting_has_a_name_of_its_own_a_value_and_a_source() {
    let settings = tool_settings();
    let mut names: Vec<&str> = settings.iter().map(|setting| setting.name.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), settings.len());
    assert!(settings.iter().all(|setting| setting.value > 0.0 && setting.source.len() > 6));
    // The table's own values change nothing.
    let table: Vec<(&str, f64)> =
        settings.iter().map(|setting| (setting.name.as_str(), setting.value)).collect();
    assert_eq!(with(&table), with(&[]));
}
