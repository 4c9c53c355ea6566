//! Many artworks through one pipeline.
//!
//! [`gather`] says which artworks there are and what their products will be called; [`run`](run()) sews
//! them on all cores, writes each one's products as soon as they are made, and keeps a [`Record`] in
//! the folder, so that a later run does only what is new, changed or gone. An artwork that fails
//! never stops the others.

mod artworks;
mod finished;
mod hold;
mod record;
mod run;

pub use artworks::{BatchArtwork, Gathered, gather, listed};
pub use finished::{Figures, Finished, Outcome, Totals};
pub use record::Record;
pub use run::{Batch, run};
