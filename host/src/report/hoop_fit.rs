//! Room: whether the machine's field and its hoops hold the design.

use super::measure::{Limits, Measure};
use super::measurement::Measurement;
use crate::formats::dst::record::UNITS_PER_MM;
use crate::formats::dst::{Machine, MachineHoop, Route};

/// How far the design reaches beyond the machine's field. The start point is taken to be the
/// field's middle.
pub(super) fn field(route: &Route, machine: &Machine, limits: &Limits) -> Measurement {
    let Some(field) = machine.field else {
        return Measurement::not(Measure::Field, "the machine's profile tells no field");
    };
    let beyond = beyond(route, [field.width / 2.0, field.height / 2.0]);
    Measurement::whole(Measure::Field, limits.of(Measure::Field), beyond)
}

/// How far the design reaches into the margin of the hoop that it fits best. The start point is
/// taken to be the hoop's middle.
pub(super) fn hoop_margin(route: &Route, machine: &Machine, limits: &Limits) -> Measurement {
    let over = machine.hoops.iter().map(|hoop| {
        let room = hoop.hoop().room(hoop.margin);
        (beyond(route, room), hoop)
    });
    // Of hoops that fit equally well the smallest: it holds the cloth best (common practice).
    let best = over.min_by(|a, b| {
        let area = |hoop: &MachineHoop| hoop.width * hoop.height;
        a.0.total_cmp(&b.0).then(area(a.1).total_cmp(&area(b.1)))
    });
    let Some((beyond, hoop)) = best else {
        return Measurement::not(Measure::HoopMargin, "the machine's profile tells no hoops");
    };
    Measurement::whole(Measure::HoopMargin, limits.of(Measure::HoopMargin), beyond).remark(format!(
        "the smallest hoop that fits best is \"{}\", {} x {} mm with a margin of {} mm",
        hoop.name, hoop.width, hoop.height, hoop.margin
    ))
}

/// How far the hoop moves beyond `half` the room it has, in mm along an axis.
fn beyond(route: &Route, half: [f64; 2]) -> f64 {
    let extents = &route.extents;
    let mm = |a: u32, b: u32| f64::from(a.max(b)) / UNITS_PER_MM;
    let across = mm(extents.left, extents.right) - half[0];
    let along = mm(extents.up, extents.down) - half[1];
    across.max(along).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::StitchRole;
    use crate::formats::dst::Field;
    use crate::report::designs::{at, manual};

    /// Two threads, 60 x 40 mm around the start point.
    fn points(machine: &Machine) -> (crate::design::Design, Route) {
        let design = manual(&[("a", 0), ("b", 1)], |place, list| {
            let y = 40.0 * place as f64;
            for step in 0..=20 {
                list.needle(StitchRole::Cover, at(3.0 * f64::from(step), y));
            }
        });
        let (route, _) = Route::plan(&design, machine).expect("sound");
        (design, route)
    }

    fn hoop(name: &str, width: f64, height: f64) -> MachineHoop {
        MachineHoop {
            name: name.to_owned(),
            width,
            height,
            margin: 5.0,
        }
    }

    #[test]
    fn what_fits_exactly_fits() {
        let mut machine = Machine::default();
        let limits = Limits::default();
        let (_, route) = points(&machine);
        assert!(field(&route, &machine, &limits).value.is_none());
        machine.field = Some(Field {
            width: 60.0,
            height: 40.0,
        });
        assert_eq!(field(&route, &machine, &limits).value, Some(0.0));
        machine.field = Some(Field {
            width: 59.0,
            height: 40.0,
        });
        let over = field(&route, &machine, &limits);
        assert_eq!((over.value, over.spots.len()), (Some(0.5), 1));
    }

    #[test]
    fn the_smallest_hoop_that_fits_is_named() {
        let limits = Limits::default();
        let mut machine = Machine::default();
        let (_, route) = points(&machine);
        assert!(hoop_margin(&route, &machine, &limits).value.is_none());
        machine.hoops = vec![
            hoop("large", 200.0, 200.0),
            hoop("small", 70.0, 50.0),
            hoop("tiny", 50.0, 50.0),
        ];
        let taken = hoop_margin(&route, &machine, &limits);
        assert_eq!((taken.value, taken.spots.len()), (Some(0.0), 0));
        assert!(taken.remark.is_some_and(|remark| remark.contains("small")));
        machine.hoops = vec![hoop("tiny", 50.0, 50.0)];
        let taken = hoop_margin(&route, &machine, &limits);
        // 30 mm sideways; the hoop has 25 less a margin of 5.
        assert_eq!((taken.value, taken.spots.len()), (Some(10.0), 1));
    }
}
