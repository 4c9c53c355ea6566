//! One step on one design, for tests and scripts.

use super::arguments::{Arguments, StepSource};
use super::commands::plugins;
use super::stop::Stop;
use super::tell::Teller;
use super::watch::Bar;
use clap::{Args, ValueHint};
use hoopwright::formats::design_json;
use hoopwright::output::{OTHER_FILE, Spared, write_all};
use hoopwright::pipeline::{LARGEST_MIB, Watch, apply};
use hoopwright::reading::read_text;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The largest design read, in MiB.
const LARGEST_DESIGN_MIB: u64 = 256;

/// Options of `apply`.
#[derive(Debug, Args)]
pub struct Apply {
    /// The step's name.
    pub step: String,
    /// The design: a design JSON.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub design: PathBuf,
    /// The step's settings: JSON, or @ and the name of a file of it. [default: the step's own]
    #[arg(
        long,
        value_name = "JSON|@FILE",
        default_value = "{}",
        hide_default_value = true
    )]
    pub settings: String,
    /// The ids of the objects that the step acts on, with commas between. [default: all]
    #[arg(long, value_name = "ID,ID")]
    pub on: Option<String>,
    /// The design to write.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub to: PathBuf,
    /// Where steps come from and what they may use.
    #[command(flatten)]
    pub steps: StepSource,
}

/// Runs one step on a design and writes what comes of it.
pub fn apply_step(options: &Apply, arguments: &Arguments, teller: &mut Teller) -> Result<(), Stop> {
    let settings_file = options.settings.strip_prefix('@').map(Path::new);
    let spared = Spared::default().and(&options.design, "the design that was given");
    settings_file
        .iter()
        .fold(spared, |spared, file| {
            spared.and(file, "the settings that were given")
        })
        .check([&*options.to], OTHER_FILE)
        .map_err(Stop::Output)?;
    let text = read_text(&options.design, LARGEST_DESIGN_MIB)?;
    let design = design_json::read(&text, &options.design)?;
    let (name, settings) = match settings_file {
        Some(file) => (file.to_owned(), read_text(file, LARGEST_MIB)?),
        None => (PathBuf::from("--settings"), options.settings.clone()),
    };
    let on: Option<Vec<&str>> = options
        .on
        .as_deref()
        .map(|ids| ids.split(',').filter(|id| !id.is_empty()).collect());
    let plugins = plugins(&options.steps)?;
    let bar = Arc::new(Bar::new(arguments.notes));
    let watch: Arc<dyn Watch> = bar.clone();
    let done = apply(
        &plugins,
        &options.step,
        (&name, &settings),
        design,
        on.as_deref(),
        &watch,
    );
    bar.finish();
    let outcome = done?;
    teller.tell(&outcome.findings);
    let bytes = design_json::write(&outcome.design).into_bytes();
    write_all(&[(options.to.clone(), bytes)]).map_err(Stop::Output)
}
