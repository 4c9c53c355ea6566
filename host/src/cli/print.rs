//! Words on standard output. Whoever reads may have gone, as `head` does; what was to be done is done all the
//! same. Any other loss, such as a full disk, is remembered and ends the program with a code of its own.

use super::CANNOT_WRITE;
use hoopwright::diagnostics::Diagnostic;
use std::io::{self, ErrorKind, Write as _};
use std::process::ExitCode;
use std::sync::{Mutex, PoisonError};

/// Why words were lost, where they were: the first reason.
static LOST: Mutex<Option<String>> = Mutex::new(None);

/// Takes what became of words on standard output.
pub fn keep(printed: io::Result<()>) {
    if let Err(error) = printed
        && error.kind() != ErrorKind::BrokenPipe
    {
        let mut lost = LOST.lock().unwrap_or_else(PoisonError::into_inner);
        lost.get_or_insert_with(|| error.to_string());
    }
}

/// What to tell where words were lost. What still waits is printed first.
pub fn lost() -> Option<Diagnostic> {
    keep(io::stdout().lock().flush());
    let lost = LOST.lock().unwrap_or_else(PoisonError::into_inner);
    lost.as_ref().map(|why| {
        Diagnostic::error(
            "cannot-print",
            format!("standard output cannot be written: {why}"),
        )
        .help("What was printed is lost or cut short; files were written all the same.")
    })
}

/// Prints the help that was asked for, or says what is wrong with the command line.
pub fn in_place_of_a_command(words: &clap::Error) -> ExitCode {
    let printed = words.print();
    if words.use_stderr() {
        return ExitCode::from(words.exit_code().try_into().unwrap_or(u8::MAX));
    }
    keep(printed);
    match lost() {
        None => ExitCode::SUCCESS,
        Some(lost) => {
            eprintln!("error[{}]: {}", lost.code, lost.message);
            ExitCode::from(CANNOT_WRITE)
        }
    }
}
