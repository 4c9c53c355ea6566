//! Artwork, stitches and where they differ, side by side. The legend can be read without colour:
//! each verdict has a pattern and a brightness of its own.

use super::score::{Judged, Score, Verdict};
use crate::design::Design;
use crate::diagnostics::Diagnostic;
use crate::preview::canvas::Canvas;
use crate::preview::capsule::Grid;
use crate::preview::figure::{Figure, INK, PAPER};
use crate::preview::sheet::{GAP, LINE, Sheet, place_of};
use crate::preview::{PreviewOptions, encode, plan};
use crate::rack::Colour;
use resvg::tiny_skia::Pixmap;

/// The file.
pub fn png(
    art: &Pixmap,
    sewn: &Design,
    options: &PreviewOptions,
    judged: &Judged,
    grid: &Grid,
) -> Result<Vec<u8>, Diagnostic> {
    let mut stitches = Canvas::new(*grid, Colour::new(options.fabric))?;
    for layer in plan::layers(sewn, options.thread_width) {
        stitches.thread(&layer);
    }
    let legend = legend(judged.score.as_ref());
    let fabric = Canvas::new(*grid, Colour::new(options.fabric))?;
    let differences = differences(judged, grid)?;
    let mut sheet = Sheet::new(grid, 3, legend.len() as u32 + 1)?;
    sheet.panel("artwork", &[fabric.pixmap(), art]);
    sheet.panel("stitches", &[stitches.pixmap()]);
    sheet.panel("where they differ", &[differences.pixmap()]);
    let mut top = sheet.below();
    for (verdict, text) in legend {
        if let Some(verdict) = verdict {
            swatch(&mut sheet.canvas, verdict, GAP, top);
        }
        sheet.write(&text, GAP + 3 * LINE / 2, top + 4);
        top += LINE;
    }
    sheet.scale_bar(top);
    encode::png(sheet.canvas.pixmap(), grid.scale)
}

/// What each line of the legend shows and says.
fn legend(score: Option<&Score>) -> Vec<(Option<Verdict>, String)> {
    let Some(score) = score else {
        return vec![(None, "nothing is drawn".to_owned())];
    };
    let line = |verdict, words: &str, share: f64| {
        let text = format!("{words} {:.1} %", share * 100.0);
        (Some(verdict), text)
    };
    vec![
        line(Verdict::Right, "right thread", score.right_thread),
        line(Verdict::Other, "another thread", score.other_thread),
        line(Verdict::Bare, "bare fabric", score.bare),
        line(Verdict::Beyond, "thread beyond the artwork", score.beyond),
    ]
}

/// A verdict's colour at a pixel of the picture.
fn pattern(verdict: Verdict, column: u32, row: u32) -> Colour {
    const NOTHING: Colour = PAPER;
    const RIGHT: Colour = Colour {
        red: 214,
        green: 218,
        blue: 222,
    };
    const OTHER: Colour = Colour {
        red: 222,
        green: 130,
        blue: 30,
    };
    const BEYOND: Colour = Colour {
        red: 40,
        green: 70,
        blue: 150,
    };
    match verdict {
        Verdict::Nothing => NOTHING,
        Verdict::Right => RIGHT,
        // Chequers.
        Verdict::Other if (column / 3 + row / 3).is_multiple_of(2) => INK,
        Verdict::Other => OTHER,
        // Slanting lines.
        Verdict::Bare if (column + row) % 5 < 2 => INK,
        Verdict::Bare => PAPER,
        // Level lines.
        Verdict::Beyond if row % 4 < 2 => PAPER,
        Verdict::Beyond => BEYOND,
    }
}

fn differences(judged: &Judged, grid: &Grid) -> Result<Canvas, Diagnostic> {
    let mut canvas = Canvas::new(*grid, PAPER)?;
    let pixels = canvas.pixmap_mut().data_mut().chunks_exact_mut(4);
    for (place, (pixel, verdict)) in pixels.zip(&judged.verdicts).enumerate() {
        let (column, row) = (place as u32 % grid.width, place as u32 / grid.width);
        let colour = pattern(*verdict, column, row);
        pixel.copy_from_slice(&[colour.red, colour.green, colour.blue, 255]);
    }
    Ok(canvas)
}

fn swatch(canvas: &mut Canvas, verdict: Verdict, left: u32, top: u32) {
    let (width, height) = (LINE + LINE / 4, LINE - 8);
    let row_length = canvas.pixmap().width() as usize;
    let pixels = canvas.pixmap_mut().data_mut();
    for row in top..top + height {
        for column in left..left + width {
            let colour = pattern(verdict, column, row);
            let at = (row as usize * row_length + column as usize) * 4;
            if let Some(pixel) = pixels.get_mut(at..at + 4) {
                pixel.copy_from_slice(&[colour.red, colour.green, colour.blue, 255]);
            }
        }
    }
    let corners = [[0, 0], [width, 0], [width, height], [0, height]];
    let outline = corners.map(|[x, y]| place_of(left + x, top + y)).to_vec();
    let mut frame = Figure::lines("swatch", vec![outline], INK, 1.0);
    frame.closed = true;
    canvas.figure(&frame);
}
