//! Finding the edge of a ring that lies near a place.

use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::{distance, nearest_fraction};
use hoopwright_sdk::geometry::measured::Ring;

/// No link leads on.
const NONE: u32 = u32::MAX;

/// No more squares than this, so that a wide region does not fill the memory.
const MOST_SQUARES: f64 = 2e6;

/// Things sorted into the squares of a grid.
#[derive(Clone, Debug)]
pub struct Grid<T> {
    origin: Coord<f64>,
    side: f64,
    columns: usize,
    rows: usize,
    first: Vec<u32>,
    entries: Vec<(T, u32)>,
}

impl<T: Copy> Grid<T> {
    /// An empty grid of squares at least `side` mm wide over all of `places`.
    pub fn new(places: impl Iterator<Item = Coord<f64>>, side: f64) -> Self {
        let far = f64::INFINITY;
        let (mut least, mut most) = (Coord { x: far, y: far }, Coord { x: -far, y: -far });
        for place in places {
            least = Coord {
                x: least.x.min(place.x),
                y: least.y.min(place.y),
            };
            most = Coord {
                x: most.x.max(place.x),
                y: most.y.max(place.y),
            };
        }
        let (wide, high) = ((most.x - least.x).max(0.0), (most.y - least.y).max(0.0));
        let side = side
            .max((wide * high / MOST_SQUARES).sqrt())
            .max((wide + high) / 1e5);
        let (columns, rows) = ((wide / side) as usize + 1, (high / side) as usize + 1);
        Self {
            origin: least,
            side,
            columns,
            rows,
            first: vec![NONE; columns * rows],
            entries: Vec::new(),
        }
    }

    fn square(&self, place: Coord<f64>) -> (usize, usize) {
        let at = (place - self.origin) / self.side;
        // A cast takes what is below zero to zero.
        (
            (at.x as usize).min(self.columns - 1),
            (at.y as usize).min(self.rows - 1),
        )
    }

    /// Puts a thing into the square of a place.
    pub fn put(&mut self, place: Coord<f64>, thing: T) {
        let (column, row) = self.square(place);
        let first = &mut self.first[row * self.columns + column];
        self.entries.push((thing, *first));
        *first = (self.entries.len() - 1) as u32;
    }

    /// All things in the square of a place and in those around it.
    pub fn around(&self, place: Coord<f64>) -> impl Iterator<Item = T> + '_ {
        let (column, row) = self.square(place);
        let rows = row.saturating_sub(1)..=(row + 1).min(self.rows - 1);
        let squares = rows.flat_map(move |row| {
            let columns = column.saturating_sub(1)..=(column + 1).min(self.columns - 1);
            columns.map(move |column| self.first[row * self.columns + column])
        });
        squares.flat_map(move |first| {
            let mut next = first;
            std::iter::from_fn(move || {
                let (thing, after) = *self.entries.get(next as usize)?;
                next = after;
                Some(thing)
            })
        })
    }
}

/// A place on a ring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Foot {
    /// The ring.
    pub ring: usize,
    /// How far along it, in mm.
    pub at: f64,
    /// How far away it is, in mm.
    pub away: f64,
}

/// The edges of some rings, by where they lie.
pub struct Near<'a> {
    rings: &'a [Ring],
    grid: Grid<(u32, u32)>,
    reach: f64,
}

impl<'a> Near<'a> {
    /// For finding places on those of `rings` that are `among`, up to `reach` mm away.
    pub fn new(rings: &'a [Ring], among: &[usize], reach: f64) -> Self {
        let corners = among
            .iter()
            .flat_map(|&ring| rings[ring].corners().iter().copied());
        let mut grid = Grid::new(corners, reach.max(1.0));
        for &ring in among {
            for (i, edge) in rings[ring].corners().windows(2).enumerate() {
                let steps = (distance(edge[0], edge[1]) / grid.side * 2.0)
                    .ceil()
                    .max(1.0);
                let mut last = None;
                for step in 0..=steps as usize {
                    let place = edge[0] + (edge[1] - edge[0]) * (step as f64 / steps);
                    let square = grid.square(place);
                    if last != Some(square) {
                        grid.put(place, (ring as u32, i as u32));
                        last = Some(square);
                    }
                }
            }
        }
        Self { rings, grid, reach }
    }

    /// The nearest place on a ring that is `wanted`, within reach.
    pub fn nearest(&self, place: Coord<f64>, wanted: impl Fn(usize) -> bool) -> Option<Foot> {
        let mut best: Option<Foot> = None;
        for (ring, edge) in self.grid.around(place) {
            let (ring, edge) = (ring as usize, edge as usize);
            if !wanted(ring) {
                continue;
            }
            let corners = self.rings[ring].corners();
            let (a, b) = (corners[edge], corners[edge + 1]);
            let fraction = nearest_fraction([a, b], place);
            let away = distance(place, a + (b - a) * fraction);
            if away <= best.map_or(self.reach, |best| best.away) {
                let at = self.rings[ring].along_edge(edge, fraction);
                best = Some(Foot { ring, at, away });
            }
        }
        best
    }
}
