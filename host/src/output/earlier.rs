//! What lies in the folder already: an earlier run's products, or somebody's own machine file.

use crate::diagnostics::{Choice, Diagnostic};
use std::path::{Path, PathBuf};

/// Every run writes this beside its machine file.
const WITNESS: &str = "report.json";

/// The report that a run has written into `folder` with its other products called `name`; nothing where none
/// has.
pub fn report_of_a_run(folder: &Path, name: &str) -> Option<PathBuf> {
    Some(folder.join(format!("{name}.{WITNESS}"))).filter(|report| report.is_file())
}

/// An error where a run would replace a machine file that no run has written, such as one that a customer
/// sent along with the artwork: it could not be got back.
pub fn spared_machine_file(folder: &Path, name: &str) -> Result<(), Diagnostic> {
    let file = folder.join(format!("{name}.dst"));
    if !file.exists() || report_of_a_run(folder, name).is_some() {
        return Ok(());
    }
    let words = format!(
        "{} is there already, and is no run's: no {name}.{WITNESS} lies beside it",
        file.display()
    );
    Err(Diagnostic::error("cannot-write", words)
        .help("Nothing was changed. Move it away where it may go; else name another folder.")
        .choosing(Choice::Place))
}

/// A warning that `file` and those of its set are what an earlier run made of the artwork.
pub fn outdated(file: &Path) -> Diagnostic {
    let words = format!(
        "{} and the files beside it are of an earlier run",
        file.display()
    );
    Diagnostic::warning("outdated", words)
        .help("Do not sew from them before the artwork is right again.")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_machine_file_without_a_report_beside_it_is_somebody_s_own() {
        let folder = tempfile::tempdir().expect("a folder");
        let spared = || spared_machine_file(folder.path(), "owl");
        assert_eq!(spared(), Ok(()));
        std::fs::write(folder.path().join("owl.dst"), "").expect("written");
        assert_eq!(spared().map_err(|told| told.code), Err("cannot-write"));
        std::fs::write(folder.path().join("owl.report.json"), "").expect("written");
        assert_eq!(spared(), Ok(()));
    }
}
