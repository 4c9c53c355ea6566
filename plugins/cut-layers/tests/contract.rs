//! Whom the step changes and whom it leaves alone, and what it says.

mod drawings;

use drawings::{cut_with, design, disc, ids, line, object, oblong, region, size, square};
use hoopwright_cut_layers::{CutBy, CutLayers, cut_layers};
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::{Severity, messages};

fn stack() -> Vec<Object> {
    vec![
        region("ground", &square(0., 0., 60.)),
        region("middle", &square(10., 10., 40.)),
        region("top", &square(20., 20., 20.)),
    ]
}

fn sewn(mut object: Object) -> Object {
    let mut list = StitchList::new();
    list.needle(StitchRole::Cover, Coord { x: 1., y: 1. });
    object.stitches = list.into_blocks();
    object
}

#[test]
fn the_unselected_come_back_as_they_were_and_still_cut() {
    let before = design(stack());
    let after = cut_layers(before.clone(), &[0], &CutLayers::default()).expect("it works");
    assert_eq!(after.objects[1..], before.objects[1..]);
    assert!((size(&after, "ground") - (3600.0 - 38.4 * 38.4)).abs() < 0.5);
    let settings = CutLayers {
        cut_by: CutBy::Selected,
        ..CutLayers::default()
    };
    let after = cut_layers(before.clone(), &[0], &settings).expect("it works");
    assert_eq!(after, before);
    let after = cut_layers(before.clone(), &[], &CutLayers::default()).expect("it works");
    assert_eq!(after, before);
}

#[test]
fn tags_keep_an_object_whole_or_keep_it_from_cutting() {
    let mut objects = stack();
    objects[0].tags.push("whole".to_owned());
    objects[2].tags.push("sheer".to_owned());
    let settings = CutLayers {
        keep_whole: vec!["whole".to_owned()],
        never_cut: vec!["sheer".to_owned()],
        ..CutLayers::default()
    };
    let before = design(objects.clone());
    messages::take();
    assert_eq!(cut_with(objects, &settings), before);
    let told: Vec<String> = messages::take().into_iter().map(|f| f.message).collect();
    assert!(told[0].contains("1 object kept whole by tag"), "{told:?}");
}

#[test]
fn what_is_sewn_stays_with_a_warning_and_manual_objects_pass_through() {
    let hand = sewn(Object::new("hand", Shape::Manual));
    let objects = vec![
        hand.clone(),
        sewn(region("sewn", &square(0., 0., 30.))),
        region("top", &square(0., 0., 30.)),
        hand,
    ];
    let before = design(objects.clone());
    messages::take();
    assert_eq!(cut_with(objects, &CutLayers::default()), before);
    let told = messages::take();
    let warning = told.iter().find(|f| f.severity == Severity::Warning);
    let warning = warning.expect("a warning");
    assert!(warning.message.contains("\"sewn\""), "{}", warning.message);
    assert!(
        warning
            .help
            .as_deref()
            .is_some_and(|help| help.contains("before"))
    );
}

#[test]
fn cutting_twice_changes_nothing() {
    let mut objects = stack();
    objects.push(region("sun", &disc(60., 30., 12.)));
    objects.push(line("branch", &[(0., 5.), (70., 55.)], 3.0));
    objects.push(region("leaf", &oblong(5., 3., 20., 9.)));
    let once = cut_with(objects, &CutLayers::default());
    assert_ne!(once.objects[0], design(stack()).objects[0]);
    let twice = cut_with(once.objects.clone(), &CutLayers::default());
    assert_eq!(twice, once);
}

#[test]
fn shapes_without_area_and_numbers_that_are_none_pass_through() {
    let nothing = Shape::Region(Region {
        polygons: Vec::new(),
    });
    let objects = vec![
        Object::new("nothing", nothing),
        line("dot", &[(5., 5.), (5., 5.)], 1.0),
        line("lost", &[(5., f64::NAN), (5., 5.)], 1.0),
        line("far", &[(0., 0.), (1e300, 5.)], 2.0),
        region("flat", &oblong(0., 0., 10., 0.)),
        region("giant", &oblong(-1e12, 0., 2e12, 10.)),
        region(
            "bow",
            &geo::Polygon::new(vec![(0., 0.), (9., 9.), (9., 0.), (0., 9.)].into(), vec![]).into(),
        ),
        region("top", &square(1., 1., 4.)),
    ];
    let cut = cut_with(objects, &CutLayers::default());
    assert!(ids(&cut).contains(&"nothing"));
    assert!(ids(&cut).contains(&"top"));
    assert_eq!(
        object(&cut, "far"),
        &line("far", &[(0., 0.), (1e300, 5.)], 2.0)
    );
}

#[test]
fn selected_places_that_do_not_exist_are_passed_over() {
    let before = design(stack());
    let after = cut_layers(before.clone(), &[7, 99], &CutLayers::default()).expect("it works");
    assert_eq!(after, before);
}
