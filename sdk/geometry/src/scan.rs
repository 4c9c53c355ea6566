//! A region cut by parallel lines.

use crate::measure::{greater, lesser};
use geo::{Coord, MultiPolygon};

/// No region is cut into more rows than this: 100 m of cloth at a pitch of 0.1 mm.
pub const MOST_ROWS: usize = 1_000_000;

/// A piece of a row that lies inside the region.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Where it begins, in mm.
    pub left: f64,
    /// Where it ends, in mm; never less than `left`.
    pub right: f64,
}

impl Span {
    /// How long it is, in mm.
    pub fn length(&self) -> f64 {
        self.right - self.left
    }
}

/// A horizontal line across a region.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Its number: `y` is the phase plus this many pitches.
    pub number: i64,
    /// Where it lies, in mm.
    pub y: f64,
    /// What of it lies inside the region, from left to right; no two overlap.
    pub spans: Vec<Span>,
}

/// Cuts `area` by horizontal lines at `y = phase + number * pitch`, in mm.
///
/// The rows come in rising order without a gap in their numbers, from the first that meets the
/// region to the last; a row that passes between two parts has no spans. To cut at an angle, turn
/// the region first. The region must be clean (see [`clean`](crate::clean)).
///
/// An edge meets the rows from its upper end on, but not at its lower end. So a corner that lies
/// on a row is counted once where the edge goes on through the row, and never or twice where it
/// turns back; and of two regions that share a horizontal edge, just one is cut along it.
///
/// Edges wait in a list sorted by their first row and are looked at only while they meet rows: the
/// time grows with the edges and the spans, not with edges times rows.
///
/// Nothing comes back where `pitch` is not a positive number, where `phase` or a corner is not a
/// finite one, or where there would be more than [`MOST_ROWS`] rows.
pub fn rows(area: &MultiPolygon<f64>, pitch: f64, phase: f64) -> Vec<Row> {
    if !(pitch > 0.0 && pitch.is_finite() && phase.is_finite()) {
        return Vec::new();
    }
    let lines = Lines { pitch, phase };
    let Some(mut edges) = edges(area, lines) else {
        return Vec::new();
    };
    edges.sort_by_key(|edge| edge.first);
    let Some(first) = edges.first().map(|edge| edge.first) else {
        return Vec::new();
    };
    let after = edges.iter().map(|edge| edge.after).max().unwrap_or(first);
    if after.abs_diff(first) > MOST_ROWS as u64 {
        return Vec::new();
    }
    let mut waiting = edges.into_iter().peekable();
    let mut met: Vec<Edge> = Vec::new();
    let mut crossings = Vec::new();
    (first..after)
        .map(|number| {
            met.retain(|edge| edge.after > number);
            while let Some(edge) = waiting.next_if(|edge| edge.first <= number) {
                met.push(edge);
            }
            let y = lines.y(number);
            crossings.clear();
            crossings.extend(met.iter().map(|edge| edge.x(y)));
            crossings.sort_by(f64::total_cmp);
            // A closed ring crosses a line an even number of times.
            let spans = crossings
                .chunks_exact(2)
                .map(|pair| Span {
                    left: pair[0],
                    right: pair[1],
                })
                .filter(|span| span.right > span.left)
                .collect();
            Row { number, y, spans }
        })
        .collect()
}

/// The lines that cut.
#[derive(Clone, Copy)]
struct Lines {
    pitch: f64,
    phase: f64,
}

impl Lines {
    fn y(self, number: i64) -> f64 {
        self.phase + number as f64 * self.pitch
    }

    /// The first row at `y` or below.
    fn first_from(self, y: f64) -> i64 {
        let mut number = ((y - self.phase) / self.pitch).ceil() as i64;
        // The division rounds; the rule must hold for the rows as they are.
        if self.y(number) < y {
            number = number.saturating_add(1);
        } else if self.y(number.saturating_sub(1)) >= y {
            number = number.saturating_sub(1);
        }
        number
    }
}

/// An edge that is not horizontal, from its upper end to its lower end.
struct Edge {
    upper: Coord<f64>,
    lower: Coord<f64>,
    /// The first row it meets.
    first: i64,
    /// The first row it no longer meets.
    after: i64,
}

impl Edge {
    fn x(&self, y: f64) -> f64 {
        let along = (y - self.upper.y) / (self.lower.y - self.upper.y);
        let x = self.upper.x + along * (self.lower.x - self.upper.x);
        let (a, b) = (self.upper.x, self.lower.x);
        x.clamp(lesser(a, b), greater(a, b))
    }
}

/// The edges that meet a row, or nothing where a corner is not finite.
fn edges(area: &MultiPolygon<f64>, lines: Lines) -> Option<Vec<Edge>> {
    let mut edges = Vec::new();
    for polygon in area {
        for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
            for line in ring.lines() {
                let ends = [line.start, line.end];
                if ends.iter().any(|c| !c.x.is_finite() || !c.y.is_finite()) {
                    return None;
                }
                let [upper, lower] = if line.start.y <= line.end.y {
                    ends
                } else {
                    [line.end, line.start]
                };
                let (first, after) = (lines.first_from(upper.y), lines.first_from(lower.y));
                if first < after {
                    edges.push(Edge {
                        upper,
                        lower,
                        first,
                        after,
                    });
                }
            }
        }
    }
    Some(edges)
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Area, LineString, Polygon, polygon};
    use proptest::prelude::*;
    use std::f64::consts::TAU;

    fn circle(radius: f64) -> LineString<f64> {
        (0..720)
            .map(|i| TAU * f64::from(i) / 720.0)
            .map(|a| Coord {
                x: radius * a.cos(),
                y: radius * a.sin(),
            })
            .collect()
    }

    fn total(rows: &[Row]) -> f64 {
        rows.iter()
            .flat_map(|row| &row.spans)
            .map(Span::length)
            .sum()
    }

    /// Integral geometry (Cauchy-Crofton): parallel lines at pitch d have the total length A/d
    /// inside an area A, on average over the phase. For one phase, the disc's sum of chords
    /// 2 sqrt(R² - y²) at R = 10, d = 0.4 lies between 783.05 and 786.09.
    #[test]
    fn rows_across_a_disc_have_the_length_of_area_over_pitch() {
        let disc: MultiPolygon<f64> = Polygon::new(circle(10.0), vec![]).into();
        let phases = 40;
        let mut mean = 0.0;
        for i in 0..phases {
            let length = total(&rows(&disc, 0.4, 0.4 * f64::from(i) / f64::from(phases)));
            assert!((783.0..786.1).contains(&length), "{length}");
            mean += length / f64::from(phases);
        }
        assert!((mean - 785.398).abs() < 0.1, "{mean}");
    }

    /// The same formula: (pi 10² - pi 4²) / 0.4 = 659.73.
    #[test]
    fn rows_across_a_ring_leave_out_the_hole() {
        let ring: MultiPolygon<f64> = Polygon::new(circle(10.0), vec![circle(4.0)]).into();
        let rows = rows(&ring, 0.4, 0.2);
        assert!((total(&rows) - 659.73).abs() < 2.0, "{}", total(&rows));
        assert!(rows.iter().any(|row| row.spans.len() == 2));
    }

    /// 30 x 10 at pitch 0.4: 25 rows of 30 mm; with a row on the edge the half-open rule counts
    /// the upper edge but not the lower.
    #[test]
    fn a_row_on_the_edge_of_a_rectangle_is_counted_on_one_side() {
        let rectangle: MultiPolygon<f64> =
            polygon![(x: 0., y: 0.), (x: 30., y: 0.), (x: 30., y: 10.), (x: 0., y: 10.)].into();
        assert_eq!(total(&rows(&rectangle, 0.4, 0.2)), 750.0);
        let on_edge = rows(&rectangle, 0.5, 0.0);
        assert_eq!(on_edge.len(), 20);
        assert_eq!(on_edge[0].y, 0.0);
        assert_eq!(total(&on_edge), 600.0);
    }

    #[test]
    fn corners_on_a_row_do_not_upset_it() {
        // A diamond whose side corners lie on row 0, and an hourglass whose waist does.
        let diamond: MultiPolygon<f64> =
            polygon![(x: 0., y: -2.), (x: 3., y: 0.), (x: 0., y: 2.), (x: -3., y: 0.)].into();
        let row = &rows(&diamond, 1.0, 0.0)[2];
        assert_eq!(row.y, 0.0);
        assert_eq!(
            row.spans,
            [Span {
                left: -3.0,
                right: 3.0
            }]
        );
        let hourglass: MultiPolygon<f64> = polygon![
            (x: -3., y: -2.), (x: 3., y: -2.), (x: 1., y: 0.), (x: 3., y: 2.), (x: -3., y: 2.), (x: -1., y: 0.)
        ]
        .into();
        let row = &rows(&hourglass, 1.0, 0.0)[2];
        assert_eq!(
            row.spans,
            [Span {
                left: -1.0,
                right: 1.0
            }]
        );
    }

    #[test]
    fn a_row_between_two_parts_is_empty() {
        let square =
            |y: f64| polygon![(x: 0., y: y), (x: 1., y: y), (x: 1., y: y + 1.), (x: 0., y: y + 1.)];
        let rows = rows(&MultiPolygon::new(vec![square(0.0), square(5.0)]), 1.0, 0.5);
        let counts: Vec<usize> = rows.iter().map(|row| row.spans.len()).collect();
        assert_eq!(counts, [1, 0, 0, 0, 0, 1]);
    }

    #[test]
    fn what_cannot_be_cut_gives_no_rows() {
        let square: MultiPolygon<f64> =
            polygon![(x: 0., y: 0.), (x: 1., y: 0.), (x: 1., y: 1.), (x: 0., y: 1.)].into();
        for pitch in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-9, 1e-300] {
            assert!(rows(&square, pitch, 0.0).is_empty(), "{pitch}");
        }
        assert!(rows(&square, 0.1, f64::NAN).is_empty());
        let broken: MultiPolygon<f64> =
            polygon![(x: 0., y: f64::NAN), (x: 1., y: 0.), (x: 1., y: 1.)].into();
        assert!(rows(&broken, 0.1, 0.0).is_empty());
        assert!(rows(&MultiPolygon::new(vec![]), 0.1, 0.0).is_empty());
    }

    proptest! {
        /// A fine pitch measures the area of any star-shaped polygon.
        #[test]
        fn the_rows_measure_the_area(radii in prop::collection::vec(1.0..20.0f64, 3..40), phase in 0.0..1.0f64) {
            let count = radii.len() as f64;
            let ring: LineString<f64> = radii.iter().enumerate().map(|(i, r)| {
                let a = TAU * i as f64 / count;
                Coord { x: r * a.cos(), y: r * a.sin() }
            }).collect();
            let star: MultiPolygon<f64> = Polygon::new(ring, vec![]).into();
            let rows = rows(&star, 0.01, phase);
            let area = star.unsigned_area();
            // Each turning point of the ring costs at most one row of its width there.
            prop_assert!((total(&rows) * 0.01 - area).abs() < 0.01 * area + 0.4, "{} {}", total(&rows) * 0.01, area);
            for row in &rows {
                for pair in row.spans.windows(2) {
                    prop_assert!(pair[0].right <= pair[1].left);
                }
            }
        }
    }
}
