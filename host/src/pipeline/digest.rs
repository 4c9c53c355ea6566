//! What a checked pipeline does, as a number.

use super::Checked;
use sha2::{Digest as _, Sha256};

impl Checked {
    /// SHA-256 over the pipeline, its parts, its rack and the bytes of its plugins: everything besides the
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
            // What the pipeline says of its parts is only where they lie.
            part(ready.label.as_bytes());
            part(ready.settings.as_bytes());
            part(&serde_json::to_vec(&ready.step.on).unwrap_or_default());
            for group in self.parts_around(ready) {
                part(group.label.as_bytes());
                part(&serde_json::to_vec(&group.on).unwrap_or_default());
            }
        }
        hash.finalize().into()
    }
}
