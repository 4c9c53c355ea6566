//! Bands narrower than the shortest stitch, sewn along instead of across.
//!
//! Rows across such a band would be stitches as short as the band is wide. A few lines that lead
//! along it hide the cloth just as well with stitches of an ordinary length.

use crate::straight::cover::SewnRow;
use hoopwright_sdk::THREAD_REACH;
use hoopwright_sdk::geometry::geo::Coord;
use std::ops::Range;

/// Bands shorter than this are tips, in mm, where few stitches are short.
const SHORTEST_BAND: f64 = 2.0;

/// Rows count as narrow up to this many times the shortest stitch, so that a band about as wide
/// does not change its manner at every bump.
const NARROW: f64 = 1.15;

/// So wide, in mm, a single line hides the cloth.
const ONE_LINE: f64 = 2.0 * THREAD_REACH;

/// Rows that are sewn in one manner.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Which of the rows.
    pub rows: Range<usize>,
    /// Whether they are sewn along the band that they make.
    pub lengthwise: bool,
}

/// Parts rows that follow one another into bands to be sewn lengthwise, and all others.
pub fn parts(rows: &[SewnRow], shortest: f64) -> Vec<Part> {
    let narrow = |row: &SewnRow| row.width() < NARROW * shortest;
    let mut parts: Vec<Part> = Vec::new();
    let mut begin = 0;
    for group in rows.chunk_by(|a, b| narrow(a) == narrow(b)) {
        let end = begin + group.len();
        let height = (group[group.len() - 1].y - group[0].y).abs();
        let lengthwise = narrow(&group[0]) && height >= SHORTEST_BAND;
        match parts.last_mut() {
            Some(part) if !part.lengthwise && !lengthwise => part.rows.end = end,
            _ => parts.push(Part {
                rows: begin..end,
                lengthwise,
            }),
        }
        begin = end;
    }
    parts
}

/// The way along a band, from its first row to its last: once, or there, back and there again.
pub fn way(rows: &[SewnRow]) -> Vec<Coord<f64>> {
    let widest = rows.iter().map(SewnRow::width).fold(0.0, f64::max);
    let place = |row: &SewnRow, share: f64| Coord {
        x: row.left + share * row.width(),
        y: row.y,
    };
    if widest <= ONE_LINE {
        return rows.iter().map(|row| place(row, 0.5)).collect();
    }
    let count = rows.len();
    let mut way = Vec::with_capacity(3 * count);
    way.extend(rows.iter().map(|row| place(row, 1.0 / 6.0)));
    // Where the thread turns, one needle point serves both lines.
    way.extend(rows[1..count - 1].iter().rev().map(|row| place(row, 0.5)));
    way.extend(rows.iter().map(|row| place(row, 5.0 / 6.0)));
    way
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(number: usize, width: f64) -> SewnRow {
        SewnRow {
            span: number,
            number,
            y: number as f64 * 0.2,
            left: 0.0,
            right: width,
        }
    }

    #[test]
    fn a_long_narrow_band_is_a_part_of_its_own() {
        let widths = [3.0; 5].into_iter().chain([0.8; 20]).chain([2.0; 3]);
        let rows: Vec<SewnRow> = widths.enumerate().map(|(i, w)| row(i, w)).collect();
        let parts: Vec<(Range<usize>, bool)> = parts(&rows, 1.0)
            .into_iter()
            .map(|part| (part.rows, part.lengthwise))
            .collect();
        assert_eq!(parts, [(0..5, false), (5..25, true), (25..28, false)]);
    }

    #[test]
    fn a_short_tip_stays_with_its_neighbours() {
        let widths = [3.0; 5].into_iter().chain([0.8; 4]);
        let rows: Vec<SewnRow> = widths.enumerate().map(|(i, w)| row(i, w)).collect();
        assert_eq!(parts(&rows, 1.0).len(), 1);
    }

    #[test]
    fn the_way_leads_from_the_first_row_to_the_last() {
        for width in [0.4, 0.9] {
            let rows: Vec<SewnRow> = (0..20).map(|i| row(i, width)).collect();
            let way = way(&rows);
            assert_eq!((way[0].y, way[way.len() - 1].y), (rows[0].y, rows[19].y));
        }
    }
}
