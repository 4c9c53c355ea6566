//! Where a row turns beside the next one's beginning, and one needle point must serve both.

use crate::seam::{Allow, NeedlePoint};
use crate::short::LEAST;
use hoopwright_sdk::geometry::measure::distance;

/// At an edge a row ends beside the next one's beginning. Where the two are too near to one another, the
/// outer one serves both: without it the edge has a notch.
pub struct Turn<'a> {
    /// The shortest stitch that is made without need, in mm.
    pub shortest: f64,
    /// Whether a straight stitch of a role keeps to the region.
    pub allow: &'a Allow<'a>,
    /// Whether a stitch is not too long.
    pub fits: &'a dyn Fn(NeedlePoint, NeedlePoint) -> bool,
}

impl Turn<'_> {
    /// Whether the first of `points` should take the place of the last of `kept`.
    pub fn outdoes(&self, kept: &[NeedlePoint], points: &[NeedlePoint]) -> bool {
        let ([.., before, last], [point, next, ..]) = (kept, points) else {
            return false;
        };
        let (out, back) = (last.at - before.at, next.at - point.at);
        let long = distance(before.at, last.at) * distance(point.at, next.at);
        last.place_matters
            && point.place_matters
            && distance(last.at, point.at) < LEAST
            && is_row(kept.iter().rev(), self.shortest)
            && is_row(points.iter(), self.shortest)
            // Back and forth, to within 25 degrees.
            && out.x * back.x + out.y * back.y < -0.9 * long
            && distance(before.at, point.at) + distance(point.at, next.at)
                > distance(before.at, last.at) + distance(last.at, next.at)
            && (self.allow)(before.at, point.at, last.role)
    }

    /// Puts `point` there. A stitch that gets too long by that is halved.
    pub fn take(&self, kept: &mut Vec<NeedlePoint>, point: NeedlePoint) {
        let [.., before, last] = kept.as_mut_slice() else {
            return;
        };
        let point = NeedlePoint {
            role: last.role,
            ..point
        };
        if (self.fits)(*before, point) {
            *last = point;
        } else {
            last.at = (before.at + point.at) / 2.0;
            last.place_matters = false;
            kept.push(point);
        }
    }
}

/// Whether the first of these points ends a row of three times the shortest stitch or more, in mm: in narrower
/// places needle points crowd, and what one gives way to matters less than that one does.
pub fn is_row<'a>(points: impl Iterator<Item = &'a NeedlePoint>, shortest: f64) -> bool {
    const LONG: f64 = 3.0;
    let mut points = points.map(|point| point.at);
    let (Some(end), Some(mut last)) = (points.next(), points.next()) else {
        return false;
    };
    let way = last - end;
    for at in points {
        let (far, step) = (distance(end, last), at - last);
        // As straight as a row is that turns on its neighbour's end.
        if far >= LONG * shortest
            || step.x * way.x + step.y * way.y < 0.9 * way.x.hypot(way.y) * distance(last, at)
        {
            break;
        }
        last = at;
    }
    distance(end, last) >= LONG * shortest
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::StitchRole;
    use hoopwright_sdk::geometry::geo::Coord;

    /// The stitch to the outer of the two may be too long.
    #[test]
    fn of_two_that_are_too_near_the_outer_one_stays() {
        let turn = Turn {
            shortest: 1.0,
            allow: &|_, _, _| true,
            fits: &|a, b| distance(a.at, b.at) <= 4.0,
        };
        let point = |x, y| NeedlePoint {
            at: Coord { x, y },
            role: StitchRole::Cover,
            place_matters: true,
        };
        let (inner, outer) = (point(0.0, 0.0), point(0.4, 0.2));
        for (from, stay) in [(-3.0, 2), (-3.9, 3)] {
            let mut kept = vec![point(from, 0.0), inner];
            assert!(turn.outdoes(&kept, &[outer, point(-3.0, 0.2)]));
            turn.take(&mut kept, outer);
            assert_eq!((kept.len(), kept[stay - 1]), (stay, outer));
            assert!(!turn.outdoes(&kept, &[inner, point(-3.0, 0.0)]));
        }
    }

    /// In a narrow place, and where the thread goes straight on, both are left to other rules.
    #[test]
    fn only_rows_turn() {
        let turn = Turn {
            shortest: 1.0,
            allow: &|_, _, _| true,
            fits: &|_, _| true,
        };
        let at = |x, y| NeedlePoint {
            at: Coord { x, y },
            role: StitchRole::Cover,
            place_matters: true,
        };
        let kept = [at(-2.0, 0.0), at(0.0, 0.0)];
        assert!(!turn.outdoes(&kept, &[at(0.4, 0.2), at(-2.0, 0.2)]));
        let kept = [at(-4.0, 0.0), at(0.0, 0.0)];
        assert!(!turn.outdoes(&kept, &[at(0.4, 0.2), at(4.0, 0.2)]));
    }
}
