//! Stitches too short for a machine, which dropping or moving a needle point can always avoid.

use crate::seam::NeedlePoint;
use hoopwright_sdk::StitchRole;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;

/// No stitch outside ties is shorter than this, in mm (common practice: 0.3 to 0.5).
pub const LEAST: f64 = 0.5;

/// Makes every stitch at least [`LEAST`] long, with as little harm as can be: a point whose place
/// does not matter goes first, then one moves, then one goes all the same. `allow` says whether a
/// straight stitch of a role may be sewn, and `longest` how long it may be.
pub fn settle(
    points: &mut Vec<NeedlePoint>,
    allow: &dyn Fn(Coord<f64>, Coord<f64>, StitchRole) -> bool,
    longest: &dyn Fn(StitchRole) -> f64,
) {
    let sews = |from: Coord<f64>, to: Coord<f64>, role: StitchRole| {
        let long = distance(from, to);
        long >= LEAST && long <= longest(role) && allow(from, to, role)
    };
    // Clean what is behind `i`; each turn drops a point, or moves on.
    let mut i = 1;
    while i < points.len() {
        let (a, b) = (points[i - 1], points[i]);
        if distance(a.at, b.at) >= LEAST {
            i += 1;
            continue;
        }
        let before = i.checked_sub(2).map(|place| points[place]);
        let next = points.get(i + 1).copied();
        let without_b = next.is_none_or(|next| sews(a.at, next.at, next.role));
        let without_a = before.is_none_or(|before| sews(before.at, b.at, b.role));
        let moved = || {
            let b_moved = next.and_then(|next| {
                farther(b.at, [a.at, next.at], a.at)
                    .find(|&at| sews(a.at, at, b.role) && sews(at, next.at, next.role))
                    .map(|at| (i, at))
            });
            b_moved.or_else(|| {
                let before = before?;
                farther(a.at, [b.at, before.at], b.at)
                    .find(|&at| sews(before.at, at, a.role) && sews(at, b.at, b.role))
                    .map(|at| (i - 1, at))
            })
        };
        if without_b && !b.place_matters {
            points.remove(i);
        } else if without_a && !a.place_matters {
            points.remove(i - 1);
        } else if let Some((place, at)) = moved() {
            points[place].at = at;
            continue;
        } else if without_a && !without_b {
            points.remove(i - 1);
        } else {
            // Where nothing else will do, the thread strays by less than the length that it saves.
            points.remove(i);
        }
        i = i.saturating_sub(1).max(1);
    }
}

/// Places a little farther than [`LEAST`] from `from`, as seen from it through `place`, or square
/// to the way between `ends`.
fn farther(
    place: Coord<f64>,
    ends: [Coord<f64>; 2],
    from: Coord<f64>,
) -> impl Iterator<Item = Coord<f64>> {
    const ENOUGH: f64 = LEAST + 1e-4;
    let unit = |way: Coord<f64>| {
        let long = (way.x * way.x + way.y * way.y).sqrt();
        (long > 1e-9).then(|| way / long)
    };
    let way = ends[1] - ends[0];
    let across = Coord {
        x: -way.y,
        y: way.x,
    };
    [place - from, across, -across, way]
        .into_iter()
        .filter_map(unit)
        .map(|direction| from + direction * ENOUGH)
        .collect::<Vec<_>>()
        .into_iter()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(x: f64, y: f64, place_matters: bool) -> NeedlePoint {
        NeedlePoint {
            at: Coord { x, y },
            role: StitchRole::Cover,
            place_matters,
        }
    }

    fn settled(mut points: Vec<NeedlePoint>) -> Vec<NeedlePoint> {
        settle(&mut points, &|_, _, _| true, &|_| 4.0);
        points
    }

    #[test]
    fn what_does_not_matter_goes() {
        let tip = point(2.0, 0.0, true);
        let points = settled(vec![
            point(0.0, 0.0, true),
            tip,
            point(2.2, 0.0, false),
            point(4.0, 0.0, true),
        ]);
        assert_eq!(points.len(), 3);
        assert_eq!(points[1], tip);
    }

    #[test]
    fn of_two_that_matter_one_moves() {
        let points = settled(vec![
            point(0.0, 0.0, true),
            point(2.0, 0.0, true),
            point(2.0, 0.3, true),
            point(0.0, 0.3, true),
        ]);
        assert_eq!(points.len(), 4);
        assert!((points[2].at.y - 0.5).abs() < 1e-3 && points[2].at.x == 2.0);
    }

    #[test]
    fn none_is_left_however_they_crowd() {
        let crowd = (0..50).map(|i| point(f64::from(i % 7) * 0.1, f64::from(i) * 0.05, true));
        let points = settled(crowd.collect());
        assert!(points.len() > 1);
        for pair in points.windows(2) {
            assert!(distance(pair[0].at, pair[1].at) >= LEAST - 1e-9);
        }
    }
}
