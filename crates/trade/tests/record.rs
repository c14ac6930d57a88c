//! The bike record: a complete one is read, and every class of fault is told where it stands and how to mend it.

mod larch;

use knockon_engine::chart::CRITICAL;
use knockon_engine::requirement::Outcome;
use knockon_trade::audit::audit;
use knockon_trade::build::Build;
use knockon_trade::fact::Known;
use knockon_trade::findings::answer;
use knockon_trade::problem::Problem;
use knockon_trade::question::{Question, read_changes};
use knockon_trade::record::{ForkMeasured, Kind, parse};
use knockon_trade::tables;

use larch::LARCH;

#[test]
fn the_complete_record_is_read() {
    let parsed = parse("larch.toml", LARCH).expect("a record");
    assert!(parsed.warnings.is_empty(), "{:?}", parsed.warnings);
    let record = parsed.record;
    assert_eq!(record.title(), "Larch 150, size M");
    assert_eq!(record.kind, Some(Kind::FullSuspension));
    assert_eq!(record.axle_to_crown_measured, Some(ForkMeasured::AlongAxis));
    assert_eq!(record.axle_to_crown_allowed, Some([541.0, 566.0]));
    assert_eq!(record.front_tyre.as_ref().map(ToString::to_string).as_deref(), Some("61-622"));
    assert!(!record.is_small());
    // One fact for each line that holds a number.
    let lines =
        LARCH.lines().filter(|line| line.contains('=') && !line.contains('"') && !line.contains('[')).count();
    assert_eq!(record.facts.len(), lines + 1, "and the wheelbase");

    let wheelbase = record.fact("chart.wheelbase").expect("a wheelbase");
    assert_eq!((wheelbase.value, wheelbase.uncertainty, wheelbase.known), (1222.0, 1.5, Known::Measured));
    assert_eq!(wheelbase.with.as_deref(), Some("tape"));
    // A published figure is good to its last written digit: rectangular, step/(2√3), JCGM 100:2008 4.3.7 (attribution
    // from memory).
    let angle = record.fact("chart.head_angle").expect("a head angle");
    assert!((angle.value - 64.5_f64.to_radians()).abs() < 1e-15);
    assert!((angle.uncertainty - 0.1_f64.to_radians() / 12_f64.sqrt()).abs() < 1e-15);
    assert_eq!(angle.known, Known::Published);
    let stack = record.fact("chart.stack").expect("a stack");
    assert!((stack.uncertainty - 1.0 / 12_f64.sqrt()).abs() < 1e-15);
}

/// By hand: level on its own wheels the frame's stack is drop + (head tube + lower headset + axle to crown)·sin HA −
/// offset·cos HA = 28 + 672·sin 64.5° − 44·cos 64.5° = 615.6; the record says 628.
#[test]
fn its_chart_contradicts_itself_and_the_audit_says_so() {
    let record = parse("larch.toml", LARCH).expect("a record").record;
    let audit = audit(&Build::new(&record).expect("a possible bike"));
    let first = audit.suspects.first().expect("a suspect");
    assert!(first.normalised.abs() > CRITICAL, "{first:?}");
    let named = |label: &str| first.label == label || first.alike.iter().any(|other| other == label);
    assert!(named("Stack"), "{first:?}");
    let (sin, cos) = 64.5_f64.to_radians().sin_cos();
    let missing = 628.0 - (28.0 + 672.0 * sin - 44.0 * cos);
    assert!((missing - 12.4).abs() < 0.05, "{missing}");
    // Whichever of the rows is named, setting it right takes the 12.4 mm up alone.
    let by = match first.label.as_str() {
        "Stack" => missing,
        "Axle to crown" | "Head tube" | "Lower headset height" => -missing / sin,
        "Bottom-bracket drop" => -missing,
        "Fork offset" => missing / cos,
        other => panic!("{other} is not in the level condition, or not as a length"),
    };
    let (expected, pm) = first.expected;
    assert!((first.given - by - expected).abs() < pm, "{first:?}: {by}");
    // The solution spreads it over all of them, and is widened for it.
    assert!(audit.worst_length > 1.0 && audit.worst_length < 12.4, "{}", audit.worst_length);
    assert!(audit.widened > 3.0, "{}", audit.widened);
    let mended = LARCH.replace("stack = 628", "stack = 616");
    let audit = knockon_trade::audit::audit(
        &Build::new(&parse("larch.toml", &mended).expect("a record").record).expect("a possible bike"),
    );
    assert!(audit.suspects.is_empty(), "{:?}", audit.suspects);
    assert_eq!(audit.widened, 1.0);
}

#[test]
fn a_question_about_it_is_answered_all_the_same() {
    let record = parse("larch.toml", LARCH).expect("a record").record;
    let changes = read_changes(&["fork axle-to-crown 576"]).expect("a change").changes;
    let findings = answer(Question { asked: String::new(), record, changes, inspections: Vec::new() })
        .expect("an answer");
    assert_eq!(findings.verdicts[0].outcome, Outcome::DoesNotFit);
    assert!(!findings.audit.suspects.is_empty());
}

/// The faults of a text that has exactly one.
fn fault(text: &str) -> Problem {
    let mut errors = parse("bike.toml", text).expect_err(text);
    assert_eq!(errors.len(), 1, "{text}: {errors:?}");
    let error = errors.remove(0);
    assert!(!error.warning && error.source_name() == "bike.toml");
    error
}

/// Text, line and column, offending text, what the message says, what the help says.
type Fault = (&'static str, (usize, usize), &'static str, &'static str, &'static str);

#[test]
fn every_fault_is_told_where_it_stands_and_how_to_mend_it() {
    let faults: [Fault; 38] = [
        ("[stem]\nlenght = 50", (2, 1), "lenght", "no `stem.lenght`", "did you mean `length`?"),
        ("nmae = \"x\"", (1, 1), "nmae", "no `nmae`", "did you mean `name`?"),
        ("[chart]\n\"öööö\" = 5", (2, 1), "\"öööö\"", "no `chart.öööö`", "[chart] knows"),
        (
            "[stem]\nsteerer_length = 190",
            (2, 1),
            "steerer_length",
            "no `stem.steerer_length`",
            "`steerer_length` belongs under [cockpit]",
        ),
        (
            "[crank]\nhead_tube = 5",
            (2, 1),
            "head_tube",
            "no `crank.head_tube`",
            "`head_tube` belongs under [chart]",
        ),
        ("[wheels]\nfront = 5", (1, 2), "wheels", "no `wheels`", "did you mean `wheel`?"),
        ("stem = 50", (1, 8), "50", "`stem` is a heading", "write [stem]"),
        ("[stem]\nlength = true", (2, 10), "true", "must be a number", "a bare number is in mm"),
        ("[stem]\nlength = [50]", (2, 10), "[50]", "must be a number", "mm, cm, m or in"),
        ("[stem]\nlength = 1979-05-27", (2, 10), "1979-05-27", "must be a number", "a bare number is in mm"),
        (
            "[stem]\nlength = \"long\"",
            (2, 10),
            "\"long\"",
            "`long` is not a number",
            "a bare number is in mm",
        ),
        ("name = 5", (1, 8), "5", "must be a text in quotes", "name = \"…\""),
        ("name = \"  \"", (1, 8), "\"  \"", "must be a text in quotes", "name = \"…\""),
        (
            "kind = \"full suspensoin\"",
            (1, 8),
            "\"full suspensoin\"",
            "`kind` cannot be",
            "did you mean \"full suspension\"?",
        ),
        ("kind = \"x\"", (1, 8), "\"x\"", "`kind` cannot be", "\"rigid\", \"hardtail\", \"full suspension\""),
        (
            "[fork]\naxle_to_crown_measured = \"strait\"",
            (2, 26),
            "\"strait\"",
            "cannot be \"strait\"",
            "did you mean \"straight\"?",
        ),
        ("[saddle]\nreference = \"tip\"", (2, 13), "\"tip\"", "cannot be \"tip\"", "\"nose\", \"sit bones\""),
        ("[stem]\nlength = \"50 °\"", (2, 14), "°", "wrong kind of unit", "mm, cm, m or in"),
        ("[stem]\nangle = \"6 mm\"", (2, 12), "mm", "wrong kind of unit", "° or rad"),
        ("[rider]\nmass = \"70 psi\"", (2, 12), "psi", "wrong kind of unit", "kg, g or lb"),
        ("[stem]\nlength = \"50 parsec\"", (2, 14), "parsec", "`parsec` is no unit", "mm, cm, m or in"),
        ("[stem]\nlength = \"50 mm or so\"", (2, 14), "mm or so", "is no unit", "mm, cm, m or in"),
        (
            "[stem]\nlength = -50",
            (2, 10),
            "-50",
            "stem.length cannot be −50 mm",
            "possible is 0 mm to 200 mm",
        ),
        (
            "[chart]\nhead_angle = 120",
            (2, 14),
            "120",
            "chart.head_angle cannot be 120°",
            "possible is 45° to 85°",
        ),
        ("[chart]\nstack = \"628 cm\"", (2, 9), "\"628 cm\"", "cannot be 6280 mm", "150 mm to 900 mm"),
        ("[chart]\nstack = nan", (2, 9), "nan", "must be a finite number", "a bare number is in mm"),
        ("[chart]\nstack = -nan", (2, 9), "-nan", "must be a finite number", "a bare number is in mm"),
        ("[chart]\nstack = inf", (2, 9), "inf", "must be a finite number", "a bare number is in mm"),
        ("[chart]\nstack = -inf", (2, 9), "-inf", "must be a finite number", "a bare number is in mm"),
        (
            "[fork]\naxle_to_crown_allowed = [566, 541]",
            (2, 25),
            "[566, 541]",
            "566 mm, is more than the most, 541 mm",
            "the smaller number first",
        ),
        ("[fork]\naxle_to_crown_allowed = [541]", (2, 25), "[541]", "the least and the most", "[541, 566]"),
        (
            "[fork]\naxle_to_crown_allowed = [541, \"566 kg\"]",
            (2, 36),
            "kg",
            "wrong kind of unit",
            "mm, cm, m or in",
        ),
        (
            "[fork]\naxle_to_crown_allowed = [54, 566]",
            (2, 25),
            "[54, 566]",
            "between 100 and 800 mm",
            "a bare number is mm",
        ),
        ("[chart]\nstack = { value = 628, tolerance = -1 }", (2, 36), "-1", "cannot be negative", "±"),
        (
            "[chart]\nstack = { value = 628, known = \"derived\" }",
            (2, 9),
            "{ value = 628, known = \"derived\" }",
            "derived needs its tolerance",
            "`tolerance = …`",
        ),
        (
            "[chart]\nstack = { value = 628, known = \"assumed\" }",
            (2, 9),
            "{ value = 628, known = \"assumed\" }",
            "assumed needs its tolerance",
            "`tolerance = …`",
        ),
        (
            "[chart]\nstack = { known = \"measured\" }",
            (2, 9),
            "{ known = \"measured\" }",
            "has no `value`",
            "value = 628",
        ),
        (
            "[chart]\nstack = { value = 628, tolerence = 1 }",
            (2, 24),
            "tolerence",
            "no `tolerence`",
            "did you mean `tolerance`?",
        ),
    ];
    for (text, place, offending, message, help) in faults {
        let error = fault(text);
        assert_eq!((error.line_column(), error.offending()), (place, offending), "{text}: {error}");
        assert!(error.message.contains(message), "{text}: {error}");
        let told = error.help.as_deref().unwrap_or_default();
        assert!(told.contains(help), "{text}: {error}: {told}");
    }
}

#[test]
fn figures_that_contradict_each_other_are_told() {
    for (text, place, message) in [
        ("[chart]\nchainstay = 210\n[rider]\nmass = 70", None, ""),
        ("[fork]\noffset = 50\naxle_to_crown = 155", None, ""),
        ("[shock]\neye_to_eye = 100\nstroke = 60", Some((3, 10)), "cannot have 60 mm of stroke"),
        ("[bar]\nwidth = 400\nhand_inset = 210", Some((3, 14)), "would cross"),
        ("[bar]\nwidth = 400\nbend = 200", Some((3, 8)), "beyond the end of a 400 mm bar"),
        ("[saddle]\nheight = 240\nsetback = -240", Some((3, 11)), "does not go with a saddle height"),
        (
            "[wheel.front]\ntyre = \"61-622\"\nradius = 330",
            Some((3, 10)),
            "a radius of about 372 mm, not 330 mm",
        ),
        ("[wheel.rear]\ntyre = \"61-622\"\nradius = 369", None, ""),
    ] {
        match (parse("bike.toml", text), place) {
            (Err(errors), Some(place)) => {
                assert_eq!((errors.len(), errors[0].line_column()), (1, place), "{text}: {errors:?}");
                assert!(errors[0].message.contains(message), "{text}: {errors:?}");
                assert!(errors[0].help.is_some());
            }
            (Ok(_), None) => {}
            (read, _) => panic!("{text}: {read:?}"),
        }
    }
}

#[test]
fn what_is_no_toml_is_told_at_its_place() {
    for (text, line) in [
        ("[chart]\nstack = 628\nreach = 455\nstack = 630\n", 4),
        ("[chart]\nstack = 628\n[chart]\nreach = 455\n", 3),
        ("[chart]\nstack = = 5\n", 2),
        ("[chart\nstack = 5\n", 1),
        ("[chart]\nstack = \"628\nreach = 455\n", 2),
        ("[chart]\nstack 628\n", 2),
        ("[chart]\nstack = 628 mm\n", 2),
    ] {
        let error = fault(text);
        assert!(error.message.starts_with("this is not TOML: "), "{text}: {error}");
        assert_eq!(error.line_column().0, line, "{text}: {error}");
        assert!(error.help.is_some());
    }
    // The second of two equal keys is the one to take out.
    let error = fault("[chart]\nstack = 628\nreach = 455\nstack = 630\n");
    assert_eq!((error.line_column(), error.offending()), ((4, 1), "stack"), "{error}");
}

#[test]
fn all_faults_are_told_at_once() {
    let text = "name = 5\n[chart]\nstack = nan\nhead_angle = 120\nraech = 455\n[stem]\nlength = \"50 kg\"\n\
                [fork]\naxle_to_crown_allowed = [566, 541]\n[shock]\neye_to_eye = 100\nstroke = 60\n";
    let errors = parse("bike.toml", text).expect_err("seven faults");
    let lines: Vec<usize> = errors.iter().map(|error| error.line_column().0).collect();
    assert_eq!(lines, [1, 3, 4, 5, 7, 9, 12], "{errors:?}");
    assert!(errors.iter().all(|error| error.help.is_some()));
    // Columns count characters, not bytes.
    let errors =
        parse("bike.toml", "name = \"Lärche\"\nsize = \"ÄÖ\" # ö\nnote = { x = 5 }").expect_err("one fault");
    assert_eq!(errors[0].line_column(), (3, 8));
}

#[test]
fn values_out_of_the_usual_are_used_with_a_warning() {
    for (text, place, message, help) in [
        (
            "[stem]\nlength = 180",
            (2, 10),
            "stem.length is 180 mm, which is unusual",
            "usual is 30 mm to 130 mm",
        ),
        ("[chart]\nhead_angle = 60", (2, 14), "chart.head_angle is 60°", "usual is 62° to 75°"),
        (
            "[wheel.front]\npressure = \"150 psi\"",
            (2, 12),
            "wheel.front.pressure is 10.342 bar",
            "usual is 1.2 bar to 7 bar",
        ),
    ] {
        let parsed = parse("bike.toml", text).expect(text);
        assert_eq!(parsed.record.facts.len(), 1);
        let [warning] = &parsed.warnings[..] else { panic!("{text}: {:?}", parsed.warnings) };
        assert!(warning.warning && warning.message.contains(message), "{warning}");
        assert!(warning.help.as_ref().is_some_and(|told| told.contains(help)), "{warning:?}");
        assert_eq!(warning.line_column(), place, "{warning}");
    }
    // Small wheels make small lengths usual.
    let child = "[crank]\nlength = 127\n[wheel.rear]\ntyre = \"47-406\"";
    assert!(parse("bike.toml", child).expect("a record").warnings.is_empty());
    assert_eq!(parse("bike.toml", "[crank]\nlength = 127").expect("a record").warnings.len(), 1);
}

/// Factors by NIST SP 811 (2008), appendix B: inch 25.4 mm, pound 0.453 592 37 kg, psi 6.894 757 kPa.
#[test]
fn other_units_are_accepted() {
    for (key, text, value, uncertainty) in [
        ("bar.rise", "\"1.5 in\"", 38.1, 2.54 / 12_f64.sqrt()),
        ("bar.rise", "\"1.5\\\"\"", 38.1, 2.54 / 12_f64.sqrt()),
        ("bar.rise", "\"3,81 cm\"", 38.1, 0.1 / 12_f64.sqrt()),
        ("bar.rise", "\"0.0381 m\"", 38.1, 0.1 / 12_f64.sqrt()),
        ("bar.rise", "\"38.10 MM\"", 38.1, 0.01 / 12_f64.sqrt()),
        ("bar.rise", "38.1", 38.1, 0.1 / 12_f64.sqrt()),
        ("bar.rise", "+38", 38.0, 1.0 / 12_f64.sqrt()),
        ("chart.wheelbase", "1_222", 1222.0, 1.0 / 12_f64.sqrt()),
        ("chart.wheelbase", "1.222e3", 1222.0, 1.0 / 12_f64.sqrt()),
        ("rider.mass", "\"172 lb\"", 172.0 * 0.453_592_37, 0.453_592_37 / 12_f64.sqrt()),
        ("wheel.rear.pressure", "\"26 psi\"", 1.792_637, 0.068_947_57 / 12_f64.sqrt()),
        ("wheel.rear.pressure", "\"180 kPa\"", 1.8, 0.01 / 12_f64.sqrt()),
        ("stem.angle", "\"−6°\"", -6_f64.to_radians(), 1_f64.to_radians() / 12_f64.sqrt()),
        ("stem.angle", "\"0.10 rad\"", 0.1, 0.01 / 12_f64.sqrt()),
    ] {
        let (heading, name) = key.rsplit_once('.').expect("a heading");
        let read = parse("bike.toml", &format!("[{heading}]\n{name} = {text}\n"));
        let record = read.unwrap_or_else(|errors| panic!("{key} = {text}: {errors:?}")).record;
        let fact = record.fact(key).expect("a fact");
        assert!((fact.value - value).abs() < 1e-6, "{key} = {text}: {}", fact.value);
        assert!((fact.uncertainty - uncertainty).abs() < 1e-6, "{key} = {text}: {}", fact.uncertainty);
    }
}

#[test]
fn a_measurement_is_as_good_as_it_says_or_as_its_tool() {
    for (text, known, uncertainty) in [
        ("{ value = 628, known = \"measured\", with = \"tape\" }", Known::Measured, 1.0),
        ("{ value = 628, with = \"calliper\" }", Known::Measured, 0.1),
        ("{ value = 628, known = \"measured\" }", Known::Measured, 1.0),
        ("{ value = 628, tolerance = 5 }", Known::Measured, 2.5),
        ("{ value = 628, tolerance = \"0.1 in\" }", Known::Measured, 1.27),
        ("{ value = 628, known = \"derived\", tolerance = 4 }", Known::Derived, 2.0),
        ("{ value = 628, known = \"assumed\", tolerance = 30 }", Known::Assumed, 15.0),
        ("{ value = 628.0 }", Known::Published, 0.1 / 12_f64.sqrt()),
    ] {
        let record = parse("bike.toml", &format!("[chart]\nstack = {text}\n")).expect(text).record;
        let fact = record.fact("chart.stack").expect("a stack");
        assert_eq!(fact.known, known, "{text}");
        assert!((fact.uncertainty - uncertainty).abs() < 1e-12, "{text}: {}", fact.uncertainty);
    }
}

#[test]
fn every_property_takes_its_own_example() {
    for property in tables::properties() {
        let (heading, name) = property.key.rsplit_once('.').expect("a heading");
        let text = format!("[{heading}]\n{name} = {}\n", property.example);
        let parsed = parse("bike.toml", &text).unwrap_or_else(|errors| panic!("{text}: {errors:?}"));
        assert!(parsed.warnings.is_empty(), "{text}: {:?}", parsed.warnings);
        assert!(parsed.record.fact(&property.key).is_some());
    }
}
