//! Which tree of columns is sewn next: the nearest one.

use crate::strand::Strand;
use crate::tree::{Limb, free_ends};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;
use rstar::RTree;
use rstar::primitives::GeomWithData;

/// A free end, and its tree.
type End = GeomWithData<[f64; 2], usize>;

/// Squares of distances differ by no more than this share where the distances do not.
const ROUNDING: f64 = 1e-12;

/// Trees that are still to be sewn.
pub struct Waiting<'a> {
    strands: &'a [Strand],
    trees: Vec<Option<Vec<Limb>>>,
    /// The free ends of all trees that wait.
    ends: RTree<End>,
    /// The trees before this one are gone.
    first: usize,
}

impl<'a> Waiting<'a> {
    /// All of them wait.
    pub fn new(trees: Vec<Vec<Limb>>, strands: &'a [Strand]) -> Self {
        let numbers = trees.iter().enumerate();
        let ends = numbers.flat_map(|(number, tree)| ends_of(tree, number, strands));
        Self {
            strands,
            ends: RTree::bulk_load(ends.collect()),
            trees: trees.into_iter().map(Some).collect(),
            first: 0,
        }
    }

    /// Takes the tree with the free end nearest to `from`, and of several as near the first; the
    /// first of all where nothing is said, or no end is free.
    pub fn take(&mut self, from: Option<Coord<f64>>) -> Option<Vec<Limb>> {
        while self.trees.get(self.first)?.is_none() {
            self.first += 1;
        }
        let nearest = from.and_then(|from| self.nearest(from));
        let number = nearest.unwrap_or(self.first);
        let tree = self.trees[number].take()?;
        for end in ends_of(&tree, number, self.strands) {
            self.ends.remove(&end);
        }
        Some(tree)
    }

    fn nearest(&self, from: Coord<f64>) -> Option<usize> {
        let mut near = self
            .ends
            .nearest_neighbor_iter_with_distance_2([from.x, from.y])
            .peekable();
        let reach = near.peek()?.1 * (1.0 + ROUNDING);
        near.take_while(|end| end.1 <= reach)
            .map(|(end, _)| {
                let [x, y] = *end.geom();
                (distance(Coord { x, y }, from), end.data)
            })
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
            .map(|(_, number)| number)
    }
}

fn ends_of(tree: &[Limb], number: usize, strands: &[Strand]) -> impl Iterator<Item = End> {
    let ends = tree
        .iter()
        .flat_map(|limb| free_ends(&strands[limb.strand]));
    ends.map(move |(_, at)| GeomWithData::new([at.x, at.y], number))
}

#[cfg(test)]
mod tests {
    use super::Waiting;
    use crate::column::{Column, Rung};
    use crate::strand::Strand;
    use crate::tree::{nearest_end, trees_of};
    use hoopwright_sdk::prelude::*;

    /// Of columns on a grid, many of which are equally near, the same are taken as when all are
    /// looked through.
    #[test]
    fn the_nearest_is_taken_and_of_several_the_first() {
        let strands: Vec<Strand> = (0..200)
            .map(|i| {
                let x = f64::from(i * 37 % 20) * 3.0;
                let y = f64::from(i / 20) * 3.0;
                let rung = |y: f64| Rung::new(Coord { x: x - 0.5, y }, Coord { x: x + 0.5, y });
                let column = Column::whole(vec![rung(y), rung(y + 1.5)], false);
                Strand::alone(column.expect("two rungs"))
            })
            .collect();
        let mut left = trees_of(&strands, None);
        let mut waiting = Waiting::new(left.clone(), &strands);
        let mut from = None;
        while !left.is_empty() {
            let away =
                |i: &usize| from.map_or(0.0, |from| nearest_end(&left[*i], &strands, from).2);
            let next = (0..left.len()).min_by(|a, b| away(a).total_cmp(&away(b)));
            let tree = left.remove(next.expect("some are left"));
            let taken = waiting.take(from).expect("as many");
            assert_eq!(taken[0].strand, tree[0].strand);
            from = strands[tree[0].strand].column.spine().last().copied();
        }
        assert!(waiting.take(from).is_none());
    }
}
