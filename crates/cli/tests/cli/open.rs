//! `knockon open`, and `knockon` alone: starting, serving and ending the bench.

use std::net::TcpListener;
use std::process::Command;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::run::{Folder, finish, run};
use crate::server::{Ended, Server};
use crate::words;

impl Folder {
    /// Opens a bench on a free port, with nothing of this machine's own: no display, and a data folder in here.
    pub fn open(&self, arguments: &[&str]) -> Server {
        Server::start(self.bench(arguments))
    }

    fn bench(&self, arguments: &[&str]) -> Command {
        let mut command = self.command(&[&["open", "--at", "127.0.0.1:0"], arguments].concat());
        command.env("XDG_DATA_HOME", self.path("data")).env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY");
        command
    }
}

/// What a bench said, with the port and the folder that differ each time taken out.
fn said(ended: &Ended, folder: &Folder) -> crate::run::Ran {
    let folder = folder.path("").to_string_lossy().into_owned();
    let plain = |text: &str| text.replace(&folder, "[folder]/");
    crate::run::Ran {
        status: ended.status.code().expect("an exit status"),
        out: plain(&ended.out),
        err: plain(&ended.err),
    }
}

#[test]
fn without_a_workshop_it_opens_the_demo_and_keeps_it() {
    let folder = Folder::new();
    let server = folder.open(&[]);
    let (status, page) = server.get("/questions");
    assert_eq!(status, 200);
    assert!(page.contains("Longer fork, stem down, higher bar?") && page.contains("(demo)"));
    server.post("/api/v1/questions", &json!({ "asked": "Still here tomorrow?" }));
    let ended = server.signal("TERM");
    words!(said(&ended, &folder));

    let server = folder.open(&[]);
    assert!(server.get("/questions").1.contains("Still here tomorrow?"));
    let ended = server.signal("INT");
    assert_eq!(ended.status.code(), Some(0));
    assert!(!ended.err.contains("made") && !ended.err.contains("filled"), "{}", ended.err);
    assert_eq!(
        std::fs::read_dir(folder.path("data/knockon")).unwrap().count(),
        1,
        "one file and nothing beside it"
    );
}

#[test]
fn a_workshop_that_is_not_there_is_made_empty() {
    let folder = Folder::new();
    let server = folder.open(&["workshop.db"]);
    assert_eq!(server.json("/api/v1/questions")["questions"], json!([]));
    let ended = server.signal("TERM");
    words!(said(&ended, &folder));
    assert_eq!(folder.names(), ["workshop.db"]);
}

#[test]
fn the_demo_fills_only_an_empty_workshop() {
    let folder = Folder::new();
    let server = folder.open(&["workshop.db", "--demo"]);
    let counted = server.json("/api/v1/counts");
    assert!(counted["new"].as_u64() > Some(0));
    drop(server);
    let server = folder.open(&["workshop.db", "--demo"]);
    assert_eq!(server.json("/api/v1/counts"), counted);
}

#[test]
fn a_file_that_is_no_workshop_is_refused_and_left_alone() {
    let folder = Folder::new();
    let text = "Dear workshop, this is a letter and no database at all.".repeat(40);
    folder.write("letter.db", &text);
    let ran = finish(folder.bench(&["letter.db"]), None).refused();
    assert!(ran.err.contains("letter.db is not a workshop"), "{}", ran.err);
    assert_eq!(folder.read("letter.db"), text);
    assert_eq!(folder.names(), ["letter.db"]);
    let ran = finish(folder.bench(&["missing/workshop.db"]), None).refused();
    assert!(ran.err.contains("help:"), "{}", ran.err);
}

#[test]
fn a_port_that_is_taken() {
    let folder = Folder::new();
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let at = taken.local_addr().unwrap().to_string();
    let ran = folder.run(&["open", "workshop.db", "--no-browser", "--at", &at]);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""));
    assert!(
        ran.err.contains(&format!("cannot listen at {at}")) && ran.err.contains("another port"),
        "{}",
        ran.err
    );
}

#[test]
fn an_address_that_is_none() {
    for at in ["here", "127.0.0.1", "127.0.0.1:99999", "localhost:0"] {
        let ran = run(&["open", "workshop.db", "--at", at]).refused();
        assert!(ran.err.contains("--at"), "{}", ran.err);
    }
}

#[test]
fn other_machines_need_accounts() {
    let folder = Folder::new();
    let ran = folder.run(&["open", "workshop.db", "--no-browser", "--at", "0.0.0.0:0"]);
    words!(ran);
    let ran = folder.run(&["open", "workshop.db", "--no-browser", "--reached-as", "https://bench.example"]);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""));

    folder
        .run_with_input(
            &["account", "add", "workshop.db", "sam", "--password-stdin"],
            "four words in a row\n",
        )
        .fine();
    let server = folder.open(&["workshop.db", "--no-browser", "--reached-as", "bench.lan"]);
    let (status, body) = server.get("/api/v1/questions");
    assert_eq!(status, 401, "{body}");
    assert_eq!(server.get("/questions").0, 303, "to the log-in");
}

/// What the API answers can be copied into the command line and gives the same bytes.
#[test]
fn the_api_gives_the_digits_of_the_command_line() {
    let folder = Folder::new();
    let server = folder.open(&["--no-browser"]);
    for (stem, text) in knockon_trade::demo::questions() {
        let asked = knockon_trade::question::read_question(stem, text).expect("a question");
        // The command wants at least one change.
        if asked.changes.is_empty() {
            continue;
        }
        let (_, record) =
            knockon_trade::demo::bikes().iter().find(|(name, _)| *name == asked.bike).expect("a bike");
        let mut arguments = vec!["what-if".to_owned(), format!("demo:{}", asked.bike), "--json".to_owned()];
        arguments.extend(asked.changes.iter().cloned());
        let printed = run(&arguments.iter().map(String::as_str).collect::<Vec<_>>());
        let (status, body) =
            server.post("/api/v1/answers", &json!({ "record": record, "changes": asked.changes }));
        assert_eq!(status, 200, "{stem}: {body}");
        assert!(body == printed.out, "{stem}: other bytes");
    }
}

#[test]
fn openapi_prints_what_is_served() {
    let printed = run(&["openapi"]).fine();
    let description: Value = serde_json::from_str(&printed.out).expect("JSON");
    assert_eq!(description["openapi"], "3.1.0");
    let folder = Folder::new();
    let server = folder.open(&["workshop.db"]);
    assert_eq!(server.get("/api/v1/openapi.json").1, printed.out);
}

/// A browser of our own, which writes down what it was asked to open.
#[cfg(unix)]
#[test]
fn a_browser_is_opened_where_there_is_a_display() {
    use std::os::unix::fs::PermissionsExt;
    let folder = Folder::new();
    let browser = folder.write("browser", "#!/bin/sh\necho \"$1\" > \"$(dirname \"$0\")/opened\"\n");
    std::fs::set_permissions(&browser, std::fs::Permissions::from_mode(0o755)).unwrap();
    let open = |arguments: &[&str], display: &str| {
        let mut command = folder.bench(arguments);
        command.env("BROWSER", &browser).env("DISPLAY", display);
        Server::start(command)
    };
    let wait = |most: Duration| {
        let until = Instant::now() + most;
        while Instant::now() < until && !folder.path("opened").exists() {
            std::thread::sleep(Duration::from_millis(20));
        }
    };
    for (arguments, display) in [(&["w.db", "--no-browser"][..], ":7"), (&["w.db"], "")] {
        let server = open(arguments, display);
        server.get("/questions");
        wait(Duration::from_millis(300));
        assert!(!folder.path("opened").exists(), "{arguments:?} {display:?}");
    }
    let server = open(&["w.db"], ":7");
    wait(Duration::from_secs(10));
    assert_eq!(folder.read("opened").trim().trim_end_matches('/'), server.address);
}
