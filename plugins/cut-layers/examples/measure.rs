//! How long cutting takes, on drawings made by a fixed sequence of numbers.
//!
//! `cargo run --release -p hoopwright-cut-layers --example measure`

use hoopwright_cut_layers::{CutLayers, cut_layers};
use hoopwright_sdk::prelude::*;
use std::time::Instant;

/// `count` blobs of `corners` corners and up to `side` mm, spread so that each place is covered
/// `deep` times, on a ground; every fifth is ten times smaller, as details are.
fn drawing(count: usize, corners: u32, side: f64, deep: f64) -> Design {
    let mut state = 7u64;
    let mut next = || {
        state = (state * 1_103_515_245 + 12_345) % (1 << 31);
        (state >> 8) as f64 / f64::from(1 << 23)
    };
    let wide = (count as f64 / deep).sqrt() * side * 0.55;
    let mut objects = Vec::new();
    for i in 0..count {
        let (x, y) = (next() * wide, next() * wide);
        let size = side / 2.0 * (0.3 + 0.7 * next()) * if i % 5 == 4 { 0.1 } else { 1.0 };
        let (bend, phase) = (0.4 * next(), 6.0 * next());
        let ring = (0..corners).map(|k| {
            let turn = f64::from(k) / f64::from(corners) * std::f64::consts::TAU;
            let radius = size * (1.0 + bend * (3.0 * turn + phase).sin());
            Coord {
                x: x + radius * turn.cos(),
                y: y + radius * turn.sin(),
            }
        });
        let blob = geo::Polygon::new(ring.collect(), Vec::new());
        objects.push(Object::of_region(&format!("{i:05}"), &blob.into()));
    }
    Design::on_page(wide, wide, objects)
}

fn main() {
    for (count, corners, side, deep) in [
        (20, 40, 12.0, 1.5),
        (200, 40, 12.0, 1.5),
        (2000, 8, 8.0, 0.5),
        (2000, 8, 8.0, 1.5),
        (2000, 40, 12.0, 0.5),
        (2000, 40, 12.0, 1.5),
        (2000, 40, 12.0, 5.0),
        (4000, 40, 12.0, 1.5),
        (8000, 40, 12.0, 1.5),
    ] {
        let mut design = drawing(count, corners, side, deep);
        let page = &design.page;
        let corners_of_page = [page.least, page.greatest].map(Coord::from);
        let ground = geo::Rect::new(corners_of_page[0], corners_of_page[1]).to_polygon();
        design
            .objects
            .insert(0, Object::of_region("ground", &ground.into()));
        let selected: Vec<usize> = (0..design.objects.len()).collect();
        let start = Instant::now();
        let done = cut_layers(design, &selected, &CutLayers::default());
        let took = start.elapsed();
        let said = messages::take().pop().map(|f| f.message);
        println!(
            "{count} objects of {corners} corners, {deep} deep: {took:.2?}, ok {}: {}",
            done.is_ok(),
            said.unwrap_or_default()
        );
    }
}
