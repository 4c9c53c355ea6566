//! The artwork as pixels, where it is sewn. No step has a part in it: an SVG is painted from its
//! file, and anything else from the design as it was read.

use super::{Drawn, Placement};
use crate::design::{Design, Object, Shape, THREAD_WIDTH};
use crate::diagnostics::Diagnostic;
use crate::formats::svg::{self, render};
use crate::preview::canvas::flat as flat_paint;
use crate::preview::capsule::{Grid, visit};
use crate::preview::plan;
use crate::rack::Colour;
use geo::{Coord, LineString};
use resvg::tiny_skia::{FillRule, LineCap, LineJoin, PathBuilder, Pixmap, Stroke, Transform};

/// Where the artwork's picture comes from.
#[derive(Clone, Copy, Debug)]
pub enum Source<'a> {
    /// The text of an SVG, and the size that it was read at.
    Svg(&'a str, svg::Scale),
    /// There is nothing but the design as it was read.
    Design,
}

/// The artwork on a grid.
pub struct Art {
    /// One colour a pixel; nothing where nothing is drawn.
    pub flat: Vec<Option<Colour>>,
    /// For people: smooth edges, see-through where nothing is drawn.
    pub smooth: Pixmap,
}

/// Paints the artwork. Where a renderer cannot, the shapes as they were read stand in, and a
/// finding says so.
pub fn paint(
    drawn: &Drawn<'_>,
    placement: &Placement,
    grid: &Grid,
    findings: &mut Vec<Diagnostic>,
) -> Result<Art, Diagnostic> {
    if let Source::Svg(text, scale) = drawn.source {
        match render::paint(
            text,
            scale,
            to_pixels(placement, grid),
            [grid.width, grid.height],
        ) {
            Ok(render::Painted { flat, mut smooth }) => {
                let outside = beyond_page(drawn.read, placement, grid);
                for pixel in smooth.data_mut().chunks_exact_mut(4).zip(&outside) {
                    if *pixel.1 {
                        pixel.0.fill(0);
                    }
                }
                let mut flat = colours(&flat);
                for (colour, outside) in flat.iter_mut().zip(outside) {
                    *colour = colour.filter(|_| !outside);
                }
                return Ok(Art { flat, smooth });
            }
            Err(why) => findings.push(Diagnostic::note(
                "artwork-not-painted",
                format!(
                    "the artwork is not painted for the comparison, because {why}; its shapes as \
                     they were read stand in"
                ),
            )),
        }
    }
    shapes(drawn.read, placement, grid)
}

/// Millimetres of the drawing to pixels.
fn to_pixels(placement: &Placement, grid: &Grid) -> [f64; 6] {
    let [xx, xy, yx, yy, x, y] = placement.matrix();
    let shift = grid.place(Coord { x, y });
    let [xx, xy, yx, yy] = [xx, xy, yx, yy].map(|number| number * grid.scale);
    [xx, xy, yx, yy, shift.x, shift.y]
}

/// Which pixels lie beyond the drawing's page: a renderer's canvas is as large as the picture.
fn beyond_page(read: &Design, placement: &Placement, grid: &Grid) -> Vec<bool> {
    let (least, greatest) = (read.page.least, read.page.greatest);
    let mut outside = Vec::with_capacity(grid.pixels());
    for row in 0..grid.height {
        for column in 0..grid.width {
            let Coord { x, y } = placement.drawn_at(grid.mm(column, row));
            let inside = x >= least.x && x <= greatest.x && y >= least.y && y <= greatest.y;
            outside.push(!inside);
        }
    }
    outside
}

/// The colours of pixels that are at least half there, as they are without what is beneath.
fn colours(pixmap: &Pixmap) -> Vec<Option<Colour>> {
    let colour = |pixel: &resvg::tiny_skia::PremultipliedColorU8| {
        let whole = pixel.demultiply();
        let there = pixel.alpha() >= 128;
        there.then(|| Colour::new([whole.red(), whole.green(), whole.blue()]))
    };
    pixmap.pixels().iter().map(colour).collect()
}

/// The shapes of a design in the colours of its threads; its stitches where it has no shapes.
fn shapes(design: &Design, placement: &Placement, grid: &Grid) -> Result<Art, Diagnostic> {
    let pixmap = || {
        Pixmap::new(grid.width, grid.height).ok_or_else(|| {
            Diagnostic::error(
                "no-picture",
                "there is no memory to compare with the artwork",
            )
        })
    };
    let (mut flat, mut smooth) = (pixmap()?, pixmap()?);
    let matrix = to_pixels(placement, grid);
    let [xx, xy, yx, yy, x, y] = matrix.map(|number| number as f32);
    let transform = Transform::from_row(xx, xy, yx, yy, x, y);
    for object in &design.objects {
        let colour = Colour::of_object(design, object);
        for (pixels, anti_alias) in [(&mut flat, false), (&mut smooth, true)] {
            let mut paint = flat_paint(colour);
            paint.anti_alias = anti_alias;
            match &object.shape {
                Shape::Region(region) => {
                    let area = region.to_multi_polygon();
                    let rings = area.iter().flat_map(|polygon| {
                        std::iter::once(polygon.exterior()).chain(polygon.interiors())
                    });
                    if let Some(path) = path(rings) {
                        pixels.fill_path(&path, &paint, FillRule::EvenOdd, transform, None);
                    }
                }
                Shape::Lines(lines) => {
                    let strings: Vec<_> = lines.paths.iter().map(|p| p.to_line_string()).collect();
                    let stroke = Stroke {
                        width: lines.width.max(0.1) as f32,
                        line_cap: LineCap::Round,
                        line_join: LineJoin::Round,
                        ..Stroke::default()
                    };
                    if let Some(path) = path(&strings) {
                        pixels.stroke_path(&path, &paint, &stroke, transform, None);
                    }
                }
                Shape::Manual => stitches(object, colour, placement, grid, pixels),
            }
        }
    }
    Ok(Art {
        flat: colours(&flat),
        smooth,
    })
}

fn path<'a>(
    lines: impl IntoIterator<Item = &'a LineString<f64>>,
) -> Option<resvg::tiny_skia::Path> {
    let mut path = PathBuilder::new();
    for line in lines {
        for (i, corner) in line.0.iter().enumerate() {
            let (x, y) = (corner.x as f32, corner.y as f32);
            if i == 0 {
                path.move_to(x, y);
            } else {
                path.line_to(x, y);
            }
        }
        if line.is_closed() {
            path.close();
        }
    }
    path.finish()
}

/// Stitches placed by hand, as wide as thread lies and flat.
fn stitches(
    object: &Object,
    colour: Colour,
    placement: &Placement,
    grid: &Grid,
    pixels: &mut Pixmap,
) {
    let half = THREAD_WIDTH / 2.0 * placement.scale() * grid.scale;
    let data = pixels.data_mut();
    for line in plan::lines_of(object) {
        for pair in line.windows(2) {
            let ends = [pair[0], pair[1]].map(|end| grid.place(placement.of(end)));
            visit(grid, ends, half, |under| {
                if let Some(pixel) = data.get_mut(under.pixel * 4..under.pixel * 4 + 4) {
                    pixel.copy_from_slice(&[colour.red, colour.green, colour.blue, 255]);
                }
            });
        }
    }
}
