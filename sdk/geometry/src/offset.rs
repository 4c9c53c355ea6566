//! Regions grown and shrunk, and strokes turned into regions.

use crate::area::{FARTHEST, clean, on_the_map, to_area, to_rings};
use crate::resample::thinning::thin;
use geo::{LineString, MultiPolygon, Polygon};
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::stroke::offset::StrokeOffset;
use i_overlay::mesh::float::style::{LineCap, LineJoin, OutlineStyle, StrokeStyle};

/// The step of an arc in radians: chords stay within 0.01 mm of an arc of 8 mm radius.
const ARC_STEP: f64 = 0.1;

/// Corners that stray less than this from the straight line are dropped after an offset, in mm.
/// Repeated round offsets would otherwise double the corners each time.
const SIMPLIFY: f64 = 0.002;

/// How corners look after growing a region.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Corners {
    /// An arc about the old corner (Steiner's parallel body).
    Round,
    /// Edges drawn on until they meet, cut off where the corner is sharper than about 30°.
    Sharp,
}

/// The region grown by `distance` mm on every side, with round corners; shrunk where it is negative.
pub fn grow(area: &MultiPolygon<f64>, distance: f64) -> MultiPolygon<f64> {
    grow_with(area, distance, Corners::Round)
}

/// The region grown by `distance` mm on every side; shrunk where it is negative. A distance that is
/// no number, or beyond 1e9 mm, leaves nothing.
pub fn grow_with(area: &MultiPolygon<f64>, distance: f64, corners: Corners) -> MultiPolygon<f64> {
    // A ring that turns the wrong way offsets to nothing, without a word: clean first.
    let area = clean(area);
    if distance == 0.0 || area.0.is_empty() {
        return area;
    }
    if distance.is_nan() || distance.abs() > FARTHEST {
        return MultiPolygon::new(Vec::new());
    }
    let join = match corners {
        Corners::Round => LineJoin::Round(ARC_STEP),
        Corners::Sharp => LineJoin::Miter(0.5),
    };
    let style = OutlineStyle::new(distance).line_join(join);
    clean(&thinned(to_area(to_rings(&area).outline(&style)), SIMPLIFY))
}

/// The region that a stroke along `line` covers, `width` mm wide, with round joins and ends.
/// A line whose last corner equals its first is sewn round without an end. A line with a coordinate
/// that is not finite, or beyond 1e9 mm, covers nothing; nor does a width that is.
pub fn stroke(line: &LineString<f64>, width: f64) -> MultiPolygon<f64> {
    let closed = line.0.len() > 3 && line.is_closed();
    let mut path: Vec<[f64; 2]> = line.0.iter().map(|c| [c.x, c.y]).collect();
    if closed {
        path.pop();
    }
    path.dedup();
    let sane = width > 0.0 && width <= FARTHEST && line.0.iter().all(on_the_map);
    if path.is_empty() || !sane {
        return MultiPolygon::new(Vec::new());
    }
    if let [only] = path[..] {
        // A dot: the engine wants two places.
        path.push([only[0] + 1e-4, only[1]]);
    }
    let style = StrokeStyle::new(width)
        .line_join(LineJoin::Round(ARC_STEP))
        .start_cap(LineCap::Round(ARC_STEP))
        .end_cap(LineCap::Round(ARC_STEP));
    clean(&thinned(to_area(path.stroke(style, closed)), SIMPLIFY))
}

/// The area without the corners that its edges do not need: none of those left out lies farther
/// than `stray` mm from the new edge. Edges that lie nearer together than that may cross
/// afterwards; all that takes an area cleans it first, or takes it as it is.
pub fn thinned(area: MultiPolygon<f64>, stray: f64) -> MultiPolygon<f64> {
    let ring = |ring: LineString<f64>| LineString(thin(ring.0, stray));
    area.into_iter()
        .map(|polygon| {
            let (outer, holes) = polygon.into_inner();
            Polygon::new(ring(outer), holes.into_iter().map(ring).collect())
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure;
    use geo::{Area, line_string, polygon};

    /// Steiner's formula for a convex body: area A + P r + pi r², perimeter P + 2 pi r.
    /// Values of the 3-4-5 triangle grown by 1: computed from the formula by hand.
    #[test]
    fn a_grown_triangle_has_steiners_area() {
        let triangle: MultiPolygon<f64> =
            polygon![(x: 0., y: 0.), (x: 4., y: 0.), (x: 0., y: 3.)].into();
        let grown = grow(&triangle, 1.0);
        assert!(
            (grown.unsigned_area() - 21.1416).abs() < 0.03,
            "{}",
            grown.unsigned_area()
        );
        assert!((measure::perimeter(&grown) - 18.2832).abs() < 0.03);
    }

    #[test]
    fn a_clockwise_ring_grows_too() {
        let ring: MultiPolygon<f64> =
            polygon![(x: 0., y: 0.), (x: 0., y: 9.), (x: 9., y: 9.), (x: 9., y: 0.)].into();
        assert!((grow_with(&ring, 1.0, Corners::Sharp).unsigned_area() - 121.0).abs() < 1e-3);
        assert!((grow(&ring, -1.0).unsigned_area() - 49.0).abs() < 1e-3);
        assert!(grow(&ring, -5.0).0.is_empty());
    }

    #[test]
    fn what_lies_beyond_all_bounds_covers_nothing() {
        for far in [f64::MAX, 1e300, -1e12, f64::NAN, f64::INFINITY] {
            let line = line_string![(x: 0., y: 0.), (x: far, y: 5.)];
            assert!(stroke(&line, 2.0).0.is_empty(), "{far}");
            let line = line_string![(x: 0., y: 0.), (x: 9., y: 5.)];
            assert!(stroke(&line, far).0.is_empty(), "{far}");
            let triangle: MultiPolygon<f64> =
                polygon![(x: 0., y: 0.), (x: 4., y: 0.), (x: 0., y: 3.)].into();
            assert!(grow(&triangle, far).0.is_empty(), "{far}");
        }
        let farthest = line_string![(x: -1e9, y: -1e9), (x: 1e9, y: 1e9)];
        stroke(&farthest, 1e9);
        grow(
            &polygon![(x: -1e9, y: -1e9), (x: 1e9, y: -1e9), (x: 0., y: 1e9)].into(),
            1e9,
        );
    }

    #[test]
    fn a_thinned_disc_keeps_its_area_within_the_stray() {
        let disc = grow(&stroke(&line_string![(x: 0., y: 0.)], 1.0), 9.5);
        let thin = thinned(disc.clone(), 0.05);
        assert!(thin.0[0].exterior().0.len() < disc.0[0].exterior().0.len());
        let lost = disc.unsigned_area() - thin.unsigned_area();
        assert!(lost.abs() < 0.05 * measure::perimeter(&disc), "{lost}");
    }

    #[test]
    fn a_stroke_is_a_rectangle_with_round_ends() {
        let area = stroke(&line_string![(x: 0., y: 0.), (x: 10., y: 0.)], 2.0);
        assert!(
            (area.unsigned_area() - (20.0 + std::f64::consts::PI)).abs() < 0.03,
            "{}",
            area.unsigned_area()
        );
    }

    #[test]
    fn a_closed_stroke_has_a_hole() {
        let square = line_string![(x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 10.), (x: 0., y: 10.), (x: 0., y: 0.)];
        let area = stroke(&square, 1.0);
        assert_eq!(area.0.len(), 1);
        assert_eq!(area.0[0].interiors().len(), 1);
    }
}
