//! How far each object moves: spreading, lining up and moving, one after the other.

use crate::{Across, Align, Down, RelativeTo, Spread, Unit, hoop, spread};
use hoopwright_sdk::Rectangle;
use hoopwright_sdk::bounds::{Bounds, Extent};
use hoopwright_sdk::prelude::*;

/// Shifts shorter than this are none, in mm, so that lining up twice changes nothing.
const NO_SHIFT: f64 = 1e-9;

/// A selected object, by its place in the design, and where it lies.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Piece {
    pub place: usize,
    pub bounds: Bounds,
}

/// Which part of an extent lies on the same part of the frame's.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Anchor {
    Least,
    Middle,
    Greatest,
}

/// One axis of the whole task.
struct Axis {
    extents: Vec<Extent>,
    frame: Extent,
    spread: Spread,
    anchor: Option<Anchor>,
    moved: f64,
}

/// How far the objects move, as pairs of place and shift. Those that stay are left out.
pub(crate) fn shifts(
    pieces: &[Piece],
    page: &Rectangle,
    settings: &Align,
) -> Vec<(usize, Coord<f64>)> {
    let Some(frame) = frame(pieces, page, settings) else {
        return Vec::new();
    };
    let fixed = match settings.relative_to {
        RelativeTo::Largest => largest(pieces),
        _ => None,
    };
    let across = Axis {
        extents: pieces.iter().map(|piece| piece.bounds.across).collect(),
        frame: frame.across,
        spread: settings.spread_across,
        anchor: match settings.across {
            Across::Keep => None,
            Across::Left => Some(Anchor::Least),
            Across::Centre => Some(Anchor::Middle),
            Across::Right => Some(Anchor::Greatest),
        },
        moved: settings.move_right,
    };
    let down = Axis {
        extents: pieces.iter().map(|piece| piece.bounds.down).collect(),
        frame: frame.down,
        spread: settings.spread_down,
        anchor: match settings.down {
            Down::Keep => None,
            Down::Top => Some(Anchor::Least),
            Down::Middle => Some(Anchor::Middle),
            Down::Bottom => Some(Anchor::Greatest),
        },
        moved: settings.move_down,
    };
    let across = axis_shifts(across, settings, fixed);
    let down = axis_shifts(down, settings, fixed);
    pieces
        .iter()
        .zip(across.into_iter().zip(down))
        .map(|(piece, (x, y))| (piece.place, Coord { x, y }))
        .filter(|(_, shift)| shift.x != 0.0 || shift.y != 0.0)
        .collect()
}

/// The rectangle to line up with.
fn frame(pieces: &[Piece], page: &Rectangle, settings: &Align) -> Option<Bounds> {
    let extent = |least: f64, greatest: f64| Extent { least, greatest };
    match settings.relative_to {
        RelativeTo::Selection => Bounds::around(pieces.iter().map(|piece| piece.bounds)),
        RelativeTo::Largest => Some(pieces.get(largest(pieces)?)?.bounds),
        RelativeTo::Page => Some(Bounds {
            across: extent(page.least.x, page.greatest.x),
            down: extent(page.least.y, page.greatest.y),
        }),
        RelativeTo::Hoop => Some(hoop::inside(&settings.hoop, page)),
        RelativeTo::Rectangle => {
            let given = &settings.rectangle;
            Some(Bounds {
                across: extent(given.left, given.left + given.width),
                down: extent(given.top, given.top + given.height),
            })
        }
    }
}

/// The piece with the largest bounds; of several, the one sewn first.
fn largest(pieces: &[Piece]) -> Option<usize> {
    let mut largest = None;
    let mut most = f64::NEG_INFINITY;
    for (i, piece) in pieces.iter().enumerate() {
        if piece.bounds.area() > most {
            most = piece.bounds.area();
            largest = Some(i);
        }
    }
    largest
}

/// The shifts along one axis. The piece `fixed` is what the others line up with.
fn axis_shifts(axis: Axis, settings: &Align, fixed: Option<usize>) -> Vec<f64> {
    let mut shifts = vec![0.0; axis.extents.len()];
    if axis.spread != Spread::Keep {
        let within = match settings.relative_to {
            RelativeTo::Page | RelativeTo::Hoop | RelativeTo::Rectangle => axis.frame,
            RelativeTo::Selection | RelativeTo::Largest => outer_ends(&axis.extents),
        };
        shifts = spread::shifts(&axis.extents, within, axis.spread);
    }
    if let Some(anchor) = axis.anchor {
        // What moves is measured after spreading; the largest object is no part of its group.
        let spread_out: Vec<Extent> = axis
            .extents
            .iter()
            .zip(&shifts)
            .map(|(extent, shift)| extent.moved(*shift))
            .collect();
        let frame = fixed
            .and_then(|i| spread_out.get(i).copied())
            .unwrap_or(axis.frame);
        let others = spread_out
            .iter()
            .enumerate()
            .filter(|(i, _)| Some(*i) != fixed);
        let group = others.map(|(_, extent)| *extent).reduce(Extent::with);
        for (i, (shift, extent)) in shifts.iter_mut().zip(&spread_out).enumerate() {
            let what = match settings.unit {
                Unit::Object => Some(*extent),
                Unit::Group => group,
            };
            if let (Some(what), false) = (what, Some(i) == fixed) {
                *shift += to_anchor(what, frame, anchor);
            }
        }
    }
    for shift in &mut shifts {
        *shift += axis.moved;
        // A shift that is not finite could only come from a page that is not.
        if shift.abs() < NO_SHIFT || !shift.is_finite() {
            *shift = 0.0;
        }
    }
    shifts
}

/// From the outer edge of the piece whose centre lies first to that of the one whose centre lies
/// last, so that these two stay where they are.
fn outer_ends(extents: &[Extent]) -> Extent {
    let by_centre = |a: &&Extent, b: &&Extent| a.centre().total_cmp(&b.centre());
    Extent {
        least: extents.iter().min_by(by_centre).map_or(0.0, |e| e.least),
        greatest: extents.iter().max_by(by_centre).map_or(0.0, |e| e.greatest),
    }
}

fn to_anchor(what: Extent, frame: Extent, anchor: Anchor) -> f64 {
    match anchor {
        Anchor::Least => frame.least - what.least,
        Anchor::Middle => frame.centre() - what.centre(),
        Anchor::Greatest => frame.greatest - what.greatest,
    }
}
