//! The worksheet as PDF, ready for the printer: pages of [`marks`] are laid out first, and then
//! [`ink`] makes a file of them.

mod composer;
mod ink;
mod marks;
mod order;
mod picture;
mod sheet;
mod strokes;
mod structure;
mod typeface;

use super::{Worksheet, wording};
use crate::design::Design;
use crate::diagnostics::{Diagnostic, Failed};
use geo::{Coord, Rect};
use std::collections::BTreeSet;
use typeface::Typefaces;

/// A worksheet that can be sent to a printer.
#[derive(Clone, Debug, PartialEq)]
pub struct Printable {
    /// The PDF file.
    pub bytes: Vec<u8>,
    /// What does not print as it should.
    pub findings: Vec<Diagnostic>,
}

/// Makes the PDF of a worksheet. `start` is where the machine starts, in mm of the design. The same
/// worksheet gives the same bytes on every machine.
///
/// # Errors
/// The program's own font or PDF library fails.
pub fn pdf(sheet: &Worksheet, design: &Design, start: Coord<f64>) -> Result<Printable, Failed> {
    let faces = Typefaces::load()?;
    let sewn = design
        .needle_bounds()
        .unwrap_or_else(|| Rect::new(start, start));
    let pages = sheet::pages(&faces, sheet, sewn, start);
    let picture = format!(
        "The stitches as they are sewn, {:.1} x {:.1} mm",
        sheet.width, sheet.height
    );
    let bytes = ink::print(
        &faces,
        sheet.setup.paper.size(),
        &pages,
        &strokes::strokes(design),
        wording::title(sheet),
        &picture,
    )?;
    Ok(Printable {
        bytes,
        findings: unprintable(&faces, &pages).into_iter().collect(),
    })
}

/// A note of the characters for which a box is printed.
fn unprintable(faces: &Typefaces, pages: &[marks::Page]) -> Option<Diagnostic> {
    const MOST: usize = 12;
    let texts = pages
        .iter()
        .flatten()
        .filter_map(|placed| match &placed.mark {
            marks::Mark::Text { text, .. } => Some(text.as_str()),
            _ => None,
        });
    let missing: BTreeSet<char> = texts.flat_map(|text| faces.missing(text)).collect();
    if missing.is_empty() {
        return None;
    }
    let mut shown: Vec<String> = missing
        .iter()
        .take(MOST)
        .map(|c| format!("{c} (U+{:04X})", u32::from(*c)))
        .collect();
    if missing.len() > MOST {
        shown.push(format!("and {} more", missing.len() - MOST));
    }
    Some(
        Diagnostic::warning(
            "no-glyph",
            format!(
                "the printed worksheet shows a box for each of these characters: {}",
                shown.join(", ")
            ),
        )
        .help("Its font has Latin, Greek and Cyrillic letters. The worksheet in HTML shows what the browser's fonts have."),
    )
}

#[cfg(test)]
mod tests;
