//! A drawn line whose two ends can be given new places.

use hoopwright_sdk::geometry::measure::{distance, way_length};
use hoopwright_sdk::geometry::measured::Measured;
use hoopwright_sdk::prelude::*;

/// Places closer together than this are one place, in mm.
pub(crate) const SAME_PLACE: f64 = 1e-6;

/// A line bends over this many times the way its end is moved, so that no kink shows.
const FADE: f64 = 4.0;

/// The direction of an end is that of its last part of about this length, in mm: drawings end
/// curves in pieces too short to have a direction of their own.
const DIRECTION_OVER: f64 = 0.1;

/// One of the two ends of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Side {
    Start,
    Finish,
}

impl Side {
    pub const BOTH: [Self; 2] = [Self::Start, Self::Finish];
}

/// What becomes of an end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum NewEnd {
    /// The line bends to this place.
    Bent(Coord<f64>),
    /// The line goes on straight to this place.
    Straight(Coord<f64>),
    /// The line is cut this far before its end, in mm along it.
    Cut(f64, Coord<f64>),
}

impl NewEnd {
    pub fn place(self) -> Coord<f64> {
        match self {
            Self::Bent(place) | Self::Straight(place) | Self::Cut(_, place) => place,
        }
    }
}

/// An open line of an object.
#[derive(Clone, Debug)]
pub(crate) struct Path {
    /// The place of its object in the design.
    pub object: usize,
    /// Its place among the object's lines.
    pub number: usize,
    drawn: Vec<Coord<f64>>,
    length: f64,
    new_ends: [Option<NewEnd>; 2],
    now: Vec<Coord<f64>>,
}

impl Path {
    /// A line with two ends; nothing where it is closed, has no length, or is not finite.
    pub fn open(object: usize, number: usize, line: &Polyline) -> Option<Self> {
        let mut drawn: Vec<Coord<f64>> = line.corners().collect();
        let finite = drawn.iter().all(|c| c.x.is_finite() && c.y.is_finite());
        drawn.dedup();
        if line.closed || !finite || drawn.len() < 2 {
            return None;
        }
        let length = way_length(&drawn);
        Some(Self {
            object,
            number,
            now: drawn.clone(),
            drawn,
            length,
            new_ends: [None, None],
        })
    }

    /// Its length as drawn, in mm.
    pub fn length(&self) -> f64 {
        self.length
    }

    /// Its corners as drawn.
    pub fn drawn(&self) -> &[Coord<f64>] {
        &self.drawn
    }

    /// Its corners as changed.
    pub fn now(&self) -> &[Coord<f64>] {
        &self.now
    }

    /// The place of an end, as drawn.
    pub fn end(&self, side: Side) -> Coord<f64> {
        match side {
            Side::Start => self.drawn[0],
            Side::Finish => self.drawn[self.drawn.len() - 1],
        }
    }

    /// The place of an end, as changed.
    pub fn end_now(&self, side: Side) -> Coord<f64> {
        self.new_ends[side as usize].map_or(self.end(side), NewEnd::place)
    }

    /// The direction in which the line leaves at an end, of length 1.
    pub fn direction(&self, side: Side) -> Coord<f64> {
        let end = self.end(side);
        let before = self
            .from(side)
            .find(|&corner| distance(corner, end) >= DIRECTION_OVER)
            .unwrap_or(self.end(other(side)));
        let way = end - before;
        let far = distance(end, before);
        if far > 0.0 { way / far } else { way }
    }

    /// How far back from an end its direction holds, in mm.
    pub fn straight_length(&self, side: Side) -> f64 {
        let mut corners = self.from(side);
        match (corners.next(), corners.next()) {
            (Some(end), Some(next)) => distance(end, next),
            _ => 0.0,
        }
    }

    /// The corners as drawn, from an end on.
    pub fn from(&self, side: Side) -> Box<dyn Iterator<Item = Coord<f64>> + '_> {
        match side {
            Side::Start => Box::new(self.drawn.iter().copied()),
            Side::Finish => Box::new(self.drawn.iter().rev().copied()),
        }
    }

    /// Gives an end its new place.
    pub fn set_end(&mut self, side: Side, end: NewEnd) {
        self.new_ends[side as usize] = Some(end);
        self.now = self.drawn.clone();
        for side in Side::BOTH {
            if let Some(end) = self.new_ends[side as usize] {
                if side == Side::Start {
                    self.now.reverse();
                }
                self.now = ended(std::mem::take(&mut self.now), end);
                if side == Side::Start {
                    self.now.reverse();
                }
            }
        }
    }

    /// How far an end was moved, in mm.
    pub fn moved(&self, side: Side) -> f64 {
        distance(self.end(side), self.end_now(side))
    }

    pub fn is_changed(&self) -> bool {
        let ends_meet = distance(self.end_now(Side::Start), self.end_now(Side::Finish)) == 0.0;
        ends_meet || Side::BOTH.iter().any(|&side| self.moved(side) > SAME_PLACE)
    }

    /// The line as changed: closed where its ends meet.
    pub fn to_polyline(&self) -> Polyline {
        let mut corners = self.now.clone();
        let closed = corners.len() > 3 && corners.first() == corners.last();
        if closed {
            corners.pop();
        }
        Polyline::new(corners, closed)
    }
}

fn other(side: Side) -> Side {
    match side {
        Side::Start => Side::Finish,
        Side::Finish => Side::Start,
    }
}

/// The line with its last corner moved.
fn ended(corners: Vec<Coord<f64>>, end: NewEnd) -> Vec<Coord<f64>> {
    let line = Measured::new(corners);
    let (corners, along, length) = (line.corners(), line.lengths(), line.length());
    let mut done: Vec<Coord<f64>> = match end {
        NewEnd::Straight(_) => corners.to_vec(),
        NewEnd::Cut(back, _) => {
            let stays = |at: &f64| *at < length - back - SAME_PLACE;
            let count = along.iter().take_while(|at| stays(at)).count().max(1);
            let mut kept: Vec<Coord<f64>> = corners.iter().take(count).copied().collect();
            kept.push(line.place(length - back));
            kept
        }
        NewEnd::Bent(to) => {
            let by = corners.last().map_or(Coord::zero(), |&last| to - last);
            let far = distance(by, Coord::zero());
            let over = (FADE * far).min(length / 2.0);
            corners
                .iter()
                .zip(along)
                .map(|(&corner, at)| {
                    let share = if over > 0.0 {
                        (1.0 - (length - at) / over).max(0.0)
                    } else {
                        0.0
                    };
                    corner + by * share
                })
                .collect()
        }
    };
    // Exactly there, whatever was rounded.
    if let Some(last) = done.last_mut() {
        *last = end.place();
    }
    done.dedup();
    done
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    fn path(corners: &[(f64, f64)]) -> Path {
        let line = Polyline::new(corners.iter().map(|&(x, y)| at(x, y)), false);
        Path::open(0, 0, &line).expect("it has two ends")
    }

    #[test]
    fn a_bent_end_takes_its_neighbours_along_the_less_the_farther() {
        let mut line = path(&[(0., 0.), (8., 0.), (9., 0.), (10., 0.)]);
        line.set_end(Side::Finish, NewEnd::Bent(at(10., 1.)));
        // Over four times 1 mm: shares 1/2, 3/4 and 1.
        assert_eq!(
            line.now(),
            [at(0., 0.), at(8., 0.5), at(9., 0.75), at(10., 1.)]
        );
        line.set_end(Side::Start, NewEnd::Bent(at(0., -1.)));
        assert_eq!(line.now()[0], at(0., -1.));
        assert_eq!(line.now()[3], at(10., 1.));
    }

    #[test]
    fn a_cut_drops_what_lies_beyond() {
        let mut line = path(&[(0., 0.), (8., 0.), (9., 0.), (9., 2.)]);
        line.set_end(Side::Finish, NewEnd::Cut(2.5, at(8.5, 0.)));
        assert_eq!(line.now(), [at(0., 0.), at(8., 0.), at(8.5, 0.)]);
    }

    #[test]
    fn an_end_looks_outward() {
        let line = path(&[(0., 0.), (3., 4.), (3.01, 4.0)]);
        assert_eq!(line.direction(Side::Start), at(-0.6, -0.8));
        let out = line.direction(Side::Finish);
        assert!((out.x - 0.6).abs() < 0.01 && (out.y - 0.8).abs() < 0.01);
    }

    #[test]
    fn ends_that_meet_make_a_ring() {
        let mut line = path(&[(0., 0.), (5., 0.), (5., 5.), (0.2, 0.1)]);
        line.set_end(Side::Finish, NewEnd::Bent(at(0., 0.)));
        let ring = line.to_polyline();
        assert!(ring.closed);
        assert_eq!(ring.x.len(), 3);
    }

    #[test]
    fn what_has_no_ends_is_none() {
        let open =
            |corners: Vec<Coord<f64>>, closed| Path::open(0, 0, &Polyline::new(corners, closed));
        assert!(open(vec![], false).is_none());
        assert!(open(vec![at(1., 1.), at(1., 1.)], false).is_none());
        assert!(open(vec![at(1., 1.), at(2., 1.), at(2., 2.)], true).is_none());
        assert!(open(vec![at(1., f64::NAN), at(2., 1.)], false).is_none());
    }
}
