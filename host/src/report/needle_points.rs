//! The needle points of a design in sewing order, and how the thread gets from one to the next:
//! what every measure looks at.

use crate::design::{Design, Object, Shape, Stitch, StitchKind, StitchRole, bounds};
use crate::formats::dst::Route;
use crate::formats::dst::route::{NeedlePoint, Way};
use geo::{Coord, Rect};
use hoopwright_geometry::measure::distance;

/// All needle points.
#[derive(Debug)]
pub(super) struct NeedlePoints<'a> {
    /// Whose they are.
    pub design: &'a Design,
    /// In sewing order, as the machine sews them.
    pub all: Vec<NeedlePoint>,
    /// Whether stitches tell what they are for; those of a machine file do not.
    pub roles: bool,
    /// Whether any sewn object has a shape; those of a machine file have none.
    pub shapes: bool,
}

impl<'a> NeedlePoints<'a> {
    /// The needle points of `design`, whose route `route` is.
    pub fn of(design: &'a Design, route: &Route) -> Self {
        let sewn = || design.objects.iter().filter(|object| object.is_sewn());
        let tells =
            |stitch: Stitch| stitch.kind == StitchKind::Needle && stitch.role != StitchRole::Cover;
        Self {
            design,
            all: route.needle_points(design).collect(),
            roles: sewn().flat_map(Object::each_stitch).any(tells),
            shapes: sewn().any(|object| !matches!(object.shape, Shape::Manual)),
        }
    }

    /// Every length of thread that lies on the cloth, sewn or carried: its ends.
    pub fn laid(&self) -> impl Iterator<Item = (&NeedlePoint, &NeedlePoint)> {
        self.all
            .windows(2)
            .map(|pair| (&pair[0], &pair[1]))
            .filter(|(_, to)| to.way.lies())
    }

    /// Around all needle points, in mm.
    pub fn bounds(&self) -> Option<Rect<f64>> {
        bounds(self.all.iter().map(|needle| needle.at))
    }

    /// The corner that squares of cloth line up with: the page's, so that the same stitches give
    /// the same squares whatever is sewn beside them.
    pub fn corner(&self) -> Coord<f64> {
        self.design.page.least.into()
    }

    /// All thread that lies on the cloth, in mm.
    pub fn thread(&self) -> f64 {
        self.laid().map(|(from, to)| distance(from.at, to.at)).sum()
    }

    /// Every stitch: where from, where to.
    pub fn stitches(&self) -> impl Iterator<Item = (&NeedlePoint, &NeedlePoint)> {
        self.laid().filter(|(_, to)| to.way == Way::Sewn)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::dst::Machine;
    use crate::formats::dst::grid::{Grid, length, way};
    use crate::report::designs::{self, at, points};
    use proptest::prelude::*;

    fn ways(design: &Design) -> Vec<Way> {
        let points = points(design);
        points.all.iter().map(|needle| needle.way).collect()
    }

    #[test]
    fn the_ways_are_those_of_the_machine() {
        let design = designs::manual(&[("a", 0), ("b", 0), ("c", 1)], |place, list| match place {
            0 => {
                list.needle(StitchRole::Cover, at(0., 0.));
                list.needle(StitchRole::Cover, at(2., 0.));
                list.jump(at(6., 0.));
                list.needle(StitchRole::Cover, at(6., 0.));
            }
            1 => {
                list.needle(StitchRole::Cover, at(6.5, 0.));
                list.trim(at(20., 0.));
                list.needle(StitchRole::Cover, at(20., 0.));
                list.needle(StitchRole::Cover, at(20.01, 0.));
            }
            _ => {
                list.needle(StitchRole::Cover, at(0., 0.));
                list.jump(at(80., 0.));
                list.needle(StitchRole::Cover, at(80., 0.));
            }
        });
        assert_eq!(
            ways(&design),
            [
                Way::Begins,
                Way::Sewn,
                Way::Carried,
                Way::Sewn,
                Way::Cut,
                Way::Begins,
                Way::CutByLength
            ]
        );
        let points = points(&design);
        assert!(!points.roles && !points.shapes);
    }

    /// An object without stitches is not in the file, and nor is its trim: the thread lies there.
    #[test]
    fn the_trim_of_an_object_that_is_not_sewn_cuts_nothing() {
        let design = designs::manual(&[("a", 0), ("b", 0), ("c", 0)], |place, list| {
            let x = 10.0 * place as f64;
            if place == 1 {
                return list.trim(at(x, 0.));
            }
            list.needle(StitchRole::Cover, at(x, 0.));
            list.needle(StitchRole::Cover, at(x + 2.0, 0.));
        });
        let expected = [Way::Begins, Way::Sewn, Way::Carried, Way::Sewn];
        assert_eq!(ways(&design), expected);
    }

    proptest! {
        /// Against what else the route tells: as many trims and as much thread, whichever object is
        /// sewn, stops the machine or does neither.
        #[test]
        fn needle_points_agree_with_the_runs(
            steps in prop::collection::vec((0u8..12, -90i32..90, -90i32..90, 0u8..9), 1..80),
        ) {
            let names: Vec<String> = (0..steps.len()).map(|i| format!("o{i}")).collect();
            let objects: Vec<(&str, u32)> = names
                .iter()
                .zip(&steps)
                .map(|(name, step)| (name.as_str(), u32::from(step.3 == 0)))
                .collect();
            let design = designs::manual(&objects, |place, list| {
                let (kind, x, y, more) = steps[place];
                let shrink = if kind % 2 == 0 { 30.0 } else { 1.0 };
                let place = at(f64::from(x) / shrink, f64::from(y) / shrink);
                match kind {
                    0 => list.trim(place),
                    1 => list.jump(place),
                    2 => list.push(Stitch {
                        at: place,
                        kind: StitchKind::Stop,
                        role: StitchRole::Travel,
                    }),
                    _ => {}
                }
                if more != 1 {
                    list.needle(StitchRole::Cover, place);
                    list.needle(StitchRole::Cover, place + at(1.0, 0.0));
                }
            });
            let planned = Route::plan(&design, &Machine::default());
            prop_assume!(planned.is_ok());
            let (route, _) = planned.expect("sound");
            let points = NeedlePoints::of(&design, &route);
            let cut = points
                .all
                .iter()
                .filter(|needle| matches!(needle.way, Way::Cut | Way::CutByLength));
            prop_assert_eq!(cut.count(), route.trims());
            let units = |needle: &NeedlePoint| Grid::default().place(needle.at);
            let laid: f64 = points.laid().map(|(a, b)| length(way(units(a), units(b)))).sum();
            let length: f64 = route.runs.iter().map(|run| run.thread_length).sum();
            prop_assert!((laid - length).abs() < 1e-6, "{} and {}", laid, length);
        }
    }
}
