//! Joints: the places where lines are tied to each other.
//!
//! A joint holds spots on one or several lines. Joints that turn out to be one are merged; the
//! lines' ends are moved to the joint when the network is cut.

use crate::contact::Spot;
use crate::line::Line;
use hoopwright_sdk::groups::Groups;
use hoopwright_sdk::prelude::*;

/// Spots on one line this close together are one joint, in mm.
const MERGE: f64 = 0.05;

/// Joints being collected.
pub struct Joints {
    places: Vec<Coord<f64>>,
    /// For each joint, one that it was merged into, or itself.
    merged: Groups,
    /// For each line, its spots: how far along, and the joint.
    on_line: Vec<Vec<(f64, usize)>>,
    /// For each line that comes round, its length.
    around: Vec<Option<f64>>,
}

impl Joints {
    /// No joints yet on `lines`.
    pub fn new(lines: &[Line]) -> Self {
        let around = |line: &Line| line.closed.then(|| line.length());
        Self {
            places: Vec::new(),
            merged: Groups::default(),
            on_line: vec![Vec::new(); lines.len()],
            around: lines.iter().map(around).collect(),
        }
    }

    /// A joint at `place`.
    pub fn add(&mut self, place: Coord<f64>) -> usize {
        self.places.push(place);
        self.merged.add()
    }

    /// Ties a spot to a joint.
    pub fn tie(&mut self, spot: Spot, joint: usize) {
        // The end of a line that comes round is its beginning.
        let at = match self.around[spot.line] {
            Some(length) if spot.at >= length => 0.0,
            _ => spot.at,
        };
        self.on_line[spot.line].push((at, joint));
    }

    /// Where the joint lies.
    pub fn place(&mut self, joint: usize) -> Coord<f64> {
        self.places[self.merged.of(joint)]
    }

    /// The places of all joints, merged or not.
    pub fn places(&self) -> &[Coord<f64>] {
        &self.places
    }

    /// Whether a line has a spot at this joint.
    pub fn is_on(&mut self, line: usize, joint: usize) -> bool {
        let joint = self.merged.of(joint);
        self.of_line(line).contains(&joint)
    }

    /// Whether two lines share a joint.
    pub fn tied(&mut self, a: usize, b: usize) -> bool {
        let on_a = self.of_line(a);
        self.of_line(b).iter().any(|joint| on_a.contains(joint))
    }

    fn of_line(&mut self, line: usize) -> Vec<usize> {
        let spots = self.on_line[line].iter();
        spots.map(|&(_, joint)| self.merged.of(joint)).collect()
    }

    /// Makes one joint of those that lie together on a line, and puts each line's spots in order.
    pub fn settle(&mut self) {
        for (spots, around) in self.on_line.iter_mut().zip(&self.around) {
            spots.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            for pair in spots.windows(2) {
                if pair[1].0 - pair[0].0 <= MERGE {
                    self.merged.merge(pair[0].1, pair[1].1);
                }
            }
            if let (Some(length), [first, .., last]) = (around, spots.as_slice())
                && first.0 + length - last.0 <= MERGE
            {
                self.merged.merge(first.1, last.1);
            }
        }
    }

    /// The spots of a line in order: how far along, and the joint.
    pub fn spots(&mut self, line: usize) -> Vec<(f64, usize)> {
        let mut spots = self.on_line[line].clone();
        for spot in &mut spots {
            spot.1 = self.merged.of(spot.1);
        }
        spots
    }
}
