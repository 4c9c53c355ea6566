//! The parts of an area that are still to be sewn, and which of them is nearest.

use hoopwright_sdk::geometry::geo::{
    BoundingRect, Coord, Distance, Euclidean, MultiPolygon, Point, Polygon, Rect,
};
use hoopwright_sdk::geometry::measure::{greater, lesser};

/// Parts in a tree of boxes: each box holds the two below it (a packed tree after N. Roussopoulos and
/// D. Leifker, "Direct spatial search on pictorial databases using packed R-trees", 1985).
#[derive(Debug)]
pub struct Parts<'a> {
    area: &'a MultiPolygon<f64>,
    /// The places of the parts in the area, as the lowest boxes hold them.
    order: Vec<usize>,
    /// The first box is not used; those below the box `i` are `2 i` and `2 i + 1`. A box is nothing
    /// when all that it held is sewn.
    boxes: Vec<Option<Rect<f64>>>,
    /// Where the lowest boxes begin.
    lowest: usize,
    left: usize,
}

impl<'a> Parts<'a> {
    /// All parts of an area.
    pub fn new(area: &'a MultiPolygon<f64>) -> Self {
        let bounds: Vec<Option<Rect<f64>>> = area.iter().map(BoundingRect::bounding_rect).collect();
        let mut order: Vec<usize> = (0..bounds.len()).collect();
        pack(&mut order, &bounds);
        let lowest = order.len().next_power_of_two();
        let mut boxes = vec![None; 2 * lowest];
        for (leaf, &part) in order.iter().enumerate() {
            boxes[lowest + leaf] = bounds[part];
        }
        for i in (1..lowest).rev() {
            boxes[i] = around(boxes[2 * i], boxes[2 * i + 1]);
        }
        Self {
            area,
            left: order.len(),
            order,
            boxes,
            lowest,
        }
    }

    /// How many are left.
    pub fn left(&self) -> usize {
        self.left
    }

    /// Takes the first of those left, in the area's own order.
    pub fn take_first(&mut self) -> Option<&'a Polygon<f64>> {
        let leaves = (0..self.order.len()).filter(|leaf| self.boxes[self.lowest + leaf].is_some());
        let first = leaves.min_by_key(|&leaf| self.order[leaf])?;
        Some(self.take(first))
    }

    /// Takes the one whose outline is nearest to a place; of several, the first in the area's own
    /// order.
    pub fn take_nearest(&mut self, place: Coord<f64>) -> Option<&'a Polygon<f64>> {
        /// Rounding may put an outline this much nearer than its box, as a share.
        const ROUNDING: f64 = 1e-9;
        let mut best: Option<(f64, usize, usize)> = None;
        let mut open = vec![(1_usize, self.away(1, place))];
        while let Some((i, least)) = open.pop() {
            let nearest = best.map_or(f64::MAX, |best| best.0);
            if least * (1.0 - ROUNDING) > nearest {
                continue;
            }
            let Some(leaf) = i.checked_sub(self.lowest) else {
                let mut below = [2 * i, 2 * i + 1].map(|i| (i, self.away(i, place)));
                // The nearer one is looked at first.
                if below[0].1 < below[1].1 {
                    below.reverse();
                }
                open.extend(below);
                continue;
            };
            let Some(&part) = self.order.get(leaf) else {
                continue;
            };
            let away = Euclidean.distance(&Point(place), self.area.0[part].exterior());
            if best.is_none_or(|best| (away, part) < (best.0, best.1)) {
                best = Some((away, part, leaf));
            }
        }
        best.map(|(_, _, leaf)| self.take(leaf))
    }

    /// How far a box lies from a place; without end where nothing is left in it.
    fn away(&self, i: usize, place: Coord<f64>) -> f64 {
        let Some(it) = self.boxes[i] else {
            return f64::INFINITY;
        };
        let beyond = |v: f64, least: f64, most: f64| greater(greater(least - v, v - most), 0.0);
        let x = beyond(place.x, it.min().x, it.max().x);
        let y = beyond(place.y, it.min().y, it.max().y);
        (x * x + y * y).sqrt()
    }

    fn take(&mut self, leaf: usize) -> &'a Polygon<f64> {
        self.left -= 1;
        let mut i = self.lowest + leaf;
        self.boxes[i] = None;
        while i > 1 {
            i /= 2;
            self.boxes[i] = around(self.boxes[2 * i], self.boxes[2 * i + 1]);
        }
        &self.area.0[self.order[leaf]]
    }
}

/// Puts parts side by side that lie near one another: halves them across their longer extent, again
/// and again, such that the tree's boxes fit the halves.
fn pack(order: &mut [usize], bounds: &[Option<Rect<f64>>]) {
    if order.len() < 2 {
        return;
    }
    let middle = |part: usize| bounds[part].map_or(Coord { x: 0.0, y: 0.0 }, |it| it.center());
    let all = order
        .iter()
        .fold(None, |all, &part| around(all, bounds[part]));
    let wide = all.is_some_and(|all| all.width() >= all.height());
    let along = |part: usize| if wide { middle(part).x } else { middle(part).y };
    order.sort_by(|&a, &b| along(a).total_cmp(&along(b)).then(a.cmp(&b)));
    let (first, second) = order.split_at_mut(order.len().next_power_of_two() / 2);
    pack(first, bounds);
    pack(second, bounds);
}

/// The box around two.
fn around(a: Option<Rect<f64>>, b: Option<Rect<f64>>) -> Option<Rect<f64>> {
    let (Some(a), Some(b)) = (a, b) else {
        return a.or(b);
    };
    let least = |a: Coord<f64>, b: Coord<f64>| Coord {
        x: lesser(a.x, b.x),
        y: lesser(a.y, b.y),
    };
    let most = |a: Coord<f64>, b: Coord<f64>| Coord {
        x: greater(a.x, b.x),
        y: greater(a.y, b.y),
    };
    Some(Rect::new(least(a.min(), b.min()), most(a.max(), b.max())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::{LineString, Translate, polygon};

    /// Squares and triangles scattered by multiples of the golden ratio, some of them alike and as
    /// far away as others, and a long one.
    fn scattered(count: usize) -> MultiPolygon<f64> {
        let share = |i: usize, by: f64| (i as f64 * by).fract();
        let mut parts: Vec<Polygon<f64>> = (0..count)
            .map(|i| {
                let (x, y) = (share(i, 0.618_033_988_7), share(i, 0.754_877_666_2));
                let part = polygon![(x: 0., y: 0.), (x: 1., y: 0.), (x: 0.5, y: 1.)];
                part.translate((90.0 * x).round(), 90.0 * y)
            })
            .collect();
        let bar = [(0., 95.), (90., 95.), (90., 96.), (0., 96.)];
        parts.insert(
            count / 3,
            Polygon::new(LineString::from(bar.to_vec()), vec![]),
        );
        MultiPolygon::new(parts)
    }

    /// The order in which parts were taken when each was measured each time.
    fn one_by_one(area: &MultiPolygon<f64>, mut here: Coord<f64>) -> Vec<&Polygon<f64>> {
        let mut left: Vec<&Polygon<f64>> = area.iter().collect();
        let mut taken = Vec::new();
        while !left.is_empty() {
            let away = |it: &Polygon<f64>| Euclidean.distance(&Point(here), it.exterior());
            let nearest = (0..left.len())
                .min_by(|&a, &b| away(left[a]).total_cmp(&away(left[b])))
                .unwrap_or(0);
            taken.push(left.remove(nearest));
            here = taken[taken.len() - 1].exterior().0[1];
        }
        taken
    }

    #[test]
    fn the_nearest_comes_next() {
        for count in [0, 1, 2, 7, 64, 300] {
            let area = scattered(count);
            let mut here = Coord { x: 40.0, y: 50.0 };
            let expected = one_by_one(&area, here);
            let mut parts = Parts::new(&area);
            for (i, expected) in expected.into_iter().enumerate() {
                assert_eq!(parts.left(), count + 1 - i);
                let taken = parts.take_nearest(here).expect("one is left");
                assert_eq!(taken, expected, "{i} of {count}");
                here = taken.exterior().0[1];
            }
            assert!(parts.take_nearest(here).is_none() && parts.take_first().is_none());
        }
        let area = scattered(5);
        assert_eq!(Parts::new(&area).take_first(), area.0.first());
    }

    /// Without measuring each of them each time: 40,000 parts would be 800 million measurements.
    #[test]
    fn many_parts_take_little_time() {
        let area = scattered(40_000);
        let mut parts = Parts::new(&area);
        let mut here = Coord { x: 0.0, y: 0.0 };
        let mut count = 0;
        while let Some(part) = parts.take_nearest(here) {
            here = part.exterior().0[1];
            count += 1;
        }
        assert_eq!(count, 40_001);
    }
}
