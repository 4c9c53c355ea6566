//! What is around the stitches: fabric, the hoop, and how large it all is.

use super::figure::{Figure, line};
use super::{PreviewOptions, lettering};
use crate::formats::dst::Hoop;
use geo::{Coord, Rect};

/// The inside of the hoop on the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoopOutline {
    /// The hoop's centre, which is the machine's start, in mm of the design.
    pub centre: Coord<f64>,
    /// The hoop.
    pub hoop: Hoop,
}

impl HoopOutline {
    /// Less a margin on each side.
    fn inside(&self, margin: f64) -> Option<Rect<f64>> {
        let half = Coord::from(self.hoop.room(margin));
        let drawable = half.x > 0.0 && half.y > 0.0 && (half.x + half.y).is_finite();
        drawable.then(|| Rect::new(self.centre - half, self.centre + half))
    }
}

/// The strip that the scale stands on, in units.
const STRIP: f64 = 4.5;

/// The fabric that is seen: what is sewn, the hoop if it is drawn, a margin, and room for the scale.
pub fn frame(seen: Rect<f64>, options: &PreviewOptions) -> Rect<f64> {
    let margin = options.margin.clamp(0.0, 1e6);
    let (mut least, mut greatest) = (seen.min(), seen.max());
    if let Some(inside) = options.hoop.and_then(|hoop| hoop.inside(0.0)) {
        least = [least.x.min(inside.min().x), least.y.min(inside.min().y)].into();
        greatest = [
            greatest.x.max(inside.max().x),
            greatest.y.max(inside.max().y),
        ]
        .into();
    }
    // A picture has a size, even of one needle point without a margin.
    let margin = margin.max((1.0 - (greatest - least).x).max(1.0 - (greatest - least).y) / 2.0);
    let margin = Coord {
        x: margin,
        y: margin,
    };
    let mut frame = Rect::new(least - margin, greatest + margin);
    let strip = STRIP * unit(frame) - margin.y;
    if options.scale_bar && strip > 0.0 {
        frame.set_max(frame.max() + Coord { x: 0.0, y: strip });
    }
    frame
}

/// The measure of what is drawn over the picture, in mm: a hundredth of the longer side.
pub fn unit(frame: Rect<f64>) -> f64 {
    frame.width().max(frame.height()) / 100.0
}

/// The hoop's inside, the margin within it as dashes, and a cross at the machine's start.
pub fn hoop(options: &PreviewOptions, unit: f64) -> Vec<Figure> {
    let Some(hoop) = options.hoop else {
        return Vec::new();
    };
    let mut figures = Vec::new();
    let mut outline = |margin: f64, width: f64, dashes| {
        let lines: Vec<_> = hoop.inside(margin).map(corners).into_iter().collect();
        let mut figure = Figure::on_fabric("hoop", lines, options.fabric, width);
        figure.closed = true;
        figure.dashes = dashes;
        figures.push(figure);
    };
    outline(0.0, unit * 0.3, None);
    if hoop.hoop.margin > 0.0 {
        outline(hoop.hoop.margin, unit * 0.15, Some([unit, unit]));
    }
    let arm = |x: f64, y: f64| Coord { x, y } * unit * 1.5;
    let cross = vec![
        line(hoop.centre - arm(1.0, 0.0), hoop.centre + arm(1.0, 0.0)),
        line(hoop.centre - arm(0.0, 1.0), hoop.centre + arm(0.0, 1.0)),
    ];
    figures.extend(Figure::readable("start", cross, unit * 0.15));
    figures
}

fn corners(rect: Rect<f64>) -> Vec<Coord<f64>> {
    let (least, greatest) = (rect.min(), rect.max());
    let upper_right = Coord {
        x: greatest.x,
        y: least.y,
    };
    let lower_left = Coord {
        x: least.x,
        y: greatest.y,
    };
    vec![least, upper_right, greatest, lower_left]
}

/// A bar of 10 mm, of 1 mm in a picture too small for that, or of 100 mm and more in a huge one.
pub fn scale_bar(frame: Rect<f64>, fabric: [u8; 3], unit: f64) -> Figure {
    let mut length = 10.0;
    while length * 1.2 > frame.width() && length > 0.01 {
        length /= 10.0;
    }
    while length * 60.0 < frame.width() {
        length *= 10.0;
    }
    let left = Coord {
        x: frame.min().x + unit,
        y: frame.max().y - unit,
    };
    let right = left + Coord { x: length, y: 0.0 };
    let tick = Coord { x: 0.0, y: unit };
    let text = format!("{length} mm");
    let height = unit * 1.4;
    let mut lines = vec![
        line(left, right),
        line(left - tick, left),
        line(right - tick, right),
    ];
    let beside = right
        + Coord {
            x: unit,
            y: -height,
        };
    let above = left
        - Coord {
            x: 0.0,
            y: unit * 1.4 + height,
        };
    let fits = beside.x + lettering::width(&text) * height + unit < frame.max().x;
    let at = if fits { beside } else { above };
    lines.extend(lettering::strokes(&text, at, height));
    Figure::on_fabric("scale", lines, fabric, unit * 0.2)
}
