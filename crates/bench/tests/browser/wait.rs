//! Waiting for something, with a bound.

use std::thread::sleep;
use std::time::{Duration, Instant};

/// The longest that anything may take.
pub const LONGEST: Duration = Duration::from_secs(20);

/// Asks again and again until there is an answer; `None` when there is none within [`LONGEST`].
pub fn patiently<T>(mut ask: impl FnMut() -> Option<T>) -> Option<T> {
    let start = Instant::now();
    loop {
        let answer = ask();
        if answer.is_some() || start.elapsed() >= LONGEST {
            return answer;
        }
        sleep(Duration::from_millis(25));
    }
}

/// The same where there has to be an answer.
///
/// # Panics
/// When there is none: with what was waited for.
#[track_caller]
pub fn until<T>(what: &str, ask: impl FnMut() -> Option<T>) -> T {
    let answer = patiently(ask);
    answer.unwrap_or_else(|| panic!("waited {} s for {what}, in vain", LONGEST.as_secs()))
}
