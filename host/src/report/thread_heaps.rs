//! Stiffness: how much thread lies on each square of 2 mm.

use super::cloth::{Cell, Cloth};
use super::clusters::gathered;
use super::measure::{Limits, Measure};
use super::measurement::{Measurement, Spot, is_over};
use super::needle_points::NeedlePoints;
use std::collections::BTreeMap;

/// The side of a square, in mm: trade practice measures on a grid of 2 mm.
pub(super) const SQUARE: f64 = 2.0;

/// The most thread on a square of 2 mm, in mm of thread per mm2. Thread that is carried lies on the
/// cloth as well. A finding is about the object with most of the square's thread.
pub(super) fn take(points: &NeedlePoints<'_>, limits: &Limits) -> Measurement {
    let limit = limits.of(Measure::ThreadHeaps);
    let Some(bounds) = points.bounds() else {
        return Measurement::worst(Measure::ThreadHeaps, limit, []);
    };
    let mut cloth: Cloth<f64> = Cloth::new(bounds, points.corner(), SQUARE);
    for (from, to) in points.laid() {
        let mut pieces: Vec<(Cell, f64)> = Vec::new();
        cloth.along(from.at, to.at, |cell, length| pieces.push((cell, length)));
        for (cell, length) in pieces {
            if let Some(sum) = cloth.get_mut(cell) {
                *sum += length;
            }
        }
    }
    let per_area = |length: f64| length / (SQUARE * SQUARE);
    let over = |length: f64| is_over(per_area(length), limit);
    let mut whose: BTreeMap<Cell, BTreeMap<usize, f64>> = BTreeMap::new();
    let any_over = cloth.written().any(|(_, length)| over(length));
    if any_over {
        for (from, to) in points.laid() {
            cloth.along(from.at, to.at, |cell, length| {
                if over(cloth.get(cell)) {
                    *whose.entry(cell).or_default().entry(to.object).or_default() += length;
                }
            });
        }
    }
    let value = cloth.written().map(|(_, length)| per_area(length));
    let value = value.fold(0.0, f64::max);
    let spots = whose.iter().map(|(&cell, shares)| {
        let spot = Spot {
            value: per_area(cloth.get(cell)),
            at: Some(cloth.middle(cell)),
            object: most(shares),
        };
        (cell, spot)
    });
    let mut taken = Measurement::worst(Measure::ThreadHeaps, limit, gathered(spots.collect()));
    taken.value = Some(value);
    taken
}

/// The object with the greatest share; the first of equals.
pub(super) fn most(shares: &BTreeMap<usize, f64>) -> Option<usize> {
    let greater = |a: &(&usize, &f64), b: &(&usize, &f64)| a.1.total_cmp(b.1).then(b.0.cmp(a.0));
    shares.iter().max_by(greater).map(|(&object, _)| object)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::designs::{self, at, lay_rows, manual, rows};

    fn taken(design: &crate::design::Design) -> Measurement {
        let points = designs::points(design);
        take(&points, &Limits::default())
    }

    fn layers(count: usize) -> Measurement {
        let names: Vec<String> = (0..count).map(|i| format!("o{i}")).collect();
        let objects: Vec<(&str, u32)> = names.iter().map(|name| (name.as_str(), 0)).collect();
        taken(&manual(&objects, |_, list| {
            list.trim(at(0., 0.));
            lay_rows(list, at(0., 0.), 5, 4.0, 0.2, 100);
        }))
    }

    /// Closed form: 20 x 20 mm of rows 0.2 mm apart lie 100 rows of 20 mm on 400 mm2. Trade
    /// practice has the same: one full layer is 5 mm per mm2. The steps from row to row along the
    /// edges come on top, 2 mm a square.
    #[test]
    fn one_layer_is_five() {
        let square = rows(5, 4.0, 0.2, 100);
        let edge = 0.2 * 10.0 / 4.0;
        let value = taken(&square).value.expect("taken");
        assert!((5.0..=5.0 + edge + 1e-9).contains(&value), "{value}");
        let middle = {
            let points = designs::points(&square);
            let mut sum = 0.0;
            let bounds = points.bounds().expect("sewn");
            let cloth: Cloth<u8> = Cloth::new(bounds, points.corner(), SQUARE);
            for (from, to) in points.laid() {
                cloth.along(from.at, to.at, |cell, length| {
                    if cell == [5, 5] {
                        sum += length;
                    }
                });
            }
            sum / 4.0
        };
        assert!((middle - 5.0).abs() < 1e-9, "{middle}");
    }

    #[test]
    fn layers_add_up_to_warnings_and_errors() {
        // 5 or 5.25 a layer: the second is a warning at the edge, the third beyond 15 everywhere.
        assert_eq!(layers(1).spots.len(), 0);
        let four = layers(4);
        assert!(four.value.is_some_and(|value| value >= 20.0));
        assert!(four.spots.iter().all(|spot| spot.object == Some(0)));
    }

    #[test]
    fn at_a_limit_is_within_it() {
        // Two squares' sides of thread on one square of 4 mm2: (20 + 20) / 4 = 10, and 0.2 more.
        let lengths = |last: f64| {
            let design = manual(&[("a", 0)], |_, list| {
                for i in 0..20 {
                    let y = f64::from(i) * 0.1;
                    list.trim(at(0., y));
                    list.needle(crate::design::StitchRole::Cover, at(0., y));
                    let x = if i == 19 { last } else { 2.0 };
                    list.needle(crate::design::StitchRole::Cover, at(x, y));
                }
            });
            taken(&design)
        };
        let full = lengths(2.0);
        assert!((full.value.expect("taken") - 10.0).abs() < 1e-9);
        assert!(lengths(1.6).spots.is_empty());
    }

    #[test]
    fn nothing_sewn_is_no_thread() {
        assert_eq!(taken(&manual(&[("a", 0)], |_, _| {})).value, Some(0.0));
    }
}
