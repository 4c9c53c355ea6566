//! The file's grid: whole steps of 0.1 mm from the start point, x to the right, y UP.

use super::machine::Machine;
use super::record::UNITS_PER_MM;
use crate::design::{Design, Object, StitchKind};
use geo::Coord;

/// A place on the grid, or a way over it.
pub type Units = [i32; 2];

/// The grid of one file. Absolute places are rounded, never the ways between them, so that no
/// error adds up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Grid {
    /// The start point, as a place of the grid whose start point is the artwork's origin.
    start: Units,
}

impl Grid {
    /// The grid of `design`: it starts where the machine's settings say, or at the centre of
    /// all needle points. Nothing where there are none.
    pub fn of(design: &Design, machine: &Machine) -> Option<Self> {
        let mut needles = design
            .objects
            .iter()
            .flat_map(Object::each_stitch)
            .filter(|stitch| stitch.kind == StitchKind::Needle)
            .map(|stitch| round(stitch.at));
        let first = needles.next()?;
        if let Some(place) = machine.origin {
            let start = round(Coord {
                x: place.x,
                y: place.y,
            });
            return Some(Self { start });
        }
        let (least, greatest) = needles.fold((first, first), |(least, greatest), at| {
            (
                [least[0].min(at[0]), least[1].min(at[1])],
                [greatest[0].max(at[0]), greatest[1].max(at[1])],
            )
        });
        // Rounded down on the grid itself, so that a design read back from its file has its
        // centre exactly at the start point again.
        let middle = |axis: usize| (least[axis] + greatest[axis]).div_euclid(2);
        Some(Self {
            start: [middle(0), middle(1)],
        })
    }

    /// The nearest place of the grid.
    pub fn place(self, at: Coord<f64>) -> Units {
        way(self.start, round(at))
    }

    /// The start point, in mm of the design, y down.
    pub fn start(self) -> Coord<f64> {
        to_mm(self.start)
    }
}

/// The way from `from` to `to`.
pub fn way(from: Units, to: Units) -> Units {
    [to[0] - from[0], to[1] - from[1]]
}

/// A place in mm, y down, of a grid that starts at the origin.
pub fn to_mm([x, y]: Units) -> Coord<f64> {
    Coord {
        x: f64::from(x) / UNITS_PER_MM,
        y: f64::from(-y) / UNITS_PER_MM,
    }
}

/// How long a way is, in mm.
pub fn length([x, y]: Units) -> f64 {
    // A square root is the same on every machine; a hypotenuse need not be.
    let (x, y) = (f64::from(x), f64::from(y));
    (x * x + y * y).sqrt() / UNITS_PER_MM
}

/// The nearest place, half away from zero. A sound design lies within 10 m: far from overflow.
fn round(at: Coord<f64>) -> Units {
    [
        (at.x * UNITS_PER_MM).round() as i32,
        -((at.y * UNITS_PER_MM).round() as i32),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn y_is_negated_once() {
        let grid = Grid::default();
        assert_eq!(grid.place(Coord { x: 1.26, y: 3.0 }), [13, -30]);
        assert_eq!(to_mm([13, -30]), Coord { x: 1.3, y: 3.0 });
    }

    #[test]
    fn every_place_of_the_grid_comes_back() {
        for v in (-100_000..=100_000).step_by(7) {
            assert_eq!(Grid::default().place(to_mm([v, -v])), [v, -v]);
        }
    }

    #[test]
    fn a_way_has_its_length() {
        assert_eq!(length([30, -40]), 5.0);
    }
}
