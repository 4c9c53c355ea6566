//! What sees what inside an area.

use super::{EdgeGrid, TOLERANCE};
use crate::measure::{cross, distance};
use geo::Coord;

impl EdgeGrid {
    /// Whether the straight way from `a` to `b` stays inside; to run along the edge is inside.
    pub(crate) fn sees(&self, a: Coord<f64>, b: Coord<f64>) -> bool {
        let length = distance(a, b);
        if length <= TOLERANCE {
            return true;
        }
        let way = (b - a) / length;
        let mut blocked = false;
        // Where the way touches an edge; between two of them it is wholly inside or wholly outside.
        let mut cuts = vec![0.0, length];
        let along = |place: Coord<f64>| {
            let to = place - a;
            (to.x * way.x + to.y * way.y, cross(way, to))
        };
        self.along([a, b], |row, column| {
            if blocked {
                return;
            }
            for &number in &self.cells[row * self.across + column] {
                let [c, d] = self.edges[number as usize].ends;
                let ((at_c, off_c), (at_d, off_d)) = (along(c), along(d));
                if (off_c > TOLERANCE && off_d > TOLERANCE)
                    || (off_c < -TOLERANCE && off_d < -TOLERANCE)
                {
                    continue;
                }
                for (at, off) in [(at_c, off_c), (at_d, off_d)] {
                    if off.abs() <= TOLERANCE && at > 0.0 && at < length {
                        cuts.push(at);
                    }
                }
                if off_c.abs() <= TOLERANCE || off_d.abs() <= TOLERANCE {
                    continue;
                }
                // The edge's ends lie on both sides of the line.
                let at = at_c + (at_d - at_c) * (off_c / (off_c - off_d));
                let edge = distance(c, d);
                let (off_a, off_b) = (cross(d - c, a - c) / edge, cross(d - c, b - c) / edge);
                if at > 0.0 && at < length {
                    if off_a.abs() > TOLERANCE && off_b.abs() > TOLERANCE {
                        blocked = true;
                        return;
                    }
                    cuts.push(at);
                }
            }
        });
        if blocked {
            return false;
        }
        cuts.sort_by(f64::total_cmp);
        cuts.windows(2).all(|piece| {
            piece[1] - piece[0] <= TOLERANCE * 4.0
                || self
                    .part_at(a + way * ((piece[0] + piece[1]) / 2.0))
                    .is_some()
        })
    }
}
