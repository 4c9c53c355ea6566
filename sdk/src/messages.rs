//! What a step says while it works.
//!
//! In the sandbox these reach the host. In native tests they are kept for the thread, and
//! [`take`] and [`take_log`] hand them over.

use crate::Finding;
use crate::bindings::host::LogLevel;
use std::panic::Location;

/// Writes a line to the host's log, for whoever runs the pipeline. The line begins with the source
/// file and the line number of the call.
#[track_caller]
pub fn log(message: &str) {
    channel::log(LogLevel::Info, &located(message));
}

/// Writes a line to the host's log, for the plugin's author. The line begins with the source file
/// and the line number of the call.
#[track_caller]
pub fn debug(message: &str) {
    channel::log(LogLevel::Debug, &located(message));
}

#[track_caller]
fn located(message: &str) -> String {
    let place = Location::caller();
    format!("{}:{}: {message}", place.file(), place.line())
}

/// Tells how far the work is, from 0 to 1.
pub fn progress(fraction: f64) {
    channel::progress(fraction);
}

/// Reports something noticed about the design.
pub fn report(finding: Finding) {
    channel::report(finding);
}

#[cfg(target_arch = "wasm32")]
pub(crate) mod channel {
    pub(crate) use crate::bindings::host::{log, progress};

    pub(crate) fn report(finding: crate::Finding) {
        crate::bindings::host::report(&finding);
    }
}

#[cfg(not(target_arch = "wasm32"))]
pub(crate) mod channel {
    use crate::Finding;
    use crate::bindings::host::LogLevel;
    use std::cell::RefCell;

    thread_local! {
        pub(super) static LINES: RefCell<Vec<String>> = const { RefCell::new(Vec::new()) };
        pub(super) static FINDINGS: RefCell<Vec<Finding>> = const { RefCell::new(Vec::new()) };
    }

    pub(crate) fn log(_level: LogLevel, message: &str) {
        LINES.with_borrow_mut(|lines| lines.push(message.to_owned()));
    }

    pub(crate) fn progress(_fraction: f64) {}

    pub(crate) fn report(finding: Finding) {
        FINDINGS.with_borrow_mut(|findings| findings.push(finding));
    }
}

/// Takes what [`report`] was given on this thread since the last call. For native tests.
#[cfg(not(target_arch = "wasm32"))]
pub fn take() -> Vec<Finding> {
    channel::FINDINGS.with_borrow_mut(std::mem::take)
}

/// Takes what [`log`] and [`debug`] were given on this thread since the last call, each line with
/// the place in the source that it came from. For native tests.
#[cfg(not(target_arch = "wasm32"))]
pub fn take_log() -> Vec<String> {
    channel::LINES.with_borrow_mut(std::mem::take)
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_line_says_where_in_the_source_it_was_logged() {
        super::take_log();
        super::log("one");
        super::debug("two");
        let here = line!();
        let file = file!();
        assert_eq!(
            super::take_log(),
            [
                format!("{file}:{}: one", here - 2),
                format!("{file}:{}: two", here - 1)
            ]
        );
        assert!(super::take_log().is_empty());
    }
}
