//! Drawings to join, and what came of them.

use hoopwright_join_outlines::{JoinOutlines, join_outlines};
use hoopwright_sdk::geometry::geo::{Coord, LineString, MultiPolygon, Rect};
use hoopwright_sdk::geometry::measure::{distance, nearest_fraction};
use hoopwright_sdk::prelude::*;

/// A line of 0.4 mm in thread 0.
pub fn line(id: &str, corners: &[(f64, f64)]) -> Object {
    wide(id, corners, 0.4)
}

/// A line of a width in thread 0.
pub fn wide(id: &str, corners: &[(f64, f64)], width: f64) -> Object {
    let corners: LineString<f64> = corners.iter().map(|&(x, y)| Coord { x, y }).collect();
    Object::of_line(id, &corners, width)
}

/// An upright rectangle in thread 1.
pub fn patch(id: &str, from: (f64, f64), to: (f64, f64)) -> Object {
    let area: MultiPolygon<f64> = Rect::new(from, to).to_polygon().into();
    let mut object = Object::of_region(id, &area);
    object.thread = 1;
    object
}

/// The objects after all were joined, and what was reported.
pub fn joined(objects: Vec<Object>, settings: &JoinOutlines) -> (Vec<Object>, Vec<Finding>) {
    let selected: Vec<usize> = (0..objects.len()).collect();
    messages::take();
    let design = design(objects);
    let design = join_outlines(design, &selected, settings).expect("it never fails");
    (design.objects, messages::take())
}

/// A design of `objects`.
pub fn design(objects: Vec<Object>) -> Design {
    Design {
        title: "barn owl".to_owned(),
        ..Design::on_page(90.0, 90.0, objects)
    }
}

/// The ids, in sewing order.
pub fn ids(objects: &[Object]) -> Vec<&str> {
    objects.iter().map(|object| object.id.as_str()).collect()
}

/// The lines of an object; a closed one ends where it begins.
pub fn lines_of(object: &Object) -> Vec<LineString<f64>> {
    match &object.shape {
        Shape::Lines(lines) => lines.paths.iter().map(Polyline::to_line_string).collect(),
        Shape::Region(_) | Shape::Manual => panic!("{} has no lines", object.id),
    }
}

/// The length of all lines of an object.
pub fn length(object: &Object) -> f64 {
    let lines = lines_of(object);
    lines
        .iter()
        .map(hoopwright_sdk::geometry::measure::length)
        .sum()
}

/// How far a place is from a straight piece.
pub fn away(piece: [Coord<f64>; 2], place: Coord<f64>) -> f64 {
    let along = nearest_fraction(piece, place);
    distance(place, piece[0] + (piece[1] - piece[0]) * along)
}

/// The needle places of an object in order, and how many jumps lie between them.
pub fn sewn(object: &Object) -> (Vec<Coord<f64>>, usize) {
    let stitches: Vec<Stitch> = stitches_of(&object.stitches).collect();
    let needles = stitches.iter().filter(|s| s.kind == StitchKind::Needle);
    let jumps = stitches.iter().filter(|s| s.kind == StitchKind::Jump);
    (needles.map(|s| s.at).collect(), jumps.count())
}
