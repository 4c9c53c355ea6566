//! The command line: thin over the library.

/// Prints a line; where it cannot be printed, the work goes on and [`print::lost`] tells at the end.
macro_rules! println {
    ($($words:tt)*) => {{
        use std::io::Write as _;
        crate::cli::print::keep(writeln!(std::io::stdout().lock(), $($words)*));
    }};
}

/// Prints words, as `println!` does a line.
macro_rules! print {
    ($($words:tt)*) => {{
        use std::io::Write as _;
        crate::cli::print::keep(write!(std::io::stdout().lock(), $($words)*));
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
mod hold_at;
mod inspect;
mod judge;
mod limits;
mod live;
mod manual;
mod options;
mod picture;
mod playback;
mod print;
mod profile;
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
    let given = arguments::Arguments::command().try_get_matches();
    let given = given.and_then(|matches| {
        let arguments = arguments::Arguments::from_arg_matches(&matches)?;
        Ok((arguments, matches))
    });
    match given {
        Ok((arguments, matches)) => {
            commands::dispatch(&arguments, matches.subcommand_name().unwrap_or_default())
        }
        Err(words) => print::in_place_of_a_command(&words),
    }
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
