//! Which chains lie side by side.

use crate::flow::chains::Chains;
use crate::flow::streamlines::Streamlines;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::measure::distance;

/// Chains whose lines come as near as this lie side by side, in spacings of samples: a little over two
/// pitches.
pub const REACH: f64 = 4.4;

/// Whose lines pass a cell of the samples' grid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Cell {
    /// None, or such as are in no chain.
    Empty,
    /// Those of this chain, and no others.
    Of(u32),
    Mixed,
}

/// The chains beside each chain, in rising order.
///
/// Looked for from every second place of every line, but only in those cells that can hold a chain
/// not found yet: most hold the own one, or one that a place before has found.
pub fn beside(lines: &Streamlines, chains: &Chains, edges: &EdgeGrid) -> Vec<Vec<usize>> {
    let samples = &lines.samples;
    let cells: Vec<Cell> = (0..samples.cells())
        .map(|cell| passes(cell, lines, chains))
        .collect();
    let reach = REACH * samples.spacing;
    let mut beside: Vec<Vec<usize>> = vec![Vec::new(); chains.all.len()];
    for line in 0..lines.lines.len() {
        for place in (0..lines.lines[line].count()).step_by(2) {
            let Some(own) = chains.of(line, place) else {
                continue;
            };
            let at = lines.point(line, place);
            for cell in samples.cells_around(at, reach) {
                match cells[cell] {
                    Cell::Empty => continue,
                    Cell::Of(chain) if is_known(own, chain as usize, &beside) => continue,
                    Cell::Of(_) | Cell::Mixed => {}
                }
                for (i, sample) in samples.in_cell(cell) {
                    let other = sample.line as usize;
                    if other != line
                        && distance(sample.at, at) <= reach
                        && let Some(its) = chains.of(other, lines.place(other, i))
                        && !is_known(own, its, &beside)
                        && edges.first_meeting(at, sample.at).is_none()
                    {
                        beside[own].push(its);
                        beside[its].push(own);
                    }
                }
            }
        }
    }
    for chains in &mut beside {
        chains.sort_unstable();
    }
    beside
}

/// Whether it is known that two chains are one, or lie side by side.
fn is_known(a: usize, b: usize, beside: &[Vec<usize>]) -> bool {
    // The last one found is the one asked for most.
    a == b || beside[a].iter().rev().any(|&chain| chain == b)
}

/// Whose lines pass a cell.
fn passes(cell: usize, lines: &Streamlines, chains: &Chains) -> Cell {
    let mut passes = Cell::Empty;
    for (i, sample) in lines.samples.in_cell(cell) {
        let line = sample.line as usize;
        let Some(chain) = chains.of(line, lines.place(line, i)) else {
            continue;
        };
        match passes {
            Cell::Empty => passes = Cell::Of(chain as u32),
            Cell::Of(other) if other as usize == chain => {}
            Cell::Of(_) | Cell::Mixed => return Cell::Mixed,
        }
    }
    passes
}
