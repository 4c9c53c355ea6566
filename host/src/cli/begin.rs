//! A step of one's own: its crate.

use super::stop::Stop;
use clap::{Args, ValueEnum, ValueHint};
use hoopwright::begin;
use hoopwright::diagnostics::path_in_words;
use hoopwright::plugins::Plugins;
use hoopwright::sandbox::Kind;
use std::path::PathBuf;

/// Options of `begin`.
#[derive(Debug, Args)]
pub struct Begin {
    /// The step's name: lower-case words joined by hyphens, such as wing-zigzag.
    pub name: String,
    /// What the step sees.
    #[arg(long, value_enum, default_value_t = KindName::Object)]
    pub kind: KindName,
    /// The folder in which the step gets a folder of its own; it is made where it is missing.
    #[arg(long, value_name = "FOLDER", default_value = ".", value_hint = ValueHint::DirPath)]
    pub into: PathBuf,
    /// Use this copy of Hoopwright's source instead of the SDK that the program has in it; for work
    /// on the SDK itself.
    #[arg(long, value_name = "PATH", value_hint = ValueHint::DirPath)]
    pub sdk: Option<PathBuf>,
}

/// The two kinds of step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum KindName {
    /// One object at a time; runs on all cores.
    Object,
    /// The whole design.
    Design,
}

/// Makes the crate of a new step.
pub fn begin(options: &Begin) -> Result<(), Stop> {
    let kind = match options.kind {
        KindName::Object => Kind::Object,
        KindName::Design => Kind::Design,
    };
    let beginning = begin::begin(
        &options.name,
        kind,
        &options.into,
        options.sdk.as_deref(),
        Plugins::stock_names(),
    )?;
    beginning.write().map_err(Stop::Output)?;
    let folder = path_in_words(&beginning.folder);
    println!("{folder}: the step is in src/lib.rs, its tests in tests/step.rs");
    println!();
    println!("  cd {folder}");
    println!(
        "  hoopwright try    builds it, runs routine.json on sample.svg, and draws before and after"
    );
    println!("  cargo test        tests it");
    Ok(())
}
