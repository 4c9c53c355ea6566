//! What a check has to say about the stitches, drawn over the picture of them.

use crate::diagnostics::Severity;
use geo::{Coord, MultiPolygon};

/// What lies over the picture. Nothing unless given.
#[derive(Clone, Debug, PartialEq)]
pub struct Overlay {
    /// Places that something is said about, each with its number.
    pub marks: Vec<Mark>,
    /// Where fabric shows that should be covered, in mm. It is hatched.
    pub gaps: MultiPolygon<f64>,
}

/// A numbered place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// Where, in mm.
    pub at: Coord<f64>,
    /// How serious it is; the mark's shape tells it.
    pub severity: Severity,
    /// The number that a list beside the picture knows it by.
    pub number: usize,
}

impl Default for Overlay {
    fn default() -> Self {
        Self {
            marks: Vec::new(),
            gaps: MultiPolygon(Vec::new()),
        }
    }
}
