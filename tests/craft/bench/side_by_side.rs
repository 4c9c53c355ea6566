//! One region sewn by turns in the sandbox and as an ordinary function.

use crate::sandboxed::Step;
use hoopwright_craft::native::{Outcome, Ready};
use hoopwright_sdk as sdk;
use std::time::{Duration, Instant};

/// What both ways gave.
pub struct Both {
    /// What the sandbox sewed, which is what people get.
    pub outcome: Outcome,
    /// The median time of the ordinary function.
    pub native: Duration,
    /// The median time in the sandbox.
    pub wasm: Duration,
    /// Whether both sewed the same.
    pub same: bool,
}

/// Repetitions go on until so many are done, or so much time is spent.
const MOST: usize = 9;
const ENOUGH: Duration = Duration::from_millis(40);

/// Sews by turns, so that whatever else the machine does slows both.
pub fn compare(native: &Ready, step: &Step, object: &sdk::Object, thread: &sdk::Thread) -> Both {
    let hosts = step.object(object);
    let begun = Instant::now();
    let outcome = native.call(object.clone(), thread);
    let sandboxed = step.call(&hosts);
    let same = match (&outcome.object, &sandboxed.object) {
        (Ok(a), Ok(b)) => same(a, b),
        (Err(a), Err(b)) => a.message == b.message,
        _ => false,
    };
    // The first call of each finds cold caches; it counts where one call is all there is time for.
    let (mut natives, mut wasms) = (vec![outcome.took], vec![sandboxed.took]);
    while natives.len() < MOST && begun.elapsed() < ENOUGH {
        natives.push(native.call(object.clone(), thread).took);
        wasms.push(step.call(&hosts).took);
    }
    Both {
        outcome: sandboxed,
        native: median(natives),
        wasm: median(wasms),
        same,
    }
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}

/// The farthest that a stitch may lie off, in mm: trigonometry comes from another library natively.
const LIBM: f64 = 1e-6;

fn same(native: &sdk::Object, sandboxed: &sdk::Object) -> bool {
    let near = |a: &[f64], b: &[f64]| {
        a.len() == b.len() && a.iter().zip(b).all(|(a, b)| (a - b).abs() <= LIBM)
    };
    let blocks = native.stitches.iter().zip(&sandboxed.stitches);
    native.stitches.len() == sandboxed.stitches.len()
        && blocks.into_iter().all(|(a, b)| {
            a.kind == b.kind && a.role == b.role && near(&a.x, &b.x) && near(&a.y, &b.y)
        })
}
