//! The limit in seconds of a call: a guest works in slices, and between two of them, and whenever it asks
//! something of the host, the clock is looked at.
//!
//! Work is counted anyway, so that looking at the clock costs the guest nothing while it works; a second
//! count for the clock alone, which the engine could keep, took 7 % of the time of all steps.

use std::pin::pin;
use std::task::{Context, Poll, Waker};
use std::time::{Duration, Instant};

/// The units of work between two looks at the clock: some milliseconds.
pub(super) const SLICE: u64 = 10_000_000;

/// When a call began, and how long it may take.
#[derive(Clone, Copy, Debug)]
pub(super) struct Clock {
    began: Instant,
    limit: Duration,
}

impl Clock {
    /// Starts now.
    pub fn start(limit: Duration) -> Self {
        Self {
            began: Instant::now(),
            limit,
        }
    }

    /// Whether the time is over.
    pub fn is_over(self) -> bool {
        self.began.elapsed() >= self.limit
    }

    /// Goes on with `call`, which pauses after each slice of work and whenever it waits for something, until it
    /// is done or the time is over. At each pause `meanwhile` does what there is to do, and says whether to go
    /// on. `None` when that or the time is over: what is left of the call is dropped.
    pub fn run<T>(
        self,
        call: impl Future<Output = T>,
        mut meanwhile: impl FnMut() -> bool,
    ) -> Option<T> {
        let mut call = pin!(call);
        let mut context = Context::from_waker(Waker::noop());
        loop {
            if let Poll::Ready(done) = call.as_mut().poll(&mut context) {
                return Some(done);
            }
            if !meanwhile() || self.is_over() {
                return None;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_call_ends_by_itself_or_by_the_clock() {
        let clock = Clock::start(Duration::from_millis(1));
        assert_eq!(clock.run(async { 7 }, || true), Some(7));
        assert_eq!(clock.run(std::future::pending::<()>(), || true), None);
        assert!(clock.is_over());
        let clock = Clock::start(Duration::from_secs(3600));
        assert_eq!(clock.run(std::future::pending::<()>(), || false), None);
    }
}
