//! What can be measured of stitches, without the step's own means.

use hoopwright_sdk::geometry::geo::{BoundingRect, Coord, MultiPolygon};
use hoopwright_sdk::{Stitch, StitchKind, StitchRole};

/// A stitch's two ends and what it is for; only from needle to needle.
pub struct Move {
    pub from: Coord<f64>,
    pub to: Coord<f64>,
    pub role: StitchRole,
}

impl Move {
    pub fn length(&self) -> f64 {
        (self.to.x - self.from.x).hypot(self.to.y - self.from.y)
    }
}

/// The moves with the thread; not those of a jump, nor the needle's first stroke after one.
pub fn moves(stitches: &[Stitch]) -> Vec<Move> {
    stitches
        .windows(2)
        .filter(|pair| pair.iter().all(|s| s.kind == StitchKind::Needle))
        .map(|pair| Move {
            from: pair[0].at,
            to: pair[1].at,
            role: pair[1].role,
        })
        .collect()
}

pub fn jumps(stitches: &[Stitch]) -> usize {
    stitches
        .iter()
        .filter(|s| s.kind == StitchKind::Jump)
        .count()
}

pub fn length_of(stitches: &[Stitch], role: StitchRole) -> f64 {
    let moves = moves(stitches);
    moves
        .iter()
        .filter(|m| m.role == role)
        .map(Move::length)
        .sum()
}

pub fn edges(area: &MultiPolygon<f64>) -> impl Iterator<Item = (Coord<f64>, Coord<f64>)> + '_ {
    area.iter()
        .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
        .flat_map(|ring| ring.0.windows(2).map(|edge| (edge[0], edge[1])))
}

/// Whether a place lies inside (even-odd rule).
pub fn inside(place: Coord<f64>, area: &MultiPolygon<f64>) -> bool {
    let mut inside = false;
    for (a, b) in edges(area) {
        if (a.y > place.y) != (b.y > place.y)
            && place.x < (b.x - a.x) * (place.y - a.y) / (b.y - a.y) + a.x
        {
            inside = !inside;
        }
    }
    inside
}

pub fn from_segment(p: Coord<f64>, a: Coord<f64>, b: Coord<f64>) -> f64 {
    let d = b - a;
    let square = d.x * d.x + d.y * d.y;
    let t = if square > 0.0 {
        (((p.x - a.x) * d.x + (p.y - a.y) * d.y) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let q = a + d * t;
    (p.x - q.x).hypot(p.y - q.y)
}

/// How far a place lies outside.
fn outside_by(place: Coord<f64>, area: &MultiPolygon<f64>) -> f64 {
    if inside(place, area) {
        return 0.0;
    }
    edges(area)
        .map(|(a, b)| from_segment(place, a, b))
        .fold(f64::INFINITY, f64::min)
}

/// The farthest that a move strays from the area, looked at every fifth of a millimetre.
pub fn strays_by(m: &Move, area: &MultiPolygon<f64>) -> f64 {
    let steps = (m.length() / 0.2).ceil().max(1.0) as usize;
    (0..=steps)
        .map(|i| m.from + (m.to - m.from) * (i as f64 / steps as f64))
        .map(|place| outside_by(place, area))
        .fold(0.0, f64::max)
}

/// The share of the area that `threads` cover, each `width` mm wide, on a grid of 0.05 mm.
pub fn covered(area: &MultiPolygon<f64>, threads: &[Move], width: f64) -> f64 {
    const GRID: f64 = 0.05;
    let bounds = area.bounding_rect().unwrap();
    let columns = (bounds.width() / GRID).ceil() as usize;
    let rows = (bounds.height() / GRID).ceil() as usize;
    let place = |column: usize, row: usize| Coord {
        x: bounds.min().x + (column as f64 + 0.5) * GRID,
        y: bounds.min().y + (row as f64 + 0.5) * GRID,
    };
    let mut grid = vec![false; columns * rows];
    let cell =
        |v: f64, least: f64, count: usize| (((v - least) / GRID).max(0.0) as usize).min(count);
    for m in threads {
        let reach = width / 2.0 + GRID;
        let (left, right) = (m.from.x.min(m.to.x) - reach, m.from.x.max(m.to.x) + reach);
        let (top, bottom) = (m.from.y.min(m.to.y) - reach, m.from.y.max(m.to.y) + reach);
        for row in cell(top, bounds.min().y, rows)..cell(bottom, bounds.min().y, rows) {
            for column in cell(left, bounds.min().x, columns)..cell(right, bounds.min().x, columns)
            {
                let at = row * columns + column;
                grid[at] =
                    grid[at] || from_segment(place(column, row), m.from, m.to) <= width / 2.0;
            }
        }
    }
    let (mut all, mut hit) = (0usize, 0usize);
    for row in 0..rows {
        for column in 0..columns {
            if inside(place(column, row), area) {
                all += 1;
                hit += usize::from(grid[row * columns + column]);
            }
        }
    }
    hit as f64 / all as f64
}
