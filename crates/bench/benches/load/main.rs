//! How fast the bench answers on this machine, and how much memory it takes.
//!
//! `cargo bench -p knockon-bench --bench load`
//!
//! The server runs in a process of its own on a workshop with 20,000 invented questions; this process is the browser of
//! one user, then of fifty. Both share the machine's processors, so the figures are no better than they would be in use.
//! Times are printed beside what is aimed at and never asserted; any answer that is not the right one makes it fail.

mod backwards;
mod client;
mod dragging;
mod figures;
mod reading;
mod seed;
mod server;

use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;

use tempfile::TempDir;

use figures::Figures;
use server::Server;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().collect();
    if let [_, serve, workshop] = arguments.as_slice()
        && serve == server::SERVE
    {
        server::run(Path::new(workshop));
        return ExitCode::SUCCESS;
    }
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    if runtime.block_on(measure()) { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Measures everything; false when an answer was not the right one.
async fn measure() -> bool {
    let folder = TempDir::new().expect("a temporary folder");
    let mut figures = Figures::default();

    let fresh = Server::start(&folder.path().join("fresh.db")).await;
    figures.start("start to first page, first time, demo loaded", &fresh, "≤ 300");
    drop(fresh);

    let workshop = folder.path().join("workshop.db");
    let start = Instant::now();
    let seeded = seed::seed(&workshop);
    eprintln!("{} questions stored in {:.1} s", seed::QUESTIONS, start.elapsed().as_secs_f64());

    let server = Server::start(&workshop).await;
    figures.start("start to first page, 20,000 questions", &server, "≤ 300");
    dragging::measure(&server, &seeded, &mut figures).await;
    backwards::measure(&server, &seeded, &mut figures).await;
    reading::measure(&server, &seeded, &mut figures).await;
    let (now, most) = server.memory();
    figures.single("resident memory after all, MB", format!("{now:.1}"), "≤ 80");
    figures.single("most resident memory ever, MB", format!("{most:.1}"), "≤ 80");
    drop(server);
    figures.print()
}

impl Figures {
    fn start(&mut self, what: &str, server: &Server, aim: &str) {
        self.single(what, format!("{:.0}", server.first_page.as_secs_f64() * 1000.0), aim);
        let first = &server.first;
        self.check(first.status.is_success() && first.body.contains("</html>"), || {
            format!("{what}: {} {}", first.status, first.body)
        });
    }
}
