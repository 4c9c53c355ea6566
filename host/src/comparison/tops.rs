//! Which thread lies on top of each pixel.

use crate::design::Design;
use crate::preview::capsule::{Grid, visit};
use crate::preview::plan;
use crate::rack::Colour;

/// The colour of the thread that is sewn last over each pixel's middle; nothing where fabric shows.
/// Flat, without light: what the thread is, and not how it shines.
pub fn of(design: &Design, thread_width: f64, grid: &Grid) -> Vec<Option<Colour>> {
    let mut tops = vec![None; grid.pixels()];
    for layer in plan::layers(design, thread_width) {
        let half = layer.width * grid.scale / 2.0;
        for line in &layer.lines {
            for pair in line.windows(2) {
                let ends = [pair[0], pair[1]].map(|end| grid.place(end));
                visit(grid, ends, half, |under| {
                    if let Some(top) = tops.get_mut(under.pixel) {
                        *top = Some(layer.colour);
                    }
                });
            }
        }
    }
    tops
}
