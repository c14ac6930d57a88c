//! Answered questions that resemble another one.
//!
//! Two things make questions alike: the words in which they were asked, and what their changes touch. Words are weighed as
//! the full-text index weighs them (bm25): a rare word that two questions share says much, "fork" says little. That weight
//! has no scale of its own, so it is taken as a share of what the question's own words could weigh: 1 means that every
//! significant word is there. A word that no other question has (a name, a slip of the pen) counts like a middling one: it
//! says that the questions differ, but not how much. What is touched is compared as shared over all things touched by either. Both shares count
//! half where there are changes, else the words alone.
//!
//! Below [`LEAST`] nothing is shown: a wrong hint costs more attention than a missing one. It asks for more than a third of
//! what the question says, such as: the same parts changed and hardly a word shared, or two words in three shared and no part.

use std::collections::BTreeSet;

use rusqlite::{Connection, params};

use crate::search::{quoted, row, state_mark, thing_marks};
use crate::{Desk, QuestionId, QuestionRow, Result, State, question};

/// Least likeness that is shown. From the demo's questions, by eye.
const LEAST: f64 = 0.35;

/// Significant words that are compared: the rarest of the question.
const MOST_WORDS: usize = 12;

/// Stop taking more frequent words when the ones taken stand in so many questions: they cost time and say little.
const MOST_HITS: u32 = 3_000;

/// How many of the likest by words are compared by things as well.
const CANDIDATES: u32 = 60;

/// Words that stand in any sentence.
const COMMON: &str = "about after all also and any are because been before both but can could did does doing for from get got
    had has have her him his how into its just like made make may mine more most much must not now off one onto our out own
    really same she should some than that the their them then there these they this those too under until use very want
    was were what when where which while who whom why will with would you your";

const COUNT: &str = "SELECT count(*) FROM question";
const COUNT_WORD: &str = "SELECT count(*) FROM question_words WHERE question_words MATCH ?1";
// The weights stand in the order of the table's columns: first what was asked, next to last the things.
const LIKEST: &str = "SELECT rowid, -bm25(question_words, 1, 0, 0, 0, 0, 0, 0, 0), things FROM question_words
    WHERE question_words MATCH ?1 AND rowid <> ?2 ORDER BY bm25(question_words, 1, 0, 0, 0, 0, 0, 1, 0) LIMIT ?3";

impl Desk {
    /// Answered questions that resemble a stored one, the likest first.
    pub fn alike(&self, id: QuestionId, limit: u32) -> Result<Vec<QuestionRow>> {
        self.read(|connection| {
            let question = question::read(connection, id)?;
            let things = thing_marks(&question.draft.changes);
            alike(connection, Some(id), &question.asked, &things, limit)
        })
    }

    /// Answered questions that resemble a text, the likest first.
    pub fn alike_text(&self, text: &str, limit: u32) -> Result<Vec<QuestionRow>> {
        self.read(|connection| alike(connection, None, text, &[], limit))
    }
}

fn alike(
    connection: &Connection,
    id: Option<QuestionId>,
    asked: &str,
    things: &[String],
    limit: u32,
) -> Result<Vec<QuestionRow>> {
    let Words { known, whole } = weighed(connection, id, asked)?;
    // One word makes no likeness.
    if known.len() < 2 && things.is_empty() {
        return Ok(Vec::new());
    }
    let Some(query) = query(&known, things) else { return Ok(Vec::new()) };
    let mut statement = connection.prepare_cached(LIKEST)?;
    let not = id.unwrap_or(QuestionId(0));
    let candidates = statement.query_map(params![query, not, CANDIDATES], |row| {
        Ok((row.get::<_, QuestionId>(0)?, row.get::<_, f64>(1)?, row.get::<_, String>(2)?))
    })?;
    let mut likest = Vec::new();
    for candidate in candidates {
        let (id, weight, others) = candidate?;
        let by_words = if whole > 0.0 { (weight / whole).clamp(0.0, 1.0) } else { 0.0 };
        let likeness = if things.is_empty() { by_words } else { 0.5 * (by_words + shared(things, &others)) };
        if likeness >= LEAST {
            likest.push((id, likeness));
        }
    }
    // The newest of those that are equally alike.
    likest.sort_by(|a, b| b.1.total_cmp(&a.1).then(b.0.cmp(&a.0)));
    likest.into_iter().take(limit as usize).map(|(id, _)| row(connection, id)).collect()
}

/// Things that both touch, over the things that either touches.
fn shared(things: &[String], others: &str) -> f64 {
    let ours: BTreeSet<&str> = things.iter().map(String::as_str).collect();
    let theirs: BTreeSet<&str> = others.split(' ').filter(|thing| !thing.is_empty()).collect();
    let all = ours.union(&theirs).count();
    if all == 0 { 0.0 } else { ours.intersection(&theirs).count() as f64 / all as f64 }
}

/// The significant words of a question.
struct Words {
    /// Those that other questions have, rarest first.
    known: Vec<String>,
    /// What all of its words could weigh.
    whole: f64,
}

/// Weighs the significant words of a text. `id` is the question whose text it is, for it has its own words.
fn weighed(connection: &Connection, id: Option<QuestionId>, text: &str) -> Result<Words> {
    let all: f64 = connection.prepare_cached(COUNT)?.query_row([], |row| row.get(0))?;
    let mut count = connection.prepare_cached(COUNT_WORD)?;
    let mut words = Vec::new();
    let mut unknown = 0;
    for word in significant(text) {
        let hits: u32 = count.query_row([format!("asked : {}", quoted(&word))], |row| row.get(0))?;
        if hits > u32::from(id.is_some()) {
            words.push((hits, word));
        } else {
            unknown += 1;
        }
    }
    words.sort();
    let mut taken = 0;
    let few = words.into_iter().take(MOST_WORDS).enumerate().take_while(|(index, (hits, _))| {
        taken += hits;
        *index < 2 || taken <= MOST_HITS
    });
    let few: Vec<(u32, String)> = few.map(|(_, word)| word).collect();
    let weight: f64 = few.iter().map(|(hits, _)| weight(all, f64::from(*hits))).sum();
    let middling = weight / few.len().max(1) as f64;
    let whole = weight + middling * f64::from(unknown);
    Ok(Words { known: few.into_iter().map(|(_, word)| word).collect(), whole })
}

/// The index's own weight of a word (the inverse document frequency of bm25), never below nothing.
fn weight(all: f64, hits: f64) -> f64 {
    ((all - hits + 0.5) / (hits + 0.5)).ln().max(1e-6)
}

/// Words of three letters or more that not every sentence has, each once.
fn significant(text: &str) -> BTreeSet<String> {
    text.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| word.chars().count() >= 3 && !COMMON.split_whitespace().any(|common| common == *word))
        .take(200)
        .map(str::to_owned)
        .collect()
}

/// Answered questions with any of the words or things.
fn query(words: &[String], things: &[String]) -> Option<String> {
    let any = |column: &str, list: &[String]| {
        let list: Vec<String> = list.iter().map(|word| quoted(word)).collect();
        (!list.is_empty()).then(|| format!("{column} : ({})", list.join(" OR ")))
    };
    let parts: Vec<String> = [any("asked", words), any("things", things)].into_iter().flatten().collect();
    if parts.is_empty() {
        return None;
    }
    Some(format!("({}) AND marks : {}", parts.join(" OR "), quoted(&state_mark(State::Answered))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_words_that_say_something_are_significant() {
        let words = significant("Would THE longer fork fit? The fork, a 27.5 one: would it be Größer");
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        assert_eq!(words, ["fit", "fork", "größer", "longer"]);
    }

    #[test]
    fn shared_things_are_taken_over_all_things() {
        let ours = ["a".to_owned(), "b".to_owned()];
        assert_eq!(shared(&ours, "b a"), 1.0);
        assert_eq!(shared(&ours, "b c"), 1.0 / 3.0);
        assert_eq!(shared(&ours, ""), 0.0);
        assert_eq!(shared(&[], ""), 0.0);
    }

    #[test]
    fn a_word_that_most_have_weighs_nothing() {
        // Ten questions, one has it: ln(9.5 / 1.5) = 1.846.
        assert!((weight(10.0, 1.0) - 1.846).abs() < 0.001);
        assert_eq!(weight(10.0, 9.0), 1e-6);
    }
}
