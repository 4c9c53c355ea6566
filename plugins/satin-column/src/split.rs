//! Long satin stitches split by needle points on the way.

use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// How far split points of following stitches are shifted, as shares of a part: four rows, so
/// that they do not line up into a furrow.
const SHIFTS: [f64; 4] = [-0.24, 0.08, -0.08, 0.24];

/// The needle points between `a` and `b` that keep every stitch at `longest` mm or under; none
/// where the stitch is short enough. `number` tells following stitches apart.
pub fn split_points(a: Coord<f64>, b: Coord<f64>, longest: f64, number: usize) -> Vec<Coord<f64>> {
    let length = distance(a, b);
    if length <= longest {
        return Vec::new();
    }
    // Shifted split points lengthen the part at one end by a quarter.
    let parts = (length * 1.25 / longest).ceil().clamp(2.0, 1e4);
    // Stitches back run the other way: count their parts from the same edge.
    let shift = SHIFTS[number % 4] * if number.is_multiple_of(2) { 1.0 } else { -1.0 };
    (1..parts as usize)
        .map(|part| a + (b - a) * ((part as f64 + shift) / parts))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_even_short_enough_and_staggered() {
        let (a, b) = (Coord { x: 0.0, y: 0.0 }, Coord { x: 9.0, y: 0.0 });
        assert!(split_points(a, b, 9.0, 0).is_empty());
        let rows: Vec<Vec<Coord<f64>>> = (0..4)
            .map(|n| {
                if n % 2 == 0 {
                    split_points(a, b, 7.0, n)
                } else {
                    split_points(b, a, 7.0, n)
                }
            })
            .collect();
        for row in &rows {
            let mut xs: Vec<f64> = row.iter().map(|point| point.x).chain([0.0, 9.0]).collect();
            xs.sort_by(f64::total_cmp);
            assert!(
                xs.windows(2)
                    .all(|pair| pair[1] - pair[0] > 1.0 && pair[1] - pair[0] <= 7.0)
            );
        }
        // Neighbouring rows do not split at the same place.
        for pair in rows.windows(2) {
            assert!((pair[0][0].x - pair[1][0].x).abs() > 0.3, "{rows:?}");
        }
    }
}
