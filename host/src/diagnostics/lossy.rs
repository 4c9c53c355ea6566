//! Paths as text in JSON. A path need not be Unicode, and serde's own way then fails, and with it all
//! that the path stands in: here what is not Unicode becomes U+FFFD, as on the terminal.

use serde::{Serialize, Serializer};
use std::path::{Path, PathBuf};

/// A path, lossily.
pub fn path<S: Serializer>(path: &Path, serializer: S) -> Result<S::Ok, S::Error> {
    Text(path).serialize(serializer)
}

/// A path that may be missing, lossily.
pub fn perhaps<S: Serializer>(path: &Option<PathBuf>, serializer: S) -> Result<S::Ok, S::Error> {
    path.as_deref().map(Text).serialize(serializer)
}

/// Paths, lossily.
pub fn each<S: Serializer>(paths: &[PathBuf], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(paths.iter().map(|path| Text(path)))
}

struct Text<'a>(&'a Path);

impl Serialize for Text<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0.to_string_lossy())
    }
}

#[cfg(all(test, unix))]
mod tests {
    use crate::diagnostics::Diagnostic;
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt as _;
    use std::path::Path;

    /// A name on Unix is any bytes but `/` and NUL (POSIX.1-2017, section 3.170).
    #[test]
    fn a_name_that_is_no_text_is_told_all_the_same() {
        let name = Path::new(OsStr::from_bytes(b"a\xff.svg"));
        let told = Diagnostic::note("x", "owl").in_file(name);
        let told = serde_json::to_value(&told).expect("it is text");
        assert_eq!(told["file"], "a\u{fffd}.svg");
        assert_eq!(told["message"], "owl");
    }
}
