//! An invented workshop: bikes and questions for trying things out. None of them exists.
//!
//! The files lie in the folder `demo/` of the repository and are compiled in. Adding one takes a file there and a line here.

use crate::question::{Question, read_changes, read_question};
use crate::record::{Record, parse};

/// Name of the workshop.
pub const WORKSHOP: &str = "Millrace Cycles (demo)";

macro_rules! files {
    ($folder:literal: $($stem:literal),+ $(,)?) => {
        &[$(($stem, include_str!(concat!("../../../demo/", $folder, "/", $stem, ".toml")))),+]
    };
}

const BIKES: &[(&str, &str)] = files! { "bikes":
    "alder-e",
    "bramble",
    "bulrush-150",
    "clover-24",
    "guelder-160",
    "hornbeam-170",
    "larch-150",
    "medlar-140",
    "osier-130",
    "samphire-145",
    "sedge",
    "tansy-110",
    "teasel",
    "tormentil-150",
    "yarrow",
};

const QUESTIONS: &[(&str, &str)] = files! { "questions":
    "01-longer-fork-stem-down-higher-bar",
    "02-wider-rear-tyre",
    "03-thicker-bar",
    "04-longer-fork-on-old-hardtail",
    "05-lower-front",
    "06-slacker-headset",
    "07-smaller-rear-wheel",
    "08-shorter-cranks",
    "09-shorter-stroke",
    "10-child-has-grown",
    "11-stem-turned-over",
    "12-bar-rolled-up",
    "13-fork-on-doubtful-chart",
    "14-all-spacers-below",
    "15-wider-front-tyre",
    "16-mark-after-a-crash",
    "17-lever-to-the-bar",
    "18-seat-post-slips",
    "19-higher-bar-and-stem-down",
    "20-longer-fork-than-rear",
    "21-claimed-spacer",
    "22-longer-stroke",
    "23-heavier-rider",
    "24-without-the-idler",
    "25-ten-millimetres-less",
    "26-pivot-up-high",
    "27-offset-bushings",
    "28-easier-gears-for-the-mountains",
    "29-larger-rotor-for-long-descents",
};

const INSPECTIONS: &[(&str, &str)] = files! { "inspections":
    "16-mark-after-a-crash",
    "17-lever-to-the-bar",
};

/// A drawing that stands for a photo of an inspection, by the name of its question's file, with what it shows and its marks.
#[derive(Clone, Copy, Debug)]
pub struct Photo {
    /// Name of the question's file without the ending.
    pub stem: &'static str,
    /// The picture, a JPEG.
    pub jpeg: &'static [u8],
    /// What it shows.
    pub caption: &'static str,
    /// What is drawn on it, one mark a line.
    pub marks: &'static str,
}

/// Every picture.
pub const PHOTOS: &[Photo] = &[Photo {
    stem: "16-mark-after-a-crash",
    jpeg: include_bytes!("../../../demo/pictures/16-mark-after-a-crash.jpg"),
    caption: "Down tube, left, the lamp held flat from the right; an invented drawing",
    marks: "circle 51 46 14 the line\nmeasure 41 55 62.5 47.5 48 mm",
}];

/// What was inspected: the name of the question's file, and a file of answers.
pub fn inspections() -> &'static [(&'static str, &'static str)] {
    INSPECTIONS
}

/// Every bike: its file's name without the ending, and its text.
pub fn bikes() -> &'static [(&'static str, &'static str)] {
    BIKES
}

/// Every question: its file's name without the ending, and its text. The first is the one to show first.
pub fn questions() -> &'static [(&'static str, &'static str)] {
    QUESTIONS
}

/// The workshop's stock as a table of parts, for [`crate::shelf`].
pub fn stock() -> &'static str {
    include_str!("../../../demo/stock.csv")
}

/// What lies in the workshop's drawer, with prices and counts, for [`crate::shelf`] and [`crate::backwards`].
pub fn drawer() -> &'static str {
    include_str!("../../../demo/drawer.csv")
}

/// A bike of the workshop by its file's name without the ending; `None` when it has no such bike.
pub fn bike(stem: &str) -> Option<Record> {
    let text = text(BIKES, stem)?;
    let parsed = parse(stem, text).unwrap_or_else(|errors| panic!("demo bike {stem}: {errors:?}"));
    Some(parsed.record)
}

/// A question of the workshop, ready to be answered, by its file's name without the ending.
///
/// ```
/// use knockon_trade::{demo, findings::answer};
/// let question = demo::question(demo::questions()[0].0);
/// assert_eq!(question.record.title(), "Larch 150, size M");
/// assert!(answer(question).is_ok());
/// ```
///
/// # Panics
/// When `stem` is not one of [`questions`]. A file that cannot be read is a fault of the build; a test reads every one.
pub fn question(stem: &str) -> Question {
    let text = text(QUESTIONS, stem).unwrap_or_else(|| panic!("the demo workshop has no question {stem}"));
    let asked = read_question(stem, text).unwrap_or_else(|errors| panic!("demo question {stem}: {errors:?}"));
    let read =
        read_changes(&asked.changes).unwrap_or_else(|errors| panic!("demo question {stem}: {errors:?}"));
    let record = bike(&asked.bike).unwrap_or_else(|| panic!("demo question {stem}: no bike {}", asked.bike));
    Question { asked: asked.asked, record, changes: read.changes, inspections: Vec::new() }
}

fn text(files: &[(&str, &'static str)], stem: &str) -> Option<&'static str> {
    files.iter().find(|(name, _)| *name == stem).map(|(_, text)| *text)
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use crate::inspection::mark::read_marks;
    use crate::inspection::script::read_answers;

    use super::*;

    /// File names without their ending, and texts, of a folder on disk, in order.
    fn on_disk(folder: &str) -> Vec<(String, String)> {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(folder);
        let mut files: Vec<(String, String)> = std::fs::read_dir(&folder)
            .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
            .map(|entry| {
                let path = entry.expect("an entry of the folder").path();
                assert_eq!(
                    path.extension().and_then(|ending| ending.to_str()),
                    Some("toml"),
                    "{}",
                    path.display()
                );
                let stem = path.file_stem().and_then(|stem| stem.to_str()).expect("a name").to_owned();
                (stem, std::fs::read_to_string(&path).expect("a text"))
            })
            .collect();
        files.sort();
        files
    }

    #[test]
    fn every_file_of_the_demo_is_compiled_in() {
        for (folder, files) in
            [("bikes", bikes()), ("questions", questions()), ("inspections", inspections())]
        {
            let embedded: Vec<(String, String)> =
                files.iter().map(|(stem, text)| ((*stem).to_owned(), (*text).to_owned())).collect();
            assert_eq!(embedded, on_disk(folder), "{folder}");
        }
    }

    #[test]
    fn every_inspection_reads_and_belongs_to_a_question() {
        for (stem, text) in inspections() {
            assert!(questions().iter().any(|(known, _)| known == stem), "{stem}");
            let script =
                read_answers(stem, text, None).unwrap_or_else(|problems| panic!("{stem}: {problems:?}"));
            assert!(!script.observations.is_empty());
        }
        for photo in PHOTOS {
            assert!(inspections().iter().any(|(stem, _)| *stem == photo.stem), "{}", photo.stem);
            assert!(read_marks(photo.marks).is_ok() && photo.caption.contains("invented"), "{}", photo.stem);
        }
    }

    #[test]
    fn a_bike_that_is_not_there_is_none() {
        assert!(bike("larch-151").is_none());
        assert_eq!(bike("larch-150").and_then(|record| record.name).as_deref(), Some("Larch 150"));
    }
}
