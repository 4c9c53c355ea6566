//! The region's edges, in a grid, so that what a short move meets is found at once.

use hoopwright_sdk::geometry::geo::{BoundingRect, Coord, Polygon};
use hoopwright_sdk::geometry::measure::{greater, lesser};

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
    /// The places, in `edges`, of what passes each cell.
    cells: Vec<Vec<u32>>,
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
        };
        for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
            for edge in ring.0.windows(2) {
                edges.add([edge[0], edge[1]]);
            }
        }
        Some(edges)
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

    #[test]
    fn a_move_is_stopped_by_the_first_edge() {
        let ring = polygon!(
            exterior: [(x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 10.), (x: 0., y: 10.)],
            interiors: [[(x: 4., y: 4.), (x: 6., y: 4.), (x: 6., y: 6.), (x: 4., y: 6.)]],
        );
        let edges = Edges::new(&ring).expect("it has extent");
        let place = |x: f64, y: f64| Coord { x, y };
        assert_eq!(edges.hit(place(2.0, 5.0), place(12.0, 5.0)), Some(0.2));
        assert_eq!(edges.hit(place(1.0, 1.0), place(9.0, 3.0)), None);
        assert_eq!(edges.hit(place(8.0, 5.0), place(12.0, 5.0)), Some(0.5));
    }
}
