//! Valid regions from any rings, and what can be done with two of them.

use crate::measure::mean_width;
use geo::{Area, Coord, LineString, MultiLineString, MultiPolygon, Polygon};
use i_overlay::core::fill_rule::FillRule as OverlayFillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::clip::FloatClip;
use i_overlay::float::simplify::SimplifyShape;
use i_overlay::float::single::SingleFloatOverlay;
use i_overlay::string::clip::ClipRule;

/// Corners closer together than this are one corner, in mm. A hundredth of the machine's
/// own step of 0.1 mm.
pub const CORNER_MERGE: f64 = 0.001;

/// Holes narrower than this on average are closed, in mm: a tenth of the machine's own step. Where edges of two
/// regions should be one, an operation leaves holes as fine as a hair between them, and whatever goes by the
/// shape of a region would go around each.
const LEAST_HOLE: f64 = 0.01;

/// Coordinates farther out than this, in mm, are no drawing's: a thousand kilometres. The engine
/// below breaks down on far larger ones.
pub(crate) const FARTHEST: f64 = 1e9;

/// Which places a set of crossing rings encloses, as SVG 2 section 13.4.2 defines it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FillRule {
    /// Where the rings wind around a place other than zero times.
    NonZero,
    /// Where a ray from a place crosses the rings an odd number of times.
    EvenOdd,
}

/// Rings in the form that `i_overlay` takes.
pub(crate) type Rings = Vec<Vec<[f64; 2]>>;

/// The region that `rings` enclose: no crossings, no repeated corners, no ring under three
/// corners, outer rings anticlockwise in coordinates (clockwise as seen with y down) and holes
/// the other way. Parts under `1e-6` mm² and holes narrower than 0.01 mm on average are gone.
/// Rings with a coordinate that is not finite, or beyond 1e9 mm, are left out.
pub fn from_rings(
    rings: impl IntoIterator<Item = LineString<f64>>,
    rule: FillRule,
) -> MultiPolygon<f64> {
    let rings: Rings = rings
        .into_iter()
        .filter_map(|ring| ring_corners(&ring))
        .collect();
    if rings.is_empty() {
        return MultiPolygon::new(Vec::new());
    }
    let rule = match rule {
        FillRule::NonZero => OverlayFillRule::NonZero,
        FillRule::EvenOdd => OverlayFillRule::EvenOdd,
    };
    to_area(rings.simplify_shape(rule))
}

/// The same region with all that [`from_rings`] promises. A polygon's holes are holes whichever
/// way they turn; polygons that overlap are merged.
pub fn clean(area: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    let mut polygons = area.iter().map(|polygon| {
        let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
        from_rings(rings.cloned(), FillRule::EvenOdd)
    });
    let Some(first) = polygons.next() else {
        return MultiPolygon::new(Vec::new());
    };
    let rest: Vec<_> = polygons.collect();
    if rest.is_empty() {
        return first;
    }
    let all = std::iter::once(first).chain(rest).flatten();
    let rings: Rings = to_rings(&all.collect());
    to_area(rings.simplify_shape(OverlayFillRule::NonZero))
}

/// What lies in either region.
pub fn union(a: &MultiPolygon<f64>, b: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    combine(a, b, OverlayRule::Union)
}

/// What lies in `a` but not in `b`.
pub fn difference(a: &MultiPolygon<f64>, b: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    combine(a, b, OverlayRule::Difference)
}

/// What lies in both regions.
pub fn intersection(a: &MultiPolygon<f64>, b: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    combine(a, b, OverlayRule::Intersect)
}

/// The parts of `line` that lie inside `area`, in the line's order where it crosses once. A line
/// with a coordinate that is not finite, or beyond 1e9 mm, has none.
pub fn clip_line(line: &LineString<f64>, area: &MultiPolygon<f64>) -> MultiLineString<f64> {
    let path: Vec<[f64; 2]> = line.0.iter().map(|c| [c.x, c.y]).collect();
    if path.len() < 2 || area.0.is_empty() || !line.0.iter().all(on_the_map) {
        return MultiLineString::new(Vec::new());
    }
    let rule = ClipRule {
        invert: false,
        boundary_included: false,
    };
    let parts = path.clip_by(&to_rings(area), OverlayFillRule::NonZero, rule);
    MultiLineString::new(parts.into_iter().map(LineString::from).collect())
}

fn combine(a: &MultiPolygon<f64>, b: &MultiPolygon<f64>, rule: OverlayRule) -> MultiPolygon<f64> {
    to_area(to_rings(a).overlay(&to_rings(b), rule, OverlayFillRule::NonZero))
}

/// The rings of a cleaned region.
pub(crate) fn to_rings(area: &MultiPolygon<f64>) -> Rings {
    area.iter()
        .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
        .filter_map(ring_corners)
        .collect()
}

/// The corners of a ring, none repeated, or nothing where no area can lie inside.
fn ring_corners(ring: &LineString<f64>) -> Option<Vec<[f64; 2]>> {
    if !ring.0.iter().all(on_the_map) {
        return None;
    }
    let mut corners: Vec<[f64; 2]> = Vec::with_capacity(ring.0.len());
    for c in &ring.0 {
        if corners.last().is_none_or(|last| apart(last, &[c.x, c.y])) {
            corners.push([c.x, c.y]);
        }
    }
    while corners.len() > 1 && !apart(&corners[0], &corners[corners.len() - 1]) {
        corners.pop();
    }
    (corners.len() >= 3).then_some(corners)
}

/// Whether a place is one that can be reckoned with; what is no number is not.
pub(crate) fn on_the_map(place: &Coord<f64>) -> bool {
    place.x.abs() <= FARTHEST && place.y.abs() <= FARTHEST
}

fn apart(a: &[f64; 2], b: &[f64; 2]) -> bool {
    (a[0] - b[0]).abs() > CORNER_MERGE || (a[1] - b[1]).abs() > CORNER_MERGE
}

/// A region from `i_overlay`'s shapes.
pub(crate) fn to_area(shapes: Vec<Rings>) -> MultiPolygon<f64> {
    let to_ring = |ring: Vec<[f64; 2]>| -> LineString<f64> {
        ring.into_iter().map(|[x, y]| Coord { x, y }).collect()
    };
    shapes
        .into_iter()
        .filter_map(|rings| {
            let rings = rings.into_iter().filter(|ring| ring.len() >= 3);
            let mut rings = rings.map(|ring| Polygon::new(to_ring(ring), Vec::new()));
            let (outer, _) = rings.next()?.into_inner();
            let holes = rings.filter(|hole| mean_width(hole) >= LEAST_HOLE);
            let holes = holes.map(|hole| hole.into_inner().0);
            let polygon = Polygon::new(outer, holes.collect());
            (polygon.unsigned_area() > 1e-6).then_some(polygon)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{line_string, polygon};

    fn square(x: f64, y: f64, side: f64) -> MultiPolygon<f64> {
        polygon![(x: x, y: y), (x: x + side, y: y), (x: x + side, y: y + side), (x: x, y: y + side)]
            .into()
    }

    #[test]
    fn coordinates_without_bounds_are_left_out() {
        let corners = |far: f64| LineString::from(vec![(0., 0.), (far, 0.), (10., far), (0., 10.)]);
        for far in [f64::MAX, 1e300, -1e200, 2e9, f64::NAN, f64::INFINITY] {
            let area = from_rings([corners(far)], FillRule::EvenOdd);
            assert!(area.0.is_empty(), "{far}");
            let square = from_rings([corners(10.0)], FillRule::EvenOdd);
            assert!(clip_line(&corners(far), &square).0.is_empty(), "{far}");
        }
        assert_eq!(from_rings([corners(1e9)], FillRule::EvenOdd).0.len(), 1);
    }

    #[test]
    fn clockwise_and_repeated_corners_become_clean() {
        let ring = line_string![
            (x: 0., y: 0.), (x: 0., y: 10.), (x: 0., y: 10.), (x: 10., y: 10.), (x: 10., y: 0.), (x: 0., y: 0.)
        ];
        let area = from_rings([ring], FillRule::NonZero);
        assert_eq!(area.0.len(), 1);
        assert!((area.unsigned_area() - 100.0).abs() < 1e-6);
        assert_eq!(area.0[0].exterior().0.len(), 5);
    }

    #[test]
    fn a_bow_tie_becomes_two_triangles() {
        let ring = line_string![(x: 0., y: 0.), (x: 10., y: 10.), (x: 10., y: 0.), (x: 0., y: 10.)];
        let area = from_rings([ring], FillRule::EvenOdd);
        assert_eq!(area.0.len(), 2);
        assert!((area.unsigned_area() - 50.0).abs() < 1e-6);
    }

    #[test]
    fn a_hole_is_a_hole_whichever_way_it_turns() {
        for reverse in [false, true] {
            let mut hole = square(2., 2., 3.).0[0].exterior().clone();
            if reverse {
                hole.0.reverse();
            }
            let outer = square(0., 0., 10.).0[0].exterior().clone();
            let area = clean(&Polygon::new(outer, vec![hole]).into());
            assert!((area.unsigned_area() - 91.0).abs() < 1e-6);
            assert_eq!(area.0[0].interiors().len(), 1);
        }
    }

    /// A slit 0.009 mm wide is closed, one of 0.02 mm stays; by hand, 2 x area / perimeter.
    #[test]
    fn a_hole_as_fine_as_a_hair_is_closed() {
        for (wide, holes) in [(0.009, 0), (0.02, 1)] {
            let slit = polygon![(x: 2., y: 2.), (x: 7., y: 2.), (x: 7., y: 2. + wide), (x: 2., y: 2. + wide)];
            let left = difference(&square(0., 0., 10.), &slit.into());
            assert_eq!(left.0[0].interiors().len(), holes, "{wide}");
        }
    }

    #[test]
    fn two_squares_combine() {
        let (a, b) = (square(0., 0., 10.), square(5., 5., 10.));
        assert!((union(&a, &b).unsigned_area() - 175.0).abs() < 1e-6);
        assert!((difference(&a, &b).unsigned_area() - 75.0).abs() < 1e-6);
        assert!((intersection(&a, &b).unsigned_area() - 25.0).abs() < 1e-6);
    }

    #[test]
    fn a_line_is_clipped_to_what_lies_inside() {
        let line = line_string![(x: -5., y: 5.), (x: 20., y: 5.)];
        let inside = clip_line(&line, &square(0., 0., 10.));
        assert_eq!(inside.0.len(), 1);
        assert!((crate::measure::length(&inside.0[0]) - 10.0).abs() < 1e-6);
    }

    #[test]
    fn what_is_not_finite_or_has_no_area_gives_nothing() {
        let rings = [
            line_string![(x: f64::NAN, y: 0.), (x: 1., y: 0.), (x: 1., y: 1.)],
            line_string![(x: 0., y: 0.), (x: 1., y: 0.)],
            line_string![(x: 0., y: 0.), (x: 1., y: 0.), (x: 2., y: 0.)],
        ];
        assert!(from_rings(rings, FillRule::NonZero).0.is_empty());
    }
}
