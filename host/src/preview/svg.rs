//! The plan of a picture as SVG.

use super::figure::Figure;
use super::light::lit;
use super::path::{self, PathData};
use super::plan::{Layer, Plan};
use crate::rack::Colour;
use geo::Coord;
use std::f64::consts::FRAC_1_SQRT_2;
use std::fmt::Write as _;

/// Writes the plan down. Inside the picture one unit is 0.01 mm, so that all numbers are whole.
pub fn write(plan: &Plan, title: &str) -> String {
    let (least, greatest) = (plan.frame.min(), plan.frame.max());
    let [left, top, right, bottom] =
        [least.x, least.y, greatest.x, greatest.y].map(path::hundredths);
    let (width, height) = (right.saturating_sub(left), bottom.saturating_sub(top));
    let mut svg = String::new();
    let (wide, high) = (decimal(width), decimal(height));
    let _ = write!(
        svg,
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" viewBox="{left} {top} {width} {height}">"#
    );
    let _ = write!(svg, "<title>{}</title>", escaped(title));
    let fabric = plan.fabric;
    let _ = write!(
        svg,
        r#"<path fill="{fabric}" d="M{left} {top}h{width}v{height}h-{width}z"/>"#
    );
    svg.push_str(r#"<g fill="none" stroke-linecap="round" stroke-linejoin="round">"#);
    let mut number = 0;
    for layer in &plan.layers {
        thread(layer, &mut number, &mut svg);
    }
    for figure in &plan.figures {
        draw(figure, &mut svg);
    }
    svg.push_str("</g></svg>\n");
    svg
}

/// How many shades thread has by its direction; a stitch and its way back have the same.
const SHADES: usize = 8;
/// cos and sin of the middle of each shade's directions: 0, 22.5, … 157.5 degrees.
const DIRECTIONS: [[f64; 2]; SHADES] = [
    [1.0, 0.0],
    [0.923_879_532_511, 0.382_683_432_365],
    [FRAC_1_SQRT_2, FRAC_1_SQRT_2],
    [0.382_683_432_365, 0.923_879_532_511],
    [0.0, 1.0],
    [-0.382_683_432_365, 0.923_879_532_511],
    [-FRAC_1_SQRT_2, FRAC_1_SQRT_2],
    [-0.923_879_532_511, 0.382_683_432_365],
];
/// How far, as a cosine, a stitch's direction may be from its shade's before the shade is changed:
/// 20 degrees. Satin goes to and fro around one direction, and so stays one piece.
const KEPT: f64 = 0.939_692_620_786;

/// The thread of a layer: its edges in shadow, and its lit middle over them. It is parted where
/// its direction to the light changes.
fn thread(layer: &Layer, number: &mut usize, svg: &mut String) {
    let [width, lit_width] = layer.widths();
    for (shade, lines) in pieces(layer) {
        let [edge, middle] = colours(layer.colour, DIRECTIONS[shade]);
        let _ = write!(
            svg,
            r##"<g stroke="{edge}" stroke-width="{width}"><path id="t{number}" d="{lines}"/></g><use href="#t{number}" stroke="{middle}" stroke-width="{lit_width}"/>"##
        );
        *number += 1;
    }
}

/// The lines of a layer, parted where the shade changes; each piece with its shade.
fn pieces(layer: &Layer) -> Vec<(usize, PathData)> {
    let mut pieces = Vec::new();
    let mut path = PathData::default();
    let mut shade = None;
    for line in &layer.lines {
        let mut begun = false;
        for pair in line.windows(2) {
            let [from, to] = [pair[0], pair[1]];
            let now = shade_of(to - from, shade, layer.width);
            if shade != Some(now) {
                if let (Some(shade), Some(piece)) = (shade, path.take_lines()) {
                    pieces.push((shade, piece));
                }
                shade = Some(now);
                begun = false;
            }
            if !std::mem::replace(&mut begun, true) {
                path.move_to(from);
            }
            path.line_to(to);
        }
    }
    if let (Some(shade), Some(piece)) = (shade, path.take_lines()) {
        pieces.push((shade, piece));
    }
    pieces
}

/// The shade of a stitch, which is `before`'s as long as the direction is not far from it. A
/// stitch that is hardly longer than thread is thick shows no direction.
fn shade_of(way: Coord<f64>, before: Option<usize>, thick: f64) -> usize {
    let length = (way.x * way.x + way.y * way.y).sqrt();
    let near = |shade: usize| {
        let [x, y] = DIRECTIONS[shade];
        ((way.x * x + way.y * y) / length).abs()
    };
    if let Some(before) = before
        && (length < 1.5 * thick || near(before) >= KEPT)
    {
        return before;
    }
    (0..SHADES)
        .max_by(|&a, &b| near(a).total_cmp(&near(b)))
        .unwrap_or(0)
}

/// The thread's edge, in shadow, and its lit middle.
fn colours(colour: Colour, [x, y]: [f64; 2]) -> [Colour; 2] {
    let direction = Coord { x, y };
    let channels = [colour.red, colour.green, colour.blue].map(f64::from);
    let shaded = |across: [f64; 3]| {
        let lights = across.map(|across| lit(direction, across));
        let light = lights.iter().map(|(light, _)| light).sum::<f64>() / 3.0;
        let shine = lights.iter().map(|(_, shine)| shine).sum::<f64>() / 3.0;
        Colour::new(channels.map(|channel| {
            let body = channel * light;
            (body + (255.0 - body) * shine).round().clamp(0.0, 255.0) as u8
        }))
    };
    [shaded([-0.9, 0.0, 0.9]), shaded([-0.35, 0.0, 0.35])]
}

fn draw(figure: &Figure, svg: &mut String) {
    let mut data = String::new();
    for line in &figure.lines {
        for (i, place) in line.iter().enumerate() {
            let [x, y] = [place.x, place.y].map(path::hundredths);
            let letter = if i == 0 { 'M' } else { 'L' };
            let _ = write!(data, "{letter}{x} {y}");
        }
        if figure.closed {
            data.push('z');
        }
    }
    if data.is_empty() {
        return;
    }
    let _ = write!(svg, r#"<path class="{}""#, figure.name);
    if let Some(fill) = figure.fill {
        let _ = write!(svg, r#" fill="{fill}" fill-rule="evenodd""#);
    }
    if let Some((colour, width)) = figure.stroke {
        let width = path::hundredths(width).max(1);
        let _ = write!(svg, r#" stroke="{colour}" stroke-width="{width}""#);
    }
    if let Some(dashes) = figure.dashes {
        let [dash, space] = dashes.map(|mm| path::hundredths(mm).max(1));
        let _ = write!(svg, r#" stroke-dasharray="{dash} {space}""#);
    }
    let _ = write!(svg, r#" d="{data}"/>"#);
}

/// Hundredths of a mm as mm.
fn decimal(hundredths: i64) -> String {
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

/// Text as XML has it. Characters that XML 1.0 has no place for are left out.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '\t' | '\n' | ' '.. if c != '\u{fffe}' && c != '\u{ffff}' => escaped.push(c),
            _ => {}
        }
    }
    escaped
}
