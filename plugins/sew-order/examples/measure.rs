//! How long ordering takes, and what it saves, on drawings made by a fixed sequence of numbers.
//!
//! `cargo run --release -p hoopwright-sew-order --example measure`

use hoopwright_sdk::Rectangle;
use hoopwright_sdk::geometry::geo::polygon;
use hoopwright_sdk::prelude::*;
use hoopwright_sew_order::{SewOrder, sew_order};
use std::time::Instant;

/// `count` octagons of `side` mm at most, spread so that each place is covered `deep` times.
fn drawing(count: usize, threads: u32, side: f64, deep: f64) -> Design {
    let mut state = 7u64;
    let mut next = || {
        state = (state * 1_103_515_245 + 12_345) % (1 << 31);
        (state >> 8) as f64 / f64::from(1 << 23)
    };
    let wide = (count as f64 / deep).sqrt() * side * 0.7;
    let objects = (0..count).map(|i| {
        let (x, y, s) = (next() * wide, next() * wide, side * (0.3 + 0.7 * next()));
        let c = s * 0.3;
        let area = polygon![
            (x: x + c, y: y), (x: x + s - c, y: y), (x: x + s, y: y + c), (x: x + s, y: y + s - c),
            (x: x + s - c, y: y + s), (x: x + c, y: y + s), (x: x, y: y + s - c), (x: x, y: y + c)
        ];
        let mut object = Object::of_region(&format!("{i:05}"), &area.into());
        object.thread = (next() * f64::from(threads)) as u32;
        object
    });
    Design {
        title: String::new(),
        page: Rectangle {
            least: Point { x: 0., y: 0. },
            greatest: Point { x: wide, y: wide },
        },
        threads: Vec::new(),
        objects: objects.collect(),
    }
}

fn main() {
    for (count, threads, deep) in [
        (20, 4, 1.0),
        (60, 8, 1.0),
        (200, 10, 0.5),
        (200, 10, 2.0),
        (2000, 1, 0.1),
        (2000, 12, 0.2),
        (2000, 12, 1.0),
        (2000, 12, 5.0),
        (2000, 40, 1.0),
    ] {
        let design = drawing(count, threads, 8.0, deep);
        let selected: Vec<usize> = (0..count).collect();
        let start = Instant::now();
        let done = sew_order(design, &selected, &SewOrder::default());
        let took = start.elapsed();
        let note = messages::take()
            .pop()
            .map(|f| f.message)
            .unwrap_or_default();
        println!(
            "{count} objects, {threads} threads, {deep} deep: {took:.2?}, ok {}: {note}",
            done.is_ok()
        );
    }
}
