//! Lists of questions, narrowed and searched.
//!
//! Every list begins with what presses: open questions with a safety word; then it goes on with the newest. Full-text search
//! keeps to the same order. What somebody types is never read as a query: each word is quoted, and the last one may be
//! unfinished.

use std::collections::BTreeMap;

use jiff::Timestamp;
use knockon_trade::question::read_changes;
use knockon_trade::record::Record;
use rusqlite::{Connection, ToSql, Transaction, params};

use crate::error::{broken, missing};
use crate::question::lines;
use crate::stamp::moment;
use crate::{BikeId, Desk, QuestionId, Result, State};

/// Which questions to list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Filter {
    /// Words that each question has, in what was asked or answered, who asked, bike, changes or notes; empty for any.
    pub words: String,
    /// The state; none for any.
    pub state: Option<State>,
    /// Only open questions with a safety word.
    pub urgent: bool,
    /// The bike; none for any.
    pub bike: Option<BikeId>,
    /// How many to pass over.
    pub offset: u32,
    /// How many to list at most.
    pub limit: u32,
}

impl Default for Filter {
    fn default() -> Self {
        Filter { words: String::new(), state: None, urgent: false, bike: None, offset: 0, limit: 50 }
    }
}

/// A question in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct QuestionRow {
    /// Its number.
    pub id: QuestionId,
    /// What was asked.
    pub asked: String,
    /// Who asked.
    pub rider: String,
    /// The bike and its title.
    pub bike: Option<(BikeId, String)>,
    /// How far it has come.
    pub state: State,
    /// When it came in.
    pub came: Timestamp,
    /// Safety words in what was asked.
    pub urgent: Vec<String>,
    /// Headline of the newest published sheet.
    pub answer: Option<String>,
    /// Where the words were found: pieces of text, true for a hit. None where nothing was searched.
    pub excerpt: Option<Vec<(String, bool)>>,
}

/// One page of a list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct QuestionPage {
    /// The questions.
    pub rows: Vec<QuestionRow>,
    /// Whether there are more after them.
    pub more: bool,
}

/// How many questions there are in each state.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// New ones.
    pub new: u32,
    /// Waiting for the rider.
    pub waiting: u32,
    /// Answered.
    pub answered: u32,
    /// Set aside.
    pub set_aside: u32,
    /// Open ones with a safety word.
    pub urgent: u32,
}

// Lists without words: each is one walk through an index, however many questions there are.
const ALL: &str = "SELECT id FROM question ORDER BY pressing DESC, id DESC LIMIT ?1 OFFSET ?2";
const URGENT: &str = "SELECT id FROM question WHERE pressing = 1 ORDER BY id DESC LIMIT ?1 OFFSET ?2";
const BY_STATE: &str =
    "SELECT id FROM question WHERE state = ?3 ORDER BY pressing DESC, id DESC LIMIT ?1 OFFSET ?2";
const BY_BIKE: &str =
    "SELECT id FROM question WHERE bike = ?3 ORDER BY pressing DESC, id DESC LIMIT ?1 OFFSET ?2";
// Lists by more than one mark, and with words, go through the full-text index: ?3 is the query.
const BY_WORDS: &str =
    "SELECT rowid FROM question_words WHERE question_words MATCH ?3 ORDER BY rowid DESC LIMIT ?1 OFFSET ?2";

const ROW: &str = "SELECT question.id, asked, rider, question.bike, bike.title, state, came, urgent,
        (SELECT headline FROM publication JOIN sheet ON sheet.question = publication.question
            AND revision = revisions WHERE publication.question = question.id)
    FROM question LEFT JOIN bike ON bike.id = question.bike WHERE question.id = ?1";
// The + keeps the index from being asked once for each row: an unfinished word is costly to look up.
const EXCERPTS: &str = "SELECT rowid, snippet(question_words, -1, char(1), char(2), '…', 24)
    FROM question_words WHERE question_words MATCH ?1 AND rowid BETWEEN ?2 AND ?3
    AND +rowid IN (SELECT value FROM json_each(?4))";
const COUNT: &str = "SELECT state, count(*) FROM question GROUP BY state";
const COUNT_URGENT: &str = "SELECT count(*) FROM question WHERE pressing = 1";

/// Columns that a search looks into.
const LOOKED_INTO: &str = "{asked rider bike changes answer notes}";

/// Most words of a search that count, and most characters of each.
const MOST_WORDS: usize = 16;
const LONGEST_WORD: usize = 80;

impl Desk {
    /// Lists questions: what presses first, then the newest.
    pub fn questions(&self, filter: &Filter) -> Result<QuestionPage> {
        let words = filter.words.trim();
        let query = typed(words);
        if query.is_none() && !words.is_empty() {
            // Nothing of what was typed is a word: no text has it.
            return Ok(QuestionPage::default());
        }
        self.read(|connection| {
            let mut ids = match found(filter, query.as_deref()) {
                Some(marks) => by_words(connection, &marks, filter)?,
                None => listed(connection, filter)?,
            };
            let more = ids.len() > filter.limit as usize;
            ids.truncate(filter.limit as usize);
            let mut rows: Vec<QuestionRow> =
                ids.into_iter().map(|id| row(connection, id)).collect::<Result<_>>()?;
            if let Some(query) = &query {
                excerpts(connection, &mut rows, query)?;
            }
            Ok(QuestionPage { rows, more })
        })
    }

    /// How many questions there are in each state.
    pub fn counts(&self) -> Result<Counts> {
        self.read(|connection| {
            let mut counts = Counts::default();
            let mut statement = connection.prepare_cached(COUNT)?;
            let mut rows = statement.query([])?;
            while let Some(row) = rows.next()? {
                let (state, count): (String, u32) = (row.get(0)?, row.get(1)?);
                match State::of_key(&state).ok_or_else(|| broken("an unknown state"))? {
                    State::New => counts.new = count,
                    State::Waiting => counts.waiting = count,
                    State::Answered => counts.answered = count,
                    State::SetAside => counts.set_aside = count,
                }
            }
            counts.urgent = connection.prepare_cached(COUNT_URGENT)?.query_row([], |row| row.get(0))?;
            Ok(counts)
        })
    }
}

/// A page of a list that needs no more than one index; one row more than asked for tells whether there are more.
fn listed(connection: &Connection, filter: &Filter) -> Result<Vec<QuestionId>> {
    let (limit, offset) = (filter.limit.saturating_add(1), filter.offset);
    let pick = |sql: &str, narrow: &[&dyn ToSql]| ids(connection, sql, limit, offset, narrow);
    match (filter.state, filter.bike) {
        (Some(state), _) => pick(BY_STATE, &[&state.key()]),
        (None, Some(bike)) => pick(BY_BIKE, &[&bike]),
        (None, None) if filter.urgent => pick(URGENT, &[]),
        (None, None) => pick(ALL, &[]),
    }
}

/// A page of a list that goes through the full-text index: first what presses, then the rest.
fn by_words(connection: &Connection, query: &str, filter: &Filter) -> Result<Vec<QuestionId>> {
    let (wanted, offset) = (filter.limit.saturating_add(1), filter.offset);
    let pressing = format!("{query} AND marks : \"{PRESSING}\"");
    let mut page = ids(connection, BY_WORDS, wanted.saturating_add(offset), 0, &[&pressing])?;
    let before = page.len() as u32;
    page.drain(..before.min(offset) as usize);
    let left = wanted - page.len() as u32;
    if left > 0 && !filter.urgent {
        let rest = format!("{query} NOT marks : \"{PRESSING}\"");
        page.extend(ids(connection, BY_WORDS, left, offset.saturating_sub(before), &[&rest])?);
    }
    Ok(page)
}

fn ids(
    connection: &Connection,
    sql: &str,
    limit: u32,
    offset: u32,
    narrow: &[&dyn ToSql],
) -> Result<Vec<QuestionId>> {
    let mut statement = connection.prepare_cached(sql)?;
    let mut values: Vec<&dyn ToSql> = vec![&limit, &offset];
    values.extend(narrow);
    let rows = statement.query_map(values.as_slice(), |row| row.get(0))?;
    Ok(rows.collect::<rusqlite::Result<_>>()?)
}

/// The full-text query of a filter; none when one index of the table suffices.
fn found(filter: &Filter, typed: Option<&str>) -> Option<String> {
    let marks =
        usize::from(filter.state.is_some()) + usize::from(filter.urgent) + usize::from(filter.bike.is_some());
    if typed.is_none() && marks <= 1 {
        return None;
    }
    let words = typed.map(|query| format!("{LOOKED_INTO} : ({query})"));
    let state = filter.state.map(|state| format!("marks : \"{}\"", state_mark(state)));
    let bike = filter.bike.map(|bike| format!("marks : \"{}\"", bike_mark(bike)));
    // What presses is picked out by whoever uses this.
    let all = format!("marks : \"{EVERY}\"");
    let parts: Vec<String> = [words, state, bike].into_iter().flatten().collect();
    Some(format!("({})", if parts.is_empty() { all } else { parts.join(" AND ") }))
}

/// The query of published questions with all of the words that were typed.
pub(crate) fn published(typed: &str) -> String {
    format!("{LOOKED_INTO} : ({typed}) AND marks : \"{PUBLISHED}\"")
}

/// A question as a list shows it.
pub(crate) fn row(connection: &Connection, id: QuestionId) -> Result<QuestionRow> {
    let mut statement = connection.prepare_cached(ROW)?;
    let mut rows = statement.query([id])?;
    let row = rows.next()?.ok_or(rusqlite::Error::QueryReturnedNoRows).map_err(missing("question", &id))?;
    let state: String = row.get(5)?;
    let bike: Option<BikeId> = row.get(3)?;
    Ok(QuestionRow {
        id: row.get(0)?,
        asked: row.get(1)?,
        rider: row.get(2)?,
        bike: bike.map(|bike| Ok::<_, rusqlite::Error>((bike, row.get(4)?))).transpose()?,
        state: State::of_key(&state).ok_or_else(|| broken("an unknown state"))?,
        came: moment(row.get(6)?)?,
        urgent: lines(&row.get::<_, String>(7)?),
        answer: row.get(8)?,
        excerpt: None,
    })
}

/// Adds to each row of a page where the words were found.
fn excerpts(connection: &Connection, rows: &mut [QuestionRow], typed: &str) -> Result<()> {
    let query = format!("{LOOKED_INTO} : ({typed})");
    let mut statement = connection.prepare_cached(EXCERPTS)?;
    let mut found = BTreeMap::new();
    // A page is at most two descending runs of numbers: what presses, and the rest.
    for run in rows.chunk_by(|before, after| before.id > after.id) {
        let (Some(first), Some(last)) = (run.first(), run.last()) else { continue };
        let ids: Vec<String> = run.iter().map(|row| row.id.to_string()).collect();
        let values = params![query, last.id, first.id, format!("[{}]", ids.join(","))];
        let excerpts = statement.query_map(values, |row| Ok((row.get(0)?, row.get::<_, String>(1)?)))?;
        for excerpt in excerpts {
            let (id, text): (QuestionId, String) = excerpt?;
            found.insert(id, pieces(&text));
        }
    }
    for row in rows {
        row.excerpt = found.remove(&row.id);
    }
    Ok(())
}

/// Takes an excerpt apart at the marks around each hit.
fn pieces(text: &str) -> Vec<(String, bool)> {
    let mut pieces = Vec::new();
    for (index, part) in text.split('\u{1}').enumerate() {
        let (hit, after) =
            if index == 0 { ("", part) } else { part.split_once('\u{2}').unwrap_or((part, "")) };
        for (piece, is_hit) in [(hit, true), (after, false)] {
            if !piece.is_empty() {
                pieces.push((piece.to_owned(), is_hit));
            }
        }
    }
    pieces
}

/// What somebody typed, as a query that every text with all of its words answers; none when there is no word in it. Each
/// word is quoted, so that no sign means anything; the last one may be unfinished.
pub(crate) fn typed(words: &str) -> Option<String> {
    let words: Vec<String> = words
        .split(|c: char| c.is_whitespace() || c.is_control())
        .filter(|word| word.chars().any(char::is_alphanumeric))
        .map(|word| word.chars().filter(|c| *c != '"').take(LONGEST_WORD).collect())
        .take(MOST_WORDS)
        .collect();
    let (last, whole) = words.split_last()?;
    let mut parts: Vec<String> = whole.iter().map(|word| quoted(word)).collect();
    let mut ways = vec![format!("{} *", quoted(last))];
    ways.extend(completed(last).iter().map(|word| quoted(word)));
    parts.push(format!("({})", ways.join(" OR ")));
    Some(parts.join(" AND "))
}

/// A word as a query's text; there is no quotation mark in it.
pub(crate) fn quoted(word: &str) -> String {
    format!("\"{word}\"")
}

/// Endings that the index cuts off: a word that stops in the middle of one would find nothing.
const ENDINGS: [&str; 6] = ["ing", "ed", "ment", "ation", "ness", "able"];

/// What an unfinished word may become: "creaki" becomes "creaking".
fn completed(word: &str) -> Vec<String> {
    let word = word.to_lowercase();
    let unfinished = |ending: &'static str| {
        let cut = (1..ending.len()).rev().find(|cut| word.ends_with(&ending[..*cut]))?;
        let stem = &word[..word.len() - cut];
        (stem.chars().count() >= 3).then(|| format!("{stem}{ending}"))
    };
    ENDINGS.into_iter().filter_map(unfinished).collect()
}

// Marks are words that nobody types: letters and digits in one piece, so that the index keeps them as they are.
const EVERY: &str = "zzevery";
const PRESSING: &str = "zzpressing";
const PUBLISHED: &str = "zzpublished";

pub(crate) fn state_mark(state: State) -> String {
    format!("zzstate{}", state as usize)
}

fn bike_mark(bike: BikeId) -> String {
    format!("zzbike{bike}")
}

/// What the changes touch, as marks: "zzthing12" for the twelfth row of the table of properties.
pub(crate) fn thing_marks(changes: &str) -> Vec<String> {
    // A line with a fault must not hide the others.
    let parts = changes.split([';', '\n']).filter_map(|line| read_changes(&[line]).ok());
    let mut marks: Vec<String> =
        parts.flat_map(|read| read.changes).map(|change| thing_mark(change.subject())).collect();
    marks.sort_unstable();
    marks.dedup();
    marks
}

/// A key of the table of properties in one piece: letters only, other signs as "q".
fn thing_mark(key: &str) -> String {
    let letters = key.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { 'q' });
    format!("zzthing{}", letters.collect::<String>())
}

const MIRRORED: &str =
    "SELECT asked, rider, question.bike, bike.title, state, pressing, notes, draft.changes,
        draft.instead, sheet.headline, sheet.sentences
    FROM question
    JOIN draft ON draft.question = question.id AND draft.number = question.draft
    LEFT JOIN bike ON bike.id = question.bike
    LEFT JOIN publication ON publication.question = question.id
    LEFT JOIN sheet ON sheet.question = publication.question AND sheet.revision = publication.revisions
    WHERE question.id = ?1";
const MIRROR: &str = "INSERT OR REPLACE INTO question_words
    (rowid, asked, rider, bike, changes, answer, notes, things, marks) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)";
const MIRROR_BIKE: &str = "INSERT OR REPLACE INTO bike_words (rowid, title, words) VALUES (?1, ?2, ?3)";

/// Writes the words of a question into the full-text index, as they are in this transaction.
pub(crate) fn mirror_question(tx: &Transaction<'_>, id: QuestionId) -> Result<()> {
    let mut statement = tx.prepare_cached(MIRRORED)?;
    let mut rows = statement.query([id])?;
    let row = rows.next()?.ok_or(rusqlite::Error::QueryReturnedNoRows).map_err(missing("question", &id))?;
    let text = |column: usize| row.get::<_, Option<String>>(column).map(Option::unwrap_or_default);
    let state: String = row.get(4)?;
    let state = State::of_key(&state).ok_or_else(|| broken("an unknown state"))?;
    let changes = format!("{}\n{}", text(7)?, text(8)?);
    let (headline, sentences) = (text(9)?, text(10)?);
    let mut marks = vec![EVERY.to_owned(), state_mark(state)];
    if row.get(5)? {
        marks.push(PRESSING.to_owned());
    }
    if let Some(bike) = row.get(2)? {
        marks.push(bike_mark(bike));
    }
    if !headline.is_empty() {
        marks.push(PUBLISHED.to_owned());
    }
    tx.prepare_cached(MIRROR)?.execute(params![
        id,
        plain(&text(0)?),
        plain(&text(1)?),
        plain(&text(3)?),
        plain(&changes),
        plain(&format!("{headline} {sentences}")),
        plain(&text(6)?),
        thing_marks(&changes).join(" "),
        marks.join(" ")
    ])?;
    Ok(())
}

/// Writes the words of a bike into the full-text index.
pub(crate) fn mirror_bike(tx: &Transaction<'_>, id: BikeId, record: &Record) -> Result<()> {
    let kind = record.kind.map_or("", knockon_trade::record::Kind::word);
    let words = format!("{kind} {}", record.note.as_deref().unwrap_or_default());
    tx.prepare_cached(MIRROR_BIKE)?.execute(params![id, plain(&record.title()), plain(&words)])?;
    Ok(())
}

/// A text without control characters: two of them mark the hits of an excerpt.
fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests;
