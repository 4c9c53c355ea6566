//! The name of some bytes: their SHA-256.

use sha2::{Digest as _, Sha256};
use std::fmt;
use std::str::FromStr;

/// The SHA-256 of some bytes, written `sha256:` and 64 lower-case hexadecimal digits.
///
/// Source: OCI image specification 1.1, descriptor.md, "Digests".
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Digest([u8; 32]);

impl Digest {
    /// The digest of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// The digest's own bytes.
    pub fn bytes(self) -> [u8; 32] {
        self.0
    }

    /// The digest without `sha256:`.
    pub fn hex(&self) -> String {
        self.0.iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

impl From<[u8; 32]> for Digest {
    fn from(bytes: [u8; 32]) -> Self {
        Self(bytes)
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "sha256:{}", self.hex())
    }
}

impl FromStr for Digest {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wrong = || {
            format!(
                "\"{}\" is not sha256: and 64 lower-case hexadecimal digits",
                text.escape_debug()
            )
        };
        let hex = text.strip_prefix("sha256:").ok_or_else(wrong)?;
        let digits = hex.as_bytes();
        if digits.len() != 64 {
            return Err(wrong());
        }
        let mut bytes = [0; 32];
        for (byte, pair) in bytes.iter_mut().zip(digits.chunks(2)) {
            for digit in pair {
                let value = match digit {
                    b'0'..=b'9' => digit - b'0',
                    b'a'..=b'f' => digit - b'a' + 10,
                    _ => return Err(wrong()),
                };
                *byte = *byte << 4 | value;
            }
        }
        Ok(Self(bytes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-2, appendix B.1: the message "abc".
    #[test]
    fn is_the_standard_s_example() {
        let digest = Digest::of(b"abc");
        let written = "sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(digest.to_string(), written);
        assert_eq!(written.parse(), Ok(digest));
    }

    #[test]
    fn takes_nothing_else() {
        let long = "a".repeat(64);
        for wrong in [
            "",
            "sha256:",
            "sha512:aa",
            &long,
            &format!("sha256:{long}a"),
            &format!("sha256:{}", "A".repeat(64)),
            &format!("sha256:{}", "ß".repeat(32)),
        ] {
            assert!(wrong.parse::<Digest>().is_err(), "{wrong}");
        }
    }
}
