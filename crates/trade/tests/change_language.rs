//! The change language: every line means what it says, and what it does not say is told at its column.

use knockon_engine::bike::Parameter;
use knockon_engine::change::Wheel;
use knockon_trade::change::{Change, parse};
use knockon_trade::fact::Known;
use knockon_trade::problem::Problem;
use knockon_trade::question::{MOST_CHANGES, read_changes};
use knockon_trade::tables;

/// Parameter, whether it is a step, and the amount in mm or degrees.
fn number(line: &str) -> (Parameter, bool, f64) {
    let read = parse(line).unwrap_or_else(|error| panic!("{line}: {error} {:?}", error.help));
    let Change::Number { property, by, amount } = read.change else { panic!("{line} is a tyre") };
    let parameter = property.parameter().expect("a parameter");
    (parameter, by, amount.value / property.dimension.edge_factor())
}

fn means(line: &str, parameter: Parameter, by: bool, value: f64) {
    let read = number(line);
    assert_eq!((read.0, read.1), (parameter, by), "{line}");
    assert!((read.2 - value).abs() < 1e-9, "{line}: {}", read.2);
}

#[test]
fn every_line_means_what_it_says() {
    use Parameter as P;
    for (line, parameter, by, value) in [
        ("spacers below 5", P::SpacersBelow, false, 5.0),
        ("spacers below by -15", P::SpacersBelow, true, -15.0),
        ("spacers above 10", P::SpacersAbove, false, 10.0),
        ("stem length 40", P::StemLength, false, 40.0),
        ("stem angle -6", P::StemAngle, false, -6.0),
        ("bar rise 40", P::BarRise, false, 40.0),
        ("bar roll 10", P::BarRoll, false, 10.0),
        ("bar width 800", P::BarWidth, false, 800.0),
        ("bar back-sweep 9", P::BarBackSweep, false, 9.0),
        ("bar up-sweep 5", P::BarUpSweep, false, 5.0),
        ("bar clamp 35", P::BarClamp, false, 35.0),
        ("fork axle-to-crown 576", P::AxleToCrown, false, 576.0),
        ("fork offset 42", P::ForkOffset, false, 42.0),
        ("fork travel 170", P::ForkTravel, false, 170.0),
        ("headset angle -1", P::HeadsetAngle, false, -1.0),
        ("headset lower-stack 12", P::LowerStack, false, 12.0),
        ("headset upper-stack 10", P::UpperStack, false, 10.0),
        ("front wheel radius 365", P::FrontRadius, false, 365.0),
        ("rear wheel radius 349", P::RearRadius, false, 349.0),
        ("saddle height 720", P::SaddleHeight, false, 720.0),
        ("crank length 165", P::CrankLength, false, 165.0),
        ("shock stroke 50", P::ShockStroke, false, 50.0),
    ] {
        means(line, parameter, by, value);
    }
}

#[test]
fn the_same_is_said_in_many_ways() {
    use Parameter as P;
    for line in [
        "stem length 40",
        "stem length to 40",
        "stem length -> 40",
        "stem length → 40",
        "stem length = 40",
        "STEM LENGTH TO 40",
        "Stem-Length 40",
        "stem_length 40",
        "  stem   length\t40  ",
        "stem length 40 mm",
        "stem length 40mm",
        "stem length 4.0 cm",
        "stem length 4,0 cm",
        "stem length 0.04 m",
        "stem 40",
        "stem length to -> 40",
    ] {
        means(line, P::StemLength, false, 40.0);
    }
    for line in [
        "spacers below by -15",
        "spacers below by −15",
        "spacers below by –15",
        "Spacers Below BY -15 mm",
        "spacers below by -1.5 cm",
        "spacers-below by -15",
    ] {
        means(line, P::SpacersBelow, true, -15.0);
    }
    // 1.5 in is 38.1 mm, and 0.1 rad is 18/π degrees.
    means("bar rise 1.5 in", P::BarRise, false, 38.1);
    means("bar rise to 1.5\"", P::BarRise, false, 38.1);
    means("bar roll 0.1 rad", P::BarRoll, false, 18.0 / std::f64::consts::PI);
    for line in ["stem angle -6", "stem angle −6°", "stem angle -6 deg", "stem angle to -6.0 degrees"] {
        means(line, P::StemAngle, false, -6.0);
    }
    // A bare plus is a matter of course with an angle.
    means("stem angle +6", P::StemAngle, false, 6.0);
    means("fork travel by +10", P::ForkTravel, true, 10.0);
    means("fork travel by 10", P::ForkTravel, true, 10.0);
    for line in [
        "fork axle-to-crown 576",
        "fork axle to crown 576",
        "fork axle to crown to 576",
        "fork axle to crown = 576",
        "fork a2c 576",
        "fork length 576",
        "fork length 5.76e2",
        "fork length 5_76",
    ] {
        means(line, P::AxleToCrown, false, 576.0);
    }
    means("fork axle to crown by 20", P::AxleToCrown, true, 20.0);
}

#[test]
fn a_tyre_is_named_by_its_size() {
    for (line, front) in [
        ("front tyre 64-622", true),
        ("front tyre to 64-622", true),
        ("front tire -> 64-622", true),
        ("Front Tyre 64–622", true),
        ("rear tyre 64-622", false),
        ("rear tyre = 64 - 622", false),
    ] {
        let read = parse(line).unwrap_or_else(|error| panic!("{line}: {error}"));
        let Change::Tyre { wheel, tyre } = read.change else { panic!("{line} is no tyre") };
        assert_eq!(wheel == Wheel::Front, front, "{line}");
        assert_eq!((tyre.width, tyre.bead_seat), (64.0, 622), "{line}");
    }
}

#[test]
fn tolerance_is_written_behind_the_value() {
    for (line, value, uncertainty) in [
        ("fork axle-to-crown 576 ± 2", 576.0, 1.0),
        ("fork axle-to-crown 576±2mm", 576.0, 1.0),
        ("fork axle-to-crown 576 +- 2", 576.0, 1.0),
        ("fork axle-to-crown to 57.6 cm ± 0.2 cm", 576.0, 1.0),
        ("fork axle-to-crown by 20 ± 2", 20.0, 1.0),
    ] {
        let read = parse(line).unwrap_or_else(|error| panic!("{line}: {error}"));
        let Change::Number { amount, .. } = read.change else { panic!("{line} is a tyre") };
        assert!((amount.value - value).abs() < 1e-9, "{line}");
        assert!((amount.uncertainty - uncertainty).abs() < 1e-9, "{line}");
        assert_eq!(amount.known, Known::Measured, "{line}");
    }
    // Without it a figure is good to its last digit.
    let Change::Number { amount, .. } = parse("stem length 40.0").expect("a change").change else { panic!() };
    assert!((amount.uncertainty - 0.1 / 12_f64.sqrt()).abs() < 1e-12);
}

#[test]
fn every_phrase_of_the_table_is_understood_with_its_example() {
    for property in tables::properties() {
        for say in &property.say {
            let read = parse(&format!("{say} {}", property.example))
                .unwrap_or_else(|error| panic!("{say}: {error}"));
            assert_eq!(read.change.key(), property.key, "{say}");
            assert!(read.warning.is_none(), "{say}");
        }
    }
}

fn fault(line: &str) -> Problem {
    match parse(line) {
        Err(error) => error,
        Ok(read) => panic!("{line} was read as {}", read.change),
    }
}

#[test]
fn what_is_not_said_is_told_at_its_column() {
    // Line, column, offending text, what the message says, what the help says.
    for (line, column, offending, message, help) in [
        (
            "stem lenght 40",
            1,
            "stem lenght",
            "nothing on a bike is called `stem lenght`",
            "did you mean `stem length`?",
        ),
        ("  bar ryse 40", 3, "bar ryse", "`bar ryse`", "did you mean `bar rise`?"),
        (
            "fork axel-to-crown 576",
            1,
            "fork axel-to-crown",
            "`fork axel to crown`",
            "did you mean `fork axle-to-crown`?",
        ),
        ("frönt tyre 61-622", 1, "frönt tyre", "`frönt tyre`", "did you mean `front tyre`?"),
        ("xyzzy 40", 1, "xyzzy", "nothing on a bike is called `xyzzy`", "`knockon changes` lists every part"),
        ("stem length 40 kg", 16, "kg", "`kg` is the wrong kind of unit for stem length", "mm, cm, m or in"),
        ("stem length 40°", 15, "°", "wrong kind of unit", "a bare number is in mm"),
        ("stem angle -6 mm", 15, "mm", "wrong kind of unit for stem angle", "° or rad"),
        ("stem length 40 furlongs", 16, "furlongs", "`furlongs` is not a unit", "mm, cm, m or in"),
        ("stem length 40 mm please", 16, "mm please", "`mm please` is not a unit", "mm, cm, m or in"),
        ("stem length 40 50", 16, "50", "`50` is not a unit", "mm, cm, m or in"),
        ("stem length", 12, "", "`stem length` to what?", "`stem length 40`"),
        ("stem length to", 15, "", "`stem length` to what?", "`stem length 40`"),
        ("fork axle to crown", 19, "", "`fork axle-to-crown` to what?", "`fork axle-to-crown 576`"),
        ("stem length to much", 16, "much", "`much` is not a number", "mm, cm, m or in"),
        ("stem length by", 15, "", "`stem length` to what?", "`stem length 40`"),
        (
            "stem length +5",
            13,
            "+5",
            "is `+5` a step or a new value?",
            "`stem length by +5` is a step, `stem length 5` a new value",
        ),
        ("stem length to +5 mm", 16, "+5 mm", "is `+5 mm` a step or a new value?", "`stem length by +5 mm`"),
        ("stem length to by 5", 16, "by", "either a new value or a step", "`stem length by -10` a step"),
        ("stem length by to 5", 16, "to", "either a new value or a step", "`stem length 40` is a new value"),
        ("stem length 400", 13, "400", "stem length cannot be 400", "possible is 0 mm to 200 mm"),
        ("stem angle 95", 12, "95", "stem angle cannot be 95", "possible is −50° to 50°"),
        ("stem length 40 ± -2", 18, "-2", "a tolerance cannot be negative", ""),
        ("stem length 40 ± 2 kg", 20, "kg", "wrong kind of unit", "mm, cm, m or in"),
        ("stem length 40 ± much", 18, "much", "`much` is not a number", "mm, cm, m or in"),
        ("stem length - 5", 13, "- 5", "is not a number", "mm, cm, m or in"),
        ("front tyre 622-64", 12, "622-64", "the width comes first: 64-622", "`front tyre 64-622`"),
        ("rear tyre 64-620", 11, "64-620", "the nearest is 622", "`rear tyre 64-622`"),
        ("front tyre 64", 12, "64", "such as 61-622", "`front wheel radius 365`"),
        ("front tyre", 11, "", "such as 61-622", "`front tyre 64-622`"),
        ("front tyre by 3", 15, "3", "by its size, not by a step", "`front tyre 64-622`"),
        ("40 mm stem", 1, "40", "a change starts with what changes", "`stem length 40`"),
        ("", 1, "", "a change is empty", "`stem length 40`"),
        ("   ", 1, "   ", "a change is empty", "`stem length 40`"),
        ("stem grip", 1, "stem grip", "`stem grip`", "did you mean"),
    ] {
        let error = fault(line);
        assert!(!error.warning && error.source_name() == "change");
        assert_eq!((error.line_column(), error.offending()), ((1, column), offending), "{line}: {error}");
        assert!(error.message.contains(message), "{line}: {error}");
        let told = error.help.as_deref().unwrap_or_default();
        assert!(told.contains(help), "{line}: {error}: {told}");
    }
}

#[test]
fn values_out_of_the_usual_are_used_with_a_warning() {
    let read = parse("stem length 180").expect("a change");
    let warning = read.warning.expect("a warning");
    assert!(warning.warning && warning.message.contains("stem length of 180"), "{warning}");
    assert_eq!((warning.line_column(), warning.offending()), ((1, 13), "180"));
    assert!(warning.help.is_some_and(|help| help.contains("usual is 30 mm to 130 mm")));
    // The border is usual, and a step has no range of its own.
    for line in ["stem length 30", "stem length 130", "stem angle -17", "stem angle 17", "stem length by 180"]
    {
        assert!(parse(line).expect(line).warning.is_none(), "{line}");
    }
}

#[test]
fn lines_of_a_question() {
    let read = read_changes(&[
        "# first try",
        "",
        "stem length 40; bar rise 40",
        " spacers below by -5 \nspacers below by -10",
    ])
    .expect("changes");
    let said: Vec<String> = read.changes.iter().map(ToString::to_string).collect();
    assert_eq!(said, ["stem length 40", "bar rise 40", "spacers below by -5", "spacers below by -10"]);
    // Two new values of one thing contradict each other, as do a new value and a step.
    for lines in [
        ["stem length 40", "stem length 50"],
        ["stem length 40", "stem length by -10"],
        ["front tyre 61-622", "front wheel radius 365"],
    ] {
        let errors = read_changes(&lines).expect_err("a contradiction");
        assert_eq!(errors.len(), 1);
        assert!(errors[0].message.contains("change the same thing"), "{}", errors[0]);
        assert_eq!(errors[0].offending(), lines[1]);
    }
    // All faults at once.
    let errors = read_changes(&["stem lenght 40", "bar rise 40", "bar rise 40 kg"]).expect_err("two faults");
    assert_eq!(errors.len(), 2);
    let many = vec!["spacers below by 1"; MOST_CHANGES + 1];
    assert!(read_changes(&many[1..]).is_ok());
    assert_eq!(read_changes(&many).expect_err("too many").len(), 1);
}
