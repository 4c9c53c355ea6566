//! The area that an object covers on the cloth.

use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{Area, BoundingRect, MultiPolygon, Rect};
use hoopwright_sdk::geometry::{area, measure};
use hoopwright_sdk::prelude::*;
use std::cell::OnceCell;

/// Where two objects share a strip no wider than this, in mm, they were meant to touch, and their
/// common edge was drawn twice. An underlap, of 0.3 mm and more, is far wider.
const HAIR: f64 = 0.05;

/// What an object covers: its area, how much that is, and its bounds.
pub(crate) struct Footprint {
    pub area: MultiPolygon<f64>,
    pub size: f64,
    pub bounds: Rect<f64>,
    edges: OnceCell<EdgeGrid>,
}

impl Footprint {
    /// What `object` covers; nothing where it has no finite extent.
    pub fn of(object: &Object) -> Option<Self> {
        let area = object.footprint();
        let bounds = area.bounding_rect()?;
        let size = area.unsigned_area();
        (size.is_finite()).then_some(Self {
            area,
            size,
            bounds,
            edges: OnceCell::new(),
        })
    }

    fn edges(&self) -> &EdgeGrid {
        self.edges.get_or_init(|| EdgeGrid::new(&self.area))
    }

    /// What two objects share, where they overlap: by more than `tolerance` mm², hairs along a common edge
    /// not counted, or in any case by a fifth of the smaller.
    pub fn overlap(&self, other: &Self, tolerance: f64) -> Option<MultiPolygon<f64>> {
        let least = tolerance.max(0.0).min(self.fifth(other));
        if common_size(&self.bounds, &other.bounds) <= least {
            return None;
        }
        // What two areas share takes far longer to find than that they share nothing.
        if !self.edges().meets(other.edges(), 0.0) {
            return None;
        }
        let common = area::intersection(&self.area, &other.area);
        self.is_overlap(other, &common, tolerance).then_some(common)
    }

    /// Whether they still overlap where of what they share only `shared` is looked at.
    pub fn is_overlap(&self, other: &Self, shared: &MultiPolygon<f64>, tolerance: f64) -> bool {
        let broad = shared
            .iter()
            .filter(|part| measure::mean_width(part) > HAIR);
        shared.unsigned_area() > self.fifth(other)
            || broad.map(Area::unsigned_area).sum::<f64>() > tolerance.max(0.0)
    }

    /// A fifth of the smaller of the two, in mm².
    fn fifth(&self, other: &Self) -> f64 {
        0.2 * self.size.min(other.size)
    }
}

/// The size of what two rectangles share.
fn common_size(a: &Rect<f64>, b: &Rect<f64>) -> f64 {
    let width = a.max().x.min(b.max().x) - a.min().x.max(b.min().x);
    let height = a.max().y.min(b.max().y) - a.min().y.max(b.min().y);
    width.max(0.0) * height.max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::{self, line_string, polygon};

    fn square(x: f64, y: f64, side: f64) -> Footprint {
        let area = polygon![(x: x, y: y), (x: x + side, y: y), (x: x + side, y: y + side), (x: x, y: y + side)];
        Footprint::of(&Object::of_region("s", &area.into())).expect("it has an area")
    }

    #[test]
    fn squares_that_touch_do_not_overlap_and_small_ones_on_top_do() {
        let large = square(0., 0., 10.);
        assert!(large.overlap(&square(10., 0., 10.), 0.2).is_none());
        assert!(large.overlap(&square(9.99, 0., 10.), 0.2).is_none());
        assert!(large.overlap(&square(9.5, 0., 10.), 0.2).is_some());
        // 0.09 mm² in all, but wholly on top.
        assert!(large.overlap(&square(4., 4., 0.3), 0.2).is_some());
    }

    /// Areas by hand: what an upper and its lower still share after the upper was cut out of it.
    #[test]
    fn a_short_underlap_is_an_overlap_and_a_long_hair_is_none() {
        let footprint = |area: geo::Polygon<f64>| {
            Footprint::of(&Object::of_region("f", &area.into())).expect("an area")
        };
        let lower = square(0., 0., 20.);
        // A leg 1 mm wide that reaches 0.3 mm in: 0.3 mm². The same with a round end: 0.2 mm².
        let leg = polygon![(x: 5., y: -9.), (x: 6., y: -9.), (x: 6., y: 0.3), (x: 5., y: 0.3)];
        assert!(lower.overlap(&footprint(leg), 0.1).is_some());
        let round = polygon![
            (x: 5., y: -9.), (x: 6., y: -9.), (x: 6., y: 0.), (x: 5.75, y: 0.25), (x: 5.5, y: 0.3),
            (x: 5.25, y: 0.25), (x: 5., y: 0.)
        ];
        assert!(lower.overlap(&footprint(round), 0.1).is_some());
        // 0.02 mm along 20 mm: 0.4 mm², and yet only an edge that was drawn twice.
        assert!(lower.overlap(&square(0., -19.98, 20.), 0.1).is_none());
        // A hair that lies wholly on top of another object is an object of its own.
        let hair = polygon![(x: 5., y: 5.), (x: 9., y: 5.), (x: 9., y: 5.04), (x: 5., y: 5.04)];
        assert!(lower.overlap(&footprint(hair), 0.1).is_some());
    }

    #[test]
    fn rectangles_that_share_bounds_need_not_overlap() {
        let l_shape = polygon![
            (x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 2.), (x: 2., y: 2.), (x: 2., y: 10.), (x: 0., y: 10.)
        ];
        let l_shape = Footprint::of(&Object::of_region("l", &l_shape.into())).expect("an area");
        assert!(l_shape.overlap(&square(4., 4., 5.), 0.2).is_none());
        assert!(l_shape.overlap(&square(1., 1., 5.), 0.2).is_some());
    }

    /// Length times width and a disc for the round ends (Steiner), by hand.
    #[test]
    fn a_line_covers_its_stroke_and_at_least_a_thread() {
        let line = line_string![(x: 0., y: 0.), (x: 10., y: 0.)];
        for (width, size) in [(2.0, 23.1416), (0.0, 4.1257)] {
            let area = Footprint::of(&Object::of_line("l", &line, width)).expect("an area");
            assert!((area.size - size).abs() < 0.03, "{}", area.size);
        }
    }

    #[test]
    fn stitches_alone_cover_what_lies_between_them_and_no_hollow() {
        // A satin ring of radius 20 mm, 4 mm wide, in steps of 0.5 degrees.
        let mut list = StitchList::new();
        for i in 0..=720 {
            let turn = f64::from(i).to_radians() / 2.0;
            let radius = if i % 2 == 0 { 18.0 } else { 22.0 };
            let at = Coord {
                x: radius * turn.cos(),
                y: radius * turn.sin(),
            };
            list.needle(StitchRole::Cover, at);
        }
        let mut ring = Object::new("ring", Shape::Manual);
        ring.stitches = list.into_blocks();
        let ring = Footprint::of(&ring).expect("an area");
        assert!(ring.overlap(&square(-5., -5., 10.), 0.2).is_none());
        assert!(ring.overlap(&square(18., -2., 4.), 0.2).is_some());
        // The ring's own area is 2 pi 20 x 4 = 502.7 mm².
        assert!((ring.size - 502.7).abs() < 10.0, "{}", ring.size);
    }

    #[test]
    fn what_has_no_place_covers_nothing() {
        assert!(Footprint::of(&Object::new("m", Shape::Manual)).is_none());
        let nowhere = line_string![(x: f64::NAN, y: 0.), (x: 10., y: 0.)];
        assert!(Footprint::of(&Object::of_line("l", &nowhere, 1.0)).is_none());
    }
}
