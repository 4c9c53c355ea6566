//! A shop's pair of keys: the secret one signs its packs, the public one is for other shops.

use super::manifest::plain;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use minisign::{KeyPair, SecretKeyBox};
use serde::{Deserialize, Serialize};
use std::fmt;

/// The longest password, in bytes; minisign's own limit.
const LONGEST_PASSWORD: usize = 1024;

/// What signs packs.
pub struct SecretKey(pub(super) minisign::SecretKey);

/// What tells a shop's signatures from all others: an Ed25519 key with its number, written as minisign
/// writes it, in 56 characters.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct PublicKey {
    text: String,
    id: [u8; 8],
    verifier: minisign_verify::PublicKey,
}

/// How the secret key is kept.
#[derive(Clone)]
pub enum Guard {
    /// Enciphered with a password (scrypt, RFC 7914).
    Password(String),
    /// As it is: whoever reads the file can sign.
    None,
}

/// The two files of a new pair of keys.
pub struct NewKey {
    /// The file of the secret key.
    pub secret: Vec<u8>,
    /// The file of the public key.
    pub public: Vec<u8>,
    /// The public key itself.
    pub key: PublicKey,
}

/// Makes a pair of keys from the system's own random numbers, for the shop called `name`.
///
/// # Errors
/// Why it could not be made, as a sentence.
pub fn make(name: &str, guard: Guard) -> Result<NewKey, String> {
    let failed = |error: minisign::PError| format!("no key could be made: {error}");
    let pair = match guard {
        Guard::Password(password) => {
            check_password(&password)?;
            KeyPair::generate_encrypted_keypair(Some(password))
        }
        Guard::None => KeyPair::generate_unencrypted_keypair(),
    }
    .map_err(failed)?;
    let key = PublicKey::parse(&pair.pk.to_base64())?;
    let name = plain(name);
    let comment = format!("Hoopwright secret key of {name}, number {}", key.number());
    let secret = pair.sk.to_box(Some(&comment)).map_err(failed)?;
    Ok(NewKey {
        secret: secret.to_bytes(),
        public: format!(
            "untrusted comment: Hoopwright public key of {name}, number {}\n{key}\n",
            key.number()
        )
        .into_bytes(),
        key,
    })
}

fn check_password(password: &str) -> Result<(), String> {
    if password.is_empty() {
        Err("the password is empty".to_owned())
    } else if password.len() > LONGEST_PASSWORD {
        Err(format!(
            "the password is longer than {LONGEST_PASSWORD} bytes"
        ))
    } else {
        Ok(())
    }
}

impl SecretKey {
    /// Reads the file of a secret key; `password` is asked only where one is needed.
    ///
    /// # Errors
    /// What `password` says, or why the key cannot be used, as a sentence.
    pub fn read<E: From<String>>(
        file: &str,
        password: impl FnOnce() -> Result<String, E>,
    ) -> Result<Self, E> {
        let secret = || SecretKeyBox::from(file.to_owned());
        let wrong =
            |error: minisign::PError| E::from(format!("the secret key cannot be used: {error}"));
        if !is_enciphered(file) {
            // minisign leaves the checksum out of a key without a password, and the library asks for it.
            let hint = "one that minisign made without a password cannot be used";
            return secret()
                .into_unencrypted_secret_key()
                .map(Self)
                .map_err(|error| {
                    E::from(format!("the secret key cannot be used: {error}; {hint}"))
                });
        }
        let password = password()?;
        check_password(&password).map_err(E::from)?;
        secret()
            .into_secret_key(Some(password))
            .map(Self)
            .map_err(wrong)
    }
}

/// Bytes 2 and 3 of a secret key say how it is enciphered: `Sc`, or not at all. What is neither is
/// told when the key is read.
fn is_enciphered(file: &str) -> bool {
    let bytes = file
        .lines()
        .nth(1)
        .and_then(|line| STANDARD.decode(line).ok());
    bytes.is_some_and(|bytes| bytes.get(2..4) != Some(&[0, 0]))
}

impl PublicKey {
    /// Reads a public key: its 56 characters, or a file that has them in its second line.
    ///
    /// # Errors
    /// What is wrong with it, as a sentence.
    pub fn parse(text: &str) -> Result<Self, String> {
        let mut lines = text.trim_end().lines();
        let key = match (lines.next(), lines.next(), lines.next()) {
            (Some(key), None, None) => key.trim(),
            (Some(comment), Some(key), None) if comment.starts_with("untrusted comment:") => {
                key.trim()
            }
            _ => "",
        };
        let bytes = STANDARD.decode(key).unwrap_or_default();
        let id = bytes.get(2..10).and_then(|id| id.try_into().ok());
        let verifier = minisign_verify::PublicKey::from_base64(key);
        match (id, verifier) {
            (Some(id), Ok(verifier)) if bytes.starts_with(b"Ed") => Ok(Self {
                text: key.to_owned(),
                id,
                verifier,
            }),
            _ => {
                Err("this is not a public key: it has 56 characters and begins with RW".to_owned())
            }
        }
    }

    /// The key's 56 characters.
    pub fn as_str(&self) -> &str {
        &self.text
    }

    /// The number that a signature claims its key by.
    pub(super) fn id(&self) -> [u8; 8] {
        self.id
    }

    /// The key's number, for people.
    pub fn number(&self) -> String {
        number(self.id)
    }

    /// The key as the verifying library has it.
    pub(super) fn verifier(&self) -> &minisign_verify::PublicKey {
        &self.verifier
    }
}

/// A key's number as minisign shows it: eight bytes, the lowest first.
pub(super) fn number(id: [u8; 8]) -> String {
    format!("{:016X}", u64::from_le_bytes(id))
}

impl fmt::Display for PublicKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

impl fmt::Debug for PublicKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

impl From<PublicKey> for String {
    fn from(key: PublicKey) -> Self {
        key.text
    }
}

impl TryFrom<String> for PublicKey {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        Self::parse(&text)
    }
}
