//! An invented workshop to try things on: bikes and questions of `knockon_trade::demo`, as if they had come in over the last
//! weeks. None of the riders exists.

use std::collections::BTreeMap;

use jiff::SignedDuration;
use knockon_trade::inspection::Inspected;
use knockon_trade::inspection::script::read_answers;
use knockon_trade::{demo, question::read_question};
use rusqlite::Transaction;

use crate::answer::Basis;
use crate::{
    BikeId, Desk, DeskError, PhotoId, QuestionEdit, QuestionId, Result, Settings, Stamp, State, Way,
};
use crate::{bike, draft, folder, inspection, photo, publish, question, search, settings};

/// How a question of the demo stands, by the number that its file begins with.
struct Standing {
    number: u32,
    /// How long ago it came in, in hours.
    age: i64,
    rider: &'static str,
    state: State,
    /// The technician's notes.
    notes: &'static str,
}

impl Standing {
    const fn new(number: u32, age: i64, rider: &'static str, state: State) -> Standing {
        Standing { number, age, rider, state, notes: "" }
    }

    const fn noted(self, notes: &'static str) -> Standing {
        Standing { notes, ..self }
    }
}

/// A rider at the counter, who left no name.
const COUNTER: &str = "";

const STANDINGS: [Standing; 21] = [
    Standing::new(1, 2, "Marten", State::New),
    Standing::new(28, 4, "Sunniva", State::New),
    Standing::new(19, 5, "Marten", State::New),
    Standing::new(16, 9, COUNTER, State::New),
    Standing::new(29, 14, "", State::New),
    Standing::new(3, 20, "Odile", State::New),
    Standing::new(17, 27, "Brigid", State::New),
    Standing::new(5, 31, "", State::New),
    Standing::new(18, 50, COUNTER, State::Waiting)
        .noted("Asked for a photo of the post with its marks, and for the tube's inside diameter."),
    Standing::new(6, 76, "Ruben", State::New),
    Standing::new(13, 99, "Ilse", State::Waiting)
        .noted("The chart contradicts itself. Asked for axle to crown of the old fork, measured."),
    Standing::new(12, 122, "Anselm", State::New),
    Standing::new(7, 150, "Marten", State::New),
    Standing::new(10, 196, "Wanda, for her daughter", State::Answered)
        .noted("Look at the seat post's mark when she comes for the stem."),
    Standing::new(8, 244, "Brigid", State::New),
    Standing::new(15, 291, "Anselm", State::New),
    Standing::new(9, 341, "Ruben", State::Waiting)
        .noted("Waits for eye to eye and stroke from the shock's own label."),
    Standing::new(11, 412, "", State::Answered),
    Standing::new(14, 508, "Tove", State::SetAside)
        .noted("Came by; we measured the steerer at the stand instead."),
    Standing::new(4, 631, COUNTER, State::New).noted("Frame first: no maker's limit for the fork is known."),
    Standing::new(2, 745, "Marten", State::Answered),
];

/// A file of the demo with how its question stands.
struct Entry {
    text: &'static str,
    stem: &'static str,
    standing: Standing,
}

impl Desk {
    /// Fills an empty workshop with the demo; does nothing and returns false when there is anything in it. The stamp is when
    /// it was "now": questions came in before that.
    pub fn load_demo(&self, stamp: &Stamp) -> Result<bool> {
        self.write(|tx| {
            if !folder::is_empty(tx)? {
                return Ok(false);
            }
            load(tx, stamp)?;
            Ok(true)
        })
    }
}

fn load(tx: &Transaction<'_>, stamp: &Stamp) -> Result<()> {
    let mut own = settings::read(tx)?;
    if own == Settings::default() {
        own.workshop = demo::WORKSHOP.to_owned();
        settings::write(tx, &own, stamp)?;
    }
    let mut bikes = BTreeMap::new();
    // The bike that is shown first was touched last.
    for (age, (stem, text)) in (800..).zip(demo::bikes()) {
        let record = bike::read_record(stem, text)?;
        let added = earlier(stamp, age)?;
        bikes.insert(*stem, bike::add(tx, &record, text, "", &added)?);
    }
    for entry in entries() {
        add(tx, &entry, &bikes, stamp)?;
    }
    Ok(())
}

/// The questions in the order in which they came in.
fn entries() -> Vec<Entry> {
    let mut entries: Vec<Entry> = demo::questions()
        .iter()
        .map(|(stem, text)| {
            let number = stem.split('-').next().and_then(|digits| digits.parse().ok()).unwrap_or(0);
            let standing = STANDINGS.into_iter().find(|standing| standing.number == number);
            // One that was added later than this table lies between the others.
            let standing =
                standing.unwrap_or_else(|| Standing::new(number, 800 - i64::from(number), "", State::New));
            Entry { text, stem, standing }
        })
        .collect();
    entries.sort_by_key(|entry| std::cmp::Reverse(entry.standing.age));
    entries
}

fn add(tx: &Transaction<'_>, entry: &Entry, bikes: &BTreeMap<&str, BikeId>, stamp: &Stamp) -> Result<()> {
    let asked = read_question(entry.stem, entry.text).map_err(DeskError::Changes)?;
    let standing = &entry.standing;
    let came = earlier(stamp, standing.age)?;
    // Somebody looked at it three hours later; a new one nobody has.
    let looked = if standing.state == State::New { came.clone() } else { earlier(stamp, standing.age - 3)? };
    let edit = QuestionEdit {
        asked: asked.asked,
        rider: standing.rider.to_owned(),
        bike: bikes.get(asked.bike.as_str()).copied(),
        notes: standing.notes.to_owned(),
        state: if standing.state == State::Answered { State::New } else { standing.state },
    };
    let id = question::add(tx, None, &edit, came.at, &looked)?;
    draft::add(tx, id, 1, &asked.changes.join("\n"), None, &came)?;
    search::mirror_question(tx, id)?;
    inspect(tx, entry, id, &looked)?;
    if standing.state == State::Answered {
        let rendered = publish::render(&Basis::read(tx, id)?, Way::First, 1, &looked, &no_photo)?;
        publish::store(tx, id, &rendered, 1, &looked)?;
    }
    Ok(())
}

/// What was inspected for a question, with its picture.
fn inspect(tx: &Transaction<'_>, entry: &Entry, question: QuestionId, stamp: &Stamp) -> Result<()> {
    let Some((stem, text)) = demo::inspections().iter().find(|(stem, _)| *stem == entry.stem) else {
        return Ok(());
    };
    let script = read_answers(stem, text, None).map_err(DeskError::Folder)?;
    let found = Inspected::new(script.protocol, "", script.observations);
    let new = inspection::new(question, &found, stamp);
    let id = inspection::add(tx, None, &new)?;
    for shown in demo::PHOTOS.iter().filter(|shown| shown.stem == entry.stem) {
        let picture = photo::bare(shown.jpeg)?;
        let about = photo::About { caption: shown.caption, inspection: Some(id), marks: shown.marks };
        photo::add(tx, None, question, &picture, &about, stamp)?;
    }
    Ok(())
}

/// The demo's answered questions have no photos.
fn no_photo(id: PhotoId) -> Result<String> {
    Err(DeskError::NotFound { what: "photo", id: id.to_string() })
}

/// The same person some hours earlier.
fn earlier(stamp: &Stamp, hours: i64) -> Result<Stamp> {
    let at = stamp
        .at
        .checked_sub(SignedDuration::from_hours(hours))
        .map_err(|_| DeskError::refused("the demo reaches back further than time does", "set the clock"))?;
    Ok(Stamp { at, who: stamp.who.clone() })
}
