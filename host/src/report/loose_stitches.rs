//! Loops and snags: stitches and moves that are too long.

use super::measure::{Limits, Measure};
use super::measurement::{Measurement, Spot};
use super::needle_points::NeedlePoints;
use crate::design::StitchRole;
use crate::formats::dst::route::NeedlePoint;
use hoopwright_geometry::measure::distance;

/// The longest stitch that is meant to be seen. A satin lies free over its whole width; the
/// stitches of a fill and a run are shorter by far, so that every cover stitch is asked.
pub(super) fn loose(points: &NeedlePoints<'_>, limits: &Limits) -> Measurement {
    let covers = points
        .stitches()
        .filter(|(_, to)| to.role == StitchRole::Cover)
        .map(|(from, to)| between(from, to, distance(from.at, to.at)));
    Measurement::worst(
        Measure::LooseStitches,
        limits.of(Measure::LooseStitches),
        covers,
    )
}

/// The longest move from needle point to needle point along an axis, which is what a record tells.
pub(super) fn long_moves(points: &NeedlePoints<'_>, limits: &Limits) -> Measurement {
    let moves = points.stitches().map(|(from, to)| {
        let step = to.at - from.at;
        between(from, to, step.x.abs().max(step.y.abs()))
    });
    Measurement::worst(Measure::LongMoves, limits.of(Measure::LongMoves), moves)
}

/// A tenth of a micrometre is what adding and taking away coordinates costs; a stitch of 9 mm is
/// not longer than 9 mm for that.
const ROUNDING: f64 = 1e-7;

fn between(from: &NeedlePoint, to: &NeedlePoint, length: f64) -> Spot {
    Spot {
        value: (length - ROUNDING).max(0.0),
        at: Some((from.at + to.at) / 2.0),
        object: Some(to.object),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::designs::{self, at, manual};

    fn taken(x: f64, y: f64, role: StitchRole) -> [Measurement; 2] {
        let design = manual(&[("a", 0)], |_, list| {
            list.needle(role, at(0.0, 0.0));
            list.needle(role, at(x, y));
        });
        let points = designs::points(&design);
        let limits = Limits::default();
        [loose(&points, &limits), long_moves(&points, &limits)]
    }

    /// Satin is 1 to 9 mm wide (Printwear); a DST record tells 12.1 mm an axis (published layout).
    #[test]
    fn nine_mm_of_satin_and_a_move_of_12_1_mm_are_allowed() {
        assert!(taken(9.0, 0.0, StitchRole::Cover)[0].spots.is_empty());
        assert_eq!(taken(9.01, 0.0, StitchRole::Cover)[0].spots.len(), 1);
        assert!(taken(12.1, 12.1, StitchRole::Underlay)[1].spots.is_empty());
        assert_eq!(taken(12.2, 0.0, StitchRole::Underlay)[1].spots.len(), 1);
    }

    #[test]
    fn a_slanted_stitch_is_as_long_as_it_lies() {
        let [loose, moved] = taken(6.0, 8.0, StitchRole::Cover);
        assert!((loose.value.expect("taken") - 10.0).abs() < 1e-6);
        assert!((moved.value.expect("taken") - 8.0).abs() < 1e-6);
        assert_eq!(taken(6.0, 8.0, StitchRole::Travel)[0].value, Some(0.0));
    }
}
