//! Things by the upright rectangles around them, to be asked quickly which of them lie near.

use geo::{Coord, Rect};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

/// Things by the upright rectangles around them (an R*-tree). A thing is known by its number, or by whatever
/// else tells it from the others and has an order.
///
/// ```
/// use hoopwright_geometry::boxes::Boxes;
/// use hoopwright_geometry::geo::{Coord, Rect};
///
/// let square = |x: f64| Rect::new(Coord { x, y: 0.0 }, Coord { x: x + 1.0, y: 1.0 });
/// let boxes = Boxes::new([Some(square(5.0)), None, Some(square(2.0))].into_iter().enumerate());
/// assert_eq!(boxes.near(square(0.0), 1.0), [2]);
/// assert_eq!(boxes.near(square(0.0), 4.0), [0, 2]);
/// ```
#[derive(Debug)]
pub struct Boxes<T = usize>(RTree<Boxed<T>>)
where
    T: Copy + Ord;

type Boxed<T> = GeomWithData<Rectangle<[f64; 2]>, T>;

impl<T: Copy + Ord> Default for Boxes<T> {
    fn default() -> Self {
        Self(RTree::new())
    }
}

impl<T: Copy + Ord> Boxes<T> {
    /// Things, each with its bounds. What has none, or none that are finite, is never found.
    pub fn new<B: Into<Option<Rect<f64>>>>(bounds: impl IntoIterator<Item = (T, B)>) -> Self {
        let bounds = bounds.into_iter();
        let boxed = bounds.filter_map(|(thing, bounds)| boxed(thing, bounds.into()?));
        Self(RTree::bulk_load(boxed.collect()))
    }

    /// One more thing, unless its bounds are not finite.
    pub fn add(&mut self, thing: T, bounds: Rect<f64>) {
        if let Some(boxed) = boxed(thing, bounds) {
            self.0.insert(boxed);
        }
    }

    /// A thing fewer: one with these very bounds.
    pub fn remove(&mut self, thing: T, bounds: Rect<f64>) {
        if let Some(boxed) = boxed(thing, bounds) {
            self.0.remove(&boxed);
        }
    }

    /// The things whose bounds meet `bounds` widened by `reach` mm on all sides, touching included, in order.
    pub fn near(&self, bounds: Rect<f64>, reach: f64) -> Vec<T> {
        let out = Coord { x: reach, y: reach };
        let around = AABB::from_corners((bounds.min() - out).into(), (bounds.max() + out).into());
        let found = self.0.locate_in_envelope_intersecting(around);
        let mut found: Vec<T> = found.map(|boxed| boxed.data).collect();
        found.sort_unstable();
        found
    }

    /// All things with how far from `place` their bounds lie, in mm, 0 inside; the nearest first, equally near
    /// ones in any order, always the same.
    pub fn nearest(&self, place: Coord<f64>) -> impl Iterator<Item = (T, f64)> + '_ {
        let found = self
            .0
            .nearest_neighbor_iter_with_distance_2([place.x, place.y]);
        found.map(|(boxed, square)| (boxed.data, square.sqrt()))
    }
}

fn boxed<T>(thing: T, bounds: Rect<f64>) -> Option<Boxed<T>> {
    let (least, greatest) = (bounds.min(), bounds.max());
    let finite = [least.x, least.y, greatest.x, greatest.y];
    let finite = finite.iter().all(|at| at.is_finite());
    finite.then(|| {
        GeomWithData::new(
            Rectangle::from_corners(least.into(), greatest.into()),
            thing,
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::Intersects;
    use proptest::prelude::*;

    fn rect() -> impl Strategy<Value = Rect<f64>> {
        // Whole numbers, so that many of them touch.
        prop::array::uniform4(-20..20_i32).prop_map(|corners| {
            let [a, b, c, d] = corners.map(f64::from);
            Rect::new(Coord { x: a, y: b }, Coord { x: c, y: d })
        })
    }

    proptest! {
        /// As when each is looked at, were they all there at first or not.
        #[test]
        fn what_lies_near_is_found_in_order(
            bounds in prop::collection::vec(prop::option::of(rect()), 0..60),
            asked in rect(),
            reach in 0..4_i32,
        ) {
            let reach = f64::from(reach);
            let out = Coord { x: reach, y: reach };
            let around = Rect::new(asked.min() - out, asked.max() + out);
            let all = || bounds.iter().copied().enumerate();
            let lies_near = |&(_, one): &(usize, Option<Rect>)| one.is_some_and(|it| it.intersects(&around));
            let expected: Vec<usize> = all().filter(lies_near).map(|(i, _)| i).collect();
            prop_assert_eq!(&Boxes::new(all()).near(asked, reach), &expected);
            let mut added = Boxes::default();
            for (i, one) in all() {
                if let Some(one) = one {
                    added.add(i, one);
                }
            }
            prop_assert_eq!(&added.near(asked, reach), &expected);
            let (gone, stay): (Vec<usize>, Vec<usize>) = expected.iter().partition(|&i| i % 2 == 0);
            for i in gone {
                added.remove(i, bounds[i].expect("it was found"));
            }
            prop_assert_eq!(added.near(asked, reach), stay);
        }

        #[test]
        fn the_nearest_come_first(bounds in prop::collection::vec(rect(), 0..60), place in rect()) {
            let place = place.min();
            let away = |one: &Rect| crate::measure::between_rects(one, &Rect::new(place, place));
            let mut expected: Vec<f64> = bounds.iter().map(away).collect();
            expected.sort_by(f64::total_cmp);
            let boxes = Boxes::new(bounds.iter().copied().enumerate());
            let found: Vec<(usize, f64)> = boxes.nearest(place).collect();
            prop_assert!(found.iter().all(|&(i, at)| (away(&bounds[i]) - at).abs() < 1e-12));
            let found: Vec<f64> = found.into_iter().map(|(_, at)| at).collect();
            prop_assert_eq!(found.len(), expected.len());
            prop_assert!(found.iter().zip(&expected).all(|(a, b)| (a - b).abs() < 1e-12));
        }
    }

    #[test]
    fn what_is_not_finite_is_never_found() {
        let at = |x: f64| Rect::new(Coord { x, y: 0.0 }, Coord { x: 1.0, y: 1.0 });
        let boxes = Boxes::new(
            [f64::NAN, 0.0, f64::INFINITY]
                .map(at)
                .into_iter()
                .enumerate(),
        );
        assert_eq!(boxes.near(at(-9.0), 9.0), [1]);
        assert_eq!(boxes.nearest(Coord { x: 7.0, y: 0.0 }).count(), 1);
    }
}
