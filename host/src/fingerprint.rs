//! What tells one sequence of bytes from all others.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use std::fmt;
use std::io::Read as _;
use std::path::Path;

/// A SHA-256 (FIPS 180-4), written as 64 lower-case hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Fingerprint(pub [u8; 32]);

impl Fingerprint {
    /// The fingerprint of `bytes`.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// The fingerprint of a file, whatever its size.
    ///
    /// # Errors
    /// It cannot be read, or is a device, a pipe or a folder, which might never end.
    pub fn of_file(path: &Path) -> std::io::Result<Self> {
        if !std::fs::metadata(path)?.is_file() {
            return Err(std::io::Error::other("it is not a file"));
        }
        let mut file = std::fs::File::open(path)?;
        let mut hash = Sha256::new();
        let mut piece = vec![0; 1 << 16];
        loop {
            match file.read(&mut piece)? {
                0 => break,
                read => hash.update(&piece[..read]),
            }
        }
        Ok(Self(hash.finalize().into()))
    }

    /// Reads 64 lower-case hexadecimal digits, and nothing else.
    pub fn parse(text: &str) -> Option<Self> {
        let digit = |byte: u8| match byte {
            b'0'..=b'9' => Some(byte - b'0'),
            b'a'..=b'f' => Some(byte - b'a' + 10),
            _ => None,
        };
        let (pairs, rest) = text.as_bytes().as_chunks::<2>();
        let mut bytes = [0; 32];
        if pairs.len() != bytes.len() || !rest.is_empty() {
            return None;
        }
        for (byte, [high, low]) in bytes.iter_mut().zip(pairs) {
            *byte = digit(*high)? << 4 | digit(*low)?;
        }
        Some(Self(bytes))
    }

    /// The first twelve digits, for people.
    pub fn short(&self) -> String {
        self.to_string().chars().take(12).collect()
    }
}

impl fmt::Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

impl From<Fingerprint> for String {
    fn from(fingerprint: Fingerprint) -> Self {
        fingerprint.to_string()
    }
}

impl TryFrom<String> for Fingerprint {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        Self::parse(&text).ok_or_else(|| "a sha256 is 64 lower-case hexadecimal digits".to_owned())
    }
}

impl JsonSchema for Fingerprint {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Fingerprint".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": "string",
            "description": "SHA-256 as 64 lower-case hexadecimal digits.",
            "pattern": "^[0-9a-f]{64}$"
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4's example "abc", as NIST publishes it ("SHA256.pdf", Examples with Intermediate
    /// Values, one-block message sample).
    #[test]
    fn abc_is_as_published() {
        let published = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(Fingerprint::of(b"abc").to_string(), published);
        assert_eq!(Fingerprint::parse(published), Some(Fingerprint::of(b"abc")));
    }

    #[test]
    fn nothing_but_sixty_four_digits_is_one() {
        let good = Fingerprint::of(b"").to_string();
        for bad in [
            "",
            &good[1..],
            &format!("{good}0"),
            &good.to_uppercase(),
            &good.replace('e', "g"),
        ] {
            assert_eq!(Fingerprint::parse(bad), None, "{bad}");
        }
    }
}
