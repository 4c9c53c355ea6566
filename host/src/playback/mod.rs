//! The sewing as a page to watch: the machine's own moves, one after the other, as fast or as slow
//! as one likes. One HTML file without any source outside.
//!
//! [`moves`] packs what the machine does; [`story`] tells of what it is made: threads, objects,
//! halts; [`artwork`] draws what was asked for, to lie beneath; [`page`] puts all into one file.

mod artwork;
mod moves;
mod page;
mod story;

pub use artwork::Artwork;
pub use page::html;
