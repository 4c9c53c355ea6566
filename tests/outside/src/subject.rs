//! One kind of file from outside.

use arbitrary::{Result, Unstructured};

/// One kind of file from outside: how one is made of any bytes, and what must hold of it.
pub struct Subject {
    /// Its name: of the fuzz target, and of the folder of what that found.
    pub name: &'static str,
    /// A mostly sound file.
    pub make: fn(&mut Unstructured<'_>) -> Result<Vec<u8>>,
    /// All that does not hold of what the program makes of a file, in words; nothing where all is well.
    pub wrongs: fn(&[u8]) -> Vec<String>,
    /// Sound files to begin fuzzing with: their paths in the repository.
    pub seeds: &'static [&'static str],
}

impl Subject {
    /// The file that these bytes stand for. An even first byte says that the rest is the file; with an
    /// odd one, or where there is none, the rest is what the maker chooses by.
    pub fn file(&self, bytes: &[u8]) -> Vec<u8> {
        match bytes.split_first() {
            Some((first, file)) if first % 2 == 0 => file.to_vec(),
            Some((_, choices)) => self.made(choices),
            None => self.made(&[]),
        }
    }

    /// The file that the maker chooses by these bytes. There is one for any; where they end early, what
    /// is left to choose is chosen the simplest way.
    pub fn made(&self, choices: &[u8]) -> Vec<u8> {
        (self.make)(&mut Unstructured::new(choices)).unwrap_or_default()
    }

    /// Judges the file that these bytes stand for: what a fuzz target does.
    ///
    /// # Panics
    /// Where something does not hold of it.
    pub fn fuzz(&self, bytes: &[u8]) {
        let file = self.file(bytes);
        let wrongs = (self.wrongs)(&file);
        assert!(
            wrongs.is_empty(),
            "{}\n{}",
            wrongs.join("\n"),
            String::from_utf8_lossy(&file)
        );
    }
}

/// All subjects, in the order of their names.
pub fn all() -> [&'static Subject; 13] {
    [
        &crate::design::SUBJECT,
        &crate::dst::SUBJECT,
        &crate::lock::SUBJECT,
        &crate::machine::SUBJECT,
        &crate::pack::SUBJECT,
        &crate::part::SUBJECT,
        &crate::pipeline::SUBJECT,
        &crate::rack::SUBJECT,
        &crate::settings::SUBJECT,
        &crate::signed_pack::SUBJECT,
        &crate::step::SUBJECT,
        &crate::svg::SUBJECT,
        &crate::trust::SUBJECT,
    ]
}

/// The subject of this name.
pub fn named(name: &str) -> Option<&'static Subject> {
    all().into_iter().find(|subject| subject.name == name)
}
