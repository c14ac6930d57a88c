//! The real program, serving on a port of its own, as a child that is ended by its number.

// Each program of tests uses a part of it.
#![allow(dead_code)]

use std::io::{BufRead, BufReader, Read};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use serde_json::Value;
use ureq::Agent;

/// Longest time that anything here may take.
const PATIENCE: Duration = Duration::from_secs(30);

/// A program that serves. Dropped, it is killed.
pub struct Server {
    /// `http://127.0.0.1:49152`.
    pub address: String,
    child: Child,
    out: Option<JoinHandle<String>>,
    err: Option<JoinHandle<String>>,
    agent: Agent,
}

/// How a server ended and what it had said.
pub struct Ended {
    pub status: ExitStatus,
    pub out: String,
    pub err: String,
}

impl Server {
    /// Starts the command and waits until it prints its address.
    #[track_caller]
    pub fn start(mut command: Command) -> Server {
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the command starts");
        let mut err = child.stderr.take().expect("its standard error");
        let err = std::thread::spawn(move || {
            let mut said = String::new();
            let _ = err.read_to_string(&mut said);
            said
        });
        let mut out = BufReader::new(child.stdout.take().expect("its standard output"));
        let mut line = String::new();
        out.read_line(&mut line).expect("a line");
        let Some(address) = line.split_whitespace().find(|word| word.starts_with("http://")) else {
            let _ = child.kill();
            let _ = child.wait();
            panic!("no address: {line}{}", err.join().unwrap_or_default());
        };
        let address = address.to_owned();
        let out = std::thread::spawn(move || {
            let mut said = line;
            let _ = out.read_to_string(&mut said);
            said
        });
        Server { address, child, out: Some(out), err: Some(err), agent: agent() }
    }

    /// Status and body.
    #[track_caller]
    pub fn get(&self, path: &str) -> (u16, String) {
        let mut reply = self.agent.get(format!("{}{path}", self.address)).call().expect("a reply");
        (reply.status().as_u16(), reply.body_mut().read_to_string().expect("a body"))
    }

    /// Status and body after sending JSON.
    #[track_caller]
    pub fn post(&self, path: &str, body: &Value) -> (u16, String) {
        send(&self.agent, &format!("{}{path}", self.address), body).expect("a reply")
    }

    /// JSON that must come with status 200.
    #[track_caller]
    pub fn json(&self, path: &str) -> Value {
        let (status, body) = self.get(path);
        assert_eq!(status, 200, "{body}");
        serde_json::from_str(&body).expect("JSON")
    }

    /// Sends a signal by the child's number and waits for the end.
    pub fn signal(mut self, name: &str) -> Ended {
        let sent = Command::new("kill").args([&format!("-{name}"), &self.child.id().to_string()]).status();
        assert!(sent.expect("the command kill").success());
        let until = Instant::now() + PATIENCE;
        let status = loop {
            if let Some(status) = self.child.try_wait().expect("a child") {
                break status;
            }
            assert!(Instant::now() < until, "it does not end");
            std::thread::sleep(Duration::from_millis(10));
        };
        let said =
            |thread: &mut Option<JoinHandle<String>>| thread.take().map(|it| it.join().expect("its words"));
        let out = said(&mut self.out).unwrap_or_default();
        Ended { status, out, err: said(&mut self.err).unwrap_or_default() }
    }

    /// Kills it as a loss of power would: it gets no chance to finish anything.
    pub fn kill(mut self) {
        self.child.kill().expect("the child can be killed");
        self.child.wait().expect("the child ends");
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A client that reports every status as it came, and follows nothing.
pub fn agent() -> Agent {
    Agent::config_builder()
        .http_status_as_error(false)
        .max_redirects(0)
        .timeout_global(Some(PATIENCE))
        .proxy(None)
        .build()
        .into()
}

/// Sends JSON.
pub fn send(agent: &Agent, url: &str, body: &Value) -> Result<(u16, String), ureq::Error> {
    let mut reply = agent.post(url).header("Content-Type", "application/json").send(body.to_string())?;
    Ok((reply.status().as_u16(), reply.body_mut().read_to_string()?))
}
