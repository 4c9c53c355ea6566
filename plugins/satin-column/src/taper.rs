//! The width of a line along its length: constant, or changing evenly from its start to its end.

use hoopwright_sdk::prelude::*;

/// What settings say about the width of lines; what they leave open is as drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Widths {
    /// All along, in mm.
    pub throughout: Option<f64>,
    /// At the start, in mm.
    pub at_start: Option<f64>,
    /// At the end, in mm.
    pub at_end: Option<f64>,
}

impl Widths {
    /// The taper of a line drawn `drawn` mm wide.
    ///
    /// # Errors
    /// A warning where the line has no width at either end.
    pub fn taper(self, drawn: f64) -> Result<Taper, Finding> {
        let or = |width: Option<f64>, otherwise: f64| {
            width
                .filter(|width| width.is_finite() && *width >= 0.0)
                .unwrap_or(otherwise)
        };
        let throughout = or(self.throughout.filter(|width| *width > 0.0), drawn);
        let taper = Taper {
            start: or(self.at_start, throughout),
            end: or(self.at_end, throughout),
        };
        if taper.start.max(taper.end) > 0.0 && (taper.start + taper.end).is_finite() {
            Ok(taper)
        } else {
            Err(
                Finding::warning("The line has no width, so satin cannot be sewn along it.")
                    .help("Set \"width\", or sew it with line-run."),
            )
        }
    }
}

/// A width that changes evenly along a line, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taper {
    /// At the start.
    pub start: f64,
    /// At the end.
    pub end: f64,
}

impl Taper {
    /// The same width all along.
    pub fn constant(width: f64) -> Self {
        Self {
            start: width,
            end: width,
        }
    }

    /// Whether the ends differ.
    pub fn changes(self) -> bool {
        (self.start - self.end).abs() > 1e-9
    }

    /// Half the width at a share of the line's length.
    pub fn half(self, share: f64) -> f64 {
        (self.start + (self.end - self.start) * share) / 2.0
    }
}
