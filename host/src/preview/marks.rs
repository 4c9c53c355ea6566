//! What is marked on the stitches. Every kind has a shape of its own, so that it can be told
//! apart without colour:
//!
//! - needle points are dots;
//! - travel that is sewn is a thin line, and a jump is a dashed one;
//! - a trim is a cross where the thread is cut and a ring where it starts again;
//! - a note is a circle, a warning a triangle and an error a square on its corner, each with its
//!   number;
//! - gaps are hatched.

use super::PreviewOptions;
use super::figure::{Figure, PAPER, around, line, ring};
use super::lettering;
use super::overlay::{Mark, Overlay};
use super::plan::sound;
use crate::design::{Design, StitchRole};
use crate::diagnostics::Severity;
use crate::formats::dst::Route;
use crate::formats::dst::route::{NeedlePoint, Way};
use geo::{BoundingRect as _, Coord, MultiPolygon};

/// So many lines are one figure at most, so that none takes much memory to draw.
const AT_ONCE: usize = 4096;

/// Where the needle goes down, and what it does between.
#[derive(Default)]
struct Ways {
    points: Vec<Vec<Coord<f64>>>,
    travel: Vec<Vec<Coord<f64>>>,
    jumps: Vec<Vec<Coord<f64>>>,
    cuts: Vec<Vec<Coord<f64>>>,
    starts: Vec<Vec<Coord<f64>>>,
}

/// Needle points, travel and trims along the design's `route`, as far as `options` ask for them.
pub fn ways(design: &Design, route: &Route, options: &PreviewOptions, unit: f64) -> Vec<Figure> {
    if !(options.needle_points || options.travel || options.trims) {
        return Vec::new();
    }
    let ways = Ways::of(design, route, unit);
    let mut figures = Vec::new();
    if options.travel {
        add(&mut figures, "travel", ways.travel, 0.15 * unit, None);
        add(
            &mut figures,
            "jumps",
            ways.jumps,
            0.15 * unit,
            Some([unit, 0.7 * unit]),
        );
    }
    if options.needle_points {
        // Dots lie on the thread, however large the picture is.
        let dot = options.thread_width.min(unit) * 0.25;
        add(&mut figures, "needle-points", ways.points, dot, None);
    }
    if options.trims {
        add(&mut figures, "trims", ways.cuts, 0.25 * unit, None);
        for mut figure in Figure::readable("starts-again", ways.starts, 0.2 * unit) {
            figure.closed = true;
            figures.push(figure);
        }
    }
    figures
}

fn add(
    figures: &mut Vec<Figure>,
    name: &'static str,
    lines: Vec<Vec<Coord<f64>>>,
    width: f64,
    dashes: Option<[f64; 2]>,
) {
    for some in lines.chunks(AT_ONCE) {
        let [mut halo, mut ink] = Figure::readable(name, some.to_vec(), width);
        ink.dashes = dashes;
        halo.dashes = dashes;
        figures.extend([halo, ink]);
    }
}

impl Ways {
    fn of(design: &Design, route: &Route, unit: f64) -> Self {
        let mut ways = Self::default();
        let mut before: Option<Coord<f64>> = None;
        for point in route.needle_points(design) {
            if let Some(from) = before.replace(point.at) {
                ways.pass(from, point, unit);
            }
            let dot = Coord { x: 1e-3, y: 0.0 };
            ways.points.push(line(point.at - dot, point.at + dot));
        }
        ways
    }

    fn pass(&mut self, from: Coord<f64>, to: NeedlePoint, unit: f64) {
        match to.way {
            // Around a halt the machine cuts the thread by itself, too.
            Way::Begins | Way::Cut | Way::CutByLength => {
                let arm = |x: f64, y: f64| Coord { x, y } * 0.7 * unit;
                self.cuts
                    .push(line(from - arm(1.0, 1.0), from + arm(1.0, 1.0)));
                self.cuts
                    .push(line(from - arm(1.0, -1.0), from + arm(1.0, -1.0)));
                self.starts.push(ring(to.at, 0.7 * unit));
            }
            Way::Carried => self.jumps.push(line(from, to.at)),
            Way::Sewn if to.role == StitchRole::Travel => self.travel.push(line(from, to.at)),
            Way::Sewn => {}
        }
    }
}

/// Gaps, and numbered marks over them.
pub fn overlay(overlay: &Overlay, unit: f64) -> Vec<Figure> {
    let mut figures = gaps(&overlay.gaps, unit);
    let marks = overlay.marks.iter().filter(|mark| sound(&mark.at));
    figures.extend(marks.flat_map(|mark| numbered(mark, unit)));
    figures
}

/// The outline of the gaps, and lines across them.
fn gaps(gaps: &MultiPolygon<f64>, unit: f64) -> Vec<Figure> {
    let mut outlines = Vec::new();
    let mut hatching = Vec::new();
    for polygon in gaps {
        for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
            if ring.0.len() > 3 && ring.0.iter().all(sound) {
                outlines.push(ring.0.clone());
            }
        }
        hatch(polygon, unit * 0.8, &mut hatching);
    }
    let mut figures = Vec::new();
    add(&mut figures, "gaps", hatching, 0.15 * unit, None);
    add(&mut figures, "gaps", outlines, 0.2 * unit, None);
    figures
}

/// Lines across `polygon` along y = -x, `pitch` apart from each other along x.
fn hatch(polygon: &geo::Polygon<f64>, pitch: f64, lines: &mut Vec<Vec<Coord<f64>>>) {
    let Some(bounds) = polygon.bounding_rect() else {
        return;
    };
    let (least, greatest) = (bounds.min(), bounds.max());
    let span = (greatest.x + greatest.y) - (least.x + least.y);
    if !span.is_finite() || pitch <= 0.0 || span / pitch > 1e5 {
        return;
    }
    let rings = || std::iter::once(polygon.exterior()).chain(polygon.interiors());
    // The lines lie on one grid for all gaps, so that those of neighbours go through.
    let mut sum = ((least.x + least.y) / pitch).ceil() * pitch;
    while sum <= greatest.x + greatest.y {
        let mut crossings: Vec<Coord<f64>> = Vec::new();
        for edge in rings().flat_map(geo::LineString::lines) {
            let (a, b) = (edge.start.x + edge.start.y, edge.end.x + edge.end.y);
            if (a <= sum) != (b <= sum) {
                crossings.push(edge.start + edge.delta() * ((sum - a) / (b - a)));
            }
        }
        crossings.sort_by(|a, b| a.x.total_cmp(&b.x));
        lines.extend(crossings.chunks_exact(2).map(|pair| pair.to_vec()));
        sum += pitch;
    }
}

/// A mark's shape with its number inside.
fn numbered(mark: &Mark, unit: f64) -> Vec<Figure> {
    let text = mark.number.to_string();
    let height = 1.5 * unit;
    let wide = lettering::width(&text) * height;
    // The shape has room for its number, however long.
    let size = wide.max(height);
    let (outline, below) = match mark.severity {
        Severity::Note => (ring(mark.at, size * 0.62 + 0.6 * unit), 0.0),
        Severity::Warning => {
            let corners = [[0.0, -1.2], [1.25, 0.8], [-1.25, 0.8]];
            (
                around(mark.at, size * 0.62 + 0.9 * unit, corners),
                0.22 * size,
            )
        }
        Severity::Error => {
            let corners = [[0.0, -1.25], [1.25, 0.0], [0.0, 1.25], [-1.25, 0.0]];
            (around(mark.at, size * 0.6 + 0.6 * unit, corners), 0.0)
        }
    };
    let at = mark.at
        + Coord {
            x: -wide / 2.0,
            y: below - height / 2.0,
        };
    let name = match mark.severity {
        Severity::Note => "mark-note",
        Severity::Warning => "mark-warning",
        Severity::Error => "mark-error",
    };
    let mut edge = Figure::lines(name, vec![outline.clone()], PAPER, 0.8 * unit);
    edge.closed = true;
    let number = lettering::strokes(&text, at, height);
    vec![
        edge,
        Figure::plate(name, outline, 0.3 * unit),
        Figure::lines(name, number, super::figure::INK, 0.24 * unit),
    ]
}
