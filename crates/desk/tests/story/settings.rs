use knockon_desk::{Language, LengthUnit, Settings};

use crate::{Workshop, at, refused};

#[test]
fn settings_are_the_usual_ones_until_somebody_saves_others() {
    let workshop = Workshop::new();
    assert_eq!(workshop.settings().unwrap(), Settings::default());
    let own = Settings {
        workshop: "Weir & Sons".into(),
        drawn_by: "Hedda".into(),
        length: LengthUnit::Inch,
        label_language: Language::Italian,
        tolerances: [("tape".to_owned(), 1.5), ("calliper".to_owned(), 0.1)].into(),
    };
    let tools: Vec<String> = knockon_trade::fact::tool_settings().into_iter().map(|tool| tool.name).collect();
    assert!(own.tolerances.keys().all(|name| tools.contains(name)), "{tools:?}");
    workshop.save_settings(&own, &at(0)).unwrap();
    assert_eq!(workshop.settings().unwrap(), own);
    // A tool that is left out is usual again.
    let fewer = Settings { tolerances: [("tape".to_owned(), 0.0)].into(), ..own };
    workshop.save_settings(&fewer, &at(1)).unwrap();
    assert_eq!(workshop.settings().unwrap(), fewer);
}

#[test]
fn what_is_no_setting_is_refused_and_changes_nothing() {
    let workshop = Workshop::new();
    let with =
        |tool: &str, pm: f64| Settings { tolerances: [(tool.to_owned(), pm)].into(), ..Settings::default() };
    refused(workshop.save_settings(&with("tapes", 1.0), &at(0)), "no tool is called");
    for pm in [-1.0, f64::NAN, f64::INFINITY, 1e6] {
        refused(workshop.save_settings(&with("tape", pm), &at(0)), "no tolerance");
    }
    let long = Settings { workshop: "W".repeat(201), ..Settings::default() };
    refused(workshop.save_settings(&long, &at(0)), "characters");
    assert_eq!(workshop.settings().unwrap(), Settings::default());
}
