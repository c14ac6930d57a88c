//! Editing a record's text: what is set comes back, and nothing else changes.

use std::collections::BTreeMap;

use knockon_trade::demo;
use knockon_trade::fact::Known;
use knockon_trade::record::edit::{Entry, Field, Input, entries, form, key_of, set};
use knockon_trade::record::parse;
use proptest::prelude::*;

/// A text with everything that a person may write into one.
const TEXT: &str = "# Written by hand.\n\
                    name = 'Larch 150' # pet name\n\
                    stem = { length = 50, angle = 6 }\n\
                    bar.width = 780\n\
                    \n\
                    # What the maker says.\n\
                    [chart]\n\
                    # The important one.\n\
                    stack   = 616 # to the race\n\
                    wheelbase = { value = 1_222, known = \"measured\", with = \"tape\" }\n\
                    [wheel.rear]\n\
                    tyre = \"61-622\"\n\
                    [wheel.rear.clearance]\n\
                    # Read off a tape.\n\
                    value = 9.5\n\
                    with = \"tape\"\n\
                    # The end.\n";

fn fields() -> Vec<Field> {
    form().into_iter().flat_map(|group| group.fields).collect()
}

fn record(text: &str) -> knockon_trade::record::Record {
    parse("record", text).unwrap_or_else(|problems| panic!("{text}\n{problems:?}")).record
}

fn measured(value: &str, with: &str, tolerance: Option<&str>) -> Entry {
    Entry {
        value: value.to_owned(),
        known: Some(Known::Measured),
        with: Some(with.to_owned()),
        tolerance: tolerance.map(str::to_owned),
    }
}

/// Lines of the one text that are not in the other, each way, compared as a list.
fn changed_lines(old: &str, new: &str) -> (Vec<String>, Vec<String>) {
    let count = |text: &str| {
        let mut lines: BTreeMap<String, i32> = BTreeMap::new();
        text.split_inclusive('\n').for_each(|line| *lines.entry(line.to_owned()).or_default() += 1);
        lines
    };
    let (a, b) = (count(old), count(new));
    let more = |a: &BTreeMap<String, i32>, b: &BTreeMap<String, i32>| {
        a.iter()
            .filter(|(line, n)| b.get(*line).copied().unwrap_or(0) < **n)
            .map(|(l, _)| l.clone())
            .collect()
    };
    (more(&a, &b), more(&b, &a))
}

#[test]
fn one_line_changes_and_keeps_its_comment() {
    let new = set(TEXT, "chart.stack", Some(&Entry::new("620"))).unwrap();
    let (gone, come) = changed_lines(TEXT, &new);
    assert_eq!(gone, ["stack   = 616 # to the race\n"]);
    assert_eq!(come, ["stack   = 620 # to the race\n"]);
    let new = set(TEXT, "chart.stack", Some(&measured("62.0 cm", "tape", Some("3")))).unwrap();
    let (_, come) = changed_lines(TEXT, &new);
    assert_eq!(
        come,
        [
            "stack   = { value = \"62.0 cm\", known = \"measured\", with = \"tape\", tolerance = 3 } # to the race\n"
        ]
    );
    assert_eq!(record(&new).fact("chart.stack").unwrap().value, 620.0);
}

#[test]
fn a_key_is_taken_out_with_its_line_and_the_comment_above_stays() {
    let new = set(TEXT, "chart.stack", None).unwrap();
    assert_eq!(changed_lines(TEXT, &new), (vec!["stack   = 616 # to the race\n".to_owned()], vec![]));
    // A blank field of a form is one that says nothing.
    assert_eq!(set(TEXT, "chart.stack", Some(&Entry::new("  "))).unwrap(), new);
    let new = set(TEXT, "name", None).unwrap();
    assert_eq!(changed_lines(TEXT, &new).0, ["name = 'Larch 150' # pet name\n"]);
}

#[test]
fn values_in_braces_in_dotted_keys_and_below_their_own_heading_are_edited_too() {
    let new = set(TEXT, "stem.length", Some(&Entry::new("40"))).unwrap();
    assert_eq!(changed_lines(TEXT, &new).1, ["stem = { length = 40, angle = 6 }\n"]);
    let new = set(TEXT, "bar.width", Some(&Entry::new("800"))).unwrap();
    assert_eq!(changed_lines(TEXT, &new).1, ["bar.width = 800\n"]);
    let new = set(TEXT, "wheel.rear.clearance", Some(&measured("9", "calliper", None))).unwrap();
    let (gone, come) = changed_lines(TEXT, &new);
    assert_eq!(gone, ["value = 9.5\n", "with = \"tape\"\n"]);
    assert_eq!(come, ["known = \"measured\"\n", "value = 9\n", "with = \"calliper\"\n"]);
    assert_eq!(record(&new).fact("wheel.rear.clearance").unwrap().value, 9.0);
    let new = set(TEXT, "stem.angle", None).unwrap();
    assert_eq!(record(&new).fact("stem.angle"), None);
    assert_eq!(record(&new).fact("stem.length").unwrap().value, 50.0);
}

#[test]
fn new_keys_find_their_heading_or_make_one() {
    let text = "[stem]\nlength = 50\n\n# The wheels.\n[wheel.front]\ntyre = \"61-622\"\n";
    let new = set(text, "stem.angle", Some(&Entry::new("-6"))).unwrap();
    assert_eq!(new, text.replace("length = 50\n", "length = 50\nangle = -6\n"));
    let new = set(text, "wheel.rear.tyre", Some(&Entry::new("61-622"))).unwrap();
    assert_eq!(new, format!("{text}\n[wheel.rear]\ntyre = \"61-622\"\n"));
    let new = set(text, "name", Some(&Entry::new("Larch \"150\""))).unwrap();
    assert_eq!(record(&new).name.as_deref(), Some("Larch \"150\""));
    assert!(new.ends_with(text));
    assert_eq!(set("", "crank.length", Some(&Entry::new("170"))).unwrap(), "[crank]\nlength = 170\n");
}

#[test]
fn ranges_choices_and_sizes_are_typed_as_people_type_them() {
    for typed in ["541 to 566", "541-566", "541 – 566", "[541, 566]", "541; 566"] {
        let new = set("", "fork.axle_to_crown_allowed", Some(&Entry::new(typed))).unwrap();
        assert_eq!(new, "[fork]\naxle_to_crown_allowed = [541, 566]\n", "{typed}");
        assert_eq!(entries(&new).unwrap()["fork.axle_to_crown_allowed"].value, "541 to 566");
    }
    assert_eq!(record(&set("", "size", Some(&Entry::new("54"))).unwrap()).size.as_deref(), Some("54"));
    let wrong = |key: &str, typed: &str| set("", key, Some(&Entry::new(typed))).unwrap_err();
    assert_eq!(wrong("kind", "hard tail").help.unwrap().split('?').next(), Some("did you mean \"hardtail\""));
    assert!(wrong("wheel.front.tyre", "622-61").message.contains("61-622"));
    assert!(wrong("fork.axle_to_crown_allowed", "541").message.contains("least and the most"));
    assert!(wrong("stem.lenght", "50").help.unwrap().contains("stem.length"));
    assert_eq!(wrong("stem.length", "fifty").offending(), "fifty");
}

#[test]
fn what_is_no_number_takes_no_tolerance_and_a_guess_needs_one() {
    let entry = Entry { tolerance: Some("1".to_owned()), ..Entry::new("M") };
    assert!(set("", "size", Some(&entry)).is_err());
    let entry = Entry { known: Some(Known::Assumed), ..Entry::new("50") };
    assert!(set("", "stem.length", Some(&entry)).unwrap_err().message.contains("needs its tolerance"));
}

#[test]
fn what_contradicts_the_rest_is_told_of_its_field() {
    let text = "[shock]\neye_to_eye = 210\nstroke = 55\n";
    let new = set(text, "shock.stroke", Some(&Entry::new("115"))).unwrap();
    let problems = parse("record", &new).unwrap_err();
    assert_eq!(key_of(&new, &problems[0]), Some("shock.stroke"));
}

#[test]
fn line_ends_of_another_system_stay() {
    let text = TEXT.replace('\n', "\r\n");
    for (key, typed) in [("chart.stack", "620"), ("chart.reach", "455"), ("stem.length", "40")] {
        let new = set(&text, key, Some(&Entry::new(typed))).unwrap();
        assert_eq!(new.matches('\n').count(), new.matches("\r\n").count(), "{key}");
        assert!(changed_lines(&text, &new).0.len() <= 1, "{key}");
    }
}

#[test]
fn setting_what_stands_there_changes_no_byte_of_any_demo_bike() {
    for (stem, text) in demo::bikes() {
        let held = entries(text).unwrap();
        assert!(held.len() > 10, "{stem}");
        for (key, entry) in &held {
            assert_eq!(&set(text, key, Some(entry)).unwrap(), text, "{stem} {key}");
        }
        for field in fields().iter().filter(|field| !held.contains_key(field.key)) {
            assert_eq!(&set(text, field.key, None).unwrap(), text, "{stem} {}", field.key);
        }
    }
}

#[test]
fn every_key_of_every_demo_bike_can_be_taken_out_and_put_back() {
    for (stem, text) in demo::bikes() {
        let before = record(text);
        for (key, entry) in entries(text).unwrap() {
            let without = set(text, key, None).unwrap();
            assert!(!entries(&without).unwrap().contains_key(key), "{stem} {key}");
            let again = set(&without, key, Some(&entry)).unwrap();
            assert_eq!(record(&again), before, "{stem} {key}");
        }
    }
}

#[test]
fn every_field_takes_its_own_example() {
    for field in fields() {
        let text = set("", field.key, Some(&Entry::new(field.example))).unwrap();
        assert_eq!(entries(&text).unwrap()[field.key].value, field.example, "{}", field.key);
    }
}

proptest! {
    /// Whatever number is set in whatever field of whatever bike: it comes back, the text stays a record as far as that
    /// field goes, and every line but those of that field stays.
    #[test]
    fn what_is_set_comes_back_and_no_other_line_changes(
        bike in 0..demo::bikes().len(),
        pick in any::<prop::sample::Index>(),
        share in 0.0..1.0_f64,
        with in prop::option::of("[a-z][a-z ]{0,8}[a-z]"),
        tolerance in prop::option::of(1..30_u32),
        hand_written in any::<bool>(),
    ) {
        let text = if hand_written { TEXT } else { demo::bikes()[bike].1 };
        let numbers: Vec<Field> = fields().into_iter().filter(|field| field.input == Input::Number).collect();
        let field = pick.get(&numbers);
        let [least, most] = field.usual.unwrap();
        let entry = Entry {
            value: format!("{:.1}", least + share * (most - least)),
            known: None,
            with,
            tolerance: tolerance.map(|tenths| format!("{:.1}", f64::from(tenths) / 10.0)),
        };
        let new = set(text, field.key, Some(&entry)).unwrap();
        let back = entries(&new).unwrap().remove(field.key).unwrap();
        prop_assert_eq!(&back, &Entry { known: Some(entry.known()), ..entry });
        let mut others = entries(text).unwrap();
        others.remove(field.key);
        let mut left = entries(&new).unwrap();
        left.remove(field.key);
        prop_assert_eq!(others, left);
        let (gone, _) = changed_lines(text, &new);
        let of_field = |line: &String| {
            let part = field.key.split('.').next().unwrap_or_default();
            let name = field.key.rsplit('.').next().unwrap_or_default();
            // Or it stands within the braces of its part.
            line.contains(name) || line.starts_with(&format!("{part} = {{")) || ["value", "known", "with", "tolerance"].iter().any(|part| line.starts_with(part))
        };
        prop_assert!(gone.iter().all(of_field), "{:?}", gone);
        let own_heading = hand_written && field.key == "wheel.rear.clearance";
        prop_assert!(gone.len() <= if own_heading { 2 } else { 1 }, "{:?}", gone);
        let without = set(&new, field.key, None).unwrap();
        prop_assert!(!entries(&without).unwrap().contains_key(field.key));
    }
}
