//! The design before a step, and after it, side by side.

use crate::design::{Design, Object, Polyline, Shape, bounds};
use crate::diagnostics::Diagnostic;
use crate::preview::canvas::Canvas;
use crate::preview::capsule::Grid;
use crate::preview::figure::Figure;
use crate::preview::sheet::Sheet;
use crate::preview::{PreviewOptions, encode, plan};
use crate::rack::Colour;
use geo::{Coord, Rect};

/// Fabric around what is shown, in mm.
const MARGIN: f64 = 3.0;
/// Pixels in a mm, where that makes pictures of a sound size.
const SCALE: f64 = 12.0;
/// The least and the most pixels along the longer side of each picture.
const LENGTHS: [f64; 2] = [560.0, 1400.0];
/// How wide the edges of what is not sewn are drawn, in mm.
const EDGE: f64 = 0.15;
/// Their colour, which tells them from thread.
const DRAWN: Colour = Colour {
    red: 150,
    green: 140,
    blue: 130,
};

/// Draws both designs at the same scale, as PNG. Thread is drawn as sewn; of an object without
/// stitches, its shape's edges. `step` is named in the titles.
///
/// # Errors
/// There is no memory for the picture.
pub fn before_after(before: &Design, after: &Design, step: &str) -> Result<Vec<u8>, Diagnostic> {
    let frame = frame([before, after]);
    let scale = SCALE.max(LENGTHS[0] / frame.width().max(frame.height()));
    let grid = Grid::over(frame, scale, LENGTHS[1], LENGTHS[1] * LENGTHS[1]);
    let options = PreviewOptions::default();
    let mut sheet = Sheet::new(&grid, 2, 1)?;
    for (title, design) in [("before", before), ("after", after)] {
        let canvas = painted(design, &grid, &options)?;
        sheet.panel(&format!("{title} {step}"), &[canvas.pixmap()]);
    }
    let below = sheet.below();
    sheet.scale_bar(below);
    encode::png(sheet.canvas.pixmap(), grid.scale)
}

/// Around everything that is seen of the designs.
fn frame(designs: [&Design; 2]) -> Rect<f64> {
    let objects = designs.into_iter().flat_map(|design| &design.objects);
    let seen = objects.flat_map(|object| {
        let shape = object.shape_bounds().filter(|_| object.stitches.is_empty());
        object.needle_bounds().or(shape)
    });
    let around = bounds(
        seen.flat_map(|rect| [rect.min(), rect.max()])
            .filter(plan::sound),
    );
    let page = &designs[0].page;
    let around = around.unwrap_or_else(|| Rect::new(page.least, page.greatest));
    let margin = Coord {
        x: MARGIN,
        y: MARGIN,
    };
    Rect::new(around.min() - margin, around.max() + margin)
}

fn painted(design: &Design, grid: &Grid, options: &PreviewOptions) -> Result<Canvas, Diagnostic> {
    let mut canvas = Canvas::new(*grid, Colour::new(options.fabric))?;
    let bare = design.objects.iter().filter(|o| o.stitches.is_empty());
    for line in bare.flat_map(edges) {
        let mut figure = Figure::lines("drawn", vec![line.corners().collect()], DRAWN, EDGE);
        figure.closed = line.closed;
        canvas.figure(&figure);
    }
    for layer in plan::layers(design, options.thread_width) {
        canvas.thread(&layer);
    }
    Ok(canvas)
}

fn edges(object: &Object) -> Vec<&Polyline> {
    match &object.shape {
        Shape::Manual => Vec::new(),
        Shape::Lines(lines) => lines.paths.iter().collect(),
        Shape::Region(region) => region
            .polygons
            .iter()
            .flat_map(|polygon| std::iter::once(&polygon.outer).chain(&polygon.holes))
            .collect(),
    }
}
