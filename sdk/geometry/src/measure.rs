//! What can be measured of lines and regions, in mm and mm².

mod circle;

pub use circle::{Circle, holds_circle, largest_circle};

use geo::{
    Area, ConvexHull, Coord, Distance, Euclidean, Length, LineString, MultiPolygon, Point, Polygon,
    Rect,
};

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

/// The scalar product of two ways: positive where they lead the same way rather than against each other.
pub fn dot(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.x + a.y * b.y
}

/// How far a straight way leads, in mm.
pub fn reach(way: Coord<f64>) -> f64 {
    distance(way, Coord::zero())
}

/// The cross product of two ways: positive where the second turns anticlockwise in coordinates.
pub fn cross(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.y - a.y * b.x
}

/// Where two straight ways cross, each given by where it begins and how far it leads: how far along each,
/// as a share of it. They themselves cross where both shares are from 0 to 1, else only where they are
/// drawn on. Nothing where they run side by side.
pub fn crossing(
    (a, one): (Coord<f64>, Coord<f64>),
    (b, other): (Coord<f64>, Coord<f64>),
) -> Option<[f64; 2]> {
    let turn = cross(one, other);
    let between = b - a;
    (turn != 0.0).then(|| [cross(between, other) / turn, cross(between, one) / turn])
}

/// Whether an edge passes the level of a place to the right of it. Of two edges that meet on that level,
/// one counts where the outline goes on through it, and none or both where it turns back.
pub(crate) fn lies_right([a, b]: [Coord<f64>; 2], place: Coord<f64>) -> bool {
    (a.y > place.y) != (b.y > place.y)
        && place.x < a.x + (b.x - a.x) * ((place.y - a.y) / (b.y - a.y))
}

/// The distance of two upright rectangles, in mm: 0 where they meet.
pub fn between_rects(a: &Rect<f64>, b: &Rect<f64>) -> f64 {
    between_boxes([a.min(), a.max()], [b.min(), b.max()])
}

/// The distance of the upright rectangles that two pairs of opposite corners span.
pub(crate) fn between_boxes([a, b]: [Coord<f64>; 2], [c, d]: [Coord<f64>; 2]) -> f64 {
    let along = |a: f64, b: f64, c: f64, d: f64| {
        let ahead = lesser(c, d) - greater(a, b);
        let behind = lesser(a, b) - greater(c, d);
        greater(greater(ahead, behind), 0.0)
    };
    let (x, y) = (along(a.x, b.x, c.x, d.x), along(a.y, b.y, c.y, d.y));
    (x * x + y * y).sqrt()
}

/// The length of the way through `places`, in mm.
pub fn way_length(places: &[Coord<f64>]) -> f64 {
    let steps = places.windows(2);
    steps.map(|step| distance(step[0], step[1])).sum()
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

/// The mean width of a long part, in mm: that of the rectangle with its area and about its perimeter; 0
/// where it has none.
pub fn mean_width(part: &Polygon<f64>) -> f64 {
    let rings = std::iter::once(part.exterior()).chain(part.interiors());
    let perimeter: f64 = rings.map(length).sum();
    if perimeter > 0.0 {
        2.0 * part.unsigned_area() / perimeter
    } else {
        0.0
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{BoundingRect, polygon};

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
            use geo::{MinimumRotatedRect, Rotate};
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
    fn ways_cross_at_shares_of_both() {
        let at = |x, y| Coord { x, y };
        let (level, upright) = ((at(0., 0.), at(10., 0.)), (at(4., -1.), at(0., 4.)));
        assert_eq!(crossing(level, upright), Some([0.4, 0.25]));
        assert_eq!(crossing(upright, level), Some([0.25, 0.4]));
        assert_eq!(crossing(level, (at(0., 1.), at(-2., 0.))), None);
    }

    #[test]
    fn rectangles_that_meet_have_no_distance() {
        let rect = |x, y| {
            Rect::new(
                Coord { x, y },
                Coord {
                    x: x + 2.,
                    y: y + 2.,
                },
            )
        };
        assert_eq!(between_rects(&rect(0., 0.), &rect(1., 2.)), 0.0);
        assert_eq!(between_rects(&rect(0., 0.), &rect(5., 6.)), 5.0);
        assert_eq!(between_rects(&rect(0., 9.), &rect(0., 0.)), 7.0);
    }

    /// 2 x 100 x 1 over a perimeter of 202, and nothing of nothing.
    #[test]
    fn a_long_part_is_about_as_wide_as_it_measures_across() {
        let strip = polygon![(x: 0., y: 0.), (x: 100., y: 0.), (x: 100., y: 1.), (x: 0., y: 1.)];
        assert!((mean_width(&strip) - 200.0 / 202.0).abs() < 1e-12);
        assert_eq!(
            mean_width(&Polygon::new(LineString::new(vec![]), vec![])),
            0.0
        );
    }

    #[test]
    fn nothing_has_no_axis() {
        assert_eq!(longest_axis(&MultiPolygon::new(Vec::new())), None);
    }
}
