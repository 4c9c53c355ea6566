//! Simple drawings.

use hoopwright_border_angles::{BorderAngles, border_angles};
use hoopwright_sdk::geometry::geo::{MultiPolygon, polygon};
use hoopwright_sdk::prelude::*;

pub fn oblong(x: f64, y: f64, wide: f64, high: f64) -> MultiPolygon<f64> {
    polygon![(x: x, y: y), (x: x + wide, y: y), (x: x + wide, y: y + high), (x: x, y: y + high)]
        .into()
}

pub fn region(id: &str, area: &MultiPolygon<f64>) -> Object {
    Object::of_region(id, area)
}

pub fn turned_with(objects: Vec<Object>, settings: &BorderAngles) -> Vec<Object> {
    let all: Vec<usize> = (0..objects.len()).collect();
    let design = Design::on_page(100., 100., objects);
    border_angles(design, &all, settings)
        .expect("it works")
        .objects
}

pub fn turned(objects: Vec<Object>) -> Vec<Object> {
    turned_with(objects, &BorderAngles::default())
}

pub fn angles(objects: &[Object]) -> Vec<Option<f64>> {
    objects.iter().map(|object| object.sewing.angle).collect()
}
