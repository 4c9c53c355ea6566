//! The loop: look, sew, show, sleep.

use super::board::{Board, effort};
use super::changes::Changes;
use super::inputs::{Contents, Inputs};
use super::server::Page;
use crate::artwork::name_of;
use crate::diagnostics::{Diagnostic, Failed};
use crate::job::{Attempt, Forms, HoldAt, Products};
use crate::output::{self, OTHER_FOLDER, Spared};
use crate::pipeline::{self, Opened, StepCache, Watch};
use crate::plugins::Sources;
use crate::sharing::{self, Hold};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// What is watched, and where it is shown.
pub struct Options {
    /// The artwork. It may be missing, and come.
    pub artwork: PathBuf,
    /// The pipeline.
    pub pipeline: PathBuf,
    /// Where steps come from.
    pub sources: Sources,
    /// What comes in and what goes out.
    pub forms: Forms,
    /// How the pipeline is held to its lock.
    pub hold: Hold,
    /// The folder that products are written into after each run that goes well, where there is one.
    pub into: Option<PathBuf>,
    /// The page's port; 0 takes a free one.
    pub port: u16,
    /// How often to look at the files, instead of being told of changes.
    pub look_every: Option<Duration>,
}

/// What the loop tells, besides what the page shows.
pub enum Told<'a> {
    /// A run went well: what was sewn, what that took, and what was noticed.
    WentWell(&'a str, String, &'a [Diagnostic]),
    /// A run failed, for these reasons.
    Failed(&'a [Diagnostic]),
    /// Changes are not told by the system, and why; the files are looked at this often.
    Looking(Duration, Option<&'a str>),
}

/// The live loop, with its page open.
pub struct Live {
    options: Options,
    inputs: Inputs,
    changes: Changes,
    board: Arc<Board>,
    page: Page,
    cache: StepCache,
    /// How many results were kept after the last run that went well.
    kept: usize,
}

impl Live {
    /// Opens the page.
    ///
    /// # Errors
    /// The page's port is in use, or not to be had.
    pub fn open(options: Options) -> Result<Self, Diagnostic> {
        let named = |path: &Path| path.display().to_string();
        let board = Arc::new(Board::new(
            named(&options.artwork),
            named(&options.pipeline),
        ));
        Ok(Self {
            page: Page::open(options.port, &board)?,
            inputs: Inputs::new(options.artwork.clone(), options.pipeline.clone()),
            changes: Changes::new(options.look_every),
            board,
            cache: StepCache::default(),
            kept: 0,
            options,
        })
    }

    /// The page's address.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/", self.page.port)
    }

    /// Sews, and sews again whenever a file has changed, until the program ends.
    pub fn run(mut self, tell: &mut dyn FnMut(&Told<'_>)) -> ! {
        let mut sewn: Option<Contents> = None;
        let mut looking = None;
        loop {
            let contents = self.inputs.contents(&self.options.sources);
            // Before the sewing, so that what changes meanwhile is told.
            self.changes.watch(&self.inputs.folders());
            if self.changes.period() != looking {
                looking = self.changes.period();
                if let Some(period) = looking {
                    tell(&Told::Looking(period, self.changes.untold.as_deref()));
                }
            }
            if sewn.as_ref() != Some(&contents) {
                self.turn(tell);
                sewn = Some(contents);
            }
            self.changes.sleep();
        }
    }

    /// One run, and what the page shows of it.
    fn turn(&mut self, tell: &mut dyn FnMut(&Told<'_>)) {
        self.board.sewing("Sewing".to_owned());
        let begun = Instant::now();
        let delivered = self.sew(begun).and_then(|(products, effort)| {
            self.kept = self.cache.len();
            let line = products.sewn.worksheet.on_one_line();
            let noticed = products.sewn.told();
            let written = self.write(&products.files);
            self.board.made(products);
            written?;
            tell(&Told::WentWell(&line, effort, &noticed));
            Ok(())
        });
        if let Err(Failed(errors)) = delivered {
            self.cache.take_tally();
            // Only a run that goes well drops what it did not use.
            if self.cache.len() > 4 * self.kept + 1000 {
                self.cache = StepCache::default();
            }
            tell(&Told::Failed(&errors));
            self.board.failed(errors);
        }
    }

    /// Sews, shows the picture as soon as it is there, and draws the rest. Gives what the sewing took.
    fn sew(&mut self, begun: Instant) -> Result<(Products, String), Failed> {
        let options = &self.options;
        let opened = pipeline::open(&options.pipeline, &options.sources)?;
        let mut noticed =
            sharing::hold(&options.pipeline, &opened, options.hold).map_err(Failed)?;
        let Opened { plugins, checked } = opened;
        noticed.extend(checked.noticed.iter().cloned());
        let watch: Arc<dyn Watch> = Arc::new(Steps(Arc::clone(&self.board)));
        let art = &self.options.artwork;
        let mut took = String::new();
        let attempt = Attempt {
            checked: &checked,
            plugins: &plugins,
            forms: &self.options.forms,
            cache: Some(&self.cache),
            hold_at: HoldAt::default(),
            watch: &watch,
        };
        let mut products = attempt.sew(art, |sewn| {
            took = effort(begun.elapsed(), self.cache.take_tally());
            self.board.went_well(sewn, &took);
        })?;
        noticed.extend(options.sources.sandbox().noticed());
        products.sewn.findings.splice(0..0, noticed);
        Ok((products, took))
    }

    fn write(&self, files: &[(String, Vec<u8>)]) -> Result<(), Diagnostic> {
        let Some(folder) = &self.options.into else {
            return Ok(());
        };
        let name = name_of(&self.options.artwork);
        let files: Vec<(PathBuf, Vec<u8>)> = files
            .iter()
            .map(|(ending, bytes)| (folder.join(format!("{name}.{ending}")), bytes.clone()))
            .collect();
        Spared::of_run(&self.options.artwork, &self.options.pipeline)
            .check(files.iter().map(|(path, _)| &**path), OTHER_FOLDER)?;
        output::write_all(&files)
    }
}

/// Shows which step is at work.
struct Steps(Arc<Board>);

impl Watch for Steps {
    fn begins(&self, label: &str, objects: usize) {
        let noun = if objects == 1 { "object" } else { "objects" };
        self.0
            .sewing(format!("Sewing: step {label}, {objects} {noun}"));
    }
}
