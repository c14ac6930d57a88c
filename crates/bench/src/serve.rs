//! Listening, limits on connections, and stopping in an orderly way.
//!
//! axum's own server has no limit on how slowly headers may come nor on how many connections are open; hyper, which is
//! below it, has the first, and a semaphore is the second.

use std::future::Future;
use std::io;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::{GracefulShutdown, Watcher};
use knockon_desk::Desk;
use tokio::net::{TcpListener, TcpStream};
use tokio::runtime::{Builder, Runtime};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tower::ServiceExt;

use crate::router::router_with;
use crate::security::site::Site;

/// Most bytes that a request's line and headers may have.
const MOST_HEADERS: usize = 32 << 10;

/// How long open requests get when the program is told to stop.
const FAREWELL: Duration = Duration::from_secs(10);

/// Where the bench listens, and under which other names it is reached.
#[derive(Clone, Debug)]
pub struct Options {
    /// The address that is listened on.
    pub listen: SocketAddr,
    /// `https://bench.example` or host names, parted by commas, where something in front passes requests on.
    pub reached_as: Option<String>,
}

/// Limits on time and number. The defaults are for use; tests take shorter ones.
#[derive(Clone, Debug)]
pub struct Limits {
    /// How long the headers of a request may take, and how long a connection may be idle.
    pub headers: Duration,
    /// How long a request may take.
    pub request: Duration,
    /// How long a request may take that brings a photo.
    pub upload: Duration,
    /// How long one connection is kept.
    pub connection: Duration,
    /// How many connections are open at once; further ones wait.
    pub connections: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            headers: Duration::from_secs(15),
            request: Duration::from_secs(30),
            upload: Duration::from_mins(2),
            connection: Duration::from_mins(15),
            connections: 512,
        }
    }
}

/// The address of whoever is at the other end of the connection.
#[derive(Clone, Copy, Debug)]
pub struct Peer(pub SocketAddr);

/// Threads that may compute or wait for the disk at the same time. A few more than processors, since SQLite lets one of them
/// write; each that computes takes memory of its own, and more at once answer no sooner.
const MOST_AT_WORK: usize = 12;

/// The threads that the server runs on.
///
/// # Errors
/// Where the system gives none.
pub fn runtime() -> std::io::Result<Runtime> {
    let threads = std::thread::available_parallelism().map_or(2, usize::from).clamp(1, 4);
    Builder::new_multi_thread()
        .worker_threads(threads)
        .max_blocking_threads(MOST_AT_WORK)
        .enable_all()
        .build()
}

/// Serves until `stop` is done, and then finishes what was begun.
pub async fn serve(
    desk: Desk,
    listener: TcpListener,
    options: Options,
    stop: impl Future<Output = ()>,
) -> io::Result<()> {
    serve_with(desk, listener, options, Limits::default(), stop).await
}

/// [`serve`] with other limits.
pub async fn serve_with(
    desk: Desk,
    listener: TcpListener,
    mut options: Options,
    limits: Limits,
    stop: impl Future<Output = ()>,
) -> io::Result<()> {
    options.listen = listener.local_addr()?;
    refuse_without_accounts(&desk, &options)?;
    let connections = Arc::new(Semaphore::new(limits.connections));
    let door = Door { router: router_with(desk, &options, limits.clone()), limits };
    let graceful = GracefulShutdown::new();
    let mut stop = std::pin::pin!(stop);
    loop {
        let (stream, peer, permit) = tokio::select! {
            () = &mut stop => break,
            next = next(&listener, &connections) => next,
        };
        tokio::spawn(door.clone().attend(stream, peer, permit, graceful.watcher()));
    }
    drop(listener);
    let _ = tokio::time::timeout(FAREWELL, graceful.shutdown()).await;
    Ok(())
}

/// A bench that other machines reach would be everybody's: it needs accounts first.
fn refuse_without_accounts(desk: &Desk, options: &Options) -> io::Result<()> {
    let private = Site::new(options.listen, options.reached_as.as_deref()).is_private();
    if private || desk.has_accounts().map_err(io::Error::other)? {
        return Ok(());
    }
    Err(io::Error::new(
        io::ErrorKind::PermissionDenied,
        format!(
            "other machines could reach {}, and there is no account yet, so that anybody could read and change \
             everything; make an account first: knockon account add NAME",
            options.listen
        ),
    ))
}

/// The next connection, once there is room for it.
async fn next(
    listener: &TcpListener,
    connections: &Arc<Semaphore>,
) -> (TcpStream, SocketAddr, Option<OwnedSemaphorePermit>) {
    let permit = Arc::clone(connections).acquire_owned().await.ok();
    loop {
        match listener.accept().await {
            Ok((stream, peer)) => return (stream, peer, permit),
            // Out of file descriptors, or the other end has gone already: neither is a reason to end.
            Err(_) => tokio::time::sleep(Duration::from_millis(50)).await,
        }
    }
}

/// What every connection gets.
#[derive(Clone)]
struct Door {
    router: Router,
    limits: Limits,
}

impl Door {
    /// One connection, to its end. The permit is held as long.
    async fn attend(
        self,
        stream: TcpStream,
        peer: SocketAddr,
        _permit: Option<OwnedSemaphorePermit>,
        watcher: Watcher,
    ) {
        // Small answers go out at once; without it a live update could wait for the other end's acknowledgement.
        let _ = stream.set_nodelay(true);
        let router = self.router;
        let service = service_fn(move |request: hyper::Request<hyper::body::Incoming>| {
            let mut request = request.map(Body::new);
            request.extensions_mut().insert(Peer(peer));
            router.clone().oneshot(request)
        });
        let connection = http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(self.limits.headers)
            .max_buf_size(MOST_HEADERS)
            .serve_connection(TokioIo::new(stream), service);
        // A connection that breaks off concerns nobody else.
        let _ = tokio::time::timeout(self.limits.connection, watcher.watch(connection)).await;
    }
}

#[cfg(test)]
mod tests {
    use std::io::Write;

    use axum::extract::State;
    use axum::routing::get;
    use knockon_desk::{Role, Stamp};

    use super::*;
    use crate::app::{App, Waiting};

    #[test]
    fn only_a_loopback_address_goes_without_accounts() {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = Desk::open(&folder.path().join("workshop.db")).expect("a workshop");
        let allowed = |address: &str| {
            let options = Options { listen: address.parse().expect("an address"), reached_as: None };
            refuse_without_accounts(&desk, &options).map_err(|error| error.to_string())
        };
        assert_eq!(allowed("127.0.0.1:8021"), Ok(()));
        assert_eq!(allowed("[::1]:8021"), Ok(()));
        for wider in ["0.0.0.0:8021", "192.0.2.4:8021", "[::]:8021", "[2001:db8::1]:8021"] {
            let words = allowed(wider).expect_err("a refusal");
            assert!(words.contains("knockon account add NAME"), "{words}");
        }
        desk.add_account("Kim", "four unrelated words", Role::Answer, &Stamp::now("the test"))
            .expect("an account");
        assert_eq!(allowed("0.0.0.0:8021"), Ok(()));
    }

    /// A real connection that is closed while its answer is worked on.
    #[tokio::test(flavor = "multi_thread")]
    async fn a_search_stops_when_its_reader_goes_away() {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = Desk::open(&folder.path().join("workshop.db")).expect("a workshop");
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
        let address = listener.local_addr().expect("its address");
        let app = App::new(desk, Site::new(address, None), Limits::default());
        let (tell, mut told) = tokio::sync::mpsc::unbounded_channel();
        let long = move |State(app): State<App>| async move {
            let work = move |_: &Desk, waiting: &Waiting| {
                let _ = tell.send("begun");
                let stopped = (0..2000).any(|_| {
                    std::thread::sleep(Duration::from_millis(5));
                    waiting.go_on().is_break()
                });
                let _ = tell.send(if stopped { "stopped" } else { "went on for ten seconds" });
                Ok(())
            };
            app.search(work).await.is_ok().to_string()
        };
        let door =
            Door { router: Router::new().route("/", get(long)).with_state(app), limits: Limits::default() };
        let mut reader = std::net::TcpStream::connect(address).expect("a connection");
        let (stream, peer) = listener.accept().await.expect("the other end of it");
        let graceful = GracefulShutdown::new();
        let attended = tokio::spawn(door.attend(stream, peer, None, graceful.watcher()));
        reader.write_all(b"GET / HTTP/1.1\r\nhost: bench\r\n\r\n").expect("sent");
        assert_eq!(told.recv().await, Some("begun"));
        drop(reader);
        assert_eq!(told.recv().await, Some("stopped"));
        attended.await.expect("the connection has ended");
    }
}
