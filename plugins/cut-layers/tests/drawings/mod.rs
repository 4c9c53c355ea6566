//! Small drawings to cut.

// Each test file is its own crate and needs only some of these.
#![allow(dead_code)]

use hoopwright_cut_layers::{CutLayers, cut_layers};
use hoopwright_sdk::geometry::clean;
use hoopwright_sdk::geometry::geo::{Area, LineString, MultiPolygon, polygon};
use hoopwright_sdk::geometry::measure::length;
use hoopwright_sdk::prelude::*;

pub fn square(x: f64, y: f64, side: f64) -> MultiPolygon<f64> {
    oblong(x, y, side, side)
}

pub fn oblong(x: f64, y: f64, wide: f64, high: f64) -> MultiPolygon<f64> {
    polygon![(x: x, y: y), (x: x + wide, y: y), (x: x + wide, y: y + high), (x: x, y: y + high)]
        .into()
}

/// A disc as a polygon of so many corners that its area is within 1e-5 of the circle's.
pub fn disc(x: f64, y: f64, radius: f64) -> MultiPolygon<f64> {
    let ring = (0..720).map(|i| {
        let turn = f64::from(i).to_radians() / 2.0;
        Coord {
            x: x + radius * turn.cos(),
            y: y + radius * turn.sin(),
        }
    });
    geo::Polygon::new(ring.collect(), Vec::new()).into()
}

pub fn region(id: &str, area: &MultiPolygon<f64>) -> Object {
    Object::of_region(id, area)
}

pub fn line(id: &str, corners: &[(f64, f64)], width: f64) -> Object {
    Object::of_line(id, &LineString::from(corners.to_vec()), width)
}

pub fn design(objects: Vec<Object>) -> Design {
    Design {
        title: "Owl".to_owned(),
        ..Design::on_page(100., 100., objects)
    }
}

pub fn cut(objects: Vec<Object>) -> Design {
    cut_with(objects, &CutLayers::default())
}

pub fn cut_with(objects: Vec<Object>, settings: &CutLayers) -> Design {
    let all: Vec<usize> = (0..objects.len()).collect();
    cut_layers(design(objects), &all, settings).expect("it works")
}

pub fn object<'a>(design: &'a Design, id: &str) -> &'a Object {
    let found = design.objects.iter().find(|object| object.id == id);
    found.unwrap_or_else(|| panic!("{id} is gone"))
}

pub fn ids(design: &Design) -> Vec<&str> {
    let ids = design.objects.iter().map(|object| object.id.as_str());
    ids.collect()
}

/// The cleaned area of a region.
pub fn area(object: &Object) -> MultiPolygon<f64> {
    match &object.shape {
        Shape::Region(region) => clean(&region.to_multi_polygon()),
        _ => panic!("{} is no region", object.id),
    }
}

pub fn size(design: &Design, id: &str) -> f64 {
    area(object(design, id)).unsigned_area()
}

/// The lines of an object.
pub fn paths(design: &Design, id: &str) -> Vec<LineString<f64>> {
    match &object(design, id).shape {
        Shape::Lines(lines) => lines.paths.iter().map(Polyline::to_line_string).collect(),
        _ => panic!("{id} is no line"),
    }
}

pub fn lengths(design: &Design, id: &str) -> Vec<f64> {
    paths(design, id).iter().map(length).collect()
}
