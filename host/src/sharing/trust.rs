//! Whose packs this shop takes: names with their public keys, in a file of its own.

use super::key::PublicKey;
use super::manifest::plain;
use super::signature::{self, Signature};
use crate::diagnostics::{Choice, Diagnostic};
use crate::output::write_all;
use crate::reading::{read_bytes, read_text};
use crate::user_folders::user_folders;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The form of the file. Another number is another form, which is not read.
const FORM: u32 = 1;
/// The largest trust file read, in MiB: about 10,000 shops.
const LARGEST_MIB: u64 = 1;
/// The longest name of a shop, in characters.
const LONGEST_NAME: usize = 80;

/// The public keys of the shops that are trusted.
#[derive(Clone, Debug)]
pub struct Trust {
    file: PathBuf,
    written: Written,
}

/// The file as it is written.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Written {
    form: u32,
    keys: BTreeMap<String, PublicKey>,
}

/// Who signed a pack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signer {
    /// The shop's name in the trust file.
    pub name: String,
    /// The name that the pack had when it was signed, where that is not the one it has now.
    pub other_name: Option<String>,
}

impl Trust {
    /// The trust file of whoever runs the program.
    ///
    /// # Errors
    /// The user has no folder for settings.
    pub fn file_of_user() -> Result<PathBuf, Diagnostic> {
        user_folders()
            .map(|folders| folders.config_dir().join("trust.json"))
            .ok_or_else(|| {
                Diagnostic::error("no-home", "this user has no folder for a trust file")
                    .help("Name the file.")
                    .choosing(Choice::TrustFile)
            })
    }

    /// Reads a trust file. One that is missing trusts nobody.
    ///
    /// # Errors
    /// The file cannot be read, or is not a trust file.
    pub fn read(file: &Path) -> Result<Self, Diagnostic> {
        let mut trust = Self {
            file: file.to_owned(),
            written: Written {
                form: FORM,
                keys: BTreeMap::new(),
            },
        };
        if matches!(file.try_exists(), Ok(false)) {
            return Ok(trust);
        }
        let broken = |why: String| {
            Diagnostic::error("trust-broken", format!("this is not a trust file: {why}"))
                .in_file(file)
                .help("Nobody is trusted until it is repaired, or removed and made anew with hoopwright trust.")
        };
        let text = read_text(file, LARGEST_MIB)?;
        trust.written = serde_json::from_str(&text).map_err(|error| broken(error.to_string()))?;
        if trust.written.form != FORM {
            return Err(broken(format!(
                "it has form {}, not {FORM}",
                trust.written.form
            )));
        }
        let mut keys: Vec<&str> = Vec::new();
        for (name, key) in &trust.written.keys {
            check_name(name).map_err(&broken)?;
            let key = key.as_str();
            if keys.contains(&key) {
                return Err(broken(format!("the key {key} stands there twice")));
            }
            keys.push(key);
        }
        Ok(trust)
    }

    /// The trust file of whoever runs the program, read.
    ///
    /// # Errors
    /// As [`file_of_user`](Self::file_of_user) and [`read`](Self::read) tell them.
    pub fn of_user() -> Result<Self, Diagnostic> {
        Self::read(&Self::file_of_user()?)
    }

    /// The file.
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// The shops and their keys, by name.
    pub fn keys(&self) -> impl Iterator<Item = (&str, &PublicKey)> {
        self.written
            .keys
            .iter()
            .map(|(name, key)| (name.as_str(), key))
    }

    /// Trusts a shop from now on.
    ///
    /// # Errors
    /// The name or the key is there already, or the name is none.
    pub fn add(&mut self, name: &str, key: PublicKey) -> Result<(), Diagnostic> {
        check_name(name).map_err(|why| Diagnostic::error("bad-name", why))?;
        let there = self.written.keys.iter().find(|(known, trusted)| {
            known.to_lowercase() == name.to_lowercase() || **trusted == key
        });
        if let Some((known, trusted)) = there {
            let words = if *trusted == key {
                format!("this key is trusted already, as \"{known}\"")
            } else {
                format!(
                    "\"{known}\" has another key already, number {}",
                    trusted.number()
                )
            };
            return Err(Diagnostic::error("trusted-already", words)
                .in_file(&self.file)
                .help(format!(
                    "If the shop has a new key, ask it by another way than the pack came. Then first end \
                     the trust in \"{known}\"."
                ))
                .choosing(Choice::TrustNoLonger));
        }
        self.written.keys.insert(name.to_owned(), key);
        Ok(())
    }

    /// Trusts a shop no longer.
    ///
    /// # Errors
    /// It was not trusted.
    pub fn remove(&mut self, name: &str) -> Result<PublicKey, Diagnostic> {
        self.written.keys.remove(name).ok_or_else(|| {
            Diagnostic::error("not-trusted", format!("\"{name}\" is not trusted"))
                .in_file(&self.file)
                .help("The file names who is.")
        })
    }

    /// Writes the file, whole or not at all.
    ///
    /// # Errors
    /// Why it cannot be written.
    pub fn write(&self) -> Result<(), Diagnostic> {
        // Strings and whole numbers always serialize.
        let mut text = serde_json::to_vec_pretty(&self.written).unwrap_or_default();
        text.push(b'\n');
        write_all(&[(self.file.clone(), text)])
    }

    /// Who of the trusted shops signed the pack `bytes`, which lies in `pack`, with the signature
    /// that lies beside it.
    ///
    /// # Errors
    /// The signature is missing, broken, of an unknown key, or does not fit.
    pub fn signer(&self, pack: &Path, bytes: &[u8]) -> Result<Signer, Diagnostic> {
        let file = signature::path_of(pack);
        let refuse = |code, message: String, help: &str| {
            Diagnostic::error(code, message).in_file(&file).help(help)
        };
        if matches!(file.try_exists(), Ok(false)) {
            return Err(Diagnostic::error(
                "unsigned",
                format!(
                    "{} is not signed: there is no {}",
                    pack.display(),
                    file.display()
                ),
            )
            .help("Ask its maker for the signature, and put it beside the pack."));
        }
        let broken = "Ask its maker to send the pack and its signature again.";
        let read = read_bytes(&file, LARGEST_MIB)?;
        let signature = Signature::read(&read)
            .map_err(|why| refuse("signature-broken", format!("the signature {why}"), broken))?;
        let mut refused = refuse(
            "signer-unknown",
            format!(
                "the pack is signed by key {}, which is not trusted here",
                signature.key_number()
            ),
            "If you know the shop, ask it for its public key by another way than the pack came, then \
             run hoopwright trust NAME KEY.",
        );
        let mut signer = None;
        for (name, key) in self.keys().filter(|(_, key)| signature.claims(key)) {
            match signature.is_by(key, bytes) {
                Ok(()) => signer = Some(name),
                Err(why) => {
                    let words = format!("the signature, said to be of \"{name}\", {why}");
                    refused = refuse("signature-broken", words, broken);
                }
            }
        }
        let name = signer.ok_or(refused)?;
        let now = pack.file_name().map(|name| name.to_string_lossy());
        let then = signature
            .file_name()
            .filter(|then| now.as_deref() != Some(then));
        Ok(Signer {
            name: name.to_owned(),
            other_name: then.map(plain),
        })
    }
}

fn check_name(name: &str) -> Result<(), String> {
    if name.trim() != name
        || name.is_empty()
        || name.chars().count() > LONGEST_NAME
        || plain(name) != name
    {
        return Err(format!(
            "\"{}\" is not a name: it has 1 to {LONGEST_NAME} characters on one line, without spaces around them",
            name.escape_debug()
        ));
    }
    Ok(())
}
