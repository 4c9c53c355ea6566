//! The drawing, not its page, made as large as asked.

use super::page::{factor, rounded};
use super::{Reading, Scale, read};
use crate::design::valid::FARTHEST;
use crate::diagnostics::{Diagnostic, Failed};
use geo::Rect;
use std::path::Path;

/// The drawing is as large as asked to this share.
const NEAR: f64 = 1e-5;

/// So often it is read at most. The first reading is as coarse as the drawing is small on its page; the second
/// is right but for how curves are flattened.
const READINGS: usize = 4;

/// Reads the SVG `text` of `file` so that what is painted on its page is as large as `asked`, half the width of
/// outer strokes included. Gives the scale too, for whoever paints the artwork.
///
/// # Errors
/// Those of [`read`], and where the page would be too large.
pub fn read_drawing(text: &str, file: &Path, asked: Scale) -> Result<(Reading, Scale), Failed> {
    let mut scale = asked;
    let mut reading = read(text, file, scale)?;
    for _ in 1..READINGS {
        let Some(drawn) = reading
            .design
            .shape_bounds()
            .filter(|_| asked.sizes_a_box())
        else {
            break;
        };
        let larger = factor(asked, drawn.width(), drawn.height());
        let larger = larger
            .map_err(|what| Failed::from(Diagnostic::error("bad-scale", what).in_file(file)))?;
        if (larger - 1.0).abs() <= NEAR {
            break;
        }
        let page = reading.design.page.greatest;
        if page.x.max(page.y) * larger > FARTHEST {
            return Err(lost(drawn, [page.x, page.y], file).into());
        }
        scale = Scale::By(reading.mm_per_px * larger);
        reading = read(text, file, scale)?;
    }
    Ok((reading, scale))
}

fn lost(drawn: Rect<f64>, [width, height]: [f64; 2], file: &Path) -> Diagnostic {
    let message = format!(
        "the drawing takes up {:.2} % of its page's width and {:.2} % of its height: made as large as asked, the page \
         would be over {} mm",
        100.0 * drawn.width() / width,
        100.0 * drawn.height() / height,
        rounded(FARTHEST)
    );
    Diagnostic::error("page-too-large", message)
        .in_file(file)
        .help("crop the page to the drawing")
}
