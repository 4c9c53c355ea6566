//! What one paint of a path becomes: a region or lines, of one colour.

use super::clip::{self, Cut};
use super::css;
use super::drawing::{Clips, Paint, Painted, Walk};
use super::paint::{self, Was};
use super::source::spoken;
use crate::design::valid::FARTHEST;
use crate::design::{Lines, Polyline, THREAD_WIDTH};
use crate::diagnostics::Severity;
use crate::rack::Colour;
use geo::{BoundingRect, Coord, LineString, MultiPolygon, Polygon};
use hoopwright_geometry::area::{clean, from_rings, intersection};
use hoopwright_geometry::curves::Subpath;
use hoopwright_geometry::measure::{distance, way_length};
use hoopwright_geometry::offset;
use kurbo::Affine;
use std::cmp::Ordering;
use usvg::Color;

/// About how many corners two round caps have.
const CAP_CORNERS: usize = 64;

/// Round caps cover as much as if the line were longer at either end by this part of its width: a quarter of
/// a disc's area over its diameter, half of each end's.
const CAP_REACH: f64 = std::f64::consts::PI / 8.0;

impl Walk<'_, '_, '_, '_> {
    pub(super) fn fill(
        &mut self,
        fill: &usvg::Fill,
        subpaths: &[Subpath],
        clips: &Clips,
    ) -> Option<Painted> {
        if !self.budget.spend_crossings(subpaths) {
            self.too_tangled();
            return None;
        }
        let rings = subpaths.iter().map(Subpath::to_line_string);
        let area = from_rings(rings, clip::fill_rule(fill.rule()));
        if area.0.is_empty() {
            // Lines have a fill too, by default; only a shape with nothing else to show is
            // reported, where its objects are made.
            return None;
        }
        let colour = self.colour(fill.paint(), fill.opacity().get(), Paint::Fill)?;
        self.painted_area(area, colour, clips, Paint::Fill)
    }

    pub(super) fn stroke(
        &mut self,
        stroke: &usvg::Stroke,
        subpaths: &[Subpath],
        to_mm: Affine,
        clips: &Clips,
    ) -> Option<Painted> {
        let (least, greatest) = stretches(to_mm);
        let width = as_written(f64::from(stroke.width().get()) * (least * greatest).sqrt());
        let round = stroke.linecap() == usvg::LineCap::Round;
        let (lines, dots): (Vec<&Subpath>, Vec<&Subpath>) = subpaths
            .iter()
            .partition(|subpath| subpath.corners.len() > 1);
        if width <= 0.0 || (lines.is_empty() && dots.is_empty()) {
            return None;
        }
        if width > FARTHEST {
            self.too_far();
            return None;
        }
        let colour = self.colour(stroke.paint(), stroke.opacity().get(), Paint::Stroke)?;
        // SVG 2 section 13.5.4: a subpath without length is painted only as its round or square
        // caps.
        if round && subpaths.iter().all(|subpath| is_pill(subpath, width)) {
            let area = self.pills(subpaths, width)?;
            return self.painted_area(area, colour, clips, Paint::Stroke);
        }
        if !dots.is_empty() && stroke.linecap() != usvg::LineCap::Butt {
            self.dots_left_out();
        }
        if lines.is_empty() {
            return None;
        }
        if greatest > least * 1.01 {
            self.stretched(width, f64::from(stroke.width().get()) * greatest);
        }
        if stroke.dasharray().is_some() {
            self.dashed();
        }
        if !clips.is_empty() && !self.budget.spend_crossings(subpaths) {
            self.too_tangled();
            return None;
        }
        let reach = match stroke.linecap() {
            usvg::LineCap::Square => width / 2.0,
            // The last needle point's thread itself lies half its width beyond it.
            usvg::LineCap::Round => (CAP_REACH * width - THREAD_WIDTH / 2.0).max(0.0),
            usvg::LineCap::Butt => 0.0,
        };
        let paths = lines
            .iter()
            .map(|line| Polyline::new(lengthened(line, reach), line.closed))
            .collect();
        self.painted_lines(Lines { paths, width }, colour, clips)
    }

    /// What subpaths that are all caps cover. Nothing where there are too many to be joined to one region.
    fn pills(&mut self, subpaths: &[Subpath], width: f64) -> Option<MultiPolygon<f64>> {
        let mut lines: Vec<LineString<f64>> = subpaths
            .iter()
            .map(|subpath| LineString::new(subpath.corners.clone()))
            .collect();
        let first = |line: &LineString<f64>| line.0.first().map(|at| (at.x, at.y));
        lines.sort_by(|a, b| first(a).partial_cmp(&first(b)).unwrap_or(Ordering::Equal));
        lines.dedup();
        let corners: usize = lines.iter().map(|line| CAP_CORNERS + line.0.len()).sum();
        if corners > self.budget.corners {
            self.too_tangled();
            return None;
        }
        self.budget.corners -= corners;
        let pills: MultiPolygon<f64> = lines
            .iter()
            .flat_map(|line| offset::stroke(line, width))
            .collect();
        let edge = |pill: &Polygon<f64>| Subpath {
            corners: pill.exterior().0.iter().skip(1).copied().collect(),
            closed: true,
        };
        let edges: Vec<Subpath> = pills.iter().map(edge).collect();
        if !self.budget.spend_crossings(&edges) {
            self.too_tangled();
            return None;
        }
        Some(clean(&pills))
    }

    /// The stroke's shape after all cuts.
    fn painted_lines(&mut self, mut lines: Lines, colour: Color, clips: &Clips) -> Option<Painted> {
        let mut bounds = lines.bounds()?;
        for (cut, clip) in clips.iter().enumerate() {
            if clip::lets_all_through(clip, bounds) {
                continue;
            }
            match clip::cut_lines(&lines.paths, lines.width, clip) {
                Cut::Nothing => continue,
                Cut::Shorter(shorter) => lines.paths = shorter,
                Cut::Area(area) => {
                    self.no_line_any_more();
                    let further = &clips[cut + 1..];
                    return self.painted_area(area, colour, further, Paint::Stroke);
                }
            }
            bounds = lines.bounds()?;
        }
        self.lines_on_page(lines, colour)
    }

    /// The region after all cuts.
    fn painted_area(
        &mut self,
        mut area: MultiPolygon<f64>,
        colour: Color,
        clips: &Clips,
        paint: Paint,
    ) -> Option<Painted> {
        for clip in clips {
            let through = |bounds| clip::lets_all_through(clip, bounds);
            if !area.bounding_rect().is_some_and(through) {
                area = intersection(&area, clip);
            }
        }
        if area.0.is_empty() {
            self.clipped_away();
            return None;
        }
        Some(self.area_on_page(area, colour, paint))
    }

    /// The flat colour of a paint, and what has to be said about it.
    fn colour(&mut self, paint: &usvg::Paint, opacity: f32, part: Paint) -> Option<Color> {
        let element = self.element();
        let flat = paint::flat(paint);
        let Some(colour) = flat.colour.filter(|_| opacity > 0.0) else {
            self.see_through(element);
            return None;
        };
        if opacity < 1.0 {
            self.translucent(opacity, part);
        }
        let whose = || {
            let who = element.map_or_else(|| "a shape".to_owned(), spoken);
            format!("the {} of {who}", part.word())
        };
        let hex = Colour::new([colour.red, colour.green, colour.blue]);
        match flat.was {
            Was::Flat => {}
            Was::Gradient { id } => {
                let message = format!(
                    "{} is the gradient{}; its average, {hex}, stands for it",
                    whose(),
                    self.server_name(part, &id)
                );
                let help = "give it one colour, or split it into flat shapes";
                self.tell(Severity::Warning, "gradient", message, help, part);
            }
            Was::Pattern { id } => {
                let message = format!(
                    "{} is the pattern{}; the colour that covers most of it, {hex}, stands for it",
                    whose(),
                    self.server_name(part, &id)
                );
                let help = "give it one colour, or draw the pattern as shapes";
                self.tell(Severity::Warning, "pattern", message, help, part);
            }
        }
        Some(colour)
    }

    /// The id of the gradient or pattern that the element is painted with, for a message. usvg
    /// gives its copies ids of their own.
    fn server_name(&self, part: Paint, id: &str) -> String {
        let bearer = self.bearer(part.word());
        let value = bearer.and_then(|node| css::property(node, part.word()));
        let own = value.and_then(|value| css::urls(value).next());
        match own.or(self.source.by_id(id).map(|_| id)) {
            Some(id) => format!(" \"{id}\""),
            None => String::new(),
        }
    }
}

/// A stroke's width in mm to 0.0001 mm, so that one drawn 0.8 mm wide is: the engine reckons in single
/// precision, and a step may take lines from 0.8 mm on.
fn as_written(width: f64) -> f64 {
    let rounded = (width * 1e4).round() / 1e4;
    if rounded > 0.0 { rounded } else { width }
}

/// Whether a stroke so wide with round caps is hardly more than its caps: a dot, or no longer than wide.
fn is_pill(subpath: &Subpath, width: f64) -> bool {
    !subpath.closed && way_length(&subpath.corners) < width
}

/// The line's corners, its open ends drawn out by `reach` mm: SVG 2 section 13.5.4, a square cap reaches half the
/// stroke's width beyond the end, along the line.
fn lengthened(line: &Subpath, reach: f64) -> Vec<Coord<f64>> {
    let mut corners = line.corners.clone();
    if reach > 0.0 && !line.closed {
        for _ in 0..2 {
            corners.reverse();
            if let Some(end) = corners.last().copied() {
                let inner = corners.iter().rev().find(|corner| **corner != end);
                if let (Some(inner), Some(last)) = (inner.copied(), corners.last_mut()) {
                    let length = distance(end, inner);
                    if length > 0.0 {
                        *last = end + (end - inner) / length * reach;
                    }
                }
            }
        }
    }
    corners
}

/// The least and the greatest factor by which a transform stretches a length.
fn stretches(transform: Affine) -> (f64, f64) {
    let [a, b, c, d, ..] = transform.as_coeffs();
    let squares = a * a + b * b + c * c + d * d;
    let determinant = (a * d - b * c).abs();
    let spread = (squares * squares - 4.0 * determinant * determinant).max(0.0);
    let greatest = ((squares + spread.sqrt()) / 2.0).sqrt();
    if greatest > 0.0 {
        (determinant / greatest, greatest)
    } else {
        (0.0, 0.0)
    }
}
