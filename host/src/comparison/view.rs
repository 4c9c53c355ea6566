//! Artwork, stitches and where they differ, side by side. The legend can be read without colour:
//! each verdict has a pattern and a brightness of its own.

use super::score::{Judged, Score, Verdict};
use crate::design::Design;
use crate::diagnostics::Diagnostic;
use crate::preview::canvas::Canvas;
use crate::preview::capsule::Grid;
use crate::preview::figure::{Figure, INK, PAPER};
use crate::preview::{PreviewOptions, encode, lettering, plan};
use crate::rack::Colour;
use geo::Coord;
use resvg::tiny_skia::{Pixmap, PixmapPaint, Transform};

/// Letters are so high, in pixels.
const LETTER: f64 = 13.0;
/// Between and around the three panels, in pixels.
const GAP: u32 = 16;
/// Above the panels, for their titles.
const HEAD: u32 = 44;
/// A line of the legend.
const LINE: u32 = 30;
/// The least width of a panel: its title has room.
const NARROWEST: u32 = 260;

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
    let panel = grid.width.max(NARROWEST);
    // One pixel a unit, so that figures are placed in pixels.
    let sheet = Grid {
        origin: Coord { x: 0.0, y: 0.0 },
        scale: 1.0,
        width: 3 * panel + 4 * GAP,
        height: HEAD + grid.height + GAP + (legend.len() as u32 + 1) * LINE,
    };
    let mut canvas = Canvas::new(sheet, PAPER)?;
    let fabric = Canvas::new(*grid, Colour::new(options.fabric))?;
    let differences = differences(judged, grid)?;
    let panels: [(&str, Vec<&Pixmap>); 3] = [
        ("artwork", vec![fabric.pixmap(), art]),
        ("stitches", vec![stitches.pixmap()]),
        ("where they differ", vec![differences.pixmap()]),
    ];
    for (place, (title, layers)) in panels.into_iter().enumerate() {
        let left = GAP + place as u32 * (panel + GAP);
        for layer in layers {
            blit(&mut canvas, layer, left, HEAD);
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
        canvas.figure(&frame);
        write(&mut canvas, title, left, (HEAD - LETTER as u32) / 2);
    }
    let mut top = HEAD + grid.height + GAP;
    for (verdict, text) in legend {
        if let Some(verdict) = verdict {
            swatch(&mut canvas, verdict, GAP, top);
        }
        write(&mut canvas, &text, GAP + 3 * LINE / 2, top + 4);
        top += LINE;
    }
    scale_bar(&mut canvas, grid, top);
    encode::png(canvas.pixmap(), grid.scale)
}

fn place_of(x: u32, y: u32) -> Coord<f64> {
    Coord {
        x: f64::from(x),
        y: f64::from(y),
    }
}

fn blit(canvas: &mut Canvas, layer: &Pixmap, left: u32, top: u32) {
    let (x, y) = (left as i32, top as i32);
    let paint = PixmapPaint::default();
    let pixmap = canvas.pixmap_mut();
    pixmap.draw_pixmap(x, y, layer.as_ref(), &paint, Transform::identity(), None);
}

fn write(canvas: &mut Canvas, text: &str, left: u32, top: u32) {
    let strokes = lettering::strokes(text, place_of(left, top), LETTER);
    canvas.figure(&Figure::lines("text", strokes, INK, 1.6));
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

/// A bar of 10 mm, or of 1 mm or 100 mm where that fits better.
fn scale_bar(canvas: &mut Canvas, grid: &Grid, top: u32) {
    let mut length = 10.0;
    while length * grid.scale > 400.0 {
        length /= 10.0;
    }
    while length * grid.scale < 20.0 {
        length *= 10.0;
    }
    let left = place_of(GAP, top + LETTER as u32);
    let right = left
        + Coord {
            x: length * grid.scale,
            y: 0.0,
        };
    let tick = Coord {
        x: 0.0,
        y: LETTER / 2.0,
    };
    let bar = vec![left - tick, left, right, right - tick];
    canvas.figure(&Figure::lines("scale", vec![bar], INK, 1.6));
    write(canvas, &format!("{length} mm"), right.x as u32 + GAP, top);
}
