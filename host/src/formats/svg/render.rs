//! The artwork as a general-purpose SVG renderer paints it, to compare stitches with.

mod effort;

use super::{STACK, Scale, origin, page, spelling};
use resvg::tiny_skia::{Pixmap, Transform};
use usvg::ShapeRendering;

/// The artwork as pixels: with each pixel in one colour of the artwork, and with smooth edges.
pub struct Painted {
    /// No pixel is mixed of two neighbours.
    pub flat: Pixmap,
    /// For people.
    pub smooth: Pixmap,
}

/// Paints the SVG `text` on `width` x `height` pixels. `matrix` takes mm of the page to pixels: x
/// to x, x to y, y to x, y to y, and the shift.
///
/// # Errors
/// Why it cannot be painted.
pub fn paint(
    text: &str,
    scale: Scale,
    matrix: [f64; 6],
    [width, height]: [u32; 2],
) -> Result<Painted, String> {
    let text = &*spelling::corrected(text);
    // As for reading: a thread of its own has the stack that nesting needs, and keeps a panic.
    let painting = || {
        let mut painted = [
            ShapeRendering::CrispEdges,
            ShapeRendering::GeometricPrecision,
        ]
        .map(|edges| paint_once(text, scale, matrix, [width, height], edges))
        .into_iter();
        match (painted.next(), painted.next()) {
            (Some(flat), Some(smooth)) => Ok(Painted {
                flat: flat?,
                smooth: smooth?,
            }),
            _ => Err("it was not painted".to_owned()),
        }
    };
    let outcome = std::thread::scope(|scope| {
        std::thread::Builder::new()
            .name("svg".to_owned())
            .stack_size(STACK)
            .spawn_scoped(scope, painting)
            .map(|painting| painting.join())
    });
    match outcome {
        Ok(Ok(result)) => result,
        Ok(Err(_)) => Err("the renderer broke down on it".to_owned()),
        Err(error) => Err(format!("no thread could be started for painting: {error}")),
    }
}

fn paint_once(
    text: &str,
    scale: Scale,
    matrix: [f64; 6],
    [width, height]: [u32; 2],
    edges: ShapeRendering,
) -> Result<Pixmap, String> {
    let options = usvg::Options {
        shape_rendering: edges,
        ..origin::options()
    };
    let reading = roxmltree::ParsingOptions {
        allow_dtd: true,
        ..roxmltree::ParsingOptions::default()
    };
    let xml = roxmltree::Document::parse_with_options(text, reading);
    let xml = xml.map_err(|error| error.to_string())?;
    let tree = usvg::Tree::from_xmltree(&xml, &options).map_err(|error| error.to_string())?;
    let size = (
        f64::from(tree.size().width()),
        f64::from(tree.size().height()),
    );
    let scale = page::asked(xml.root_element(), scale, size);
    let mm_per_px = page::factor(scale, size.0, size.1)?;
    let [xx, xy, yx, yy, x, y] = matrix;
    let [xx, xy, yx, yy] = [xx, xy, yx, yy].map(|number| (number * mm_per_px) as f32);
    let transform = Transform::from_row(xx, xy, yx, yy, x as f32, y as f32);
    effort::check(tree.root(), transform)?;
    let mut pixmap = Pixmap::new(width, height).ok_or("there is no memory for it")?;
    resvg::render(&tree, transform, &mut pixmap.as_mut());
    Ok(pixmap)
}
