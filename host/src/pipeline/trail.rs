//! The designs between the steps of the last run: steps are pure, so that a run which begins with the
//! same design and the same steps can go on where they part.

use super::check::{Checked, Ready};
use super::step_cache::{Key, StepCache};
use crate::design::Design;
use crate::diagnostics::Diagnostic;
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
    design: Design,
    /// What was found up to here.
    findings: Vec<Diagnostic>,
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
                key = next(key, ready);
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
    pub fn known(&self) -> Option<(usize, Design, Vec<Diagnostic>)> {
        let last = self.trail.passed.last()?;
        let steps = self.trail.passed.len();
        Some((steps, last.design.clone(), last.findings.clone()))
    }

    /// Remembers what the next step left.
    pub fn pass(&mut self, design: &Design, findings: &[Diagnostic]) {
        let Some(&key) = self.keys.get(self.trail.passed.len()) else {
            return;
        };
        self.trail.passed.push(Passed {
            key,
            design: design.clone(),
            findings: findings.to_vec(),
            results: self.cache.take_asked(),
        });
    }

    /// Ends the run, also one that failed: what went well before stays known.
    pub fn end(self) {
        self.cache.take_asked();
        self.cache.put_trail(self.trail);
    }
}

fn next(before: Key, ready: &Ready) -> Key {
    let mut hash = Sha256::new();
    hash.update(before);
    hash.update(ready.plugin.digest);
    // The label is part of what is found.
    for part in [&ready.label, &ready.settings] {
        hash.update((part.len() as u64).to_le_bytes());
        hash.update(part);
    }
    hash.update(json(&ready.step.on));
    hash.finalize().into()
}

/// Finite numbers and plain structs always serialize; JSON keeps every bit of an f64.
fn json(value: &impl serde::Serialize) -> Vec<u8> {
    serde_json::to_vec(value).unwrap_or_default()
}
