//! How long ordering takes, and what it saves, on drawings made by a fixed sequence of numbers.
//!
//! `cargo run --release -p hoopwright-sew-order --example measure`

use hoopwright_sdk::geometry::geo::polygon;
use hoopwright_sdk::prelude::*;
use hoopwright_sew_order::{Plan, SewOrder, plan};
use std::time::{Duration, Instant};

/// `count` octagons of `side` mm at most, spread so that each place is covered `deep` times.
fn drawing(seed: u64, count: usize, threads: u32, side: f64, deep: f64) -> Design {
    let mut state = seed;
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
    Design::on_page(wide, wide, objects.collect())
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
        let (took, plan) = planned(7, count, threads, deep);
        println!(
            "{count} objects, {threads} threads, {deep} deep: {took:.2?}; changes {} (at least {}), \
             trims {} (at least {}), travel {:.0} mm; before {}, {}, {:.0} mm",
            plan.reached.changes,
            plan.at_least.changes,
            plan.reached.trims,
            plan.at_least.trims,
            plan.reached.travel,
            plan.incoming.changes,
            plan.incoming.trims,
            plan.incoming.travel,
        );
    }
    println!("how far above the bound, in 20 drawings each of 8 threads, 2 deep:");
    for count in [20, 40, 80, 160, 320] {
        let (mut changes, mut trims) = (Vec::new(), Vec::new());
        for seed in 1..=20 {
            let plan = planned(1000 * seed, count, 8, 2.0).1;
            changes.push(plan.reached.changes - plan.at_least.changes);
            trims.push(plan.reached.trims - plan.at_least.trims);
        }
        changes.sort_unstable();
        trims.sort_unstable();
        println!("  {count} objects: changes {changes:?}, trims {trims:?}");
    }
    for (threads, deep) in [(1, 0.1), (12, 0.2), (12, 1.0), (12, 5.0)] {
        println!("{threads} threads, {deep} deep, how time grows:");
        let mut earlier: Option<f64> = None;
        for count in [250, 500, 1000, 2000, 4000] {
            let took = planned(7, count, threads, deep).0.as_secs_f64();
            // Time grows as a power of the number of objects: this one.
            let power = earlier.map_or(String::new(), |e| {
                format!(", power {:.2}", (took / e).log2())
            });
            println!("  {count}: {took:.3} s{power}");
            earlier = Some(took);
        }
    }
}

fn planned(seed: u64, count: usize, threads: u32, deep: f64) -> (Duration, Plan) {
    let design = drawing(seed, count, threads, 8.0, deep);
    let selected: Vec<usize> = (0..count).collect();
    let start = Instant::now();
    let plan = plan(&design, &selected, &SewOrder::default());
    (start.elapsed(), plan)
}
