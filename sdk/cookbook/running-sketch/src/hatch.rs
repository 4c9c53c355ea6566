//! The lines across a region.

use hoopwright_sdk::geometry::geo::{BoundingRect, Coord, LineString, Polygon, Rotate};
use hoopwright_sdk::geometry::scan;

/// A line shorter than this, in mm, is left out: it would only be a lump on the edge.
const SHORTEST: f64 = 1.0;

/// A straight line from edge to edge.
pub(crate) type Line = [Coord<f64>; 2];

/// Lines inside `polygon`, `distance` mm apart, at `angle` degrees anticlockwise as seen. Every hole that
/// they would miss gets lines of its own, so that everything hangs together.
pub(crate) fn lines(polygon: &Polygon<f64>, distance: f64, angle: f64) -> Vec<Line> {
    // The scan cuts level, so the region is turned and the lines are turned back. In coordinates with
    // y down, geo's turn by `angle` is clockwise as seen: lines at `angle` come to lie level.
    let about = Coord { x: 0.0, y: 0.0 };
    let turned = polygon.rotate_around_point(angle, about.into());
    let Some(bounds) = turned.bounding_rect() else {
        return Vec::new();
    };
    let area = turned.clone().into();
    // The same margin above and below.
    let phase = bounds.center().y;
    let mut spans = level(scan::rows(&area, distance, phase));
    spans.retain(|[a, b]| b.x - a.x >= SHORTEST);
    for hole in turned.interiors() {
        let Some(hole) = hole.bounding_rect() else {
            continue;
        };
        let met = spans
            .iter()
            .any(|[a, _]| (hole.min().y..=hole.max().y).contains(&a.y));
        if !met {
            // A pitch so long that there is one row only.
            let middle = scan::rows(&area, 2.0 * bounds.height() + 1.0, hole.center().y);
            spans.extend(level(middle));
        }
    }
    spans
        .into_iter()
        .map(|ends| {
            let line = LineString::from(ends.to_vec()).rotate_around_point(-angle, about.into());
            [line.0[0], line.0[1]]
        })
        .collect()
}

fn level(rows: Vec<scan::Row>) -> Vec<Line> {
    let line = |y: f64, span: &scan::Span| [Coord { x: span.left, y }, Coord { x: span.right, y }];
    rows.iter()
        .flat_map(|row| row.spans.iter().map(|span| line(row.y, span)))
        .collect()
}
