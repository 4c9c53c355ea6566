//! How long joining takes, and how near to the shortest it comes, on drawings made by a fixed
//! sequence of numbers.
//!
//! `cargo run --release -p hoopwright-join-outlines --example measure_joining`

use hoopwright_join_outlines::{JoinOutlines, join_outlines};
use hoopwright_sdk::geometry::geo::{Coord, LineString, polygon};
use hoopwright_sdk::prelude::*;
use std::time::Instant;

/// Numbers from 0 to 1 in a fixed sequence.
fn numbers() -> impl FnMut() -> f64 {
    let mut state = 7u64;
    move || {
        state = (state * 1_103_515_245 + 12_345) % (1 << 31);
        (state >> 8) as f64 / f64::from(1 << 23)
    }
}

fn line(number: usize, corners: &[(f64, f64)]) -> Object {
    let corners: LineString<f64> = corners.iter().map(|&(x, y)| Coord { x, y }).collect();
    Object::of_line(&format!("{number:05}"), &corners, 0.4)
}

/// The sides of a square grid of about `count` pieces, each on its own.
fn grid(count: usize) -> Vec<Object> {
    let side = ((count as f64 / 2.0).sqrt()).round() as usize;
    let mut pieces = Vec::new();
    for row in 0..=side {
        for column in 0..=side {
            let (x, y) = (column as f64 * 3.0, row as f64 * 3.0);
            if column < side {
                pieces.push([(x, y), (x + 3.0, y)]);
            }
            if row < side {
                pieces.push([(x, y), (x, y + 3.0)]);
            }
        }
    }
    let pieces = pieces.iter().enumerate();
    pieces.map(|(i, piece)| line(i, piece)).collect()
}

/// A wall of bricks with uneven corners: three edges meet nearly everywhere.
fn mosaic(count: usize) -> Vec<Object> {
    let side = ((count as f64 / 1.5).sqrt()).round() as usize;
    let mut next = numbers();
    let corners: Vec<Vec<(f64, f64)>> = (0..=side)
        .map(|row| {
            let mut corner = |column: usize| {
                (
                    column as f64 * 3.0 + next(),
                    row as f64 * 4.0 + 1.5 * next(),
                )
            };
            (0..=side).map(&mut corner).collect()
        })
        .collect();
    let mut pieces = Vec::new();
    for row in 0..=side {
        for column in 0..=side {
            if column < side {
                pieces.push([corners[row][column], corners[row][column + 1]]);
            }
            if row < side && (row + column) % 2 == 0 {
                pieces.push([corners[row][column], corners[row + 1][column]]);
            }
        }
    }
    let pieces = pieces.iter().enumerate();
    pieces.map(|(i, piece)| line(i, piece)).collect()
}

/// Dashes in rows whose ends lie `gap` mm apart.
fn dashes(count: usize, gap: f64) -> Vec<Object> {
    let dash = |i: usize| {
        let (x, y) = ((i % 100) as f64 * (3.0 + gap), (i / 100) as f64 * 2.0);
        line(i, &[(x, y), (x + 3.0, y)])
    };
    (0..count).map(dash).collect()
}

/// Lines strewn at random, each crossing a few others.
fn strewn(count: usize) -> Vec<Object> {
    let mut next = numbers();
    let wide = (count as f64).sqrt() * 5.0;
    let strewn = (0..count).map(|i| {
        let (x, y) = (next() * wide, next() * wide);
        let (dx, dy) = (next() * 16.0 - 8.0, next() * 16.0 - 8.0);
        line(i, &[(x, y), (x + dx, y + dy)])
    });
    strewn.collect()
}

/// The same dashes, with a leaf of another thread over every third gap.
fn under_leaves(count: usize) -> Vec<Object> {
    let mut objects = dashes(count, 2.0);
    for i in (0..count).step_by(3) {
        let (x, y) = ((i % 100) as f64 * 5.0 + 2.0, (i / 100) as f64 * 2.0);
        let leaf = polygon![
            (x: x, y: y - 0.8), (x: x + 4.0, y: y - 0.8),
            (x: x + 4.0, y: y + 0.8), (x: x, y: y + 0.8)
        ];
        let mut leaf = Object::of_region(&format!("leaf-{i:05}"), &leaf.into());
        leaf.thread = 1;
        objects.push(leaf);
    }
    objects
}

fn measure(name: &str, objects: Vec<Object>) {
    let design = Design::on_page(0., 0., objects);
    let selected: Vec<usize> = (0..design.objects.len()).collect();
    let count = selected.len();
    let start = Instant::now();
    let done = join_outlines(design, &selected, &JoinOutlines::default());
    let took = start.elapsed();
    let after = done.map_or(0, |design| design.objects.len());
    println!("{name}: {count} objects into {after} in {took:.2?}");
    let findings = messages::take();
    if let Some(summary) = findings.last() {
        println!("    {}", summary.message);
    }
    for finding in findings.iter().filter(|f| f.help.is_some()).take(2) {
        println!("    {}", finding.message);
    }
}

fn main() {
    for count in [500, 1000, 2000, 5000] {
        measure("grid", grid(count));
        measure("mosaic", mosaic(count));
        measure("strewn", strewn(count));
        measure("dashes that touch", dashes(count, 0.2));
        measure("dashes that nearly touch", dashes(count, 0.35));
        measure("dashes under leaves", under_leaves(count));
    }
    measure("grid of 70 x 70", grid(2 * 70 * 70));
}
