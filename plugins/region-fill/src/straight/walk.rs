//! The order in which the cells of a region are sewn.
//!
//! A spine leads through the region from cell to cell, as long as can be found: where it enters a
//! cell on one side and leaves it on the other, the cover itself is the way, and nothing is
//! travelled. All other cells hang on the spine as branches. The thread travels through a cell
//! that has no cover yet to its branches, sews them, and comes back before it sews the cell:
//! so every travel lies inside the region and under later cover.

use crate::ground::cells::{Cells, Door};
use crate::ground::links::Side;
use crate::ground::{Ground, Spot};
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;

/// So many trees are tried for the longest spine.
const MOST_TREES: usize = 48;

/// A cell of the spine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stage {
    /// The cell.
    pub cell: usize,
    /// Where the spine comes in; nothing for the first.
    pub entry: Option<Door>,
}

/// The order in which cells that hang together are sewn.
#[derive(Clone, Debug)]
pub struct Walk {
    /// The cells of the spine, in order.
    pub spine: Vec<Stage>,
    /// The doors from each cell to its branches.
    pub branches: Vec<Vec<Door>>,
    /// How many scan lines, about, are passed without being sewn.
    pub travelled: usize,
}

/// Plans walks over the cells that hang together with one of them, for threads that come from different
/// places and should end at the same one.
pub struct Walks<'a> {
    /// The cells' ground.
    pub ground: &'a Ground,
    within: usize,
    /// The cell to end in.
    finish: Option<usize>,
    /// The walk that begins where it likes.
    free: Walk,
}

impl<'a> Walks<'a> {
    /// Over the cells that hang together with `within`, to near `finish`, if that is given.
    pub fn new(ground: &'a Ground, within: usize, finish: Option<Spot>) -> Self {
        let finish = finish.map(|finish| ground.cell(finish));
        Self {
            ground,
            within,
            finish,
            free: between(&ground.cells, within, None, finish),
        }
    }

    /// The walk of a thread that comes from `start`, if that is given: it begins there, or where it saves
    /// more travel than the way there costs.
    pub fn from(&self, start: Option<Spot>) -> Walk {
        let Some(start) = start else {
            return self.free.clone();
        };
        let ground = self.ground;
        let first = Some(ground.cell(start));
        let fixed = between(&ground.cells, self.within, first, self.finish);
        let there = self.free.spine.first().map_or(0.0, |stage| {
            let place = |side| {
                let span = ground.rows.spans()[ground.cells.end(stage.cell, side)];
                let (x, y) = (span.clamp(start.at.x), ground.rows.y(span.row));
                distance(Coord { x, y }, start.at)
            };
            place(Side::Above).min(place(Side::Below))
        });
        let travel = |walk: &Walk| walk.travelled as f64 * ground.rows.pitch();
        if travel(&self.free) + there < travel(&fixed) {
            self.free.clone()
        } else {
            fixed
        }
    }
}

/// The walk from the cell `start` to the cell `finish`, where they are given.
fn between(cells: &Cells, within: usize, start: Option<usize>, finish: Option<usize>) -> Walk {
    let rooted = |root: usize, end: Option<usize>| {
        let trees = [false, true].map(|reverse| Tree::grow(cells, root, reverse));
        let [a, b] = trees.map(|tree| {
            let end = end.filter(|&end| tree.holds(end));
            let end = end.unwrap_or_else(|| tree.deepest(cells));
            let travelled = tree.travelled(cells, end);
            (tree, end, travelled)
        });
        if b.2 < a.2 { b } else { a }
    };
    let (tree, end, travelled) = match (start, finish) {
        (Some(start), finish) => rooted(start, finish),
        (None, Some(finish)) => rooted(finish, None),
        (None, None) => {
            let tree = longest(cells, within);
            let end = tree.deepest(cells);
            let travelled = tree.travelled(cells, end);
            (tree, end, travelled)
        }
    };
    let mut spine = tree.path_to(end);
    if start.is_none() && finish.is_some() {
        spine.reverse();
    }
    Walk {
        branches: tree.branches(&spine),
        spine: stages(cells, &tree, &spine),
        travelled,
    }
}

/// The spine's cells with the doors between them.
fn stages(cells: &Cells, tree: &Tree, spine: &[usize]) -> Vec<Stage> {
    spine
        .iter()
        .enumerate()
        .map(|(i, &cell)| {
            let before = i.checked_sub(1).map(|i| spine[i]);
            let entry = before.and_then(|before| {
                // The tree's own door, or, on a spine that leads to the root, the same from behind.
                tree.came[cell]
                    .filter(|&(parent, _)| parent == before)
                    .map(|(_, door)| door)
                    .or_else(|| {
                        let (_, door) = tree.came[before].filter(|&(parent, _)| parent == cell)?;
                        cells.cells[before]
                            .doors
                            .iter()
                            .find(|back| back.link == door.link)
                            .copied()
                    })
            });
            Stage { cell, entry }
        })
        .collect()
}

/// The tree with the longest spine of those tried.
fn longest(cells: &Cells, within: usize) -> Tree {
    let first = Tree::grow(cells, within, false);
    let step = first.order.len().div_ceil(MOST_TREES).max(1);
    let roots: Vec<usize> = first.order.iter().copied().step_by(step).collect();
    let mut best = first;
    let mut gain = best.gain(cells);
    for root in roots {
        for reverse in [false, true] {
            let tree = Tree::grow(cells, root, reverse);
            let its = tree.gain(cells);
            if its > gain {
                (best, gain) = (tree, its);
            }
        }
    }
    best
}

/// A tree over the cells, grown depth first, which makes for long paths.
struct Tree {
    /// The cells from the root outward.
    order: Vec<usize>,
    /// From which cell, and through which of its doors, each was reached.
    came: Vec<Option<(usize, Door)>>,
}

impl Tree {
    fn grow(cells: &Cells, root: usize, reverse: bool) -> Self {
        let count = cells.cells.len();
        let mut came = vec![None; count];
        let mut seen = vec![false; count];
        let mut order = vec![root];
        seen[root] = true;
        // Cells under way, with how many of their doors were tried.
        let mut open = vec![(root, 0)];
        while let Some((cell, tried)) = open.last_mut() {
            let cell = *cell;
            let doors = &cells.cells[cell].doors;
            if *tried == doors.len() {
                open.pop();
                continue;
            }
            let place = if reverse {
                doors.len() - 1 - *tried
            } else {
                *tried
            };
            *tried += 1;
            let door = doors[place];
            if !seen[door.to] {
                seen[door.to] = true;
                came[door.to] = Some((cell, door));
                order.push(door.to);
                open.push((door.to, 0));
            }
        }
        Self { order, came }
    }

    fn holds(&self, cell: usize) -> bool {
        self.order[0] == cell || self.came[cell].is_some()
    }

    /// For each cell the rows that need no travel on the way from the root to it, if the spine
    /// ends there.
    fn gains(&self, cells: &Cells) -> Vec<usize> {
        let height = |cell: usize| cells.cells[cell].spans.len();
        // Up to, but without, the cell itself.
        let mut before = vec![0; self.came.len()];
        for &cell in &self.order[1..] {
            let Some((parent, door)) = self.came[cell] else {
                continue;
            };
            let passes = self.came[parent].is_none_or(|(_, entry)| entry.far_side != door.side);
            before[cell] = before[parent] + if passes { height(parent) } else { 0 };
        }
        for &cell in &self.order {
            before[cell] += height(cell);
        }
        before
    }

    fn deepest(&self, cells: &Cells) -> usize {
        let gains = self.gains(cells);
        let mut best = self.order[0];
        for &cell in &self.order {
            if gains[cell] > gains[best] {
                best = cell;
            }
        }
        best
    }

    fn gain(&self, cells: &Cells) -> usize {
        self.gains(cells)[self.deepest(cells)]
    }

    /// How many scan lines are passed without being sewn, if the spine leads to `end`.
    fn travelled(&self, cells: &Cells, end: usize) -> usize {
        let all = self.order.iter().map(|&cell| cells.cells[cell].spans.len());
        all.sum::<usize>() - self.gains(cells)[end]
    }

    /// From the root.
    fn path_to(&self, cell: usize) -> Vec<usize> {
        let mut path = vec![cell];
        let mut here = cell;
        while let Some((parent, _)) = self.came[here] {
            path.push(parent);
            here = parent;
        }
        path.reverse();
        path
    }

    fn branches(&self, spine: &[usize]) -> Vec<Vec<Door>> {
        let mut branches = vec![Vec::new(); self.came.len()];
        let mut on_spine = vec![false; self.came.len()];
        for &cell in spine {
            on_spine[cell] = true;
        }
        for &cell in &self.order {
            if let Some((parent, door)) = self.came[cell]
                && !(on_spine[cell] && on_spine[parent])
            {
                branches[parent].push(door);
            }
        }
        branches
    }
}

impl Walk {
    /// On which side the cover of the spine's cell at `place` ends: where the spine goes on, or
    /// opposite to where it came in.
    pub fn leaves(&self, place: usize) -> Option<Side> {
        match self.spine.get(place + 1) {
            Some(next) => {
                let door = next.entry?;
                Some(door.side)
            }
            None => self.spine[place].entry.map(|door| door.far_side.opposite()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::{Polygon, polygon};

    fn ring() -> Polygon<f64> {
        polygon!(
            exterior: [(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 0., y: 9.)],
            interiors: [[(x: 3., y: 3.), (x: 6., y: 3.), (x: 6., y: 6.), (x: 3., y: 6.)]],
        )
    }

    fn visited(walk: &Walk) -> Vec<usize> {
        let mut cells: Vec<usize> = walk.spine.iter().map(|stage| stage.cell).collect();
        cells.extend(walk.branches.iter().flatten().map(|door| door.to));
        cells.sort_unstable();
        cells
    }

    #[test]
    fn every_cell_is_visited_once() {
        let ground = Ground::new(&ring(), 0.0, 0.2).expect("it has rows");
        for start in [None, Some(0), Some(1), Some(3)] {
            for finish in [None, Some(0), Some(2), Some(3)] {
                let walk = between(&ground.cells, 0, start, finish);
                assert_eq!(visited(&walk), [0, 1, 2, 3], "{start:?} {finish:?}");
                for stage in &walk.spine[1..] {
                    assert!(stage.entry.is_some_and(|door| door.to == stage.cell));
                }
                if let Some(start) = start {
                    assert_eq!(walk.spine[0].cell, start);
                }
                if let Some(finish) = finish {
                    assert_eq!(walk.spine[walk.spine.len() - 1].cell, finish);
                }
            }
        }
    }

    /// Of the four cells round a hole just one needs a travel through it.
    #[test]
    fn the_spine_leads_round_a_hole() {
        let ground = Ground::new(&ring(), 0.0, 0.2).expect("it has rows");
        let tree = longest(&ground.cells, 0);
        assert_eq!(tree.gain(&ground.cells), 45);
        assert!(Walks::new(&ground, 0, None).from(None).spine.len() >= 3);
    }
}
