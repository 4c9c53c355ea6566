//! Which order needs the fewest trims. That a trim costs about 7 seconds, and that thread carried
//! beneath what is sewn later saves it, is trade practice; the numbers follow from the shapes by hand.

mod designs;

use designs::{box_at, design, ids, line_at, square};
use hoopwright_sdk::prelude::*;
use hoopwright_sew_order::{Plan, SewOrder, plan, sew_order};

fn planned(objects: Vec<Object>, settings: &SewOrder) -> (Vec<String>, Plan) {
    let before = design(objects);
    let selected: Vec<usize> = (0..before.objects.len()).collect();
    let plan = plan(&before, &selected, settings);
    let done = sew_order(before, &selected, settings).expect("any design can be ordered");
    (ids(&done).into_iter().map(str::to_owned).collect(), plan)
}

/// A large square with four small ones at its corners, all of one thread, 20 mm apart.
fn large_with_small_ones() -> Vec<Object> {
    vec![
        box_at("large", 0, 10., 10., 20.),
        box_at("small 1", 0, 6., 6., 4.),
        box_at("small 2", 0, 30., 6., 4.),
        box_at("small 3", 0, 6., 30., 4.),
        box_at("small 4", 0, 30., 30., 4.),
    ]
}

#[test]
fn small_things_on_a_large_one_of_their_thread_come_before_it() {
    let (order, plan) = planned(large_with_small_ones(), &SewOrder::default());
    // As drawn: from the large one to a corner is no way, but each further corner needs a trim.
    assert_eq!((plan.incoming.trims, plan.reached.trims), (3, 0));
    assert_eq!(plan.at_least.trims, 0);
    // One small one may follow the large one, which it touches.
    assert!(
        order.iter().position(|id| id == "large") >= Some(3),
        "{order:?}"
    );
}

#[test]
fn what_lies_above_a_large_one_stays_above_it_in_spite_of_trims() {
    let mut objects = large_with_small_ones();
    for (object, (x, y)) in
        objects[1..]
            .iter_mut()
            .zip([(11., 11.), (25., 11.), (11., 25.), (25., 25.)])
    {
        object.shape = Shape::Region(Region::from(&square(x, y, 4.)));
    }
    // 10 mm apart on a large one that is sewn already: three trims, and none can be saved.
    let (order, plan) = planned(objects.clone(), &SewOrder::default());
    assert_eq!(order[0], "large");
    assert_eq!(plan.reached.trims, 3);
    // A wider limit saves them.
    let wide = SewOrder {
        trim_over: 10.5,
        ..SewOrder::default()
    };
    assert_eq!(planned(objects, &wide).1.reached.trims, 0);
}

#[test]
fn travel_hides_beneath_another_thread_that_is_sewn_later() {
    // Two red squares 12 mm apart, with a blue bar that touches both between them.
    let bar = |width: f64| {
        let mut bar = line_at(
            "bar",
            1,
            (10.05 + width / 2.0, 5.),
            (21.95 - width / 2.0, 5.),
        );
        if let Shape::Lines(lines) = &mut bar.shape {
            lines.width = width;
        }
        vec![
            bar,
            box_at("red 1", 0, 0., 0., 10.),
            box_at("red 2", 0, 22., 0., 10.),
        ]
    };
    let free = SewOrder {
        outlines: hoopwright_sew_order::Outlines::Free,
        ..SewOrder::default()
    };
    let (order, plan) = planned(bar(2.0), &free);
    assert_eq!(order[2], "bar");
    assert_eq!((plan.reached.changes, plan.reached.trims), (1, 0));
    // A line finer than 1 mm hides nothing, unless the pipeline sews such as satin.
    assert_eq!(planned(bar(0.9), &free).1.reached.trims, 1);
    let finer = SewOrder {
        line_hides_from: 0.9,
        ..free.clone()
    };
    assert_eq!(planned(bar(0.9), &finer).1.reached.trims, 0);
    // Nor does anything where hidden travel is not wanted.
    let none = SewOrder {
        hidden_travel: 0.0,
        ..free
    };
    assert_eq!(planned(bar(2.0), &none).1.reached.trims, 1);
}

#[test]
fn a_gap_is_measured_between_the_shapes_and_not_their_middles() {
    // Middles 44 mm apart, edges 4: no trim, and 4 mm of travel.
    let (_, plan) = planned(
        vec![box_at("a", 0, 0., 0., 40.), box_at("b", 0, 44., 0., 40.)],
        &SewOrder::default(),
    );
    assert_eq!(plan.reached.trims, 0);
    assert!(
        (plan.reached.travel - 4.0).abs() < 1e-9,
        "{}",
        plan.reached.travel
    );
}

#[test]
fn stitches_keep_their_ends() {
    // The same two squares, sewn from left to right: from the right edge of one to the left edge of
    // the other are 4 mm one way, and 84 mm the other.
    let sewn = |id: &str, x: f64| {
        let mut object = box_at(id, 0, x, 0., 40.);
        let mut list = StitchList::new();
        list.needle(StitchRole::Cover, Coord { x, y: 0. });
        list.needle(StitchRole::Cover, Coord { x: x + 40., y: 0. });
        object.stitches = list.into_blocks();
        object
    };
    let (order, plan) = planned(vec![sewn("b", 44.), sewn("a", 0.)], &SewOrder::default());
    assert_eq!(order, ["a", "b"]);
    assert_eq!((plan.incoming.trims, plan.reached.trims), (1, 0));
    assert!(
        (plan.reached.travel - 4.0).abs() < 1e-9,
        "{}",
        plan.reached.travel
    );
}

#[test]
fn a_larger_design_reaches_the_bound_too() {
    // Six large squares 15 mm apart, each with four small ones at its corners: 30 objects, six parts.
    let mut objects = Vec::new();
    for i in 0..6u32 {
        for mut object in large_with_small_ones() {
            let by = f64::from(i) * 45.0;
            object.id = format!("{} of {i}", object.id);
            if let Shape::Region(region) = &mut object.shape {
                for x in &mut region.polygons[0].outer.x {
                    *x += by;
                }
            }
            objects.push(object);
        }
    }
    let (_, plan) = planned(objects, &SewOrder::default());
    assert_eq!((plan.reached.trims, plan.at_least.trims), (5, 5));
}
