//! Places along which an object can be entered or left, and how far two such sets lie apart.

use hoopwright_sdk::geometry::geo::MultiPolygon;
use hoopwright_sdk::geometry::measure::{distance, nearest_fraction};
use hoopwright_sdk::prelude::*;

/// So many neighbouring edges share one box, which spares most pairs a look.
const TOGETHER: usize = 8;

/// A straight edge; a place alone is one without length.
type Edge = [Coord<f64>; 2];

/// Edges, and the box around each few of them. Never empty.
#[derive(Clone, Debug)]
pub(crate) struct Outline {
    edges: Vec<Edge>,
    boxes: Vec<Box2>,
    whole: Box2,
}

/// An upright rectangle.
#[derive(Clone, Copy, Debug)]
struct Box2 {
    least: Coord<f64>,
    greatest: Coord<f64>,
}

impl Box2 {
    fn around(edges: &[Edge]) -> Self {
        let mut found = Self {
            least: edges[0][0],
            greatest: edges[0][0],
        };
        for place in edges.iter().flatten() {
            found.least.x = found.least.x.min(place.x);
            found.least.y = found.least.y.min(place.y);
            found.greatest.x = found.greatest.x.max(place.x);
            found.greatest.y = found.greatest.y.max(place.y);
        }
        found
    }

    /// The square of how far two boxes lie apart.
    fn apart_squared(&self, other: &Self) -> f64 {
        let gap = |a0: f64, a1: f64, b0: f64, b1: f64| (b0 - a1).max(a0 - b1).max(0.0);
        let x = gap(
            self.least.x,
            self.greatest.x,
            other.least.x,
            other.greatest.x,
        );
        let y = gap(
            self.least.y,
            self.greatest.y,
            other.least.y,
            other.greatest.y,
        );
        x * x + y * y
    }
}

impl Outline {
    /// All edges of an area; nothing where it has none.
    pub fn of_area(area: &MultiPolygon<f64>) -> Option<Self> {
        let rings = area
            .iter()
            .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()));
        let edges = rings.flat_map(|ring| ring.0.windows(2).map(|edge| [edge[0], edge[1]]));
        Self::of_edges(edges.collect())
    }

    /// The edges given; nothing where there are none.
    pub fn of_edges(edges: Vec<Edge>) -> Option<Self> {
        if edges.is_empty() {
            return None;
        }
        Some(Self {
            boxes: edges.chunks(TOGETHER).map(Box2::around).collect(),
            whole: Box2::around(&edges),
            edges,
        })
    }

    /// One place alone.
    pub fn of_place(place: Coord<f64>) -> Self {
        let edges = vec![[place, place]];
        let whole = Box2::around(&edges);
        Self {
            edges,
            boxes: vec![whole],
            whole,
        }
    }

    /// The least and the greatest corner of the box around it.
    pub fn bounds(&self) -> [Coord<f64>; 2] {
        [self.whole.least, self.whole.greatest]
    }

    /// Whether it is one place alone.
    pub fn is_place(&self) -> bool {
        self.whole.least == self.whole.greatest
    }

    /// How far two outlines lie apart at the least: never more than they do, and quickly told.
    pub fn at_least_apart(&self, other: &Self) -> f64 {
        self.whole.apart_squared(&other.whole).sqrt()
    }

    /// How far two outlines lie apart, in mm; `most` where it is no less than that.
    pub fn apart(&self, other: &Self, most: f64) -> f64 {
        let mut least = most;
        let least_squared = |least: f64| least * least;
        if self.whole.apart_squared(&other.whole) >= least_squared(least) {
            return least;
        }
        for (mine, my_box) in self.edges.chunks(TOGETHER).zip(&self.boxes) {
            if my_box.apart_squared(&other.whole) >= least_squared(least) {
                continue;
            }
            for (theirs, their_box) in other.edges.chunks(TOGETHER).zip(&other.boxes) {
                if my_box.apart_squared(their_box) >= least_squared(least) {
                    continue;
                }
                for &a in mine {
                    for &b in theirs {
                        least = least.min(edges_apart(a, b));
                    }
                }
                if least <= 0.0 {
                    return 0.0;
                }
            }
        }
        least
    }
}

/// How far two straight edges lie apart.
fn edges_apart(a: Edge, b: Edge) -> f64 {
    let side = |edge: Edge, place: Coord<f64>| {
        let (along, to) = (edge[1] - edge[0], place - edge[0]);
        along.x * to.y - along.y * to.x
    };
    if side(a, b[0]) * side(a, b[1]) < 0.0 && side(b, a[0]) * side(b, a[1]) < 0.0 {
        return 0.0;
    }
    let to = |edge: Edge, place: Coord<f64>| {
        if edge[0] == edge[1] {
            return distance(edge[0], place);
        }
        let nearest = edge[0] + (edge[1] - edge[0]) * nearest_fraction(edge, place);
        distance(nearest, place)
    };
    to(a, b[0])
        .min(to(a, b[1]))
        .min(to(b, a[0]))
        .min(to(b, a[1]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::polygon;
    use proptest::prelude::*;

    fn square(x: f64, y: f64, side: f64) -> Outline {
        let area: MultiPolygon<f64> = polygon![(x: x, y: y), (x: x + side, y: y), (x: x + side, y: y + side), (x: x, y: y + side)].into();
        Outline::of_area(&area).expect("it has edges")
    }

    #[test]
    fn squares_lie_as_far_apart_as_their_nearest_corners() {
        let one = square(0., 0., 10.);
        assert!((one.apart(&square(13., 14., 2.), 100.0) - 5.0).abs() < 1e-12);
        assert!((one.apart(&square(4., 4., 2.), 100.0) - 4.0).abs() < 1e-12);
        assert_eq!(one.apart(&square(5., 5., 20.), 100.0), 0.0);
        assert_eq!(one.apart(&square(200., 0., 1.), 100.0), 100.0);
        let dot = Outline::of_place(Coord { x: 5., y: 12. });
        assert!((one.apart(&dot, 100.0) - 2.0).abs() < 1e-12);
    }

    proptest! {
        /// The nearest of all pairs of edges, without boxes.
        #[test]
        fn boxes_only_spare_looks(
            places in prop::collection::vec((0.0..50.0f64, 0.0..50.0f64), 40),
            shift in 0.0..80.0f64,
        ) {
            let chain = |places: &[(f64, f64)], shift: f64| -> Vec<Edge> {
                let at = |&(x, y): &(f64, f64)| Coord { x: x + shift, y };
                places.windows(2).map(|p| [at(&p[0]), at(&p[1])]).collect()
            };
            let (a, b) = (chain(&places[..20], 0.0), chain(&places[20..], shift));
            let all = a.iter().flat_map(|&a| b.iter().map(move |&b| edges_apart(a, b)));
            let least = all.fold(f64::INFINITY, f64::min);
            let (a, b) = (Outline::of_edges(a), Outline::of_edges(b));
            let (a, b) = (a.expect("edges"), b.expect("edges"));
            prop_assert_eq!(a.apart(&b, f64::INFINITY), least);
            prop_assert!(a.at_least_apart(&b) <= least + 1e-12);
        }
    }
}
