//! Hoopwright inside another program, such as a shop's order desk: with limits and plugins of its own, a
//! watch on what goes on, results kept from one artwork to the next, and no artwork that can stop the
//! others.
//!
//! ```sh
//! cargo run --release --example embed -- routine.json one.svg two.svg
//! cargo run --release --example embed -- routine.json one.svg --plugin nudge.wasm
//! ```

use hoopwright::diagnostics::Failed;
use hoopwright::job::{Attempt, Forms, HoldAt};
use hoopwright::pipeline::{self, Opened, StepCache, Watch};
use hoopwright::plugins::{Place, Sources};
use hoopwright::sandbox::{Limits, Sandbox};
use std::error::Error;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// Remembers which steps ran, and on how many objects.
#[derive(Default)]
pub struct Diary(Mutex<Vec<(String, usize)>>);

impl Watch for Diary {
    fn begins(&self, label: &str, objects: usize) {
        let mut steps = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        steps.push((label.to_owned(), objects));
    }

    fn log(&self, label: &str, object: Option<&str>, debug: bool, line: &str) {
        if !debug {
            let object = object.unwrap_or("the design");
            eprintln!("step {label}, {object}: {line}");
        }
    }
}

impl Diary {
    /// What was remembered.
    pub fn steps(&self) -> Vec<(String, usize)> {
        self.0
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }
}

/// What became of an artwork: a line about what was sewn, or why nothing was.
pub type Told = Result<String, Failed>;

/// A day's work.
pub struct Done {
    /// What became of each artwork.
    pub told: Vec<Told>,
    /// Which steps ran, and on how many objects.
    pub steps: Vec<(String, usize)>,
}

/// Sews all artworks, each by itself.
pub fn sew_all(
    pipeline: &Path,
    artworks: &[PathBuf],
    plugins: &[Place],
) -> Result<Done, Box<dyn Error + Send + Sync>> {
    // What one call of a step may use. Work is counted, so that the verdict is the same on every
    // machine; the clock is the last resort.
    let limits = Limits {
        work_millions: 20_000,
        seconds: 60,
        memory_mib: 256,
        ..Limits::default()
    };
    // Compiled steps are kept here, so that the next start is quick.
    let compiled = std::env::temp_dir().join("hoopwright-embed-example");
    let sandbox = Arc::new(Sandbox::new(limits, Some(&compiled))?);
    // Steps come from the program, from `steps` beside the pipeline, and from what it and you name.
    let sources = Sources::new(sandbox, None, plugins.to_vec());
    let Opened { plugins, checked } = pipeline::open(pipeline, &sources)?;

    let diary = Arc::new(Diary::default());
    let watch: Arc<dyn Watch> = diary.clone();
    let (forms, cache) = (Forms::default(), StepCache::default());
    let attempt = Attempt {
        checked: &checked,
        plugins: &plugins,
        forms: &forms,
        cache: Some(&cache),
        hold_at: HoldAt::Error,
        watch: &watch,
    };
    let told = artworks.iter().map(|artwork| {
        let products = attempt.sew(artwork, |_| {})?;
        // The files are in `products.files`; `hoopwright::output::write_all` writes all or none.
        Ok(products.sewn.worksheet.on_one_line())
    });
    Ok(Done {
        told: told.collect(),
        steps: diary.steps(),
    })
}

fn main() -> Result<(), Box<dyn Error + Send + Sync>> {
    let mut given: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    let option = given.iter().position(|word| word.as_os_str() == "--plugin");
    let plugins = option.map_or_else(Vec::new, |option| given.split_off(option).split_off(1));
    let plugins: Vec<Place> = plugins.into_iter().map(Place::Path).collect();
    let Some((pipeline, artworks)) = given.split_first() else {
        return Err("give a pipeline and artwork".into());
    };
    let Done { told, steps } = sew_all(pipeline, artworks, &plugins)?;
    for (artwork, told) in artworks.iter().zip(told) {
        match told {
            Ok(line) => println!("{}: {line}", artwork.display()),
            Err(failed) => println!("{}: {failed}", artwork.display()),
        }
    }
    println!("{} steps ran", steps.len());
    Ok(())
}
