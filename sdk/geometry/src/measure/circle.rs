//! The largest circle inside a region.

use super::{lesser, lies_right, nearest_fraction};
use geo::{BoundingRect, Coord, MultiPolygon};
use std::collections::BinaryHeap;

/// A circle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    /// Its middle.
    pub centre: Coord<f64>,
    /// Its radius in mm.
    pub radius: f64,
}

/// The largest circle inside `area`, to within `precision` mm of the true radius, or nothing
/// where there is no area.
///
/// The search halves squares, best hope first, as in V. Agafonkin's "A new algorithm for finding
/// a visual center of a polygon" (2016), and so finds the global optimum.
pub fn largest_circle(area: &MultiPolygon<f64>, precision: f64) -> Option<Circle> {
    circle_inside(area, precision, f64::INFINITY)
}

/// Whether a circle of `radius` mm fits inside `area`, to within 0.01 mm. The same search, which
/// ends as soon as it knows.
pub fn holds_circle(area: &MultiPolygon<f64>, radius: f64) -> bool {
    circle_inside(area, 0.01, radius).is_some_and(|circle| circle.radius >= radius - 0.01)
}

/// The largest circle inside `area`, to within `precision` mm; or, once it is known whether one
/// has a radius of `enough`, the largest so far.
fn circle_inside(area: &MultiPolygon<f64>, precision: f64, enough: f64) -> Option<Circle> {
    let bounds = area.bounding_rect()?;
    let edges = Edges::new(area);
    let side = bounds.width().min(bounds.height());
    if side <= 0.0 {
        return None;
    }
    let mut best: Option<Circle> = None;
    let mut open = BinaryHeap::new();
    // A long thin region would ask for very many squares of its short side.
    let side = side.max(bounds.width().max(bounds.height()) / 64.0);
    let columns = (bounds.width() / side).ceil() as usize;
    let rows = (bounds.height() / side).ceil() as usize;
    for row in 0..rows {
        for column in 0..columns {
            open.push(Square::new(
                Coord {
                    x: bounds.min().x + (column as f64 + 0.5) * side,
                    y: bounds.min().y + (row as f64 + 0.5) * side,
                },
                side / 2.0,
                &edges,
            ));
        }
    }
    while let Some(square) = open.pop() {
        if square.depth > best.map_or(0.0, |circle| circle.radius) {
            best = Some(Circle {
                centre: square.centre,
                radius: square.depth,
            });
        }
        let radius = best.map_or(0.0, |circle| circle.radius);
        let hopeless = enough.is_finite() && square.hope < enough;
        if square.hope <= radius + precision || radius >= enough || hopeless {
            break;
        }
        let half = square.half / 2.0;
        for (dx, dy) in [(-half, -half), (half, -half), (-half, half), (half, half)] {
            let centre = Coord {
                x: square.centre.x + dx,
                y: square.centre.y + dy,
            };
            open.push(Square::new(centre, half, &edges));
        }
    }
    best
}

struct Edges(Vec<(Coord<f64>, Coord<f64>)>);

impl Edges {
    fn new(area: &MultiPolygon<f64>) -> Self {
        Self(
            area.iter()
                .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
                .flat_map(|ring| ring.0.windows(2).map(|edge| (edge[0], edge[1])))
                .collect(),
        )
    }

    /// The distance to the edge: positive inside, negative outside.
    fn depth(&self, p: Coord<f64>) -> f64 {
        let mut inside = false;
        let mut nearest = f64::INFINITY;
        for &(a, b) in &self.0 {
            inside ^= lies_right([a, b], p);
            let (dx, dy) = (b.x - a.x, b.y - a.y);
            let along = nearest_fraction([a, b], p);
            let (ex, ey) = (p.x - a.x - along * dx, p.y - a.y - along * dy);
            nearest = lesser(ex * ex + ey * ey, nearest);
        }
        let nearest = nearest.sqrt();
        if inside { nearest } else { -nearest }
    }
}

/// A square of the search for the largest circle.
struct Square {
    centre: Coord<f64>,
    half: f64,
    depth: f64,
    /// No circle with its middle in the square can be larger.
    hope: f64,
}

impl Square {
    fn new(centre: Coord<f64>, half: f64, edges: &Edges) -> Self {
        let depth = edges.depth(centre);
        Self {
            centre,
            half,
            depth,
            hope: depth + half * std::f64::consts::SQRT_2,
        }
    }
}

impl PartialEq for Square {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Square {}

impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Square {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.hope.total_cmp(&other.hope)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::polygon;

    /// The inradius of an equilateral triangle of side 6 is sqrt(3): closed form.
    #[test]
    fn the_largest_circle_in_a_triangle_has_the_inradius() {
        let height = 27.0_f64.sqrt();
        let triangle: MultiPolygon<f64> =
            polygon![(x: 0., y: 0.), (x: 6., y: 0.), (x: 3., y: height)].into();
        let circle = largest_circle(&triangle, 0.001).expect("it has an area");
        assert!((circle.radius - 1.7321).abs() < 0.0015, "{circle:?}");
    }

    #[test]
    fn a_long_thin_region_is_measured_across() {
        let strip: MultiPolygon<f64> =
            polygon![(x: 0., y: 0.), (x: 200., y: 0.), (x: 200., y: 1.), (x: 0., y: 1.)].into();
        let circle = largest_circle(&strip, 0.01).expect("it has an area");
        assert!((circle.radius - 0.5).abs() < 0.011);
    }

    #[test]
    fn a_circle_fits_or_does_not() {
        let triangle: MultiPolygon<f64> =
            polygon![(x: 0., y: 0.), (x: 6., y: 0.), (x: 3., y: 3.0 * 3f64.sqrt())].into();
        let inradius = 3f64.sqrt();
        for (radius, fits) in [
            (0.1, true),
            (inradius - 0.02, true),
            (inradius + 0.02, false),
            (9.0, false),
        ] {
            assert_eq!(holds_circle(&triangle, radius), fits, "{radius}");
        }
        assert!(!holds_circle(&MultiPolygon::new(Vec::new()), 0.1));
    }

    #[test]
    fn nothing_has_no_circle() {
        assert_eq!(largest_circle(&MultiPolygon::new(Vec::new()), 0.01), None);
    }
}
