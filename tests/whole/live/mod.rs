//! The live loop: what is saved is seen, and its page is for this computer alone.

mod looping;
mod page;
mod saved;

pub use looping::{Loop, drawing, folder, save};
