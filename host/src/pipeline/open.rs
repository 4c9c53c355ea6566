//! A pipeline with the steps that it may name, from its file.

use super::check::{Checked, check};
use crate::artwork::read_text;
use crate::diagnostics::{Diagnostic, Failed};
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
    let text = read_text(file, LARGEST_MIB)?;
    let document = Document::parse(file, text).map_err(Failed)?;
    let (plugins, mut problems) = sources.for_pipeline(&document);
    match check(file, document.text, &plugins) {
        Ok(checked) if problems.is_empty() => Ok(Opened { plugins, checked }),
        Ok(_) => Err(Failed(problems)),
        Err(Failed(found)) => {
            // A step may be unknown only because its plugin cannot be used.
            let silent = !problems.is_empty();
            let told = |problem: &Diagnostic| !silent || problem.code != "unknown-step";
            problems.extend(found.into_iter().filter(told));
            Err(Failed(problems))
        }
    }
}
