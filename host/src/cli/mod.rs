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
mod picture;
mod playback;
mod registry;
mod sharing;
mod steps;
mod stop;
mod tell;
mod trial;
mod watch;

use clap::Parser as _;
use std::process::ExitCode;

/// Something that was given is wrong: artwork, pipeline, plugin or settings.
const WRONG_INPUT: u8 = 1;
/// An output cannot be written.
const CANNOT_WRITE: u8 = 3;
/// Findings hold the file back.
const HELD_BACK: u8 = 4;

/// Runs the command that the arguments ask for.
pub fn main() -> ExitCode {
    let arguments = arguments::Arguments::parse();
    commands::dispatch(&arguments)
}
