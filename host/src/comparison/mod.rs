//! What was sewn against what was drawn.
//!
//! [`placement`] finds where the steps moved the drawing; [`artwork`] paints the drawing there as
//! pixels, and [`tops`] tells which thread lies on top of each; [`score`] counts, and [`view`]
//! shows it all side by side.

mod artwork;
mod placement;
mod score;
mod tops;
mod view;

pub use artwork::Source;
pub use placement::Placement;
pub use score::Score;

use crate::design::{Design, bounds};
use crate::diagnostics::Diagnostic;
use crate::preview::PreviewOptions;
use crate::preview::capsule::Grid;
use crate::rack::Colour;
use geo::{Coord, Rect};

/// What was compared.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// The figures; nothing where nothing is drawn, or where the drawing cannot be laid on the stitches.
    pub score: Option<Score>,
    /// Artwork, stitches and where they differ, side by side, as PNG.
    pub picture: Vec<u8>,
    /// What keeps the comparison from being exact.
    pub findings: Vec<Diagnostic>,
}

/// What is compared with the stitches.
#[derive(Clone, Copy, Debug)]
pub struct Drawn<'a> {
    /// The artwork itself, where it can be drawn.
    pub source: Source<'a>,
    /// The artwork as it was read, in its own colours.
    pub read: &'a Design,
    /// The thread wound for each of the artwork's colours; its own colour where there is no rack.
    pub wound: &'a [Colour],
}

/// Fabric around what is compared, in mm.
const MARGIN: f64 = 2.0;
/// Pixels in a mm, where that makes pictures of a sound size: half of a pixel is 0.05 mm.
const SCALE: f64 = 10.0;
/// The least and the most pixels along the longer side.
const LENGTHS: [f64; 2] = [560.0, 1400.0];

/// Compares the stitches of `sewn` with the artwork.
///
/// # Errors
/// There is no memory for the pictures.
pub fn compare(
    drawn: &Drawn<'_>,
    sewn: &Design,
    options: &PreviewOptions,
) -> Result<Comparison, Diagnostic> {
    let mut findings = Vec::new();
    let placed = Placement::between(drawn.read, sewn);
    if placed.is_none() {
        findings.push(
            Diagnostic::warning(
                "artwork-not-placed",
                "no one move, turn and scale takes the artwork to where it is sewn: the comparison \
                 shows it where it was drawn, and gives no figures",
            )
            .help(
                "Where steps move single objects on purpose, compare the preview with the artwork by eye.",
            ),
        );
    }
    let placement = placed.unwrap_or_default();
    let frame = frame(drawn.read, sewn, &placement);
    let longest = frame.width().max(frame.height());
    let scale = SCALE.max(LENGTHS[0] / longest);
    let grid = Grid::over(frame, scale, LENGTHS[1], LENGTHS[1] * LENGTHS[1]);
    let art = artwork::paint(drawn, &placement, &grid, &mut findings)?;
    let tops = tops::of(sewn, options.thread_width, &grid);
    let fabric = Colour::new(options.fabric);
    let mut judged = score::judge(&art.flat, &tops, drawn, fabric, &grid);
    if placed.is_none() {
        // Figures of an artwork that lies elsewhere say nothing.
        judged.score = None;
    }
    let picture = view::png(&art.smooth, sewn, options, &judged, &grid)?;
    Ok(Comparison {
        score: judged.score,
        picture,
        findings,
    })
}

/// Around the drawing and the stitches.
fn frame(read: &Design, sewn: &Design, placement: &Placement) -> Rect<f64> {
    let page = Rect::new(
        Coord::from(read.page.least),
        Coord::from(read.page.greatest),
    );
    let shapes = bounds(
        read.objects
            .iter()
            .filter_map(|object| object.shape_bounds())
            .flat_map(|rect| [rect.min(), rect.max()])
            .map(|place| within(place, page)),
    );
    let drawn = shapes.or_else(|| read.needle_bounds());
    let corners = drawn.into_iter().flat_map(|rect| {
        let (a, b) = (rect.min(), rect.max());
        [a, Coord { x: b.x, y: a.y }, b, Coord { x: a.x, y: b.y }].map(|place| placement.of(place))
    });
    let sewn = sewn.needle_bounds();
    let stitches = sewn.into_iter().flat_map(|rect| [rect.min(), rect.max()]);
    let all = bounds(corners.chain(stitches)).unwrap_or(page);
    let margin = Coord {
        x: MARGIN,
        y: MARGIN,
    };
    Rect::new(all.min() - margin, all.max() + margin)
}

/// The place of `page` that is nearest: what is drawn beyond the page is not seen.
fn within(place: Coord<f64>, page: Rect<f64>) -> Coord<f64> {
    Coord {
        x: place.x.clamp(page.min().x, page.max().x),
        y: place.y.clamp(page.min().y, page.max().y),
    }
}

#[cfg(test)]
mod tests;
