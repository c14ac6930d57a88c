//! A whole example sheet for the writers' tests. The bike, the workshop and every figure are invented.

use crate::picture::{CockpitOutline, Dimension, DimensionKind, Flag, Outline, Part, Picture};
use crate::sheet::{Answer, KnockOnRow, MissingRow, Note, RevisionRow, Sheet, TitleBlock, Tone, VerdictRow};
use kurbo::{Point, Vec2};

/// The long-fork question on the invented bike "Larch 150".
pub(crate) fn larch() -> Sheet {
    Sheet {
        title: title(),
        answer: Answer {
            tone: Tone::DoesNotFit,
            headline: "Not with this fork.".into(),
            sentences: texts(&[
                "The fork is 10 mm longer than the frame allows.",
                "Without it, stem down and higher bar nearly cancel: grips 1 mm up, 6 mm forward.",
                "Few riders would feel that.",
            ]),
        },
        revisions: vec![
            revision('A', "Fork, axle to crown", "556", "576"),
            revision('B', "Spacers below the stem", "20", "5"),
            revision('C', "Bar rise", "25", "40"),
        ],
        knock_ons: knock_ons(),
        unmoved: texts(&["Chainstay length", "Saddle height", "Rear travel"]),
        verdicts: verdicts(),
        inspections: Vec::new(),
        takes: texts(&["A reducer crown race from 30 to 40 mm for ZS56/40 (for crown race)."]),
        check_first: texts(&[
            "Read the fork's axle to crown off the fork itself with a tape, axle centre to crown race seat.",
            "Ask the frame's maker in writing for the longest fork the frame is approved for.",
            "Measure the steerer above the upper headset part: it must pass the stem clamp with spacers in place.",
        ]),
        how_sure: texts(&[
            "±2 mm at the grips; two thirds of it is the bar's rise, so measure that first.",
            "The published chart agrees with itself within 1 mm.",
        ]),
        missing: missing(),
        cautions: cautions(),
        assumptions: vec![
            note("The bar is rolled so that its upsweep points straight up.", 4),
            note("Tyres are as wide as their label says; ±2 mm each.", 3),
        ],
        sources: texts(&[
            "The frame maker's size chart, as typed into the record.",
            "Common practice, no source.",
            "ISO 5775-1, tyre and rim designations; the tolerance is from memory, unverified.",
            "Assumption of this program.",
        ]),
        picture: Some(picture()),
        ride: None,
        parts: Vec::new(),
    }
}

/// The same sheet with hostile text in every field that a person can type.
pub(crate) fn hostile() -> Sheet {
    let nasty =
        "<script>alert(1)</script> | **bold** `code` \u{1b}[31m\u{7}\u{202e} & \"quoted\" <b>\n# heading";
    let mut sheet = larch();
    sheet.title.question = format!("{nasty} {}", "long question ".repeat(29));
    sheet.title.bike = nasty.into();
    sheet.title.workshop = "W".repeat(200);
    sheet.title.sheet = nasty.into();
    sheet.answer.headline = nasty.into();
    sheet.answer.sentences.push(nasty.into());
    sheet.revisions[0].label = nasty.into();
    sheet.revisions[1].before = nasty.into();
    sheet.knock_ons[0].label = format!("{nasty} {}", "far too long ".repeat(30));
    sheet.knock_ons[1].before = "9".repeat(90);
    sheet.verdicts[0].sentence = nasty.into();
    sheet.check_first.push(nasty.into());
    sheet.how_sure.push(nasty.into());
    sheet.missing[0].ask = nasty.into();
    sheet.cautions[0].text = nasty.into();
    sheet.assumptions[0].text = nasty.into();
    sheet.sources[0] = nasty.into();
    sheet.verdicts[1].source = 99;
    sheet
}

/// A sheet for which nothing is known: every list empty, no picture.
pub(crate) fn empty() -> Sheet {
    Sheet {
        title: TitleBlock { drawn: String::new(), sheet: String::new(), ..title() },
        answer: Answer {
            tone: Tone::CannotSay,
            headline: "Too little is known.".into(),
            sentences: texts(&["The record holds no size chart."]),
        },
        revisions: vec![],
        knock_ons: vec![],
        unmoved: vec![],
        verdicts: vec![],
        takes: vec![],
        inspections: vec![],
        check_first: vec![],
        how_sure: vec![],
        missing: vec![],
        cautions: vec![],
        assumptions: vec![],
        sources: vec![],
        picture: None,
        ride: None,
        parts: Vec::new(),
    }
}

fn title() -> TitleBlock {
    TitleBlock {
        question: "Longer fork, stem down, higher bar?".into(),
        bike: "Larch 150, size M".into(),
        workshop: "Millrace Cycles (demo)".into(),
        drawn: "24 Nov 2026".into(),
        sheet: "0042 / 1".into(),
        frame_data: "published".into(),
        revision: "C".into(),
        units: "mm, degrees".into(),
    }
}

fn knock_ons() -> Vec<KnockOnRow> {
    vec![
        knock_on("Grip stack", "mm", ["725", "733", "+8", "2"], ["+10", "−14", "+15"], "yes"),
        knock_on("Grip reach", "mm", ["447", "443", "−4", "2"], ["−12", "+6", "0"], "yes"),
        knock_on("Head angle", "°", ["65.1", "64.2", "−0.8", "0.1"], ["−0.8", "·", "·"], "yes"),
        knock_on("Seat angle, effective", "°", ["77.6", "76.7", "−0.8", "0.1"], ["−0.8", "·", "·"], "yes"),
        knock_on("Bottom bracket height", "mm", ["339", "345", "+6", "1"], ["+6", "·", "·"], "yes"),
        knock_on("Wheelbase", "mm", ["1223", "1232", "+9", "1"], ["+9", "·", "·"], "maybe"),
        knock_on("Trail", "mm", ["125", "131", "+6", "1"], ["+6", "·", "·"], "maybe"),
        knock_on("Saddle to grip drop", "mm", ["?", "?", "−9", "3"], ["−11", "+14", "−15"], "maybe"),
    ]
}

fn verdicts() -> Vec<VerdictRow> {
    vec![
        verdict(
            Tone::DoesNotFit,
            "Axle to crown",
            "The frame allows 566 mm, this fork measures 576: 10 mm too long. Choose 10 mm less travel.",
            1,
        ),
        verdict(
            Tone::MeasureFirst,
            "Steerer length",
            "Needs 178 mm above the crown race seat, has 180 ±4: measure the steerer.",
            2,
        ),
        verdict(
            Tone::CannotSay,
            "Brake hose length",
            "The record does not say how much spare hose there is. Turn the bar to both stops.",
            2,
        ),
        verdict(Tone::Fits, "Bar clamp", "Stem and bar are both 35 mm.", 2),
    ]
}

fn missing() -> Vec<MissingRow> {
    vec![
        MissingRow {
            ask: "How long is the steerer above the crown race seat?".into(),
            how: "Tape along the front of the head tube from the lower race to the top cap, ±2 mm.".into(),
            needed_for: "steerer length".into(),
        },
        MissingRow {
            ask: "Which way is the bar rolled?".into(),
            how: "Phone level on the rise, ±1°.".into(),
            needed_for: "grip reach".into(),
        },
    ]
}

fn cautions() -> Vec<Note> {
    vec![
        note(
            "A fork longer than the frame's maker allows loads the head tube beyond what it was tested for. Do not \
             ride it; the frame maker's written limit decides, not this sheet.",
            1,
        ),
        note(
            "Set stem and top cap to their makers' torque, then hold the front wheel and try to turn the bar: it \
             must not move. A qualified technician checks steering before the first ride.",
            2,
        ),
        note("After moving bar or stem check that no brake hose is pulled tight at full lock.", 2),
    ]
}

fn picture() -> Picture {
    Picture {
        before: outline(65.1, 339.0, 556.0, 20.0, 25.0),
        after: outline(64.2, 345.0, 576.0, 5.0, 40.0),
        flags: vec![
            Flag { letter: 'A', part: Part::Fork },
            Flag { letter: 'B', part: Part::Spacers },
            Flag { letter: 'C', part: Part::Bar },
        ],
        dimensions: vec![
            dimension(DimensionKind::GripStack, "grip stack 733", "+8 ±2: A +10, B −14, C +15"),
            dimension(DimensionKind::GripReach, "grip reach 443", "−4 ±2: A −12, B +6"),
            dimension(DimensionKind::BottomBracketHeight, "bottom bracket 345", "+6 ±1"),
            dimension(DimensionKind::Wheelbase, "wheelbase 1232", "+9 ±1"),
        ],
    }
}

/// A plausible side view; exact enough to look at, not a geometry model.
fn outline(head_degrees: f64, bracket_height: f64, axle_to_crown: f64, spacers: f64, rise: f64) -> Outline {
    let radius = 372.0;
    let (sine, cosine) = head_degrees.to_radians().sin_cos();
    let (down, forward) = (Vec2::new(cosine, -sine), Vec2::new(sine, cosine));
    let bottom_bracket = Point::new(440.0, bracket_height);
    let head_tube_top = bottom_bracket + Vec2::new(455.0, 622.0);
    let head_tube_bottom = head_tube_top + down * 110.0;
    let crown = head_tube_bottom + down * 5.0;
    let front_axle = crown + down * (axle_to_crown - 2.0) + forward * 44.0;
    let stem_clamp = head_tube_top - down * (12.0 + spacers + 20.0);
    let bar_clamp = stem_clamp + forward * 45.0;
    let seat = 77.0_f64.to_radians();
    let seat_up = Vec2::new(-seat.cos(), seat.sin());
    Outline {
        rear_axle: Point::new(0.0, radius),
        front_axle: Point::new(front_axle.x, radius),
        bottom_bracket,
        head_tube_top,
        head_tube_bottom,
        crown,
        axis_down: down,
        rear_radius: radius,
        front_radius: radius,
        rear_rim_radius: Some(311.0),
        front_rim_radius: Some(311.0),
        upper_stack: 12.0,
        seat_up,
        saddle_top: Some(bottom_bracket + seat_up * 720.0),
        saddle_tip: 0.0,
        cockpit: Some(CockpitOutline {
            spacers_below: spacers,
            spacers_above: 25.0 - spacers,
            clamp_height: 40.0,
            stem_clamp,
            bar_clamp,
            bar_diameter: 35.0,
            grip: bar_clamp + Vec2::new(-40.0, rise),
            drop_bar: false,
        }),
        crank: Some(170.0),
        fork_travel: Some(160.0),
        rear_suspension: false,
    }
}

fn dimension(kind: DimensionKind, text: &str, change: &str) -> Dimension {
    Dimension { kind, text: text.into(), change: change.into() }
}

fn revision(letter: char, label: &str, before: &str, after: &str) -> RevisionRow {
    RevisionRow { letter, label: label.into(), before: before.into(), after: after.into(), unit: "mm".into() }
}

/// Figures in the order before, after, difference, tolerance.
fn knock_on(label: &str, unit: &str, figures: [&str; 4], shares: [&str; 3], noticed: &str) -> KnockOnRow {
    let [before, after, difference, plus_minus] = figures.map(str::to_owned);
    KnockOnRow {
        label: label.into(),
        unit: unit.into(),
        before,
        after,
        difference,
        plus_minus,
        shares: texts(&shares),
        noticed: noticed.into(),
    }
}

fn verdict(tone: Tone, label: &str, sentence: &str, source: usize) -> VerdictRow {
    VerdictRow { tone, label: label.into(), sentence: sentence.into(), source }
}

fn note(text: &str, source: usize) -> Note {
    Note { text: text.into(), source }
}

fn texts(texts: &[&str]) -> Vec<String> {
    texts.iter().map(|text| (*text).to_owned()).collect()
}

/// Every text that a writer must put out for a sheet, wherever it puts it.
pub(crate) fn all_texts(sheet: &Sheet) -> Vec<&str> {
    let mut texts: Vec<&str> = vec![&sheet.title.question, &sheet.answer.headline, "24 Nov 2026", "0042 / 1"];
    texts.extend(sheet.answer.sentences.iter().map(String::as_str));
    texts.extend(sheet.cautions.iter().chain(&sheet.assumptions).map(|note| note.text.as_str()));
    texts.extend(sheet.revisions.iter().map(|row| row.label.as_str()));
    texts.extend(sheet.knock_ons.iter().flat_map(|row| [row.label.as_str(), row.difference.as_str()]));
    texts.extend(sheet.verdicts.iter().flat_map(|row| [row.label.as_str(), row.sentence.as_str()]));
    texts.extend(sheet.missing.iter().flat_map(|row| [&*row.ask, &*row.how, &*row.needed_for]));
    for list in [&sheet.takes, &sheet.check_first, &sheet.how_sure, &sheet.unmoved, &sheet.sources] {
        texts.extend(list.iter().map(String::as_str));
    }
    texts.extend(["Does not fit", "Measure first", "Cannot say", "Fits"]);
    texts
}
