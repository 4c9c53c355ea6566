//! Compiled plugins kept on the disk, and whether they are still what was written.
//!
//! The engine runs what it finds under a plugin's name in its folder: it does not see that a disk has
//! changed a byte of the machine code, or that two files have changed places. So a checksum is kept of
//! every file, and looked at before the engine may use the file; one that has no checksum, or another,
//! is removed, and the plugin is compiled anew. This is against damage. Whoever may write into the
//! folder may write checksums too, as they may replace the program itself.
//!
//! ```text
//! <folder>/code/modules/<engine>/<entry>     what the engine keeps, under a name of its own
//! <folder>/sums/<engine>/<plugin>.<entry>    the checksum of it, and which plugin it is of
//! ```

use super::code::Unfit;
use crate::diagnostics::{Choice, Diagnostic};
use crate::fingerprint::Fingerprint;
use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, SystemTime};
use wasmtime::{Cache, CacheConfig};

/// How old a file is that was left half written. Writing one takes thousandths of a second.
const LEFT: Duration = Duration::from_secs(60);

/// The compiled plugins of this user.
pub(super) struct Compiled {
    /// None where nothing is kept.
    kept: Option<Mutex<Kept>>,
    noticed: Mutex<Vec<Diagnostic>>,
}

struct Kept {
    cache: Cache,
    folder: PathBuf,
    /// How many plugins have been loaded.
    loaded: usize,
}

/// A file of the engine: the engine's folder, and the file's name in it.
type Entry = (String, String);

impl Compiled {
    /// Keeps compiled plugins in `folder`. Without a folder, or where it cannot be used, none is kept.
    pub fn within(folder: Option<&Path>) -> Self {
        let mut noticed = Vec::new();
        let kept = folder.and_then(|folder| {
            if let Err(error) = clear(folder) {
                noticed.push(unkept(folder, &format!(": {error}")));
                return None;
            }
            let mut config = CacheConfig::new();
            config.with_directory(folder.join("code"));
            // The engine may not write a file again in another way: its checksum would be another.
            config.with_optimized_compression_usage_counter_threshold(u64::MAX);
            match Cache::new(config) {
                Ok(cache) => Some(Mutex::new(Kept {
                    cache,
                    folder: folder.to_owned(),
                    loaded: 0,
                })),
                Err(error) => {
                    noticed.push(unkept(folder, &format!(": {error:#}")));
                    None
                }
            }
        });
        Self {
            kept,
            noticed: Mutex::new(noticed),
        }
    }

    /// For the engine.
    pub fn cache(&self) -> Option<Cache> {
        Some(lock(self.kept.as_ref()?).cache.clone())
    }

    /// Loads the plugin of this digest by `load`, which lets the engine use what is kept of it.
    ///
    /// # Errors
    /// Those of `load`, or where damage cannot be removed.
    pub fn load<T>(
        &self,
        plugin: &[u8; 32],
        load: impl FnOnce() -> wasmtime::Result<T>,
    ) -> Result<wasmtime::Result<T>, Unfit> {
        let Some(kept) = &self.kept else {
            return Ok(load());
        };
        let plugin = Fingerprint(*plugin).to_string();
        let (before, missed) = {
            let kept = lock(kept);
            let damaged = kept
                .remove_damaged(&plugin)
                .map_err(|(file, error)| unusable(&file, &error))?;
            if damaged > 0 {
                lock(&self.noticed).push(damage(&kept.folder));
            }
            (entries(&kept.folder), kept.cache.cache_misses())
        };
        let loaded = match load() {
            Ok(loaded) => loaded,
            Err(error) => return Ok(Err(error)),
        };
        let mut kept = lock(kept);
        kept.loaded += 1;
        let used = kept.cache.cache_hits() + kept.cache.cache_misses();
        let written = if kept.cache.cache_misses() == missed {
            Ok(())
        } else {
            // What came, and what the engine would not take and wrote again. What came of another plugin
            // meanwhile is held against a checksum twice.
            let mut new = &entries(&kept.folder) - &before;
            new.extend(kept.of_plugin(&plugin));
            new.iter()
                .try_for_each(|entry| kept.keep_sum(&plugin, entry))
        };
        let told = match written {
            Err(error) => Some(unkept(&kept.folder, &format!(": {error}"))),
            Ok(()) if used < kept.loaded => Some(unkept(&kept.folder, "")),
            Ok(()) => None,
        };
        // Once is enough.
        if let Some(told) = told {
            kept.loaded = used;
            lock(&self.noticed).push(told);
        }
        Ok(Ok(loaded))
    }

    /// What is to be told of the folder, each thing once.
    pub fn noticed(&self) -> Vec<Diagnostic> {
        let mut noticed = std::mem::take(&mut *lock(&self.noticed));
        noticed.dedup();
        noticed
    }
}

impl Kept {
    /// The engine's files of a plugin.
    fn of_plugin(&self, plugin: &str) -> Vec<Entry> {
        let sums = sums(&self.folder).into_iter();
        let of_plugin = sums.filter(|(of, _)| of == plugin);
        of_plugin.map(|(_, entry)| entry).collect()
    }

    /// Removes what is kept of a plugin where it is not as it was written. Gives how many files.
    ///
    /// # Errors
    /// A file that may not be read, or is damaged and cannot be removed.
    fn remove_damaged(&self, plugin: &str) -> Result<usize, (PathBuf, io::Error)> {
        let mut damaged = 0;
        for entry in self.of_plugin(plugin) {
            let file = code(&self.folder).join(&entry.0).join(&entry.1);
            let kept_sum = sum_file(&self.folder, plugin, &entry);
            let kept = fs::read_to_string(&kept_sum);
            let bytes = fs::read(&file);
            for (path, error) in [
                (&kept_sum, kept.as_ref().err()),
                (&file, bytes.as_ref().err()),
            ] {
                // Another user's: whole, maybe, but nothing that can be held against its checksum.
                if let Some(error) = error
                    && error.kind() == io::ErrorKind::PermissionDenied
                {
                    return Err((path.clone(), io::Error::from(error.kind())));
                }
            }
            match bytes {
                Ok(bytes) if kept.is_ok_and(|kept| kept == sum(&bytes)) => continue,
                Err(error) if error.kind() == io::ErrorKind::NotFound => {}
                _ => {
                    remove(&file).map_err(|error| (file, error))?;
                    damaged += 1;
                }
            }
            // One that stays is of nothing.
            let _ = remove(&kept_sum);
        }
        Ok(damaged)
    }

    /// A checksum that a power cut damages is another, and costs no more than its plugin's compiling.
    fn keep_sum(&self, plugin: &str, entry: &Entry) -> io::Result<()> {
        let file = code(&self.folder).join(&entry.0).join(&entry.1);
        let Ok(bytes) = fs::read(file) else {
            // Another run has cleared it away.
            return Ok(());
        };
        let to = sum_file(&self.folder, plugin, entry);
        let beside = to.parent().unwrap_or(&self.folder);
        fs::create_dir_all(beside)?;
        let mut waiting = tempfile::Builder::new().prefix(".").tempfile_in(beside)?;
        io::Write::write_all(&mut waiting, sum(&bytes).as_bytes())?;
        waiting.persist(to).map(|_| ()).map_err(|error| error.error)
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    // A thread that panicked left only counts behind.
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

fn code(folder: &Path) -> PathBuf {
    folder.join("code").join("modules")
}

fn sum_file(folder: &Path, plugin: &str, (engine, entry): &Entry) -> PathBuf {
    folder
        .join("sums")
        .join(engine)
        .join(format!("{plugin}.{entry}"))
}

/// CRC-32 (ISO 3309) and the length: enough to see damage, and no time lost.
fn sum(bytes: &[u8]) -> String {
    format!("{:08x} {}", crc32fast::hash(bytes), bytes.len())
}

/// All files in the folders within `folder`, each with its folder's name.
fn files(folder: &Path) -> Vec<Entry> {
    let names = |folder: &Path| -> Vec<String> {
        let entries = fs::read_dir(folder).into_iter().flatten().flatten();
        entries
            .map(|entry| entry.file_name().to_string_lossy().into_owned())
            .collect()
    };
    let mut all = Vec::new();
    for inner in names(folder) {
        let within = names(&folder.join(&inner)).into_iter();
        all.extend(within.map(|name| (inner.clone(), name)));
    }
    all
}

/// What the engine keeps. The other files there have a dot in their names.
fn entries(folder: &Path) -> BTreeSet<Entry> {
    let mut all: BTreeSet<Entry> = files(&code(folder)).into_iter().collect();
    all.retain(|(_, name)| !name.contains('.'));
    all
}

/// The checksums: of which plugin, and of which file.
fn sums(folder: &Path) -> Vec<(String, Entry)> {
    let all = files(&folder.join("sums")).into_iter();
    all.filter_map(|(engine, name)| {
        let (plugin, entry) = name.split_once('.')?;
        Some((plugin.to_owned(), (engine, entry.to_owned())))
    })
    .collect()
}

/// Removes what has no checksum, what a killed run left half written, and checksums of nothing.
///
/// # Errors
/// Something without a checksum cannot be removed.
fn clear(folder: &Path) -> io::Result<()> {
    let entries = entries(folder);
    let sums = sums(folder);
    for (plugin, entry) in sums.iter().filter(|(_, entry)| !entries.contains(entry)) {
        let file = sum_file(folder, plugin, entry);
        // What has no plugin's name waits for its place.
        if !plugin.is_empty() || left(&file) {
            let _ = remove(&file);
        }
    }
    let summed: BTreeSet<&Entry> = sums.iter().map(|(_, entry)| entry).collect();
    for (engine, name) in files(&code(folder)) {
        let file = code(folder).join(&engine).join(&name);
        let entry = (engine, name);
        // The engine never again writes a file that it was killed at.
        let half = entry.1.contains(".wip-") && left(&file);
        if half {
            let _ = remove(&file);
        } else if entries.contains(&entry) && !summed.contains(&entry) {
            remove(&file)?;
        }
    }
    Ok(())
}

/// Whether nobody writes the file any more. A clock that was set back makes it one of the future.
fn left(file: &Path) -> bool {
    let written = file.symlink_metadata().and_then(|there| there.modified());
    written.is_ok_and(|written| {
        let age = SystemTime::now().duration_since(written);
        age.is_ok_and(|age| age > LEFT)
            || written
                .duration_since(SystemTime::now())
                .is_ok_and(|ahead| ahead > LEFT)
    })
}

/// Removes a file, or what has taken its place.
fn remove(file: &Path) -> io::Result<()> {
    let removed = match file.symlink_metadata() {
        Ok(there) if there.is_dir() => fs::remove_dir_all(file),
        _ => fs::remove_file(file),
    };
    match removed {
        // Another run did the same.
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        removed => removed,
    }
}

fn unusable(file: &Path, error: &io::Error) -> Unfit {
    let why = format!(
        "what is kept of it, {}, cannot be read, or is not as it was written and cannot be removed: {error}",
        file.display()
    );
    let help =
        "Give the folder to whoever runs this, for reading and writing; or keep no compiled steps."
            .to_owned();
    Unfit::new("cache-damaged")((why, help)).choosing(Choice::KeepCompiled)
}

fn damage(folder: &Path) -> Diagnostic {
    Diagnostic::warning(
        "cache-damaged",
        format!(
            "a compiled step in {} was not as it had been written; it was compiled anew",
            folder.display()
        ),
    )
    .help("Nothing was sewn with it. If this comes again, have the disk looked at.")
}

fn unkept(folder: &Path, why: &str) -> Diagnostic {
    Diagnostic::note(
        "cache-unwritable",
        format!(
            "compiled steps cannot be kept in {}{why}; each run compiles them anew",
            folder.display()
        ),
    )
    .help("See that the folder can be written into and has room: 1 MiB for each step.")
}
