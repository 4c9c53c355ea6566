//! Lost registration: how much is sewn between a region and its outline.

use super::measure::{Limits, Measure};
use super::measurement::{Measurement, Spot};
use super::needle_points::NeedlePoints;
use crate::design::{Polyline, Shape};
use geo::Coord;
use hoopwright_geometry::measure::distance;
use std::collections::{BTreeMap, BTreeSet};

/// A line goes along a region's edge where it lies this near to it, in mm, beside half its width:
/// about a thread's width more than what drawings leave open.
const BESIDE: f64 = 0.5;
/// Lines and edges are looked at in steps of this, in mm.
const STEP: f64 = 0.5;
/// A line is a region's outline where it goes along its edge for at least this, in mm, and for a
/// tenth of its own or the edge's length.
const LEAST: f64 = 5.0;
const LEAST_SHARE: f64 = 0.1;

/// The most stitches that are sewn between the end of a region and the beginning of a line along
/// its edge: each moves the cloth a little.
pub(super) fn take(points: &NeedlePoints<'_>, limits: &Limits) -> Measurement {
    if !points.shapes && !points.all.is_empty() {
        let why = "no object has a shape that would tell which lines are outlines";
        return Measurement::not(Measure::OutlineWait, why);
    }
    let sewn = sewn_from_to(points);
    let edges = Edges::of(points, &sewn);
    let mut spots = Vec::new();
    for (place, object) in points.design.objects.iter().enumerate() {
        let (Shape::Lines(lines), Some(&(first, _))) = (&object.shape, sewn.get(&place)) else {
            continue;
        };
        let reach = lines.width / 2.0 + BESIDE;
        let looks: Vec<Coord<f64>> = lines.paths.iter().flat_map(looks).collect();
        let mut along: BTreeMap<usize, (usize, Coord<f64>)> = BTreeMap::new();
        for &look in &looks {
            for region in edges.near(look, reach) {
                along.entry(region).or_insert((0, look)).0 += 1;
            }
        }
        for (region, (count, at)) in along {
            let Some(&(_, last)) = sewn.get(&region).filter(|(_, last)| *last < first) else {
                continue;
            };
            let shorter = looks.len().min(edges.length(region));
            let enough =
                count as f64 * STEP >= LEAST && count as f64 >= LEAST_SHARE * shorter as f64;
            if enough {
                spots.push(Spot {
                    value: (first - last - 1) as f64,
                    at: Some(at),
                    object: Some(place),
                });
            }
        }
    }
    Measurement::worst(Measure::OutlineWait, limits.of(Measure::OutlineWait), spots)
}

/// Of each sewn object the places of its first and last needle point.
fn sewn_from_to(points: &NeedlePoints<'_>) -> BTreeMap<usize, (usize, usize)> {
    let mut sewn: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
    for (place, needle) in points.all.iter().enumerate() {
        sewn.entry(needle.object).or_insert((place, place)).1 = place;
    }
    sewn
}

/// Places along a line.
fn looks(path: &Polyline) -> impl Iterator<Item = Coord<f64>> {
    let line = path.to_line_string();
    let mut looks = Vec::new();
    for edge in line.lines() {
        let count = (distance(edge.start, edge.end) / STEP).ceil().max(1.0) as usize;
        let at = |part: usize| edge.start + edge.delta() * (part as f64 / count as f64);
        looks.extend((0..count).map(at));
    }
    looks.into_iter()
}

/// The edges of all sewn regions, as places on squares of cloth.
struct Edges {
    side: f64,
    squares: BTreeMap<[i64; 2], Vec<(usize, Coord<f64>)>>,
    lengths: BTreeMap<usize, usize>,
}

impl Edges {
    fn of(points: &NeedlePoints<'_>, sewn: &BTreeMap<usize, (usize, usize)>) -> Self {
        let mut edges = Self {
            side: 2.0,
            squares: BTreeMap::new(),
            lengths: BTreeMap::new(),
        };
        for &place in sewn.keys() {
            let Some(Shape::Region(region)) = points.design.objects.get(place).map(|o| &o.shape)
            else {
                continue;
            };
            let rings = region.polygons.iter();
            let rings =
                rings.flat_map(|polygon| std::iter::once(&polygon.outer).chain(&polygon.holes));
            for look in rings.flat_map(looks) {
                let square = edges.square(look);
                edges.squares.entry(square).or_default().push((place, look));
                *edges.lengths.entry(place).or_default() += 1;
            }
        }
        edges
    }

    fn square(&self, at: Coord<f64>) -> [i64; 2] {
        [at.x, at.y].map(|v| (v / self.side).floor() as i64)
    }

    fn length(&self, region: usize) -> usize {
        self.lengths.get(&region).copied().unwrap_or(0)
    }

    /// The regions whose edge lies within `reach` of a place.
    fn near(&self, at: Coord<f64>, reach: f64) -> BTreeSet<usize> {
        // Places on the edge lie up to half a step aside of the nearest one.
        let reach = reach.min(10.0 * self.side) + STEP / 4.0;
        let far = Coord { x: reach, y: reach };
        let (least, most) = (self.square(at - far), self.square(at + far));
        // Column by column, so that nothing is looked at that lies above or below.
        let squares = (least[0]..=most[0])
            .flat_map(|x| self.squares.range([x, least[1]]..=[x, most[1]]))
            .map(|(_, places)| places);
        let near = squares
            .flatten()
            .filter(|(_, place)| distance(*place, at) <= reach);
        near.map(|&(region, _)| region).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Object, StitchList, StitchRole};
    use crate::report::designs::{self, at, of};
    use geo::line_string;
    use geo::{LineString, MultiPolygon, Rect};

    fn square() -> Rect<f64> {
        Rect::new(at(10., 10.), at(30., 30.))
    }

    fn sewn(mut object: Object, y: f64, stitches: u32) -> Object {
        let mut list = StitchList::new();
        for stitch in 0..stitches {
            list.needle(StitchRole::Cover, at(f64::from(stitch % 9) * 2.0, y));
        }
        object.stitches = list.into_blocks();
        object
    }

    fn region() -> Object {
        let area = MultiPolygon::new(vec![square().to_polygon()]);
        sewn(Object::of_region("region", &area), 10.0, 100)
    }

    fn line(id: &str, line: LineString<f64>) -> Object {
        sewn(Object::of_line(id, &line, 0.4), 12.0, 50)
    }

    fn between(id: &str, stitches: u32) -> Object {
        sewn(Object::new(id, Shape::Manual), 14.0, stitches)
    }

    fn waits(objects: Vec<Object>) -> f64 {
        let design = of(objects);
        let points = designs::points(&design);
        take(&points, &Limits::default()).value.expect("taken")
    }

    #[test]
    fn stitches_between_a_region_and_its_outline_are_counted() {
        let outline = || line("outline", square().to_polygon().into_inner().0);
        assert_eq!(waits(vec![region(), outline()]), 0.0);
        assert_eq!(waits(vec![region(), between("b", 2000), outline()]), 2000.0);
        assert_eq!(waits(vec![outline(), between("b", 2000), region()]), 0.0);
    }

    /// Against every place of the edges, one by one.
    #[test]
    fn near_places_are_found_wherever_their_squares_lie() {
        let strip = Rect::new(at(0., -40.), at(3., 60.));
        let tall = MultiPolygon::new(vec![strip.to_polygon()]);
        let tall = sewn(Object::of_region("tall", &tall), 10.0, 9);
        let design = of(vec![region(), tall]);
        let points = designs::points(&design);
        let edges = Edges::of(&points, &sewn_from_to(&points));
        for (i, reach) in (0..400).zip([0.5_f64, 1.7, 3.0, 25.0].into_iter().cycle()) {
            let look = at(
                f64::from(i % 20) * 2.3 - 5.0,
                f64::from(i / 20) * 5.9 - 50.0,
            );
            let within = reach.min(20.0) + STEP / 4.0;
            let all = edges.squares.values().flatten();
            let near = all.filter(|(_, place)| distance(*place, look) <= within);
            let expected: BTreeSet<usize> = near.map(|&(region, _)| region).collect();
            assert_eq!(edges.near(look, reach), expected, "{look:?}, {reach}");
        }
    }

    #[test]
    fn a_line_elsewhere_or_across_is_no_outline() {
        let across = line_string![(x: 0., y: 20.), (x: 40., y: 20.)];
        let far = line_string![(x: 8., y: 10.), (x: 8., y: 30.)];
        for other in [across, far] {
            let objects = vec![region(), between("b", 2000), line("other", other)];
            assert_eq!(waits(objects), 0.0);
        }
        let beside = line_string![(x: 9.5, y: 10.), (x: 9.5, y: 30.)];
        let objects = vec![region(), between("b", 2000), line("beside", beside)];
        assert_eq!(waits(objects), 2000.0);
    }
}
