//! The pixels under a piece of thread.

use geo::{Coord, Rect};

/// Which place of the cloth each pixel shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grid {
    /// The upper left corner of the first pixel, in mm.
    pub origin: Coord<f64>,
    /// Pixels in a mm.
    pub scale: f64,
    /// Pixels in a row.
    pub width: u32,
    /// Rows.
    pub height: u32,
}

impl Grid {
    /// The grid over `frame`; `scale` becomes smaller where it would be more than `most` pixels
    /// along a side or `most_area` in all.
    pub fn over(frame: Rect<f64>, scale: f64, most: f64, most_area: f64) -> Self {
        let (wide, high) = (frame.width(), frame.height());
        let scale = scale
            .min(most / wide.max(high))
            .min((most_area / (wide * high)).sqrt())
            .max(f64::MIN_POSITIVE);
        // Rounded down to what a picture can state: whole pixels in a metre.
        let stated = (scale * 1000.0).floor() / 1000.0;
        let scale = if stated > 0.0 { stated } else { scale };
        let pixels = |mm: f64| (mm * scale).ceil().clamp(1.0, most) as u32;
        Self {
            origin: frame.min(),
            scale,
            width: pixels(wide),
            height: pixels(high),
        }
    }

    /// A place of the cloth, in pixels from the upper left corner.
    pub fn place(&self, mm: Coord<f64>) -> Coord<f64> {
        (mm - self.origin) * self.scale
    }

    /// The place of the cloth in a pixel's middle.
    pub fn mm(&self, column: u32, row: u32) -> Coord<f64> {
        let pixel = Coord {
            x: f64::from(column) + 0.5,
            y: f64::from(row) + 0.5,
        };
        self.origin + pixel / self.scale
    }

    /// How many pixels there are.
    pub fn pixels(&self) -> usize {
        self.width as usize * self.height as usize
    }
}

/// Where a pixel's middle lies on a piece of thread; in pixels.
#[derive(Clone, Copy, Debug)]
pub struct Under {
    /// The pixel's place in the picture, row by row.
    pub pixel: usize,
    /// From the thread's middle line, to the right of its direction as seen with y down.
    pub across: f64,
    /// From the first needle point, at most up to the second.
    pub along: f64,
}

/// Visits all pixels whose middle lies at most `reach` pixels from the line between two places,
/// which are in pixels too.
pub fn visit(grid: &Grid, [from, to]: [Coord<f64>; 2], reach: f64, mut visitor: impl FnMut(Under)) {
    let way = to - from;
    let length = (way.x * way.x + way.y * way.y).sqrt();
    if length == 0.0 || !length.is_finite() {
        return;
    }
    let unit = way / length;
    let span = |a: f64, b: f64, most: u32| {
        let least = (a.min(b) - reach).floor().max(0.0);
        let greatest = (a.max(b) + reach).ceil().min(f64::from(most));
        (least, greatest)
    };
    let (top, bottom) = span(from.y, to.y, grid.height);
    let (left, right) = span(from.x, to.x, grid.width);
    if top >= bottom || left >= right {
        return;
    }
    for row in top as u32..bottom as u32 {
        let y = f64::from(row) + 0.5 - from.y;
        let (mut first, mut last) = (left, right);
        // Where the line is not level, the row meets the thread only around one place.
        if unit.y.abs() > 1e-3 {
            let middle = from.x + y * unit.x / unit.y;
            let half = reach / unit.y.abs() + 1.0;
            // The round ends reach no farther than the thread's sides do.
            first = first.max((middle - half).floor());
            last = last.min((middle + half).ceil());
        }
        if first >= last {
            continue;
        }
        let start = row as usize * grid.width as usize;
        for column in first as u32..last as u32 {
            let x = f64::from(column) + 0.5 - from.x;
            let along = x * unit.x + y * unit.y;
            let mut across = unit.x * y - unit.y * x;
            let beyond = along - along.clamp(0.0, length);
            if beyond != 0.0 {
                across = (across * across + beyond * beyond).sqrt().copysign(across);
            }
            if across.abs() <= reach {
                visitor(Under {
                    pixel: start + column as usize,
                    across,
                    along: along.clamp(0.0, length),
                });
            }
        }
    }
}
