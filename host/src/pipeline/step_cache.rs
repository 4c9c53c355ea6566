//! Results of object steps and of pieces of design steps, kept by what went in: a small edit re-runs only
//! what it changed.

use super::trail::Trail;
use crate::design::{Object, Thread};
use crate::sandbox::{Answer, PieceCache, PieceKey, Plugin, Worked};
use sha2::Digest as _;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// SHA-256 over a plugin's bytes, its settings, and an object with its thread or a piece.
pub(super) type Key = [u8; 32];

/// Results kept from one run to the next, and the way that the last run went.
#[derive(Default)]
pub struct StepCache {
    results: Mutex<BTreeMap<Key, Entry>>,
    /// The keys asked for since this was last emptied.
    asked: Mutex<Vec<Key>>,
    trail: Mutex<Trail>,
    reused: AtomicUsize,
    fresh: AtomicUsize,
}

/// Where the results of object steps came from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Tally {
    /// From an earlier run.
    pub reused: usize,
    /// From running the step.
    pub fresh: usize,
}

struct Entry {
    result: Kept,
    used: bool,
}

#[derive(Clone)]
enum Kept {
    Object(Arc<Answer<Object>>),
    Piece(Arc<Worked>),
}

impl StepCache {
    /// The key of a call.
    pub(super) fn key(plugin: &Plugin, object: &Object, thread: &Thread, settings: &str) -> Key {
        let mut hash = plugin.key_with(settings);
        // Finite numbers and plain structs always serialize; JSON keeps every bit of an f64.
        hash.update(serde_json::to_vec(&(object, thread)).unwrap_or_default());
        hash.finalize().into()
    }

    pub(super) fn get(&self, key: &Key) -> Option<Answer<Object>> {
        let Kept::Object(answer) = self.find(key)? else {
            return None;
        };
        self.reused.fetch_add(1, Ordering::Relaxed);
        Some(Arc::unwrap_or_clone(answer))
    }

    pub(super) fn put(&self, key: Key, answer: Answer<Object>) {
        self.fresh.fetch_add(1, Ordering::Relaxed);
        self.keep(key, Kept::Object(Arc::new(answer)));
    }

    fn find(&self, key: &Key) -> Option<Kept> {
        let mut results = held(&self.results);
        let entry = results.get_mut(key)?;
        entry.used = true;
        held(&self.asked).push(*key);
        Some(entry.result.clone())
    }

    fn keep(&self, key: Key, result: Kept) {
        held(&self.asked).push(key);
        let mut results = held(&self.results);
        results.insert(key, Entry { result, used: true });
    }

    /// The keys asked for since this was last called.
    pub(super) fn take_asked(&self) -> Vec<Key> {
        std::mem::take(&mut *held(&self.asked))
    }

    /// Counts results as reused without handing them out.
    pub(super) fn use_again(&self, keys: &[Key]) {
        let mut results = held(&self.results);
        for key in keys {
            if let Some(entry) = results.get_mut(key) {
                entry.used = true;
                let of_object = matches!(entry.result, Kept::Object(_));
                self.reused.fetch_add(of_object.into(), Ordering::Relaxed);
            }
        }
    }

    /// The way that the last run went.
    pub(super) fn take_trail(&self) -> Trail {
        std::mem::take(&mut *held(&self.trail))
    }

    pub(super) fn put_trail(&self, trail: Trail) {
        *held(&self.trail) = trail;
    }

    /// Drops what the last run did not use, so that the cache never outgrows two runs.
    pub(super) fn sweep(&self) {
        let mut results = held(&self.results);
        results.retain(|_, entry| std::mem::take(&mut entry.used));
    }

    /// Where results came from since this was last asked.
    pub fn take_tally(&self) -> Tally {
        Tally {
            reused: self.reused.swap(0, Ordering::Relaxed),
            fresh: self.fresh.swap(0, Ordering::Relaxed),
        }
    }

    /// How many results are kept.
    pub fn len(&self) -> usize {
        held(&self.results).len()
    }

    /// Whether nothing is kept.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

impl PieceCache for StepCache {
    fn get(&self, key: &PieceKey) -> Option<Arc<Worked>> {
        match self.find(key)? {
            Kept::Piece(worked) => Some(worked),
            Kept::Object(_) => None,
        }
    }

    fn put(&self, key: PieceKey, worked: Arc<Worked>) {
        self.keep(key, Kept::Piece(worked));
    }
}

fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
