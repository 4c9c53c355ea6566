//! The needle's way: one thread, without stitches too long or too short to sew.

use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::geometry::resample::{Spacing, along};
use hoopwright_sdk::prelude::*;

/// Where a section of a cover goes on from another, in a mitre, its first few stitches
const NEAR_JOINT: usize = 3;
/// are not sewn where they are shorter than this, in mm: the other section lies over them.
const LEAST_JOINT_STITCH: f64 = 1.0;
/// Nor are the last few of that section where they are shorter than this, in mm.
const LEAST_TIP_STITCH: f64 = 0.9;
/// Stitches shorter than this are not sewn, in mm; their needle points are passed over.
const LEAST_STITCH: f64 = 0.5;
/// Runs pass over corners that would take shorter stitches than this, in mm.
const LEAST_RUN_STITCH: f64 = 1.0;
/// Stitches of the cover that are shorter than this are not sewn, in mm. Crossings are laid so
/// that hardly any are: see [`crate::crossings`].
const LEAST_COVER_STITCH: f64 = 0.6;

/// Stitches of one object being sewn.
pub struct Needle {
    stitches: Vec<Stitch>,
    /// The longest stitch of all, in mm.
    longest: f64,
}

impl Needle {
    /// A needle that moves at most `longest` mm at a time.
    pub fn new(longest: f64) -> Self {
        Self {
            stitches: Vec::new(),
            longest,
        }
    }

    /// Where the needle is.
    pub fn at(&self) -> Option<Coord<f64>> {
        self.stitches.last().map(|stitch| stitch.at)
    }

    /// Begins at `place`: with a jump, unless it is the first stitch of all.
    pub fn begin(&mut self, place: Coord<f64>, role: StitchRole) {
        if !self.stitches.is_empty() {
            self.stitches.push(Stitch {
                at: place,
                kind: StitchKind::Jump,
                role: StitchRole::Travel,
            });
        }
        self.put(place, role);
    }

    /// Runs along `line`, from wherever the needle is, with stitches of at most `longest` mm.
    pub fn run(&mut self, line: &[Coord<f64>], longest: f64, role: StitchRole) {
        let line: geo::LineString<f64> =
            self.at().into_iter().chain(line.iter().copied()).collect();
        let spacing = Spacing {
            shortest: LEAST_RUN_STITCH.min(longest),
            ..Spacing::new(longest)
        };
        for point in along(&line, spacing).into_iter().skip(1) {
            self.stitch(point, role, LEAST_STITCH);
        }
    }

    /// Sews needle points of underlay or travel as they are.
    pub fn sew(&mut self, points: &[Coord<f64>], role: StitchRole) {
        for &point in points {
            self.stitch(point, role, LEAST_STITCH);
        }
    }

    /// Sews needle points of the cover; `joints` says whether they go on from a section before, and
    /// whether one follows.
    pub fn cover(&mut self, points: &[Coord<f64>], joints: [bool; 2]) {
        for (i, &point) in points.iter().enumerate() {
            let least = if joints[0] && i < NEAR_JOINT {
                LEAST_JOINT_STITCH
            } else if joints[1] && i + NEAR_JOINT >= points.len() {
                LEAST_TIP_STITCH
            } else {
                LEAST_COVER_STITCH
            };
            self.give_way(point);
            self.stitch(point, StitchRole::Cover, least);
        }
    }

    /// Where cover begins almost at the last point of underlay or travel, that point gives way.
    fn give_way(&mut self, point: Coord<f64>) {
        while let [.., before, last] = self.stitches[..]
            && last.role != StitchRole::Cover
            && before.kind == StitchKind::Needle
            && distance(last.at, point) < LEAST_RUN_STITCH
            && distance(before.at, point) < self.longest
        {
            self.stitches.pop();
        }
    }

    /// Where the last point of a column's cover was passed over, the one before gives way to it, so
    /// that the column is covered into its tip.
    pub fn reach(&mut self, end: Coord<f64>) {
        if let [.., before, last] = self.stitches[..]
            && (before.role, last.role) == (StitchRole::Cover, StitchRole::Cover)
            && last.at != end
            && (LEAST_COVER_STITCH..self.longest).contains(&distance(before.at, end))
        {
            self.stitches.pop();
            self.put(end, StitchRole::Cover);
        }
    }

    /// Where the thread has only just begun, in what is too small for a stitch: a dot, one stitch across its
    /// `middle`, as short as can be sewn, and back.
    pub fn dot(&mut self, middle: Coord<f64>, across: Coord<f64>) {
        let has_begun = match self.stitches[..] {
            [_] => true,
            [.., before, _] => before.kind == StitchKind::Jump,
            [] => false,
        };
        let length = across.x.hypot(across.y);
        if has_begun && length > 0.0 {
            self.stitches.pop();
            let half = across * (LEAST_STITCH / 2.0 / length);
            if let Some(jump) = self.stitches.last_mut() {
                jump.at = middle - half;
            }
            for point in [middle - half, middle + half, middle - half] {
                self.put(point, StitchRole::Cover);
            }
        }
    }

    fn stitch(&mut self, point: Coord<f64>, role: StitchRole, least: f64) {
        if !point.x.is_finite() || !point.y.is_finite() {
            return;
        }
        let Some(last) = self.at() else {
            self.put(point, role);
            return;
        };
        let length = distance(last, point);
        if length < least {
            return;
        }
        let parts = (length / self.longest - 1e-9).ceil().max(1.0);
        for part in 1..parts as usize {
            self.put(last + (point - last) * (part as f64 / parts), role);
        }
        self.put(point, role);
    }

    fn put(&mut self, at: Coord<f64>, role: StitchRole) {
        self.stitches.push(Stitch {
            at,
            kind: StitchKind::Needle,
            role,
        });
    }

    /// All that was sewn.
    pub fn into_stitches(self) -> Vec<Stitch> {
        self.stitches
    }
}
