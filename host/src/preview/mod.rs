//! Pictures of the stitches, in true size: as SVG, and as PNG.
//!
//! [`plan`] decides what is drawn, in order: thread, and [`figure`]s over it ([`surroundings`],
//! [`marks`]). [`mod@svg`] writes the plan down; [`canvas`] paints it pixel by pixel, with [`capsule`]s
//! of thread in the [`light`], and [`encode`] makes a file of it.

pub mod canvas;
pub mod capsule;
pub mod encode;
pub mod figure;
pub mod lettering;
mod light;
mod marks;
mod overlay;
pub(crate) mod path;
pub mod plan;
pub mod sheet;
mod surroundings;
mod svg;

pub use overlay::{Mark, Overlay};
pub use surroundings::HoopOutline;

use crate::design::{Design, THREAD_WIDTH};
use crate::diagnostics::Diagnostic;
use canvas::Canvas;
use capsule::Grid;
use plan::Plan;

/// How the picture is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct PreviewOptions {
    /// The fabric's colour: red, green, blue (sRGB).
    pub fabric: [u8; 3],
    /// Fabric around the stitches, in mm.
    pub margin: f64,
    /// Thickness of a 40 weight thread, in mm; [`THREAD_WIDTH`] unless given.
    pub thread_width: f64,
    /// Pixels in a mm of the PNG; what is sewn becomes about 1200 pixels long unless given. A
    /// picture is never larger than [`LONGEST_SIDE`] and [`MOST_PIXELS`].
    pub scale: Option<f64>,
    /// Whether the needle points are marked, with dots.
    pub needle_points: bool,
    /// Whether the ways between what is seen are marked: sewn travel with lines, jumps with dashes.
    pub travel: bool,
    /// Whether trims are marked, as a machine with the usual settings makes them: a cross where the
    /// thread is cut, a ring where it starts again.
    pub trims: bool,
    /// Whether a bar below what is sewn states the scale.
    pub scale_bar: bool,
    /// The hoop, where it is to be seen.
    pub hoop: Option<HoopOutline>,
    /// What a check has to say, drawn over the stitches.
    pub overlay: Overlay,
}

impl Default for PreviewOptions {
    fn default() -> Self {
        Self {
            fabric: [240, 237, 229],
            margin: 5.0,
            thread_width: THREAD_WIDTH,
            scale: None,
            needle_points: false,
            travel: false,
            trims: false,
            scale_bar: true,
            hoop: None,
            overlay: Overlay::default(),
        }
    }
}

/// The most pixels along a side of a picture.
pub const LONGEST_SIDE: f64 = 8000.0;
/// The most pixels of a picture.
pub const MOST_PIXELS: f64 = 16e6;
/// How long the longer side of what is sewn becomes, in pixels.
const USUAL_LENGTH: f64 = 1200.0;
/// The most pixels in a mm unless more are asked for: a stitch fills no screen.
const USUAL_SCALE: f64 = 40.0;

/// Draws `design` as SVG. The same design gives the same text on every machine.
pub fn svg(design: &Design, options: &PreviewOptions) -> String {
    svg::write(&Plan::new(design, options), &design.title)
}

/// Draws `design` as PNG, with its scale in the file. The same design gives the same bytes on
/// every machine.
///
/// # Errors
/// There is no memory for the picture.
pub fn png(design: &Design, options: &PreviewOptions) -> Result<Vec<u8>, Diagnostic> {
    let plan = Plan::new(design, options);
    let scale = options.scale.unwrap_or_else(|| usual_scale(design));
    let grid = Grid::over(plan.frame, scale, LONGEST_SIDE, MOST_PIXELS);
    let mut canvas = Canvas::new(grid, plan.fabric)?;
    canvas.paint(&plan);
    encode::png(canvas.pixmap(), grid.scale)
}

fn usual_scale(design: &Design) -> f64 {
    let sewn = design.needle_bounds();
    let longest = sewn.map_or(0.0, |sewn| sewn.width().max(sewn.height()));
    let scale = (USUAL_LENGTH / longest).min(USUAL_SCALE);
    // Tenths, so that the scale is easy to reckon with.
    if scale > 1.0 {
        (scale * 10.0).floor() / 10.0
    } else {
        scale
    }
}

#[cfg(test)]
mod tests;
