//! The lock of a pipeline: made, and held to.

use crate::cli::arguments::StepSource;
use crate::cli::commands::sources;
use crate::cli::stop::Stop;
use clap::{Args, ValueHint};
use hoopwright::diagnostics::{Diagnostic, Failed};
use hoopwright::pipeline::{self, Opened};
use hoopwright::plugins::{Pins, Sources};
use hoopwright::sharing;
use std::path::{Path, PathBuf};

/// Options of `lock`.
#[derive(Debug, Args)]
pub struct Lock {
    /// The pipeline file.
    #[arg(value_hint = ValueHint::FilePath)]
    pub pipeline: PathBuf,
    /// Where steps come from and what they may use.
    #[command(flatten)]
    pub steps: StepSource,
}

/// Whether a pipeline is held to its lock.
#[derive(Debug, Args)]
pub struct LockOption {
    /// Refuse every plugin that is not the one in the lock file beside the pipeline, and a pipeline
    /// without a lock. Without this option what differs from a lock is a warning.
    #[arg(long)]
    pub locked: bool,
}

impl LockOption {
    /// As the library has it.
    pub fn hold(&self) -> sharing::Hold {
        if self.locked {
            sharing::Hold::Locked
        } else {
            sharing::Hold::Told
        }
    }
}

/// Locks a pipeline to the plugins it has now, and tells what is new.
pub fn lock(options: &Lock) -> Result<(), Stop> {
    let file = &options.pipeline;
    let opened = pipeline::open(file, &sources(&options.steps)?)?;
    let now = sharing::Lock::of(file, &opened);
    // A lock that cannot be read is replaced: that is what the command is for.
    let before = sharing::Lock::read(file).ok().flatten();
    let written = now.write(file).map_err(Stop::Output)?;
    for (_, words) in before.iter().flat_map(|before| before.differences(&now)) {
        println!("{words}");
    }
    for step in &now.steps {
        println!(
            "{}  {}  {}  {}",
            step.sha256.short(),
            step.step,
            step.version,
            step.source
        );
    }
    println!("{}", written.display());
    Ok(())
}

/// A pipeline that may run, held to its lock, and what is to be told of it.
pub fn held(
    file: &Path,
    sources: &Sources,
    lock: &LockOption,
) -> Result<(Opened, Vec<Diagnostic>), Failed> {
    let pins = match lock.locked.then(|| sharing::Lock::read(file)) {
        Some(Ok(Some(locked))) => locked.pins(),
        _ => Pins::new(),
    };
    let opened = pipeline::open_pinned(file, sources, &pins).map_err(|failed| {
        let found = pipeline::plugins_of(file, sources, &pins);
        let strangers = found.map(|found| sharing::strangers(file, &found, lock.hold()));
        failed.after(strangers.unwrap_or_default())
    })?;
    let mut told = sources.sandbox().noticed();
    told.extend(opened.checked.noticed.iter().cloned());
    told.extend(sharing::hold(file, &opened, lock.hold()).map_err(Failed)?);
    Ok((opened, told))
}
