//! How much of a shape the cover hides, on a raster of 0.1 mm. A thread of 40 weight is taken to
//! be 0.25 mm wide and to spread by 0.1 mm to each side (common practice).

use super::shapes::{all_lines, all_regions, ellipse, rectangle, region, ring, s_curve};
use super::{moves, sew, sew_region};
use crate::SatinColumn;
use geo::{BoundingRect, MultiPolygon};
use hoopwright_sdk::prelude::*;

const CELL: f64 = 0.1;
const HALF_THREAD: f64 = 0.25 / 2.0 + 0.1;

/// The share of `area` under cover stitches.
pub fn covered(area: &MultiPolygon<f64>, stitches: &[Stitch]) -> f64 {
    let bounds = area.bounding_rect().expect("an area");
    let columns = (bounds.width() / CELL) as usize + 1;
    let rows = (bounds.height() / CELL) as usize + 1;
    let mut hidden = vec![false; columns * rows];
    let cell = |value: f64, count: usize| ((value / CELL).floor().max(0.0) as usize).min(count - 1);
    for (a, b) in moves(stitches).filter(|(_, b)| b.role == StitchRole::Cover) {
        let (a, b) = (a.at - bounds.min(), b.at - bounds.min());
        let low = |p: f64, q: f64| p.min(q) - HALF_THREAD;
        let high = |p: f64, q: f64| p.max(q) + HALF_THREAD;
        for row in cell(low(a.y, b.y), rows)..=cell(high(a.y, b.y), rows) {
            for column in cell(low(a.x, b.x), columns)..=cell(high(a.x, b.x), columns) {
                let p = Coord {
                    x: (column as f64 + 0.5) * CELL,
                    y: (row as f64 + 0.5) * CELL,
                };
                let d = b - a;
                let along = (((p.x - a.x) * d.x + (p.y - a.y) * d.y)
                    / (d.x * d.x + d.y * d.y).max(1e-12))
                .clamp(0.0, 1.0);
                if geometry::measure::distance(p, a + d * along) <= HALF_THREAD {
                    hidden[row * columns + column] = true;
                }
            }
        }
    }
    let (mut inside, mut under) = (0, 0);
    for row in 0..rows {
        let y = bounds.min().y + (row as f64 + 0.5) * CELL;
        let mut crossed: Vec<f64> = area
            .iter()
            .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
            .flat_map(|ring| ring.0.windows(2))
            .filter(|edge| (edge[0].y > y) != (edge[1].y > y))
            .map(|edge| {
                edge[0].x + (edge[1].x - edge[0].x) * (y - edge[0].y) / (edge[1].y - edge[0].y)
            })
            .collect();
        crossed.sort_by(f64::total_cmp);
        for column in 0..columns {
            let x = bounds.min().x + (column as f64 + 0.5) * CELL;
            if crossed.partition_point(|&at| at < x) % 2 == 1 {
                inside += 1;
                under += usize::from(hidden[row * columns + column]);
            }
        }
    }
    f64::from(under as u32) / f64::from(inside.max(1) as u32)
}

#[test]
fn long_regions_are_covered() {
    let ellipse = region([ellipse(0.0, 0.0, 10.0, 4.0)]);
    for (name, area) in [
        ("ring", ring(4.0, 10.0)),
        ("s-curve", s_curve(3.0)),
        ("rectangle", rectangle(20.0, 3.0)),
        ("ellipse", ellipse),
    ] {
        let share = covered(&area, &sew_region(&area));
        println!("{name}: {:.2} % covered", share * 100.0);
        assert!(share >= 0.995, "{name} {share}");
    }
}

#[test]
fn forked_regions_are_covered() {
    for (name, area) in all_regions() {
        let share = covered(&area, &sew_region(&area));
        println!("{name}: {:.2} % covered", share * 100.0);
        assert!(share >= 0.995, "{name} {share}");
    }
}

#[test]
fn lines_are_covered() {
    for (name, line, width) in all_lines() {
        // A pointed end of a drawn stroke is round; satin ends square, so leave the ends out.
        let (stitches, _) = sew(Object::of_line(name, &line, width), &SatinColumn::default());
        let inner = geometry::offset::stroke(&line, width);
        let ends = if line.is_closed() {
            MultiPolygon::new(Vec::new())
        } else {
            let dot =
                |c: Coord<f64>| geometry::offset::stroke(&geo::LineString::from(vec![c]), width);
            geometry::area::union(&dot(line.0[0]), &dot(line.0[line.0.len() - 1]))
        };
        let area = geometry::area::difference(&inner, &ends);
        let share = covered(&area, &stitches);
        println!("{name}: {:.2} % covered", share * 100.0);
        assert!(share >= 0.98, "{name} {share}");
    }
}
