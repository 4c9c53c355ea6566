//! Runs a pipeline on artwork, and writes what the machine and its operator need, as the command
//! `hoopwright run` does.
//!
//! ```sh
//! cargo run --release --example run_a_pipeline -- routine.json art.svg out
//! ```

use hoopwright::artwork::{Asked, Readers, name_of};
use hoopwright::diagnostics::{Failed, Severity};
use hoopwright::job::{self, HoldAt, Writers};
use hoopwright::output;
use hoopwright::pipeline::{self, Watch};
use hoopwright::plugins::Plugins;
use hoopwright::reading::read_text;
use hoopwright::sandbox::{Limits, Sandbox};
use std::error::Error;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The largest pipeline read, in MiB.
const LARGEST_MIB: u64 = 16;

/// Runs the pipeline and gives the files that were written.
pub fn sew(
    pipeline: &Path,
    artwork: &Path,
    into: &Path,
) -> Result<Vec<PathBuf>, Box<dyn Error + Send + Sync>> {
    // Steps run in a sandbox. Without a folder for compiled steps each is compiled anew.
    let sandbox = Arc::new(Sandbox::new(Limits::default(), None)?);
    let plugins = Plugins::stock(sandbox);

    // Every mistake in the pipeline is told here, before anything runs.
    let text = read_text(pipeline, LARGEST_MIB).map_err(Failed::from)?;
    let checked = pipeline::check(pipeline, text, &plugins)?;

    let artwork_read = Readers::stock().read(artwork, &Asked::by(&checked))?;
    let watch: Arc<dyn Watch> = Arc::new(());
    let sewn = job::sew(&checked, artwork_read, &plugins, None, &watch)?;
    let products = sewn.products(&Writers::stock())?;

    for finding in products.sewn.told() {
        if finding.severity >= Severity::Warning {
            eprintln!("{}", finding.message);
        }
    }
    if let Some(held) = products.sewn.held(HoldAt::Error) {
        return Err(Failed::from(held).into());
    }
    let files: Vec<(PathBuf, Vec<u8>)> = products
        .files
        .into_iter()
        .map(|(ending, bytes)| (into.join(format!("{}.{ending}", name_of(artwork))), bytes))
        .collect();
    output::write_all(&files).map_err(Failed::from)?;
    Ok(files.into_iter().map(|(file, _)| file).collect())
}

fn main() -> Result<(), Box<dyn Error + Send + Sync>> {
    let given: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    let [pipeline, artwork, into] = &given[..] else {
        return Err("give a pipeline, artwork and a folder to write into".into());
    };
    for file in sew(pipeline, artwork, into)? {
        println!("{}", file.display());
    }
    Ok(())
}
