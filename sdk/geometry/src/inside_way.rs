//! The shortest way between two places that never leaves an area.
//!
//! Such a way is straight but for bends at corners where the area turns around something that is not
//! part of it (T. Lozano-Pérez and M. A. Wesley, "An algorithm for planning collision-free paths
//! among polyhedral obstacles", Communications of the ACM 22 (1979) 560-570). So those corners are
//! the nodes of a graph, joined where one sees the other, and the way is the shortest in it. Round
//! edges, which would give many corners, are first circumscribed with few.

mod corners;

use crate::area::clean;
use crate::edge_grid::{EdgeGrid, TOLERANCE};
use crate::measure::distance;
use corners::{Corner, Detail};
use geo::{Coord, MultiPolygon};
use std::cell::RefCell;
use std::collections::BTreeMap;

/// The most pairs of corners whose sight of each other is remembered.
const MOST_REMEMBERED: usize = 1 << 20;

/// A place in one part of an area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Entry {
    /// Which part.
    pub part: usize,
    /// The place, inside that part or on its edge.
    pub at: Coord<f64>,
}

/// An area made ready to be asked for many ways. Ways are found on demand: making it ready takes
/// little more than cleaning the area.
#[derive(Debug)]
pub struct InsideWays {
    grid: EdgeGrid,
    parts: usize,
    /// With round edges circumscribed, and with every corner, for where that closes a narrow way.
    coarse: Graph,
    fine: Graph,
}

#[derive(Debug)]
struct Graph {
    corners: Vec<Corner>,
    sees: RefCell<BTreeMap<(u32, u32), bool>>,
}

impl InsideWays {
    /// Makes `area` ready; it is cleaned first.
    pub fn new(area: &MultiPolygon<f64>) -> Self {
        let area = clean(area);
        let graph = |detail| Graph {
            corners: corners::of(&area, detail),
            sees: RefCell::default(),
        };
        let (coarse, fine) = (graph(Detail::Circumscribed), graph(Detail::All));
        let mut this = Self {
            grid: EdgeGrid::new(&area),
            parts: area.0.len(),
            coarse,
            fine,
        };
        // Where a circumscribed corner lies beyond another edge, it is of no use.
        let grid = &this.grid;
        let inside = |corner: &Corner| grid.part_at(corner.at) == Some(corner.part);
        this.coarse.corners.retain(inside);
        this
    }

    /// Whether there is nothing inside.
    pub fn is_empty(&self) -> bool {
        self.parts == 0
    }

    /// Whether `place` lies inside, or on the edge.
    pub fn contains(&self, place: Coord<f64>) -> bool {
        self.grid.part_at(place).is_some()
    }

    /// The place nearest to `place` in each part that lies no farther than `reach` mm, by parts.
    pub fn entries(&self, place: Coord<f64>, reach: f64) -> Vec<Entry> {
        let mut nearest: BTreeMap<usize, Coord<f64>> = BTreeMap::new();
        if !(place.x.is_finite() && place.y.is_finite() && reach >= 0.0) {
            return Vec::new();
        }
        self.grid.near(place, reach, |edge| {
            let at = edge.nearest(place);
            let away = distance(at, place);
            let best = nearest.get(&edge.part).map(|best| distance(*best, place));
            if away <= reach && best.is_none_or(|best| away < best) {
                nearest.insert(edge.part, at);
            }
        });
        if let Some(part) = self.grid.part_at(place) {
            nearest.insert(part, place);
        }
        let entries = nearest.into_iter();
        entries.map(|(part, at)| Entry { part, at }).collect()
    }

    /// The shortest way from `a` to `b` inside the area, both ends included. Nothing where one of
    /// them lies outside, where they lie in different parts, or where the way would be longer than
    /// `longest` mm. The same way backwards for `b` to `a`. At most about 0.1 mm longer than the
    /// very shortest for each bend around a round edge.
    pub fn shortest(&self, a: Coord<f64>, b: Coord<f64>, longest: f64) -> Option<Vec<Coord<f64>>> {
        let part = self.grid.part_at(a)?;
        let not_too_long = distance(a, b) <= longest;
        if self.grid.part_at(b)? != part || !not_too_long {
            return None;
        }
        let turned = (a.x, a.y) > (b.x, b.y);
        let (from, to) = if turned { (b, a) } else { (a, b) };
        let mut way = self.search(&self.coarse, part, from, to, longest);
        if way.is_none() {
            way = self.search(&self.fine, part, from, to, longest);
        }
        let mut way = way?;
        if turned {
            way.reverse();
        }
        Some(way)
    }

    /// A search by length so far and the straight line to the end (P. E. Hart, N. J. Nilsson,
    /// B. Raphael, IEEE Transactions on Systems Science and Cybernetics 4 (1968) 100-107).
    fn search(
        &self,
        graph: &Graph,
        part: usize,
        from: Coord<f64>,
        to: Coord<f64>,
        longest: f64,
    ) -> Option<Vec<Coord<f64>>> {
        if self.grid.sees(from, to) {
            return Some(vec![from, to]);
        }
        // Only corners in the ellipse of the longest way matter. The end comes last.
        let near: Vec<usize> = (0..graph.corners.len())
            .filter(|&i| {
                let corner = &graph.corners[i];
                let around = distance(from, corner.at) + distance(corner.at, to);
                corner.part == part && around <= longest
            })
            .collect();
        let end = near.len();
        let at = |node: usize| near.get(node).map_or(to, |&i| graph.corners[i].at);
        let ahead: Vec<f64> = (0..=end).map(|node| distance(at(node), to)).collect();
        let mut lengths = vec![f64::INFINITY; end + 1];
        let mut before: Vec<Option<usize>> = vec![None; end + 1];
        let mut done = vec![false; end + 1];
        let mut current: Option<usize> = None;
        loop {
            let (here, length) = current.map_or((from, 0.0), |node| (at(node), lengths[node]));
            for node in 0..=end {
                let there = length + distance(here, at(node));
                let most = longest.min(lengths[end]);
                if done[node] || there >= lengths[node] || there + ahead[node] > most + TOLERANCE {
                    continue;
                }
                if self.joined(
                    graph,
                    current.map(|n| near[n]),
                    near.get(node).copied(),
                    here,
                    to,
                ) {
                    (lengths[node], before[node]) = (there, current);
                }
            }
            let open = (0..=end).filter(|&node| !done[node] && lengths[node].is_finite());
            let next =
                open.min_by(|&a, &b| (lengths[a] + ahead[a]).total_cmp(&(lengths[b] + ahead[b])))?;
            if next == end {
                break;
            }
            done[next] = true;
            current = Some(next);
        }
        let mut way = vec![to];
        let mut node = before[end];
        while let Some(corner) = node {
            way.push(at(corner));
            node = before[corner];
        }
        way.push(from);
        way.reverse();
        way.dedup();
        Some(way)
    }

    /// Whether a way can go straight from the corner `one`, or the place `here`, to the corner
    /// `other`, or the place `to`.
    fn joined(
        &self,
        graph: &Graph,
        one: Option<usize>,
        other: Option<usize>,
        here: Coord<f64>,
        to: Coord<f64>,
    ) -> bool {
        let there = other.map_or(to, |i| graph.corners[i].at);
        let touches = |corner: Option<usize>, place: Coord<f64>| {
            corner.is_none_or(|i| graph.corners[i].touches(place))
        };
        if !touches(one, there) || !touches(other, here) {
            return false;
        }
        let (Some(one), Some(other)) = (one, other) else {
            return self.grid.sees(here, there);
        };
        let pair = (one.min(other) as u32, one.max(other) as u32);
        let known = graph.sees.borrow().get(&pair).copied();
        known.unwrap_or_else(|| {
            let sees = self.grid.sees(here, there);
            let mut remembered = graph.sees.borrow_mut();
            if remembered.len() < MOST_REMEMBERED {
                remembered.insert(pair, sees);
            }
            sees
        })
    }
}

#[cfg(test)]
mod tests;
