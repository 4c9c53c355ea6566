//! Stiffness: how often the needle goes down on each square centimetre.

use super::cloth::{Cell, Cloth};
use super::clusters::gathered;
use super::measure::{Limits, Measure};
use super::measurement::{Measurement, Spot, is_over};
use super::needle_points::NeedlePoints;
use super::thread_heaps::{SQUARE, most};
use std::collections::BTreeMap;

/// Squares of 2 mm to each side of the middle one: five together are a centimetre.
const BESIDE: i64 = 2;

/// The most needle points on one square centimetre, around each square of 2 mm. A finding is about
/// the object with most needle points in the middle.
pub(super) fn take(points: &NeedlePoints<'_>, limits: &Limits) -> Measurement {
    let limit = limits.of(Measure::Penetrations);
    let Some(bounds) = points.bounds() else {
        return Measurement::worst(Measure::Penetrations, limit, []);
    };
    let mut cloth: Cloth<u32> = Cloth::new(bounds, points.corner(), SQUARE);
    for needle in &points.all {
        let cell = cloth.cell(needle.at);
        if let Some(count) = cloth.get_mut(cell) {
            *count = count.saturating_add(1);
        }
    }
    let around = |[across, down]: Cell| -> u32 {
        let beside = |off: i64| (-BESIDE..=BESIDE).map(move |to| [across + to, down + off]);
        let squares = (-BESIDE..=BESIDE).flat_map(beside);
        squares
            .map(|cell| cloth.get(cell))
            .fold(0, u32::saturating_add)
    };
    let dense: BTreeMap<Cell, f64> = cloth
        .written()
        .filter(|(_, count)| *count > 0)
        .map(|(cell, _)| (cell, f64::from(around(cell))))
        .collect();
    let mut whose: BTreeMap<Cell, BTreeMap<usize, f64>> = BTreeMap::new();
    if dense.values().any(|&count| is_over(count, limit)) {
        for needle in &points.all {
            let cell = cloth.cell(needle.at);
            if dense.get(&cell).is_some_and(|&count| is_over(count, limit)) {
                *whose
                    .entry(cell)
                    .or_default()
                    .entry(needle.object)
                    .or_default() += 1.0;
            }
        }
    }
    let value = dense.values().copied().fold(0.0, f64::max);
    let spots = whose.iter().map(|(&cell, shares)| {
        let spot = Spot {
            value: dense.get(&cell).copied().unwrap_or(0.0),
            at: Some(cloth.middle(cell)),
            object: most(shares),
        };
        (cell, spot)
    });
    let mut taken = Measurement::worst(Measure::Penetrations, limit, gathered(spots.collect()));
    taken.value = Some(value);
    taken
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::designs::{self, rows};

    fn worst(stitch: f64, count: u32, pitch: f64, rows_of_it: u32) -> f64 {
        let design = rows(count, stitch, pitch, rows_of_it);
        let points = designs::points(&design);
        take(&points, &Limits::default()).value.expect("taken")
    }

    /// Closed form: rows 0.2 mm apart with a needle point each 4 mm are 10 / 0.2 x 10 / 4 = 125 a
    /// square centimetre, which D. Harris's seminar of 1990 puts at 110 to 130 for a fill. On one
    /// square of 10 mm two or three columns of needle points lie, 50 each.
    #[test]
    fn a_fill_has_its_handbook_s_density() {
        assert_eq!(worst(4.0, 10, 0.2, 200), 150.0);
        // A needle point each 2 mm: five columns of fifty on every square centimetre within.
        assert_eq!(worst(2.0, 20, 0.2, 200), 250.0);
    }

    #[test]
    fn the_limits_are_those_of_the_table() {
        let limit = Limits::default().of(Measure::Penetrations);
        assert_eq!((limit.warning, limit.error), (Some(400.0), Some(600.0)));
        assert!(!is_over(400.0, limit) && is_over(401.0, limit));
    }
}
