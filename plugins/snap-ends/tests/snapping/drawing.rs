//! Drawings to snap, and what came of them.

use hoopwright_sdk::geometry::geo::LineString;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;
use hoopwright_snap_ends::{Reaches, SnapEnds, snap_ends};

/// A place.
pub fn at(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

/// A line 1 mm wide.
pub fn line(id: &str, corners: &[(f64, f64)]) -> Object {
    let corners: Vec<Coord<f64>> = corners.iter().map(|&(x, y)| at(x, y)).collect();
    Object::of_line(id, &LineString::from(corners), 1.0)
}

/// A design of `objects`.
pub fn design(objects: Vec<Object>) -> Design {
    Design::on_page(90., 70., objects)
}

/// The objects after all were snapped.
pub fn run(objects: Vec<Object>, settings: &SnapEnds) -> Vec<Object> {
    messages::take();
    let all: Vec<usize> = (0..objects.len()).collect();
    snap_ends(design(objects), &all, settings)
        .expect("it never fails")
        .objects
}

/// The object's first line.
pub fn path(object: &Object) -> &Polyline {
    match &object.shape {
        Shape::Lines(lines) => &lines.paths[0],
        _ => panic!("{} is no line", object.id),
    }
}

/// The corners of the object's first line.
pub fn corners(object: &Object) -> Vec<Coord<f64>> {
    path(object).corners().collect()
}

/// Holds two places to be one.
pub fn near(a: Coord<f64>, b: Coord<f64>) {
    assert!(distance(a, b) < 1e-6, "{a:?} is not {b:?}");
}

/// Settings with which lines go on straight.
pub fn straight() -> SnapEnds {
    SnapEnds {
        reaches: Reaches::Lengthened,
        ..SnapEnds::default()
    }
}
