//! What the settings and the object's own sewing settings come to.

use crate::seam::Limits;
use crate::underlay::Layers;
use crate::{Follow, NeedlePoints, RegionFill, Underlay};
use hoopwright_sdk::geometry::geo::{Coord, MultiPolygon, Polygon};
use hoopwright_sdk::geometry::measure::longest_axis;
use hoopwright_sdk::stitch_making::within;
use hoopwright_sdk::{DirectionMark, Object, Sewing};
use std::ops::RangeInclusive;

/// What densities an object may ask for, in mm, line 1 to line 3.
const DENSITIES: RangeInclusive<f64> = 0.15..=10.0;

/// What stitch lengths an object may ask for, in mm.
const STITCH_LENGTHS: RangeInclusive<f64> = 1.0..=12.0;

/// The shortest stitch is no longer than this share of the stitch length: rows are divided evenly
/// only where a stitch is worth two of the shortest.
pub const SHORTEST_SHARE: f64 = 0.45;

/// All numbers of a fill, each in a range that can be sewn.
#[derive(Clone, Debug, PartialEq)]
pub struct Recipe {
    /// What the lines of the cover follow.
    pub follow: Follow,
    /// The direction of the rows in degrees, anticlockwise as seen.
    pub angle: f64,
    /// The distance between rows, in mm: half the density.
    pub pitch: f64,
    /// The distance between rows at the far side, in mm, where it changes.
    pub far_pitch: Option<f64>,
    /// Longest stitches.
    pub limits: Limits,
    /// How the needle points of neighbouring rows lie to one another.
    pub needle_points: NeedlePoints,
    /// After so many rows the needle points realign.
    pub stagger: usize,
    /// How far each end of a row is moved out, in mm.
    pub pull_compensation: f64,
    /// The chosen underlay.
    pub underlay: Underlay,
    /// Of the rows of the underlay, in mm, line 1 to line 3.
    pub underlay_density: f64,
    /// How far inside the edge the underlay lies, in mm.
    pub underlay_inset: f64,
    /// The angle between the rows of the underlay and those of the cover, in degrees.
    pub underlay_turn: f64,
    /// Whether little thread is to lie along the edge.
    pub spare_edges: bool,
    /// The object's direction marks, tail and head, those without a length left out.
    pub marks: Vec<[Coord<f64>; 2]>,
}

impl Recipe {
    /// The recipe for filling `area`, which is what `object` draws. What the object asks for in vain is
    /// reported.
    pub fn new(settings: &RegionFill, object: &Object, area: &MultiPolygon<f64>) -> Self {
        let sewing = &object.sewing;
        let density = object.density_or(settings.density, DENSITIES);
        let cover = object.stitch_length_or(settings.stitch_length, STITCH_LENGTHS);
        Self {
            follow: settings.follow,
            angle: angle(settings, sewing, area),
            pitch: density / 2.0,
            far_pitch: settings
                .density_far
                .filter(|far| settings.follow == Follow::Rows && *far != density)
                .map(|far| within(far, DENSITIES) / 2.0),
            limits: Limits {
                cover,
                travel: within(settings.travel_stitch_length, STITCH_LENGTHS),
                underlay: within(settings.underlay_stitch_length, STITCH_LENGTHS),
                shortest: within(settings.shortest_stitch, 0.3..=3.0).min(cover * SHORTEST_SHARE),
            },
            needle_points: settings.needle_points,
            stagger: settings.stagger.clamp(1, 100) as usize,
            pull_compensation: within(settings.pull_compensation, 0.0..=3.0),
            underlay: settings.underlay,
            underlay_density: within(settings.underlay_density, 0.8..=40.0),
            underlay_inset: within(settings.underlay_inset, 0.1..=10.0),
            underlay_turn: settings.underlay_angle,
            spare_edges: settings.spare_edges,
            marks: marks(&sewing.direction_marks),
        }
    }

    /// Whether the digitizer has asked for an underlay, whatever the polygon's size.
    pub fn asks_for_underlay(&self) -> bool {
        !matches!(self.underlay, Underlay::Automatic | Underlay::None)
    }

    /// Which underlays a polygon gets.
    pub fn layers(&self, polygon: &Polygon<f64>) -> Layers {
        let (edge, rows) = match self.underlay {
            Underlay::Automatic => return Layers::for_size(polygon),
            Underlay::EdgeRun => (true, false),
            Underlay::CrossRows => (false, true),
            Underlay::Both => (true, true),
            Underlay::None => (false, false),
        };
        Layers { edge, rows }
    }
}

/// The marks that have a direction.
fn marks(marks: &[DirectionMark]) -> Vec<[Coord<f64>; 2]> {
    let directed = |mark: &&DirectionMark| mean_direction(std::slice::from_ref(*mark)).is_some();
    let ends = |mark: &DirectionMark| [mark.tail, mark.head].map(Coord::from);
    marks.iter().filter(directed).map(ends).collect()
}

/// The object's own angle, or the middle direction of its marks, or the setting, or the longest axis.
fn angle(settings: &RegionFill, sewing: &Sewing, area: &MultiPolygon<f64>) -> f64 {
    [
        sewing.angle,
        mean_direction(&sewing.direction_marks),
        settings.angle,
    ]
    .into_iter()
    .flatten()
    .find(|angle| angle.is_finite())
    .or_else(|| longest_axis(area))
    .unwrap_or(0.0)
}

/// The middle direction of `marks`, each weighing as much as it is long. A direction and its
/// opposite are the same, so that the angles are doubled before they are averaged (K. Mardia and
/// P. Jupp, "Directional Statistics", 2000, section 1.4).
pub fn mean_direction(marks: &[DirectionMark]) -> Option<f64> {
    let (mut x, mut y) = (0.0, 0.0);
    for mark in marks {
        let (dx, dy) = (mark.head.x - mark.tail.x, mark.tail.y - mark.head.y);
        let long = dx.hypot(dy);
        if long > 0.0 && long.is_finite() {
            // cos and sin of the doubled angle, times the length.
            x += (dx * dx - dy * dy) / long;
            y += 2.0 * dx * dy / long;
        }
    }
    (x.hypot(y) > 1e-9).then(|| y.atan2(x).to_degrees() / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::Point;
    use hoopwright_sdk::geometry::geo::polygon;

    fn mark(x: f64, y: f64) -> DirectionMark {
        DirectionMark {
            tail: Point { x: 1.0, y: 1.0 },
            head: Point {
                x: 1.0 + x,
                y: 1.0 + y,
            },
        }
    }

    #[test]
    fn marks_and_their_opposites_agree() {
        let angle = mean_direction(&[mark(1.0, -1.0), mark(-3.0, 3.0)]).expect("an angle");
        assert!((angle - 45.0).abs() < 1e-9, "{angle}");
        assert_eq!(mean_direction(&[]), None);
        assert_eq!(mean_direction(&[mark(0.0, 0.0), mark(f64::NAN, 0.0)]), None);
    }

    #[test]
    fn the_object_wins_over_the_step_and_the_step_over_the_axis() {
        let bar: MultiPolygon<f64> =
            polygon![(x: 0., y: 0.), (x: 1., y: 0.), (x: 1., y: 9.), (x: 0., y: 9.)].into();
        let mut settings = RegionFill::default();
        let mut object = Object::of_region("bar", &bar);
        let angle =
            |settings: &RegionFill, object: &Object| Recipe::new(settings, object, &bar).angle;
        assert!((angle(&settings, &object) - 90.0).abs() < 1e-9);
        settings.angle = Some(20.0);
        assert_eq!(angle(&settings, &object), 20.0);
        object.sewing.direction_marks.push(mark(1.0, 0.0));
        assert_eq!(angle(&settings, &object), 0.0);
        object.sewing.angle = Some(70.0);
        assert_eq!(angle(&settings, &object), 70.0);
    }

    #[test]
    fn what_is_no_number_is_kept_away() {
        let nothing = MultiPolygon::new(vec![]);
        let mut object = Object::of_region("nothing", &nothing);
        object.sewing.density = Some(f64::NAN);
        object.sewing.stitch_length = Some(f64::INFINITY);
        let recipe = Recipe::new(&RegionFill::default(), &object, &nothing);
        assert_eq!(recipe.pitch, 0.075);
        assert_eq!(recipe.limits.cover, 12.0);
    }
}
