//! The stitches as strokes of thread.

use crate::design::{Design, StitchKind, THREAD_WIDTH};
use crate::preview::plan::{self, Line};
use crate::rack::Colour;
use geo::Coord;

/// Over so many needle points the thread is one thin stroke, and what lies under the cover is left
/// out, so that a printer can cope.
const DETAILED: usize = 50_000;

/// A place in whole hundredths of a mm.
pub type Place = [i64; 2];

/// Thread of one colour and thickness, sewn without a break in the picture's order.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// Its colour: red, green, blue (sRGB).
    pub colour: [u8; 3],
    /// Its thickness, in hundredths of a mm.
    pub width: i64,
    /// Its ways, from needle point to needle point.
    pub ways: Vec<Vec<Place>>,
}

/// The strokes of `design`, in the order in which they lie upon each other.
pub fn strokes(design: &Design) -> Vec<Stroke> {
    let needle_points: usize = design
        .objects
        .iter()
        .map(|object| {
            object
                .each_stitch()
                .filter(|s| s.kind == StitchKind::Needle)
                .count()
        })
        .sum();
    let detailed = needle_points <= DETAILED;
    let mut strokes = Vec::new();
    for layer in plan::layers(design, THREAD_WIDTH) {
        let [edge, lit] = shades(layer.colour);
        let [width, middle] = layer.widths();
        let ways = ways(&layer.lines);
        let stroke = |colour, width| Stroke {
            colour,
            width,
            ways: ways.clone(),
        };
        if ways.is_empty() {
            continue;
        }
        if detailed {
            strokes.extend([stroke(edge, width), stroke(lit, middle)]);
        } else if layer.seen {
            strokes.push(stroke(edge, (width / 2).max(1)));
        }
    }
    strokes
}

fn ways(lines: &[Line]) -> Vec<Vec<Place>> {
    let ways = lines.iter().map(|line| {
        let mut way: Vec<Place> = line.iter().map(|at| place(*at)).collect();
        way.dedup();
        way
    });
    ways.filter(|way| way.len() > 1).collect()
}

fn place(at: Coord<f64>) -> Place {
    [at.x, at.y].map(|mm| (mm * 100.0).round() as i64)
}

/// The thread's edge, in shadow, and its lit middle, so that single rows can be told apart.
fn shades(colour: Colour) -> [[u8; 3]; 2] {
    let colour = [colour.red, colour.green, colour.blue];
    let edge = colour.map(|channel| (u16::from(channel) * 4 / 5) as u8);
    let lit = colour.map(|channel| channel.saturating_add((255 - channel) / 10));
    [edge, lit]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Object, Point, Rectangle, Shape, StitchList, StitchRole, Thread};

    fn design(count: i32) -> Design {
        let mut list = StitchList::new();
        list.needle(StitchRole::Underlay, Coord { x: 0.0, y: 0.0 });
        list.needle(StitchRole::Underlay, Coord { x: 1.0, y: 0.0 });
        for i in 0..count {
            let (x, y) = (1.0 + f64::from(i % 2), f64::from(i) * 0.2);
            list.needle(StitchRole::Cover, Coord { x, y });
        }
        list.jump(Coord { x: 9.0, y: 0.0 });
        list.needle(StitchRole::Cover, Coord { x: 9.0, y: 0.0 });
        let mut object = Object::new("a", Shape::Manual);
        object.stitches = list.into_blocks();
        let corner = Point { x: 0.0, y: 0.0 };
        Design {
            title: String::new(),
            page: Rectangle {
                least: corner,
                greatest: corner,
            },
            threads: Vec::new(),
            objects: vec![object],
        }
    }

    #[test]
    fn underlay_lies_under_the_cover_that_goes_on_from_it() {
        let strokes = strokes(&design(3));
        let ways: Vec<_> = strokes.iter().map(|stroke| stroke.ways.clone()).collect();
        let underlay = vec![vec![[0, 0], [100, 0]]];
        let cover = vec![vec![[100, 0], [200, 20], [100, 40]]];
        assert_eq!(ways, [underlay.clone(), underlay, cover.clone(), cover]);
    }

    #[test]
    fn a_very_large_design_is_drawn_thin_and_without_what_is_hidden() {
        let strokes = strokes(&design(50_001));
        assert_eq!(strokes.len(), 1);
        assert_eq!(strokes[0].width, 20);
    }

    /// A weight number is a length for a mass (ISO 1144 has it as Nm): four times the number is half
    /// the thickness. 40 weight covers 0.4 mm (common practice).
    #[test]
    fn strokes_are_as_thick_as_the_thread() {
        let widths = |weight| {
            let mut design = design(3);
            design.threads = vec![Thread {
                name: String::new(),
                code: String::new(),
                red: 0,
                green: 0,
                blue: 0,
                weight,
            }];
            let strokes = strokes(&design);
            [strokes[0].width, strokes[1].width]
        };
        assert_eq!(widths(40), [40, 16]);
        assert_eq!(widths(160), [20, 8]);
        assert_eq!(widths(10), [80, 32]);
    }
}
