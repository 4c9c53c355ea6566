//! A design as a diagram: shapes pale, stitches over them, and the marks that tell order, ways and
//! cuts. A preview shows the thread; this shows what a step does to it.

use crate::design::{Design, Object, Shape, StitchKind, StitchRole, bounds};
use crate::preview::path::{PathData, hundredths};
use crate::rack::Colour;
use geo::{Coord, Rect};
use std::fmt::Write as _;

/// Cloth around what is drawn, in mm.
const MARGIN: f64 = 2.0;
/// A line without width is drawn this wide, in mm.
const HAIRLINE: f64 = 0.2;
/// How wide thread is drawn, in mm: thinner than it lies, so that each stitch is seen.
const THREAD: f64 = 0.16;
/// An object's own angle is drawn so far to either side of its middle, in mm.
const ANGLE_REACH: f64 = 2.0;

/// What lies in `designs`, with some cloth around it.
pub(super) fn frame(designs: [&Design; 2]) -> Option<Rect<f64>> {
    let objects = designs.into_iter().flat_map(|design| &design.objects);
    let rects = objects.flat_map(|object| {
        let shape = object.shape_bounds();
        shape.into_iter().chain(object.needle_bounds())
    });
    let around = bounds(rects.flat_map(|rect| [rect.min(), rect.max()]))?;
    let margin = Coord {
        x: MARGIN,
        y: MARGIN,
    };
    Some(Rect::new(around.min() - margin, around.max() + margin))
}

/// Draws `design` in `frame`, as an SVG to stand in a page; `label` says what it is for those who do
/// not see it. One unit is 0.01 mm.
pub(super) fn draw(design: &Design, frame: Rect<f64>, label: &str) -> String {
    let [left, top] = [frame.min().x, frame.min().y].map(hundredths);
    let [width, height] = [frame.width(), frame.height()].map(hundredths);
    let mut svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{label}" viewBox="{left} {top} {width} {height}">"#
    );
    for object in &design.objects {
        shape(&mut svg, object, Colour::of_object(design, object));
    }
    for object in &design.objects {
        stitches(&mut svg, object, Colour::of_object(design, object));
        marks(&mut svg, object);
    }
    for (number, object) in design.objects.iter().enumerate() {
        numbered(&mut svg, object, number + 1);
    }
    svg.push_str("</svg>");
    svg
}

fn shape(svg: &mut String, object: &Object, colour: Colour) {
    let path = PathData::of_shape(&object.shape);
    let _ = match &object.shape {
        Shape::Region(_) => write!(
            svg,
            r#"<path class="shape" fill="{colour}" fill-rule="evenodd" d="{path}"/>"#
        ),
        Shape::Lines(lines) => {
            let width = hundredths(lines.width.max(HAIRLINE));
            write!(
                svg,
                r#"<path class="shape line" stroke="{colour}" stroke-width="{width}" d="{path}"/>"#
            )
        }
        Shape::Manual => Ok(()),
    };
}

/// Thread in the object's colour; travel dashed, jumps dotted, ties red, trims crossed.
fn stitches(svg: &mut String, object: &Object, colour: Colour) {
    let mut at: Option<Coord<f64>> = None;
    let mut paths: [PathData; 5] = std::array::from_fn(|_| PathData::default());
    let mut last = None;
    let mut cuts = Vec::new();
    for stitch in object.each_stitch() {
        let way = match (stitch.kind, stitch.role) {
            (StitchKind::Needle, StitchRole::Travel) => 1,
            (StitchKind::Needle, StitchRole::Underlay) => 2,
            (StitchKind::Needle, StitchRole::Tie) => 4,
            (StitchKind::Needle, _) => 0,
            _ => 3,
        };
        if let Some(from) = at {
            if last != Some(way) {
                paths[way].move_to(from);
                last = Some(way);
            }
            paths[way].line_to(stitch.at);
            if stitch.kind == StitchKind::Trim {
                cuts.push(from);
            }
        }
        at = Some(stitch.at);
    }
    let width = hundredths(THREAD);
    for (class, path) in ["jump", "underlay", "travel", "cover", "tie"]
        .iter()
        .zip([&paths[3], &paths[2], &paths[1], &paths[0], &paths[4]])
    {
        if !path.is_empty() {
            let _ = write!(
                svg,
                r#"<path class="thread {class}" stroke="{colour}" stroke-width="{width}" d="{path}"/>"#
            );
        }
    }
    for cut in cuts {
        let [x, y] = [cut.x, cut.y].map(hundredths);
        let _ = write!(
            svg,
            r#"<path class="cut" d="M{} {}l120 120m0-120l-120 120"/>"#,
            x - 60,
            y - 60
        );
    }
}

/// Direction marks, a line across the middle along an angle of the object's own, and where it is asked to begin
/// and end.
fn marks(svg: &mut String, object: &Object) {
    let mut path = PathData::default();
    for mark in &object.sewing.direction_marks {
        path.move_to(mark.tail.into());
        path.line_to(mark.head.into());
    }
    let middle = object.shape_bounds().map(|rect| rect.center());
    if let (Some(angle), Some(middle)) = (object.sewing.angle, middle) {
        let (sin, cos) = angle.to_radians().sin_cos();
        // y grows down, and angles turn anticlockwise as seen.
        let along = Coord { x: cos, y: -sin } * ANGLE_REACH;
        path.move_to(middle - along);
        path.line_to(middle + along);
    }
    if !path.is_empty() {
        let _ = write!(svg, r#"<path class="direction" d="{path}"/>"#);
    }
    let ends = [
        (object.sewing.start, "start"),
        (object.sewing.finish, "finish"),
    ];
    for (place, class) in ends {
        if let Some(place) = place {
            let [x, y] = [place.x, place.y].map(hundredths);
            let _ = write!(svg, r#"<circle class="{class}" cx="{x}" cy="{y}" r="70"/>"#);
        }
    }
}

/// The object's number in the sewing order, where it begins.
fn numbered(svg: &mut String, object: &Object, number: usize) {
    let begins = object.each_stitch().next().map(|stitch| stitch.at);
    let middle = || object.shape_bounds().map(|rect| rect.center());
    let Some(place) = begins.or_else(middle) else {
        return;
    };
    let [x, y] = [place.x, place.y].map(hundredths);
    let _ = write!(svg, r#"<text x="{x}" y="{y}">{number}</text>"#);
}
