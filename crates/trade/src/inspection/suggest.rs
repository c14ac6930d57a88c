//! Which protocols a rider's words suggest.

use super::{Protocol, protocols};
use crate::urgent::words_in;

/// Most that are suggested; past these, the list of all is as quick.
const MOST: usize = 5;

/// Protocols that go with what was asked, the likeliest first; none where nothing in it suggests one.
///
/// ```
/// use knockon_trade::inspection::suggest::suggest;
/// let found = suggest("Crashed, and now there is a crack in the carbon fork near the crown");
/// assert_eq!(found[0].id, "carbon-fork");
/// assert!(suggest("How wide a tyre fits?").len() <= 5);
/// assert!(suggest("What colour is it?").is_empty());
/// ```
pub fn suggest(asked: &str) -> Vec<&'static Protocol> {
    let marks = words_in(asked);
    let text = spaced(asked);
    let score = |protocol: &Protocol| {
        let named = protocol.names.iter().filter(|name| text.contains(&spaced(name))).count();
        let marked = protocol.words.iter().filter(|word| marks.contains(&word.as_str())).count();
        // A mark alone is shared by many protocols; a name alone is a shopping question more often than not.
        if named > 0 && (marked > 0 || protocol.words.is_empty()) { 3 * named + marked } else { 0 }
    };
    let mut found: Vec<(usize, &Protocol)> = protocols()
        .iter()
        .map(|protocol| (score(protocol), protocol))
        .filter(|(score, _)| *score > 0)
        .collect();
    found.sort_by_key(|(score, _)| std::cmp::Reverse(*score));
    found.into_iter().map(|(_, protocol)| protocol).take(MOST).collect()
}

/// Words in lower case with one space around each, so that only whole words are found.
fn spaced(text: &str) -> String {
    let words = text.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty());
    words.fold(" ".to_owned(), |mut line, word| {
        line.push_str(&word.to_lowercase());
        line.push(' ');
        line
    })
}
