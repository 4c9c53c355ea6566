//! A pipeline with the steps that it may name, from its file.

use super::check::{Checked, check, check_part};
use crate::artwork::read_text;
use crate::diagnostics::Failed;
use crate::json::Document;
use crate::plugins::{Plugins, Sources};
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
    look(file, sources, |text, plugins| {
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
    look(file, sources, |text, plugins| {
        check_part(file, text, &plugins)
    })
}

fn look<T>(
    file: &Path,
    sources: &Sources,
    check: impl FnOnce(String, Plugins) -> Result<T, Failed>,
) -> Result<T, Failed> {
    let text = read_text(file, LARGEST_MIB)?;
    let document = Document::parse(file, text).map_err(Failed)?;
    let (plugins, problems) = sources.for_pipeline(&document);
    match check(document.text, plugins) {
        Ok(checked) if problems.is_empty() => Ok(checked),
        Ok(_) => Err(Failed(problems)),
        Err(failed) => Err(failed.after(problems)),
    }
}
