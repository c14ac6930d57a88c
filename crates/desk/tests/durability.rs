//! Kill -9 in the middle of writes loses nothing that was acknowledged.
//!
//! The program starts itself as a child that writes with several threads and says on its output what was written, after the
//! desk's function returned. The parent kills it with SIGKILL at a random moment, opens the file, and looks for every line
//! that it read. It does so again and again with the same file. What a kill cannot show is a power failure: there the file
//! rests on `synchronous = FULL` and on disks that do as they say.

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use jiff::Timestamp;
use knockon_desk::{BikeId, Desk, Format, NewQuestion, QuestionId, Stamp, State, Way};
use rand::RngExt;
use rusqlite::Connection;

/// The workshop's file, for the child.
const FILE: &str = "KNOCKON_DURABILITY_FILE";
/// Number of the round, for the child: every text is unlike those of other rounds.
const ROUND: &str = "KNOCKON_DURABILITY_ROUND";

const ROUNDS: u32 = 12;
const RECORD: &str =
    "name = \"Larch\"\n[chart]\nhead_angle = 65\n[cockpit]\nspacers_below = 20\n[stem]\nlength = 50\n";

fn main() {
    match (std::env::var(FILE), std::env::var(ROUND)) {
        (Ok(file), Ok(round)) => write_until_killed(Path::new(&file), &round),
        _ => kill_and_look(),
    }
}

fn stamp() -> Stamp {
    Stamp { at: Timestamp::UNIX_EPOCH, who: "writer".to_owned() }
}

/// Says that something is written for good. One line is one write: a kill cuts it off whole or leaves it whole.
fn acknowledge(line: &str) {
    let mut out = std::io::stdout().lock();
    out.write_all(format!("{line}\n").as_bytes()).and_then(|()| out.flush()).expect("the parent listens");
}

fn write_until_killed(file: &Path, round: &str) {
    let desk = Desk::open(file).expect("the workshop opens");
    let bike = desk.add_bike(RECORD, round, &stamp()).expect("a bike");
    std::thread::scope(|scope| {
        scope.spawn(|| write_questions(&desk, round));
        scope.spawn(|| write_drafts(&desk, round));
        scope.spawn(|| write_bikes(&desk, bike));
        scope.spawn(|| publish_sheets(&desk, bike));
    });
}

fn ask(desk: &Desk, asked: &str, bike: Option<BikeId>) -> QuestionId {
    let changes = "stem length 40".to_owned();
    let new = NewQuestion { asked: asked.to_owned(), bike, changes, ..NewQuestion::default() };
    desk.ask(&new, &stamp()).expect("a question is kept")
}

fn write_questions(desk: &Desk, round: &str) {
    for number in 0.. {
        let asked = format!("round {round} question {number}");
        let id = ask(desk, &asked, None);
        acknowledge(&format!("asked\t{id}\t{asked}"));
        let state = State::ALL[number % 4];
        desk.set_state(id, state, &stamp()).expect("a state is kept");
        acknowledge(&format!("state\t{id}\t{}", state.key()));
    }
}

fn write_drafts(desk: &Desk, round: &str) {
    let id = ask(desk, "tried", None);
    for number in 0.. {
        let draft = desk.save_draft(id, &format!("round {round} {number}"), None, &stamp());
        let draft = draft.expect("a draft is kept");
        acknowledge(&format!("draft\t{id}\t{}\t{}", draft.number, draft.changes));
    }
}

fn write_bikes(desk: &Desk, bike: BikeId) {
    for after in 1.. {
        let name = format!("Larch {after}");
        let text = RECORD.replace("Larch", &name);
        let number = desk.save_bike(bike, &text, "", after, &stamp()).expect("a version is kept");
        acknowledge(&format!("bike\t{bike}\t{number}\t{name}"));
    }
}

fn publish_sheets(desk: &Desk, bike: BikeId) {
    loop {
        // The bike changes all the while; so only an answer on a question of its own settles.
        let id = ask(desk, "publish me", Some(bike));
        if let Ok(sheet) = desk.publish(id, Way::First, &stamp()) {
            acknowledge(&format!("sheet\t{id}\t{}\t{}", sheet.code, sheet.revision));
        }
    }
}

/// What children acknowledged, over all rounds; of drafts the newest of each question, of states the last.
#[derive(Default)]
struct Acknowledged {
    lines: usize,
    asked: BTreeMap<QuestionId, String>,
    states: BTreeMap<QuestionId, String>,
    drafts: BTreeMap<QuestionId, (u32, String)>,
    bikes: BTreeMap<(BikeId, u32), String>,
    sheets: BTreeMap<QuestionId, (String, u32)>,
}

impl Acknowledged {
    fn hear(&mut self, line: &str) {
        self.lines += 1;
        let parts: Vec<&str> = line.split('\t').collect();
        let id = || parts[1].parse().expect("a number");
        match parts[..] {
            ["asked", _, asked] => {
                self.asked.insert(id(), asked.to_owned());
            }
            ["state", _, state] => {
                self.states.insert(id(), state.to_owned());
            }
            ["draft", _, number, changes] => {
                self.drafts.insert(id(), (number.parse().expect("a number"), changes.to_owned()));
            }
            ["bike", bike, number, name] => {
                let key = (bike.parse().expect("a number"), number.parse().expect("a number"));
                self.bikes.insert(key, name.to_owned());
            }
            ["sheet", _, code, revision] => {
                self.sheets.insert(id(), (code.to_owned(), revision.parse().expect("a number")));
            }
            _ => panic!("the child said {line:?}"),
        }
    }

    fn count(&self) -> [usize; 5] {
        [self.asked.len(), self.states.len(), self.drafts.len(), self.bikes.len(), self.sheets.len()]
    }

    /// Everything that was acknowledged is there.
    fn look(&self, desk: &Desk) {
        for (id, asked) in &self.asked {
            assert_eq!(desk.question(*id).expect("an acknowledged question").asked, *asked);
        }
        for (id, state) in &self.states {
            assert_eq!(desk.question(*id).expect("an acknowledged question").state.key(), state);
        }
        for (id, (number, changes)) in &self.drafts {
            let draft = desk.question(*id).expect("an acknowledged question").draft;
            // One more may have been written that nobody lived to acknowledge.
            assert!(draft.number == *number || draft.number == number + 1, "{} {number}", draft.number);
            assert!(draft.number > *number || draft.changes == *changes);
        }
        for ((bike, number), name) in &self.bikes {
            let version = desk.bike_version(*bike, *number).expect("an acknowledged version");
            assert!(version.text.contains(name.as_str()));
        }
        for (id, (code, revision)) in &self.sheets {
            assert_eq!(desk.question(*id).expect("an acknowledged question").state, State::Answered);
            for format in Format::ALL {
                let file = desk.published_file(code, *revision, format).expect("an acknowledged sheet");
                assert!(!file.is_empty());
            }
        }
    }
}

fn kill_and_look() {
    let started = Instant::now();
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("workshop");
    let mut acknowledged = Acknowledged::default();
    for round in 0..ROUNDS {
        let before = acknowledged.lines;
        let mut child = start(&file, round);
        kill_at_random(&mut child, &mut acknowledged);
        assert!(acknowledged.lines > before, "round {round}: nothing was acknowledged");
        check_file(&file);
        let desk = Desk::open(&file).expect("the workshop opens after the kill");
        acknowledged.look(&desk);
    }
    let [asked, states, drafts, versions, sheets] = acknowledged.count();
    assert!(drafts >= ROUNDS as usize / 2 && versions > 0 && sheets > 0, "{:?}", acknowledged.count());
    println!(
        "killed {ROUNDS} times in {:.1} s; nothing lost of {asked} questions, {states} states, {drafts} series of drafts, \
         {versions} versions of bikes and {sheets} sheets",
        started.elapsed().as_secs_f64()
    );
}

fn start(file: &Path, round: u32) -> Child {
    let program = std::env::current_exe().expect("the path of this program");
    Command::new(program)
        .env(FILE, file)
        .env(ROUND, round.to_string())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the child starts")
}

/// Hears what the child says, kills it some time after its first word, and hears what it had still said.
fn kill_at_random(child: &mut Child, acknowledged: &mut Acknowledged) {
    let out = child.stdout.take().expect("the child's output");
    let mut lines = BufReader::new(out);
    let mut line = String::new();
    lines.read_line(&mut line).expect("the child's first word");
    acknowledged.hear(line.trim_end());
    let wait = Duration::from_micros(rand::rng().random_range(20_000..500_000));
    std::thread::scope(|scope| {
        let hearing = scope.spawn(|| {
            loop {
                let mut line = String::new();
                match lines.read_line(&mut line) {
                    // A line without its end was not said to the end.
                    Ok(read) if read > 0 && line.ends_with('\n') => acknowledged.hear(line.trim_end()),
                    _ => return,
                }
            }
        });
        std::thread::sleep(wait);
        // SIGKILL: nothing of the child runs any more after this.
        child.kill().expect("the child can be killed");
        hearing.join().expect("every line was heard");
    });
    child.wait().expect("the child is gone");
}

/// The file is sound, and so is its full-text index.
fn check_file(file: &Path) {
    let raw = Connection::open(file).expect("the file opens");
    let said: String = raw.query_row("PRAGMA integrity_check", [], |row| row.get(0)).expect("a check");
    assert_eq!(said, "ok");
    assert!(!raw.prepare("PRAGMA foreign_key_check").expect("a check").exists([]).expect("a check"));
    let check = "INSERT INTO question_words (question_words, rank) VALUES ('integrity-check', 0)";
    raw.execute(check, []).expect("the full-text index is sound");
    let missing = "SELECT count(*) FROM question WHERE id NOT IN (SELECT rowid FROM question_words)";
    assert_eq!(raw.query_row(missing, [], |row| row.get::<_, i64>(0)).expect("a count"), 0);
}
