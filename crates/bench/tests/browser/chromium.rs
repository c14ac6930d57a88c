//! The browser: one for the whole test process, spoken to over a pipe.
//!
//! Chromium's debugging pipe is its descriptors 3 and 4; messages are JSON texts, each ended by a zero byte. The browser
//! ends by itself when the pipe is closed, which also happens when the test process is killed, so none is ever left
//! behind; the shell around it then removes the profile.

use std::collections::HashMap;
use std::env;
use std::io::{BufRead, BufReader, Read, Write, stderr};
use std::path::PathBuf;
use std::process::{ChildStdin, Command, Stdio};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, LazyLock, Mutex, MutexGuard, PoisonError};
use std::thread;

use serde_json::{Value, json};

use crate::wait::LONGEST;

/// Starts the browser, moves the pipe to where it looks for it, and removes the profile when it has ended. The profile
/// may still be written to for a moment by a helper of the browser, hence the second try.
const START: &str = r#"
profile=$(mktemp -d) || exit
trap : INT TERM HUP
"$0" --headless --no-sandbox --disable-gpu --disable-background-networking --no-first-run \
    --remote-debugging-pipe --user-data-dir="$profile" about:blank 3<&0 4>&1 >/dev/null 2>&1
rm -rf "$profile" 2>/dev/null || { sleep 1; rm -rf "$profile"; }
"#;

/// The browser of this process.
#[derive(Clone)]
pub struct Chromium {
    pipe: Arc<Mutex<ChildStdin>>,
    heard: Arc<Mutex<Heard>>,
    last: Arc<AtomicU64>,
}

/// What has come back from the browser and nobody has taken yet.
#[derive(Default)]
struct Heard {
    /// Who waits for the answer to which call; none once the browser has gone.
    waiting: Option<HashMap<u64, Sender<Value>>>,
    /// What happened, by the session that it happened in.
    events: HashMap<String, Vec<Value>>,
}

/// The browser, started at the first call; `None` when the machine has none.
///
/// # Panics
/// When there is none although one is required.
pub fn chromium() -> Option<&'static Chromium> {
    static ONE: LazyLock<Option<Chromium>> = LazyLock::new(|| find().map(|path| Chromium::start(&path)));
    let found = ONE.as_ref();
    if found.is_none() {
        let required = env::var("KNOCKON_BROWSER").is_ok_and(|value| value == "required");
        assert!(
            !required,
            "no browser, although KNOCKON_BROWSER=required: install chromium or set KNOCKON_CHROMIUM"
        );
        // Straight to the handle: what goes through a macro is kept back for a test that passes.
        let test = thread::current().name().unwrap_or("a browser test").to_owned();
        let _ =
            writeln!(stderr(), "SKIPPED: no browser for {test}; install chromium or set KNOCKON_CHROMIUM");
    }
    found
}

fn find() -> Option<PathBuf> {
    if let Some(named) = env::var_os("KNOCKON_CHROMIUM") {
        return Some(PathBuf::from(named)).filter(|path| path.is_file());
    }
    let folders: Vec<PathBuf> = env::split_paths(&env::var_os("PATH")?).collect();
    ["chromium", "chromium-browser", "google-chrome"]
        .iter()
        .flat_map(|name| folders.iter().map(move |folder| folder.join(name)))
        .find(|path| path.is_file())
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Chromium {
    fn start(program: &PathBuf) -> Chromium {
        let mut shell = Command::new("sh")
            .args(["-c", START])
            .arg(program)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("a shell starts");
        let pipe = shell.stdin.take().expect("stdin was asked for");
        let answers = shell.stdout.take().expect("stdout was asked for");
        let heard = Arc::new(Mutex::new(Heard { waiting: Some(HashMap::new()), ..Heard::default() }));
        let chromium =
            Chromium { pipe: Arc::new(Mutex::new(pipe)), heard: heard.clone(), last: Arc::default() };
        thread::spawn(move || {
            listen(answers, &heard);
            lock(&heard).waiting = None;
            let _ = shell.wait();
        });
        chromium.call(None, "Browser.getVersion", json!({})).expect("the browser answers");
        chromium
    }

    /// Calls a method, of the browser or of a session.
    ///
    /// # Errors
    /// What the browser says against it.
    ///
    /// # Panics
    /// When the browser does not answer.
    #[track_caller]
    pub fn call(&self, session: Option<&str>, method: &str, params: Value) -> Result<Value, String> {
        let id = self.last.fetch_add(1, Ordering::Relaxed) + 1;
        let (answer, answered) = channel();
        lock(&self.heard).waiting.as_mut().expect("the browser is running").insert(id, answer);
        let mut message = json!({ "id": id, "method": method });
        message["params"] = params;
        if let Some(session) = session {
            message["sessionId"] = session.into();
        }
        let mut bytes = message.to_string().into_bytes();
        bytes.push(0);
        lock(&self.pipe).write_all(&bytes).expect("the browser is running");
        let mut answer = answered
            .recv_timeout(LONGEST)
            .unwrap_or_else(|why| panic!("no answer from the browser to {method}: {why}"));
        match answer.get("error") {
            Some(error) => Err(format!("{method}: {error}")),
            None => Ok(answer["result"].take()),
        }
    }

    /// What has happened in a session since the last time that this was asked.
    pub fn events(&self, session: &str) -> Vec<Value> {
        lock(&self.heard).events.remove(session).unwrap_or_default()
    }
}

fn listen(answers: impl Read, heard: &Mutex<Heard>) {
    for message in BufReader::new(answers).split(0) {
        let Ok(Ok(message)) = message.map(|bytes| serde_json::from_slice::<Value>(&bytes)) else { return };
        let mut heard = lock(heard);
        if let Some(id) = message["id"].as_u64() {
            let waiting = heard.waiting.as_mut().and_then(|waiting| waiting.remove(&id));
            if let Some(waiting) = waiting {
                let _ = waiting.send(message);
            }
        } else if let Some(session) = message["sessionId"].as_str() {
            heard.events.entry(session.to_owned()).or_default().push(message);
        }
    }
}
