//! Which plugins a pipeline was made with: the lock file beside it.

pub use super::source::Source;

use super::Fingerprint;
use crate::diagnostics::Diagnostic;
use crate::output::write_all;
use crate::pipeline::Opened;
use crate::plugins::{Pins, Plugins};
use crate::reading::read_text;
use crate::registry::Digest;
use crate::registry::pull::Pin;
use crate::sandbox::Plugin;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The form of a lock file. Another number is another form, which is not read.
pub const FORM: u32 = 1;
/// The largest lock file read, in MiB.
const LARGEST_MIB: u64 = 4;

/// The plugins of a pipeline, as they were when `hoopwright lock` was run: `--locked` runs it with no
/// others.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Lock {
    /// The form of this file.
    #[schemars(range(min = 1, max = 1))]
    pub form: u32,
    /// The steps that the pipeline uses, by name, each once.
    pub steps: Vec<LockedStep>,
}

/// The plugin of a step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct LockedStep {
    /// The step's name.
    pub step: String,
    /// The plugin's own version.
    pub version: String,
    /// The version of the contract that it speaks.
    pub contract: String,
    /// Where it was found. Only for people: what it is, `sha256` says.
    pub source: Source,
    /// SHA-256 of the plugin's bytes.
    pub sha256: Fingerprint,
}

/// How a pipeline's plugins are held against its lock.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Hold {
    /// The lock must be there, and every plugin must be the locked one.
    Locked,
    /// Where there is a lock, what differs is a warning.
    #[default]
    Told,
}

/// Where the lock of a pipeline lies: beside it.
pub fn path_of(pipeline: &Path) -> PathBuf {
    let mut name = pipeline.file_stem().unwrap_or_default().to_owned();
    name.push(".lock.json");
    pipeline.with_file_name(name)
}

/// JSON Schema of lock files.
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(Lock).to_value()
}

impl Lock {
    /// The lock of a pipeline as it is now.
    pub fn of(pipeline: &Path, opened: &Opened) -> Self {
        let steps = opened.checked.steps.iter().map(|ready| &*ready.plugin);
        Self::of_steps(steps, &opened.plugins, pipeline)
    }

    fn of_steps<'a>(
        steps: impl Iterator<Item = &'a Plugin>,
        plugins: &Plugins,
        pipeline: &Path,
    ) -> Self {
        let locked = |plugin: &Plugin| LockedStep {
            step: plugin.name.clone(),
            version: plugin.version.clone(),
            contract: plugin.contract.to_string(),
            source: Source::of(plugin, plugins.layer(&plugin.name), pipeline),
            sha256: Fingerprint(plugin.digest),
        };
        let steps: BTreeMap<&str, LockedStep> = steps
            .map(|plugin| (plugin.name.as_str(), locked(plugin)))
            .collect();
        Self {
            form: FORM,
            steps: steps.into_values().collect(),
        }
    }

    /// What it wants of references to a registry, as a pipeline may write them: with the digest, or with the
    /// tag alone.
    pub fn pins(&self) -> Pins {
        let mut pins = Pins::new();
        for step in &self.steps {
            let Some((written, reference)) = step.source.reference() else {
                continue;
            };
            let pin = Pin {
                plugin: Digest::from(step.sha256.0),
                manifest: reference.digest(),
            };
            let by_tag = reference.without_digest();
            pins.extend(by_tag.map(|by_tag| (by_tag.bare(), pin)));
            pins.insert(written.to_owned(), pin);
        }
        pins
    }

    /// Reads the lock of a pipeline, or finds that there is none.
    ///
    /// # Errors
    /// The file cannot be read, or is not a lock.
    pub fn read(pipeline: &Path) -> Result<Option<Self>, Diagnostic> {
        let file = path_of(pipeline);
        if matches!(file.try_exists(), Ok(false)) {
            return Ok(None);
        }
        let text = read_text(&file, LARGEST_MIB)?;
        Self::parse(&text).map(Some).map_err(|why| {
            Diagnostic::error(
                "lock-broken",
                format!("this is not a whole lock file: {why}"),
            )
            .in_file(&file)
            .help(accept(pipeline))
        })
    }

    /// Reads the text of a lock.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn parse(text: &str) -> Result<Self, String> {
        let lock: Self = serde_json::from_str(text).map_err(|error| error.to_string())?;
        if lock.form != FORM {
            return Err(format!(
                "it has form {}, and this Hoopwright reads form {FORM}",
                lock.form
            ));
        }
        match lock
            .steps
            .windows(2)
            .find(|pair| pair[0].step >= pair[1].step)
        {
            Some(pair) if pair[0].step == pair[1].step => Err(format!(
                "\"{}\" stands there twice",
                pair[0].step.escape_debug()
            )),
            Some(pair) => Err(format!(
                "\"{}\" is out of order",
                pair[1].step.escape_debug()
            )),
            None => Ok(lock),
        }
    }

    /// The lock as it stands in its file.
    pub fn to_bytes(&self) -> Vec<u8> {
        // Strings and whole numbers always serialize.
        let mut text = serde_json::to_vec_pretty(self).unwrap_or_default();
        text.push(b'\n');
        text
    }

    /// Writes the lock beside its pipeline, whole or not at all. Gives the file.
    ///
    /// # Errors
    /// Why it cannot be written.
    pub fn write(&self, pipeline: &Path) -> Result<PathBuf, Diagnostic> {
        let file = path_of(pipeline);
        write_all(&[(file.clone(), self.to_bytes())])?;
        Ok(file)
    }

    /// What differs in `now`, each a sentence with its code.
    pub fn differences(&self, now: &Self) -> Vec<(&'static str, String)> {
        let by_name = |lock: &Self| -> BTreeMap<String, LockedStep> {
            let steps = lock.steps.iter().cloned();
            steps.map(|step| (step.step.clone(), step)).collect()
        };
        let (then, now) = (by_name(self), by_name(now));
        let mut found = Vec::new();
        for (name, is) in &now {
            match then.get(name) {
                None => found.push((
                    "lock-lacks",
                    format!("the step {name} is not in the lock: {}", is.in_words()),
                )),
                Some(was) if was.sha256 != is.sha256 => found.push((
                    "lock-changed",
                    format!(
                        "the step {name} is not the locked one: locked {}; found {}",
                        was.in_words(),
                        is.in_words()
                    ),
                )),
                Some(_) => {}
            }
        }
        for (name, was) in then.iter().filter(|(name, _)| !now.contains_key(*name)) {
            found.push((
                "lock-extra",
                format!(
                    "the lock has the step {}, which the pipeline does not use: {}",
                    name.escape_debug(),
                    was.in_words()
                ),
            ));
        }
        found
    }
}

impl LockedStep {
    fn in_words(&self) -> String {
        format!(
            "version {}, sha256 {}…, from {}",
            super::manifest::plain(&self.version),
            self.sha256.short(),
            super::manifest::plain(&self.source.to_string())
        )
    }
}

/// Holds a pipeline against its lock. Gives what is to be told, where it may run.
///
/// # Errors
/// With [`Hold::Locked`]: the lock is missing or broken, and every plugin that is not the locked one,
/// is not in the lock, or is no longer used.
pub fn hold(
    pipeline: &Path,
    opened: &Opened,
    hold: Hold,
) -> Result<Vec<Diagnostic>, Vec<Diagnostic>> {
    let file = path_of(pipeline);
    let lock = match (Lock::read(pipeline), hold) {
        (Ok(Some(lock)), _) => lock,
        (Ok(None), Hold::Told) => return Ok(Vec::new()),
        (Ok(None), Hold::Locked) => {
            return Err(vec![
                Diagnostic::error(
                    "lock-missing",
                    format!(
                        "{} has no lock: there is no {}",
                        pipeline.display(),
                        file.display()
                    ),
                )
                .help(accept(pipeline)),
            ]);
        }
        (Err(problem), Hold::Locked) => return Err(vec![problem]),
        (Err(problem), Hold::Told) => {
            let mut warning = Diagnostic::warning(problem.code, problem.message).in_file(&file);
            warning.help = problem.help;
            return Ok(vec![warning]);
        }
    };
    let differences = lock.differences(&Lock::of(pipeline, opened));
    let told = told(differences, pipeline, hold);
    if hold == Hold::Locked && !told.is_empty() {
        return Err(told);
    }
    Ok(told)
}

/// What differs from the lock of a pipeline that may not run with the `plugins` it finds: settings made for the
/// locked plugin seldom fit another, and it is the plugin that is to be put back then.
pub fn strangers(pipeline: &Path, plugins: &Plugins, hold: Hold) -> Vec<Diagnostic> {
    let Ok(Some(lock)) = Lock::read(pipeline) else {
        return Vec::new();
    };
    let found = lock.steps.iter();
    let found: Vec<_> = found
        .filter_map(|step| plugins.get(&step.step)?.ok())
        .collect();
    let now = Lock::of_steps(found.iter().map(|plugin| &**plugin), plugins, pipeline);
    let differences = lock.differences(&now).into_iter();
    let changed = differences.filter(|(code, _)| *code == "lock-changed");
    told(changed.collect(), pipeline, hold)
}

fn told(differences: Vec<(&'static str, String)>, pipeline: &Path, hold: Hold) -> Vec<Diagnostic> {
    let tell = |(code, words)| {
        let told = match hold {
            Hold::Locked => Diagnostic::error(code, words),
            Hold::Told => Diagnostic::warning(code, words),
        };
        let back = match code {
            "lock-changed" => "Put the locked plugin back, or accept this one: ",
            _ => "If that is meant: ",
        };
        told.in_file(&path_of(pipeline))
            .help(format!("{back}{}", accept(pipeline)))
    };
    differences.into_iter().map(tell).collect()
}

fn accept(pipeline: &Path) -> String {
    format!(
        "hoopwright lock {} locks what is there now.",
        pipeline.display()
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Locks of before tell a step of a registry by its tag alone; they are read as they were.
    #[test]
    fn a_step_of_a_registry_is_pinned_with_and_without_its_digest() {
        let hex = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        let manifest = format!("sha256:{hex}");
        let pins = |reference: &str| {
            let text = format!(
                r#"{{ "form": 1, "steps": [{{ "step": "own", "version": "1", "contract": "0.1.0",
                "source": {{ "registry": "{reference}" }}, "sha256": "{hex}" }}] }}"#
            );
            let pins = Lock::parse(&text).expect("a lock").pins();
            let told = pins.into_iter().map(|(name, pin)| {
                assert_eq!(pin.plugin.hex(), hex);
                (name, pin.manifest.map(|digest| digest.to_string()))
            });
            told.collect::<Vec<_>>()
        };
        let tag = "a.example/own:1".to_owned();
        let both = format!("{tag}@{manifest}");
        let digest = format!("a.example/own@{manifest}");
        let known = Some(manifest.clone());
        assert_eq!(pins(&tag), [(tag.clone(), None)]);
        assert_eq!(
            pins(&both),
            [(tag, known.clone()), (both.clone(), known.clone())]
        );
        assert_eq!(pins(&digest), [(digest.clone(), known)]);
    }
}
