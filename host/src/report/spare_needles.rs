//! Threads without a needle of their own.

use super::measure::{Limits, Measure};
use super::measurement::Measurement;
use super::needle_points::NeedlePoints;
use crate::formats::dst::Machine;
use std::collections::BTreeSet;

/// Threads that the design needs beyond the machine's needles.
pub(super) fn take(points: &NeedlePoints<'_>, machine: &Machine, limits: &Limits) -> Measurement {
    let Some(needles) = machine.needles else {
        return Measurement::not(
            Measure::SpareNeedles,
            "the machine's profile does not tell how many needles it has",
        );
    };
    if !points.shapes && !points.all.is_empty() {
        let why = "a machine file does not tell which of its runs have the same thread";
        return Measurement::not(Measure::SpareNeedles, why);
    }
    let objects = &points.design.objects;
    let used = points
        .all
        .iter()
        .filter_map(|needle| objects.get(needle.object));
    let used: BTreeSet<u32> = used.map(|object| object.thread).collect();
    let lacking = used.len().saturating_sub(needles.into());
    let limit = limits.of(Measure::SpareNeedles);
    Measurement::whole(Measure::SpareNeedles, limit, lacking as f64)
        .remark(format!("{} threads, {needles} needles", used.len()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Object, StitchRole};
    use crate::report::designs::{self, at, manual};
    use geo::line_string;

    #[test]
    fn threads_are_counted_against_needles() {
        let mut design = manual(&[("a", 0), ("b", 1)], |place, list| {
            let y = 40.0 * place as f64;
            list.needle(StitchRole::Cover, at(0.0, y));
            list.needle(StitchRole::Cover, at(3.0, y));
        });
        let line = line_string![(x: 0., y: 0.), (x: 3., y: 0.)];
        design.objects[0].shape = Object::of_line("a", &line, 0.4).shape;
        let points = designs::points(&design);
        for (needles, lacking) in [(1, 1.0), (2, 0.0), (15, 0.0)] {
            let machine = Machine {
                needles: Some(needles),
                ..Machine::default()
            };
            let taken = take(&points, &machine, &Limits::default());
            assert_eq!(taken.value, Some(lacking));
            assert_eq!(taken.spots.is_empty(), lacking == 0.0);
        }
    }
}
