//! The designs between the steps of the last run: steps are pure, so that a run which begins with the
//! same design and the same steps can go on where they part.

use super::check::{Checked, Ready};
use super::run::Reached;
use super::step_cache::{Key, StepCache};
use crate::design::Design;
use sha2::{Digest as _, Sha256};

/// What is known of a run's steps, from the first on.
#[derive(Default)]
pub(super) struct Trail {
    passed: Vec<Passed>,
}

/// What a step left.
struct Passed {
    /// SHA-256 over the design at the beginning and all steps up to this one.
    key: Key,
    reached: Reached,
    /// The results that the step took from the cache or put there.
    results: Vec<Key>,
}

/// A run along a trail.
pub(super) struct Walk<'a> {
    cache: &'a StepCache,
    trail: Trail,
    keys: Vec<Key>,
}

impl<'a> Walk<'a> {
    /// Begins a run with `design`, as far along the last run's trail as the two are the same.
    pub fn begin(cache: &'a StepCache, checked: &Checked, design: &Design) -> Self {
        let mut key: Key = Sha256::digest(json(design)).into();
        let keys: Vec<Key> = checked
            .steps
            .iter()
            .map(|ready| {
                key = next(key, ready, checked);
                key
            })
            .collect();
        let mut trail = cache.take_trail();
        let same = trail.passed.iter().zip(&keys);
        let known = same.take_while(|(passed, key)| passed.key == **key).count();
        trail.passed.truncate(known);
        for passed in &trail.passed {
            cache.use_again(&passed.results);
        }
        Self { cache, trail, keys }
    }

    /// How many steps need not be run, and what they left.
    pub fn known(&self) -> Option<(usize, Reached)> {
        let last = self.trail.passed.last()?;
        Some((self.trail.passed.len(), last.reached.clone()))
    }

    /// Remembers what the next step left.
    pub fn pass(&mut self, reached: &Reached) {
        let Some(&key) = self.keys.get(self.trail.passed.len()) else {
            return;
        };
        self.trail.passed.push(Passed {
            key,
            reached: reached.clone(),
            results: self.cache.take_asked(),
        });
    }

    /// Ends the run, also one that failed: what went well before stays known.
    pub fn end(self) {
        self.cache.take_asked();
        self.cache.put_trail(self.trail);
    }
}

fn next(before: Key, ready: &Ready, checked: &Checked) -> Key {
    let mut hash = Sha256::new();
    hash.update(before);
    hash.update(ready.plugin.digest);
    // The labels are part of what is found, and tell a part from the next.
    let mut part = |bytes: &[u8]| {
        hash.update((bytes.len() as u64).to_le_bytes());
        hash.update(bytes);
    };
    for bytes in [&ready.label, &ready.settings] {
        part(bytes.as_bytes());
    }
    part(&json(&ready.step.on));
    for group in checked.parts_around(ready) {
        part(group.label.as_bytes());
        part(&json(&group.on));
    }
    hash.finalize().into()
}

/// Finite numbers and plain structs always serialize; JSON keeps every bit of an f64.
fn json(value: &impl serde::Serialize) -> Vec<u8> {
    serde_json::to_vec(value).unwrap_or_default()
}
