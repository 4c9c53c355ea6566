//! What a step says while it works.
//!
//! In the sandbox these reach the host. In native tests they are kept for the thread, and
//! [`take`] hands them over.

use crate::Finding;

/// Writes a line to the host's log, for whoever runs the pipeline.
pub fn log(message: &str) {
    channel::log(crate::bindings::host::LogLevel::Info, message);
}

/// Writes a line to the host's log, for the plugin's author.
pub fn debug(message: &str) {
    channel::log(crate::bindings::host::LogLevel::Debug, message);
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
        pub(super) static FINDINGS: RefCell<Vec<Finding>> = const { RefCell::new(Vec::new()) };
    }

    pub(crate) fn log(_level: LogLevel, _message: &str) {}

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
