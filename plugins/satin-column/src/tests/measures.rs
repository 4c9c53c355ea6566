//! What is measured of sewn regions.

use super::coverage::covered;
use super::{jumps, moves};
use geo::MultiPolygon;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// Figures of one sewn region.
#[derive(Clone, Copy, Debug)]
pub struct Measured {
    /// The share of the region under cover.
    pub covered: f64,
    /// The share of the cover's length outside the region grown by the compensation and 0.2 mm.
    pub cover_outside: f64,
    /// Jumps beyond those between separate parts.
    pub jumps_too_many: f64,
}

impl Measured {
    pub fn of(area: &MultiPolygon<f64>, stitches: &[Stitch], compensation: f64) -> Self {
        let grown = geometry::offset::grow(area, compensation + 0.2);
        let (mut outside, mut all) = (0.0, 0.0);
        for (a, b) in moves(stitches).filter(|m| m.1.role == StitchRole::Cover) {
            outside += length_outside(&grown, a.at, b.at);
            all += distance(a.at, b.at);
        }
        // Parts that meet in a place are one.
        let parts = geometry::offset::grow(area, 0.01).0.len().max(1);
        Self {
            covered: covered(area, stitches),
            cover_outside: if all > 0.0 { outside / all } else { 0.0 },
            jumps_too_many: jumps(stitches) as f64 - (parts - 1) as f64,
        }
    }
}

/// How much of the straight way from `a` to `b` lies outside `area`, in mm.
pub fn length_outside(area: &MultiPolygon<f64>, a: Coord<f64>, b: Coord<f64>) -> f64 {
    let edges = || {
        area.iter()
            .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
            .flat_map(|ring| ring.0.windows(2))
    };
    let way = b - a;
    let mut cuts = vec![0.0, 1.0];
    for edge in edges() {
        let along = edge[1] - edge[0];
        let turn = way.x * along.y - way.y * along.x;
        if turn != 0.0 {
            let to = edge[0] - a;
            let share = (to.x * along.y - to.y * along.x) / turn;
            let other = (to.x * way.y - to.y * way.x) / turn;
            if (0.0..=1.0).contains(&share) && (0.0..=1.0).contains(&other) {
                cuts.push(share);
            }
        }
    }
    cuts.sort_by(f64::total_cmp);
    let inside = |p: Coord<f64>| {
        edges()
            .filter(|e| (e[0].y > p.y) != (e[1].y > p.y))
            .filter(|e| p.x < e[0].x + (e[1].x - e[0].x) * (p.y - e[0].y) / (e[1].y - e[0].y))
            .count()
            % 2
            == 1
    };
    let outside: f64 = cuts
        .windows(2)
        .filter(|pair| pair[1] > pair[0] && !inside(a + way * ((pair[0] + pair[1]) / 2.0)))
        .map(|pair| pair[1] - pair[0])
        .sum();
    outside * distance(a, b)
}
