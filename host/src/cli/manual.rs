//! The manual of the steps, written into a folder.

use super::arguments::Manual;
use super::commands::{listed, plugins};
use super::stop::Stop;
use hoopwright::diagnostics::Diagnostic;
use hoopwright::json::nearest::did_you_mean;
use hoopwright::manual;
use hoopwright::output::write_all;

/// Writes a page for each step, and one that lists them.
pub fn write(options: &Manual) -> Result<(), Stop> {
    let all = match &options.pipeline {
        Some(pipeline) => listed(pipeline, &options.source)?,
        None => plugins(&options.source)?,
    };
    let known: Vec<&str> = all.names().collect();
    let strangers = options
        .steps
        .iter()
        .filter(|name| !known.contains(&name.as_str()));
    let strangers: Vec<Diagnostic> = strangers
        .map(|name| {
            Diagnostic::error("unknown-step", format!("there is no step \"{name}\""))
                .help(did_you_mean(name, all.names()))
        })
        .collect();
    if !strangers.is_empty() {
        return Err(Stop::Input(strangers));
    }
    let names = match &options.steps[..] {
        [] => known,
        some => some.iter().map(String::as_str).collect(),
    };
    let pages = manual::pages(&all, &names)?;
    let files: Vec<_> = pages
        .into_iter()
        .map(|page| (options.into.join(page.name), page.html.into_bytes()))
        .collect();
    write_all(&files).map_err(Stop::Output)?;
    if let Some((index, _)) = files.first() {
        println!("{}", index.display());
    }
    Ok(())
}
