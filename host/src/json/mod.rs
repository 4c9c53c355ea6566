//! JSON files that people write: every problem with its place in the text.

mod document;
mod hint;
mod kind;
mod misfit;
pub mod nearest;
mod size;

pub use document::{Document, MARK, escape, words_and_place};
pub use kind::FileKind;
pub use misfit::{misfits, misfits_of, short};
pub use size::{MOST_PLACED, holds_more_than};
