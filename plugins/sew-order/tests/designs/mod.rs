//! Small designs to put in order.

// Each test file is its own crate and needs only some of these.
#![allow(dead_code)]

use hoopwright_sdk::geometry::geo::{LineString, MultiPolygon, polygon};
use hoopwright_sdk::prelude::*;

pub fn square(x: f64, y: f64, side: f64) -> MultiPolygon<f64> {
    polygon![(x: x, y: y), (x: x + side, y: y), (x: x + side, y: y + side), (x: x, y: y + side)]
        .into()
}

pub fn box_at(id: &str, thread: u32, x: f64, y: f64, side: f64) -> Object {
    let mut object = Object::of_region(id, &square(x, y, side));
    object.thread = thread;
    object
}

pub fn line_at(id: &str, thread: u32, from: (f64, f64), to: (f64, f64)) -> Object {
    let mut object = Object::of_line(id, &LineString::from(vec![from, to]), 1.0);
    object.thread = thread;
    object
}

pub fn design(objects: Vec<Object>) -> Design {
    Design {
        title: "Owl".to_owned(),
        ..Design::on_page(100., 100., objects)
    }
}

pub fn ids(design: &Design) -> Vec<&str> {
    design
        .objects
        .iter()
        .map(|object| object.id.as_str())
        .collect()
}
