//! What comes in and what goes out.

use super::Writers;
use crate::artwork::Readers;

/// The forms of artwork that are read, and the products that are made; the stock ones unless others
/// are added.
#[derive(Default)]
pub struct Forms {
    /// Artwork in.
    pub readers: Readers,
    /// Products out.
    pub writers: Writers,
}
