//! Kill -9 in the middle of writes loses nothing that was acknowledged.
//!
//! The real program serves a workshop; several clients write through the API and note what was acknowledged. The program is
//! killed at a moment that nobody chose and started again on the same file; then everything noted must be there.

mod server;

use std::path::Path;
use std::process::Command;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use std::time::Duration;

use serde_json::{Value, json};
use server::{Server, agent, send};

const ROUNDS: usize = 8;
const CLIENTS: usize = 4;
/// Shortest and longest time that a server lives, ms.
const LIFE: (u64, u64) = (150, 900);

/// What the server said yes to.
struct Acknowledged {
    id: i64,
    asked: String,
    /// The newest draft that was acknowledged, and the one that was under way when the server died.
    drafts: [Option<String>; 2],
}

#[test]
fn what_was_acknowledged_survives_kill_9() {
    let folder = tempfile::tempdir().expect("a folder");
    let workshop = folder.path().join("workshop.db");
    let mut acknowledged: Vec<Acknowledged> = Vec::new();
    let mut interrupted = 0;
    for round in 0..ROUNDS {
        let server = start(&workshop);
        check(&server, &acknowledged);
        let stop = Arc::new(AtomicBool::new(false));
        let clients: Vec<_> = (0..CLIENTS).map(|client| write(&server, round, client, &stop)).collect();
        std::thread::sleep(moment());
        server.kill();
        stop.store(true, Ordering::Relaxed);
        for client in clients {
            let (noted, broke_off) = client.join().expect("a client");
            acknowledged.extend(noted);
            interrupted += usize::from(broke_off);
        }
    }
    let server = start(&workshop);
    check(&server, &acknowledged);
    let drafts = acknowledged.iter().filter(|one| one.drafts[0].is_some()).count();
    assert!(
        acknowledged.len() > 10 * ROUNDS && drafts > ROUNDS,
        "{} questions, {drafts} drafts",
        acknowledged.len()
    );
    assert!(interrupted >= ROUNDS, "{interrupted} clients were in the middle of something");
    println!("{} questions and {drafts} drafts survived {ROUNDS} kills", acknowledged.len());
}

fn start(workshop: &Path) -> Server {
    let mut command = Command::new(env!("CARGO_BIN_EXE_knockon"));
    command.arg("open").arg(workshop).args(["--at", "127.0.0.1:0", "--no-browser"]);
    Server::start(command)
}

/// How long the server lives: nobody chose it, and a failure does not depend on which it was.
fn moment() -> Duration {
    use std::hash::{BuildHasher, RandomState};
    let random = RandomState::new().hash_one(0);
    Duration::from_millis(LIFE.0 + random % (LIFE.1 - LIFE.0))
}

/// A client that writes until the server is gone: what was acknowledged, and whether it was in the middle of something.
fn write(
    server: &Server,
    round: usize,
    client: usize,
    stop: &Arc<AtomicBool>,
) -> JoinHandle<(Vec<Acknowledged>, bool)> {
    let (address, stop) = (server.address.clone(), Arc::clone(stop));
    std::thread::spawn(move || {
        let agent = agent();
        let mut noted: Vec<Acknowledged> = Vec::new();
        for number in 0.. {
            if stop.load(Ordering::Relaxed) {
                return (noted, false);
            }
            let asked = format!("Question {number} of client {client} in round {round}: which spacers?");
            let Some(question) =
                post(&agent, &format!("{address}/api/v1/questions"), &json!({ "asked": asked }))
            else {
                return (noted, true);
            };
            let id = question["id"].as_i64().expect("a number");
            noted.push(Acknowledged { id, asked, drafts: [None, None] });
            for step in 0..2 {
                let changes = format!("spacers below {}", step + number % 20);
                let url = format!("{address}/api/v1/questions/{id}/draft");
                let last = noted.last_mut().expect("the question that was just noted");
                last.drafts[1] = Some(changes.clone());
                if put(&agent, &url, &json!({ "changes": changes })).is_none() {
                    return (noted, true);
                }
                last.drafts = [Some(changes), None];
            }
        }
        unreachable!("the server is killed")
    })
}

/// `None` when the connection broke off. An answer that came whole must be a success.
fn post(agent: &ureq::Agent, url: &str, body: &Value) -> Option<Value> {
    let (status, text) = send(agent, url, body).ok()?;
    assert!((200..300).contains(&status), "{status}: {text}");
    serde_json::from_str(&text).ok()
}

fn put(agent: &ureq::Agent, url: &str, body: &Value) -> Option<()> {
    let mut reply = agent.put(url).header("Content-Type", "application/json").send(body.to_string()).ok()?;
    let text = reply.body_mut().read_to_string().ok()?;
    assert_eq!(reply.status(), 200, "{text}");
    Some(())
}

/// Everything that was acknowledged is there, as it was sent.
fn check(server: &Server, acknowledged: &[Acknowledged]) {
    for one in acknowledged {
        let question = server.json(&format!("/api/v1/questions/{}", one.id));
        assert_eq!(question["asked"], one.asked.as_str());
        let changes = question["draft"]["changes"].as_str().expect("a draft");
        let [noted, under_way] = &one.drafts;
        let expected = noted.as_deref().unwrap_or("");
        // What was under way may have been written or not; nothing else may stand there.
        assert!(changes == expected || Some(changes) == under_way.as_deref(), "{}: {changes}", one.id);
    }
}
