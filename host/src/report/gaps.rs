//! Gaps: where cloth will show once the fabric has pulled its stitches together.

use super::fabric::Fabric;
use super::measure::{Limits, Measure};
use super::measurement::{Measurement, Spot, is_over};
use super::needle_points::NeedlePoints;
use super::pulled_cover::{CELL, PulledCover};
use crate::design::{bounds, hiding};
use geo::{Area, BoundingRect, Coord, LineString, MultiPolygon, Rect};
use hoopwright_geometry::area::{FillRule, from_rings};
use hoopwright_geometry::{clean, offset, scan};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// The picture of a gap leaves out corners that stray no farther than this from its edge, in mm.
const STRAY: f64 = CELL;

/// A gap predicted: its share of the object's shape in percent, its area, and its place.
struct Gap {
    object: usize,
    share: f64,
    at: Coord<f64>,
    area: MultiPolygon<f64>,
}

/// The share of each sewn object's shape that no cover of any object lies over, and the gaps of
/// those that have too much of it. The design's value is that of its worst object.
pub(super) fn take(
    points: &NeedlePoints<'_>,
    fabric: Fabric,
    limits: &Limits,
) -> (Measurement, MultiPolygon<f64>) {
    let none = MultiPolygon::new(Vec::new());
    if !points.shapes && !points.all.is_empty() {
        let why = "no object has a shape that its stitches could be held against";
        return (Measurement::not(Measure::Gaps, why), none);
    }
    let limit = limits.of(Measure::Gaps);
    let objects = points.design.objects.iter().enumerate();
    let shapes: Vec<(usize, MultiPolygon<f64>)> = objects
        .collect::<Vec<_>>()
        .into_par_iter()
        .filter_map(|(place, object)| Some((place, hiding::sewn_area(object)?)))
        .collect();
    let around = shapes.iter().filter_map(|(_, area)| area.bounding_rect());
    let corners = around.flat_map(|rect| [rect.min(), rect.max()]);
    let Some(around) = bounds(corners.chain(points.all.iter().map(|needle| needle.at))) else {
        return (Measurement::worst(Measure::Gaps, limit, []), none);
    };
    let cover = PulledCover::of(points, around, fabric);
    let found: Vec<Gap> = shapes
        .par_iter()
        .map(|(place, area)| gap(*place, area, &cover, |share| is_over(share, limit)))
        .collect();
    let spots = found.iter().map(|gap| Spot {
        value: gap.share,
        at: Some(gap.at),
        object: Some(gap.object),
    });
    let taken = Measurement::worst(Measure::Gaps, limit, spots.collect::<Vec<_>>());
    let gaps = found.into_iter().flat_map(|gap| gap.area.0).collect();
    (taken.remark(format!("on {} fabric", fabric.name())), gaps)
}

/// What of `area` lies bare. The polygons are made only where the share is too much.
fn gap(
    object: usize,
    area: &MultiPolygon<f64>,
    cover: &PulledCover,
    too_much: impl Fn(f64) -> bool,
) -> Gap {
    let mut bare: BTreeMap<i64, Vec<(i64, i64)>> = BTreeMap::new();
    let (mut all, mut missing) = (0i64, 0i64);
    let corner = cover.place(0, 0);
    for row in scan::rows(area, CELL, corner.y + CELL / 2.0) {
        let stretches = row.spans.iter().flat_map(|span| {
            let (first, end) = cover.cells(span.left, span.right);
            all += (end - first).max(0);
            cover.bare(row.number, first, end)
        });
        let stretches: Vec<(i64, i64)> = stretches.collect();
        missing += stretches
            .iter()
            .map(|(first, end)| end - first)
            .sum::<i64>();
        if !stretches.is_empty() {
            bare.insert(row.number, stretches);
        }
    }
    let share = 100.0 * missing as f64 / all.max(1) as f64;
    let area = if too_much(share) {
        outlined(&bare, cover)
    } else {
        MultiPolygon::new(Vec::new())
    };
    let at = largest(&area).unwrap_or(corner);
    Gap {
        object,
        share,
        at,
        area,
    }
}

/// The bare cells as polygons, without the steps of the cells along slanted edges.
fn outlined(bare: &BTreeMap<i64, Vec<(i64, i64)>>, cover: &PulledCover) -> MultiPolygon<f64> {
    // The same stretch on the line below makes its rectangle higher.
    let mut rings: Vec<LineString<f64>> = Vec::new();
    let mut open: BTreeMap<(i64, i64), i64> = BTreeMap::new();
    let mut close =
        |open: &BTreeMap<(i64, i64), i64>, keep: &dyn Fn(&(i64, i64)) -> bool, end: i64| {
            for (&(first, last), &begun) in open.iter().filter(|(stretch, _)| !keep(stretch)) {
                let rect = Rect::new(cover.place(first, begun), cover.place(last, end));
                rings.push(rect.to_polygon().into_inner().0);
            }
        };
    let mut before = i64::MIN;
    for (&line, stretches) in bare {
        let goes_on = |stretch: &(i64, i64)| before + 1 == line && stretches.contains(stretch);
        close(&open, &goes_on, before.saturating_add(1));
        open.retain(|stretch, _| goes_on(stretch));
        for &stretch in stretches {
            open.entry(stretch).or_insert(line);
        }
        before = line;
    }
    close(&open, &|_| false, before.saturating_add(1));
    clean(&offset::thinned(
        from_rings(rings, FillRule::NonZero),
        STRAY,
    ))
}

/// A place in the middle of the largest polygon's widest part.
fn largest(area: &MultiPolygon<f64>) -> Option<Coord<f64>> {
    let by_area = |a: &&geo::Polygon<f64>, b: &&geo::Polygon<f64>| {
        a.unsigned_area().total_cmp(&b.unsigned_area())
    };
    let largest = area.iter().max_by(by_area)?;
    let alone = MultiPolygon::new(vec![largest.clone()]);
    let circle = hoopwright_geometry::measure::largest_circle(&alone, CELL)?;
    Some(circle.centre)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::THREAD_SPREAD;
    use crate::design::{Design, StitchList};
    use crate::design::{Object, Shape, StitchRole};
    use crate::report::designs::{self, at, lay_rows, of};
    use geo::line_string;

    fn rectangle(width: f64, height: f64) -> MultiPolygon<f64> {
        let rect = Rect::new(at(0., 0.), at(width, height));
        MultiPolygon::new(vec![rect.to_polygon()])
    }

    /// A rectangle in level rows that reach `compensation` mm beyond both sides.
    fn filled(width: f64, height: f64, compensation: f64) -> Design {
        let mut list = StitchList::new();
        let across = (width + 2.0 * compensation) / 5.0;
        let rows = (height / 0.2).round() as u32;
        lay_rows(&mut list, at(-compensation, 0.), 5, across, 0.2, rows);
        let mut object = Object::of_region("rectangle", &rectangle(width, height));
        object.stitches = list.into_blocks();
        of(vec![object])
    }

    fn taken(design: &Design, fabric: Fabric) -> (Measurement, MultiPolygon<f64>) {
        let points = designs::points(design);
        take(&points, fabric, &Limits::default())
    }

    /// Closed form: a rectangle of rows along its width W loses on each side what the fabric pulls,
    /// less the pull compensation and what the weave hides: 2 (p - c - 0.1) / W of its area.
    #[test]
    fn a_rectangle_s_gap_has_its_closed_form() {
        for (fabric, compensation, width) in [
            (Fabric::Terry, 0.0, 20.0),
            (Fabric::Terry, 0.15, 20.0),
            (Fabric::Fleece, 0.0, 10.0),
            (Fabric::Pique, 0.0, 10.0),
            (Fabric::Woven, 0.0, 10.0),
            (Fabric::Woven, 0.15, 10.0),
            (Fabric::Terry, 0.4, 10.0),
        ] {
            let design = filled(width, 12.0, compensation);
            let (taken, gaps) = taken(&design, fabric);
            let side = (fabric.pull() - compensation - THREAD_SPREAD).max(0.0);
            let expected = 200.0 * side / width;
            let found = taken.value.expect("taken");
            // A cell of 0.05 mm on either side is the map's own error.
            assert!(
                (found - expected).abs() <= 200.0 * CELL / 2.0 / width + 1e-9,
                "{} {compensation}: {found}, not {expected}",
                fabric.name()
            );
            let area = gaps.unsigned_area();
            let whole = width * 12.0;
            let drawn = if found > 1.0 {
                found / 100.0 * whole
            } else {
                0.0
            };
            assert!(
                (area - drawn).abs() < 0.02 * whole.sqrt(),
                "{area}, not {drawn}"
            );
        }
    }

    #[test]
    fn the_gap_lies_at_the_ends_of_the_rows() {
        let (taken, gaps) = taken(&filled(20.0, 12.0, 0.0), Fabric::Terry);
        assert_eq!(gaps.0.len(), 2);
        for polygon in &gaps {
            let rect = polygon.bounding_rect().expect("it is one");
            assert!(rect.max().x <= 0.41 || rect.min().x >= 19.59, "{rect:?}");
            assert!(rect.height() > 11.9);
        }
        assert_eq!(taken.spots.len(), 1);
        let at = taken.spots[0].at.expect("a place");
        assert!(at.x < 0.4 || at.x > 19.6);
    }

    #[test]
    fn what_another_object_covers_is_no_gap() {
        let mut design = filled(20.0, 12.0, 0.0);
        let mut under = filled(22.0, 12.0, 0.4).objects.remove(0);
        under.id = "under".to_owned();
        for block in &mut under.stitches {
            block.x.iter_mut().for_each(|x| *x -= 1.0);
        }
        under.shape = Shape::Manual;
        design.objects.insert(0, under);
        let (taken, _) = taken(&design, Fabric::Terry);
        assert_eq!(taken.value, Some(0.0));
    }

    #[test]
    fn open_rows_are_gaps() {
        let mut list = StitchList::new();
        // Rows 0.9 mm apart, of thread that hides 0.45: a half lies bare.
        lay_rows(&mut list, at(-0.2, 0.), 5, 20.4 / 5.0, 0.9, 20);
        let mut object = Object::of_region("open", &rectangle(20.0, 18.0));
        object.stitches = list.into_blocks();
        let (taken, _) = taken(&of(vec![object]), Fabric::Woven);
        let value = taken.value.expect("taken");
        assert!((value - 50.0).abs() < 1.0, "{value}");
    }

    #[test]
    fn a_hairline_is_not_meant_to_be_covered_and_a_machine_file_tells_no_shapes() {
        let line = line_string![(x: 0., y: 0.), (x: 20., y: 0.)];
        let mut object = Object::of_line("hairline", &line, 3.0);
        let mut list = StitchList::new();
        for x in 0..=10 {
            list.needle(StitchRole::Cover, at(2.0 * f64::from(x), 0.));
        }
        object.stitches = list.into_blocks();
        assert_eq!(
            taken(&of(vec![object.clone()]), Fabric::Woven).0.value,
            Some(0.0)
        );
        object.shape = Shape::Manual;
        let (taken, _) = taken(&of(vec![object]), Fabric::Woven);
        assert!(taken.value.is_none() && taken.remark.is_some());
    }
}
