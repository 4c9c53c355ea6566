//! Tails: travel that is not trimmed and that nothing covers.

use super::cloth::Cloth;
use super::measure::{Limits, Measure};
use super::measurement::{Measurement, Spot};
use super::needle_points::NeedlePoints;
use crate::design::{StitchRole, THREAD_WIDTH};
use crate::formats::dst::route::{NeedlePoint, Way};
use geo::Coord;
use hoopwright_geometry::measure::distance;

/// The side of a cell in mm.
const CELL: f64 = THREAD_WIDTH / 2.0;
/// Thread is laid down at steps of this, in mm.
const STEP: f64 = 0.1;
/// And so far to both sides of its middle, in mm: within its edge by a quarter of a cell, so that none is
/// covered that it only touches.
const BESIDE: f64 = 0.15;
/// Loose or travelling thread is looked at in steps of this, in mm.
const LOOK: f64 = 0.2;
/// A hole in the cover shorter than this, in mm, shows no thread: what lies between two rows.
const HOLE: f64 = 0.3;

/// A place of travel, asked whether anything covers it.
struct Look {
    at: Coord<f64>,
    /// The number of the travel's needle point: what covers comes later.
    needle: usize,
    /// Whether the travel begins here.
    first: bool,
    /// Whether it is sewn over cover of its own thread, on which it does not show.
    on_its_own: bool,
}

/// The longest stretch of travel that is neither trimmed nor covered, in mm: jumps that are not cut,
/// and sewn travel that is not sewn over cover of the same thread.
pub(super) fn take(points: &NeedlePoints<'_>, limits: &Limits) -> Measurement {
    let limit = limits.of(Measure::Tails);
    let Some(bounds) = points.bounds() else {
        return Measurement::worst(Measure::Tails, limit, []);
    };
    // Of each cell the number, from 1, of the last needle point whose stitch covers it.
    let mut cloth: Cloth<u32> = Cloth::new(bounds, points.corner(), CELL);
    let thread = |number: u32| {
        let needle = points.all.get((number as usize).checked_sub(1)?)?;
        let object = points.design.objects.get(needle.object)?;
        Some(object.thread)
    };
    let mut looks: Vec<Look> = Vec::new();
    let mut travels = false;
    for (i, pair) in points.all.windows(2).enumerate() {
        let (from, to) = (&pair[0], &pair[1]);
        if travel(to) {
            let own = points.design.objects.get(to.object).map(|o| o.thread);
            let count = (distance(from.at, to.at) / LOOK).ceil().max(1.0);
            for part in 0..count as usize {
                let at = from.at + (to.at - from.at) * ((part as f64 + 0.5) / count);
                let beneath = cloth.get(cloth.cell(at));
                looks.push(Look {
                    at,
                    needle: i + 1,
                    first: !travels && part == 0,
                    on_its_own: to.way == Way::Sewn && beneath > 0 && thread(beneath) == own,
                });
            }
        } else if to.way == Way::Sewn && to.role == StitchRole::Cover {
            lay(
                &mut cloth,
                from.at,
                to.at,
                u32::try_from(i + 2).unwrap_or(u32::MAX),
            );
        }
        travels = travel(to);
    }
    let spots = bare_stretches(&looks, |look| {
        !look.on_its_own && cloth.get(cloth.cell(look.at)) as usize <= look.needle + 1
    });
    let spots = spots.into_iter().map(|stretch| {
        let middle = &looks[(stretch.start + stretch.end) / 2];
        Spot {
            value: stretch.len() as f64 * LOOK,
            at: Some(middle.at),
            object: points.all.get(middle.needle).map(|needle| needle.object),
        }
    });
    Measurement::worst(Measure::Tails, limit, spots)
}

fn travel(to: &NeedlePoint) -> bool {
    to.way == Way::Carried || (to.way == Way::Sewn && to.role == StitchRole::Travel)
}

/// Stretches of one travel that are bare, short holes in the cover left aside.
fn bare_stretches(looks: &[Look], bare: impl Fn(&Look) -> bool) -> Vec<std::ops::Range<usize>> {
    let least = (HOLE / LOOK).ceil() as usize;
    let mut found = Vec::new();
    let mut begun = None;
    for (i, look) in looks.iter().enumerate() {
        if look.first || !bare(look) {
            found.extend(begun.take().map(|start| start..i));
        }
        if begun.is_none() && bare(look) {
            begun = Some(i);
        }
    }
    found.extend(begun.map(|start| start..looks.len()));
    found.retain(|stretch| stretch.len() >= least);
    found
}

/// Lays a stitch down on the cloth.
fn lay(cloth: &mut Cloth<u32>, from: Coord<f64>, to: Coord<f64>, number: u32) {
    let length = distance(from, to);
    if length <= 0.0 {
        return;
    }
    let along = (to - from) / length;
    let aside = Coord {
        x: -along.y * BESIDE,
        y: along.x * BESIDE,
    };
    let steps = (length / STEP).ceil().max(1.0) as usize;
    for step in 0..=steps {
        let middle = from + (to - from) * (step as f64 / steps as f64);
        for at in [middle - aside, middle, middle + aside] {
            let cell = cloth.cell(at);
            if let Some(top) = cloth.get_mut(cell) {
                *top = number;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Design, StitchList};
    use crate::report::designs::{self, at, lay_rows, manual};

    fn longest(design: &Design) -> f64 {
        let points = designs::points(design);
        take(&points, &Limits::default()).value.expect("taken")
    }

    fn jumped(list: &mut StitchList, length: f64) {
        list.needle(StitchRole::Cover, at(0., 0.));
        list.needle(StitchRole::Cover, at(2., 0.));
        list.jump(at(2., length));
        list.needle(StitchRole::Cover, at(2., length));
        list.needle(StitchRole::Cover, at(4., length));
    }

    /// 2 to 3 mm of travel show (common practice): 3 mm are within the limit, 3.4 mm are not.
    #[test]
    fn a_jump_is_as_long_as_it_lies_bare() {
        for (length, over) in [(2.0, false), (3.0, false), (3.4, true), (8.0, true)] {
            let design = manual(&[("a", 0)], |_, list| jumped(list, length));
            let points = designs::points(&design);
            let taken = take(&points, &Limits::default());
            let value = taken.value.expect("taken");
            // A look at either end falls into the cells that the stitches there cover.
            assert!((length - 0.6..=length + 0.2).contains(&value), "{value}");
            assert_eq!(!taken.spots.is_empty(), over, "{length}: {value}");
        }
    }

    #[test]
    fn what_is_trimmed_is_no_tail() {
        let design = manual(&[("a", 0), ("b", 0)], |place, list| {
            let y = 30.0 * place as f64;
            if place == 1 {
                list.trim(at(0., y));
            }
            list.needle(StitchRole::Cover, at(0., y));
            list.needle(StitchRole::Cover, at(3., y));
        });
        assert_eq!(longest(&design), 0.0);
    }

    /// An object without stitches is not in the file, and nor is its trim: 17 mm lie bare.
    #[test]
    fn what_only_an_unsewn_object_would_trim_is_a_tail() {
        let design = manual(&[("a", 0), ("b", 0), ("c", 0)], |place, list| {
            let x = 10.0 * place as f64;
            if place == 1 {
                return list.trim(at(x, 0.));
            }
            list.needle(StitchRole::Cover, at(x, 0.));
            list.needle(StitchRole::Cover, at(x + 3.0, 0.));
        });
        let longest = longest(&design);
        assert!((16.0..=17.2).contains(&longest), "{longest}");
    }

    #[test]
    fn later_cover_hides_a_jump_and_earlier_cover_does_not() {
        let design = |first: &'static str| {
            let second = if first == "jump" { "fill" } else { "jump" };
            manual(&[(first, 0), (second, 1)], move |place, list| {
                if (place == 0) == (first == "jump") {
                    jumped(list, 8.0);
                } else {
                    lay_rows(list, at(0., -1.), 2, 4.0, 0.2, 50);
                }
            })
        };
        assert_eq!(longest(&design("jump")), 0.0);
        assert!(longest(&design("fill")) > 7.0);
    }

    #[test]
    fn sewn_travel_does_not_show_on_its_own_thread() {
        let design = |thread: u32| {
            manual(&[("fill", 0), ("way", thread)], |place, list| {
                if place == 0 {
                    lay_rows(list, at(0., -1.), 2, 4.0, 0.2, 50);
                } else {
                    list.trim(at(0., 3.));
                    for x in 0..5 {
                        list.needle(StitchRole::Travel, at(f64::from(x) * 2.0, 3.0));
                    }
                }
            })
        };
        assert_eq!(longest(&design(0)), 0.0);
        assert!(longest(&design(1)) > 6.0);
    }
}
