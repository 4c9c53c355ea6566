//! The judgement of a file before cloth is spoiled: what makes a file bad on the machine, measured on
//! the design and on the machine's way through it.
//!
//! One file holds one measure, or a few that share their work. Each looks at the design's
//! needle points and gives a value and the places that are too much; [`judge`] holds them
//! against the machine's limits and numbers the findings, worst first.

mod cloth;
mod clusters;
#[cfg(test)]
mod designs;
mod extra_ties;
mod fabric;
mod findings;
mod gaps;
mod hanging_together;
mod hoop_fit;
mod loose_stitches;
mod measure;
mod measurement;
mod needle_points;
mod outline_wait;
mod penetrations;
mod pulled_cover;
mod repeated_hits;
mod short_stitches;
mod spare_needles;
mod tails;
mod text;
mod thread_heaps;
mod trims;

pub use fabric::Fabric;
pub use findings::{Finding, Measured, Report, schema};
pub use measure::{Limit, Limits, Measure};

use crate::design::{Design, valid};
use crate::formats::dst::{Machine, Route};
use geo::MultiPolygon;
use measurement::Measurement;
use needle_points::NeedlePoints;
use rayon::prelude::*;

/// The most thread that is looked at, in mm: 20 km, about five million stitches.
const MOST_THREAD: f64 = 20e6;

/// Measures a design and `route`, the machine's way through it, and holds both against the machine's
/// limits.
/// The fabric decides how far stitches are pulled together.
pub fn judge(design: &Design, route: &Route, machine: &Machine, fabric: Fabric) -> Report {
    if !valid::problems(design).is_empty() {
        let not = |&measure: &Measure| Measurement::not(measure, "the design is not sound");
        let taken = Measure::ALL.iter().map(not).collect();
        return findings::report(design, machine, taken, MultiPolygon::new(Vec::new()));
    }
    let points = NeedlePoints::of(design, route);
    let limits = &machine.limits;
    let too_much = points.thread() > MOST_THREAD;
    // The measures that lay thread down on cloth take time for each mm of it.
    let laid = |measure: Measure, take: fn(&NeedlePoints<'_>, &Limits) -> Measurement| {
        if too_much {
            Measurement::not(measure, "there are more than 20 km of thread")
        } else {
            take(&points, limits)
        }
    };
    type Work<'a> = Box<dyn Fn() -> (Vec<Measurement>, MultiPolygon<f64>) + Sync + Send + 'a>;
    let none = || MultiPolygon::new(Vec::new());
    let one = |taken: Measurement| (vec![taken], none());
    // The longest work first, so that it does not wait for a core.
    let work: Vec<Work<'_>> = vec![
        Box::new(|| {
            if too_much {
                return one(Measurement::not(
                    Measure::Gaps,
                    "there are more than 20 km of thread",
                ));
            }
            let (taken, gaps) = gaps::take(&points, fabric, limits);
            (vec![taken], gaps)
        }),
        Box::new(|| one(laid(Measure::Tails, tails::take))),
        Box::new(|| one(laid(Measure::ThreadHeaps, thread_heaps::take))),
        Box::new(|| one(repeated_hits::take(&points, limits))),
        Box::new(|| one(penetrations::take(&points, limits))),
        Box::new(|| one(trims::extra(&points, route, limits))),
        Box::new(|| one(outline_wait::take(&points, limits))),
        Box::new(|| (short_stitches::take(&points, limits).into(), none())),
        Box::new(|| {
            let taken = vec![
                extra_ties::take(&points, limits),
                trims::rate(route, limits),
                loose_stitches::loose(&points, limits),
                loose_stitches::long_moves(&points, limits),
                hoop_fit::field(route, machine, limits),
                hoop_fit::hoop_margin(route, machine, limits),
                spare_needles::take(&points, machine, limits),
                trims::unplanned(&points, limits),
            ];
            (taken, none())
        }),
    ];
    let done: Vec<(Vec<Measurement>, MultiPolygon<f64>)> =
        work.par_iter().map(|work| work()).collect();
    let (taken, gaps): (Vec<_>, Vec<_>) = done.into_iter().unzip();
    let gaps = gaps.into_iter().flat_map(|gaps| gaps.0).collect();
    findings::report(design, machine, taken.into_iter().flatten().collect(), gaps)
}

#[cfg(test)]
mod tests;
