//! Parts that hang together, none of which would come out above what covers a piece of it.

use crate::line::Line;
use crate::network::{self, Part};
use crate::painted::Painted;

/// The connected parts of `lines`, by their first line. A part takes the place of its last
/// piece in the sewing order; pieces that a later object covers by then are parts of their own.
pub fn parts(lines: &[Line], reach: f64, painted: &Painted, thread: u32) -> Vec<Part> {
    let mut done: Vec<Part> = Vec::new();
    let mut waiting: Vec<Vec<usize>> = vec![(0..lines.len()).collect()];
    while let Some(set) = waiting.pop() {
        let chosen: Vec<Line> = set.iter().map(|&line| lines[line].clone()).collect();
        for mut part in network::parts(&chosen, reach) {
            for line in &mut part.lines {
                *line = set[*line];
            }
            match first_over(lines, &part, painted, thread) {
                Some(limit) if limit < last(lines, &part) => {
                    let early = |&line: &usize| lines[line].object < limit;
                    let (early, late) = part.lines.iter().partition(|line| early(line));
                    waiting.push(late);
                    waiting.push(early);
                }
                _ => done.push(part),
            }
        }
    }
    done.sort_by_key(|part| part.lines.first().copied());
    done
}

/// The place in the design of a part's last piece.
pub fn last(lines: &[Line], part: &Part) -> usize {
    let objects = part.lines.iter().map(|&line| lines[line].object);
    objects.max().unwrap_or(0)
}

/// The first object that covers any piece of a part that comes before it.
pub fn first_over(lines: &[Line], part: &Part, painted: &Painted, thread: u32) -> Option<usize> {
    let over = |&line: &usize| painted.first_over(&lines[line], thread);
    part.lines.iter().filter_map(over).min()
}
