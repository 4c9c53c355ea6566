//! Sleeping until a file may have changed.

use notify::event::{AccessKind, AccessMode};
use notify::{EventKind, RecommendedWatcher, RecursiveMode, Watcher as _};
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

/// How long nothing may happen before a change counts as over: editors write, rename and touch.
const QUIET: Duration = Duration::from_millis(50);
/// How long to wait for that at most.
const PATIENCE: Duration = Duration::from_millis(500);
/// How often to look where changes are not told.
const LOOK_EVERY: Duration = Duration::from_secs(1);

/// Tells when to look at the files again.
pub(super) struct Changes {
    told: Receiver<()>,
    watcher: Option<RecommendedWatcher>,
    /// How often to look, where asked for.
    period: Option<Duration>,
    /// Why changes are not told, where that is so.
    pub untold: Option<String>,
}

impl Changes {
    /// Is told of changes by the system, or looks every `period` where one is given.
    pub fn new(period: Option<Duration>) -> Self {
        let (tell, told) = channel();
        let mut changes = Self {
            told,
            watcher: None,
            period,
            untold: None,
        };
        if period.is_some() {
            return changes;
        }
        let watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
            // Reading is no change; looking at the files must not wake whoever looks at them.
            let changed = match event.map(|event| event.kind) {
                Ok(EventKind::Access(AccessKind::Close(AccessMode::Write))) => true,
                Ok(EventKind::Access(_)) => false,
                Ok(_) | Err(_) => true,
            };
            if changed {
                // Nobody listens any more when the loop has ended.
                let _ = tell.send(());
            }
        });
        match watcher {
            Ok(watcher) => changes.watcher = Some(watcher),
            Err(error) => changes.untold = Some(error.to_string()),
        }
        changes
    }

    /// Sees to it that changes in these folders are told. A folder that has been replaced is found
    /// again, so this is to be called before each sleep.
    pub fn watch(&mut self, folders: &BTreeSet<PathBuf>) {
        let Some(watcher) = &mut self.watcher else {
            return;
        };
        self.untold = None;
        for folder in folders {
            if let Err(error) = watcher.watch(folder, RecursiveMode::NonRecursive) {
                self.untold = Some(format!("{}: {error}", folder.display()));
            }
        }
    }

    /// How often the files are looked at, where changes are not told.
    pub fn period(&self) -> Option<Duration> {
        self.period
            .or_else(|| self.untold.is_some().then_some(LOOK_EVERY))
    }

    /// Sleeps until it is time to look at the files.
    pub fn sleep(&self) {
        let woken = match self.period() {
            Some(period) => self.told.recv_timeout(period),
            None => self.told.recv().map_err(|_| RecvTimeoutError::Disconnected),
        };
        match woken {
            Ok(()) => {}
            Err(RecvTimeoutError::Timeout) => return,
            // Nothing will ever be told: never look more often than this all the same.
            Err(RecvTimeoutError::Disconnected) => {
                std::thread::sleep(self.period().unwrap_or(LOOK_EVERY));
                return;
            }
        }
        let begun = Instant::now();
        while begun.elapsed() < PATIENCE && self.told.recv_timeout(QUIET).is_ok() {}
    }
}
