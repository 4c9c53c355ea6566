//! Sharing a routine with another shop, so that it can trust and repeat it.
//!
//! A [`Lock`] pins the plugins of a pipeline. [`pack`](fn@pack) gathers the pipeline with all that it
//! needs into a [`Pack`]: one archive, the same bytes for the same files, in which any changed byte
//! shows. [`sign`] says who made it, with a [`key`]; [`Trust`] is whose packs a shop takes, and
//! [`open`] takes no others. [`unpack`] makes it a folder again, in which the routine runs as it did.

mod archive;
mod contents;
mod files;
pub mod key;
pub mod limits;
pub mod lock;
mod manifest;
mod packing;
mod path;
mod signature;
mod source;
mod trust;
mod unpacking;

pub use crate::fingerprint::Fingerprint;
pub use contents::Pack;
pub use lock::{Hold, Lock, hold, strangers};
pub use manifest::{Carried, Manifest};
pub use packing::{pack, pack_file};
pub use path::PackPath;
pub use signature::{Signature, path_of as signature_of, sign};
pub use trust::{Signer, Trust};
pub use unpacking::{Taken, open, plugins_of_pack, unpack};

/// How the name of a pack ends.
pub const ENDING: &str = ".pack";
