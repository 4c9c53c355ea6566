//! The plan of a picture as pixels.

use super::capsule::{Grid, Under, visit};
use super::figure::Figure;
use super::light::{Cylinder, at_needle};
use super::plan::{Layer, Plan};
use crate::diagnostics::Diagnostic;
use crate::rack::Colour;
use geo::Coord;
use resvg::tiny_skia::{
    self, FillRule, LineCap, LineJoin, Paint, PathBuilder, Pixmap, Stroke, StrokeDash, Transform,
};

/// Pixels being painted. None is ever transparent.
pub struct Canvas {
    grid: Grid,
    pixmap: Pixmap,
}

impl Canvas {
    /// Bare fabric.
    ///
    /// # Errors
    /// There is no memory for so many pixels.
    pub fn new(grid: Grid, fabric: Colour) -> Result<Self, Diagnostic> {
        let Some(mut pixmap) = Pixmap::new(grid.width, grid.height) else {
            return Err(Diagnostic::error(
                "no-picture",
                format!(
                    "a picture of {} x {} pixels cannot be made",
                    grid.width, grid.height
                ),
            ));
        };
        pixmap.fill(opaque(fabric));
        Ok(Self { grid, pixmap })
    }

    /// The pixels painted so far.
    pub fn pixmap(&self) -> &Pixmap {
        &self.pixmap
    }

    /// The pixels, to paint more.
    pub fn pixmap_mut(&mut self) -> &mut Pixmap {
        &mut self.pixmap
    }

    /// Paints a whole plan.
    pub fn paint(&mut self, plan: &Plan) {
        for layer in &plan.layers {
            self.thread(layer);
        }
        for figure in &plan.figures {
            self.figure(figure);
        }
    }

    /// Paints thread, stitch by stitch, as it is sewn.
    pub fn thread(&mut self, layer: &Layer) {
        for line in &layer.lines {
            for pair in line.windows(2) {
                self.stitch([pair[0], pair[1]], layer.colour, layer.width);
            }
        }
    }

    fn stitch(&mut self, ends: [Coord<f64>; 2], colour: Colour, width: f64) {
        let ends = ends.map(|end| self.grid.place(end));
        let way = ends[1] - ends[0];
        let length = (way.x * way.x + way.y * way.y).sqrt();
        if length == 0.0 || !length.is_finite() {
            return;
        }
        let cylinder = Cylinder::new(colour, way / length);
        let half = width * self.grid.scale / 2.0;
        let mm = 1.0 / self.grid.scale;
        let data = self.pixmap.data_mut();
        let paint = |under: Under| {
            // How much of the pixel the thread covers, as if both were straight and parallel.
            let middle = under.across.abs();
            let covered = (middle + 0.5).min(half) - (middle - 0.5).max(-half);
            if covered <= 0.0 {
                return;
            }
            let covered = covered.min(1.0) as f32;
            let needle = at_needle(under.along.min(length - under.along) * mm);
            let shade = cylinder.at(under.across / half);
            if let Some(pixel) = data.get_mut(under.pixel * 4..under.pixel * 4 + 3) {
                for (channel, shade) in pixel.iter_mut().zip(shade) {
                    let before = f32::from(*channel);
                    let after = before + (shade * needle - before) * covered;
                    *channel = (after + 0.5) as u8;
                }
            }
        };
        visit(&self.grid, ends, half + 0.5, paint);
    }

    /// Paints a figure over all that is there.
    pub fn figure(&mut self, figure: &Figure) {
        let mut path = PathBuilder::new();
        for line in &figure.lines {
            for (i, place) in line.iter().enumerate() {
                let at = self.grid.place(*place);
                let (x, y) = (at.x as f32, at.y as f32);
                if i == 0 {
                    path.move_to(x, y);
                } else {
                    path.line_to(x, y);
                }
            }
            if figure.closed {
                path.close();
            }
        }
        let Some(path) = path.finish() else {
            return;
        };
        let mut pixmap = self.pixmap.as_mut();
        if let Some(fill) = figure.fill {
            let (paint, rule) = (flat(fill), FillRule::EvenOdd);
            pixmap.fill_path(&path, &paint, rule, Transform::identity(), None);
        }
        if let Some((colour, width)) = figure.stroke {
            let dash = figure.dashes.and_then(|dashes| {
                let lengths = dashes.map(|mm| (mm * self.grid.scale) as f32);
                StrokeDash::new(lengths.to_vec(), 0.0)
            });
            let stroke = Stroke {
                width: (width * self.grid.scale) as f32,
                line_cap: LineCap::Round,
                line_join: LineJoin::Round,
                dash,
                ..Stroke::default()
            };
            pixmap.stroke_path(&path, &flat(colour), &stroke, Transform::identity(), None);
        }
    }
}

/// Paint of one colour.
pub fn flat(colour: Colour) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color(opaque(colour));
    paint
}

fn opaque(colour: Colour) -> tiny_skia::Color {
    tiny_skia::Color::from_rgba8(colour.red, colour.green, colour.blue, 255)
}
