//! What is printed where: pages as plain data, before any PDF.

use super::typeface::Weight;
use crate::rack::Colour;

/// A rectangle on the page, in mm from its top left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// From the left.
    pub x: f64,
    /// From the top.
    pub y: f64,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
}

/// What a mark is to whoever has the page read aloud.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// Nothing.
    Decor,
    /// The page's title.
    Title,
    /// A heading; each has a number of its own.
    Heading(u32),
    /// A piece of text; each has a number of its own.
    Paragraph(u32),
    /// A cell of a table.
    Cell {
        /// The table's number.
        table: u32,
        /// The row, from 0.
        row: u32,
        /// The column, from 0.
        column: u32,
        /// Whether it names the rest of its row or its column.
        head: Head,
    },
    /// The picture.
    Picture,
}

/// What a cell names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Head {
    /// It is a value.
    Value,
    /// It names its row.
    Row,
    /// It names its column.
    Column,
}

/// A line to draw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen {
    /// Its thickness, in mm.
    pub width: f64,
    /// Its darkness: 0 is black, 255 is white.
    pub grey: u8,
    /// Length of dashes and of the gaps between them, in mm.
    pub dash: Option<f64>,
}

impl Pen {
    /// A solid black line.
    pub const fn black(width: f64) -> Self {
        Self {
            width,
            grey: 0,
            dash: None,
        }
    }
}

/// One thing that is printed.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A line of text, from the left end of its base line.
    Text {
        /// The left end of the base line, in mm.
        at: [f64; 2],
        /// The size, in points.
        size: f64,
        /// How heavy.
        weight: Weight,
        /// The text.
        text: String,
        /// Black, or white on a dark ground.
        white: bool,
    },
    /// A straight line.
    Line {
        /// Its ends, in mm.
        ends: [[f64; 2]; 2],
        /// How it is drawn.
        pen: Pen,
    },
    /// A rectangle with an edge.
    Frame {
        /// Where.
        area: Area,
        /// How the edge is drawn.
        pen: Pen,
        /// What it is filled with.
        fill: Option<Colour>,
    },
    /// The stitches.
    Stitches {
        /// Where the design's own origin falls, in mm.
        origin: [f64; 2],
        /// Paper for sewn size.
        scale: f64,
    },
}

/// A mark and what it means.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// What is printed.
    pub mark: Mark,
    /// What it is.
    pub sense: Sense,
}

/// What is printed on one page, in reading order.
pub type Page = Vec<Placed>;
