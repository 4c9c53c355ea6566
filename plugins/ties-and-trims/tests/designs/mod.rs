//! Small designs to tie and trim.

// Each test file is its own crate and needs only some of these.
#![allow(dead_code)]

use hoopwright_sdk::geometry::geo::{line_string, polygon};
use hoopwright_sdk::prelude::*;

pub fn at(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

pub fn design(objects: Vec<Object>) -> Design {
    Design {
        title: "Owl".to_owned(),
        ..Design::on_page(100., 100., objects)
    }
}

/// Stitches of 3 mm along the x axis.
pub fn run(list: &mut StitchList, from: f64, to: f64) {
    let mut x = from;
    while x <= to {
        list.needle(StitchRole::Cover, at(x, 0.));
        x += 3.0;
    }
}

/// A row of four 3 mm stitches that begins at `x`.
pub fn row(id: &str, thread: u32, x: f64) -> Object {
    let line = line_string![(x: x, y: 0.), (x: x + 12., y: 0.)];
    let mut object = Object::of_line(id, &line, 0.4);
    object.thread = thread;
    let mut list = StitchList::new();
    run(&mut list, x, x + 12.);
    object.stitches = list.into_blocks();
    object
}

/// A box from `x`, 10 mm to either side of the x axis, with cover stitches.
pub fn filled_box(id: &str, thread: u32, x: f64, width: f64) -> Object {
    let area = polygon![
        (x: x, y: -10.), (x: x + width, y: -10.), (x: x + width, y: 10.), (x: x, y: 10.)
    ];
    let mut object = Object::of_region(id, &area.into());
    object.thread = thread;
    let mut list = StitchList::new();
    for row in 0..50 {
        let y = -10.0 + 0.4 * f64::from(row);
        list.needle(StitchRole::Cover, at(x, y));
        list.needle(StitchRole::Cover, at(x + width, y));
    }
    object.stitches = list.into_blocks();
    object
}

pub fn kinds(object: &Object) -> Vec<StitchKind> {
    stitches_of(&object.stitches)
        .map(|stitch| stitch.kind)
        .collect()
}

/// How many trims an object has.
pub fn trims(object: &Object) -> usize {
    let trim = |block: &&StitchBlock| block.kind == StitchKind::Trim;
    object
        .stitches
        .iter()
        .filter(trim)
        .map(|block| block.x.len())
        .sum()
}
