//! A pipeline with the steps that it may name, from its file.

use super::check::{Checked, check, check_part};
use crate::diagnostics::Failed;
use crate::json::Document;
use crate::plugins::{Pins, Plugins, Sources};
use crate::reading::read_text;
use std::path::Path;

/// The largest pipeline read, in MiB.
pub const LARGEST_MIB: u64 = 16;

/// A pipeline that may run, and the steps that it was checked against.
pub struct Opened {
    /// All steps that it may name.
    pub plugins: Plugins,
    /// The pipeline.
    pub checked: Checked,
}

/// Reads a pipeline, looks for the steps that it may name, and [checks](fn@check) it.
///
/// # Errors
/// All problems, each with its place: plugins that cannot be used, and what is wrong with the
/// pipeline itself.
pub fn open(file: &Path, sources: &Sources) -> Result<Opened, Failed> {
    open_pinned(file, sources, &Pins::new())
}

/// The same, with the very bytes that `pins` names, where they are on this computer.
///
/// # Errors
/// All problems, as [`open`].
pub fn open_pinned(file: &Path, sources: &Sources, pins: &Pins) -> Result<Opened, Failed> {
    look(file, sources, pins, |text, plugins| {
        let checked = check(file, text, &plugins)?;
        Ok(Opened { plugins, checked })
    })
}

/// Reads a part, looks for the steps that a pipeline in its place may name, and
/// [checks](fn@check_part) it by itself; gives how many steps it has.
///
/// # Errors
/// All problems, as [`open`].
pub fn open_part(file: &Path, sources: &Sources) -> Result<usize, Failed> {
    look(file, sources, &Pins::new(), |text, plugins| {
        check_part(file, text, &plugins)
    })
}

/// The steps that a pipeline may name, sound or not; nothing where it cannot be read.
pub fn plugins_of(file: &Path, sources: &Sources, pins: &Pins) -> Option<Plugins> {
    let text = read_text(file, LARGEST_MIB).ok()?;
    let document = Document::parse(file, text).ok()?;
    Some(sources.for_pipeline(&document, pins).0)
}

fn look<T>(
    file: &Path,
    sources: &Sources,
    pins: &Pins,
    check: impl FnOnce(String, Plugins) -> Result<T, Failed>,
) -> Result<T, Failed> {
    let text = read_text(file, LARGEST_MIB)?;
    let document = Document::parse(file, text).map_err(Failed)?;
    let (plugins, problems) = sources.for_pipeline(&document, pins);
    match check(document.text, plugins) {
        Ok(checked) if problems.is_empty() => Ok(checked),
        Ok(_) => Err(Failed(problems)),
        Err(failed) => Err(failed.after(problems)),
    }
}
