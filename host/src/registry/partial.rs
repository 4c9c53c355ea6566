//! A download that is under way, or that broke.

use super::Digest;
use crate::diagnostics::Diagnostic;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Read as _, Seek as _, Write as _};
use std::path::PathBuf;

/// The bytes of a blob that have arrived. They stay in a file of the store when a download breaks,
/// so that the next one goes on from there. One process at a time has it.
pub(super) struct Partial {
    file: File,
    path: PathBuf,
    length: u64,
}

impl Partial {
    /// Opens what there is of the blob, and waits while another process is at it.
    pub(super) fn open(folder: &std::path::Path, digest: Digest) -> Result<Self, Diagnostic> {
        let path = folder.join(digest.hex());
        let open = || {
            fs::create_dir_all(folder)?;
            let file = OpenOptions::new()
                .read(true)
                .append(true)
                .create(true)
                .open(&path)?;
            match file.lock() {
                // Some network drives know no locks; the digest is checked in the end all the same.
                Err(error) if error.kind() != io::ErrorKind::Unsupported => return Err(error),
                _ => {}
            }
            let length = file.metadata()?.len();
            Ok((file, length))
        };
        match open() {
            Ok((file, length)) => Ok(Self { file, path, length }),
            Err(error) => Err(super::store::unwritable(&path, &error)),
        }
    }

    /// How many bytes there are.
    pub(super) fn length(&self) -> u64 {
        self.length
    }

    /// Begins anew.
    pub(super) fn clear(&mut self) -> Result<(), Diagnostic> {
        self.file.set_len(0).map_err(|error| self.trouble(&error))?;
        self.length = 0;
        Ok(())
    }

    /// Adds bytes at the end.
    pub(super) fn add(&mut self, bytes: &[u8]) -> Result<(), Diagnostic> {
        self.file
            .write_all(bytes)
            .map_err(|error| self.trouble(&error))?;
        self.length += bytes.len() as u64;
        Ok(())
    }

    /// All bytes, from the first.
    pub(super) fn bytes(&mut self) -> Result<Vec<u8>, Diagnostic> {
        let mut bytes = Vec::new();
        self.file
            .rewind()
            .and_then(|()| (&self.file).take(self.length).read_to_end(&mut bytes))
            .map_err(|error| self.trouble(&error))?;
        Ok(bytes)
    }

    /// Removes the file: its bytes lie elsewhere now, or are of no use.
    pub(super) fn remove(self) {
        // A file that stays costs only its room, and is taken up or begun anew next time.
        let _ = fs::remove_file(&self.path);
    }

    fn trouble(&self, error: &io::Error) -> Diagnostic {
        super::store::unwritable(&self.path, error)
    }
}
