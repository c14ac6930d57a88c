//! Safety words of a question: what a person should look at first.
//!
//! The words are a table, `data/urgent.toml`. It marks better too often than too seldom: a mark that means nothing costs a
//! glance. A question without a mark is not thereby a harmless one, and nothing here judges damage. English only.
//!
//! A part's name alone is no mark, for most who write it want to buy the part. It takes what is wrong with it beside it.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use deunicode::deunicode;

use crate::tables::{self, Urgent};

/// A part and what is wrong with it belong together when at most this many words stand between them: "the brake on my
/// old bike feels spongy". From memory, unverified.
const NEAR: usize = 6;

/// No phrase of the table has more words than this less [`NEAR`].
const REACH: usize = NEAR + 10;

/// Words of this length may have one slip of the pen. From memory, unverified.
const LONG: usize = 6;

/// Words that are no slip of the pen, though one letter away from an urgent one.
const OTHER_WORDS: [&str; 12] = [
    "cranks", "cranked", "cracker", "skipping", "blocked", "looked", "slopes", "backed", "trailed",
    "tracking", "rubber", "weaken",
];

type Phrase = Vec<String>;

struct Pattern {
    row: &'static Urgent,
    say: Vec<Phrase>,
    part: Vec<Phrase>,
    ill: Vec<Phrase>,
}

static PATTERNS: LazyLock<Vec<Pattern>> = LazyLock::new(|| {
    let phrases = |list: &'static [String]| list.iter().map(|phrase| words(phrase)).collect();
    tables::urgent()
        .iter()
        .map(|row| Pattern { row, say: phrases(&row.say), part: phrases(&row.part), ill: phrases(&row.ill) })
        .collect()
});

/// Every word of the table: what is spelt like one of them is no slip of another.
static SPELT: LazyLock<BTreeSet<&'static str>> = LazyLock::new(|| {
    let phrases = PATTERNS.iter().flat_map(|pattern| [&pattern.say, &pattern.part, &pattern.ill]);
    phrases.flatten().flatten().map(String::as_str).chain(OTHER_WORDS).collect()
});

/// The safety words that a text holds, by their names in the table: each once, in the order of the text.
///
/// Whole words are matched without regard to case and accents; long ones may have a slip of the pen.
///
/// ```
/// use knockon_trade::urgent::words_in;
/// assert_eq!(words_in("Crashed yesterday, is that a CRACK on the top tube?"), ["crash", "crack"]);
/// assert_eq!(words_in("My front brake feels spongy."), ["brake trouble"]);
/// assert!(words_in("Which brake pads should I buy?").is_empty());
/// ```
pub fn words_in(text: &str) -> Vec<&'static str> {
    let text = words(text);
    let mut found: Vec<(usize, &'static str)> = PATTERNS
        .iter()
        .filter_map(|pattern| Some((first(pattern, &text)?, pattern.row.word.as_str())))
        .collect();
    found.sort_by_key(|(at, _)| *at);
    found.into_iter().map(|(_, word)| word).collect()
}

/// Why a safety word is urgent, in a sentence; `None` when the table has no such word.
///
/// ```
/// assert!(knockon_trade::urgent::why("crack").unwrap().contains("not ridden"));
/// assert!(knockon_trade::urgent::why("bell").is_none());
/// ```
pub fn why(word: &str) -> Option<&'static str> {
    tables::urgent().iter().find(|row| row.word == word).map(|row| row.why.as_str())
}

/// Where a pattern first stands in a text, in words.
fn first(pattern: &Pattern, text: &[String]) -> Option<usize> {
    let said = pattern.say.iter().flat_map(|phrase| places(phrase, text)).map(|(start, _)| start).min();
    let parts = all_places(&pattern.part, text);
    let mut ills = if parts.is_empty() { Vec::new() } else { all_places(&pattern.ill, text) };
    ills.sort_unstable();
    // Only those that begin within reach: a long text may have thousands of each.
    let within_reach = |part: &(usize, usize)| {
        let from = ills.partition_point(|ill| ill.0 + REACH < part.0);
        ills[from..].iter().take_while(move |ill| ill.0 <= part.1 + NEAR).copied().collect::<Vec<_>>()
    };
    let near = parts
        .iter()
        .flat_map(|part| within_reach(part).into_iter().map(move |ill| (part, ill)))
        .filter(|(part, ill)| gap(**part, *ill).is_some_and(|gap| gap <= NEAR))
        .map(|(part, ill)| part.0.min(ill.0))
        .min();
    said.into_iter().chain(near).min()
}

/// Words between two phrases; `None` when they share a word.
fn gap(a: (usize, usize), b: (usize, usize)) -> Option<usize> {
    b.0.checked_sub(a.1).or_else(|| a.0.checked_sub(b.1))
}

fn all_places(phrases: &[Phrase], text: &[String]) -> Vec<(usize, usize)> {
    phrases.iter().flat_map(|phrase| places(phrase, text)).collect()
}

/// Start and end of a phrase wherever it stands in a text.
fn places(phrase: &[String], text: &[String]) -> impl Iterator<Item = (usize, usize)> {
    let length = phrase.len();
    text.windows(length)
        .enumerate()
        .filter(move |(_, words)| words.iter().zip(phrase).all(|(word, meant)| is_meant(word, meant)))
        .map(move |(start, _)| (start, start + length))
}

/// Whether a word is the one that is meant, if need be with one letter too many, too few, wrong or swapped. People hardly
/// get the first letter wrong.
fn is_meant(word: &str, meant: &str) -> bool {
    word == meant
        || (meant.len() >= LONG
            && word.len().abs_diff(meant.len()) <= 1
            && word.as_bytes().first() == meant.as_bytes().first()
            && !SPELT.contains(word)
            && strsim::osa_distance(word, meant) == 1)
}

/// The words of a text: lower case, accents and apostrophes off.
fn words(text: &str) -> Vec<String> {
    let plain: String = deunicode(text).chars().filter(|c| !matches!(c, '\'' | '`')).collect();
    plain
        .to_ascii_lowercase()
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Invented sentences, as people write them, each with the marks that it must have at least.
    const URGENT: [(&str, &[&str]); 30] = [
        ("Found a crack by the bottom bracket", &["crack"]),
        ("there is a jagged line under the lacquer", &["crack"]),
        ("Carbon frame creaks at the head tube since last week", &["crack"]),
        ("Stone chip on my carbon down tube, does it matter?", &["crack"]),
        ("the bolt snapped when I tightened it", &["broken"]),
        ("Is a bent hanger a problem", &["bent"]),
        ("Rim has a big dent", &["bent"]),
        ("Went over the bars, all looks fine", &["crash"]),
        ("hit a pothole quite hard", &["crash"]),
        ("the thing fell off the roof rack", &["crash"]),
        ("front brake feels spongy", &["brake trouble"]),
        ("NO BRAKES since I bled them", &["brake trouble"]),
        ("I can pull the brake lever to the bar", &["brake trouble"]),
        ("My levers come all the way back to the grip", &["brake trouble"]),
        ("brakes don't stop me in the wet", &["brake trouble"]),
        ("breaks dont work anymore", &["brake trouble"]),
        ("It pulls to one side when I use the brakes", &["brake trouble"]),
        ("I think I got chain lube on the rotor", &["brake trouble"]),
        ("Headset has some play", &["steering trouble"]),
        ("my handlebar slips when I pull up", &["steering trouble"]),
        ("The bars won’t turn freely", &["steering trouble"]),
        ("speed wobble above 50", &["steering trouble"]),
        ("rear axle keeps coming loose", &["loose"]),
        ("crank arm is loose again", &["loose"]),
        ("the rim is delaminating", &["delaminated"]),
        ("seat post keeps slipping down", &["slipping post"]),
        ("How far past the minimum insertion may I go", &["slipping post"]),
        ("since the kerb the wheel rubs on the stays", &["wheel trouble"]),
        ("Battery gets really hot", &["battery trouble"]),
        ("can i still ride it to work", &["is it safe"]),
    ];

    /// Invented sentences of people who want to buy, fit, clean or understand something.
    const ORDINARY: [&str; 22] = [
        "Which brake pads do I need?",
        "Are four-piston brakes worth the money?",
        "Would longer brake hoses be needed for a wider bar?",
        "What rotor size fits my fork, 180 or 203?",
        "Shorter cranks, 165 instead of 170, what changes?",
        "How much slacker with a 20 mm longer fork?",
        "Can I just turn the stem over?",
        "Does a 2.4 tyre fit in the back?",
        "Will a wider tyre rub?",
        "10 mm of spacers to the top?",
        "Hoods feel low. Roll the bar up a bit?",
        "Pedals keep hitting rocks. 160 cranks?",
        "Which seat post diameter do I need?",
        "How do I clean the drivetrain?",
        "What is a good tyre pressure for gravel?",
        "How do I adjust the rear derailleur?",
        "Where does the noise in my drivetrain come from?",
        "Is a carbon bar more comfortable than an aluminium one?",
        "Does a dropper post fit my frame?",
        "Chain keeps skipping on the small cog",
        "How many kilometres does a battery last?",
        "Why is the head tube so short?",
    ];

    #[test]
    fn urgent_questions_are_marked() {
        for (sentence, expected) in URGENT {
            let found = words_in(sentence);
            assert!(expected.iter().all(|word| found.contains(word)), "{sentence}: {found:?}");
        }
    }

    #[test]
    fn shopping_and_how_to_questions_are_not() {
        for sentence in ORDINARY {
            assert_eq!(words_in(sentence), [""; 0], "{sentence}");
        }
    }

    #[test]
    fn slips_of_the_pen_accents_and_apostrophes_do_not_hide_a_mark() {
        assert_eq!(words_in("crakced frame"), ["crack"]);
        assert_eq!(words_in("fracturd steerer"), ["crack"]);
        assert_eq!(words_in("CRÁCKED"), ["crack"]);
        assert_eq!(words_in("cra\u{301}cked"), ["crack"]);
        assert_eq!(words_in("I can't stop"), ["brake trouble"]);
        assert_eq!(words_in("I can’t stop"), ["brake trouble"]);
        // One letter away, and another word.
        assert_eq!(words_in("new cranks"), [""; 0]);
    }

    #[test]
    fn each_mark_stands_once_in_the_order_of_the_text() {
        assert_eq!(words_in("Bent it, then bent it back, then it cracked. Crack!"), ["bent", "crack"]);
        assert_eq!(words_in("cracked where it was bent"), ["crack", "bent"]);
        assert_eq!(words_in(""), [""; 0]);
    }

    #[test]
    fn a_part_and_its_trouble_must_stand_near_each_other() {
        assert_eq!(words_in("brake one two three four five six spongy"), ["brake trouble"]);
        assert_eq!(words_in("brake one two three four five six seven spongy"), [""; 0]);
        assert_eq!(words_in("spongy one two three four five six brake"), ["brake trouble"]);
    }

    #[test]
    fn every_row_can_be_found_and_says_why() {
        let mut names = BTreeSet::new();
        for row in tables::urgent() {
            assert!(names.insert(&row.word), "{} stands twice", row.word);
            assert!(row.source.len() > 6, "{} has no source", row.word);
            assert!(row.why.len() > 40 && row.why.ends_with('.'), "{}", row.word);
            assert_eq!(why(&row.word), Some(row.why.as_str()));
            assert_eq!(row.part.is_empty(), row.ill.is_empty(), "{}", row.word);
            // What `first` relies on when it looks no further than `REACH`.
            assert!(row.ill.iter().all(|ill| words(ill).len() <= REACH - NEAR), "{}", row.word);
            assert!(!row.say.is_empty() || !row.part.is_empty(), "{} says nothing", row.word);
            for phrase in &row.say {
                assert!(words_in(phrase).contains(&row.word.as_str()), "{phrase}");
            }
            for ill in &row.ill {
                let told = format!("{} {ill}", row.part[0]);
                assert!(words_in(&told).contains(&row.word.as_str()), "{told}");
            }
            for part in &row.part {
                assert!(words(part).len() <= 3 && !words(part).is_empty(), "{part}");
            }
        }
    }
}
