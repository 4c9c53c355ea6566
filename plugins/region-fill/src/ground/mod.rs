//! All that the stitching of one polygon at one angle needs to know of it.

pub mod cells;
pub mod frame;
pub mod grade;
pub mod links;
pub mod route;
pub mod rows;

use cells::Cells;
use frame::Frame;
use grade::Grade;
use hoopwright_sdk::geometry::geo::{Coord, Polygon};
use links::{Link, links};
use rows::Rows;

/// A polygon cut into rows at an angle, and how its rows hang together.
#[derive(Debug)]
pub struct Ground {
    /// Turns the cloth so that the rows lie level.
    pub frame: Frame,
    /// The scan lines.
    pub rows: Rows,
    /// Where one can pass from span to span.
    pub links: Vec<Link>,
    /// The stacks of spans.
    pub cells: Cells,
}

/// A place on a span, in the frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// The span.
    pub span: usize,
    /// The place.
    pub at: Coord<f64>,
}

impl Ground {
    /// Cuts `polygon`, which must be clean, into rows at `angle` degrees about `pitch` mm apart;
    /// nothing where no row meets it.
    pub fn new(polygon: &Polygon<f64>, angle: f64, pitch: f64) -> Option<Self> {
        Self::of(polygon, angle, |turned| Rows::new(turned, pitch))
    }

    /// The same with rows whose distance changes as `grade`, of the same angle, says.
    pub fn graded(polygon: &Polygon<f64>, angle: f64, grade: &Grade) -> Option<Self> {
        Self::of(polygon, angle, |turned| Rows::graded(turned, grade))
    }

    fn of(
        polygon: &Polygon<f64>,
        angle: f64,
        cut: impl FnOnce(&Polygon<f64>) -> Option<Rows>,
    ) -> Option<Self> {
        let frame = Frame::new(angle);
        let turned = frame.enter_polygon(polygon);
        let rows = cut(&turned)?;
        let links = links(&rows, &turned);
        let cells = Cells::new(&rows, &links);
        Some(Self {
            frame,
            rows,
            links,
            cells,
        })
    }

    /// The spot nearest to a place of the cloth.
    pub fn spot(&self, place: Coord<f64>) -> Spot {
        let (span, at) = self.rows.nearest(self.frame.enter(place));
        Spot { span, at }
    }

    /// The cell of a spot.
    pub fn cell(&self, spot: Spot) -> usize {
        self.cells.of[spot.span]
    }

    /// The links to pass between two spots, or nothing where they do not hang together.
    pub fn way(&self, from: Spot, to: Spot) -> Option<Vec<usize>> {
        self.cells.way(&self.rows, self.cell(from), self.cell(to))
    }
}
