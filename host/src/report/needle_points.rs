//! The needle points of a design in sewing order, and how the thread gets from one to the next:
//! what every measure looks at.

use crate::design::{Design, Shape, StitchKind, StitchRole, bounds};
use crate::formats::dst::Machine;
use crate::formats::dst::grid::{Grid, Units, length, way};
use crate::formats::dst::record::{Reach, UNITS_PER_MM};
use crate::formats::dst::travel::parts_needed;
use geo::{Coord, Rect};
use hoopwright_geometry::measure::distance;

/// How the thread comes to a needle point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// It begins here: the start, the next thread, or after a stop.
    Begins,
    /// It was cut on purpose.
    Cut,
    /// It was not to be cut, but the way needs so many jumps that the machine cuts it.
    CutByLength,
    /// It lies loose on the cloth, uncut.
    Carried,
    /// It was sewn here.
    Sewn,
}

impl Way {
    /// Whether thread lies between the needle point and the one before.
    pub fn lies(self) -> bool {
        matches!(self, Self::Carried | Self::Sewn)
    }
}

/// A place where the needle goes down.
#[derive(Clone, Copy, Debug)]
pub(super) struct Needle {
    /// Where, in mm.
    pub at: Coord<f64>,
    /// The same on the machine's grid of 0.1 mm.
    pub units: Units,
    /// What the stitch that ends here is for.
    pub role: StitchRole,
    /// How the thread comes here.
    pub way: Way,
    /// The object's place in the design.
    pub object: usize,
}

/// All needle points.
#[derive(Debug)]
pub(super) struct NeedlePoints<'a> {
    /// Whose they are.
    pub design: &'a Design,
    /// In sewing order. What would fall on the point before is not there, as in the file.
    pub all: Vec<Needle>,
    /// Whether stitches tell what they are for; those of a machine file do not.
    pub roles: bool,
    /// Whether any sewn object has a shape; those of a machine file have none.
    pub shapes: bool,
}

impl<'a> NeedlePoints<'a> {
    /// The needle points as `machine` sews them. The same decisions as in
    /// [`Route::plan`](crate::formats::dst::Route::plan), which tests hold the two to.
    pub fn of(design: &'a Design, machine: &Machine) -> Self {
        let mut points = Self {
            design,
            all: Vec::new(),
            roles: false,
            shapes: false,
        };
        let Some(grid) = Grid::of(design, machine) else {
            return points;
        };
        let most = (machine.longest_move * UNITS_PER_MM + 1e-6).floor() as i32;
        let most = most.clamp(1, Reach::MOST);
        let mut pending = Way::Begins;
        let mut thread = None;
        for (place, object) in design.objects.iter().enumerate() {
            if object.is_sewn() {
                let wound = design.threads.get(object.thread as usize);
                if thread.is_some_and(|thread| thread != wound) {
                    pending = Way::Begins;
                }
                thread = Some(wound);
                points.shapes |= !matches!(object.shape, Shape::Manual);
            }
            if pending == Way::Sewn {
                pending = Way::Carried;
            }
            for stitch in object.each_stitch() {
                match (stitch.kind, pending) {
                    (StitchKind::Needle, _) => {}
                    (StitchKind::Stop, _) => pending = Way::Begins,
                    (_, Way::Begins) | (StitchKind::Jump, Way::Cut) => {}
                    (StitchKind::Trim, _) => pending = Way::Cut,
                    (StitchKind::Jump, _) => pending = Way::Carried,
                }
                if stitch.kind != StitchKind::Needle {
                    continue;
                }
                points.roles |= stitch.role != StitchRole::Cover;
                let units = grid.place(stitch.at);
                let step = points
                    .all
                    .last()
                    .map_or([0, 0], |last| way(last.units, units));
                let still = step == [0, 0];
                let came = match std::mem::replace(&mut pending, Way::Sewn) {
                    Way::Sewn | Way::Carried if still => continue,
                    Way::Carried if length(step) <= machine.sewn_gap => Way::Sewn,
                    Way::Carried if parts_needed(step, most).max(2) > machine.trim_jumps.into() => {
                        Way::CutByLength
                    }
                    came => came,
                };
                points.all.push(Needle {
                    at: stitch.at,
                    units,
                    role: stitch.role,
                    way: came,
                    object: place,
                });
            }
        }
        points
    }

    /// Every length of thread that lies on the cloth, sewn or carried: its ends.
    pub fn laid(&self) -> impl Iterator<Item = (&Needle, &Needle)> {
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
    pub fn stitches(&self) -> impl Iterator<Item = (&Needle, &Needle)> {
        self.laid().filter(|(_, to)| to.way == Way::Sewn)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::dst::Route;
    use crate::report::designs::{self, at};
    use proptest::prelude::*;

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
        let points = NeedlePoints::of(&design, &Machine::default());
        let ways: Vec<Way> = points.all.iter().map(|needle| needle.way).collect();
        assert_eq!(
            ways,
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
        assert!(!points.roles && !points.shapes);
    }

    proptest! {
        /// Against the route itself: as many needle points, trims and as much thread.
        #[test]
        fn needle_points_agree_with_the_route(
            steps in prop::collection::vec((0u8..12, -90i32..90, -90i32..90, 0u8..9), 1..80),
        ) {
            let names: Vec<String> = (0..steps.len()).map(|i| format!("o{i}")).collect();
            let objects: Vec<(&str, u32)> = names
                .iter()
                .zip(&steps)
                .map(|(name, step)| (name.as_str(), u32::from(step.3 == 0)))
                .collect();
            let design = designs::manual(&objects, |place, list| {
                let (kind, x, y, _) = steps[place];
                let shrink = if kind % 2 == 0 { 30.0 } else { 1.0 };
                let place = at(f64::from(x) / shrink, f64::from(y) / shrink);
                match kind {
                    0 => list.trim(place),
                    1 => list.jump(place),
                    2 => list.push(crate::design::Stitch {
                        at: place,
                        kind: StitchKind::Stop,
                        role: StitchRole::Travel,
                    }),
                    _ => {}
                }
                list.needle(StitchRole::Cover, place);
                list.needle(StitchRole::Cover, place + at(1.0, 0.0));
            });
            let machine = Machine::default();
            let (route, _) = Route::plan(&design, &machine).expect("sound");
            let points = NeedlePoints::of(&design, &machine);
            let cut = points
                .all
                .iter()
                .filter(|needle| matches!(needle.way, Way::Cut | Way::CutByLength));
            prop_assert_eq!(cut.count(), route.trims());
            let laid: f64 = points.laid().map(|(a, b)| length(way(a.units, b.units))).sum();
            let length: f64 = route.runs.iter().map(|run| run.thread_length).sum();
            prop_assert!((laid - length).abs() < 1e-6, "{} and {}", laid, length);
        }
    }
}
