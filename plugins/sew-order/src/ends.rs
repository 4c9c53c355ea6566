//! Where an object can be entered and left.

use crate::footprint::Footprint;
use crate::outline::Outline;
use hoopwright_sdk::prelude::*;

/// Where the sewing of an object can begin and end.
#[derive(Clone, Debug)]
pub(crate) struct Ends {
    pub start: Outline,
    pub finish: Outline,
}

impl Ends {
    /// Of a stitched object its first and last needle point; else the places set for it; else the
    /// free ends of its lines, closed lines and the edges of regions anywhere, for the steps that
    /// follow choose. Where there is nothing, `otherwise`.
    pub fn of(object: &Object, footprint: Option<&Footprint>, otherwise: Coord<f64>) -> Self {
        let mut sewn = stitches_of(&object.stitches)
            .filter(|stitch| stitch.kind == StitchKind::Needle)
            .map(|stitch| stitch.at)
            .filter(is_finite);
        let sewn_start = sewn.next();
        let sewn_finish = sewn.last().or(sewn_start);
        let set = |point: Option<Point>| point.map(Coord::from).filter(is_finite);
        let start = sewn_start.or(set(object.sewing.start));
        let finish = sewn_finish.or(set(object.sewing.finish));
        let drawn =
            || of_shape(&object.shape, footprint).unwrap_or_else(|| Outline::of_place(otherwise));
        Self {
            start: start.map_or_else(drawn, Outline::of_place),
            finish: finish.map_or_else(drawn, Outline::of_place),
        }
    }
}

fn of_shape(shape: &Shape, footprint: Option<&Footprint>) -> Option<Outline> {
    match shape {
        Shape::Lines(lines) => {
            let edges = lines.paths.iter().flat_map(path_ends);
            Outline::of_edges(edges.filter(|e| e.iter().all(is_finite)).collect())
        }
        Shape::Region(region) => footprint
            .and_then(|footprint| Outline::of_area(footprint.area()))
            .or_else(|| {
                // A region too small to have an area still lies somewhere.
                let corners = region.polygons.iter().flat_map(|p| p.outer.corners());
                corners.into_iter().find(is_finite).map(Outline::of_place)
            }),
        Shape::Manual => footprint.and_then(|footprint| Outline::of_area(footprint.area())),
    }
}

/// The two ends of an open line; all of a closed one.
fn path_ends(path: &Polyline) -> Vec<[Coord<f64>; 2]> {
    if path.closed {
        let line = path.to_line_string();
        return line.0.windows(2).map(|edge| [edge[0], edge[1]]).collect();
    }
    let ends = [path.corners().next(), path.corners().next_back()];
    ends.into_iter().flatten().map(|end| [end, end]).collect()
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

    /// How far the object's finish lies from a place.
    fn to_finish(object: &Object, place: Coord<f64>) -> f64 {
        let ends = Ends::of(object, None, at(7., 7.));
        ends.finish.apart(&Outline::of_place(place), f64::INFINITY)
    }

    #[test]
    fn stitches_win_over_settings_and_settings_over_the_drawing() {
        let line = line_string![(x: 0., y: 0.), (x: 10., y: 0.)];
        let mut object = Object::of_line("l", &line, 1.0);
        // Either end, but not the middle.
        assert_eq!(to_finish(&object, at(10., 0.)), 0.0);
        assert_eq!(to_finish(&object, at(0., 0.)), 0.0);
        assert_eq!(to_finish(&object, at(5., 0.)), 5.0);
        object.sewing.finish = Some(Point { x: 1., y: 1. });
        assert_eq!(to_finish(&object, at(1., 1.)), 0.0);
        assert!(to_finish(&object, at(0., 0.)) > 1.0);
        let mut list = StitchList::new();
        list.trim(at(9., 9.));
        list.needle(StitchRole::Cover, at(2., 2.));
        list.needle(StitchRole::Cover, at(3., 3.));
        object.stitches = list.into_blocks();
        assert_eq!(to_finish(&object, at(3., 3.)), 0.0);
        assert!(to_finish(&object, at(2., 2.)) > 1.0);
    }

    #[test]
    fn a_closed_line_ends_anywhere_and_nothing_lies_in_the_middle() {
        let ring = line_string![(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 0., y: 0.)];
        let object = Object::of_line("l", &ring, 1.0);
        assert_eq!(to_finish(&object, at(5., 0.)), 0.0);
        assert_eq!(to_finish(&Object::new("m", Shape::Manual), at(7., 7.)), 0.0);
    }
}
