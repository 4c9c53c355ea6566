//! The separate pieces of a shape, and the objects they become.

use crate::Parted;
use hoopwright_sdk::Lines;
use hoopwright_sdk::copies::Ids;
use hoopwright_sdk::geometry::geo::{Distance, Euclidean, Point as Place};
use hoopwright_sdk::prelude::*;

/// The separate pieces of a shape, as they are drawn; a manual one has none.
pub(crate) fn of(shape: &Shape, parted: Parted) -> Vec<Shape> {
    match shape {
        Shape::Region(region) if parted != Parted::Lines => {
            let pieces = region.polygons.iter().cloned();
            pieces
                .map(|polygon| {
                    Shape::Region(Region {
                        polygons: vec![polygon],
                    })
                })
                .collect()
        }
        Shape::Lines(lines) if parted != Parted::Regions => {
            let pieces = lines.paths.iter().cloned();
            pieces
                .map(|path| {
                    Shape::Lines(Lines {
                        paths: vec![path],
                        width: lines.width,
                    })
                })
                .collect()
        }
        _ => Vec::new(),
    }
}

/// The objects that `pieces` become: the first keeps the id. What is set for the whole object is set
/// for each of them, direction marks too, but a start and a finish only for the piece nearest to it.
pub(crate) fn objects(mut whole: Object, pieces: Vec<Shape>, ids: &mut Ids) -> Vec<Object> {
    // Each piece is a copy of what is set, and not of all the other pieces.
    whole.shape = Shape::Manual;
    let nearest = |place: Point| {
        let away = pieces.iter().map(|piece| distance(piece, place));
        let nearest = away.enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
        nearest.map(|(piece, _)| piece)
    };
    let start = whole.sewing.start.and_then(nearest);
    let finish = whole.sewing.finish.and_then(nearest);
    let mut objects = Vec::with_capacity(pieces.len());
    for (number, shape) in pieces.into_iter().enumerate() {
        let mut object = whole.clone();
        if number > 0 {
            object.id = ids.derived(&whole.id, "piece");
        }
        object.shape = shape;
        object.sewing.start = whole.sewing.start.filter(|_| start == Some(number));
        object.sewing.finish = whole.sewing.finish.filter(|_| finish == Some(number));
        objects.push(object);
    }
    objects
}

/// How far `place` lies from a piece, in mm: 0 inside it.
fn distance(piece: &Shape, place: Point) -> f64 {
    let place = Place::from(Coord::from(place));
    match piece {
        Shape::Region(region) => Euclidean.distance(&place, &region.to_multi_polygon()),
        Shape::Lines(lines) => {
            let paths = lines.paths.iter().map(Polyline::to_line_string);
            paths
                .map(|path| Euclidean.distance(&place, &path))
                .fold(f64::INFINITY, f64::min)
        }
        Shape::Manual => f64::INFINITY,
    }
}
