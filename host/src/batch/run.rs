//! A batch at work.

use super::artworks::BatchArtwork;
use super::finished::{Figures, Finished, Outcome, Totals};
use super::hold::Hold;
use super::record::{Entry, Record};
use crate::artwork::LARGEST_MIB;
use crate::diagnostics::{Diagnostic, Failed};
use crate::fingerprint::Fingerprint;
use crate::job::{Attempt, Forms, HoldAt};
use crate::output::{self, OTHER_FOLDER, Spared};
use crate::pipeline::{Checked, Watch};
use crate::plugins::Plugins;
use crate::reading::read_bytes;
use sha2::{Digest as _, Sha256};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;

/// What a thread that sews may put on its stack, in bytes: as much as a program's first thread
/// usually has.
const STACK: usize = 8 << 20;

/// Many artworks and the one way they are sewn.
pub struct Batch<'a> {
    /// The pipeline.
    pub checked: &'a Checked,
    /// The steps.
    pub plugins: &'a Plugins,
    /// What comes in and what goes out.
    pub forms: &'a Forms,
    /// The artworks.
    pub artworks: &'a [BatchArtwork],
    /// The folder that products are written into; it is made where it is missing.
    pub into: &'a Path,
    /// Whether artworks are sewn again whose products are there already.
    pub anew: bool,
    /// From which severity on findings hold an artwork's products back.
    pub hold_at: HoldAt,
}

/// Sews a batch. As many artworks are in work at once as there are cores; the objects of each share
/// the same cores, so that the last artwork, or a single large one, is not left to one of them.
///
/// `watch` gives each artwork its watch. `finished` is told of every artwork as soon as its
/// products have been written, in the order in which that happens, after what concerns the folder
/// as a whole was told to `notice`.
///
/// # Errors
/// The folder cannot be written into, or another batch holds it. Nothing has been sewn then.
pub fn run(
    batch: &Batch<'_>,
    watch: &(dyn Fn(&BatchArtwork) -> Arc<dyn Watch> + Sync),
    notice: &mut dyn FnMut(Diagnostic),
    finished: &mut dyn FnMut(&Finished),
) -> Result<Totals, Diagnostic> {
    let (_hold, unsure) = Hold::take(batch.into)?;
    let (known, unusable) = Record::read(batch.into);
    unsure.into_iter().chain(unusable).for_each(&mut *notice);
    let work = Work {
        way: batch.way(),
        taken: batch.artwork_files(),
        next: AtomicUsize::new(0),
        known: &known,
        batch,
        watch,
    };
    let at_once = rayon::current_num_threads().min(batch.artworks.len());
    let (done, arrived) = mpsc::sync_channel(2 * at_once + 1);
    let mut totals = Totals::default();
    let mut record = known.clone();
    let mut unwritten = None;
    std::thread::scope(|scope| {
        for begun in 0..at_once {
            let done = done.clone();
            let work = &work;
            let sewing = move || work.sew_on(&done);
            let thread = std::thread::Builder::new().stack_size(STACK);
            match thread.spawn_scoped(scope, sewing) {
                Ok(_) => {}
                // Fewer threads sew all of it too.
                Err(_) if begun > 0 => break,
                Err(error) => return Err(no_thread(&error)),
            }
        }
        drop(done);
        // While the record is written others finish; one writing is then enough for all of them.
        while let Ok(first) = arrived.recv() {
            for (one, entry) in std::iter::once(first).chain(arrived.try_iter()) {
                totals.add(&one);
                if let Some(entry) = entry {
                    record.artworks.insert(one.name.clone(), entry);
                }
                finished(&one);
            }
            unwritten = record.write(batch.into).err();
        }
        Ok::<(), Diagnostic>(())
    })?;
    // Tenths of a second: the sum must not depend on who finished first.
    totals.seconds = (totals.seconds * 10.0).round() / 10.0;
    if let Some(problem) = unwritten {
        notice(Diagnostic::warning(
            "record-unwritten",
            format!("{}; the next run will sew all anew", problem.message),
        ));
    }
    Ok(totals)
}

fn no_thread(error: &std::io::Error) -> Diagnostic {
    Diagnostic::error(
        "internal",
        format!("this machine gives no thread to sew on: {error}"),
    )
}

impl Batch<'_> {
    /// A digest of everything besides the artwork that decides what the products are.
    fn way(&self) -> [u8; 32] {
        let mut hash = Sha256::new();
        hash.update(self.checked.digest());
        hash.update(env!("CARGO_PKG_VERSION"));
        hash.update(format!("{:?}", self.plugins.sandbox().limits()));
        hash.update(format!("{:?}", self.hold_at));
        let products: Vec<&str> = self.forms.writers.endings().collect();
        hash.update(products.join(" "));
        hash.finalize().into()
    }

    /// The artworks' own files, which no product may replace.
    fn artwork_files(&self) -> Spared {
        let spare = |spared: Spared, artwork: &BatchArtwork| {
            spared.and(&artwork.path, "artwork of this batch")
        };
        self.artworks.iter().fold(Spared::default(), spare)
    }
}

/// What the threads of a batch share.
struct Work<'a> {
    batch: &'a Batch<'a>,
    way: [u8; 32],
    taken: Spared,
    next: AtomicUsize,
    known: &'a Record,
    watch: &'a (dyn Fn(&BatchArtwork) -> Arc<dyn Watch> + Sync),
}

impl Work<'_> {
    /// Sews one artwork after the other until none is left.
    fn sew_on(&self, done: &mpsc::SyncSender<(Finished, Option<Entry>)>) {
        loop {
            let place = self.next.fetch_add(1, Ordering::Relaxed);
            let Some(artwork) = self.batch.artworks.get(place) else {
                return;
            };
            let turn = Turn {
                work: self,
                artwork,
                known: self.known.artworks.get(&artwork.name),
            };
            let (outcome, figures, findings, entry) = turn.take();
            let files = entry.as_ref().or(match outcome {
                Outcome::Unchanged => turn.known,
                _ => None,
            });
            let finished = Finished {
                index: place + 1,
                artwork: artwork.path.clone(),
                name: artwork.name.clone(),
                outcome,
                figures,
                files: files
                    .map(|entry| entry.paths(self.batch.into, &artwork.name))
                    .unwrap_or_default(),
                findings,
            };
            if done.send((finished, entry)).is_err() {
                return;
            }
        }
    }
}

/// One artwork's turn.
struct Turn<'a> {
    work: &'a Work<'a>,
    artwork: &'a BatchArtwork,
    known: Option<&'a Entry>,
}

type Ended = (Outcome, Option<Figures>, Vec<Diagnostic>, Option<Entry>);

impl Turn<'_> {
    fn take(&self) -> Ended {
        let batch = self.work.batch;
        if let Some(trouble) = &self.artwork.trouble {
            return self.failed(vec![trouble.clone()]);
        }
        let made_of = match self.made_of() {
            Ok(digest) => digest,
            Err(problem) => return self.failed(vec![problem]),
        };
        if let Some(known) = self.known
            && !batch.anew
            && known.made_of == made_of
            && known.is_still_there(batch.into, &self.artwork.name)
        {
            return (Outcome::Unchanged, Some(known.figures), Vec::new(), None);
        }
        let watch = (self.work.watch)(self.artwork);
        let attempt = Attempt {
            checked: batch.checked,
            plugins: batch.plugins,
            forms: batch.forms,
            cache: None,
            hold_at: batch.hold_at,
            watch: &watch,
        };
        let products = match attempt.sew(&self.artwork.path, |_| {}) {
            Ok(products) => products,
            Err(Failed(findings)) => return self.failed(findings),
        };
        let figures = Figures::of(&products.sewn);
        let files = products.files;
        let mut findings = products.sewn.told();
        let digests = files
            .iter()
            .map(|(ending, bytes)| (ending.clone(), Fingerprint::of(bytes).to_string()));
        let mut entry = Entry {
            made_of,
            figures,
            files: digests.collect(),
        };
        let paths = entry.paths(batch.into, &self.artwork.name);
        if let Err(problem) = self.write(files, &paths) {
            findings.push(problem);
            return (Outcome::NotWritten, Some(figures), findings, None);
        }
        if self.made_of().ok().as_ref() != Some(&entry.made_of) {
            // The artwork changed while it was sewn: the next run must look at it again.
            entry.made_of.clear();
        }
        (Outcome::Sewn, Some(figures), findings, Some(entry))
    }

    /// A digest of everything that the products depend on. The artwork's path is part of it, because
    /// the findings in the report name it.
    fn made_of(&self) -> Result<String, Diagnostic> {
        let bytes = read_bytes(&self.artwork.path, LARGEST_MIB)?;
        let mut hash = Sha256::new();
        hash.update(self.work.way);
        let path = self.artwork.path.to_string_lossy();
        hash.update((path.len() as u64).to_le_bytes());
        hash.update(path.as_bytes());
        hash.update(bytes);
        Ok(Fingerprint(hash.finalize().into()).to_string())
    }

    fn write(&self, files: Vec<(String, Vec<u8>)>, paths: &[PathBuf]) -> Result<(), Diagnostic> {
        let paths = paths.iter().map(|path| &**path);
        self.work.taken.check(paths, OTHER_FOLDER)?;
        let folder = self.work.batch.into;
        let files: Vec<(PathBuf, Vec<u8>)> = files
            .into_iter()
            .map(|(ending, bytes)| {
                (
                    folder.join(format!("{}.{ending}", self.artwork.name)),
                    bytes,
                )
            })
            .collect();
        output::write_more(&files)
    }

    /// Nothing was written. Products of an earlier run are no longer what the artwork says.
    fn failed(&self, mut findings: Vec<Diagnostic>) -> Ended {
        let earlier = self.known.map(|entry| {
            let folder = self.work.batch.into;
            entry.paths(folder, &self.artwork.name)
        });
        if let Some(path) = earlier.into_iter().flatten().find(|path| path.exists()) {
            findings.push(output::outdated(&path));
        }
        (Outcome::Failed, None, findings, None)
    }
}
