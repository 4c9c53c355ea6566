//! The steps that see a whole design, in the sandbox and as ordinary functions, on designs that grow.
//!
//! `cargo bench -p hoopwright --bench planning` prints a row for each step and size, and the power of
//! the size with which the time in the sandbox grows; names of steps choose among them.

#![allow(
    clippy::unwrap_used,
    reason = "a benchmark that cannot go on should stop"
)]

mod both;
mod drawings;

use both::Planner;
use hoopwright_sdk::Design;

/// A step, the drawing it is shown, and the numbers of objects.
struct Curve {
    step: &'static str,
    drawing: fn(usize) -> Design,
    sizes: &'static [usize],
}

const CURVES: &[Curve] = &[
    Curve {
        step: "cut-layers",
        drawing: drawings::layers,
        sizes: &[250, 500, 1000, 2000],
    },
    Curve {
        step: "join-outlines",
        drawing: drawings::grid_of_pieces,
        sizes: &[625, 1250, 2500, 5000],
    },
    Curve {
        step: "join-outlines",
        drawing: drawings::loose_pieces,
        sizes: &[625, 1250, 2500, 5000],
    },
    Curve {
        step: "sew-order",
        drawing: drawings::layers,
        sizes: &[250, 500, 1000, 2000],
    },
    Curve {
        step: "starts-and-finishes",
        drawing: drawings::layers,
        sizes: &[250, 500, 1000, 2000],
    },
    Curve {
        step: "ties-and-trims",
        drawing: drawings::sewn_layers,
        sizes: &[250, 500, 1000, 2000],
    },
];

fn main() {
    // Cargo adds `--bench`; whatever else there is names steps.
    let wanted: Vec<String> = std::env::args()
        .skip(1)
        .filter(|argument| !argument.starts_with('-'))
        .collect();
    let planner = Planner::new();
    for curve in CURVES {
        if !wanted.is_empty() && !wanted.iter().any(|name| name == curve.step) {
            continue;
        }
        let mut logs = Vec::new();
        for &size in curve.sizes {
            let design = (curve.drawing)(size);
            let took = planner.plan(curve.step, &design);
            let (native, wasm) = (took.native.as_secs_f64(), took.wasm.as_secs_f64());
            println!(
                "{:20} {:5} objects: native {:8.1} ms, sandbox {:8.1} ms, ratio {:.2}; {}",
                curve.step,
                design.objects.len(),
                native * 1e3,
                wasm * 1e3,
                wasm / native,
                took.says
            );
            logs.push(((design.objects.len() as f64).ln(), wasm.ln()));
        }
        println!("{:20} grows with the power {:.2}", curve.step, slope(&logs));
    }
}

/// The slope of the straight line nearest to the points (least squares).
fn slope(points: &[(f64, f64)]) -> f64 {
    let count = points.len() as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / count;
    let (x, y) = (mean(|point| point.0), mean(|point| point.1));
    let along: f64 = points
        .iter()
        .map(|point| (point.0 - x) * (point.1 - y))
        .sum();
    along
        / points
            .iter()
            .map(|point| (point.0 - x).powi(2))
            .sum::<f64>()
}
