//! The most memory that a run has at once, in a process of its own.

use crate::figures::{Figure, whole as commas};
use crate::owls::Owls;
use crate::way;
use crate::workshop::{Workshop, stitches};
use std::process::Command;

/// The word that makes this program be that process.
pub const CHILD: &str = "run-and-tell-memory";
/// Bytes for each stitch.
const MOST: f64 = 300.0;
/// A run of so little that what it takes is the program itself.
const NEXT_TO_NOTHING: usize = 1_000;

/// Of runs of so many stitches.
pub fn measure(sizes: &[usize]) -> Vec<Figure> {
    let (_, empty) = told(NEXT_TO_NOTHING);
    let figure = |&size| {
        let (sewn, peak) = told(size);
        let each = (peak as f64 - empty as f64) / sewn as f64;
        let words = format!(
            "{each:.0} bytes ({:.0} MiB, {:.0} of them without stitches)",
            peak as f64 / f64::from(1 << 20),
            empty as f64 / f64::from(1 << 20),
        );
        let what = format!("peak memory for each of {} stitches", commas(sewn));
        Figure::new(what, words).at_most(each, MOST, "300 bytes")
    };
    sizes.iter().map(figure).collect()
}

/// Starts this program again for a run of that size: stitches, and the most bytes it had.
fn told(size: usize) -> (usize, usize) {
    let this = std::env::current_exe().unwrap();
    let mut child = Command::new(this);
    child.args([CHILD, &size.to_string()]);
    let output = child.output().unwrap();
    assert!(output.status.success(), "a run of {size} stitches failed");
    let text = String::from_utf8(output.stdout).unwrap();
    let numbers = text.split_whitespace().map(|word| word.parse().unwrap());
    let numbers: Vec<usize> = numbers.collect();
    (numbers[0], numbers[1])
}

/// Runs the whole way, as the command `run` does, and prints how many stitches were sewn and the most
/// bytes of memory that there were at once.
pub fn run_and_tell(size: &str) {
    let shop = Workshop::open();
    let products = way::whole(&shop, &Owls::of(size.parse().unwrap()).svg(), None);
    println!("{} {}", stitches(&products.sewn.design), peak());
}

/// The peak of the resident set, as Linux counts it.
fn peak() -> usize {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kib: usize = line
        .unwrap()
        .trim()
        .trim_end_matches(" kB")
        .parse()
        .unwrap();
    kib << 10
}
