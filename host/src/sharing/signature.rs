//! Who made a pack: a detached signature beside it, in minisign's form.
//!
//! Ed25519 (RFC 8032) over the BLAKE2b-512 (RFC 7693) of the pack, and again over that signature with
//! a line of text, the trusted comment, which names the file and its SHA-256. A pack that was signed
//! under one name does not pass for another's.

use super::Fingerprint;
use super::key::{PublicKey, SecretKey};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use minisign_verify::Error;
use std::io::Cursor;
use std::path::{Path, PathBuf};

/// What is added to the name of a pack for its signature.
pub const ENDING: &str = ".minisig";
/// The first lines that a signature may have. They are not signed, so any other is a change that
/// nobody could tell from the maker's own words: ours, and the one that minisign writes by itself.
const FIRST_LINES: [&str; 2] = [
    "untrusted comment: signature of a Hoopwright pack",
    "untrusted comment: signature from minisign secret key",
];
/// How the third line begins.
const COMMENT: &str = "trusted comment: ";

/// A signature that was read; whether it is one of a trusted key is told by [`Signature::is_by`].
#[derive(Clone)]
pub struct Signature {
    parsed: minisign_verify::Signature,
    key_id: [u8; 8],
}

/// Signs `bytes`, which will lie in a file called `name`. Gives the signature's file. What is signed
/// holds no time; the signature itself has a random part, so that no fault of the machine while it is
/// made gives the key away.
///
/// # Errors
/// Why it could not be made, as a sentence.
pub fn sign(bytes: &[u8], name: &str, key: &SecretKey) -> Result<Vec<u8>, String> {
    let comment = format!("file:{name}\tsha256:{}", Fingerprint::of(bytes));
    let first = FIRST_LINES[0].split_once(": ").map(|(_, words)| words);
    minisign::sign(None, &key.0, Cursor::new(bytes), Some(&comment), first)
        .map(|signature| signature.to_string().into_bytes())
        .map_err(|error| format!("it cannot be signed: {error}"))
}

impl Signature {
    /// Reads the file of a signature, which must be written as it has to be to the last byte.
    ///
    /// # Errors
    /// What is wrong with it, as the end of a sentence that begins with the file's name.
    pub fn read(bytes: &[u8]) -> Result<Self, String> {
        let odd = || "is not a signature as minisign writes it, or is damaged".to_owned();
        let text = std::str::from_utf8(bytes).map_err(|_| odd())?;
        let lines: Vec<&str> = text.split('\n').collect();
        let [first, signature, comment, global, ""] = lines[..] else {
            return Err(odd());
        };
        if !FIRST_LINES.contains(&first) {
            return Err(
                "has a first line that neither Hoopwright nor minisign writes, and that line is not signed"
                    .to_owned(),
            );
        }
        if text.contains('\r') || !comment.starts_with(COMMENT) {
            return Err(odd());
        }
        let signature = STANDARD.decode(signature).map_err(|_| odd())?;
        STANDARD.decode(global).map_err(|_| odd())?;
        let key_id = signature
            .get(2..10)
            .and_then(|id| id.try_into().ok())
            .ok_or_else(odd)?;
        if !signature.starts_with(b"ED") {
            return Err("is of an old kind, which is not accepted; sign the pack anew".to_owned());
        }
        let parsed = minisign_verify::Signature::decode(text).map_err(|_| odd())?;
        Ok(Self { parsed, key_id })
    }

    /// Whether `key` says by its number that it made the signature. Anyone can claim a number.
    pub fn claims(&self, key: &PublicKey) -> bool {
        self.key_id == key.id()
    }

    /// The number of the key that the signature claims, for people.
    pub fn key_number(&self) -> String {
        super::key::number(self.key_id)
    }

    /// Whether the signature was made by `key` over `bytes`.
    ///
    /// # Errors
    /// Why not, as the end of a sentence that begins with the signature's name.
    pub fn is_by(&self, key: &PublicKey, bytes: &[u8]) -> Result<(), String> {
        key.verifier()
            .verify(bytes, &self.parsed, false)
            .map_err(|error| match error {
                Error::UnexpectedKeyId => "was made by another key".to_owned(),
                _ => "does not fit the pack: one of them is damaged or changed".to_owned(),
            })?;
        match self.said("sha256:") {
            Some(sha256) if Fingerprint::parse(sha256) != Some(Fingerprint::of(bytes)) => {
                Err("names another file's sha256".to_owned())
            }
            _ => Ok(()),
        }
    }

    /// The name that the file had when it was signed, where the signer said it. To be believed only
    /// of a signature that [`is_by`](Self::is_by) a trusted key.
    pub fn file_name(&self) -> Option<&str> {
        self.said("file:")
    }

    fn said(&self, what: &str) -> Option<&str> {
        let mut parts = self.parsed.trusted_comment().split('\t');
        parts.find_map(|part| part.strip_prefix(what))
    }
}

/// Where the signature of a pack lies: beside it.
pub fn path_of(pack: &Path) -> PathBuf {
    let mut name = pack.as_os_str().to_owned();
    name.push(ENDING);
    PathBuf::from(name)
}
