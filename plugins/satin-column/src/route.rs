//! The way of the thread through the columns of an object.
//!
//! Columns that hang together are sewn as one thread. What hangs on a column is sewn before it,
//! so that every way from one to another runs along the middle of columns that are still to be
//! covered. A column that hangs on another is sewn towards it, and so leaves the thread where
//! the way goes on.

use crate::column::{Column, Rung};
use crate::needle::Needle;
use crate::order::Waiting;
use crate::part::Part;
use crate::sew::{Sewing, cover, underlay_pass};
use crate::strand::Strand;
use crate::tree::{Limb, nearest_end, nearest_strand, trees_of};
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
        needle: Needle::new(how.zigzag.longest),
    };
    // What the thread is to go out of waits for the end, as the root of its tree.
    let goal = finish.and_then(|finish| nearest_strand(strands, finish));
    let mut trees = trees_of(strands, goal);
    let last = goal.map(|_| trees.remove(0));
    let mut waiting = Waiting::new(trees, strands);
    loop {
        let from = route.needle.at().or(start);
        let Some(tree) = waiting.take(from) else {
            break;
        };
        route.sew_tree(&tree, from, None);
    }
    if let Some(tree) = last {
        let from = route.needle.at().or(start);
        route.sew_tree(&tree, from, finish);
    }
    route.needle.into_stitches()
}

/// A part being sewn: first what hangs on it, with the thread going out along it, then itself.
struct Visit {
    part: Part,
    rungs: Vec<Rung>,
    /// The rung where the thread is.
    here: usize,
    /// How many of the limbs that hang on it are sewn or under way.
    sewn: usize,
}

impl Visit {
    fn of(part: Part) -> Self {
        Self {
            rungs: part.column.rungs().copied().collect(),
            part,
            here: 0,
            sewn: 0,
        }
    }
}

struct Route<'a> {
    strands: &'a [Strand],
    how: &'a Sewing,
    needle: Needle,
}

impl<'a> Route<'a> {
    fn strand(&self, limb: &Limb) -> &'a Strand {
        &self.strands[limb.strand]
    }

    fn rungs(&self, limb: &Limb) -> Vec<Rung> {
        self.strand(limb).column.rungs().copied().collect()
    }

    fn sew_tree(&mut self, tree: &[Limb], from: Option<Coord<f64>>, finish: Option<Coord<f64>>) {
        let root = &tree[0];
        let strand = self.strand(root);
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
        if strand.column.closed {
            if limb == 0 {
                let nearest = |from: Coord<f64>| {
                    let away = |i: &usize| distance(rungs[*i].middle, from);
                    (0..top).min_by(|a, b| away(a).total_cmp(&away(b)))
                };
                here = from.and_then(nearest).unwrap_or(0);
                self.begin_at(rungs[here].middle);
            }
            let part = Part::of_loop(strand, root, here, self.how);
            self.sew_with_all_on_it(tree, part, Some(false));
            return;
        }
        if limb == 0 {
            self.begin_at(rungs[here].middle);
        }
        let backward = here * 2 > top;
        let end = if backward { top } else { 0 };
        self.travel(&rungs, here, end);
        let leave_far = finish.map(|finish| strand.last_end_is_nearer(finish) != backward);
        let part = Part::of(strand, root, 0..=top, backward, self.how);
        self.sew_with_all_on_it(tree, part, leave_far);
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

    /// Sews the part of a root and all that hangs on it. The thread ends at the part's far end if
    /// `leave_far`, or at whichever end comes cheapest.
    fn sew_with_all_on_it(&mut self, tree: &[Limb], part: Part, leave_far: Option<bool>) {
        let mut visits = vec![Visit::of(part)];
        // Not recursive: columns can hang on one another deeper than a plugin's stack.
        while let Some(mut visit) = visits.pop() {
            if let Some(child) = self.go_to_next(&mut visit) {
                visits.push(visit);
                let halves = self.parts(&tree[child]);
                visits.extend(halves.into_iter().rev().map(Visit::of));
            } else {
                // What is not the root is left where it hangs on its parent.
                let leave_far = if visits.is_empty() {
                    leave_far
                } else {
                    Some(false)
                };
                self.sew_part(&visit.part, leave_far);
            }
        }
    }

    /// Goes on, under a part still to be sewn, to the next limb that hangs on it; or, where that was
    /// the last, to its far end.
    fn go_to_next(&mut self, visit: &mut Visit) -> Option<usize> {
        let children = &visit.part.children;
        let next = children.get(visit.sewn).copied();
        if !children.is_empty() {
            let to = next.map_or(visit.rungs.len() - 1, |(rung, _)| rung);
            self.travel(&visit.rungs, visit.here, to);
            visit.here = to;
            visit.sewn += 1;
        }
        next.map(|(_, child)| child)
    }

    /// The parts of a limb that is not the root, each going out from where it hangs on its parent,
    /// in the order of sewing.
    fn parts(&self, limb: &Limb) -> Vec<Part> {
        let strand = self.strand(limb);
        let root = limb.root_rung;
        if strand.column.closed {
            return vec![Part::of_loop(strand, limb, root, self.how)];
        }
        let top = strand.column.rungs().count() - 1;
        let mut parts = Vec::new();
        if root > 0 {
            let upper = if root < top {
                (root + HALVES_OVERLAP).min(top)
            } else {
                top
            };
            parts.push(Part::of(strand, limb, 0..=upper, true, self.how));
        }
        if root < top {
            // What hangs on the shared rungs was sewn with the first half.
            let mut part = Part::of(strand, limb, root..=top, false, self.how);
            if root > 0 {
                part.children.retain(|child| child.0 > HALVES_OVERLAP);
            }
            parts.push(part);
        }
        parts
    }

    /// Sews a part by itself, once what hangs on it is sewn: from its far end if that led there, or
    /// else from its near one. The thread ends at the far end if `leave_far`, or at whichever end
    /// comes cheapest; one that runs all the way round ends where it begins.
    fn sew_part(&mut self, part: &Part, leave_far: Option<bool>) {
        let at_far = !part.children.is_empty();
        if part.narrow {
            self.narrow_run(part, at_far, leave_far);
        } else if part.column.closed {
            for pass in self.passes(&part.column) {
                underlay_pass(&mut self.needle, pass, &part.column, self.how);
            }
            cover(&mut self.needle, &part.column, self.how);
        } else if self.underlay(part, at_far, leave_far.map(|far| !far)) {
            cover(&mut self.needle, &part.column.reversed(), self.how);
        } else {
            cover(&mut self.needle, &part.column, self.how);
        }
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
            }
            return !at_far;
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

    /// Sews a part too narrow for satin as a run, two or three times along it, so that the thread
    /// ends at the far end if `end_far`; where it may end at either, there and back, or three times.
    fn narrow_run(&mut self, part: &Part, mut at_far: bool, end_far: Option<bool>) {
        // The way out to the far end was one.
        let count = match (at_far, end_far) {
            (true, Some(true)) | (false, Some(false)) => 2,
            (true, _) => 1,
            (false, _) => 3,
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
