//! How the drawing lies on its page: what nobody meant to be so.

use super::Scale;
use super::findings::Findings;
use super::page::rounded;
use super::source::Source;
use crate::design::{Design, Shape};
use crate::diagnostics::Severity;
use crate::rack::Colour;
use geo::{Area, Rect};

/// A drawing that takes up a smaller share of its page's width and of its height is lost on it.
const LOST: f64 = 0.5;

/// A shape that covers this share of the page may be its paper.
const PAPER: f64 = 0.99;

/// Paper is as light as this in red, green and blue.
const WHITE: u8 = 250;

/// Tells of a drawing that is small on its `page`, which was given a size, and of a shape beneath all others
/// that may be only the paper.
pub(super) fn look(
    design: &Design,
    page: Rect<f64>,
    scale: Scale,
    source: &Source<'_>,
    findings: &mut Findings<'_, '_>,
) {
    let root = Some(source.xml.root_element());
    let drawn = design.shape_bounds();
    if let Some(drawn) = drawn.filter(|_| scale.sizes_a_box())
        && drawn.width() < LOST * page.width()
        && drawn.height() < LOST * page.height()
    {
        findings.warning(
            root,
            "small-on-page",
            format!(
                "the drawing takes up {} by {} mm of a page that becomes {} by {} mm",
                rounded(drawn.width()),
                rounded(drawn.height()),
                rounded(page.width()),
                rounded(page.height())
            ),
            "the size asked for is the page's: write \"of\": \"drawing\" beside it in \"artwork\", or crop the page to the drawing",
        );
    }
    if let [lowest, _, ..] = &design.objects[..]
        && let Shape::Region(region) = &lowest.shape
        && region
            .polygons
            .iter()
            .all(|polygon| polygon.holes.is_empty())
        && region.to_multi_polygon().unsigned_area() >= PAPER * page.unsigned_area()
    {
        let is_white = design
            .threads
            .get(lowest.thread as usize)
            .is_some_and(|thread| {
                let Colour { red, green, blue } = Colour::of(thread);
                red.min(green).min(blue) >= WHITE
            });
        let severity = if is_white {
            Severity::Warning
        } else {
            Severity::Note
        };
        findings.about(
            root,
            severity,
            "covers-the-page",
            format!("\"{}\" covers the whole page, and is sewn", lowest.id),
            "take it out if it is only the paper that a drawing program puts beneath a drawing",
        );
    }
}
