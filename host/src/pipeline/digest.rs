//! What a checked pipeline does, as a number.

use super::Checked;
use sha2::{Digest as _, Sha256};

impl Checked {
    /// SHA-256 over the pipeline, its rack and the bytes of its plugins: everything besides the
    /// artwork and the program that decides what is sewn. How the files are laid out is left aside.
    pub fn digest(&self) -> [u8; 32] {
        let mut hash = Sha256::new();
        let mut part = |bytes: &[u8]| {
            hash.update((bytes.len() as u64).to_le_bytes());
            hash.update(bytes);
        };
        // Plain structs of strings and finite numbers always serialize.
        part(&serde_json::to_vec(&self.pipeline).unwrap_or_default());
        part(&serde_json::to_vec(&self.rack).unwrap_or_default());
        for ready in &self.steps {
            part(&ready.plugin.digest);
        }
        hash.finalize().into()
    }
}
