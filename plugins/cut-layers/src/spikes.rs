//! Edges that run out and straight back again: what booleans leave where two edges should be one.

use hoopwright_sdk::geometry::geo::{Coord, LineString, MultiPolygon, Polygon};
use hoopwright_sdk::geometry::measure::{distance, to_edge};

/// A spike is no wider than this, in mm: a hundredth of the machine's own step.
const WIDTH: f64 = 1e-3;

/// The area without spikes.
pub(crate) fn without_spikes(area: MultiPolygon<f64>) -> MultiPolygon<f64> {
    let polygons = area.into_iter().filter_map(|polygon| {
        let (outer, holes) = polygon.into_inner();
        let holes = holes.into_iter().filter_map(blunt).collect();
        Some(Polygon::new(blunt(outer)?, holes))
    });
    polygons.collect()
}

/// A ring without spikes, or nothing where it is nothing but spikes.
fn blunt(ring: LineString<f64>) -> Option<LineString<f64>> {
    let mut corners = ring.0;
    if corners.len() > 1 && corners.first() == corners.last() {
        corners.pop();
    }
    let mut kept: Vec<Coord<f64>> = Vec::with_capacity(corners.len());
    for corner in corners {
        kept.push(corner);
        while let [.., a, b, c] = kept[..]
            && is_spike(a, b, c)
        {
            kept.swap_remove(kept.len() - 2);
        }
    }
    // The ring's first corner may be a spike, or lie on one.
    let mut first = 0;
    while let [a, b, .., y, z] = kept[first..] {
        if is_spike(z, a, b) {
            first += 1;
        } else if is_spike(y, z, a) {
            kept.pop();
        } else {
            break;
        }
    }
    kept.drain(..first);
    (kept.len() >= 3).then_some(LineString(kept))
}

/// Whether the way from `a` to `b` turns back there and runs along itself to `c`, or is no way.
fn is_spike(a: Coord<f64>, b: Coord<f64>, c: Coord<f64>) -> bool {
    if distance(a, b) < WIDTH || distance(b, c) < WIDTH {
        return true;
    }
    let (out, back) = (b - a, c - b);
    if out.x * back.x + out.y * back.y >= 0.0 {
        return false;
    }
    to_edge(c, [a, b]).min(to_edge(a, [b, c])) < WIDTH
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::Area;

    fn blunted(corners: &[(f64, f64)]) -> MultiPolygon<f64> {
        let ring = LineString::from(corners.to_vec());
        without_spikes(Polygon::new(ring, Vec::new()).into())
    }

    #[test]
    fn spikes_go_wherever_the_ring_begins() {
        let mut ring = vec![
            (0., 0.),
            (10., 0.),
            (10., 4.),
            (14., 4.),
            (18., 4.0001),
            (25., 4.0001),
            (18.0001, 4.0002),
            (10., 4.0002),
            (10., 10.),
            (0., 10.),
        ];
        for _ in 0..ring.len() {
            ring.rotate_left(1);
            let area = blunted(&ring);
            assert!((area.unsigned_area() - 100.0).abs() < 0.01);
            let widest = area.iter().flat_map(|p| p.exterior().0.iter());
            assert!(widest.map(|c| c.x).fold(0.0, f64::max) <= 10.0, "{ring:?}");
        }
    }

    #[test]
    fn sharp_corners_stay_and_spikes_alone_are_nothing() {
        let needle = blunted(&[(0., 0.), (10., 0.05), (0., 0.1)]);
        assert_eq!(needle.0[0].exterior().0.len(), 4);
        assert!(blunted(&[(0., 0.), (10., 0.), (5., 0.)]).0.is_empty());
        assert!(blunted(&[(1., 1.), (1., 1.), (1., 1.)]).0.is_empty());
    }
}
