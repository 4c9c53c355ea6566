//! The shortest way through spans that follow one another, as a taut string.

use crate::ground::rows::Rows;
use crate::ground::{Ground, Spot};
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::reach;
use std::ops::RangeInclusive;

/// A way keeps this far from the edge, in mm, where there is room, so that it does not peep out
/// from under the cover.
const BERTH: f64 = 0.5;

/// It keeps no farther from the edge along the row than this, in mm.
const WIDEST_BERTH: f64 = 1.5;

/// A way that rises less than this for each mm along the rows lies for long beside the row that it
/// leaves; where rows are so many mm apart, the next one does not hide it there. Rows farther apart
/// hide nothing, nearer ones all.
const SHALLOW: f64 = 0.25;
const APART: RangeInclusive<f64> = 0.21..=0.31;

/// An opening between two neighbouring rows, or a place that must be passed (where `left` is `right`).
#[derive(Clone, Copy, Debug)]
struct Gate {
    left: f64,
    right: f64,
    y: f64,
}

impl Gate {
    fn place(at: Coord<f64>) -> Self {
        Self {
            left: at.x,
            right: at.x,
            y: at.y,
        }
    }
}

/// The way from `from` to `to` through `links`, which lead from cell to cell in order. Both ends
/// are in it.
pub fn route(ground: &Ground, from: Spot, links: &[usize], to: Spot) -> Vec<Coord<f64>> {
    let mut way = vec![from.at];
    let mut here = from;
    // The spans to pass since the last bridge.
    let mut spans = vec![here.span];
    for &link in links {
        let link = &ground.links[link];
        let [a, b] = link.ends;
        let forward = ground.cells.of[a.span] == ground.cells.of[here.span];
        let (near, far) = if forward {
            (a.span, b.span)
        } else {
            (b.span, a.span)
        };
        through_cell(ground, &mut spans, near);
        match &link.bridge {
            None => {
                spans.push(far);
                here.span = far;
            }
            Some(bridge) => {
                let mut bridge = bridge.clone();
                if !forward {
                    bridge.reverse();
                }
                pull_taut(ground, &spans, here.at, bridge[0], &mut way);
                way.extend(&bridge[1..]);
                here = Spot {
                    span: far,
                    at: bridge[bridge.len() - 1],
                };
                spans.clear();
                spans.push(far);
            }
        }
    }
    through_cell(ground, &mut spans, to.span);
    pull_taut(ground, &spans, here.at, to.at, &mut way);
    way.dedup();
    way
}

/// Adds the spans from the last one to `to`, in the same cell.
fn through_cell(ground: &Ground, spans: &mut Vec<usize>, to: usize) {
    let from = spans[spans.len() - 1];
    let stack = &ground.cells.cells[ground.cells.of[from]].spans;
    let (from, to) = (ground.cells.place[from], ground.cells.place[to]);
    if from < to {
        spans.extend(&stack[from + 1..=to]);
    } else {
        spans.extend(stack[to..from].iter().rev());
    }
}

/// Adds the shortest way from `from`, not in it, to `to`, in it, through `spans`.
fn pull_taut(
    ground: &Ground,
    spans: &[usize],
    from: Coord<f64>,
    to: Coord<f64>,
    way: &mut Vec<Coord<f64>>,
) {
    let rows = &ground.rows;
    let mut gates = Vec::with_capacity(spans.len() + 1);
    let mut from = from;
    let row = |i: usize| rows.spans()[spans[i]].row;
    let rises = spans.len() as f64 * rows.pitch();
    let beside = APART.contains(&rows.sewn_pitch()) && rises < SHALLOW * (to.x - from.x).abs();
    for i in 1..spans.len() {
        let other_cell = || ground.cells.of[spans[0]] != ground.cells.of[spans[1]];
        if i == 1 && (beside || other_cell()) {
            // The row it leaves is sewn, as a rule: it steps off at once, onto the next row.
            let gate = opening(rows, spans[0], spans[1], 0.0);
            let step = Coord {
                x: from.x.max(gate.left).min(gate.right),
                y: rows.y(row(1)),
            };
            leg(from, &[gate, Gate::place(step)], way);
            from = step;
            continue;
        }
        let gate = opening(rows, spans[i - 1], spans[i], WIDEST_BERTH);
        // Where the way turns back it must touch the row between.
        if i >= 2 && (row(i - 2) < row(i - 1)) != (row(i - 1) < row(i)) {
            let before = opening(rows, spans[i - 2], spans[i - 1], WIDEST_BERTH);
            let y = rows.y(row(i - 1));
            let (out, back) = nearest(before, gate);
            for x in [out, back] {
                gates.push(Gate {
                    left: x,
                    right: x,
                    y,
                });
                leg(from, &gates, way);
                from = Coord { x, y };
                gates.clear();
            }
        }
        gates.push(gate);
    }
    gates.push(Gate::place(to));
    leg(from, &gates, way);
}

/// Where one can step from a span to one of a neighbouring row, keeping away from the edge, but no
/// farther than `widest` mm.
fn opening(rows: &Rows, a: usize, b: usize, widest: f64) -> Gate {
    let (a, b) = (rows.spans()[a], rows.spans()[b]);
    let (left, right) = (a.left.max(b.left), a.right.min(b.right));
    // Along the row, the more slanting the edge, the farther away.
    let berth = |shift: f64| {
        let slant = Coord {
            x: shift / rows.pitch(),
            y: 1.0,
        };
        let slanting = BERTH * reach(slant);
        slanting.min(widest).min((right - left) * 0.4).max(0.0)
    };
    Gate {
        left: left + berth(a.left - b.left),
        right: right - berth(a.right - b.right),
        y: (rows.y(a.row) + rows.y(b.row)) / 2.0,
    }
}

/// The places of two gates nearest to each other.
fn nearest(a: Gate, b: Gate) -> (f64, f64) {
    if a.right < b.left {
        (a.right, b.left)
    } else if b.right < a.left {
        (a.left, b.right)
    } else {
        let x = (a.left.max(b.left) + a.right.min(b.right)) / 2.0;
        (x, x)
    }
}

/// The taut string through gates that follow one another upward or downward, ending in the last.
///
/// From where it is fixed, the string can see through the gates within a wedge that narrows from
/// gate to gate. Where the wedge closes, the string bends round the gate post that closed it.
fn leg(from: Coord<f64>, gates: &[Gate], way: &mut Vec<Coord<f64>>) {
    let mut fixed = from;
    let mut next = 0;
    'fixed: while next < gates.len() {
        // Slopes dx/dy, and the gates that set them.
        let (mut least, mut most) = (f64::NEG_INFINITY, f64::INFINITY);
        let (mut least_gate, mut most_gate) = (next, next);
        for (i, gate) in gates.iter().enumerate().skip(next) {
            let away = (gate.y - fixed.y).abs();
            if away < 1e-9 {
                // On the same row as where the string is fixed.
                if i + 1 == gates.len() {
                    break;
                }
                continue;
            }
            let (left, right) = ((gate.left - fixed.x) / away, (gate.right - fixed.x) / away);
            let bend = if left > most {
                Some((most_gate, gates[most_gate].right))
            } else if right < least {
                Some((least_gate, gates[least_gate].left))
            } else {
                None
            };
            if let Some((at, x)) = bend {
                fixed = Coord { x, y: gates[at].y };
                way.push(fixed);
                next = at + 1;
                continue 'fixed;
            }
            if left > least {
                (least, least_gate) = (left, i);
            }
            if right < most {
                (most, most_gate) = (right, i);
            }
        }
        break;
    }
    if let Some(last) = gates.last() {
        way.push(Coord {
            x: last.left,
            y: last.y,
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::{Polygon, polygon};
    use hoopwright_sdk::geometry::measure::distance;

    fn way_between(polygon: &Polygon<f64>, a: (f64, f64), b: (f64, f64)) -> Vec<Coord<f64>> {
        let ground = Ground::new(polygon, 0.0, 0.2).expect("it has rows");
        let from = ground.spot(Coord { x: a.0, y: a.1 });
        let to = ground.spot(Coord { x: b.0, y: b.1 });
        route(&ground, from, &ground.way(from, to).expect("a way"), to)
    }

    fn length(way: &[Coord<f64>]) -> f64 {
        way.windows(2).map(|w| distance(w[0], w[1])).sum()
    }

    #[test]
    fn in_the_open_it_is_straight() {
        let square = polygon![(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 0., y: 9.)];
        assert_eq!(way_between(&square, (1.0, 1.0), (8.0, 8.0)).len(), 2);
        assert_eq!(way_between(&square, (1.0, 1.1), (8.0, 1.1)).len(), 2);
    }

    /// Round a notch from below: up one side, along the row over it, and down the other.
    #[test]
    fn it_bends_round_a_notch() {
        let notched = polygon![
            (x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 5., y: 9.), (x: 5., y: 3.), (x: 4., y: 3.),
            (x: 4., y: 9.), (x: 0., y: 9.)
        ];
        let way = way_between(&notched, (3.5, 8.5), (5.5, 8.5));
        assert!(way.iter().any(|at| at.y < 3.0));
        let shortest = 2.0 * 5.5_f64.hypot(0.5) + 1.0;
        assert!(
            length(&way) > shortest && length(&way) < shortest + 4.0,
            "{way:?}"
        );
    }

    #[test]
    fn it_bends_round_a_hole() {
        let holed = polygon!(
            exterior: [(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 0., y: 9.)],
            interiors: [[(x: 1., y: 3.), (x: 6., y: 3.), (x: 6., y: 6.), (x: 1., y: 6.)]],
        );
        let way = way_between(&holed, (4.0, 1.0), (4.0, 8.0));
        assert!(
            way.iter()
                .all(|at| !(at.y > 3.1 && at.y < 5.9) || at.x < 1.0 || at.x > 6.0)
        );
        assert!(length(&way) < 12.0, "{}", length(&way));
    }
}
