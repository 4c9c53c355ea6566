//! Where the sewing of an object begins and ends.

use hoopwright_sdk::prelude::*;

/// The first and the last place of an object's sewing, where they are settled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ends {
    /// Nothing where sewing may still begin anywhere on the object.
    pub start: Option<Coord<f64>>,
    /// Nothing where it may still end anywhere.
    pub finish: Option<Coord<f64>>,
    /// Where the object lies, about.
    pub middle: Coord<f64>,
}

impl Ends {
    /// Where the sewing of `object` begins and ends: its first and last needle point; before it has
    /// stitches, the places set for it. `middle` is that of its bounds; where it has none it lies
    /// at `otherwise`.
    pub fn of(object: &Object, middle: Option<Coord<f64>>, otherwise: Coord<f64>) -> Self {
        let mut sewn = stitches_of(&object.stitches)
            .filter(|stitch| stitch.kind == StitchKind::Needle)
            .map(|stitch| stitch.at);
        let sewn_start = sewn.next();
        let sewn_finish = sewn.last().or(sewn_start);
        let settled = |sewn: Option<Coord<f64>>, set: Option<Point>| {
            sewn.or(set.map(Coord::from)).filter(is_finite)
        };
        Self {
            start: settled(sewn_start, object.sewing.start),
            finish: settled(sewn_finish, object.sewing.finish),
            middle: middle
                .or_else(|| first_corner(&object.shape))
                .unwrap_or(otherwise),
        }
    }

    /// Whether sewing may begin and end anywhere.
    pub fn are_free(&self) -> bool {
        self.start.is_none() && self.finish.is_none()
    }
}

/// A region too small to have an area still lies somewhere.
fn first_corner(shape: &Shape) -> Option<Coord<f64>> {
    let Shape::Region(region) = shape else {
        return None;
    };
    let corners = region.polygons.iter().flat_map(|p| p.outer.corners());
    corners.into_iter().find(is_finite)
}

fn is_finite(place: &Coord<f64>) -> bool {
    place.x.is_finite() && place.y.is_finite()
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::line_string;

    fn at(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    #[test]
    fn stitches_win_over_settings_and_without_either_the_ends_are_free() {
        let line = line_string![(x: 0., y: 0.), (x: 10., y: 0.)];
        let mut object = Object::of_line("l", &line, 1.0);
        let ends = |object: &Object| Ends::of(object, Some(at(5., 0.)), at(0., 0.));
        assert!(ends(&object).are_free());
        object.sewing.finish = Some(Point { x: 1., y: 1. });
        assert_eq!(
            (ends(&object).start, ends(&object).finish),
            (None, Some(at(1., 1.)))
        );
        let mut list = StitchList::new();
        list.trim(at(9., 9.));
        list.needle(StitchRole::Cover, at(2., 2.));
        list.needle(StitchRole::Cover, at(3., 3.));
        object.stitches = list.into_blocks();
        assert_eq!(
            (ends(&object).start, ends(&object).finish),
            (Some(at(2., 2.)), Some(at(3., 3.)))
        );
    }

    #[test]
    fn what_has_no_place_lies_in_the_middle_of_the_page() {
        let nothing = Object::new("m", Shape::Manual);
        assert_eq!(Ends::of(&nothing, None, at(7., 7.)).middle, at(7., 7.));
    }
}
