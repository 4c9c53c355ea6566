//! Rungs kept inside the region: cut where they would pass over a bay, or out of the shape.
//!
//! A rung that leaves the region falls into parts. The column goes on over one of them, the one
//! that it comes from; the others are left to [`crate::bare`], which makes columns of their own of
//! them. Where no part goes on, the column ends.

use crate::column::{Column, Rung};
use crate::fan::meet;
use crate::fence::{Part, parts_inside};
use crate::strand::Strand;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::measure::{distance, to_edge};
use hoopwright_sdk::prelude::*;

/// Rungs may leave the region by this much, in mm: unevenness of a drawn edge is no bay.
pub const LEEWAY: f64 = 0.15;
/// A change of width from one rung to the next that is no slope, in mm.
const LEAP: f64 = 1.0;
/// Rungs that lie farther beyond each other's ends than this do not go on from each other, in mm.
const APART: f64 = 0.3;
/// A part of a rung shorter than this is not worth going on over, in mm.
const LEAST_PART: f64 = 0.1;

/// The fence for the columns of a region.
pub fn fence_around(area: &geo::MultiPolygon<f64>) -> EdgeGrid {
    EdgeGrid::new(&geometry::offset::grow(area, LEEWAY))
}

/// The same column, cut to what lies inside; nothing where none of it does.
pub fn keep_inside(strand: Strand, fence: &EdgeGrid) -> Option<Strand> {
    let mut ladder = Ladder::of(&strand.column, fence);
    let start = ladder.best_start()?;
    if strand.column.closed {
        ladder.rotate(start);
        keep_closed(strand, ladder, fence)
    } else {
        keep_open(strand, ladder, start, fence)
    }
}

fn keep_open(strand: Strand, mut ladder: Ladder, start: usize, fence: &EdgeGrid) -> Option<Strand> {
    let end = ladder.go_on(start, (start..ladder.steps.len()).collect());
    let first = ladder.go_on(start, (0..=start).rev().collect());
    let ends = [
        strand.ends[0].filter(|_| first == 0),
        strand.ends[1].filter(|_| end + 1 == ladder.steps.len()),
    ];
    let kept = ladder.steps.get(first..=end)?;
    let through = strand
        .through
        .iter()
        .filter(|fork| (first..=end).contains(&fork.1));
    Some(Strand {
        column: column_of(kept, &strand.column, false, fence)?,
        ends,
        through: through.map(|&(fork, rung)| (fork, rung - first)).collect(),
        is_patch: strand.is_patch,
    })
}

fn keep_closed(strand: Strand, mut ladder: Ladder, fence: &EdgeGrid) -> Option<Strand> {
    let last = ladder.steps.len() - 1;
    let end = ladder.go_on(0, (0..=last).collect());
    let closed = end == last;
    let kept: Vec<Step> = if closed {
        ladder.steps
    } else {
        // Back from the seam, which is the first rung again.
        ladder.steps[last].kept = ladder.steps[0].kept;
        let first = ladder.go_on(last, (end + 1..=last).rev().collect());
        let before_seam = ladder.steps[first..last].iter().copied();
        before_seam
            .chain(ladder.steps[..=end].iter().copied())
            .collect()
    };
    let place = |rung: usize| kept.iter().position(|step| step.number == rung % last);
    let through = strand.through.iter();
    let through = through.filter_map(|&(fork, rung)| Some((fork, place(rung)?)));
    Some(Strand {
        through: through.collect(),
        column: column_of(&kept, &strand.column, closed, fence)?,
        ends: [None, None],
        is_patch: strand.is_patch,
    })
}

/// A rung, with what lies inside of it.
#[derive(Clone, Copy)]
struct Step {
    section: usize,
    /// Its place in the uncut column.
    number: usize,
    rung: Rung,
    kept: Option<Part>,
}

impl Step {
    fn cut(&self) -> Rung {
        self.kept.map_or(self.rung, |part| cut(self.rung, part))
    }
}

struct Ladder {
    steps: Vec<Step>,
    parts: Vec<Vec<Part>>,
}

impl Ladder {
    fn of(column: &Column, fence: &EdgeGrid) -> Self {
        let mut steps = Vec::new();
        let mut parts = Vec::new();
        for (section, rungs) in column.sections.iter().enumerate() {
            for &rung in rungs {
                parts.push(parts_inside(fence, rung.left, rung.right));
                steps.push(Step {
                    section,
                    number: steps.len(),
                    rung,
                    kept: None,
                });
            }
        }
        Self { steps, parts }
    }

    /// A rung to go on from: half way along the longest run of whole rungs, or else the one with
    /// the longest part. It keeps its longest part.
    fn best_start(&mut self) -> Option<usize> {
        let (mut best, mut run) = (0..0, 0);
        for (i, parts) in self.parts.iter().enumerate() {
            run = if parts[..] == [Part::ALL] { run + 1 } else { 0 };
            if run > best.len() {
                best = i + 1 - run..i + 1;
            }
        }
        let longest = |i: usize| {
            let parts = self.parts[i].iter().copied();
            parts.max_by(|a, b| a.length().total_cmp(&b.length()))
        };
        let length = |i: usize| longest(i).map_or(0.0, Part::length) * self.steps[i].rung.width();
        let start = if best.is_empty() {
            (0..self.steps.len()).max_by(|&a, &b| length(a).total_cmp(&length(b)))?
        } else {
            usize::midpoint(best.start, best.end)
        };
        self.steps[start].kept = Some(longest(start)?);
        Some(start)
    }

    /// Begins a closed ladder with another of its rungs.
    fn rotate(&mut self, start: usize) {
        self.steps.pop();
        self.parts.pop();
        if self.steps.is_empty() {
            return;
        }
        let start = start % self.steps.len();
        self.steps.rotate_left(start);
        self.parts.rotate_left(start);
        let (step, parts) = (self.steps[0], self.parts[0].clone());
        self.steps.push(step);
        self.parts.push(parts);
    }

    /// Goes on from a rung over the parts that hang together, and gives the last rung reached.
    fn go_on(&mut self, start: usize, way: Vec<usize>) -> usize {
        let mut reached = start;
        for i in way {
            if i == start {
                continue;
            }
            let (from, to) = (self.steps[reached], self.steps[i]);
            let same = from.section == to.section;
            let beside = |part: &Part| beside(from.cut(), cut(to.rung, *part));
            let next = self.parts[i]
                .iter()
                .copied()
                .max_by(|a, b| beside(a).total_cmp(&beside(b)))
                .filter(|part| {
                    // A rung without length, in a tip, has no parts to choose from.
                    let long = part.length() * to.rung.width() > LEAST_PART;
                    let cut = cut(to.rung, *part);
                    (long || *part == Part::ALL)
                        && (same || meet(from.cut(), cut))
                        && (!same || beside(part) > -APART)
                });
            if next.is_none() {
                break;
            }
            self.steps[i].kept = next;
            reached = i;
        }
        reached
    }
}

fn column_of(steps: &[Step], like: &Column, closed: bool, fence: &EdgeGrid) -> Option<Column> {
    let mut sections: Vec<Vec<Rung>> = Vec::new();
    let mut last: Option<&Step> = None;
    for step in steps {
        if !last.is_some_and(|last| last.section == step.section && !is_leap(last, step, fence)) {
            sections.push(Vec::new());
        }
        last = Some(step);
        if let Some(section) = sections.last_mut() {
            section.push(step.cut());
        }
    }
    sections.retain(|section| section.len() >= 2);
    (!sections.is_empty()).then_some(Column {
        sections,
        closed,
        pull: like.pull,
    })
}

/// How far two rungs lie side by side, in mm; negative where one begins beyond the end of the
/// other.
fn beside(one: Rung, other: Rung) -> f64 {
    let across = one.right - one.left;
    let length = one.width();
    if length < 1e-6 {
        return -to_edge(one.left, [other.left, other.right]);
    }
    let along =
        |p: Coord<f64>| ((p.x - one.left.x) * across.x + (p.y - one.left.y) * across.y) / length;
    let (left, right) = (along(other.left), along(other.right));
    left.max(right).min(length) - left.min(right).max(0.0)
}

/// Whether the width changes at a stroke, as at the mouth of a bay. Crossings are spaced anew there,
/// or a slanting one would lead over the bay.
fn is_leap(from: &Step, to: &Step, fence: &EdgeGrid) -> bool {
    let (one, other) = (from.cut(), to.cut());
    let slants = [(one.left, other.right), (one.right, other.left)];
    let inside = |(a, b): (Coord<f64>, Coord<f64>)| parts_inside(fence, a, b)[..] == [Part::ALL];
    (one.width() - other.width()).abs() > LEAP && !slants.into_iter().all(inside)
}

/// What a part leaves of a rung.
fn cut(rung: Rung, part: Part) -> Rung {
    if part == Part::ALL {
        return rung;
    }
    let across = rung.right - rung.left;
    let cut = Rung {
        left: rung.left + across * part.from,
        right: rung.left + across * part.to,
        ..rung
    };
    // The middle need not lie half way, but it must lie on what is left.
    let width = rung.width().max(1e-9);
    let at = distance(rung.left, rung.middle) / width;
    if (part.from..=part.to).contains(&at) {
        cut
    } else {
        Rung {
            middle: (cut.left + cut.right) / 2.0,
            ..cut
        }
    }
}
