//! Pictures side by side on one sheet, each with its title.

use super::canvas::Canvas;
use super::capsule::Grid;
use super::figure::{Figure, INK, PAPER};
use super::lettering;
use crate::diagnostics::Diagnostic;
use geo::Coord;
use resvg::tiny_skia::{Pixmap, PixmapPaint, Transform};

/// Letters are so high, in pixels.
pub const LETTER: f64 = 13.0;
/// Between and around the panels, in pixels.
pub const GAP: u32 = 16;
/// Above the panels, for their titles.
const HEAD: u32 = 44;
/// A line of text below the panels.
pub const LINE: u32 = 30;
/// The least width of a panel: its title has room.
const NARROWEST: u32 = 260;

/// A sheet being painted. One pixel is one unit, so that figures are placed in pixels.
pub struct Sheet {
    /// What is painted so far.
    pub canvas: Canvas,
    grid: Grid,
    panels: u32,
}

impl Sheet {
    /// A sheet with room for `panels` pictures that show `grid`, and for `lines` of text below them.
    ///
    /// # Errors
    /// There is no memory for so many pixels.
    pub fn new(grid: &Grid, panels: u32, lines: u32) -> Result<Self, Diagnostic> {
        let panel = grid.width.max(NARROWEST);
        let sheet = Grid {
            origin: Coord { x: 0.0, y: 0.0 },
            scale: 1.0,
            width: panels * panel + (panels + 1) * GAP,
            height: HEAD + grid.height + GAP + lines * LINE,
        };
        Ok(Self {
            canvas: Canvas::new(sheet, PAPER)?,
            grid: *grid,
            panels: 0,
        })
    }

    /// Adds a picture on the right of those that are there: `layers`, one over the other.
    pub fn panel(&mut self, title: &str, layers: &[&Pixmap]) {
        let grid = self.grid;
        let left = GAP + self.panels * (grid.width.max(NARROWEST) + GAP);
        self.panels += 1;
        for layer in layers {
            let (x, y) = (left as i32, HEAD as i32);
            let paint = PixmapPaint::default();
            let pixmap = self.canvas.pixmap_mut();
            pixmap.draw_pixmap(x, y, layer.as_ref(), &paint, Transform::identity(), None);
        }
        let corners = [
            [left, HEAD],
            [left + grid.width, HEAD],
            [left + grid.width, HEAD + grid.height],
            [left, HEAD + grid.height],
        ];
        let outline = corners.map(|[x, y]| place_of(x, y)).to_vec();
        let mut frame = Figure::lines("panel", vec![outline], INK, 1.0);
        frame.closed = true;
        self.canvas.figure(&frame);
        self.write(title, left, (HEAD - LETTER as u32) / 2);
    }

    /// Where the text below the panels begins.
    pub fn below(&self) -> u32 {
        HEAD + self.grid.height + GAP
    }

    /// Writes text with its upper left corner at this pixel.
    pub fn write(&mut self, text: &str, left: u32, top: u32) {
        let strokes = lettering::strokes(text, place_of(left, top), LETTER);
        self.canvas
            .figure(&Figure::lines("text", strokes, INK, 1.6));
    }

    /// A bar of 10 mm, or of 1 mm or 100 mm where that fits better.
    pub fn scale_bar(&mut self, top: u32) {
        let scale = self.grid.scale;
        let mut length = 10.0;
        while length * scale > 400.0 {
            length /= 10.0;
        }
        while length * scale < 20.0 {
            length *= 10.0;
        }
        let left = place_of(GAP, top + LETTER as u32);
        let right = left
            + Coord {
                x: length * scale,
                y: 0.0,
            };
        let tick = Coord {
            x: 0.0,
            y: LETTER / 2.0,
        };
        let bar = vec![left - tick, left, right, right - tick];
        self.canvas
            .figure(&Figure::lines("scale", vec![bar], INK, 1.6));
        self.write(&format!("{length} mm"), right.x as u32 + GAP, top);
    }
}

/// A pixel as a place.
pub fn place_of(x: u32, y: u32) -> Coord<f64> {
    Coord {
        x: f64::from(x),
        y: f64::from(y),
    }
}
