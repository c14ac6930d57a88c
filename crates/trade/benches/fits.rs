//! What it costs to tell whether parts fit.
//!
//! `cargo bench -p knockon-trade --bench fits`. Peer in the same run: the whole answer to the question, which the short way has to
//! agree with, for each part of the list.

use std::hint::black_box;

use divan::Bencher;
use knockon_trade::change::Change;
use knockon_trade::demo;
use knockon_trade::findings::answer;
use knockon_trade::fit::Fitting;
use knockon_trade::fit::shopping::shopping;
use knockon_trade::question::{Question, read_changes};
use knockon_trade::record::Record;
use knockon_trade::shelf::{Offer, Shelf, offers};
use knockon_trade::tables;

fn main() {
    divan::main();
}

/// The demo bike of which most is known.
fn bike() -> Record {
    demo::bike("bulrush-150").expect("a demo bike")
}

fn changes(lines: &[&str]) -> Vec<Change> {
    read_changes(lines).expect("changes").changes
}

/// A list of invented parts of all kinds, as a shop's stock would be: forks, wheels, tyres, stems, bars, posts, brakes, drivetrain.
fn list(count: usize) -> String {
    let columns = [
        "fork axle-to-crown",
        "fork steerer",
        "fork axle",
        "fork brake-mount",
        "fork largest rotor",
        "front hub",
        "front hub rotor mount",
        "rear hub",
        "freehub",
        "front tyre",
        "stem steerer",
        "stem bar clamp",
        "stem clamp height",
        "bar clamp",
        "seat post",
        "front rotor",
        "front rotor mount",
        "cassette",
        "cogs",
        "bottom bracket",
    ];
    let pick = |interface: &str, at: usize| {
        let rows = &tables::interface(interface).expect("an interface").standards;
        format!("\"{}\"", rows[at % rows.len()].name)
    };
    let mut text = format!("part,{}\n", columns.join(","));
    for at in 0..count {
        let turn = at / 8;
        let cells: Vec<(usize, String)> = match at % 8 {
            0 => vec![
                (0, (530 + turn % 60).to_string()),
                (1, pick("steerer", turn)),
                (2, pick("front_axle", turn / 3)),
                (3, pick("brake_mount", turn / 5)),
                (4, ["180", "203", "220"][turn % 3].to_owned()),
            ],
            1 => vec![(5, pick("front_axle", turn)), (6, pick("rotor_mount", turn / 2))],
            2 => vec![(7, pick("rear_axle", turn)), (8, pick("freehub", turn / 3))],
            3 => vec![(9, format!("{}-{}", 40 + turn % 30, [622, 584][turn % 2]))],
            4 => vec![
                (10, pick("stem_clamp", turn)),
                (11, ["31.8", "35", "25.4"][turn % 3].to_owned()),
                (12, (30 + turn % 20).to_string()),
            ],
            5 => vec![(13, ["31.8", "35", "25.4"][turn % 3].to_owned()), (14, pick("seat_post", turn))],
            6 => {
                vec![(15, ["160", "180", "203", "220"][turn % 4].to_owned()), (16, pick("rotor_mount", turn))]
            }
            _ => vec![
                (17, pick("freehub", turn)),
                (18, pick("chain", turn / 2)),
                (19, pick("bottom_bracket", turn)),
            ],
        };
        let mut row = vec![String::new(); columns.len()];
        for (column, cell) in cells {
            row[column] = cell;
        }
        text.push_str(&format!("Invented part {at},{}\n", row.join(",")));
    }
    text
}

fn read(count: usize) -> Vec<Offer> {
    let list = offers("list", &list(count)).expect("a list");
    assert!(list.problems.is_empty(), "{:?}", list.problems.first());
    list.offers
}

/// Every connection, limit and condition of the bike as it stands, each with its sentence.
#[divan::bench]
fn all_checks_of_one_bike(bencher: Bencher) {
    let record = bike();
    bencher.bench(|| Fitting::new(black_box(&record), &[]).judge());
}

/// The same with a new fork that meets six of them, and the shopping list.
#[divan::bench]
fn a_new_fork_with_its_shopping_list(bencher: Bencher) {
    let record = bike();
    let changes = changes(&[
        "fork axle-to-crown 560",
        "fork steerer straight",
        "fork axle 20x110",
        "fork brake-mount IS",
    ]);
    bencher.bench(|| {
        let fitting = Fitting::new(black_box(&record), &changes);
        let judged = fitting.judge();
        shopping(&fitting, &judged)
    });
}

/// Ten thousand parts of all kinds against one bike, ranked, each with its verdicts in words.
#[divan::bench(sample_count = 10)]
fn ten_thousand_parts(bencher: Bencher) {
    let offers = read(10_000);
    let mut shelf = Shelf::new(&bike()).expect("a possible bike");
    bencher.bench_local(|| shelf.rank(black_box(&offers)));
}

/// Reading the list, which is a file of some 600 kB.
#[divan::bench(sample_count = 10)]
fn reading_ten_thousand_parts(bencher: Bencher) {
    let text = list(10_000);
    bencher.bench(|| offers("list", black_box(&text)));
}

/// Peer: the whole answer for each of a hundred of these parts.
#[divan::bench(sample_count = 10)]
fn peer_a_hundred_whole_answers(bencher: Bencher) {
    let (record, offers) = (bike(), read(100));
    bencher.bench(|| {
        let ask = |offer: &Offer| {
            answer(Question {
                asked: String::new(),
                record: record.clone(),
                changes: offer.changes.clone(),
                inspections: Vec::new(),
            })
            .is_ok()
        };
        offers.iter().filter(|offer| ask(offer)).count()
    });
}
