//! A workshop with many invented questions.

use std::path::Path;

use jiff::ToSpan;
use knockon_desk::{BikeId, Desk, NewQuestion, QuestionId, Stamp, State};
use knockon_sheet::drawing::Page;
use knockon_sheet::html::Parts;
use knockon_trade::record::Record;

/// How many questions.
pub const QUESTIONS: u32 = 20_000;

/// Stands in every invented question.
pub const MARK: &str = "invented question no.";

/// Stands in four of ten questions.
pub const COMMON: &str = "fork";

/// Stands in three questions.
pub const RARE: &str = "woodpecker";

/// What the measuring needs to know of the workshop.
pub struct Seeded {
    desk: Desk,
    /// A question that can be answered.
    pub question: QuestionId,
    /// One about a bike with a linkage.
    pub linkage: QuestionId,
    /// A bike with many questions.
    pub bike: BikeId,
}

impl Seeded {
    /// What the answer to a line has to hold: its whole table of what moves, worked out in this process.
    pub fn proof(&self, line: &str) -> String {
        let sheet = self.desk.answer_of(self.question, line).expect("the line is answered").sheet;
        let table = Parts::of(&sheet).knock_ons().into_string();
        assert!(table.contains("Grip stack"), "{line} moves nothing: {table}");
        table
    }

    /// The bike's record, as the bench answers from it.
    pub fn record(&self) -> Record {
        let settings = self.desk.settings().expect("settings");
        let record = self.desk.bike(self.bike).and_then(|bike| bike.record()).expect("a record");
        record.with_tolerances(&settings.tolerances)
    }

    /// The same of the bike with the linkage: its whole suspension, drawing, charts and table.
    pub fn proof_of_travel(&self, line: &str) -> String {
        let sheet = self.desk.answer_of(self.linkage, line).expect("the line is answered").sheet;
        let part = Parts::of(&sheet).suspension_on(Page::Desk).into_string();
        assert!(part.contains("data-body=") && part.contains("Anti-squat"), "{line} has no linkage: {part}");
        part
    }
}

/// The words that only one question has.
pub fn mark(number: u32) -> String {
    format!("{MARK} {number:05}")
}

/// Numbers of the questions with the rare word.
pub fn rare() -> impl Iterator<Item = u32> {
    [4_321, 10_987, 17_654].into_iter()
}

const OPENINGS: [&str; 7] = [
    "I want to",
    "My club mate says I should",
    "Is it all right to",
    "Before the season I would like to",
    "On long rides I feel I ought to",
    "For the child I mean to",
    "Somebody at the trail head told me to",
];

const DEEDS: [&str; 10] = [
    "fit a longer fork",
    "turn the stem over",
    "put all spacers below",
    "fit a wider tyre at the rear",
    "try a higher bar on this fork",
    "fit shorter cranks",
    "shorten the shock's stroke",
    "fit a smaller rear wheel",
    "roll the bar up and keep the fork",
    "try a slacker headset with the old fork",
];

const REASONS: [&str; 11] = [
    "because my hands go numb",
    "since the stem will creak",
    "as the front washes out",
    "because the pedals strike",
    "so that I sit more upright",
    "as the tyre rubs on hard corners",
    "because it wanders uphill",
    "since the bar is wider than I like",
    "as my knees hurt",
    "so that it steers more calmly",
    "because a friend did",
];

fn asked(number: u32) -> String {
    let pick = |words: &[&'static str], step: u32| words[(number / step) as usize % words.len()];
    let extra = if rare().any(|rare| rare == number) { " It sounds like a woodpecker." } else { "" };
    format!(
        "{} {} {}.{extra} Does it fit? ({})",
        pick(&OPENINGS, 1),
        pick(&DEEDS, 3),
        pick(&REASONS, 13),
        mark(number)
    )
}

/// Stores the demo and all questions, each about one of its bikes.
pub fn seed(workshop: &Path) -> Seeded {
    let desk = Desk::open(workshop).expect("a new workshop opens");
    let now = Stamp::now("the bench");
    desk.load_demo(&now).expect("the demo loads");
    let bikes: Vec<BikeId> = desk.bikes("", 0, 100).expect("bikes").into_iter().map(|row| row.id).collect();
    let larch = desk.bikes("Larch", 0, 1).expect("bikes")[0].id;
    let questions: Vec<(NewQuestion, Stamp)> = (0..QUESTIONS)
        .map(|number| {
            let question = NewQuestion {
                asked: asked(number),
                rider: format!("Rider {}", number % 997),
                bike: Some(bikes[number as usize % bikes.len()]),
                changes: "bar rise by 5".to_owned(),
            };
            let minutes = i64::from(QUESTIONS - number) * 20;
            (question, Stamp { at: now.at - minutes.minutes(), who: now.who.clone() })
        })
        .collect();
    let ids = desk.ask_all(&questions).expect("questions are stored");
    for id in ids.iter().step_by(200) {
        desk.set_state(*id, State::Waiting, &now).expect("a state is set");
    }
    let worked_on = |asked: &str, bike: BikeId, changes: &str| {
        let question = NewQuestion {
            asked: asked.to_owned(),
            rider: String::new(),
            bike: Some(bike),
            changes: changes.to_owned(),
        };
        desk.ask(&question, &now).expect("a question is stored")
    };
    let question = worked_on("Higher bar?", larch, "bar rise 20");
    let bulrush = desk.bikes("Bulrush", 0, 1).expect("bikes")[0].id;
    let linkage = worked_on("The pivot higher?", bulrush, "point main pivot up by 5");
    Seeded { question, linkage, bike: larch, desk }
}
