//! The parts of an area that are still to be sewn, and which of them is nearest.

use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::geo::{
    BoundingRect, Coord, Distance, Euclidean, MultiPolygon, Point, Polygon, Rect,
};

/// Rounding may put an outline this much nearer than the rectangle around it, as a share.
const ROUNDING: f64 = 1e-9;

/// Parts of an area, by their places in it.
#[derive(Debug)]
pub struct Parts<'a> {
    area: &'a MultiPolygon<f64>,
    /// The rectangle around each part, until it is taken.
    bounds: Vec<Option<Rect<f64>>>,
    boxes: Boxes,
    left: usize,
}

impl<'a> Parts<'a> {
    /// All parts of an area.
    pub fn new(area: &'a MultiPolygon<f64>) -> Self {
        let bounds: Vec<Option<Rect<f64>>> = area.iter().map(BoundingRect::bounding_rect).collect();
        Self {
            area,
            boxes: Boxes::new(bounds.iter().copied().enumerate()),
            left: bounds.len(),
            bounds,
        }
    }

    /// How many are left.
    pub fn left(&self) -> usize {
        self.left
    }

    /// Takes the first of those left, in the area's own order.
    pub fn take_first(&mut self) -> Option<&'a Polygon<f64>> {
        self.take(self.bounds.iter().position(Option::is_some)?)
    }

    /// Takes the one whose outline is nearest to a place; of several, the first in the area's own
    /// order.
    pub fn take_nearest(&mut self, place: Coord<f64>) -> Option<&'a Polygon<f64>> {
        let mut best: Option<(f64, usize)> = None;
        for (part, least) in self.boxes.nearest(place) {
            if best.is_some_and(|(nearest, _)| least * (1.0 - ROUNDING) > nearest) {
                break;
            }
            let away = Euclidean.distance(&Point(place), self.area.0[part].exterior());
            if best.is_none_or(|best| (away, part) < best) {
                best = Some((away, part));
            }
        }
        self.take(best?.1)
    }

    fn take(&mut self, part: usize) -> Option<&'a Polygon<f64>> {
        self.boxes.remove(part, self.bounds[part].take()?);
        self.left -= 1;
        self.area.0.get(part)
    }
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
