//! What was asked for, drawn flat in its own colours, to lie beneath what is sewn.

use crate::design::{Design, Object, Shape};
use crate::preview::path::{PathData, hundredths};
use crate::rack::Colour;
use geo::{Coord, Rect};
use serde::Serialize;
use std::fmt::Write as _;

/// A line without width is drawn this wide, in mm, so that it can be seen.
const HAIRLINE: f64 = 0.2;

/// A picture and its place on the cloth. The page shows it as an image, so nothing in it can run.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Artwork {
    /// The picture, as SVG.
    pub svg: String,
    /// Its left edge, in mm of the design.
    pub left: f64,
    /// Its upper edge, in mm of the design, y down.
    pub top: f64,
    /// Its width, in mm.
    pub width: f64,
    /// Its height, in mm.
    pub height: f64,
}

impl Artwork {
    /// The shapes of `design` in the colours of its threads, first below; nothing where it has
    /// none. Ends and corners of lines are round: a design does not keep how they were drawn.
    pub fn of(design: &Design) -> Option<Self> {
        let around = around(design)?;
        // Inside the picture one unit is 0.01 mm, so that all numbers are whole.
        let [left, top] = [around.min().x, around.min().y].map(|mm| (mm * 100.0).floor());
        let [right, bottom] = [around.max().x, around.max().y].map(|mm| (mm * 100.0).ceil());
        // An image needs some width and height, be its line straight.
        let (width, height) = ((right - left).max(1.0), (bottom - top).max(1.0));
        let mut svg = String::new();
        let _ = write!(
            svg,
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="{left} {top} {width} {height}">"#
        );
        for object in &design.objects {
            draw(&mut svg, object, Colour::of_object(design, object));
        }
        svg.push_str("</svg>");
        Some(Self {
            svg,
            left: left / 100.0,
            top: top / 100.0,
            width: width / 100.0,
            height: height / 100.0,
        })
    }
}

fn around(design: &Design) -> Option<Rect<f64>> {
    let shapes = design.objects.iter().filter_map(|object| {
        let rect = object.shape_bounds()?;
        let hairline = Coord {
            x: HAIRLINE / 2.0,
            y: HAIRLINE / 2.0,
        };
        Some([rect.min() - hairline, rect.max() + hairline])
    });
    crate::design::bounds(shapes.flatten())
}

fn draw(svg: &mut String, object: &Object, colour: Colour) {
    let path = PathData::of_shape(&object.shape);
    if path.is_empty() {
        return;
    }
    let _ = match &object.shape {
        Shape::Region(_) => write!(
            svg,
            r#"<path fill="{colour}" fill-rule="evenodd" d="{path}"/>"#
        ),
        Shape::Lines(lines) => {
            let width = if lines.width > 0.0 {
                lines.width
            } else {
                HAIRLINE
            };
            let width = hundredths(width).max(1);
            write!(
                svg,
                r#"<path fill="none" stroke="{colour}" stroke-width="{width}" stroke-linecap="round" stroke-linejoin="round" d="{path}"/>"#
            )
        }
        Shape::Manual => Ok(()),
    };
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Lines, Polygon, Polyline, Region, Thread};

    fn at(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    #[test]
    fn shapes_are_drawn_in_true_size_and_in_their_colours() {
        let square = |least: f64, most: f64| {
            let corners = [at(least, least), at(most, least), at(most, most)];
            Polyline::new(corners, true)
        };
        let region = Shape::Region(Region {
            polygons: vec![Polygon {
                outer: square(1.0, 9.0),
                holes: vec![square(4.0, 5.0)],
            }],
        });
        let lines = Shape::Lines(Lines {
            paths: vec![Polyline::new([at(0.0, 0.0), at(10.0, 0.0)], false)],
            width: 1.0,
        });
        let objects = vec![Object::new("a", region), Object::new("b", lines)];
        let mut design = Design::on_page(10.0, 10.0, objects);
        design.threads = vec![Thread {
            name: "Barn".to_owned(),
            code: String::new(),
            red: 255,
            green: 0,
            blue: 16,
            weight: 40,
        }];
        let artwork = Artwork::of(&design).expect("shapes");
        assert_eq!((artwork.left, artwork.top), (-0.6, -0.6));
        assert_eq!((artwork.width, artwork.height), (11.2, 9.7));
        insta::assert_snapshot!(artwork.svg, @r##"<svg xmlns="http://www.w3.org/2000/svg" width="1120" height="970" viewBox="-60 -60 1120 970"><path fill="#ff0010" fill-rule="evenodd" d="M100 100l800 0 0 800-800-800M400 400l100 0 0 100-100-100"/><path fill="none" stroke="#ff0010" stroke-width="100" stroke-linecap="round" stroke-linejoin="round" d="M0 0l1000 0"/></svg>"##);
        assert!(roxmltree::Document::parse(&artwork.svg).is_ok());
    }

    #[test]
    fn stitches_alone_are_no_artwork() {
        let design = Design::on_page(10.0, 10.0, vec![Object::new("a", Shape::Manual)]);
        assert_eq!(Artwork::of(&design), None);
    }
}
