//! The name of some bytes: their SHA-256.

use crate::fingerprint::Fingerprint;
use std::fmt;
use std::str::FromStr;

/// The SHA-256 of some bytes, written `sha256:` and 64 lower-case hexadecimal digits.
///
/// Source: OCI image specification 1.1, descriptor.md, "Digests".
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Digest(Fingerprint);

impl Digest {
    /// The digest of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Fingerprint::of(bytes))
    }

    /// The digest's own bytes.
    pub fn bytes(self) -> [u8; 32] {
        self.0.0
    }

    /// The digest without `sha256:`.
    pub fn hex(&self) -> String {
        self.0.to_string()
    }
}

impl From<[u8; 32]> for Digest {
    fn from(bytes: [u8; 32]) -> Self {
        Self(Fingerprint(bytes))
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
        let digits = text.strip_prefix("sha256:").ok_or_else(wrong)?;
        Fingerprint::parse(digits).map(Self).ok_or_else(wrong)
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
