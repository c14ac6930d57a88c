//! When to end: Ctrl-C, or the signal with which systems end programs.

use std::io;

#[cfg(unix)]
use tokio::signal::unix::{Signal, SignalKind, signal};

/// Watches for being asked to end, from its making on.
pub(crate) struct Stop {
    #[cfg(unix)]
    signals: [Signal; 3],
}

impl Stop {
    /// Begins to watch.
    #[cfg(unix)]
    pub(crate) fn new() -> io::Result<Self> {
        // Ctrl-C; what systems send; and the terminal that is closed.
        let kinds = [SignalKind::interrupt(), SignalKind::terminate(), SignalKind::hangup()];
        let [interrupt, terminate, hangup] = kinds.map(signal);
        Ok(Self { signals: [interrupt?, terminate?, hangup?] })
    }

    /// Begins to watch.
    #[cfg(not(unix))]
    #[allow(clippy::unnecessary_wraps)] // as elsewhere
    pub(crate) fn new() -> io::Result<Self> {
        Ok(Self {})
    }

    /// Done once somebody asks.
    #[cfg(unix)]
    pub(crate) async fn asked(mut self) {
        let [interrupt, terminate, hangup] = &mut self.signals;
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
            _ = hangup.recv() => {}
        }
    }

    /// Done once somebody asks.
    #[cfg(not(unix))]
    pub(crate) async fn asked(self) {
        let _ = tokio::signal::ctrl_c().await;
    }
}
