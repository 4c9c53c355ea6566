//! Where one can pass from a span to another.

use crate::ground::rows::Rows;
use hoopwright_sdk::geometry::geo::{Coord, Polygon};
use hoopwright_sdk::geometry::measure::way_length;
use hoopwright_sdk::groups::Groups;

/// A side of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Toward smaller y.
    Above,
    /// Toward larger y.
    Below,
}

impl Side {
    /// The other side.
    pub fn opposite(self) -> Self {
        match self {
            Self::Above => Self::Below,
            Self::Below => Self::Above,
        }
    }
}

/// One end of a link.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinkEnd {
    /// The span.
    pub span: usize,
    /// On which side of its row the link lies.
    pub side: Side,
}

/// A way between two spans that passes no other.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// The two spans; where no bridge is needed, the upper one comes first.
    pub ends: [LinkEnd; 2],
    /// The way along the region's edge, from the first span to the second, where no straight
    /// step leads across.
    pub bridge: Option<Vec<Coord<f64>>>,
}

/// All links of a polygon's rows: spans of neighbouring rows that lie over one another, and
/// bridges through necks too thin for that.
pub fn links(rows: &Rows, polygon: &Polygon<f64>) -> Vec<Link> {
    let mut links = overlaps(rows);
    let mut groups = Groups::new(rows.spans().len());
    for link in &links {
        groups.merge(link.ends[0].span, link.ends[1].span);
    }
    if groups.count() > 1 {
        add_bridges(rows, polygon, &mut groups, &mut links);
    }
    links
}

fn overlaps(rows: &Rows) -> Vec<Link> {
    let spans = rows.spans();
    let mut links = Vec::with_capacity(spans.len());
    for row in 1..rows.count() {
        let (above, below) = (rows.in_row(row - 1), rows.in_row(row));
        let (mut a, mut b) = (above.start, below.start);
        while a < above.end && b < below.end {
            if spans[a].left.max(spans[b].left) < spans[a].right.min(spans[b].right) {
                links.push(Link {
                    ends: [
                        LinkEnd {
                            span: a,
                            side: Side::Below,
                        },
                        LinkEnd {
                            span: b,
                            side: Side::Above,
                        },
                    ],
                    bridge: None,
                });
            }
            if spans[a].right < spans[b].right {
                a += 1;
            } else {
                b += 1;
            }
        }
    }
    links
}

/// Joins what still is apart along the region's edge. The shortest bridges come first.
///
/// That joins all of it: the part of a connected region between two scan lines is bounded by
/// spans and by stretches of the edge that lead from span to span.
fn add_bridges(rows: &Rows, polygon: &Polygon<f64>, groups: &mut Groups, links: &mut Vec<Link>) {
    let mut stretches = Vec::new();
    for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
        stretches.extend(stretches_of(rows, &ring.0));
    }
    stretches.sort_by(|a, b| way_length(&a.way).total_cmp(&way_length(&b.way)));
    for Stretch { from, to, way } in stretches {
        if !groups.merge(from, to) {
            continue;
        }
        let (from_row, to_row) = (rows.spans()[from].row, rows.spans()[to].row);
        let middle = way[way.len() / 2].y;
        let side_of = |row: usize, other: usize| {
            let below = if row == other {
                middle > rows.y(row)
            } else {
                other > row
            };
            if below { Side::Below } else { Side::Above }
        };
        links.push(Link {
            ends: [
                LinkEnd {
                    span: from,
                    side: side_of(from_row, to_row),
                },
                LinkEnd {
                    span: to,
                    side: side_of(to_row, from_row),
                },
            ],
            bridge: Some(way),
        });
    }
}

/// A stretch of the region's edge from the end of a span to the end of another.
struct Stretch {
    from: usize,
    to: usize,
    way: Vec<Coord<f64>>,
}

/// The stretches of a closed ring, in its order.
fn stretches_of(rows: &Rows, ring: &[Coord<f64>]) -> Vec<Stretch> {
    let mut meetings: Vec<(usize, usize, Coord<f64>)> = Vec::new();
    for (edge, ends) in ring.windows(2).enumerate() {
        meet(rows, ends[0], ends[1], |span, at| {
            meetings.push((edge, span, at));
        });
    }
    let count = meetings.len();
    (0..count)
        .filter_map(|i| {
            let (edge, from, start) = meetings[i];
            let (next_edge, to, end) = meetings[(i + 1) % count];
            if from == to {
                return None;
            }
            let mut way = vec![start];
            let edges = ring.len() - 1;
            let corners = (next_edge + edges - edge) % edges;
            // Round the whole ring, when the last meeting comes before the first on one edge.
            let corners = if corners == 0 && i + 1 == count {
                edges
            } else {
                corners
            };
            way.extend((1..=corners).map(|k| ring[(edge + k) % edges]));
            way.push(end);
            Some(Stretch { from, to, way })
        })
        .collect()
}

/// Calls `met` for each span that begins or ends on the edge from `a` to `b`, in that order.
fn meet(rows: &Rows, a: Coord<f64>, b: Coord<f64>, mut met: impl FnMut(usize, Coord<f64>)) {
    let (top, bottom) = (a.y.min(b.y), a.y.max(b.y));
    let count = rows.count();
    let place = |y: f64| (((y - rows.y(0)) / rows.pitch()).floor().max(0.0) as usize).min(count);
    let first = place(top).saturating_sub(1);
    let after = (place(bottom) + 2).min(count);
    // The same half-open rule as the scan's.
    let crossed = (first..after).filter(|&row| top <= rows.y(row) && rows.y(row) < bottom);
    let mut at_row = |row: usize| {
        let y = rows.y(row);
        let x = a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x);
        let ends_here = |span: usize| {
            let span = rows.spans()[span];
            (span.left - x).abs().min((span.right - x).abs())
        };
        let nearest = rows
            .in_row(row)
            .min_by(|&s, &t| ends_here(s).total_cmp(&ends_here(t)));
        if let Some(span) = nearest.filter(|&span| ends_here(span) < 1e-6) {
            met(span, Coord { x, y });
        }
    };
    if a.y <= b.y {
        crossed.for_each(&mut at_row);
    } else {
        let rows: Vec<usize> = crossed.collect();
        rows.into_iter().rev().for_each(&mut at_row);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::polygon;

    #[test]
    fn spans_that_lie_over_one_another_are_linked() {
        let square = polygon![(x: 0., y: 0.), (x: 2., y: 0.), (x: 2., y: 2.), (x: 0., y: 2.)];
        let rows = Rows::new(&square, 0.2).expect("it has rows");
        let links = links(&rows, &square);
        assert_eq!(links.len(), 9);
        assert!(links.iter().all(|link| link.bridge.is_none()));
    }

    /// Two squares joined by a band that falls so gently that its spans do not overlap.
    #[test]
    fn a_neck_thinner_than_the_rows_is_bridged() {
        let thin = polygon![
            (x: 0., y: 0.), (x: 4., y: 0.), (x: 4., y: 2.), (x: 14., y: 3.49), (x: 14., y: 2.), (x: 18., y: 2.),
            (x: 18., y: 6.), (x: 14., y: 6.), (x: 14., y: 3.51), (x: 4., y: 2.02), (x: 4., y: 4.), (x: 0., y: 4.)
        ];
        let rows = Rows::new(&thin, 0.2).expect("it has rows");
        let links = links(&rows, &thin);
        let bridges = links.iter().filter(|link| link.bridge.is_some()).count();
        assert!(bridges > 0);
        let mut groups = Groups::new(rows.spans().len());
        for link in &links {
            groups.merge(link.ends[0].span, link.ends[1].span);
        }
        assert_eq!(groups.count(), 1);
    }

    /// A U whose bottom is so thin that it lies between two scan lines.
    #[test]
    fn a_bridge_may_lead_back_to_the_same_row() {
        let cup = polygon![
            (x: 0., y: 0.), (x: 2., y: 0.), (x: 2., y: 3.95), (x: 8., y: 3.95), (x: 8., y: 0.),
            (x: 10., y: 0.), (x: 10., y: 4.), (x: 0., y: 4.)
        ];
        let rows = Rows::new(&cup, 0.2).expect("it has rows");
        let links = links(&rows, &cup);
        let bridge = links
            .iter()
            .find(|link| link.bridge.is_some())
            .expect("a bridge");
        assert!(bridge.ends.iter().all(|end| end.side == Side::Below));
    }
}
