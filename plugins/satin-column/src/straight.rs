//! A region crossed straight: one column of parallel rungs, where columns along its axis would heap.
//!
//! What is about as wide as long, a star or a cloud, has an axis with arms in all directions. Columns along
//! them lie on each other where they meet, and that is most of such a region. One column over all of it
//! does with half the thread where some direction crosses it once nearly everywhere.

use crate::column::{Column, Rung};
use crate::strand::Strand;
use geo::{Area, BoundingRect, MapCoords, Polygon};
use hoopwright_sdk::geometry::measure::longest_axis;
use hoopwright_sdk::geometry::scan::{Span, rows};
use hoopwright_sdk::prelude::*;

/// Columns that lay so many times what a region covers heap on it. Two bars that meet lay less.
const HEAPED: f64 = 1.1;
/// Parallel stitches may be so many times as long as those of the columns: longer ones would run along a limb.
const LONGER: f64 = 2.4;
/// So many directions are looked at, evenly spread.
const DIRECTIONS: u32 = 24;
/// From one rung to the next, in mm.
const PITCH: f64 = 0.1;
/// At most this share of a region may lie beyond a bay, where a column of its own must go.
const BEYOND_BAYS: f64 = 0.05;

/// What columns cover, in mm²: twice where two lie on each other.
pub fn laid(columns: &[Strand]) -> f64 {
    quads(columns).map(|(area, _)| area).sum()
}

/// How wide columns are, the mean over what they cover, in mm.
fn mean_width(columns: &[Strand]) -> f64 {
    let times_width: f64 = quads(columns).map(|(area, width)| area * width).sum();
    times_width / laid(columns).max(1e-9)
}

/// The areas between neighbouring rungs, with their widths.
fn quads(columns: &[Strand]) -> impl Iterator<Item = (f64, f64)> + '_ {
    let steps = columns.iter().flat_map(|strand| strand.column.steps());
    steps.map(|(a, b)| {
        let corners = [a.left, a.right, b.right, b.left];
        let quad = Polygon::new(corners.into_iter().collect(), Vec::new());
        (quad.unsigned_area(), (a.width() + b.width()) / 2.0)
    })
}

/// Where `columns` heap on `part`, the column of parallel rungs over it whose stitches are the shortest, none over
/// `longest` mm; along `angle` (degrees, anticlockwise as seen) where one is asked for. Nothing where every
/// direction crosses bays, or runs along a limb.
pub fn straight_over(
    part: &Polygon<f64>,
    columns: &[Strand],
    angle: Option<f64>,
    longest: f64,
) -> Option<Column> {
    if columns.len() < 2 || laid(columns) < HEAPED * part.unsigned_area() {
        return None;
    }
    let axis = longest_axis(&part.clone().into()).unwrap_or(0.0);
    let turns = (0..DIRECTIONS).map(|turn| 180.0 * f64::from(turn) / f64::from(DIRECTIONS));
    let directions: Vec<f64> = match angle {
        Some(angle) => vec![angle],
        None => turns.map(|turn| axis + 90.0 + turn).collect(),
    };
    let ladders = directions
        .into_iter()
        .filter_map(|angle| Ladder::over(part, angle, longest));
    let best = ladders.min_by(|a, b| a.mean_length.total_cmp(&b.mean_length))?;
    if best.mean_length > LONGER * mean_width(columns) {
        return None;
    }
    Column::whole(best.rungs(), false)
}

/// Parallel crossings of a region, each from its first edge to its last.
struct Ladder {
    /// The direction of the crossings, of length 1.
    across: Coord<f64>,
    /// Where each lies: its place along the column, and from where to where it goes across.
    crossings: Vec<(f64, Span)>,
    /// How long they are, the mean over the region's area, in mm.
    mean_length: f64,
}

impl Ladder {
    fn over(part: &Polygon<f64>, angle: f64, longest: f64) -> Option<Self> {
        let (sin, cos) = angle.to_radians().sin_cos();
        let across = Coord { x: cos, y: -sin };
        let level = part.map_coords(|place| Coord {
            x: place.x * across.x + place.y * across.y,
            y: place.y * across.x - place.x * across.y,
        });
        let bounds = level.bounding_rect()?;
        let count = (bounds.height() / PITCH).ceil().max(2.0);
        let pitch = bounds.height() / count;
        let (mut all, mut squares, mut beyond) = (0.0, 0.0, 0.0);
        let mut crossings = Vec::new();
        for row in rows(&level.into(), pitch, bounds.min().y + pitch / 2.0) {
            let lengths = || row.spans.iter().map(Span::length);
            let inside: f64 = lengths().sum();
            let main = lengths().fold(0.0, f64::max);
            if main > longest {
                return None;
            }
            all += inside;
            squares += main * main;
            beyond += inside - main;
            let (first, last) = (row.spans.first()?, row.spans.last()?);
            let (left, right) = (first.left, last.right);
            crossings.push((row.y, Span { left, right }));
        }
        (beyond <= BEYOND_BAYS * all).then_some(Self {
            across,
            crossings,
            mean_length: squares / all,
        })
    }

    fn rungs(&self) -> Vec<Rung> {
        let along = Coord {
            x: -self.across.y,
            y: self.across.x,
        };
        let rungs = self.crossings.iter().map(|&(y, span)| {
            let place = |x: f64| self.across * x + along * y;
            Rung::new(place(span.left), place(span.right))
        });
        rungs.collect()
    }
}

#[cfg(test)]
mod tests {
    use crate::columns::strands_of_object;
    use crate::pull::Pull;
    use crate::straight::laid;
    use crate::strand::Strand;
    use crate::taper::Widths;
    use geo::{Area, LineString, MultiPolygon};
    use hoopwright_sdk::DirectionMark;
    use hoopwright_sdk::geometry::area::union;
    use hoopwright_sdk::geometry::measure::cross;
    use hoopwright_sdk::geometry::offset::stroke;
    use hoopwright_sdk::prelude::*;
    use std::f64::consts::TAU;

    /// A star of five blunt points, 4 mm across, as flags and badges have.
    fn star() -> MultiPolygon<f64> {
        let corners = (0..10).map(|k| {
            let radius = if k % 2 == 0 { 2.0 } else { 0.9 };
            let (sin, cos) = (TAU * f64::from(k) / 10.0).sin_cos();
            (radius * sin, -radius * cos)
        });
        let sharp = geo::Polygon::new(corners.collect(), Vec::new());
        let within = geometry::offset::grow(&sharp.into(), -0.25);
        geometry::offset::grow(&within, 0.25)
    }

    fn strands_of(object: &Object) -> Vec<Strand> {
        let found = strands_of_object(object, Widths::default(), Pull::NONE, 7.0);
        found.expect("it can be sewn").0
    }

    fn is_along(strands: &[Strand], angle: f64) -> bool {
        let (sin, cos) = angle.to_radians().sin_cos();
        let along = Coord { x: cos, y: -sin };
        let mut rungs = strands.iter().flat_map(|strand| strand.column.rungs());
        rungs.all(|rung| cross(along, rung.right - rung.left).abs() < 1e-6)
    }

    #[test]
    fn a_small_star_is_one_column() {
        let area = star();
        let strands = strands_of(&Object::of_region("star", &area));
        assert_eq!(strands.len(), 1);
        assert!(laid(&strands) < 1.05 * area.unsigned_area());
    }

    /// Not every direction crosses a star once.
    #[test]
    fn its_stitches_lie_along_the_angle_that_is_asked_for() {
        let mut object = Object::of_region("star", &star());
        let mut straight = 0;
        for angle in (0..180).step_by(9).map(f64::from) {
            object.sewing.angle = Some(angle);
            let strands = strands_of(&object);
            if strands.len() == 1 {
                assert!(is_along(&strands, angle), "{angle}");
                straight += 1;
            }
        }
        assert!(straight >= 5, "{straight}");
    }

    #[test]
    fn a_direction_mark_keeps_the_columns_along_the_axis() {
        let mut object = Object::of_region("star", &star());
        let (tail, head) = (Point { x: -0.3, y: -1.0 }, Point { x: 0.3, y: -1.0 });
        object.sewing.direction_marks = vec![DirectionMark { tail, head }];
        assert!(strands_of(&object).len() > 1);
    }

    /// Bars 1 mm wide and 5 mm long: stitches that are square to one would run along the other.
    #[test]
    fn letters_keep_a_column_for_each_bar() {
        type Bar = [(f64, f64); 2];
        let letters: [(&str, &[Bar]); 4] = [
            ("T", &[[(0., 0.), (5., 0.)], [(2.5, 0.), (2.5, 5.)]]),
            (
                "Y",
                &[
                    [(0., 0.), (2.5, 2.5)],
                    [(5., 0.), (2.5, 2.5)],
                    [(2.5, 2.5), (2.5, 5.)],
                ],
            ),
            ("X", &[[(0., 0.), (5., 5.)], [(5., 0.), (0., 5.)]]),
            ("plus", &[[(0., 2.5), (5., 2.5)], [(2.5, 0.), (2.5, 5.)]]),
        ];
        for (letter, bars) in letters {
            let bars = bars
                .iter()
                .map(|bar| stroke(&LineString::from(bar.to_vec()), 1.0));
            let area = bars.fold(MultiPolygon::new(Vec::new()), |all, bar| union(&all, &bar));
            let strands = strands_of(&Object::of_region(letter, &area));
            assert!(strands.len() > 1, "{letter}");
        }
    }
}
