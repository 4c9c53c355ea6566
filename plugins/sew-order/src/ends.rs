//! Where the sewing of an object begins and ends.

use hoopwright_sdk::prelude::*;

/// The first and the last place of an object's sewing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ends {
    pub start: Coord<f64>,
    pub finish: Coord<f64>,
}

impl Ends {
    /// Where the sewing of `object` begins and ends: its first and last needle point; before it has
    /// stitches the places set for it, a line's ends, or the middle of its bounds. Where there is
    /// nothing, `otherwise`.
    pub fn of(object: &Object, middle: Option<Coord<f64>>, otherwise: Coord<f64>) -> Self {
        let mut sewn = stitches_of(&object.stitches)
            .filter(|stitch| stitch.kind == StitchKind::Needle)
            .map(|stitch| stitch.at);
        let sewn_start = sewn.next();
        let sewn_finish = sewn.last().or(sewn_start);
        let drawn = match &object.shape {
            Shape::Lines(lines) => line_ends(&lines.paths),
            _ => None,
        };
        let set = |point: Option<Point>| point.map(Coord::from);
        let middle = middle
            .or_else(|| first_corner(&object.shape))
            .unwrap_or(otherwise);
        let or_drawn = |sewn: Option<Coord<f64>>, set, drawn: Option<Coord<f64>>| {
            sewn.or(set).or(drawn).filter(is_finite).unwrap_or(middle)
        };
        Self {
            start: or_drawn(sewn_start, set(object.sewing.start), drawn.map(|d| d.0)),
            finish: or_drawn(sewn_finish, set(object.sewing.finish), drawn.map(|d| d.1)),
        }
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

fn line_ends(paths: &[Polyline]) -> Option<(Coord<f64>, Coord<f64>)> {
    let first = paths.iter().find_map(|path| path.corners().next())?;
    let last = paths.iter().rev().find_map(|path| {
        if path.closed {
            path.corners().next()
        } else {
            path.corners().next_back()
        }
    })?;
    Some((first, last))
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
    fn stitches_win_over_settings_and_settings_over_the_drawing() {
        let line = line_string![(x: 0., y: 0.), (x: 10., y: 0.)];
        let mut object = Object::of_line("l", &line, 1.0);
        let ends = |object: &Object| Ends::of(object, Some(at(5., 0.)), at(0., 0.));
        assert_eq!(ends(&object).finish, at(10., 0.));
        object.sewing.finish = Some(Point { x: 1., y: 1. });
        assert_eq!(ends(&object).finish, at(1., 1.));
        let mut list = StitchList::new();
        list.trim(at(9., 9.));
        list.needle(StitchRole::Cover, at(2., 2.));
        list.needle(StitchRole::Cover, at(3., 3.));
        object.stitches = list.into_blocks();
        assert_eq!(
            (ends(&object).start, ends(&object).finish),
            (at(2., 2.), at(3., 3.))
        );
    }

    #[test]
    fn a_closed_line_ends_where_it_begins_and_nothing_lies_in_the_middle() {
        let ring = line_string![(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 0., y: 0.)];
        let object = Object::of_line("l", &ring, 1.0);
        assert_eq!(Ends::of(&object, None, at(7., 7.)).finish, at(0., 0.));
        let nothing = Object::new("m", Shape::Manual);
        assert_eq!(Ends::of(&nothing, None, at(7., 7.)).start, at(7., 7.));
    }
}
