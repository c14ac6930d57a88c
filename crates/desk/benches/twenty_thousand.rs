//! How long lists, searches and counts take in a workshop of 20,000 invented questions. None may take 50 ms.

use std::fs;
use std::path::Path;
use std::sync::LazyLock;

use divan::Bencher;
use jiff::Timestamp;
use knockon_desk::{BikeId, Desk, Filter, QuestionId, Stamp, State};
use tempfile::TempDir;

const QUESTIONS: usize = 20_000;

/// Parts of an invented question: any of each may follow any of the one before.
const GRAMMAR: [&[&str]; 5] = [
    &[
        "Would",
        "Does",
        "Can",
        "Since the move,",
        "My sister says that",
        "After the winter",
        "At the trail head",
    ],
    &[
        "a longer fork",
        "a shorter stem",
        "the wider tyre",
        "a higher bar",
        "the smaller rear wheel",
        "a slacker headset",
        "the longer shock",
        "a shorter crank",
        "a wider bar",
        "the turned stem",
        "a carbon bar",
    ],
    &["help with", "be the reason for", "cure", "change", "spoil", "be worth it for", "still fit after"],
    &[
        "numb hands",
        "a sore neck",
        "pedal strikes",
        "the front that wanders",
        "creaking in corners",
        "the twitchy feel",
        "heel rub",
        "a low front end",
        "knee pain",
        "toe overlap",
        "the rattle at speed",
        "chain slap",
        "a bent hanger",
    ],
    &[
        "on my commuter?",
        "for my daughter?",
        "on the old hardtail?",
        "next season?",
        "with 45 mm tyres?",
        "at 1.86 m?",
        "for touring?",
        "on gravel?",
        "if money is tight?",
    ],
];

const CHANGES: [&str; 8] = [
    "stem length 40",
    "spacers below by -10",
    "bar rise 40",
    "fork travel by +10",
    "rear tyre 57-622",
    "bar width 780",
    "crank length 165",
    "headset angle -1",
];

static WORKSHOP: LazyLock<(TempDir, Desk)> = LazyLock::new(|| {
    let folder = tempfile::tempdir().expect("a folder");
    write_files(&folder.path().join("files"));
    let desk = Desk::open(&folder.path().join("workshop")).expect("a workshop");
    let stamp = Stamp { at: Timestamp::UNIX_EPOCH, who: "bench".to_owned() };
    desk.import_folder(&folder.path().join("files"), &stamp, |_, _| {}).expect("the questions are taken in");
    (folder, desk)
});

fn desk() -> &'static Desk {
    &WORKSHOP.1
}

/// The workshop as plain files: one transaction takes them in.
fn write_files(folder: &Path) {
    for name in ["bikes", "questions"] {
        fs::create_dir_all(folder.join(name)).expect("a folder");
    }
    for bike in 0..200 {
        let text = format!("name = \"Bike {bike}\"\n[chart]\nhead_angle = 65\n");
        fs::write(folder.join(format!("bikes/b{bike}.toml")), text).expect("a file");
    }
    for number in 1..=QUESTIONS {
        // A different stride through each part, so that the parts mix.
        let parts =
            GRAMMAR.iter().zip([1, 3, 7, 2, 5]).map(|(part, stride)| part[number * stride / 2 % part.len()]);
        let asked = parts.collect::<Vec<_>>().join(" ");
        let rare = if number % 5_000 == 0 { " Like a woodpecker." } else { "" };
        let state = State::ALL[[0, 1, 2, 2, 2, 3][number % 6]].key();
        let (one, other) = (CHANGES[number % 8], CHANGES[number / 8 % 8]);
        let changes = if one == other { format!("\"{one}\"") } else { format!("\"{one}\", \"{other}\"") };
        let text = format!(
            "asked = \"{asked}{rare} No. {number}\"\nrider = \"Rider {}\"\nbike = \"b{}\"\nchanges = [{changes}]\nstate = \"{state}\"\n",
            number % 700,
            number % 200
        );
        fs::write(folder.join(format!("questions/{number:05}.toml")), text).expect("a file");
    }
}

fn main() {
    let counts = desk().counts().expect("counts");
    println!("{QUESTIONS} questions: {counts:?}");
    divan::main();
}

/// A list or search with the number of rows that it must have at least.
struct Look {
    name: &'static str,
    filter: fn() -> Filter,
    rows: usize,
}

impl std::fmt::Display for Look {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}

fn words(words: &str) -> Filter {
    Filter { words: words.to_owned(), ..Filter::default() }
}

const LOOKS: [Look; 16] = [
    Look { name: "first page", filter: Filter::default, rows: 50 },
    Look { name: "last page", filter: || Filter { offset: 19_950, ..Filter::default() }, rows: 50 },
    Look {
        name: "by state",
        filter: || Filter { state: Some(State::Waiting), ..Filter::default() },
        rows: 50,
    },
    Look { name: "urgent", filter: || Filter { urgent: true, ..Filter::default() }, rows: 50 },
    Look { name: "by bike", filter: || Filter { bike: Some(BikeId(7)), ..Filter::default() }, rows: 50 },
    Look {
        name: "by bike and state",
        filter: || Filter { bike: Some(BikeId(7)), state: Some(State::Answered), ..Filter::default() },
        rows: 10,
    },
    Look { name: "search: one letter", filter: || words("f"), rows: 50 },
    Look { name: "search: in every question", filter: || words("rider"), rows: 50 },
    Look { name: "search: frequent word", filter: || words("fork"), rows: 50 },
    Look { name: "search: rare word", filter: || words("woodpecker"), rows: 3 },
    Look { name: "search: three words", filter: || words("fork creaking grav"), rows: 1 },
    Look {
        name: "search: frequent, last page",
        filter: || Filter { offset: 1_500, ..words("fork") },
        rows: 50,
    },
    Look { name: "search: every, last page", filter: || Filter { offset: 19_950, ..words("no") }, rows: 50 },
    Look {
        name: "search: frequent and state",
        filter: || Filter { state: Some(State::SetAside), ..words("stem") },
        rows: 50,
    },
    Look {
        name: "search: frequent and urgent",
        filter: || Filter { urgent: true, ..words("fork") },
        rows: 1,
    },
    Look { name: "search: nothing", filter: || words("xylophone"), rows: 0 },
];

#[divan::bench(args = LOOKS.iter(), sample_count = 60, sample_size = 1)]
fn questions(bencher: Bencher<'_, '_>, look: &Look) {
    let filter = (look.filter)();
    let found = desk().questions(&filter).expect("a page").rows.len();
    assert!(found >= look.rows, "{}: {found}", look.name);
    bencher.bench(|| desk().questions(&filter));
}

#[divan::bench(sample_count = 60, sample_size = 1)]
fn counts() {
    divan::black_box(desk().counts().expect("counts"));
}

#[divan::bench(sample_count = 60, sample_size = 1, args = [3, 4_321, 19_998])]
fn alike(id: i64) -> usize {
    desk().alike(QuestionId(id), 3).expect("a list").len()
}

#[divan::bench(sample_count = 60, sample_size = 1)]
fn bikes() -> usize {
    desk().bikes("", 0, 50).expect("a list").len()
}
