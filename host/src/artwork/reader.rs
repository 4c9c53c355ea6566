//! The seam through which artwork comes in: one reader for each form, the stock ones and your own.

use super::{Artwork, LARGEST_MIB};
use crate::diagnostics::{Diagnostic, Failed};
use crate::formats::dst::Machine;
use crate::pipeline::{Checked, Size};
use crate::reading::read_bytes;
use std::path::Path;

/// Reads one form of artwork as a design.
///
/// The example `a_reader_of_your_own` has one.
pub trait Reader: Send + Sync {
    /// What the form is called in messages, such as `SVG`.
    fn name(&self) -> &str;

    /// How names of such files end, in small letters and without the first dot, such as `design.json`.
    /// A batch takes files of these names from a folder.
    fn endings(&self) -> &[&str];

    /// How much a file looks like this form by its bytes alone.
    fn likeness(&self, _bytes: &[u8]) -> Likeness {
        Likeness::None
    }

    /// Whether artwork is read at the size that the pipeline asks for. A form that has no size of its
    /// own to change, such as stitches, is read as it is, and that is noted.
    fn scales(&self) -> bool {
        false
    }

    /// Reads the file at `path`, whose bytes are `bytes`. The path is for messages.
    ///
    /// # Errors
    /// Everything that keeps the file from being read, each with its place where it has one.
    fn read(&self, path: &Path, bytes: &[u8], asked: &Asked<'_>) -> Result<Artwork, Failed>;
}

/// What a pipeline asks of a reader.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// The size that the artwork is sewn at.
    pub size: Size,
    /// The machine that it is sewn for. How many jumps in a row cut the thread is its own setting,
    /// which a machine file does not tell.
    pub machine: &'a Machine,
}

impl<'a> Asked<'a> {
    /// What this pipeline asks.
    pub fn by(checked: &'a Checked) -> Self {
        Self {
            size: checked.pipeline.artwork,
            machine: &checked.pipeline.machine,
        }
    }
}

/// How much bytes look like a form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Likeness {
    /// They tell nothing.
    None,
    /// They may be of this form; a name that tells another is believed.
    Some,
    /// They are of this form, whatever the file is called.
    Sure,
}

/// The forms of artwork that can be read.
pub struct Readers(Vec<Box<dyn Reader>>);

impl Default for Readers {
    fn default() -> Self {
        Self::stock()
    }
}

impl Readers {
    /// SVG, design JSON and DST.
    pub fn stock() -> Self {
        Self(super::forms::stock())
    }

    /// These and one more, which is asked before all others.
    #[must_use]
    pub fn with(mut self, reader: impl Reader + 'static) -> Self {
        self.0.push(Box::new(reader));
        self
    }

    /// The reader of a file: the one that is sure by the bytes, else the one with the longest ending of
    /// the file's name, else one that finds some likeness. Of several it is the one added last.
    pub fn reader_of(&self, path: &Path, bytes: &[u8]) -> Option<&dyn Reader> {
        let like = |least| {
            let mut latest = self.0.iter().rev();
            latest.find(|reader| reader.likeness(bytes) == least)
        };
        let named = self
            .0
            .iter()
            .max_by_key(|reader| longest_ending(&***reader, path));
        like(Likeness::Sure)
            .or(named.filter(|reader| longest_ending(&***reader, path) > 0))
            .or_else(|| like(Likeness::Some))
            .map(|reader| &**reader)
    }

    /// Whether a file of this name would be taken from a folder as artwork.
    pub fn know_the_name(&self, path: &Path) -> bool {
        self.0
            .iter()
            .any(|reader| longest_ending(&**reader, path) > 0)
    }

    /// How the names of artwork end, such as `.svg or .dst`.
    pub fn endings_in_words(&self) -> String {
        let endings = self.0.iter().flat_map(|reader| reader.endings());
        let endings: Vec<String> = endings.map(|ending| format!(".{ending}")).collect();
        match endings.split_last() {
            Some((last, before)) if !before.is_empty() => {
                format!("{} or {last}", before.join(", "))
            }
            _ => endings.concat(),
        }
    }

    /// Reads artwork of any form that is known.
    ///
    /// # Errors
    /// Everything that keeps the file from being read.
    pub fn read(&self, path: &Path, asked: &Asked<'_>) -> Result<Artwork, Failed> {
        let (bytes, reader) = self.open(path)?;
        let read = reader.read(path, &bytes, asked);
        let mut artwork = read.map_err(|Failed(found)| Failed(in_file(found, path)))?;
        if !reader.scales() && asked.size != Size::default() {
            artwork.findings.push(
                Diagnostic::note(
                    "size-kept",
                    "a design's size is its own; the pipeline's \"artwork\" is not used",
                )
                .in_file(path),
            );
        }
        Ok(artwork)
    }

    /// A file's bytes, and the reader for them: what can be told of artwork while the pipeline, and so the size
    /// asked for, is not known.
    ///
    /// # Errors
    /// The file cannot be read, or is of no form that is known.
    pub fn open(&self, path: &Path) -> Result<(Vec<u8>, &dyn Reader), Failed> {
        let bytes = read_bytes(path, LARGEST_MIB)?;
        match self.reader_of(path, &bytes) {
            Some(reader) => Ok((bytes, reader)),
            None => Err(self.unknown(path).into()),
        }
    }

    fn unknown(&self, path: &Path) -> Diagnostic {
        let names: Vec<&str> = self.0.iter().map(|reader| reader.name()).collect();
        let names = match names.split_last() {
            Some((last, [])) => format!("not {last}"),
            Some((last, before)) => format!("neither {} nor {last}", before.join(", ")),
            None => "nothing that can be read".to_owned(),
        };
        Diagnostic::error("unknown-form", format!("{} is {names}", path.display()))
            .help("Save the artwork as plain SVG.")
    }
}

/// Names the file of problems that name none.
fn in_file(mut found: Vec<Diagnostic>, path: &Path) -> Vec<Diagnostic> {
    for problem in &mut found {
        problem.file.get_or_insert_with(|| path.to_owned());
    }
    found
}

/// The length of the longest ending of a reader that a file's name has; 0 where it has none.
fn longest_ending(reader: &dyn Reader, path: &Path) -> usize {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let name = name.to_lowercase();
    let has = |ending: &&&str| {
        let before = name
            .strip_suffix(**ending)
            .and_then(|rest| rest.strip_suffix('.'));
        before.is_some()
    };
    let endings = reader.endings().iter().filter(has);
    endings.map(|ending| ending.len()).max().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A form with these endings, found by its first letter.
    struct Form(&'static str, &'static [&'static str], Likeness);

    impl Reader for Form {
        fn name(&self) -> &str {
            self.0
        }

        fn endings(&self) -> &[&str] {
            self.1
        }

        fn likeness(&self, bytes: &[u8]) -> Likeness {
            if bytes.starts_with(&self.0.as_bytes()[..1]) {
                self.2
            } else {
                Likeness::None
            }
        }

        fn read(&self, _: &Path, _: &[u8], _: &Asked<'_>) -> Result<Artwork, Failed> {
            Err(Failed(Vec::new()))
        }
    }

    fn reader<'a>(readers: &'a Readers, name: &str, bytes: &str) -> Option<&'a str> {
        let reader = readers.reader_of(Path::new(name), bytes.as_bytes());
        reader.map(Reader::name)
    }

    #[test]
    fn stock_forms_are_known_by_bytes_and_by_name() {
        let readers = Readers::stock();
        for (name, bytes, form) in [
            ("owl.svg", "", Some("SVG")),
            ("OWL.SVG", "{", Some("SVG")),
            ("owl", " <svg", Some("SVG")),
            ("owl.json", "{", Some("design JSON")),
            ("owl.json", "\u{feff}{", Some("design JSON")),
            ("owl.design.json", "", Some("design JSON")),
            ("owl.svg", "LA:owl", Some("DST")),
            ("owl.dst", "", Some("DST")),
            ("svg", "", None),
            ("owl.txt", "owl", None),
        ] {
            assert_eq!(reader(&readers, name, bytes), form, "{name} {bytes}");
        }
        let names = [("a.svg", true), ("a.design.json", true), ("a.json", false)];
        for (name, known) in names {
            assert_eq!(readers.know_the_name(Path::new(name)), known, "{name}");
        }
        assert_eq!(readers.endings_in_words(), ".svg, .design.json or .dst");
    }

    #[test]
    fn the_longest_ending_wins_and_the_latest_of_equals() {
        let readers = Readers::stock()
            .with(Form("first", &["json", "svg"], Likeness::Some))
            .with(Form("x", &["svg"], Likeness::Sure));
        assert_eq!(reader(&readers, "a.design.json", ""), Some("design JSON"));
        assert_eq!(reader(&readers, "a.json", "{"), Some("first"));
        assert_eq!(reader(&readers, "a.svg", "<"), Some("x"));
        assert_eq!(reader(&readers, "a.dst", "x"), Some("x"));
        assert_eq!(reader(&readers, "a", "f"), Some("first"));
        assert_eq!(
            readers.unknown(Path::new("a")).message,
            "a is neither SVG, design JSON, DST, first nor x"
        );
    }
}
