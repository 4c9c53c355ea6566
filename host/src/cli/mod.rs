//! The command line: thin over the library.

/// Prints a line. Whoever reads may have gone, as `head` does; what was to be done is done all the same.
macro_rules! println {
    ($($words:tt)*) => {{
        use std::io::Write as _;
        let _ = writeln!(std::io::stdout().lock(), $($words)*);
    }};
}

/// Prints words, as `println!` does a line.
macro_rules! print {
    ($($words:tt)*) => {{
        use std::io::Write as _;
        let _ = write!(std::io::stdout().lock(), $($words)*);
    }};
}

/// Tells a line on standard error, in colour where a terminal shows it. Where it cannot be told, because
/// the disk of a log is full, the work goes on all the same.
macro_rules! eprintln {
    ($($words:tt)*) => {{
        use std::io::Write as _;
        let _ = writeln!(anstream::stderr(), $($words)*);
    }};
}

mod apply;
mod arguments;
mod batch;
mod begin;
mod commands;
mod inspect;
mod judge;
mod limits;
mod live;
mod manual;
mod options;
mod picture;
mod playback;
mod registry;
mod sharing;
mod steps;
mod stop;
mod tell;
mod trial;
mod watch;

use clap::{CommandFactory as _, FromArgMatches as _};
use std::process::ExitCode;

/// Something that was given is wrong: artwork, pipeline, plugin or settings.
const WRONG_INPUT: u8 = 1;
/// An output cannot be written.
const CANNOT_WRITE: u8 = 3;
/// Findings hold the file back.
const HELD_BACK: u8 = 4;

/// Runs the command that the arguments ask for.
pub fn main() -> ExitCode {
    outlive_large_files();
    let matches = arguments::Arguments::command().get_matches();
    let arguments = arguments::Arguments::from_arg_matches(&matches);
    let arguments = arguments.unwrap_or_else(|error| error.exit());
    commands::dispatch(&arguments, matches.subcommand_name().unwrap_or_default())
}

/// A file that may grow no larger (`ulimit -f`) is then told like a full disk, where the system would
/// end the program in the middle of the writing.
#[cfg(unix)]
fn outlive_large_files() {
    let signal = signal_hook::consts::SIGXFSZ;
    // Where that fails the program ends as it would without; nothing is half written either.
    let _ = signal_hook::flag::register(signal, std::sync::Arc::default());
}

#[cfg(not(unix))]
fn outlive_large_files() {}
