//! The thread's way through one part of a region: needle points on the cloth, in order.

use crate::short;
use crate::turn::{Turn, is_row};
use hoopwright_sdk::StitchRole;
use hoopwright_sdk::geometry::geo::{Coord, LineString};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::geometry::resample::{Spacing, along};
use hoopwright_sdk::stitch_making::LONGEST_STITCH;

/// A needle point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NeedlePoint {
    /// Where, on the cloth.
    pub at: Coord<f64>,
    /// What the stitch that ends here is for.
    pub role: StitchRole,
    /// Whether the place matters, or is only somewhere on the way.
    pub place_matters: bool,
}

/// The longest stitch of each role, and the shortest of all, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Along a row of the cover.
    pub cover: f64,
    /// Of a travel.
    pub travel: f64,
    /// Of an underlay.
    pub underlay: f64,
    /// The shortest that is made without need.
    pub shortest: f64,
}

impl Limits {
    /// The longest stitch of a role.
    pub fn longest(&self, role: StitchRole) -> f64 {
        match role {
            StitchRole::Cover | StitchRole::Tie => self.cover,
            StitchRole::Travel => self.travel,
            StitchRole::Underlay => self.underlay,
        }
    }
}

/// Whether a straight stitch of a role keeps to the region.
pub type Allow<'a> = dyn Fn(Coord<f64>, Coord<f64>, StitchRole) -> bool + 'a;

/// Needle points being laid.
pub struct Seam<'a> {
    limits: Limits,
    /// Whether a straight stitch of a role keeps to the region.
    allow: &'a Allow<'a>,
    points: Vec<NeedlePoint>,
    /// The way to the next needle point.
    bends: Vec<Coord<f64>>,
    /// What that way is for.
    bend_role: StitchRole,
}

/// No stitch outside ties is shorter than this, in mm (common practice: 0.3 to 0.5). Stitches of the
/// cover itself are kept down to it: where a region is this narrow, the rows are no longer.
const FLOOR: f64 = short::LEAST;

impl<'a> Seam<'a> {
    /// Nothing laid yet. `allow` says whether a straight stitch keeps to the region.
    pub fn new(limits: Limits, allow: &'a Allow<'a>) -> Self {
        Self {
            limits,
            allow,
            points: Vec::new(),
            bends: Vec::new(),
            bend_role: StitchRole::Travel,
        }
    }

    /// Whether nothing is laid.
    pub fn is_empty(&self) -> bool {
        self.points.is_empty()
    }

    /// The last needle point.
    pub fn last(&self) -> Option<Coord<f64>> {
        self.points.last().map(|point| point.at)
    }

    /// How long the travel is that is laid, in mm.
    pub fn travelled(&self) -> f64 {
        let stitches = self.points.windows(2);
        let travel = stitches.filter(|pair| pair[1].role == StitchRole::Travel);
        travel.map(|pair| distance(pair[0].at, pair[1].at)).sum()
    }

    /// The thread passes `at` on its way to the next needle point.
    pub fn bend(&mut self, at: Coord<f64>, role: StitchRole) {
        if self.bends.is_empty() {
            self.bend_role = role;
        }
        self.bends.push(at);
    }

    /// The needle goes down at `at`; on the way there too, as often as the way is long.
    pub fn needle(&mut self, at: Coord<f64>, role: StitchRole) {
        self.lay(at, role, true);
    }

    /// The needle goes down at `at`, unless the stitch would be short: then the place gives way.
    pub fn needle_near(&mut self, at: Coord<f64>, role: StitchRole) {
        self.lay(at, role, false);
    }

    fn lay(&mut self, at: Coord<f64>, role: StitchRole, place_matters: bool) {
        let bends = std::mem::take(&mut self.bends);
        let Some(last) = self.last() else {
            self.push(at, role, place_matters);
            return;
        };
        let role = if bends.is_empty() {
            role
        } else {
            self.bend_role
        };
        let longest = self.limits.longest(role);
        if bends.is_empty() && distance(last, at) <= longest + 1e-9 {
            self.push(at, role, place_matters);
            return;
        }
        let way: LineString<f64> = std::iter::once(last).chain(bends).chain([at]).collect();
        let points = self.divide(&way, longest, role);
        let count = points.len();
        for (i, point) in points.into_iter().enumerate().skip(1) {
            self.push(point, role, place_matters && i + 1 == count);
        }
    }

    /// Needle points along a way; the closer together the less it can be cut short.
    fn divide(&self, way: &LineString<f64>, longest: f64, role: StitchRole) -> Vec<Coord<f64>> {
        let wanted = self.limits.shortest.min(longest * 0.4);
        let mut points = Vec::new();
        // The last follows every corner; what is too short for a stitch is taken out in the end.
        for (shortest, tolerance) in [
            (wanted, 0.1),
            (wanted / 2.0, 0.1),
            (FLOOR, 0.05),
            (0.05, 0.02),
        ] {
            let spacing = Spacing {
                shortest,
                tolerance,
                ..Spacing::new(longest)
            };
            points = along(way, spacing);
            if points
                .windows(2)
                .all(|pair| (self.allow)(pair[0], pair[1], role))
            {
                break;
            }
        }
        points
    }

    fn push(&mut self, at: Coord<f64>, role: StitchRole, place_matters: bool) {
        self.points.push(NeedlePoint {
            at,
            role,
            place_matters: place_matters && role != StitchRole::Underlay,
        });
    }

    /// The needle points, without the stitches that are too short.
    pub fn finish(self) -> Vec<NeedlePoint> {
        let Self {
            limits,
            allow,
            points,
            ..
        } = self;
        let mut kept: Vec<NeedlePoint> = Vec::with_capacity(points.len());
        let fits =
            |a: NeedlePoint, b: NeedlePoint| distance(a.at, b.at) <= limits.longest(b.role) + 1e-9;
        for (i, &point) in points.iter().enumerate() {
            let Some(&last) = kept.last() else {
                kept.push(point);
                continue;
            };
            let both_matter = last.place_matters && point.place_matters;
            let wanted = if both_matter { FLOOR } else { limits.shortest };
            let step = distance(last.at, point.at);
            if step >= wanted {
                kept.push(point);
                continue;
            }
            let next = points.get(i + 1).copied();
            let turn = Turn {
                shortest: limits.shortest,
                allow,
                fits: &fits,
            };
            if both_matter && turn.outdoes(&kept, &points[i..]) {
                turn.take(&mut kept, point);
                continue;
            }
            let begins_row = is_row(points[i..].iter(), limits.shortest);
            // Without this point: also where the next takes the place of the last.
            let skip = next.is_none_or(|next| {
                (fits(last, next) && allow(last.at, next.at, next.role))
                    || (!point.place_matters && turn.outdoes(&kept, &points[i + 1..]))
            });
            // The thread's end counts as well.
            let counts = (point.place_matters || next.is_none()) && !last.place_matters;
            let sews =
                |from: NeedlePoint| fits(from, point) && allow(from.at, point.at, point.role);
            if (counts || !skip)
                && let Some(left) = before(&kept, point, counts && begins_row, wanted, sews)
            {
                kept.truncate(left);
                kept.push(point);
            } else if skip {
                // The thread already lies here.
            } else if step >= FLOOR {
                kept.push(point);
            } else if let Some(next) = next {
                kept.extend(eased(last, point, next, allow, fits));
            }
        }
        short::settle(&mut kept, allow, &|role| limits.longest(role) + 1e-9);
        halved(kept)
    }
}

/// How many of `kept` stay where `point`, which lies too near to the last, takes its place, so that a stitch
/// of at least `wanted` mm `sews` from what stays. One that `counts` takes the places of more that are only
/// on the way, as long as they are too near as well.
fn before(
    kept: &[NeedlePoint],
    point: NeedlePoint,
    counts: bool,
    wanted: f64,
    sews: impl Fn(NeedlePoint) -> bool,
) -> Option<usize> {
    for left in (1..kept.len()).rev() {
        let from = kept[left - 1];
        if distance(from.at, point.at) >= wanted {
            return sews(from).then_some(left);
        }
        if from.place_matters || !counts {
            break;
        }
    }
    None
}

/// With a needle point in the middle of what is longer than a machine's stitch: where a region is narrower
/// than thread, a point too near to another may go though the stitch past it is as long as stitches get.
fn halved(points: Vec<NeedlePoint>) -> Vec<NeedlePoint> {
    let mut halved: Vec<NeedlePoint> = Vec::with_capacity(points.len());
    for point in points {
        if let Some(last) = halved.last()
            && distance(last.at, point.at) > LONGEST_STITCH + 1e-6
        {
            let at = (last.at + point.at) / 2.0;
            let place_matters = false;
            halved.push(NeedlePoint {
                at,
                place_matters,
                ..point
            });
        }
        halved.push(point);
    }
    halved
}

/// A needle point in place of `point`, which lies too near to `last` but cannot be left out: where
/// the stitch past it would be too long, half way; elsewhere the corner is cut by a stitch as short
/// as may be. Nothing where even that is not far from `next`.
fn eased(
    last: NeedlePoint,
    point: NeedlePoint,
    next: NeedlePoint,
    allow: &Allow,
    fits: impl Fn(NeedlePoint, NeedlePoint) -> bool,
) -> Option<NeedlePoint> {
    let middle = (last.at + next.at) / 2.0;
    let at = if fits(last, next)
        || !(allow(last.at, middle, point.role) && allow(middle, next.at, next.role))
    {
        beyond(last.at, FLOOR * 1.01, point.at, next.at)?
    } else {
        middle
    };
    (distance(at, next.at) >= FLOOR || !fits(last, next)).then_some(NeedlePoint { at, ..point })
}

/// The first place from `a` to `b` that lies `away` mm from `centre`, where `a` lies nearer.
fn beyond(centre: Coord<f64>, away: f64, a: Coord<f64>, b: Coord<f64>) -> Option<Coord<f64>> {
    let (way, from) = (b - a, a - centre);
    let square = way.x * way.x + way.y * way.y;
    let half = way.x * from.x + way.y * from.y;
    let rest = from.x * from.x + from.y * from.y - away * away;
    let root = (half * half - square * rest).max(0.0).sqrt();
    let along = (root - half) / square;
    (0.0..=1.0).contains(&along).then(|| a + way * along)
}

#[cfg(test)]
mod tests {
    use super::*;

    const LIMITS: Limits = Limits {
        cover: 4.0,
        travel: 2.5,
        underlay: 2.5,
        shortest: 1.0,
    };

    fn at(x: f64) -> Coord<f64> {
        Coord { x, y: 0.0 }
    }

    fn xs(seam: Seam) -> Vec<f64> {
        seam.finish().iter().map(|point| point.at.x).collect()
    }

    #[test]
    fn a_travel_is_sewn_in_even_steps() {
        let mut seam = Seam::new(LIMITS, &|_, _, _| true);
        seam.needle(at(0.0), StitchRole::Cover);
        seam.bend(at(3.0), StitchRole::Travel);
        seam.needle(at(6.0), StitchRole::Cover);
        assert_eq!(xs(seam), [0.0, 2.0, 4.0, 6.0]);
    }

    #[test]
    fn what_is_only_on_the_way_gives_way() {
        let mut seam = Seam::new(LIMITS, &|_, _, _| true);
        seam.needle(at(0.0), StitchRole::Underlay);
        seam.needle(at(2.0), StitchRole::Underlay);
        seam.needle(at(2.4), StitchRole::Cover);
        seam.needle(at(6.0), StitchRole::Cover);
        assert_eq!(xs(seam), [0.0, 2.4, 6.0]);
    }

    #[test]
    fn a_short_stitch_between_long_ones_is_parted_anew() {
        let mut seam = Seam::new(LIMITS, &|_, _, _| true);
        for x in [0.0, 4.0, 4.2, 8.1] {
            seam.needle(at(x), StitchRole::Cover);
        }
        assert_eq!(xs(seam), [0.0, 4.0, 6.05, 8.1]);
    }

    /// A travel turns back to where a row begins: no step of it is a millimetre away from there.
    #[test]
    fn a_row_keeps_its_beginning_after_a_travel() {
        use StitchRole::{Cover, Travel};
        let mut seam = Seam::new(LIMITS, &|_, _, _| true);
        for (x, y, role, matters) in [
            (-2.0, 0.0, Cover, true),
            (0.0, 0.0, Travel, false),
            (1.0, 0.0, Travel, false),
            (0.5, 0.55, Cover, true),
            (4.0, 0.55, Cover, true),
        ] {
            seam.push(Coord { x, y }, role, matters);
        }
        assert_eq!(xs(seam), [-2.0, 0.5, 4.0]);
    }

    /// Round a corner that must be kept to, no stitch is shorter than half a millimetre.
    #[test]
    fn a_corner_is_cut_by_a_stitch_that_can_be_sewn() {
        let corner = Coord { x: 0.2, y: 0.0 };
        let keeps = |a: Coord<f64>, b: Coord<f64>, _| distance(a, b) < 1.0 || a.x == b.x;
        let mut seam = Seam::new(LIMITS, &keeps);
        for at in [at(0.0), corner, Coord { x: 0.2, y: 3.0 }] {
            seam.needle(at, StitchRole::Cover);
        }
        let points = seam.finish();
        assert_eq!(points.len(), 3);
        assert!(distance(points[0].at, points[1].at) >= 0.5);
        assert!((points[1].at.x - 0.2).abs() < 1e-9);
    }
}
