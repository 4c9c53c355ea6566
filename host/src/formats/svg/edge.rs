//! What hangs over the page's edge: it is not seen, and is not sewn. The outermost `<svg>` clips to its
//! viewport (SVG 1.1 section 14.3.2, "the initial clipping path").

use super::clip::{self, Cut};
use super::drawing::{Paint, Painted, Walk};
use super::page::rounded;
use super::remarks::say;
use crate::design::valid::FARTHEST;
use crate::design::{Lines, Polyline, Region, Shape};
use crate::diagnostics::Severity;
use geo::{Area, BoundingRect, Coord, Intersects, LineString, MultiPolygon, Rect};
use hoopwright_geometry::area::{clip_line, intersection};
use hoopwright_geometry::curves::Subpath;
use hoopwright_geometry::measure;
use usvg::Color;

/// What reaches over the edge by less than this is rounding, in mm: it is left as it is.
const HAIR: f64 = 0.1;

/// Losing more than this is worth a look before sewing, in mm².
const MUCH: f64 = 1.0;

/// What shows of a stroke narrower than this, in mm, when its line runs beside the page, is too thin to be sewn as
/// an area. Common practice: satin columns are at least 1 mm wide.
const THIN: f64 = 1.0;

impl Walk<'_, '_, '_, '_> {
    /// The region as far as it lies on the page; empty where none of it does.
    pub(super) fn area_on_page(
        &mut self,
        area: MultiPolygon<f64>,
        colour: Color,
        paint: Paint,
    ) -> Painted {
        let bounds = area.bounding_rect();
        let over = bounds.map_or(0.0, |bounds| self.beyond(bounds.min(), bounds.max()));
        let touches = bounds.is_some_and(|bounds| bounds.intersects(&self.page));
        let area = if touches && (over >= HAIR || bounds.is_some_and(is_far)) {
            let on_page = intersection(&area, &self.page.to_polygon().into());
            if !on_page.0.is_empty() {
                self.cut_at_page(over, area.unsigned_area() - on_page.unsigned_area(), paint);
            }
            on_page
        } else {
            area
        };
        Painted {
            shape: Shape::Region(Region::from(&area)),
            colour,
            paint,
        }
    }

    /// The stroke as far as its lines lie on the page. One whose width alone hangs over stays whole: cut
    /// lengthwise it would be no line any more.
    pub(super) fn lines_on_page(&mut self, mut lines: Lines, colour: Color) -> Option<Painted> {
        let bounds = lines.bounds()?;
        let whole = |lines| Painted {
            shape: Shape::Lines(lines),
            colour,
            paint: Paint::Stroke,
        };
        if self.beyond(bounds.min(), bounds.max()) < HAIR || !bounds.intersects(&self.page) {
            return Some(whole(lines));
        }
        let leaves = lines.paths.iter().any(|path| self.leaves(path));
        if !leaves && !is_far(bounds) {
            let over = self.width_beyond(&lines);
            if over >= HAIR {
                self.sewn_over_the_edge(over);
            }
            return Some(whole(lines));
        }
        let subpaths: Vec<Subpath> = lines.paths.iter().map(subpath).collect();
        if !self.budget.spend_crossings(&subpaths) {
            self.too_tangled();
            return None;
        }
        let over = self.beyond_of_lines(&lines);
        let size = length(&lines.paths) * lines.width;
        let paths: Vec<Polyline> = lines
            .paths
            .iter()
            .flat_map(|path| self.path_on_page(path))
            .collect();
        let shorter = Lines {
            paths,
            width: lines.width,
        };
        if shorter.bounds().is_some_and(|bounds| !is_far(bounds)) {
            let lost = size - length(&shorter.paths) * shorter.width;
            self.cut_at_page(over, lost, Paint::Stroke);
            return Some(whole(shorter));
        }
        if lines.width < THIN {
            self.outside();
            return None;
        }
        // Only the width of it reaches onto the page, or all of the page lies within the width.
        match clip::cut_lines(&lines.paths, lines.width, &self.page.to_polygon().into()) {
            Cut::Nothing => {}
            Cut::Shorter(paths) => lines.paths = paths,
            Cut::Area(area) => {
                if !area.0.is_empty() {
                    self.cut_at_page(over, size - area.unsigned_area(), Paint::Stroke);
                }
                return Some(Painted {
                    shape: Shape::Region(Region::from(&area)),
                    colour,
                    paint: Paint::Stroke,
                });
            }
        }
        Some(whole(lines))
    }

    /// The parts of a path that lie on the page; the path itself where it does not leave it.
    fn path_on_page(&self, path: &Polyline) -> Vec<Polyline> {
        if !self.leaves(path) {
            return vec![path.clone()];
        }
        // Lines along the edge are on the page, whichever way they were rounded.
        let hair = Coord { x: HAIR, y: HAIR };
        let around = Rect::new(self.page.min() - hair, self.page.max() + hair);
        let ring = path.to_line_string();
        let mut parts = clip_line(&ring, &around.to_polygon().into()).0;
        if path.closed {
            join_at_start(&mut parts, &ring);
        }
        let (least, greatest) = (self.page.min(), self.page.max());
        let onto = |corner: Coord<f64>| Coord {
            x: corner.x.clamp(least.x, greatest.x),
            y: corner.y.clamp(least.y, greatest.y),
        };
        let parts = parts.into_iter().filter(|part| part.0.len() > 1);
        parts
            .map(|part| Polyline::new(part.0.into_iter().map(onto), false))
            .collect()
    }

    /// Whether a line leaves the page, its width left aside.
    fn leaves(&self, path: &Polyline) -> bool {
        path.corners()
            .any(|corner| self.beyond(corner, corner) >= HAIR)
    }

    /// How far a rectangle reaches over the page's edge, in mm.
    fn beyond(&self, least: Coord<f64>, greatest: Coord<f64>) -> f64 {
        let (page_least, page_greatest) = (self.page.min(), self.page.max());
        [
            page_least.x - least.x,
            page_least.y - least.y,
            greatest.x - page_greatest.x,
            greatest.y - page_greatest.y,
        ]
        .into_iter()
        .fold(0.0, f64::max)
    }

    fn beyond_of_lines(&self, lines: &Lines) -> f64 {
        let corners = lines.paths.iter().flat_map(Polyline::corners);
        let lines_over = corners
            .map(|corner| self.beyond(corner, corner))
            .fold(0.0, f64::max);
        lines_over.max(self.width_beyond(lines))
    }

    /// How far the long sides of a stroke reach over the page's edge, in mm. Its ends do not count: one
    /// that begins at the edge begins on the page.
    fn width_beyond(&self, lines: &Lines) -> f64 {
        let half = lines.width / 2.0;
        let mut most: f64 = 0.0;
        for path in &lines.paths {
            let line = path.to_line_string();
            for side in line.lines() {
                let along = side.end - side.start;
                let long = measure::distance(side.start, side.end);
                if long > 0.0 {
                    let out = Coord {
                        x: -along.y,
                        y: along.x,
                    } * (half / long);
                    for at in [side.start, side.end] {
                        for corner in [at + out, at - out] {
                            most = most.max(self.beyond(corner, corner));
                        }
                    }
                }
            }
        }
        most
    }

    fn cut_at_page(&mut self, over: f64, lost: f64, paint: Paint) {
        let severity = if lost > MUCH {
            Severity::Warning
        } else {
            Severity::Note
        };
        let message = format!(
            "the {} of {} hangs over the page's edge by {} mm; it is cut there, and {} mm² of it are not sewn",
            paint.word(),
            say(self.element()),
            rounded(over),
            rounded(lost.max(0.0)),
        );
        let help = "make the page larger if all of it is to be sewn";
        self.tell(severity, "cut-at-page", message, help, paint);
    }

    fn sewn_over_the_edge(&mut self, over: f64) {
        let message = format!(
            "the width of the stroke of {} hangs over the page's edge by {} mm; it is sewn whole",
            say(self.element()),
            rounded(over),
        );
        let help = "move it further in, or make the page larger";
        self.tell(
            Severity::Warning,
            "over-the-page",
            message,
            help,
            Paint::Stroke,
        );
    }
}

/// Whether something reaches farther than a design may.
fn is_far(bounds: Rect<f64>) -> bool {
    let (least, greatest) = (bounds.min(), bounds.max());
    [least.x, least.y, greatest.x, greatest.y]
        .into_iter()
        .any(|v| v.abs() > FARTHEST)
}

/// A closed line that was cut begins and ends where it was cut, not where it was begun to be drawn.
fn join_at_start(parts: &mut Vec<LineString<f64>>, ring: &LineString<f64>) {
    let Some(&start) = ring.0.first() else { return };
    let is_start = |corner: Option<&Coord<f64>>| {
        corner.is_some_and(|&corner| measure::distance(corner, start) < 1e-3)
    };
    if parts.len() > 1
        && is_start(parts[0].0.first())
        && is_start(parts.last().and_then(|part| part.0.last()))
        && let Some(mut last) = parts.pop()
    {
        last.0.extend(parts[0].0.drain(..).skip(1));
        parts[0] = last;
    }
}

fn subpath(path: &Polyline) -> Subpath {
    Subpath {
        corners: path.corners().collect(),
        closed: path.closed,
    }
}

/// The length of all paths together, in mm.
fn length(paths: &[Polyline]) -> f64 {
    paths
        .iter()
        .map(|path| measure::length(&path.to_line_string()))
        .sum()
}
