//! What a handler can reach.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use knockon_desk::{Desk, DeskError};

use crate::errors::Fault;
use crate::security::log_in_limit::LogInLimit;
use crate::security::site::Site;
use crate::serve::Limits;

/// Everything that handlers share; cheap to clone.
#[derive(Clone)]
pub struct App {
    desk: Desk,
    shared: Arc<Shared>,
}

/// What is made once for all requests.
struct Shared {
    site: Site,
    limits: Limits,
    log_ins: LogInLimit,
}

/// Whether somebody waits for an answer.
pub struct Waiting(Arc<AtomicBool>);

impl Waiting {
    /// Asked from time to time by whoever works on the answer.
    pub fn go_on(&self) -> ControlFlow<()> {
        if self.0.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

/// Goes with the request, and tells [`Waiting`] when it is gone.
struct Left(Arc<AtomicBool>);

impl Drop for Left {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

impl App {
    /// An app over `desk` that is reached as `site` says.
    pub fn new(desk: Desk, site: Site, limits: Limits) -> Self {
        Self { desk, shared: Arc::new(Shared { site, limits, log_ins: LogInLimit::default() }) }
    }

    /// Runs `work` on a thread that may wait for the disk, so that no other request waits with it.
    pub async fn desk<T, F>(&self, work: F) -> Result<T, Fault>
    where
        T: Send + 'static,
        F: FnOnce(&Desk) -> Result<T, DeskError> + Send + 'static,
    {
        self.blocking(work).await?.map_err(Fault::from)
    }

    /// Like [`App::desk`], for work that takes long: it is told when nobody waits for its answer any more, because the reader went away or asked
    /// anew.
    pub async fn search<T, F>(&self, work: F) -> Result<T, Fault>
    where
        T: Send + 'static,
        F: FnOnce(&Desk, &Waiting) -> Result<T, DeskError> + Send + 'static,
    {
        let waiting = Waiting(Arc::default());
        let _left = Left(Arc::clone(&waiting.0));
        self.desk(move |desk| work(desk, &waiting)).await
    }

    /// Like [`App::desk`], for pages that show some of the desk's refusals beside the field that caused them.
    pub async fn try_desk<T, F>(&self, work: F) -> Result<Result<T, DeskError>, Fault>
    where
        T: Send + 'static,
        F: FnOnce(&Desk) -> Result<T, DeskError> + Send + 'static,
    {
        self.blocking(work).await
    }

    /// The addresses under which the app is reached.
    pub fn site(&self) -> &Site {
        &self.shared.site
    }

    /// Limits on time and number.
    pub fn limits(&self) -> &Limits {
        &self.shared.limits
    }

    /// The brake on guessing passwords.
    pub fn log_ins(&self) -> &LogInLimit {
        &self.shared.log_ins
    }

    async fn blocking<T, F>(&self, work: F) -> Result<T, Fault>
    where
        T: Send + 'static,
        F: FnOnce(&Desk) -> T + Send + 'static,
    {
        let desk = self.desk.clone();
        tokio::task::spawn_blocking(move || work(&desk))
            .await
            .map_err(|error| Fault::broken(&format!("work on the desk did not finish: {error}")))
    }
}
