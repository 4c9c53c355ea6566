//! Rungs kept inside the region: cut where they would pass over a bay, or out of the shape.
//!
//! A rung that leaves the region falls into parts. The column goes on over one of them, the one
//! that it comes from; the others are left to [`crate::bare`], which makes columns of their own of
//! them. Where no part goes on, the column ends.

use crate::column::{Column, Rung};
use crate::fence::{Fence, Part};
use crate::strand::Strand;
use hoopwright_sdk::prelude::*;

/// Rungs may leave the region by this much, in mm: unevenness of a drawn edge is no bay.
pub const LEEWAY: f64 = 0.15;
/// A part of a rung shorter than this is not worth going on over, in mm.
const LEAST_PART: f64 = 0.1;

/// The fence for the columns of a region.
pub fn fence_around(area: &geo::MultiPolygon<f64>) -> Fence {
    Fence::new(&geometry::offset::grow(area, LEEWAY))
}

/// The same column, cut to what lies inside; nothing where none of it does.
pub fn keep_inside(strand: Strand, fence: &Fence) -> Option<Strand> {
    let mut ladder = Ladder::of(&strand.column, fence);
    if ladder.is_whole() {
        return Some(strand);
    }
    let start = ladder.best_start()?;
    if strand.column.closed {
        ladder.rotate(start);
        keep_closed(strand, ladder)
    } else {
        keep_open(strand, ladder, start)
    }
}

fn keep_open(strand: Strand, mut ladder: Ladder, start: usize) -> Option<Strand> {
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
        column: column_of(kept, false, strand.column.pull)?,
        ends,
        through: through.map(|&(fork, rung)| (fork, rung - first)).collect(),
    })
}

fn keep_closed(strand: Strand, mut ladder: Ladder) -> Option<Strand> {
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
        column: column_of(&kept, closed, strand.column.pull)?,
        ends: [None, None],
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

struct Ladder {
    steps: Vec<Step>,
    parts: Vec<Vec<Part>>,
}

impl Ladder {
    fn of(column: &Column, fence: &Fence) -> Self {
        let mut steps = Vec::new();
        let mut parts = Vec::new();
        for (section, rungs) in column.sections.iter().enumerate() {
            for &rung in rungs {
                parts.push(fence.parts_inside(rung.left, rung.right));
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

    fn is_whole(&self) -> bool {
        self.parts.iter().all(|parts| parts[..] == [Part::ALL])
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
            let Some(here) = self.steps[reached].kept else {
                break;
            };
            let width = self.steps[i].rung.width();
            let next = self.parts[i]
                .iter()
                .copied()
                .max_by(|a, b| a.overlap(here).total_cmp(&b.overlap(here)))
                // A rung without length, in a tip, has no parts to choose from.
                .filter(|part| {
                    *part == Part::ALL
                        || (part.overlap(here) > 0.0 && part.length() * width > LEAST_PART)
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

fn column_of(steps: &[Step], closed: bool, pull: crate::pull::Pull) -> Option<Column> {
    let mut sections: Vec<Vec<Rung>> = Vec::new();
    let mut last = None;
    for step in steps {
        if last != Some(step.section) {
            sections.push(Vec::new());
            last = Some(step.section);
        }
        if let (Some(section), Some(part)) = (sections.last_mut(), step.kept) {
            section.push(cut(step.rung, part));
        }
    }
    sections.retain(|section| section.len() >= 2);
    (!sections.is_empty()).then_some(Column {
        sections,
        closed,
        pull,
    })
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
    let at = geometry::measure::distance(rung.left, rung.middle) / width;
    if (part.from..=part.to).contains(&at) {
        cut
    } else {
        Rung {
            middle: (cut.left + cut.right) / 2.0,
            ..cut
        }
    }
}
