//! Too many trims, against the fewest that the parts of the design need and for 1000 stitches; and
//! cuts that nobody planned.

use super::hanging_together;
use super::measure::{Limit, Limits, Measure};
use super::measurement::{Measurement, Spot};
use super::needle_points::NeedlePoints;
use crate::formats::dst::Route;
use crate::formats::dst::route::Way;
use std::collections::BTreeMap;

/// Trims beyond those that every further part of each block of one thread needs.
pub(super) fn extra(points: &NeedlePoints<'_>, route: &Route, limits: &Limits) -> Measurement {
    if !points.shapes && !points.all.is_empty() {
        let why = "no object has a shape that would tell what hangs together";
        return Measurement::not(Measure::ExtraTrims, why);
    }
    let fewest = hanging_together::fewest_trims(points);
    let trims = route.trims();
    let extra = trims.saturating_sub(fewest) as f64;
    let limit = limits.of(Measure::ExtraTrims);
    let mut taken = Measurement::whole(Measure::ExtraTrims, limit, extra)
        .remark(format!("{trims} trims; the parts need {fewest}"));
    let most = most_trimmed(points);
    for spot in &mut taken.spots {
        spot.object = most;
    }
    taken
}

/// Trims for 1000 stitches.
pub(super) fn rate(route: &Route, limits: &Limits) -> Measurement {
    let stitches = route.stitches();
    let rate = 1000.0 * route.trims() as f64 / stitches.max(1) as f64;
    let limit = limits.of(Measure::TrimRate);
    // A few stitches alone tell nothing about a rate.
    let taken = Measurement::whole(Measure::TrimRate, limit, rate);
    taken.remark(format!("{} trims, {stitches} stitches", route.trims()))
}

/// The object inside which, or before which, the thread is cut most often; none where none is cut
/// more than once.
fn most_trimmed(points: &NeedlePoints<'_>) -> Option<usize> {
    let mut cuts = vec![0usize; points.design.objects.len()];
    for needle in &points.all {
        if matches!(needle.way, Way::Cut | Way::CutByLength) {
            cuts[needle.object] += 1;
        }
    }
    let spots = cuts.iter().enumerate().map(|(object, &cuts)| Spot {
        value: cuts as f64,
        at: None,
        object: Some(object),
    });
    let most = spots.reduce(|a, b| if b.value > a.value { b } else { a })?;
    most.object.filter(|_| most.value > 1.0)
}

/// Ways that were not to be cut, but need so many jumps that the machine cuts the thread there,
/// which nothing has tied.
pub(super) fn unplanned(points: &NeedlePoints<'_>, limits: &Limits) -> Measurement {
    let mut cuts: BTreeMap<usize, Spot> = BTreeMap::new();
    for needle in &points.all {
        if needle.way == Way::CutByLength {
            let spot = cuts.entry(needle.object).or_insert(Spot {
                value: 0.0,
                at: Some(needle.at),
                object: Some(needle.object),
            });
            spot.value += 1.0;
        }
    }
    let total = cuts.values().map(|spot| spot.value).sum();
    let limit: Limit = limits.of(Measure::UnplannedCuts);
    let mut taken = Measurement::worst(Measure::UnplannedCuts, limit, cuts.into_values());
    taken.value = Some(total);
    taken
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Object, StitchList, StitchRole};
    use crate::formats::dst::Machine;
    use crate::report::designs::{self, at, manual, of};
    use geo::{MultiPolygon, Rect};

    fn part(id: &str, x: f64) -> Object {
        let rect = Rect::new(at(x, 0.), at(x + 4.0, 4.0));
        let area = MultiPolygon::new(vec![rect.to_polygon()]);
        let mut object = Object::of_region(id, &area);
        let mut list = StitchList::new();
        list.trim(at(x, 0.));
        list.needle(StitchRole::Cover, at(x, 0.));
        list.needle(StitchRole::Cover, at(x + 4.0, 0.));
        object.stitches = list.into_blocks();
        object
    }

    fn taken(xs: &[f64]) -> [Measurement; 2] {
        let ids: Vec<String> = (0..xs.len()).map(|i| format!("o{i}")).collect();
        let parts = ids.iter().zip(xs).map(|(id, &x)| part(id, x));
        let design = of(parts.collect());
        let machine = Machine::default();
        let (route, _) = Route::plan(&design, &machine).expect("sound");
        let points = NeedlePoints::of(&design, &route);
        let limits = Limits::default();
        [extra(&points, &route, &limits), rate(&route, &limits)]
    }

    #[test]
    fn parts_that_lie_apart_need_their_trims_and_touching_ones_do_not() {
        assert_eq!(taken(&[0., 10., 20.])[0].value, Some(0.0));
        assert_eq!(taken(&[0., 4., 8.])[0].value, Some(2.0));
        assert_eq!(taken(&[0., 4.2, 20.])[0].value, Some(1.0));
    }

    /// Two trims, six stitches.
    #[test]
    fn the_rate_is_of_a_thousand_stitches() {
        let [_, rate] = taken(&[0., 10., 20.]);
        assert_eq!(rate.value, Some(1000.0 * 2.0 / 6.0));
        assert_eq!(rate.spots.len(), 1);
    }

    /// Three jumps cut the thread on most machines: a way of three moves of at most 12.1 mm is
    /// jumped twice and sewn once; one of four is cut.
    #[test]
    fn a_long_way_is_cut_unplanned() {
        for (length, cuts) in [(36.3, 0.0), (36.4, 1.0)] {
            let design = manual(&[("a", 0)], |_, list| {
                list.needle(StitchRole::Cover, at(0., 0.));
                list.needle(StitchRole::Cover, at(2., 0.));
                list.jump(at(2. + length, 0.));
                list.needle(StitchRole::Cover, at(2. + length, 0.));
            });
            let points = designs::points(&design);
            let taken = unplanned(&points, &Limits::default());
            assert_eq!(taken.value, Some(cuts), "{length}");
        }
    }
}
