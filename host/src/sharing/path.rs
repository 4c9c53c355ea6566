//! Where a file lies in a pack: a path that is safe to write on every system.

use crate::diagnostics::commands;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::path::PathBuf;
use unicode_normalization::UnicodeNormalization as _;

/// The longest path, in bytes. Archive headers hold it, and so do systems that allow 260 for all.
pub const LONGEST: usize = 150;
/// The longest name of a file or folder, in bytes.
pub const LONGEST_NAME: usize = 80;
/// How the names of files end that a pack may hold: what a pipeline reads, and nothing a system or
/// another program would run.
pub const ENDINGS: [&str; 3] = [".json", ".csv", ".wasm"];

/// The path of a file in a pack: names joined by `/`, below the pack's own folder. Every name is
/// one that every system can write and that means the same on all of them.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct PackPath(String);

impl PackPath {
    /// Reads a path.
    ///
    /// # Errors
    /// What is wrong with it, as the end of a sentence that begins with the path.
    pub fn parse(path: &str) -> Result<Self, String> {
        if path.len() > LONGEST {
            return Err(format!("is longer than {LONGEST} bytes"));
        }
        if path.starts_with('/') {
            return Err("begins at the root".to_owned());
        }
        path.split('/').try_for_each(check_name)?;
        if !ENDINGS.iter().any(|ending| path.ends_with(ending)) {
            return Err(format!("does not end in {}", ENDINGS.join(", ")));
        }
        Ok(Self(path.to_owned()))
    }

    /// The path as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The path with the system's own separators, to be joined to a folder.
    pub fn to_path(&self) -> PathBuf {
        self.0.split('/').collect()
    }

    /// The folders that it lies in, from the outermost on, each with its own path.
    pub(super) fn folders(&self) -> impl Iterator<Item = &str> {
        self.0.match_indices('/').map(|(end, _)| &self.0[..end])
    }
}

/// How a path looks to file systems that take large and small letters, and letters written in
/// several ways, for the same.
pub(super) fn folded(path: &str) -> String {
    path.nfkd()
        .flat_map(char::to_uppercase)
        .flat_map(char::to_lowercase)
        .nfkd()
        .collect()
}

/// One name of a path.
fn check_name(name: &str) -> Result<(), String> {
    let shown = || name.escape_debug();
    if name.is_empty() {
        return Err("holds a name that is empty".to_owned());
    }
    if name == "." || name == ".." {
        return Err(format!("holds \"{name}\""));
    }
    if name.len() > LONGEST_NAME {
        return Err(format!("holds a name longer than {LONGEST_NAME} bytes"));
    }
    if name.starts_with(['.', '-', '~', ' ']) || name.ends_with(['.', ' ']) {
        return Err(format!(
            "holds the name \"{}\", which systems take for something else",
            shown()
        ));
    }
    if let Some(odd) = name.chars().find(|&c| is_odd(c)) {
        return Err(format!("holds the character {}", odd.escape_unicode()));
    }
    if let Some(mark) = name.chars().find(|c| r#"<>:"\|?*"#.contains(*c)) {
        return Err(format!("holds the character {mark}"));
    }
    if !name.nfc().eq(name.chars()) {
        return Err(format!(
            "holds the name \"{}\", which is not written in Unicode's form NFC",
            shown()
        ));
    }
    if is_device(name) {
        return Err(format!(
            "holds the name \"{name}\", which is a device on some systems"
        ));
    }
    Ok(())
}

/// Characters that cannot be seen, or turn the text around them.
fn is_odd(c: char) -> bool {
    commands(c)
        || c.is_whitespace() && c != ' '
        || matches!(c,
            '\u{ad}' | '\u{34f}' | '\u{115f}'..='\u{1160}' | '\u{17b4}'..='\u{17b5}'
            | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200d}'
            | '\u{2060}'..='\u{206f}' | '\u{2800}' | '\u{3164}' | '\u{e000}'..='\u{f8ff}'
            | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{ffff}'
            | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{10ffff}')
}

/// The names that one family of systems keeps for devices, with any ending. They are listed in
/// Microsoft's "Naming Files, Paths, and Namespaces"; the names of its console are from memory.
fn is_device(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or_default().trim_end();
    let stem = stem.to_ascii_uppercase();
    let numbered = |stem: &str| {
        stem.strip_prefix("COM")
            .or(stem.strip_prefix("LPT"))
            .is_some_and(|number| {
                let mut digits = number.chars();
                let one = digits
                    .next()
                    .is_some_and(|c| c.is_ascii_digit() || "¹²³".contains(c));
                one && digits.next().is_none()
            })
    };
    matches!(
        stem.as_str(),
        "CON" | "PRN" | "AUX" | "NUL" | "CONIN$" | "CONOUT$"
    ) || numbered(&stem)
}

impl fmt::Display for PackPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl fmt::Debug for PackPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}", self.0)
    }
}

impl From<PackPath> for String {
    fn from(place: PackPath) -> Self {
        place.0
    }
}

impl TryFrom<String> for PackPath {
    type Error = String;

    fn try_from(path: String) -> Result<Self, String> {
        Self::parse(&path).map_err(|why| format!("the path \"{}\" {why}", path.escape_debug()))
    }
}
