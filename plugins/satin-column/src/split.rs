//! Long satin stitches split by needle points on the way.
//!
//! Split points that lie side by side in neighbouring stitches would draw a furrow along the
//! column. They are staggered like bricks: four stitches in a row split at four places, a quarter
//! of a part apart, and the fifth splits where the first did (needle points of fills realign about
//! every fourth row: Printwear, July 2019).

use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// How far the split points of four stitches in a row are shifted, as shares of a part. Neighbours
/// lie half a part or a quarter apart.
const SHIFTS: [f64; 4] = [-0.375, 0.125, -0.125, 0.375];
/// The largest of them, by which the part at one end is longer.
const LARGEST_SHIFT: f64 = 0.375;
/// No part is shorter than this, in mm (stitches are safe from 1 mm: Printwear, December 2016).
const LEAST_PART: f64 = 1.0;

/// The needle points between `a` and `b` that keep every stitch at `longest` mm or under; none
/// where the stitch is short enough. `number` tells following stitches apart.
pub fn split_points(a: Coord<f64>, b: Coord<f64>, longest: f64, number: usize) -> Vec<Coord<f64>> {
    let length = distance(a, b);
    if length <= longest {
        return Vec::new();
    }
    let parts = (length * (1.0 + LARGEST_SHIFT) / longest)
        .ceil()
        .clamp(2.0, 1e4);
    // Short parts leave less room to shift.
    let room = (1.0 - LEAST_PART * parts / length).clamp(0.0, LARGEST_SHIFT) / LARGEST_SHIFT;
    // Stitches back run the other way: count their parts from the same edge.
    let shift = SHIFTS[number % 4]
        * if number.is_multiple_of(2) {
            room
        } else {
            -room
        };
    (1..parts as usize)
        .map(|part| a + (b - a) * ((part as f64 + shift) / parts))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where the stitches of five rows in a row split, from the same edge, with both edges.
    fn rows(length: f64, longest: f64) -> Vec<Vec<f64>> {
        let (a, b) = (Coord { x: 0.0, y: 0.0 }, Coord { x: length, y: 0.0 });
        (0..5)
            .map(|number| {
                let points = if number % 2 == 0 {
                    split_points(a, b, longest, number)
                } else {
                    split_points(b, a, longest, number)
                };
                let mut xs: Vec<f64> = points.iter().map(|point| point.x).collect();
                xs.extend([0.0, length]);
                xs.sort_by(f64::total_cmp);
                xs
            })
            .collect()
    }

    #[test]
    fn parts_are_neither_too_long_nor_too_short() {
        for longest in [2.0, 3.0, 5.0, 7.0, 9.0, 11.0] {
            for tenth in 1..200 {
                for row in rows(longest + f64::from(tenth) * 0.1, longest) {
                    let parts = row.windows(2).map(|pair| pair[1] - pair[0]);
                    for part in parts {
                        assert!((1.0 - 1e-9..=longest + 1e-9).contains(&part), "{row:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn four_rows_split_apart_and_the_fifth_like_the_first() {
        for length in [7.1, 8.0, 9.0, 12.0, 20.0] {
            let rows = rows(length, 7.0);
            assert_eq!(rows[0], rows[4]);
            let part = length / (rows[0].len() - 1) as f64;
            for one in 0..4 {
                for other in 0..one {
                    let away = (rows[one][1] - rows[other][1]).abs();
                    assert!(
                        away > 0.2 * part,
                        "{length}: {:?} {:?}",
                        rows[one],
                        rows[other]
                    );
                }
            }
        }
    }

    #[test]
    fn short_stitches_are_whole() {
        let (a, b) = (Coord { x: 0.0, y: 0.0 }, Coord { x: 7.0, y: 0.0 });
        assert!(split_points(a, b, 7.0, 0).is_empty());
    }
}
