//! Tests of the reader: small drawings, and what becomes of them.

mod edge;
mod hostile;
mod naming;
mod not_flat;
mod otherwise;
mod shapes;

use super::{Reading, Scale, read, read_drawing};
use crate::design::{Object, Shape};
use crate::diagnostics::Severity;
use geo::Area;
use std::path::Path;

fn try_read(text: &str, scale: Scale) -> Result<Reading, Vec<String>> {
    read(text, Path::new("art.svg"), scale).map_err(|failed| {
        failed
            .0
            .into_iter()
            .map(|one| one.code.to_owned())
            .collect()
    })
}

/// A drawing of 100 x 100 mm, with a unit of 1 mm.
fn drawn(body: &str) -> Reading {
    try_read(&page(body), Scale::AsDrawn).expect("it can be read")
}

fn page(body: &str) -> String {
    format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="100mm" height="100mm" viewBox="0 0 100 100">{body}</svg>"#
    )
}

fn area(object: &Object) -> f64 {
    match &object.shape {
        Shape::Region(region) => region.to_multi_polygon().unsigned_area(),
        _ => panic!("{} is no region", object.id),
    }
}

/// The width and the corners of the only path of a line object.
fn line(object: &Object) -> (f64, Vec<(f64, f64)>, bool) {
    match &object.shape {
        Shape::Lines(lines) => {
            let path = &lines.paths[0];
            let corners = path.corners().map(|c| (c.x, c.y)).collect();
            (lines.width, corners, path.closed)
        }
        _ => panic!("{} is no line", object.id),
    }
}

fn near(a: f64, b: f64, tolerance: f64) {
    assert!((a - b).abs() <= tolerance, "{a} is not {b}");
}

/// The codes of all findings of at least this severity, in order.
fn codes(artwork: &Reading, least: Severity) -> Vec<&str> {
    let grave = artwork.findings.iter().filter(|one| one.severity >= least);
    grave.map(|one| one.code).collect()
}

/// The ids of all objects, in order.
fn ids(artwork: &Reading) -> Vec<&str> {
    let objects = artwork.design.objects.iter();
    objects.map(|object| object.id.as_str()).collect()
}

/// The colour of an object's thread.
fn colour(artwork: &Reading, object: &Object) -> [u8; 3] {
    let thread = &artwork.design.threads[object.thread as usize];
    [thread.red, thread.green, thread.blue]
}
