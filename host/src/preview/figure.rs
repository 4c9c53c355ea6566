//! Lines and areas drawn over the thread: the hoop, the scale, what is marked.

use crate::rack::Colour;
use geo::Coord;
use std::f64::consts::FRAC_1_SQRT_2;

/// Black, for whatever must be read.
pub const INK: Colour = Colour {
    red: 20,
    green: 20,
    blue: 20,
};
/// White, around ink, so that it can be read on any thread.
pub const PAPER: Colour = Colour {
    red: 255,
    green: 255,
    blue: 255,
};

/// Lines of one kind, in mm. Those that are filled are closed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Figure {
    /// What a script knows it by in the SVG, such as `trims`.
    pub name: &'static str,
    /// The lines.
    pub lines: Vec<Vec<Coord<f64>>>,
    /// Whether each line goes back to its first corner.
    pub closed: bool,
    /// What is inside the lines, even-odd.
    pub fill: Option<Colour>,
    /// The lines' own colour and width in mm.
    pub stroke: Option<(Colour, f64)>,
    /// Lengths of dash and space in mm, where the line is broken.
    pub dashes: Option<[f64; 2]>,
}

impl Figure {
    /// Lines in `colour`, `width` mm wide.
    pub fn lines(
        name: &'static str,
        lines: Vec<Vec<Coord<f64>>>,
        colour: Colour,
        width: f64,
    ) -> Self {
        Self {
            name,
            lines,
            stroke: Some((colour, width)),
            ..Self::default()
        }
    }

    /// Ink on a wider line of paper.
    pub fn readable(name: &'static str, lines: Vec<Vec<Coord<f64>>>, width: f64) -> [Self; 2] {
        let wider = Self::lines(name, lines.clone(), PAPER, width * 2.5);
        [wider, Self::lines(name, lines, INK, width)]
    }

    /// Lines in ink or paper, whichever can be read on `fabric`.
    pub fn on_fabric(
        name: &'static str,
        lines: Vec<Vec<Coord<f64>>>,
        fabric: [u8; 3],
        width: f64,
    ) -> Self {
        // The eye's weights of the three channels, ITU-R BT.601.
        let weights = [299, 587, 114];
        let light: u32 = fabric
            .iter()
            .zip(weights)
            .map(|(channel, weight)| u32::from(*channel) * weight)
            .sum();
        let colour = if light > 110_000 { INK } else { PAPER };
        Self::lines(name, lines, colour, width)
    }

    /// The outline closed and filled with paper, its edge in ink.
    pub fn plate(name: &'static str, outline: Vec<Coord<f64>>, width: f64) -> Self {
        Self {
            name,
            lines: vec![outline],
            closed: true,
            fill: Some(PAPER),
            stroke: Some((INK, width)),
            dashes: None,
        }
    }
}

/// A regular polygon with one corner straight up. With 24 corners it looks like a circle; exact
/// values are written down, because a sine differs from machine to machine.
pub fn ring(middle: Coord<f64>, radius: f64) -> Vec<Coord<f64>> {
    // cos and sin of 0, 15, 30, 45, 60 and 75 degrees.
    const QUARTER: [[f64; 2]; 6] = [
        [1.0, 0.0],
        [0.965_925_826_289, 0.258_819_045_103],
        [0.866_025_403_784, 0.5],
        [FRAC_1_SQRT_2, FRAC_1_SQRT_2],
        [0.5, 0.866_025_403_784],
        [0.258_819_045_103, 0.965_925_826_289],
    ];
    let mut corners = Vec::with_capacity(24);
    for [turn_x, turn_y] in [[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]] {
        for [x, y] in QUARTER {
            corners.push(Coord {
                x: middle.x + radius * (turn_x * x - turn_y * y),
                y: middle.y + radius * (turn_y * x + turn_x * y),
            });
        }
    }
    corners
}

/// The corners at these offsets of the middle, times `size`.
pub fn around<const N: usize>(
    middle: Coord<f64>,
    size: f64,
    offsets: [[f64; 2]; N],
) -> Vec<Coord<f64>> {
    offsets
        .map(|[x, y]| middle + Coord { x, y } * size)
        .to_vec()
}

/// A line from `a` to `b`.
pub fn line(a: Coord<f64>, b: Coord<f64>) -> Vec<Coord<f64>> {
    vec![a, b]
}
