//! Clip paths, as areas that cut what lies within their group.

use super::outline::{Budget, outline};
use super::to_affine;
use crate::design::Polyline;
use geo::{Area, BoundingRect, LineString, MultiPolygon, Rect};
use hoopwright_geometry::area::{clean, clip_line, from_rings, intersection};
use hoopwright_geometry::curves::Subpath;
use hoopwright_geometry::{FillRule, offset};
use kurbo::Affine;

/// Two areas that differ by less than this share are taken as the same.
const SAME: f64 = 0.001;
/// A cut stroke whose shape differs by less than this share from a shorter line with round ends
/// is taken as that line.
const STILL_A_LINE: f64 = 0.05;

/// The area that a clip path lets through, under `to_mm`; nothing where it is too large or too
/// tangled to read.
pub(super) fn area(
    clip: &usvg::ClipPath,
    to_mm: Affine,
    budget: &mut Budget,
) -> Option<MultiPolygon<f64>> {
    let inside = to_mm * to_affine(clip.transform());
    let own = group_area(clip.root(), inside, budget)?;
    match clip.clip_path() {
        // A clip path's own clip path stands in the clipped element's units, too.
        Some(further) => Some(intersection(&own, &area(further, to_mm, budget)?)),
        None => Some(own),
    }
}

fn group_area(
    group: &usvg::Group,
    to_mm: Affine,
    budget: &mut Budget,
) -> Option<MultiPolygon<f64>> {
    let here = to_mm * to_affine(group.transform());
    let mut parts = Vec::new();
    for child in group.children() {
        let part = match child {
            usvg::Node::Group(inner) => group_area(inner, here, budget)?,
            usvg::Node::Path(path) if path.is_visible() => {
                let subpaths = outline(path.data(), here, budget).ok()?;
                if !budget.spend_crossings(&subpaths) {
                    return None;
                }
                let rule = path
                    .fill()
                    .map_or(usvg::FillRule::NonZero, usvg::Fill::rule);
                from_rings(
                    subpaths.iter().map(Subpath::to_line_string),
                    fill_rule(rule),
                )
            }
            _ => continue,
        };
        parts.extend(part);
    }
    let whole = clean(&MultiPolygon::new(parts));
    match group.clip_path() {
        Some(clip) => Some(intersection(&whole, &area(clip, here, budget)?)),
        None => Some(whole),
    }
}

/// SVG's fill rule for the geometry library.
pub(super) fn fill_rule(rule: usvg::FillRule) -> FillRule {
    match rule {
        usvg::FillRule::NonZero => FillRule::NonZero,
        usvg::FillRule::EvenOdd => FillRule::EvenOdd,
    }
}

/// Whether `clip` is a plain rectangle around all of `bounds`, so that it cuts nothing.
pub(super) fn lets_all_through(clip: &MultiPolygon<f64>, bounds: Rect<f64>) -> bool {
    let [only] = &clip.0[..] else { return false };
    let Some(around) = only.bounding_rect() else {
        return false;
    };
    let is_box = only.interiors().is_empty()
        && only.exterior().0.len() == 5
        && (only.unsigned_area() - around.width() * around.height()).abs() < 1e-6;
    is_box
        && around.min().x <= bounds.min().x
        && around.min().y <= bounds.min().y
        && around.max().x >= bounds.max().x
        && around.max().y >= bounds.max().y
}

/// What is left of a stroke.
pub(super) enum Cut {
    /// All of it.
    Nothing,
    /// Shorter lines of the same width.
    Shorter(Vec<Polyline>),
    /// No line of that width any more.
    Area(MultiPolygon<f64>),
}

/// Cuts a stroke of these lines, `width` mm wide.
pub(super) fn cut_lines(paths: &[Polyline], width: f64, clip: &MultiPolygon<f64>) -> Cut {
    let lines: Vec<LineString<f64>> = paths.iter().map(Polyline::to_line_string).collect();
    let whole = strokes(&lines, width);
    let kept = intersection(&whole, clip);
    let (whole_size, kept_size) = (whole.unsigned_area(), kept.unsigned_area());
    if kept_size >= whole_size * (1.0 - SAME) {
        return Cut::Nothing;
    }
    let shorter: Vec<LineString<f64>> = lines
        .iter()
        .flat_map(|line| clip_line(line, clip))
        .collect();
    let drawn = strokes(&shorter, width);
    let common = intersection(&drawn, &kept).unsigned_area();
    let differs = drawn.unsigned_area() + kept_size - 2.0 * common;
    if !shorter.is_empty() && differs <= STILL_A_LINE * kept_size {
        let open = |line: LineString<f64>| Polyline::new(line.0, false);
        return Cut::Shorter(shorter.into_iter().map(open).collect());
    }
    Cut::Area(kept)
}

fn strokes(lines: &[LineString<f64>], width: f64) -> MultiPolygon<f64> {
    let parts = lines.iter().flat_map(|line| offset::stroke(line, width));
    clean(&parts.collect())
}
