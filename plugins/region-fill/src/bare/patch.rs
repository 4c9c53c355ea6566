//! Bare patches: pieces of neighbouring lines that nothing hides.

use crate::bare::lines::{Hidden, Lines, Swath};
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::{greater, lesser};

/// Pieces of a line shorter than this are not seen, in mm.
const SHORTEST_PIECE: f64 = 0.05;

/// A patch of this area is seen by itself, in mm²: a square of it is nearly as wide as thread.
const SEEN: f64 = 0.03;

/// Smaller ones matter together: no more than this share of the region stays bare.
const LEFT: f64 = 0.0025;

/// Patches smaller than this are not worth a stitch, in mm².
const SMALLEST: f64 = 0.004;

/// A bare piece of a line, in the frame.
#[derive(Clone, Copy, Debug)]
struct Piece {
    row: usize,
    left: f64,
    right: f64,
}

impl Piece {
    fn width(&self) -> f64 {
        self.right - self.left
    }

    /// The place at a share of it from the left.
    fn place(&self, share: f64, lines: &Lines) -> Coord<f64> {
        Coord {
            x: self.left + self.width() * share,
            y: lines.rows.y(self.row),
        }
    }
}

/// Bare pieces of neighbouring lines, from the top; never none.
#[derive(Clone, Debug)]
pub struct Patch(Vec<Piece>);

impl Patch {
    /// The bare patches that are worth a stitch, the largest first: those that are seen, and so many of
    /// the others that what is left is a small share of the region.
    pub fn worth_mending(hidden: &Hidden, lines: &Lines) -> Vec<Self> {
        let (patches, whole) = Self::all(hidden, lines);
        let mut by_area: Vec<(f64, Self)> = patches
            .into_iter()
            .map(|patch| (patch.area(lines), patch))
            .collect();
        by_area.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut bare: f64 = by_area.iter().map(|(area, _)| area).sum();
        let worth = by_area.into_iter().take_while(|&(area, _)| {
            let worth = area >= SEEN || (area >= SMALLEST && bare > LEFT * whole);
            bare -= area;
            worth
        });
        worth.map(|(_, patch)| patch).collect()
    }

    /// All bare patches, from the top, and the area of the whole region in mm².
    fn all(hidden: &Hidden, lines: &Lines) -> (Vec<Self>, f64) {
        let rows = &lines.rows;
        let mut patches: Vec<Self> = Vec::new();
        // The patches that the line before is part of.
        let mut open: Vec<usize> = Vec::new();
        let mut whole = 0.0;
        for row in 0..rows.count() {
            let mut now = Vec::new();
            for span in &rows.spans()[rows.in_row(row)] {
                whole += (span.right - span.left) * rows.pitch();
                for (left, right) in gaps(hidden.on(row), span.left, span.right) {
                    let piece = Piece { row, left, right };
                    match open.iter().find(|&&patch| patches[patch].meets(piece)) {
                        Some(&patch) => {
                            patches[patch].0.push(piece);
                            now.push(patch);
                        }
                        None => {
                            now.push(patches.len());
                            patches.push(Self(vec![piece]));
                        }
                    }
                }
            }
            now.dedup();
            open = now;
        }
        (patches, whole)
    }

    /// Whether a piece hangs together with one of the line before its own.
    fn meets(&self, piece: Piece) -> bool {
        let pieces = self.0.iter().rev();
        pieces
            .take_while(|before| before.row + 1 >= piece.row)
            .filter(|before| before.row + 1 == piece.row)
            .any(|before| before.left < piece.right && piece.left < before.right)
    }

    /// Its area, in mm².
    pub fn area(&self, lines: &Lines) -> f64 {
        self.0.iter().map(Piece::width).sum::<f64>() * lines.rows.pitch()
    }

    /// Its first and its last line.
    pub fn rows(&self) -> (usize, usize) {
        (self.0[0].row, self.0[self.0.len() - 1].row)
    }

    /// How much of it a stitch hides, in mm².
    pub fn hidden_by(&self, stitch: [Coord<f64>; 2], lines: &Lines) -> f64 {
        let swath = Swath::new(stitch, lines.reach);
        let hidden = self.0.iter().filter_map(|piece| {
            let (left, right) = swath.on(lines.rows.y(piece.row))?;
            let (left, right) = (greater(left, piece.left), lesser(right, piece.right));
            (right > left).then_some(right - left)
        });
        hidden.sum::<f64>() * lines.rows.pitch()
    }

    /// Where a stitch over it may end: in the middle, or near either end, of its first, middle, last and
    /// longest piece.
    pub fn targets(&self, lines: &Lines) -> Vec<Coord<f64>> {
        let Self(pieces) = self;
        let longest = pieces.iter().max_by(|a, b| a.width().total_cmp(&b.width()));
        let middle = &pieces[pieces.len() / 2];
        let mut targets: Vec<Coord<f64>> = [pieces.first(), Some(middle), pieces.last(), longest]
            .into_iter()
            .flatten()
            .flat_map(|piece| [0.1, 0.5, 0.9].map(|share| piece.place(share, lines)))
            .collect();
        targets.dedup();
        targets
    }
}

/// What lies between `left` and `right` outside of `hidden`, which is in order.
fn gaps(hidden: &[(f64, f64)], left: f64, right: f64) -> Vec<(f64, f64)> {
    let mut gaps = Vec::new();
    let mut from = left;
    let first = hidden.partition_point(|band| band.1 < left);
    for &(begin, end) in hidden[first..].iter().take_while(|band| band.0 < right) {
        if begin - from >= SHORTEST_PIECE {
            gaps.push((from, begin));
        }
        from = greater(end, from);
    }
    if right - from >= SHORTEST_PIECE {
        gaps.push((from, right));
    }
    gaps
}
