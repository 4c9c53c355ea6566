//! What can be measured of lines and regions, in mm and mm².

use geo::{
    BoundingRect, ConvexHull, Coord, Distance, Euclidean, Length, LineString, MultiPolygon, Point,
};
use std::collections::BinaryHeap;

/// The greater of two numbers, both finite. For what is done very often: `f64::max`, which minds what is no
/// number, is a call in Wasm, and this comparison is not.
pub fn greater(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// The lesser of two numbers, both finite; see [`greater`].
pub fn lesser(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// The distance between two places.
pub fn distance(a: Coord<f64>, b: Coord<f64>) -> f64 {
    // IEEE 754 rounds a root exactly, so every machine agrees; `hypot` differs between C libraries.
    ((a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y)).sqrt()
}

/// How far along the straight piece from `a` to `b` the place nearest to `p` lies: from 0 to 1,
/// and 0 where the piece has no length.
pub fn nearest_fraction([a, b]: [Coord<f64>; 2], p: Coord<f64>) -> f64 {
    let way = b - a;
    let square = way.x * way.x + way.y * way.y;
    if square > 0.0 {
        (((p.x - a.x) * way.x + (p.y - a.y) * way.y) / square).clamp(0.0, 1.0)
    } else {
        0.0
    }
}

/// The place nearest to `p` on the straight piece `edge`.
pub fn nearest_on(edge: [Coord<f64>; 2], p: Coord<f64>) -> Coord<f64> {
    edge[0] + (edge[1] - edge[0]) * nearest_fraction(edge, p)
}

/// The distance of `p` from the straight piece `edge`, in mm.
pub fn to_edge(p: Coord<f64>, edge: [Coord<f64>; 2]) -> f64 {
    distance(p, nearest_on(edge, p))
}

/// The distance of two straight pieces, in mm: 0 where they cross.
pub fn between_edges(a: [Coord<f64>; 2], b: [Coord<f64>; 2]) -> f64 {
    let side = |[p, q]: [Coord<f64>; 2], r: Coord<f64>| {
        (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x)
    };
    if side(a, b[0]) * side(a, b[1]) < 0.0 && side(b, a[0]) * side(b, a[1]) < 0.0 {
        return 0.0;
    }
    lesser(
        lesser(to_edge(a[0], b), to_edge(a[1], b)),
        lesser(to_edge(b[0], a), to_edge(b[1], a)),
    )
}

/// The length of a line.
pub fn length(line: &LineString<f64>) -> f64 {
    Euclidean.length(line)
}

/// The length of all edges of a region, holes included.
pub fn perimeter(area: &MultiPolygon<f64>) -> f64 {
    area.iter()
        .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
        .map(length)
        .sum()
}

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

/// The direction of the longest axis of `area` in degrees, anticlockwise as seen with y down,
/// from 0 up to 180: the long side of the smallest rectangle around it.
///
/// One side of that rectangle lies on an edge of the convex hull, so that calipers turned once
/// around the hull find it (H. Freeman and R. Shapira, Communications of the ACM 18(7), 1975;
/// G. Toussaint, "Solving geometric problems with the rotating calipers", 1983).
pub fn longest_axis(area: &MultiPolygon<f64>) -> Option<f64> {
    let hull = area.convex_hull();
    let hull = hull.exterior().0.as_slice();
    let count = hull.len().checked_sub(1)?;
    let along = |direction: Coord<f64>, corner: usize| {
        let at = hull[corner % count];
        direction.x * at.x + direction.y * at.y
    };
    // The corners farthest ahead along the edge, to its left, and behind.
    let (mut ahead, mut left, mut behind) = (1, 1, 1);
    let mut best: Option<(f64, Coord<f64>)> = None;
    for i in 0..count {
        let edge = hull[i + 1] - hull[i];
        let long = distance(hull[i], hull[i + 1]);
        if long == 0.0 {
            continue;
        }
        let edge = edge / long;
        let across = Coord {
            x: -edge.y,
            y: edge.x,
        };
        let turn = |caliper: &mut usize, from: usize, direction: Coord<f64>| {
            *caliper = (*caliper).max(from);
            // Rounding must not turn a caliper round for ever.
            let last = *caliper + count;
            while *caliper < last && along(direction, *caliper + 1) > along(direction, *caliper) {
                *caliper += 1;
            }
        };
        turn(&mut ahead, i + 1, edge);
        turn(&mut left, ahead, across);
        turn(&mut behind, left, -edge);
        let length = along(edge, ahead) - along(edge, behind);
        let width = along(across, left) - along(across, i);
        let axis = if width > length { across } else { edge };
        if best.is_none_or(|(least, _)| length * width < least) {
            best = Some((length * width, axis));
        }
    }
    let (_, axis) = best?;
    let degrees = (-axis.y).atan2(axis.x).to_degrees().rem_euclid(180.0);
    // rem_euclid of a tiny negative angle gives 180 itself.
    Some(if degrees >= 180.0 { 0.0 } else { degrees })
}

/// How far `place` is from the edge of `area`.
pub fn distance_to_edge(place: Coord<f64>, area: &MultiPolygon<f64>) -> f64 {
    area.iter()
        .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
        .map(|ring| Euclidean.distance(&Point(place), ring))
        .fold(f64::INFINITY, lesser)
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
            if (a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x {
                inside = !inside;
            }
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
    fn the_longest_axis_is_anticlockwise_as_seen() {
        // With y down, this bar rises to the right: 45 degrees as seen.
        let bar: MultiPolygon<f64> =
            polygon![(x: 0., y: 10.), (x: 10., y: 0.), (x: 11., y: 1.), (x: 1., y: 11.)].into();
        assert!((longest_axis(&bar).expect("it has an axis") - 45.0).abs() < 1e-6);
    }

    proptest::proptest! {
        /// Against the geometry library's own smallest rectangle, which tries every edge of the hull.
        #[test]
        fn the_longest_axis_is_the_long_side_of_the_smallest_rectangle(
            corners in proptest::collection::vec((-50.0..50.0f64, -20.0..20.0f64), 3..60)
        ) {
            use geo::{Area, MinimumRotatedRect, Rotate};
            let shape: MultiPolygon<f64> = geo::Polygon::new(corners.into(), vec![]).into();
            let degrees = longest_axis(&shape).expect("it has an axis");
            // With y down, turning by the angle as seen lays the axis level.
            let level = shape.rotate_around_point(degrees, Point::new(0.0, 0.0));
            let bounds = level.bounding_rect().expect("it has corners");
            proptest::prop_assert!(bounds.width() >= bounds.height() - 1e-9);
            let least = MinimumRotatedRect::minimum_rotated_rect(&shape).expect("a rectangle");
            let size = bounds.width() * bounds.height();
            proptest::prop_assert!((size - least.unsigned_area()).abs() < 1e-6, "{size}");
        }
    }

    #[test]
    fn the_nearest_place_lies_on_the_piece() {
        let at = |x, y| Coord { x, y };
        let piece = [at(1., 0.), at(5., 0.)];
        for (p, fraction) in [(at(2., 7.), 0.25), (at(-3., 1.), 0.0), (at(9., 1.), 1.0)] {
            assert_eq!(nearest_fraction(piece, p), fraction);
        }
        assert_eq!(nearest_fraction([at(1., 1.); 2], at(4., 4.)), 0.0);
    }

    #[test]
    fn straight_pieces_that_cross_have_no_distance() {
        let at = |x, y| Coord { x, y };
        let level = [at(0., 0.), at(10., 0.)];
        assert_eq!(between_edges(level, [at(4., -1.), at(6., 1.)]), 0.0);
        assert_eq!(between_edges(level, [at(4., 5.), at(6., 2.)]), 2.0);
        assert_eq!(between_edges(level, [at(13., 4.), at(20., 9.)]), 5.0);
        assert_eq!(to_edge(at(13., 4.), level), 5.0);
        assert_eq!(nearest_on(level, at(7., 3.)), at(7., 0.));
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
        assert_eq!(longest_axis(&MultiPolygon::new(Vec::new())), None);
    }
}
