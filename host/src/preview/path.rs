//! Lines as SVG path data, in whole hundredths of a mm.

use crate::design::{Polyline, Shape};
use geo::Coord;
use std::fmt::{self, Display, Write as _};

/// Path data being drawn. Places are rounded, and then the ways between them taken, so that no
/// error adds up.
#[derive(Default)]
pub struct PathData {
    text: String,
    at: [i64; 2],
    /// Whether the next line is the first after a move.
    lifted: bool,
}

impl PathData {
    /// Whether nothing is drawn.
    pub fn is_empty(&self) -> bool {
        self.text.is_empty()
    }

    /// What was drawn so far, if anything; nothing is left.
    pub fn take_lines(&mut self) -> Option<Self> {
        let taken = std::mem::take(self);
        (!taken.is_empty()).then_some(taken)
    }

    /// The outlines of a region with its holes, or lines; of stitches placed by hand, nothing.
    pub fn of_shape(shape: &Shape) -> Self {
        let mut path = Self::default();
        match shape {
            Shape::Region(region) => {
                for polygon in &region.polygons {
                    path.trace(&polygon.outer);
                    polygon.holes.iter().for_each(|hole| path.trace(hole));
                }
            }
            Shape::Lines(lines) => lines.paths.iter().for_each(|line| path.trace(line)),
            Shape::Manual => {}
        }
        path
    }

    fn trace(&mut self, line: &Polyline) {
        let mut corners = line.corners();
        let Some(first) = corners.next() else { return };
        self.move_to(first);
        corners.for_each(|corner| self.line_to(corner));
        if line.closed {
            self.line_to(first);
        }
    }

    /// Starts a line at `place`. Nothing is drawn until it leads somewhere.
    pub fn move_to(&mut self, place: Coord<f64>) {
        self.at = [hundredths(place.x), hundredths(place.y)];
        self.lifted = true;
    }

    /// Draws on to `place`.
    pub fn line_to(&mut self, place: Coord<f64>) {
        let to = [hundredths(place.x), hundredths(place.y)];
        let [x, y] = [to[0] - self.at[0], to[1] - self.at[1]];
        if [x, y] == [0, 0] {
            return;
        }
        // The letter is needed once; a minus sign parts numbers as well as a space.
        if std::mem::take(&mut self.lifted) {
            let [x, y] = self.at;
            let _ = write!(self.text, "M{x} {y}l");
        } else if x >= 0 {
            self.text.push(' ');
        }
        let space = if y < 0 { "" } else { " " };
        let _ = write!(self.text, "{x}{space}{y}");
        self.at = to;
    }
}

impl Display for PathData {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

/// The nearest hundredth of a mm.
pub fn hundredths(mm: f64) -> i64 {
    (mm * 100.0).round() as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_are_relative_and_packed() {
        let mut path = PathData::default();
        path.move_to(Coord { x: 1.0, y: -2.0 });
        path.line_to(Coord { x: 1.5, y: -2.5 });
        path.line_to(Coord { x: 0.5, y: 0.0 });
        path.line_to(Coord { x: 0.5, y: 0.001 });
        path.line_to(Coord { x: 0.6, y: 0.0 });
        assert_eq!(path.to_string(), "M100 -200l50-50-100 250 10 0");
    }

    #[test]
    fn rounding_does_not_add_up() {
        let mut path = PathData::default();
        path.move_to(Coord { x: 0.0, y: 0.0 });
        for step in 1..=300 {
            let x = f64::from(step) / 300.0;
            path.line_to(Coord { x, y: 0.0 });
        }
        assert_eq!(path.at, [100, 0]);
    }
}
