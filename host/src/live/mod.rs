//! Sewing again whenever something is saved, with a page that shows it.
//!
//! The way round: [`inputs`] say which files a run reads, and whether they are still what they were;
//! [`changes`] sleep until one may have changed; the loop here sews with the results of object steps
//! kept from run to run, and pins what came out to the [`board`]; the [`server`] gives the page and
//! the board to browsers on this computer, past the [`gate`].

mod answer;
mod board;
mod changes;
mod gate;
mod inputs;
mod server;
mod sewing;

pub use board::{Phase, State};
pub use sewing::{Live, Options, Told};
