//! Published sheets: rendered once, kept as they were, under an address that nobody guesses.
//!
//! A further sheet on the same question is the next revision under the same address; the earlier ones stay. The tables
//! refuse to alter or remove one.

use knockon_sheet::inspection::data_uri;
use knockon_sheet::text::{Style, text};
use knockon_sheet::{drawing, html, json, markdown};
use rand::RngExt;
use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};

use crate::answer::{Answered, Basis};
use crate::error::missing;
use crate::{Desk, DeskError, Draft, PhotoId, QuestionId, Result, Stamp, State, photo, question, search};

/// How a published sheet was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Format {
    /// A page on its own.
    Html,
    /// The drawing sheet.
    Svg,
    /// CommonMark with tables.
    Markdown,
    /// Plain text, 80 columns.
    Text,
    /// Every figure, for programs.
    Json,
}

impl Format {
    /// Every format.
    pub const ALL: [Format; 5] = [Format::Html, Format::Svg, Format::Markdown, Format::Text, Format::Json];

    /// Ending of a file of this format, without the dot.
    pub fn extension(self) -> &'static str {
        match self {
            Format::Html => "html",
            Format::Svg => "svg",
            Format::Markdown => "md",
            Format::Text => "txt",
            Format::Json => "json",
        }
    }

    /// Media type, with the character set where it is text.
    pub fn media_type(self) -> &'static str {
        match self {
            Format::Html => "text/html; charset=utf-8",
            Format::Svg => "image/svg+xml",
            Format::Markdown => "text/markdown; charset=utf-8",
            Format::Text => "text/plain; charset=utf-8",
            Format::Json => "application/json",
        }
    }

    /// The format of a file's ending.
    pub fn of_extension(extension: &str) -> Option<Format> {
        Format::ALL.into_iter().find(|format| format.extension() == extension)
    }
}

/// Which of a question's two ways.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Way {
    /// The changes.
    #[default]
    First,
    /// Those that stand beside them.
    Instead,
}

impl Way {
    /// Both.
    pub const ALL: [Way; 2] = [Way::First, Way::Instead];

    /// As an address and the file have it: "first", "instead".
    pub fn key(self) -> &'static str {
        match self {
            Way::First => "first",
            Way::Instead => "instead",
        }
    }

    /// The way of a key.
    pub fn of_key(key: &str) -> Option<Way> {
        Way::ALL.into_iter().find(|way| way.key() == key)
    }
}

/// One revision of a published sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Publication {
    /// Its short address: 8 letters and digits that nobody guesses.
    pub code: String,
    /// The question.
    pub question: QuestionId,
    /// What the sheet is headed with.
    pub title: String,
    /// Bike and size.
    pub bike: String,
    /// The answer in a handful of words.
    pub headline: String,
    /// This revision, from 1.
    pub revision: u32,
    /// The newest revision under the same address.
    pub revisions: u32,
    /// Who published it, and when.
    pub stamp: Stamp,
}

/// Columns of the stored plain text.
const TEXT_COLUMNS: usize = 80;

/// How often to render anew when somebody edits the question meanwhile.
const ATTEMPTS: usize = 5;

/// What codes are made of: letters and digits that nobody mistakes for each other on paper. Eight of them are 39 bits.
const LETTERS: &[u8; 31] = b"23456789abcdefghjkmnpqrstuvwxyz";

const REVISIONS: &str = "SELECT revisions FROM publication WHERE question = ?1";
const START: &str = "INSERT INTO publication (question, code, revisions, at) VALUES (?1, ?2, 1, ?3)
    ON CONFLICT (question) DO UPDATE SET revisions = revisions + 1, at = ?3";
const CODE_TAKEN: &str = "SELECT EXISTS (SELECT 1 FROM publication WHERE code = ?1)";
const CODE_CLASH: &str = "SELECT EXISTS (SELECT 1 FROM publication WHERE (code = ?1) <> (question = ?2) AND (code = ?1 OR question = ?2))";
const ADD: &str = "INSERT INTO sheet
    (question, revision, way, title, bike, headline, sentences, record, changes, at, who)
    VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)";
const ADD_FILE: &str = "INSERT INTO sheet_file (question, revision, format, content) VALUES (?1, ?2, ?3, ?4)";
const ONE: &str =
    "SELECT code, publication.question, title, bike, headline, revision, revisions, sheet.at, sheet.who
    FROM publication JOIN sheet ON sheet.question = publication.question
    WHERE publication.question = ?1 AND revision = coalesce(?2, revisions)";
const OF_CODE: &str = "SELECT question FROM publication WHERE code = ?1";
const LIST: &str = "SELECT question FROM publication ORDER BY at DESC, question DESC LIMIT ?1 OFFSET ?2";
const FIND: &str = "SELECT question FROM question_words JOIN publication ON question = question_words.rowid
    WHERE question_words MATCH ?3 ORDER BY at DESC, question DESC LIMIT ?1 OFFSET ?2";
const FILE: &str =
    "SELECT content FROM publication JOIN sheet_file ON sheet_file.question = publication.question
    WHERE code = ?1 AND revision = ?2 AND format = ?3";

/// A sheet that is ready to be stored.
pub(crate) struct Rendered {
    pub(crate) way: Way,
    pub(crate) title: String,
    pub(crate) bike: String,
    pub(crate) headline: String,
    pub(crate) sentences: String,
    pub(crate) record: String,
    pub(crate) changes: String,
    pub(crate) files: [(Format, String); 5],
}

impl Desk {
    /// Publishes the answer to a question: renders every format, stores it for good with the record and the changes that it
    /// came from, and marks the question as answered. A second time gives the next revision under the same address.
    ///
    /// # Errors
    /// As [`Desk::answer_of`]; [`DeskError::Refused`] when there is no second way; [`DeskError::Conflict`] when others keep
    /// editing the question.
    pub fn publish(&self, id: QuestionId, which: Way, stamp: &Stamp) -> Result<Publication> {
        self.publish_if(id, which, stamp, |_| true)
    }

    /// The same for a draft that somebody has looked at: what others said meanwhile is not published in their name.
    ///
    /// # Errors
    /// As [`Desk::publish`]; [`DeskError::Conflict`] when the question has another draft by now.
    pub fn publish_draft(
        &self,
        id: QuestionId,
        which: Way,
        seen: &Draft,
        stamp: &Stamp,
    ) -> Result<Publication> {
        self.publish_if(id, which, stamp, |now| now.changes == seen.changes && now.instead == seen.instead)
    }

    /// A photo as a sheet holds it in itself.
    pub(crate) fn printed(&self, id: PhotoId) -> Result<String> {
        let jpeg = self.read(|connection| photo::jpeg(connection, id))?;
        let _alone = self.darkroom();
        Ok(data_uri("image/jpeg", &photo::print(&jpeg)?))
    }

    fn publish_if(
        &self,
        id: QuestionId,
        which: Way,
        stamp: &Stamp,
        is_meant: impl Fn(&Draft) -> bool,
    ) -> Result<Publication> {
        // Rendering takes a while and must not hold up other writers. The number is part of what is rendered, so it is
        // guessed, and rendered again where the guess or the question was overtaken.
        for _ in 0..ATTEMPTS {
            let (basis, revision) =
                self.read(|connection| Ok((Basis::read(connection, id)?, next_revision(connection, id)?)))?;
            if !is_meant(&basis.question.draft) {
                break;
            }
            let rendered = render(&basis, which, revision, stamp, &|id| self.printed(id))?;
            let stored = self.write(|tx| {
                let now = Basis::read(tx, id)?;
                let overtaken = now.question.version != basis.question.version
                    || now.question.draft != basis.question.draft
                    || now.bike != basis.bike
                    || now.inspections != basis.inspections
                    || now.photos != basis.photos
                    || next_revision(tx, id)? != revision;
                if overtaken { Ok(None) } else { store(tx, id, &rendered, revision, stamp).map(Some) }
            })?;
            if let Some(publication) = stored {
                return Ok(publication);
            }
        }
        Err(DeskError::Conflict { what: "question", now: self.question(id)?.version })
    }

    /// Published sheets, the newest revision of each, newest first; with words, those whose question has all of them.
    pub fn publications(&self, words: &str, offset: u32, limit: u32) -> Result<Vec<Publication>> {
        let id = |row: &Row<'_>| row.get::<_, QuestionId>(0);
        self.read(|connection| {
            let ids: Vec<QuestionId> = if words.trim().is_empty() {
                let mut list = connection.prepare_cached(LIST)?;
                list.query_map(params![limit, offset], id)?.collect::<rusqlite::Result<_>>()?
            } else {
                let Some(typed) = search::typed(words) else { return Ok(Vec::new()) };
                let mut find = connection.prepare_cached(FIND)?;
                let query = search::published(&typed);
                find.query_map(params![limit, offset, query], id)?.collect::<rusqlite::Result<_>>()?
            };
            ids.into_iter().map(|id| one(connection, id, None)).collect()
        })
    }

    /// A published sheet by its address: one revision, or the newest.
    pub fn publication(&self, code: &str, revision: Option<u32>) -> Result<Publication> {
        self.read(|connection| {
            let mut statement = connection.prepare_cached(OF_CODE)?;
            let id = statement.query_row([code], |row| row.get(0)).map_err(missing("sheet", &code))?;
            one(connection, id, revision)
        })
    }

    /// The newest published sheet of a question.
    pub fn publication_of(&self, question: QuestionId) -> Result<Option<Publication>> {
        self.read(|connection| match one(connection, question, None) {
            Err(DeskError::NotFound { .. }) => Ok(None),
            found => found.map(Some),
        })
    }

    /// A published sheet as it was written.
    pub fn published_file(&self, code: &str, revision: u32, format: Format) -> Result<String> {
        self.read(|connection| {
            let mut statement = connection.prepare_cached(FILE)?;
            let content = statement.query_row(params![code, revision, format.extension()], |row| row.get(0));
            content.map_err(missing("sheet", &format!("{code}, revision {revision}")))
        })
    }
}

/// The revision that comes next.
pub(crate) fn next_revision(connection: &Connection, id: QuestionId) -> Result<u32> {
    let mut statement = connection.prepare_cached(REVISIONS)?;
    let newest: Option<u32> = statement.query_row([id], |row| row.get(0)).optional()?;
    Ok(newest.unwrap_or(0) + 1)
}

/// Writes the sheet in every format.
pub(crate) fn render(
    basis: &Basis,
    way: Way,
    revision: u32,
    stamp: &Stamp,
    picture: &dyn Fn(PhotoId) -> Result<String>,
) -> Result<Rendered> {
    let draft = &basis.question.draft;
    let changes = match way {
        Way::First => &draft.changes,
        Way::Instead => draft.instead.as_ref().ok_or_else(|| {
            DeskError::refused("there is no second way to publish", "publish the first, or add a second way")
        })?,
    };
    let number = format!("{:04} / {revision}", basis.question.id);
    let Answered { findings, sheet, .. } = basis.answer(changes, &number, drawn(stamp), picture)?;
    Ok(Rendered {
        way,
        title: sheet.title.question.clone(),
        bike: sheet.title.bike.clone(),
        headline: sheet.answer.headline.clone(),
        sentences: sheet.answer.sentences.join(" "),
        record: basis.bike.as_ref().map(|bike| bike.text.clone()).unwrap_or_default(),
        changes: changes.clone(),
        files: [
            (Format::Html, html::html(&sheet)),
            (Format::Svg, drawing::sheet_svg(&sheet)),
            (Format::Markdown, markdown::markdown(&sheet)),
            (Format::Text, text(&sheet, TEXT_COLUMNS, Style::Plain)),
            (Format::Json, json::json(&findings)),
        ],
    })
}

/// Stores a sheet and marks its question as answered.
pub(crate) fn store(
    tx: &Transaction<'_>,
    id: QuestionId,
    rendered: &Rendered,
    revision: u32,
    stamp: &Stamp,
) -> Result<Publication> {
    add(tx, id, None, rendered, revision, stamp)?;
    question::set_state(tx, id, State::Answered, stamp)?;
    one(tx, id, Some(revision))
}

/// Adds one revision under a question's address, which is made, or given, with the first one.
pub(crate) fn add(
    tx: &Transaction<'_>,
    id: QuestionId,
    code: Option<&str>,
    rendered: &Rendered,
    revision: u32,
    stamp: &Stamp,
) -> Result<()> {
    let code = code.map_or_else(|| free_code(tx), |code| Ok(code.to_owned()))?;
    tx.prepare_cached(START)?.execute(params![id, code, stamp.millis()])?;
    tx.prepare_cached(ADD)?.execute(params![
        id,
        revision,
        rendered.way.key(),
        rendered.title,
        rendered.bike,
        rendered.headline,
        rendered.sentences,
        rendered.record,
        rendered.changes,
        stamp.millis(),
        stamp.who
    ])?;
    for (format, content) in &rendered.files {
        tx.prepare_cached(ADD_FILE)?.execute(params![id, revision, format.extension(), content])?;
    }
    Ok(())
}

/// Whether a text can be an address.
pub(crate) fn is_code(code: &str) -> bool {
    code.len() == 8 && code.bytes().all(|byte| byte.is_ascii_digit() || byte.is_ascii_lowercase())
}

/// Whether an address is this question's, or nobody's while the question has none.
pub(crate) fn is_free(connection: &Connection, id: QuestionId, code: &str) -> Result<bool> {
    let mut clash = connection.prepare_cached(CODE_CLASH)?;
    Ok(!clash.query_row(params![code, id], |row| row.get::<_, bool>(0))?)
}

fn free_code(connection: &Connection) -> Result<String> {
    let mut taken = connection.prepare_cached(CODE_TAKEN)?;
    loop {
        let mut random = rand::rng();
        let code: String =
            (0..8).map(|_| char::from(LETTERS[random.random_range(0..LETTERS.len())])).collect();
        if !taken.query_row([&code], |row| row.get::<_, bool>(0))? {
            return Ok(code);
        }
    }
}

/// When it was drawn, where the workshop is, and by whom.
pub(crate) fn drawn(stamp: &Stamp) -> String {
    let date = stamp.at.to_zoned_datetime(jiff::tz::TimeZone::system()).strftime("%-d %b %Y");
    if stamp.who == Stamp::UNNAMED { date.to_string() } else { format!("{date}, {}", stamp.who) }
}

fn one(connection: &Connection, id: QuestionId, revision: Option<u32>) -> Result<Publication> {
    let mut statement = connection.prepare_cached(ONE)?;
    let mut rows = statement.query(params![id, revision])?;
    let row = rows.next()?.ok_or(rusqlite::Error::QueryReturnedNoRows);
    let row = row.map_err(missing("sheet", &format!("of question {id}")))?;
    Ok(Publication {
        code: row.get(0)?,
        question: row.get(1)?,
        title: row.get(2)?,
        bike: row.get(3)?,
        headline: row.get(4)?,
        revision: row.get(5)?,
        revisions: row.get(6)?,
        stamp: Stamp::read(row, 7)?,
    })
}
