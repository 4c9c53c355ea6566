//! Directions blended between direction marks.

use crate::flow::field::unit;
use hoopwright_sdk::geometry::geo::{BoundingRect, Coord, Polygon, Rect};
use hoopwright_sdk::geometry::measure::{distance, greater, to_edge};
use hoopwright_sdk::geometry::scan;

/// About so many nodes carry the blended directions.
const NODES: f64 = 16_000.0;

/// Nodes lie no closer together than this, in mm.
const FINEST: f64 = 0.15;

/// It has settled when no component moves by more.
const SETTLED: f64 = 1e-4;

/// A mark holds the lines this far to each side, in mm.
const BROAD: f64 = 0.5;

/// How much the region's edge draws the lines along it, where the marks leave it open: between
/// directions square to one another the blend can turn either way.
const EDGE: f64 = 1e-4;

/// One way to relax the blend.
#[derive(Clone, Copy, Debug)]
struct Stage {
    /// Whether all directions weigh alike, however far from a mark they are.
    even: bool,
    /// By how much each node goes beyond the mean of its neighbours.
    over: f64,
    /// It is relaxed no more often than this.
    most_rounds: usize,
}

impl Stage {
    /// As vectors, which are short where the marks disagree.
    const VECTORS: Self = Self {
        even: false,
        over: 1.9,
        most_rounds: 400,
    };
    /// Then as directions, so that the lines turn as evenly as they can.
    const DIRECTIONS: Self = Self {
        even: true,
        over: 1.85,
        most_rounds: 100,
    };
}

/// Directions blended between marks, on the nodes of a grid.
///
/// What is blended are the vectors (cos 2a, sin 2a) of the doubled angles, in which a direction
/// and its opposite are one (K. Mardia and P. Jupp, "Directional Statistics", 2000, section 1.4).
/// Inside the region each is the mean of its neighbours there, save at the marks: the harmonic
/// blend, which bends no more than it must and knows of holes and bays (direction fields for
/// stitches: Z. Liu et al., "Directionality-Aware Design of Embroidery Patterns", Computer
/// Graphics Forum 42(2), 2023).
#[derive(Debug)]
pub struct Blend {
    origin: Coord<f64>,
    step: f64,
    columns: usize,
    rows: usize,
    /// The doubled directions, row by row.
    doubled: Vec<Coord<f64>>,
}

impl Blend {
    /// The blend of `marks`, each two different places, over `polygon`; nothing where there are
    /// no marks.
    ///
    /// It is found on nodes twice as far apart first, of which there are a quarter as many, and made finer
    /// from there (the cascade of F. A. Bornemann and P. Deuflhard, "The cascadic multigrid method
    /// for elliptic problems", Numerische Mathematik 75 (1996) 135-152, with one coarser grid).
    pub fn new(polygon: &Polygon<f64>, marks: &[[Coord<f64>; 2]]) -> Option<Self> {
        let bounds = polygon.bounding_rect()?;
        if marks.is_empty() {
            return None;
        }
        let extent = (bounds.width() * bounds.height()).max(bounds.width().max(bounds.height()));
        let step = (extent / NODES).sqrt().max(FINEST);
        let mut coarse = Self::from(bounds, 2.0 * step, |place| weighed(place, marks));
        coarse.settle(polygon, marks, &[Stage::VECTORS, Stage::DIRECTIONS]);
        let mut blend = Self::from(bounds, step, |place| coarse.doubled_at(place));
        blend.settle(polygon, marks, &[Stage::DIRECTIONS]);
        Some(blend)
    }

    /// Nodes `step` mm apart all over `bounds`, with the doubled directions that `first` tells.
    fn from(bounds: Rect<f64>, step: f64, first: impl Fn(Coord<f64>) -> Coord<f64>) -> Self {
        // A rim of two nodes, so that every place has four nodes around it.
        let origin = bounds.min() - Coord { x: step, y: step } * 2.0;
        let mut blend = Self {
            origin,
            step,
            columns: (bounds.width() / step).ceil() as usize + 5,
            rows: (bounds.height() / step).ceil() as usize + 5,
            doubled: Vec::new(),
        };
        let nodes = 0..blend.columns * blend.rows;
        blend.doubled = nodes.map(|node| first(blend.place(node))).collect();
        blend
    }

    /// Blends the marks' directions from what the nodes have.
    fn settle(&mut self, polygon: &Polygon<f64>, marks: &[[Coord<f64>; 2]], stages: &[Stage]) {
        let inside = self.inside(polygon);
        let pinned = self.pin(marks, &inside);
        let rim = self.rim(polygon);
        for &stage in stages {
            self.relax(&inside, &pinned, &rim, stage);
        }
        self.spill(&inside);
    }

    fn place(&self, node: usize) -> Coord<f64> {
        let (column, row) = (node % self.columns, node / self.columns);
        self.origin
            + Coord {
                x: column as f64,
                y: row as f64,
            } * self.step
    }

    /// Which nodes lie in the polygon.
    fn inside(&self, polygon: &Polygon<f64>) -> Vec<bool> {
        let mut inside = vec![false; self.columns * self.rows];
        let area = polygon.clone().into();
        for row in scan::rows(&area, self.step, self.origin.y) {
            let Ok(number) = usize::try_from(row.number) else {
                continue;
            };
            for span in &row.spans {
                let first = ((span.left - self.origin.x) / self.step).ceil().max(0.0) as usize;
                let last = ((span.right - self.origin.x) / self.step).floor().max(0.0) as usize;
                for column in first..(last + 1).min(self.columns) {
                    if number < self.rows {
                        inside[number * self.columns + column] = true;
                    }
                }
            }
        }
        inside
    }

    /// The nodes within `reach` mm of a mark, and some more.
    fn around(&self, [a, b]: [Coord<f64>; 2], reach: f64) -> impl Iterator<Item = usize> + use<> {
        let nodes = |low: f64, high: f64, origin: f64, count: usize| {
            let first = ((low - reach - origin) / self.step).floor().max(0.0) as usize;
            let last = ((high + reach - origin) / self.step).ceil().max(0.0) as usize;
            first.min(count)..(last + 1).min(count)
        };
        let columns = nodes(a.x.min(b.x), a.x.max(b.x), self.origin.x, self.columns);
        let rows = nodes(a.y.min(b.y), a.y.max(b.y), self.origin.y, self.rows);
        let width = self.columns;
        rows.flat_map(move |row| columns.clone().map(move |column| row * width + column))
    }

    /// Sets the nodes along each mark, at least one, to its direction, and tells which they are.
    fn pin(&mut self, marks: &[[Coord<f64>; 2]], inside: &[bool]) -> Vec<bool> {
        let mut pinned = vec![false; inside.len()];
        for &mark in marks {
            let away = |nodes: &mut dyn Iterator<Item = usize>| -> Vec<(usize, f64)> {
                let nodes = nodes.filter(|&node| inside[node]);
                nodes
                    .map(|node| (node, to_edge(self.place(node), mark)))
                    .collect()
            };
            let mut reach = (self.step * 0.75).max(BROAD);
            let mut nodes = away(&mut self.around(mark, reach));
            if nodes.iter().all(|node| node.1 > reach) {
                // A mark beside the region holds what is nearest to it.
                nodes = away(&mut (0..inside.len()));
                reach = nodes
                    .iter()
                    .map(|node| node.1)
                    .fold(f64::INFINITY, f64::min);
            }
            for (node, away) in nodes {
                if away <= reach {
                    pinned[node] = true;
                    self.doubled[node] = doubled(mark);
                }
            }
        }
        pinned
    }

    /// The doubled directions of the edge at the nodes near it, times how much they weigh.
    fn rim(&self, polygon: &Polygon<f64>) -> Vec<Coord<f64>> {
        let mut rim = vec![Coord { x: 0.0, y: 0.0 }; self.columns * self.rows];
        for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
            for edge in ring.0.windows(2) {
                let ends = [edge[0], edge[1]];
                let steps = (distance(edge[0], edge[1]) / self.step).ceil().max(1.0);
                for i in 0..steps as usize {
                    let at = edge[0] + (edge[1] - edge[0]) * ((i as f64 + 0.5) / steps);
                    let from = (at - self.origin) / self.step;
                    let (column, row) = (from.x as usize, from.y as usize);
                    for (column, row) in [(0, 0), (1, 0), (0, 1), (1, 1)]
                        .map(|(right, down)| (column + right, row + down))
                    {
                        if column < self.columns && row < self.rows {
                            rim[row * self.columns + column] = doubled(ends) * EDGE;
                        }
                    }
                }
            }
        }
        rim
    }

    /// Makes each inner node the mean of its inner neighbours (successive over-relaxation;
    /// D. Young, 1954), in turns like the squares of a chessboard: no node waits for the one before.
    fn relax(&mut self, inside: &[bool], pinned: &[bool], rim: &[Coord<f64>], stage: Stage) {
        // Nodes outside have no say.
        let mut inner: Vec<Coord<f64>> = self.doubled.clone();
        for (node, doubled) in inner.iter_mut().enumerate() {
            if !inside[node] {
                *doubled = Coord { x: 0.0, y: 0.0 };
            }
        }
        let width = self.columns;
        let free = |colour: usize| {
            let nodes =
                (0..inside.len()).filter(move |node| (node / width + node % width) % 2 == colour);
            nodes
                .filter(|&node| inside[node] && !pinned[node])
                .filter_map(|node| {
                    // The rim of nodes outside keeps these in range.
                    let around = [node - 1, node + 1, node - width, node + width];
                    let count = around.into_iter().filter(|&other| inside[other]).count();
                    (count > 0).then(|| (node, 1.0 / count as f64))
                })
        };
        let free: Vec<(usize, f64)> = free(0).chain(free(1)).collect();
        for _ in 0..stage.most_rounds {
            let mut moved = 0.0_f64;
            for &(node, share) in &free {
                let row = inner[node - 1] + inner[node + 1];
                let column = inner[node - width] + inner[node + width];
                let mean = (rim[node] + row + column) * share;
                let now = inner[node];
                let mut next = now + (mean - now) * stage.over;
                if stage.even {
                    next = unit(next).unwrap_or(now);
                }
                let by = greater((next.x - now.x).abs(), (next.y - now.y).abs());
                moved = greater(by, moved);
                inner[node] = next;
            }
            if moved < SETTLED {
                break;
            }
        }
        for (node, doubled) in inner.into_iter().enumerate() {
            if inside[node] {
                self.doubled[node] = doubled;
            }
        }
    }

    /// Spreads the inner nodes' directions to the two rings of nodes around them.
    fn spill(&mut self, inside: &[bool]) {
        let mut known = inside.to_vec();
        for _ in 0..2 {
            let before = known.clone();
            for node in self.columns + 1..known.len() - self.columns - 1 {
                if before[node] {
                    continue;
                }
                let (mut sum, mut count) = (Coord { x: 0.0, y: 0.0 }, 0.0);
                for row in [node - self.columns, node, node + self.columns] {
                    for other in [row - 1, row, row + 1] {
                        if before[other] {
                            sum = sum + self.doubled[other];
                            count += 1.0;
                        }
                    }
                }
                if count > 0.0 {
                    self.doubled[node] = sum / count;
                    known[node] = true;
                }
            }
        }
    }

    /// The direction at a place, as a unit vector or its opposite; nothing where there is none.
    pub fn at(&self, place: Coord<f64>) -> Option<Coord<f64>> {
        halved(self.doubled_at(place))
    }

    /// The doubled direction between the four nodes around a place.
    fn doubled_at(&self, place: Coord<f64>) -> Coord<f64> {
        let x = ((place.x - self.origin.x) / self.step).clamp(0.0, (self.columns - 2) as f64);
        let y = ((place.y - self.origin.y) / self.step).clamp(0.0, (self.rows - 2) as f64);
        let (column, row) = (x as usize, y as usize);
        let (right, down) = (x - column as f64, y - row as f64);
        let node = row * self.columns + column;
        let upper = self.doubled[node] * (1.0 - right) + self.doubled[node + 1] * right;
        let node = node + self.columns;
        let lower = self.doubled[node] * (1.0 - right) + self.doubled[node + 1] * right;
        upper * (1.0 - down) + lower * down
    }
}

/// The doubled direction of a mark.
fn doubled(mark: [Coord<f64>; 2]) -> Coord<f64> {
    let d = mark[1] - mark[0];
    let square = greater(d.x * d.x + d.y * d.y, f64::MIN_POSITIVE);
    Coord {
        x: (d.x * d.x - d.y * d.y) / square,
        y: 2.0 * d.x * d.y / square,
    }
}

/// The direction whose doubled direction is given, by the half-angle formulas.
fn halved(doubled: Coord<f64>) -> Option<Coord<f64>> {
    let Coord { x, y } = unit(doubled)?;
    unit(if x > 0.0 {
        Coord { x: 1.0 + x, y }
    } else {
        Coord { x: y, y: 1.0 - x }
    })
}

/// The marks' doubled directions, each weighed by the inverse square of its distance (D. Shepard,
/// "A two-dimensional interpolation function for irregularly-spaced data", 1968): where the blend
/// starts from, and what it stays where a neck thinner than the grid parts it from all marks.
fn weighed(place: Coord<f64>, marks: &[[Coord<f64>; 2]]) -> Coord<f64> {
    let (mut sum, mut weights) = (Coord { x: 0.0, y: 0.0 }, 0.0);
    for &mark in marks {
        let away = greater(to_edge(place, mark), 0.01);
        let weight = 1.0 / (away * away);
        sum = sum + doubled(mark) * weight;
        weights += weight;
    }
    sum / weights
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flow::field::Field;
    use hoopwright_sdk::geometry::geo::polygon;

    fn place(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    fn degrees(direction: Coord<f64>) -> f64 {
        (-direction.y).atan2(direction.x).to_degrees()
    }

    #[test]
    fn halving_undoes_doubling() {
        for angle in [0.0_f64, 20.0, 45.0, 89.0, 90.0, 91.0, 135.0, 179.0] {
            let (sin, cos) = angle.to_radians().sin_cos();
            let back = halved(doubled([place(1.0, 1.0), place(1.0 + cos, 1.0 + sin)]));
            let back = back.expect("a direction");
            assert!((back.x * sin - back.y * cos).abs() < 1e-9, "{angle}");
        }
        assert_eq!(halved(place(0.0, 0.0)), None);
    }

    /// Between two walls held at two values, a harmonic function is linear.
    #[test]
    fn between_two_marks_the_direction_turns_evenly() {
        let band = polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 4.), (x: 0., y: 4.)];
        let rise = 10.0_f64.to_radians().tan();
        let marks = [
            [place(0.0, 2.0), place(1.0, 2.0 - rise)],
            [place(39.0, 2.0), place(40.0, 2.0 + rise)],
        ];
        let field = Field::Blend(Blend::new(&band, &marks).expect("a blend"));
        for (x, expected) in [(0.5, 10.0), (12.0, 4.0), (20.0, 0.0), (39.5, -10.0)] {
            let angle = degrees(field.along(place(x, 2.0), place(1.0, 0.0)).expect("one"));
            assert!((angle - expected).abs() < 1.0, "{angle} at {x}");
        }
    }
}
