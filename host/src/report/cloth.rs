//! The cloth in square cells, of which only those near stitches take memory.

use geo::{Coord, Rect};

/// Cells along the side of a tile.
const SIDE: i64 = 64;
const CELLS: usize = (SIDE * SIDE) as usize;

/// A cell, counted from the cloth's corner: across and down.
pub(super) type Cell = [i64; 2];

/// A value for each cell of the cloth.
pub(super) struct Cloth<T> {
    corner: Coord<f64>,
    pitch: f64,
    /// The first tile along each axis.
    first: Cell,
    across: usize,
    down: usize,
    /// Of each tile its place in the list from 1; 0 where nothing was written.
    index: Vec<u32>,
    tiles: Vec<Box<[T]>>,
}

impl<T: Copy + Default> Cloth<T> {
    /// A cloth around `bounds` in cells of `pitch` mm that line up with `corner`.
    pub fn new(bounds: Rect<f64>, corner: Coord<f64>, pitch: f64) -> Self {
        let tile = |at: Coord<f64>| cell_of(at, corner, pitch).map(|c| c.div_euclid(SIDE));
        let (first, last) = (tile(bounds.min()), tile(bounds.max()));
        let count = |axis: usize| usize::try_from(last[axis] - first[axis] + 1).unwrap_or(1);
        let (across, down) = (count(0), count(1));
        Self {
            corner,
            pitch,
            first,
            across,
            down,
            index: vec![0; across * down],
            tiles: Vec::new(),
        }
    }

    /// The cell that `at` lies in.
    pub fn cell(&self, at: Coord<f64>) -> Cell {
        cell_of(at, self.corner, self.pitch)
    }

    /// The middle of a cell, in mm.
    pub fn middle(&self, [across, down]: Cell) -> Coord<f64> {
        let to = |cell: i64| (cell as f64 + 0.5) * self.pitch;
        self.corner
            + Coord {
                x: to(across),
                y: to(down),
            }
    }

    /// What was written to a cell.
    pub fn get(&self, cell: Cell) -> T {
        let tile = self.tile(cell).map_or(0, |tile| self.index[tile]);
        match tile.checked_sub(1) {
            Some(tile) => self.tiles[tile as usize][inner(cell)],
            None => T::default(),
        }
    }

    /// A cell to write to; nothing outside of the cloth.
    pub fn get_mut(&mut self, cell: Cell) -> Option<&mut T> {
        let tile = self.tile(cell)?;
        if self.index[tile] == 0 {
            self.tiles
                .push(vec![T::default(); CELLS].into_boxed_slice());
            self.index[tile] = u32::try_from(self.tiles.len()).ok()?;
        }
        let tile = self.index[tile] as usize - 1;
        self.tiles.get_mut(tile)?.get_mut(inner(cell))
    }

    /// All cells of tiles that were written to, row by row within a tile, with what they hold.
    pub fn written(&self) -> impl Iterator<Item = (Cell, T)> {
        let tiles = self.index.iter().enumerate().filter(|(_, tile)| **tile > 0);
        tiles.flat_map(|(place, &tile)| {
            let tile_across = self.first[0] + (place % self.across) as i64;
            let tile_down = self.first[1] + (place / self.across) as i64;
            let cells = self.tiles[tile as usize - 1].iter().enumerate();
            cells.map(move |(inner, &value)| {
                let inner = inner as i64;
                let cell = [
                    tile_across * SIDE + inner % SIDE,
                    tile_down * SIDE + inner / SIDE,
                ];
                (cell, value)
            })
        })
    }

    fn tile(&self, cell: Cell) -> Option<usize> {
        let at = |axis: usize| usize::try_from(cell[axis].div_euclid(SIDE) - self.first[axis]).ok();
        let (across, down) = (at(0)?, at(1)?);
        (across < self.across && down < self.down).then_some(down * self.across + across)
    }

    /// Calls `each` with every cell that the straight piece from `from` to `to` meets, and how much
    /// of it lies there, in mm.
    pub fn along(&self, from: Coord<f64>, to: Coord<f64>, mut each: impl FnMut(Cell, f64)) {
        let step = to - from;
        let length = (step.x * step.x + step.y * step.y).sqrt();
        if length <= 0.0 {
            return;
        }
        // Where the piece crosses from cell to cell, as parts of its length.
        let mut crossings = vec![0.0, 1.0];
        let axes = [
            (from.x - self.corner.x, step.x),
            (from.y - self.corner.y, step.y),
        ];
        for (start, way) in axes {
            let (low, high) = (start.min(start + way), start.max(start + way));
            let first = (low / self.pitch).floor() as i64 + 1;
            let last = (high / self.pitch).ceil() as i64 - 1;
            crossings.extend((first..=last).map(|line| {
                let part = (line as f64 * self.pitch - start) / way;
                part.clamp(0.0, 1.0)
            }));
        }
        crossings.sort_by(f64::total_cmp);
        for piece in crossings.windows(2) {
            let middle = from + step * ((piece[0] + piece[1]) / 2.0);
            let part = piece[1] - piece[0];
            if part > 0.0 {
                each(self.cell(middle), part * length);
            }
        }
    }
}

fn cell_of(at: Coord<f64>, corner: Coord<f64>, pitch: f64) -> Cell {
    let off = at - corner;
    [off.x, off.y].map(|v| (v / pitch).floor() as i64)
}

fn inner(cell: Cell) -> usize {
    (cell[1].rem_euclid(SIDE) * SIDE + cell[0].rem_euclid(SIDE)) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::designs::at;
    use proptest::prelude::*;

    #[test]
    fn cells_keep_what_was_written() {
        let bounds = Rect::new(at(-100., -3.), at(300., 5.));
        let mut cloth: Cloth<u32> = Cloth::new(bounds, at(0., 0.), 2.0);
        let cell = cloth.cell(at(-0.5, 4.9));
        assert_eq!((cell, cloth.middle(cell)), ([-1, 2], at(-1., 5.)));
        assert_eq!(cloth.get(cell), 0);
        *cloth.get_mut(cell).expect("on the cloth") = 7;
        assert_eq!(cloth.get(cell), 7);
        let written: Vec<_> = cloth.written().filter(|(_, value)| *value > 0).collect();
        assert_eq!(written, [(cell, 7)]);
        assert!(cloth.get_mut([1_000_000, 0]).is_none());
    }

    proptest! {
        #[test]
        fn a_piece_is_parted_among_its_cells(
            x in -20.0..20.0f64, y in -20.0..20.0f64, u in -20.0..20.0f64, v in -20.0..20.0f64,
        ) {
            let (from, to) = (at(x, y), at(u, v));
            let cloth: Cloth<u8> = Cloth::new(Rect::new(from, to), at(0.3, 0.7), 2.0);
            let mut sum = 0.0;
            cloth.along(from, to, |cell, length| {
                sum += length;
                assert!(length <= 2.0 * 2f64.sqrt() + 1e-9, "{cell:?}");
            });
            let whole = ((u - x).powi(2) + (v - y).powi(2)).sqrt();
            prop_assert!((sum - whole).abs() < 1e-9);
        }
    }
}
