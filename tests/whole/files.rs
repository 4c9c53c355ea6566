//! Where things are.

use std::path::{Path, PathBuf};
use std::process::Command;

/// The repository.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap()
}

/// A folder for what the tests make; it lies in the target folder.
pub fn scratch() -> PathBuf {
    PathBuf::from(env!("CARGO_TARGET_TMPDIR"))
}

/// The program, with a cache of compiled plugins of the tests' own.
pub fn hoopwright() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_hoopwright"));
    command.env("XDG_CACHE_HOME", scratch().join("cache"));
    // Nor does the user's own folder of steps decide what a test sees.
    command.env("XDG_DATA_HOME", scratch().join("data"));
    command
}

/// Runs a pipeline on artwork with the program, however it judges what was sewn; what it writes goes
/// into a folder.
pub fn sew(pipeline: &Path, artwork: &Path, into: &Path) {
    let output = hoopwright()
        .arg("run")
        .args([pipeline, artwork])
        .args(["--hold-at", "never", "--into"])
        .arg(into)
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}
