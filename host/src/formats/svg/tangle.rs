//! How often an outline crosses itself. What crosses itself millions of times is no drawing, and
//! would keep the geometry busy for minutes.

use geo::{Coord, Line};
use hoopwright_geometry::curves::Subpath;

/// More crossings than this in all are not read.
pub(super) const MOST_CROSSINGS: f64 = 3_000_000.0;

/// This many edges at most are compared, each with each.
const SAMPLE: usize = 2_500;

/// About how often edges of the subpaths cross; exact up to [`SAMPLE`] edges, and beyond that
/// reckoned up from evenly spread ones. Where edges only touch, nothing is counted.
pub(super) fn crossings(subpaths: &[Subpath]) -> f64 {
    let edges: Vec<Line<f64>> = subpaths.iter().flat_map(edges).collect();
    let step = edges.len().div_ceil(SAMPLE).max(1);
    let sample: Vec<&Line<f64>> = edges.iter().step_by(step).collect();
    let mut found: u64 = 0;
    for (place, edge) in sample.iter().enumerate() {
        let others = sample[place + 1..].iter();
        found += others.filter(|other| cross(edge, other)).count() as u64;
    }
    let share = edges.len() as f64 / sample.len().max(1) as f64;
    found as f64 * share * share
}

/// The edges, with the one that closes the subpath for its fill.
fn edges(subpath: &Subpath) -> impl Iterator<Item = Line<f64>> {
    let corners = &subpath.corners;
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|(a, b)| Line::new(*a, *b))
}

fn cross(a: &Line<f64>, b: &Line<f64>) -> bool {
    let apart =
        |a0: f64, a1: f64, b0: f64, b1: f64| a0.max(a1) < b0.min(b1) || b0.max(b1) < a0.min(a1);
    if apart(a.start.x, a.end.x, b.start.x, b.end.x)
        || apart(a.start.y, a.end.y, b.start.y, b.end.y)
    {
        return false;
    }
    let splits =
        |line: &Line<f64>, other: &Line<f64>| side(line, other.start) * side(line, other.end) < 0.0;
    splits(a, b) && splits(b, a)
}

fn side(line: &Line<f64>, place: Coord<f64>) -> f64 {
    let (along, to) = (line.end - line.start, place - line.start);
    along.x * to.y - along.y * to.x
}

#[cfg(test)]
mod tests {
    use super::*;

    fn subpath(corners: impl IntoIterator<Item = (f64, f64)>) -> Subpath {
        let corners = corners.into_iter().map(|(x, y)| Coord { x, y }).collect();
        Subpath {
            corners,
            closed: true,
        }
    }

    /// A grid of 5 by 7 lines crosses 35 times, one of 4,000 by 4,000 16 million times.
    #[test]
    fn crossings_of_a_grid_are_counted_or_reckoned() {
        let grid = |across: u32, along: u32| -> Vec<Subpath> {
            let (a, b) = (f64::from(across), f64::from(along));
            let rows = (0..across).map(|row| f64::from(row) + 0.5);
            let columns = (0..along).map(|column| f64::from(column) + 0.5);
            // Each line is closed by its way back, so every crossing counts four times.
            let rows = rows.map(|y| subpath([(0.0, y), (b, y)]));
            let columns = columns.map(|x| subpath([(x, 0.0), (x, a)]));
            rows.chain(columns).collect()
        };
        assert_eq!(crossings(&grid(5, 7)), 4.0 * 35.0);
        let many = crossings(&grid(4_000, 4_000));
        assert!((many / 64e6 - 1.0).abs() < 0.05, "{many}");
    }

    #[test]
    fn what_only_touches_does_not_cross() {
        let square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        assert_eq!(crossings(&[subpath(square), subpath(square)]), 0.0);
        assert_eq!(crossings(&[]), 0.0);
    }
}
