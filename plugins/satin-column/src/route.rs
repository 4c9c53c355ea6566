//! The way of the thread through the columns of an object.
//!
//! Columns that hang together are sewn as one thread. What hangs on a column is sewn before it,
//! so that every way from one to another runs along the middle of columns that are still to be
//! covered. A column that hangs on another is sewn towards it, and so leaves the thread where
//! the way goes on.

use crate::column::{Column, Rung};
use crate::needle::Needle;
use crate::sew::{Sewing, cover, underlay_pass};
use crate::strand::Strand;
use crate::tree::{Limb, nearest_end, trees_of};
use crate::underlay::{Pass, passes};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// How far the two halves of a column overlap that is sewn from both ends towards its middle, as
/// a number of rungs.
const HALVES_OVERLAP: usize = 3;

/// Sews all strands. `start` and `finish` say where the thread should come in and go out.
pub fn sew_all(
    strands: &[Strand],
    how: &Sewing,
    start: Option<Coord<f64>>,
    finish: Option<Coord<f64>>,
) -> Vec<Stitch> {
    let mut route = Route {
        strands,
        how,
        finish,
        needle: Needle::new(how.zigzag.longest),
    };
    let mut trees = trees_of(strands);
    while !trees.is_empty() {
        let from = route.needle.at().or(start);
        let place = |tree: &Vec<Limb>| from.map_or(0.0, |from| nearest_end(tree, strands, from).2);
        let next = (0..trees.len()).min_by(|&a, &b| place(&trees[a]).total_cmp(&place(&trees[b])));
        let tree = trees.remove(next.unwrap_or(0));
        route.sew_tree(&tree, from);
    }
    route.needle.into_stitches()
}

struct Route<'a> {
    strands: &'a [Strand],
    how: &'a Sewing,
    finish: Option<Coord<f64>>,
    needle: Needle,
}

impl<'a> Route<'a> {
    fn column(&self, limb: &Limb) -> &'a Column {
        &self.strands[limb.strand].column
    }

    fn rungs(&self, limb: &Limb) -> Vec<Rung> {
        self.column(limb).rungs().copied().collect()
    }

    fn sew_tree(&mut self, tree: &[Limb], from: Option<Coord<f64>>) {
        let root = &tree[0];
        let rungs = self.rungs(root);
        let Some(top) = rungs.len().checked_sub(1) else {
            return;
        };
        // Come in at the nearest end, and go to the root under columns still to be sewn.
        let (limb, is_last, _) = from.map_or((0, false, 0.0), |from| {
            nearest_end(tree, self.strands, from)
        });
        let mut here = if limb == 0 {
            if is_last { top } else { 0 }
        } else {
            self.come_in(tree, limb, is_last)
        };
        if self.column(root).closed {
            if limb == 0 {
                let nearest = |from: Coord<f64>| {
                    let away = |i: &usize| distance(rungs[*i].middle, from);
                    (0..top).min_by(|a, b| away(a).total_cmp(&away(b)))
                };
                here = from.and_then(nearest).unwrap_or(0);
                self.begin_at(rungs[here].middle);
            }
            self.sew_loop(tree, root, here);
            return;
        }
        if limb == 0 {
            self.begin_at(rungs[here].middle);
        }
        let backward = here * 2 > top;
        let end = if backward { top } else { 0 };
        self.travel(&rungs, here, end);
        let part = Part::of(self.column(root), root, 0..=top, backward);
        self.sew_open_root(tree, &part);
    }

    fn begin_at(&mut self, place: Coord<f64>) {
        self.needle.begin(place, StitchRole::Underlay);
    }

    /// Begins at the end of a limb and travels to the root; gives the rung of the root reached.
    fn come_in(&mut self, tree: &[Limb], limb: usize, is_last: bool) -> usize {
        let mut limb = &tree[limb];
        let rungs = self.rungs(limb);
        let mut here = if is_last { rungs.len() - 1 } else { 0 };
        self.begin_at(rungs[here].middle);
        while let Some((parent, rung)) = limb.parent {
            let rungs = self.rungs(limb);
            self.travel(&rungs, here, limb.root_rung);
            limb = &tree[parent];
            here = rung;
        }
        here
    }

    /// Goes along the middle of a column from one rung to another.
    fn travel(&mut self, rungs: &[Rung], from: usize, to: usize) {
        let way: Vec<Coord<f64>> = if from <= to {
            rungs[from..=to].iter().map(|rung| rung.middle).collect()
        } else {
            rungs[to..=from]
                .iter()
                .rev()
                .map(|rung| rung.middle)
                .collect()
        };
        self.needle
            .run(&way, self.how.run_stitch, StitchRole::Travel);
    }

    /// Sews what hangs on a part, going out along it. Gives whether that led to the far end.
    fn sew_children(&mut self, tree: &[Limb], part: &Part) -> bool {
        let rungs: Vec<Rung> = part.column.rungs().copied().collect();
        let mut here = 0;
        for &(rung, child) in &part.children {
            self.travel(&rungs, here, rung);
            here = rung;
            self.sew_limb(tree, &tree[child]);
        }
        if part.children.is_empty() {
            return false;
        }
        self.travel(&rungs, here, rungs.len() - 1);
        true
    }

    /// Sews a limb that is not the root, and comes back to where it hangs on its parent.
    fn sew_limb(&mut self, tree: &[Limb], limb: &Limb) {
        let column = self.column(limb);
        if column.closed {
            self.sew_loop(tree, limb, limb.root_rung);
            return;
        }
        let top = column.rungs().count() - 1;
        let root = limb.root_rung;
        if root > 0 {
            let upper = if root < top {
                (root + HALVES_OVERLAP).min(top)
            } else {
                top
            };
            let part = Part::of(column, limb, 0..=upper, true);
            self.sew_part(tree, &part);
        }
        if root < top {
            // What hangs on the shared rungs was sewn with the first half.
            let mut part = Part::of(column, limb, root..=top, false);
            if root > 0 {
                part.children.retain(|child| child.0 > HALVES_OVERLAP);
            }
            self.sew_part(tree, &part);
        }
    }

    /// Sews a part from its near end, and ends there.
    fn sew_part(&mut self, tree: &[Limb], part: &Part) {
        let far = self.sew_children(tree, part);
        if self.how.is_narrow(&part.column) {
            self.narrow_run(part, far, false);
            return;
        }
        self.underlay(part, far, Some(true));
        cover(&mut self.needle, &part.column.reversed(), self.how);
    }

    /// Sews the last open column of a tree; the thread may end at either end.
    fn sew_open_root(&mut self, tree: &[Limb], part: &Part) {
        let far = self.sew_children(tree, part);
        if self.how.is_narrow(&part.column) {
            self.narrow_run(part, far, true);
            return;
        }
        let ends = (part.column.rungs().next(), part.column.rungs().next_back());
        let begin_far = match (self.finish, ends) {
            (Some(finish), (Some(near), Some(far))) => {
                Some(distance(near.middle, finish) < distance(far.middle, finish))
            }
            _ => None,
        };
        let at_far = self.underlay(part, far, begin_far);
        let column = if at_far {
            part.column.reversed()
        } else {
            part.column.clone()
        };
        cover(&mut self.needle, &column, self.how);
    }

    /// Sews a column that runs all the way round, from a rung and back to it.
    fn sew_loop(&mut self, tree: &[Limb], limb: &Limb, start: usize) {
        let part = Part::of_loop(self.column(limb), limb, start);
        let far = self.sew_children(tree, &part);
        if self.how.is_narrow(&part.column) {
            self.narrow_run(&part, far, false);
            return;
        }
        for pass in self.passes(&part.column) {
            underlay_pass(&mut self.needle, pass, &part.column, self.how);
        }
        cover(&mut self.needle, &part.column, self.how);
    }

    fn passes(&self, column: &Column) -> Vec<Pass> {
        passes(self.how.underlay, column.typical_width(), column.length())
    }

    /// Sews the underlay of a part out and back, from its near end or, if `at_far`, its far end.
    /// The needle ends at the far end if `end_far`, or at whichever end comes cheapest; the
    /// result says which.
    fn underlay(&mut self, part: &Part, mut at_far: bool, end_far: Option<bool>) -> bool {
        let mut passes = self.passes(&part.column);
        if at_far && passes == [Pass::Centre] {
            // The way out was one.
            passes.clear();
        }
        let back = part.column.reversed();
        let ends_far = at_far != (passes.len() % 2 == 1);
        let extra = end_far.is_some_and(|end_far| end_far != ends_far);
        if extra && passes.is_empty() {
            let rungs: Vec<Rung> = part
                .column
                .rungs()
                .filter(|rung| rung.whole)
                .copied()
                .collect();
            if let Some(top) = rungs.len().checked_sub(1) {
                let (from, to) = if at_far { (top, 0) } else { (0, top) };
                self.travel(&rungs, from, to);
                at_far = !at_far;
            }
            return at_far;
        }
        if extra {
            // A centre run first carries the others, and is a second one for a centre run.
            passes.insert(0, Pass::Centre);
        }
        for pass in passes {
            let (way, pass) = if at_far {
                (&back, pass.turned())
            } else {
                (&part.column, pass)
            };
            underlay_pass(&mut self.needle, pass, way, self.how);
            at_far = !at_far;
        }
        at_far
    }

    /// Sews a part too narrow for satin as a run: three times along it where the thread may stay
    /// at the far end, else there and back.
    fn narrow_run(&mut self, part: &Part, mut at_far: bool, may_stay: bool) {
        let count = if at_far || !may_stay {
            2 - usize::from(at_far)
        } else {
            3
        };
        let way = part.column.spine();
        let back: Vec<Coord<f64>> = way.iter().rev().copied().collect();
        for _ in 0..count {
            let line = if at_far { &back } else { &way };
            self.needle
                .run(line, self.how.run_stitch.min(2.0), StitchRole::Cover);
            at_far = !at_far && !part.column.closed;
        }
        let widest = part
            .column
            .rungs()
            .max_by(|a, b| a.width().total_cmp(&b.width()));
        if let Some(widest) = widest {
            self.needle.dot(widest.middle, widest.right - widest.left);
        }
    }
}

/// A piece of a limb, going out from where the thread comes to it.
struct Part {
    column: Column,
    /// Limbs that hang on it, by the rung where, rising.
    children: Vec<(usize, usize)>,
}

impl Part {
    fn of(
        column: &Column,
        limb: &Limb,
        range: std::ops::RangeInclusive<usize>,
        backward: bool,
    ) -> Self {
        let (low, high) = (*range.start(), *range.end());
        let whole = low == 0 && high + 1 == column.rungs().count();
        let piece = if whole {
            column.clone()
        } else {
            column.piece(low..=high)
        };
        let on_it = limb
            .children
            .iter()
            .filter(|child| range.contains(&child.1));
        let mut children: Vec<(usize, usize)> = on_it
            .map(|&(child, rung)| (if backward { high - rung } else { rung - low }, child))
            .collect();
        children.sort_unstable();
        let column = if backward { piece.reversed() } else { piece };
        Self { column, children }
    }

    fn of_loop(column: &Column, limb: &Limb, start: usize) -> Self {
        let mut rungs: Vec<Rung> = column.rungs().copied().collect();
        rungs.pop();
        let count = rungs.len().max(1);
        let start = start % count;
        rungs.rotate_left(start);
        rungs.extend(rungs.first().copied());
        let mut children: Vec<(usize, usize)> = limb
            .children
            .iter()
            .map(|&(child, rung)| ((rung + count - start) % count, child))
            .collect();
        children.sort_unstable();
        Self {
            column: Column {
                sections: vec![rungs],
                closed: true,
                pull: column.pull,
            },
            children,
        }
    }
}
