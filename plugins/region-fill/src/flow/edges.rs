//! The region's edges, in a grid, so that what a short move meets is found at once.

use hoopwright_sdk::geometry::geo::{BoundingRect, Coord, Polygon};
use hoopwright_sdk::geometry::measure::{greater, lesser, to_edge};

/// No more cells than this, however large the region.
const MOST_CELLS: f64 = 1e6;

/// The edges of a polygon, holes included, by the cells of a grid that they pass.
#[derive(Debug)]
pub struct Edges {
    edges: Vec<[Coord<f64>; 2]>,
    origin: Coord<f64>,
    step: f64,
    columns: usize,
    rows: usize,
    /// The places, in `edges`, of what passes each cell, in rising order.
    cells: Vec<Vec<u32>>,
    /// Whether each cell that no edge passes lies in the polygon.
    plain: Vec<bool>,
}

impl Edges {
    /// The edges of `polygon`; nothing where it has no extent.
    pub fn new(polygon: &Polygon<f64>) -> Option<Self> {
        let bounds = polygon.bounding_rect()?;
        let step = (bounds.width() * bounds.height() / MOST_CELLS)
            .sqrt()
            .max(1.0);
        let columns = (bounds.width() / step) as usize + 1;
        let rows = (bounds.height() / step) as usize + 1;
        let mut edges = Self {
            edges: Vec::new(),
            origin: bounds.min(),
            step,
            columns,
            rows,
            cells: vec![Vec::new(); columns * rows],
            plain: vec![false; columns * rows],
        };
        for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
            for edge in ring.0.windows(2) {
                edges.add([edge[0], edge[1]]);
            }
        }
        edges.fill();
        Some(edges)
    }

    /// Finds which plain cells lie inside, in each row from the right on.
    fn fill(&mut self) {
        for row in 0..self.rows {
            for column in (0..self.columns).rev() {
                let cell = row * self.columns + column;
                if self.cells[cell].is_empty() {
                    let middle = Coord {
                        x: self.origin.x + (column as f64 + 0.5) * self.step,
                        y: self.origin.y + (row as f64 + 0.5) * self.step,
                    };
                    self.plain[cell] = self.inside_of(middle, row, column + 1);
                }
            }
        }
    }

    fn add(&mut self, edge: [Coord<f64>; 2]) {
        let number = self.edges.len() as u32;
        self.edges.push(edge);
        let [upper, lower] = if edge[0].y <= edge[1].y {
            edge
        } else {
            [edge[1], edge[0]]
        };
        let height = lower.y - upper.y;
        for row in self.row(upper.y)..=self.row(lower.y) {
            // The part of the edge in this row of cells.
            let x_at = |y: f64| {
                if height > 0.0 {
                    let along = ((y - upper.y) / height).clamp(0.0, 1.0);
                    upper.x + along * (lower.x - upper.x)
                } else {
                    lower.x
                }
            };
            let top = self.origin.y + row as f64 * self.step;
            let (a, b) = if height > 0.0 {
                (x_at(top), x_at(top + self.step))
            } else {
                (upper.x, lower.x)
            };
            for column in self.column(a.min(b))..=self.column(a.max(b)) {
                self.cells[row * self.columns + column].push(number);
            }
        }
    }

    fn column(&self, x: f64) -> usize {
        // A cast makes nothing of what lies before the first.
        (((x - self.origin.x) / self.step) as usize).min(self.columns - 1)
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.origin.y) / self.step) as usize).min(self.rows - 1)
    }

    /// Whether a place lies in the polygon; on an edge, it may or may not.
    pub fn holds(&self, at: Coord<f64>) -> bool {
        let from = at - self.origin;
        let within = |from: f64, count: usize| from >= 0.0 && from <= count as f64 * self.step;
        within(from.x, self.columns)
            && within(from.y, self.rows)
            && self.inside_of(at, self.row(at.y), self.column(at.x))
    }

    /// The same for a place in a row of cells, none of whose edges to its right lies before the
    /// column `first`: an odd number of them up to a plain cell parts the two.
    fn inside_of(&self, at: Coord<f64>, row: usize, first: usize) -> bool {
        let mut inside = false;
        let mut before: &[u32] = &[];
        for column in first..self.columns {
            let cell = row * self.columns + column;
            let here = self.cells[cell].as_slice();
            if here.is_empty() {
                return inside != self.plain[cell];
            }
            // In a row, an edge passes cells side by side: it is new, or was in the one before.
            let new = here
                .iter()
                .filter(|edge| before.binary_search(edge).is_err());
            for &edge in new {
                inside ^= lies_right(self.edges[edge as usize], at);
            }
            before = here;
        }
        inside
    }

    /// Whether an edge lies within `reach` mm of a place.
    pub fn near(&self, at: Coord<f64>, reach: f64) -> bool {
        (self.row(at.y - reach)..=self.row(at.y + reach)).any(|row| {
            (self.column(at.x - reach)..=self.column(at.x + reach)).any(|column| {
                let cell = &self.cells[row * self.columns + column];
                let near = |&edge: &u32| to_edge(at, self.edges[edge as usize]) <= reach;
                cell.iter().any(near)
            })
        })
    }

    /// How far along the move from `a` to `b`, from 0 to 1, it first meets an edge, if it does.
    pub fn hit(&self, a: Coord<f64>, b: Coord<f64>) -> Option<f64> {
        let mut first: Option<f64> = None;
        for row in self.row(lesser(a.y, b.y))..=self.row(greater(a.y, b.y)) {
            for column in self.column(lesser(a.x, b.x))..=self.column(greater(a.x, b.x)) {
                for &edge in &self.cells[row * self.columns + column] {
                    if let Some(at) = crossing(a, b, self.edges[edge as usize])
                        && first.is_none_or(|first| at < first)
                    {
                        first = Some(at);
                    }
                }
            }
        }
        first
    }
}

/// Whether an edge passes the level of a place to the right of it. Of two edges that meet on that
/// level, one counts where the outline goes on through it, and none or both where it turns back.
fn lies_right([a, b]: [Coord<f64>; 2], at: Coord<f64>) -> bool {
    (a.y > at.y) != (b.y > at.y) && at.x < a.x + (b.x - a.x) * ((at.y - a.y) / (b.y - a.y))
}

/// Where a move meets an edge.
fn crossing(a: Coord<f64>, b: Coord<f64>, [c, d]: [Coord<f64>; 2]) -> Option<f64> {
    let (way, edge, apart) = (b - a, d - c, c - a);
    let across = way.x * edge.y - way.y * edge.x;
    if across == 0.0 {
        return None;
    }
    let along = (apart.x * edge.y - apart.y * edge.x) / across;
    let on_edge = (apart.x * way.y - apart.y * way.x) / across;
    ((0.0..=1.0).contains(&along) && (0.0..=1.0).contains(&on_edge)).then_some(along)
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::polygon;

    fn place(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    #[test]
    fn a_move_is_stopped_by_the_first_edge() {
        let ring = polygon!(
            exterior: [(x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 10.), (x: 0., y: 10.)],
            interiors: [[(x: 4., y: 4.), (x: 6., y: 4.), (x: 6., y: 6.), (x: 4., y: 6.)]],
        );
        let edges = Edges::new(&ring).expect("it has extent");
        assert_eq!(edges.hit(place(2.0, 5.0), place(12.0, 5.0)), Some(0.2));
        assert_eq!(edges.hit(place(1.0, 1.0), place(9.0, 3.0)), None);
        assert_eq!(edges.hit(place(8.0, 5.0), place(12.0, 5.0)), Some(0.5));
    }

    /// Against geo's own test, on the nodes of a fine grid, of which no edge passes one.
    #[test]
    fn it_knows_what_lies_inside() {
        use hoopwright_sdk::geometry::geo::{Contains, Point};
        let star = (0..14).map(|i| {
            let (sin, cos) = (f64::from(i) * std::f64::consts::TAU / 14.0).sin_cos();
            place(1.0, 2.0) + place(cos, sin) * if i % 2 == 0 { 20.0 } else { 6.0 }
        });
        let hole = [(-1., 0.), (3., 1.), (0.5, 4.), (0.2, 1.5)].map(|(x, y)| place(x, y));
        let star = Polygon::new(star.collect(), vec![hole.to_vec().into()]);
        let edges = Edges::new(&star).expect("it has extent");
        for column in -70..70 {
            for row in -70..70 {
                let at = place(
                    0.331 * f64::from(column) + 0.017,
                    0.331 * f64::from(row) + 0.019,
                );
                assert_eq!(edges.holds(at), star.contains(&Point(at)), "{at:?}");
            }
        }
        assert!(edges.near(place(21.05, 2.0), 0.06) && !edges.near(place(21.05, 2.0), 0.04));
    }
}
