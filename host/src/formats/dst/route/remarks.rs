//! What is worth knowing about a route.

use crate::diagnostics::Diagnostic;
use crate::formats::dst::record::UNITS_PER_MM;

/// What is worth knowing about a route.
#[derive(Default)]
pub struct Remarks<'a> {
    /// Objects without stitches.
    pub unsewn: Vec<&'a str>,
    /// Objects reached by so many jumps that the machine cuts the thread.
    pub cut_by_length: Vec<&'a str>,
    /// Objects with stitches longer than a record can tell, and how many.
    pub split: Vec<(&'a str, usize)>,
    /// Needle points that fall on the one before.
    pub still: usize,
}

impl<'a> Remarks<'a> {
    /// Notes a stitch of `object` that had to be split.
    pub fn split(&mut self, object: &'a str) {
        match self.split.last_mut() {
            Some((last, count)) if *last == object => *count += 1,
            _ => self.split.push((object, 1)),
        }
    }

    /// The remarks, where a record goes at most `most` units along an axis.
    pub fn into_diagnostics(self, most: i32) -> Vec<Diagnostic> {
        let mut found = Vec::new();
        let most = f64::from(most) / UNITS_PER_MM;
        for (object, count) in self.split {
            let stitches = counted(count, "stitch is", "stitches are");
            found.push(
                Diagnostic::warning(
                    "long-stitch",
                    format!(
                        "{stitches} longer than {most} mm along an axis, so split into equal parts"
                    ),
                )
                .about(object)
                .help("make the stitches of this object shorter, or split its satin"),
            );
        }
        if !self.unsewn.is_empty() {
            let objects = counted(self.unsewn.len(), "object has", "objects have");
            found.push(
                Diagnostic::warning(
                    "unsewn-object",
                    format!(
                        "{objects} no stitches, so nothing in the file: {}",
                        names(&self.unsewn)
                    ),
                )
                .help(
                    "add a step that makes stitches and selects it, or take it out of the design",
                ),
            );
        }
        if !self.cut_by_length.is_empty() {
            let ways = counted(self.cut_by_length.len(), "way is", "ways are");
            found.push(
                Diagnostic::note(
                    "trimmed-by-length",
                    format!(
                        "{ways} so long that the machine cuts the thread by itself, before: {}",
                        names(&self.cut_by_length)
                    ),
                )
                .help("let the step ties-and-trims lock and trim the thread there"),
            );
        }
        if self.still > 0 {
            let stitches = counted(self.still, "stitch falls", "stitches fall");
            found.push(Diagnostic::note(
                "still-stitch",
                format!("{stitches} on the needle point before, in steps of 0.1 mm: left out"),
            ));
        }
        found
    }
}

fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// The first few names, and how many more there are.
fn names(all: &[&str]) -> String {
    let mut distinct: Vec<&str> = Vec::new();
    for name in all {
        if distinct.last() != Some(name) {
            distinct.push(name);
        }
    }
    let shown = distinct.len().min(5);
    let listed = distinct
        .iter()
        .take(shown)
        .map(|name| format!("\"{name}\""))
        .collect::<Vec<_>>()
        .join(", ");
    match distinct.len() - shown {
        0 => listed,
        more => format!("{listed} and {more} more"),
    }
}
