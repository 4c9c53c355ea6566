//! The shop's threads, and which of them comes nearest to a colour of the artwork.

mod file;
mod nearest;
mod table;

pub use file::{Colour, Rack, RackThread, read, schema};
pub use nearest::{FAR, distance, tag_colours, wind, wound};
