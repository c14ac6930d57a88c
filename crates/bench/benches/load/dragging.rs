//! Users who drag a slider: one, fifty at the pace of a pointer, and fifty as fast as they are answered.

use std::sync::Arc;
use std::time::Duration;

use tokio::time::{Instant, MissedTickBehavior, interval_at, sleep};

use crate::client::{Client, escape};
use crate::figures::{Figures, Times};
use crate::seed::Seeded;
use crate::server::Server;

/// Different values that a slider is dragged over.
const VALUES: usize = 400;

/// Users at the same time.
const USERS: usize = 50;

/// From one update of a dragged slider to the next.
const PACE: Duration = Duration::from_millis(100);

/// Measures live updates and saves of drafts.
pub async fn measure(server: &Server, seeded: &Seeded, figures: &mut Figures) {
    let drag = Arc::new(Drag::new(seeded));
    // A page is opened before its slider is dragged: tables that are made at first use are made.
    let mut client = Client::connect(&server.host).await.expect("the server is there");
    let page = client.get(&format!("/questions/{}", seeded.question)).await;
    figures.check(page.status.is_success(), || format!("the working page: {}", page.status));

    let mut alone = User::default();
    for value in 0..VALUES {
        alone.update(&mut client, &drag, value).await;
    }
    figures.times("live update, one user dragging", &alone.times, "p50 ≤ 5, p99 ≤ 20");
    figures.blame(alone.faults);

    pivot(server, seeded, figures).await;

    let paced = together(server, &drag, Duration::from_secs(10), Some(PACE)).await;
    figures.times("live update, 50 users, 10 a second each", &paced.times, "p99 ≤ 100");
    figures.blame(paced.faults);

    let fastest = together(server, &drag, Duration::from_secs(5), None).await;
    figures.times("live update, 50 users, as fast as answered", &fastest.times, "no aim; no errors");
    figures.blame(fastest.faults);

    saves(server, &drag, figures).await;
}

/// A point of a linkage in one hand: every answer brings the suspension through its travel.
async fn pivot(server: &Server, seeded: &Seeded, figures: &mut Figures) {
    let drag = Drag::of_pivot(seeded);
    let mut client = Client::connect(&server.host).await.expect("the server is there");
    let page = client.get(&format!("/questions/{}", drag.question)).await;
    figures.check(page.status.is_success(), || format!("the page of a linkage: {}", page.status));
    let mut alone = User::default();
    for value in 0..VALUES {
        alone.update(&mut client, &drag, value).await;
    }
    figures.times("a pivot dragged by one user", &alone.times, "p50 ≤ 5, p99 ≤ 20");
    figures.blame(alone.faults);
}

async fn saves(server: &Server, drag: &Drag, figures: &mut Figures) {
    let mut client = Client::connect(&server.host).await.expect("the server is there");
    let path = format!("/questions/{}/draft", drag.question);
    let mut times = Times::new();
    for value in 0..100 {
        let answer = client.post(&path, &[("do", &drag.lines[value])]).await;
        figures
            .check(answer.status.as_u16() == 303, || format!("a draft: {} {}", answer.status, answer.body));
        times.add(answer.took);
    }
    figures.times("save of a draft, synced to the disk", &times, "no aim");
}

/// The changes that a drag goes through, and what has to be on the answer to each.
struct Drag {
    question: String,
    lines: Vec<String>,
    paths: Vec<String>,
    proofs: Vec<String>,
}

impl Drag {
    fn new(seeded: &Seeded) -> Drag {
        let lines = (0..VALUES).map(|step| format!("bar rise {:.1}", 10.0 + 0.1 * step as f64)).collect();
        Drag::through(seeded.question.to_string(), lines, |line| seeded.proof(line))
    }

    /// A pivot on its way from 10 mm below its place to 10 mm above it.
    fn of_pivot(seeded: &Seeded) -> Drag {
        let line = |step| format!("point main pivot up by {:.2}", 0.05 * step as f64 - 10.0);
        let lines = (0..VALUES).map(line).collect();
        Drag::through(seeded.linkage.to_string(), lines, |line| seeded.proof_of_travel(line))
    }

    fn through(question: String, lines: Vec<String>, proof: impl Fn(&str) -> String) -> Drag {
        let path = |line: &String| format!("/questions/{question}/live?do={}&width=desk", escape(line));
        Drag {
            paths: lines.iter().map(path).collect(),
            proofs: lines.iter().map(|line| proof(line)).collect(),
            lines,
            question,
        }
    }
}

/// What one user has seen.
struct User {
    times: Times,
    faults: Vec<String>,
}

impl Default for User {
    fn default() -> Self {
        User { times: Times::new(), faults: Vec::new() }
    }
}

impl User {
    async fn update(&mut self, client: &mut Client, drag: &Drag, value: usize) {
        let answer = client.get(&drag.paths[value]).await;
        self.times.add(answer.took);
        if answer.status.as_u16() != 200 {
            self.faults.push(format!("{}: {} {}", drag.paths[value], answer.status, answer.body));
        } else if !answer.body.contains(&drag.proofs[value]) || !answer.body.contains("<svg") {
            self.faults.push(format!("{}: no drawing, or not “{}”", drag.paths[value], drag.proofs[value]));
        }
    }
}

/// All users at once, each with at most one request on its way: a move of the pointer that comes before the answer to the
/// one before is skipped, as the page does it.
async fn together(server: &Server, drag: &Arc<Drag>, length: Duration, pace: Option<Duration>) -> User {
    let mut users = Vec::new();
    for number in 0..USERS {
        let (host, drag) = (server.host.clone(), drag.clone());
        users.push(tokio::spawn(async move {
            let mut user = User::default();
            let mut client = Client::connect(&host).await.expect("the server is there");
            let start = Instant::now()
                + PACE * u32::try_from(number).unwrap_or(0) / u32::try_from(USERS).unwrap_or(1);
            sleep(start - Instant::now()).await;
            let mut pointer = pace.map(|pace| interval_at(start, pace));
            if let Some(pointer) = &mut pointer {
                pointer.set_missed_tick_behavior(MissedTickBehavior::Skip);
            }
            for value in (0..VALUES).cycle().skip(number * 7) {
                if let Some(pointer) = &mut pointer {
                    pointer.tick().await;
                }
                if start.elapsed() >= length {
                    break;
                }
                user.update(&mut client, &drag, value).await;
            }
            user
        }));
    }
    let mut all = User::default();
    for user in users {
        let user = user.await.expect("a user does not panic");
        all.times.merge(&user.times);
        all.faults.extend(user.faults);
    }
    all
}
