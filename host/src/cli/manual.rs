//! The manual of the steps, written into a folder.

use super::arguments::StepSource;
use super::commands::{listed, plugins};
use super::stop::Stop;
use clap::{Args, ValueHint};
use hoopwright::diagnostics::path_in_words;
use hoopwright::manual;
use hoopwright::output::{check_folder, write_all};
use std::path::PathBuf;

/// Options of `manual`.
#[derive(Debug, Args)]
pub struct Manual {
    /// The steps; all unless given.
    pub steps: Vec<String>,
    /// The folder to write into; it is made where it is missing.
    #[arg(long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub into: PathBuf,
    /// The pipeline that is to name them.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub pipeline: Option<PathBuf>,
    /// Where steps come from and what they may use.
    #[command(flatten)]
    pub source: StepSource,
}

/// Writes a page for each step, and one that lists them.
pub fn write(options: &Manual) -> Result<(), Stop> {
    check_folder(&options.into).map_err(Stop::Output)?;
    let all = match &options.pipeline {
        Some(pipeline) => listed(pipeline, &options.source)?,
        None => plugins(&options.source)?,
    };
    let names = match &options.steps[..] {
        [] => all.names().collect(),
        some => some.iter().map(String::as_str).collect::<Vec<_>>(),
    };
    let pages = manual::pages(&all, &names)?;
    let files: Vec<_> = pages
        .into_iter()
        .map(|page| (options.into.join(page.name), page.html.into_bytes()))
        .collect();
    write_all(&files).map_err(Stop::Output)?;
    if let Some((index, _)) = files.first() {
        println!("{}", path_in_words(index));
    }
    Ok(())
}
