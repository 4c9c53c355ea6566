//! Where lines cross or lie on one another.

use crate::line::{Line, nearest_on};
use geo::Rect;
use geometry::boxes::Boxes;
use geometry::measure::{cross, crossing, distance};
use hoopwright_sdk::prelude::*;

/// Lines this near to each other touch, in mm: a tenth of the machine's step.
pub const CONTACT: f64 = 0.01;

/// Pieces whose directions differ by less than this (the sine of about 6°) run along each other.
const PARALLEL: f64 = 0.1;

/// A place on a line: which line, and how many mm along it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// The line.
    pub line: usize,
    /// How far along it, in mm.
    pub at: f64,
}

/// A place where two lines meet, or one meets itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// The place on both.
    pub spots: [Spot; 2],
    /// Whether they only brush each other, running the same way.
    pub brushes: bool,
}

/// Finds the straight pieces of lines near a place.
pub struct Pieces<'a> {
    lines: &'a [Line],
    /// By line and number.
    boxes: Boxes<(usize, usize)>,
}

impl<'a> Pieces<'a> {
    /// The pieces of `lines`.
    pub fn new(lines: &'a [Line]) -> Self {
        let pieces = lines.iter().enumerate().flat_map(|(l, line)| {
            (0..line.pieces()).map(move |i| {
                let [a, b] = line.piece(i);
                ((l, i), Rect::new(a, b))
            })
        });
        Self {
            lines,
            boxes: Boxes::new(pieces),
        }
    }

    /// The pieces whose boxes come within `margin` of the box of `a` and `b`: line and number,
    /// in rising order.
    pub fn near(&self, a: Coord<f64>, b: Coord<f64>, margin: f64) -> Vec<(usize, usize)> {
        self.boxes.near(Rect::new(a, b), margin)
    }

    /// All contacts. A line's contacts with itself count from `apart` mm along it on.
    pub fn contacts(&self, apart: f64) -> Vec<Contact> {
        let mut contacts = Vec::new();
        for (l, line) in self.lines.iter().enumerate() {
            for i in 0..line.pieces() {
                let [a, b] = line.piece(i);
                for (m, j) in self.near(a, b, CONTACT) {
                    if (m, j) <= (l, i) {
                        continue;
                    }
                    let other = &self.lines[m];
                    let Some(meeting) = meet([a, b], other.piece(j)) else {
                        continue;
                    };
                    let at = [line.along(i, meeting.0), other.along(j, meeting.1)];
                    if l == m && line.apart(at[0], at[1]) < apart {
                        continue;
                    }
                    let [first, second] = at;
                    contacts.push(Contact {
                        spots: [
                            Spot { line: l, at: first },
                            Spot {
                                line: m,
                                at: second,
                            },
                        ],
                        brushes: meeting.2,
                    });
                }
            }
        }
        contacts
    }
}

/// Where two straight pieces meet, from 0 to 1 along each, and whether they only brush.
fn meet(first: [Coord<f64>; 2], second: [Coord<f64>; 2]) -> Option<(f64, f64, bool)> {
    let (r, q) = (first[1] - first[0], second[1] - second[0]);
    let [long_r, long_q] = [first, second].map(|[a, b]| distance(a, b));
    let brushes = cross(r, q).abs() <= PARALLEL * long_r * long_q;
    if let Some([t, u]) = crossing((first[0], r), (second[0], q)) {
        let (slack_t, slack_u) = (CONTACT / long_r, CONTACT / long_q);
        if (-slack_t..=1.0 + slack_t).contains(&t) && (-slack_u..=1.0 + slack_u).contains(&u) {
            return Some((t.clamp(0.0, 1.0), u.clamp(0.0, 1.0), brushes));
        }
    }
    if !brushes {
        return None;
    }
    for (end, along) in [(first[0], 0.0), (first[1], 1.0)] {
        let (on_second, apart) = nearest_on(second, end);
        if apart <= CONTACT {
            return Some((along, on_second, true));
        }
    }
    for (end, along) in [(second[0], 0.0), (second[1], 1.0)] {
        let (on_first, apart) = nearest_on(first, end);
        if apart <= CONTACT {
            return Some((on_first, along, true));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(numbers: [f64; 4]) -> [Coord<f64>; 2] {
        let [ax, ay, bx, by] = numbers;
        [Coord { x: ax, y: ay }, Coord { x: bx, y: by }]
    }

    #[test]
    fn pieces_cross_touch_or_brush() {
        let row = piece([0., 0., 10., 0.]);
        assert_eq!(
            meet(row, piece([4., -1., 4., 3.])),
            Some((0.4, 0.25, false))
        );
        assert_eq!(
            meet(row, piece([5., 0.005, 5., 3.])),
            Some((0.5, 0.0, false))
        );
        assert_eq!(meet(row, piece([4., 0.5, 4., 3.])), None);
        assert_eq!(meet(row, piece([5., 0., 15., 0.])), Some((1.0, 0.5, true)));
        assert_eq!(meet(row, piece([0., 0.2, 10., 0.2])), None);
    }
}
