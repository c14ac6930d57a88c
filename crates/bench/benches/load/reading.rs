//! Lists and searches over many questions.

use crate::client::{Client, escape};
use crate::figures::{Figures, Times};
use crate::seed::{self, Seeded};
use crate::server::Server;

/// Requests of each kind.
const TIMES: usize = 100;

/// Measures lists and searches, one user.
pub async fn measure(server: &Server, seeded: &Seeded, figures: &mut Figures) {
    let mut client = Client::connect(&server.host).await.expect("the server is there");
    let words = |words: &str| format!("/questions?words={}", escape(words));
    let bike = format!("/questions?bike={}", seeded.bike);
    // A page holds 50 questions.
    let deep = format!("/questions?page={}", seed::QUESTIONS / 50 - 10);
    let rare: Vec<String> = seed::rare().map(seed::mark).collect();
    let any = vec![seed::MARK.to_owned()];
    for (what, path, expected) in [
        ("list, first page", "/questions".to_owned(), &any),
        ("list, page 390", deep, &any),
        ("list, one state", "/questions?state=waiting".to_owned(), &any),
        ("list, one bike", bike, &any),
        ("search for a common word", words(seed::COMMON), &any),
        ("search for a rare word", words(seed::RARE), &rare),
        ("search for three words", words("creak stem wider"), &any),
        ("search for the beginning of a word", words("woodp"), &rare),
        ("search for what is not there", words("zzyzx"), &Vec::new()),
    ] {
        let mut times = Times::new();
        for _ in 0..TIMES {
            let answer = client.get(&path).await;
            times.add(answer.took);
            figures.check(answer.status.as_u16() == 200, || format!("{path}: {}", answer.status));
            figures.check(expected.iter().all(|text| answer.body.contains(text)), || {
                format!("{path}: not all of {expected:?} is on the page")
            });
            figures.check(expected.is_empty() != answer.body.contains(seed::MARK), || {
                format!("{path}: questions where none should be, or none")
            });
        }
        figures.times(what, &times, "p99 ≤ 50");
    }
}
