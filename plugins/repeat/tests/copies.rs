//! Where copies end up. Expected places were computed by hand from the settings' definitions.

use hoopwright_repeat::{Arrangement, Between, Place, Repeat, RoundWhat, description, repeat};
use hoopwright_sdk::bounds::Bounds;
use hoopwright_sdk::copies::CopiesCome;
use hoopwright_sdk::geometry::geo::polygon;
use hoopwright_sdk::prelude::*;
use proptest::prelude::*;
use std::collections::BTreeSet;

fn design(objects: Vec<Object>) -> Design {
    Design::on_page(100., 100., objects)
}

fn box_at(id: &str, x: f64, y: f64, width: f64, height: f64) -> Object {
    let area = polygon![
        (x: x, y: y), (x: x + width, y: y), (x: x + width, y: y + height), (x: x, y: y + height)
    ];
    Object::of_region(id, &area.into())
}

fn corner(object: &Object) -> [f64; 2] {
    let bounds = Bounds::as_drawn(object).expect("it has a shape");
    [bounds.across.least, bounds.down.least]
}

fn middle(object: &Object) -> Coord<f64> {
    Bounds::as_drawn(object).expect("it has a shape").centre()
}

fn run(design: Design, selected: &[usize], settings: &Repeat) -> Design {
    messages::take();
    repeat(design, selected, settings).expect("few enough and near enough")
}

fn near(a: Coord<f64>, x: f64, y: f64) {
    assert!(
        (a.x - x).abs() < 1e-9 && (a.y - y).abs() < 1e-9,
        "{a:?} is not {x} {y}"
    );
}

#[test]
fn badges_with_free_cloth_between_their_edges() {
    let before = design(vec![
        box_at("badge", 10., 10., 20., 8.),
        box_at("other", 0., 0., 1., 1.),
        box_at("name", 12., 12., 5., 2.),
    ]);
    let settings = Repeat {
        rows: 2,
        columns: 3,
        across: 5.0,
        down: 2.0,
        ..Repeat::default()
    };
    let done = run(before.clone(), &[0, 2], &settings);
    let told: Vec<(&str, [f64; 2])> = done
        .objects
        .iter()
        .map(|object| (object.id.as_str(), corner(object)))
        .collect();
    assert_eq!(
        told,
        [
            ("badge", [10., 10.]),
            ("badge-row-1-column-2", [35., 10.]),
            ("badge-row-1-column-3", [60., 10.]),
            ("badge-row-2-column-1", [10., 20.]),
            ("badge-row-2-column-2", [35., 20.]),
            ("badge-row-2-column-3", [60., 20.]),
            ("other", [0., 0.]),
            ("name", [12., 12.]),
            ("name-row-1-column-2", [37., 12.]),
            ("name-row-1-column-3", [62., 12.]),
            ("name-row-2-column-1", [12., 22.]),
            ("name-row-2-column-2", [37., 22.]),
            ("name-row-2-column-3", [62., 22.]),
        ]
    );
    let wholes = Repeat {
        copies_come: CopiesCome::AfterAll,
        ..settings
    };
    let done = run(before, &[0, 2], &wholes);
    let ids: Vec<&str> = done.objects.iter().map(|o| o.id.as_str()).take(6).collect();
    assert_eq!(
        ids,
        [
            "badge",
            "other",
            "name",
            "badge-row-1-column-2",
            "name-row-1-column-2",
            "badge-row-1-column-3"
        ]
    );
}

#[test]
fn bricks_by_their_pitch_to_the_left_and_up() {
    let settings = Repeat {
        rows: 2,
        columns: 2,
        across: -10.0,
        down: -6.0,
        between: Between::Centres,
        row_shift: 50.0,
        ..Repeat::default()
    };
    let done = run(
        design(vec![box_at("brick", 50., 50., 8., 4.)]),
        &[0],
        &settings,
    );
    let corners: Vec<[f64; 2]> = done.objects.iter().map(corner).collect();
    assert_eq!(corners, [[50., 50.], [40., 50.], [45., 44.], [35., 44.]]);
}

#[test]
fn petals_are_turned_anticlockwise_and_hours_stay_upright() {
    let mut petal = box_at("petal", 70., 48., 20., 4.);
    petal.sewing.angle = Some(0.0);
    let settings = Repeat {
        arrangement: Arrangement::Round,
        count: 4,
        ..Repeat::default()
    };
    let done = run(design(vec![petal]), &[0], &settings);
    let ids: Vec<&str> = done.objects.iter().map(|o| o.id.as_str()).collect();
    assert_eq!(
        ids,
        ["petal", "petal-2-of-4", "petal-3-of-4", "petal-4-of-4"]
    );
    // The page's middle is (50, 50): right, up, left, down.
    near(middle(&done.objects[1]), 50., 20.);
    near(middle(&done.objects[2]), 20., 50.);
    near(middle(&done.objects[3]), 50., 80.);
    assert_eq!(corner(&done.objects[1]), [48., 10.]);
    assert_eq!(done.objects[1].sewing.angle, Some(90.0));

    let upright = Repeat {
        turned: false,
        ..settings
    };
    let done = run(
        design(vec![box_at("hour", 70., 48., 20., 4.)]),
        &[0],
        &upright,
    );
    near(middle(&done.objects[1]), 50., 20.);
    assert_eq!(corner(&done.objects[1]), [40., 18.]);
}

#[test]
fn a_radius_moves_the_original_and_a_sweep_ends_at_its_angle() {
    let settings = Repeat {
        arrangement: Arrangement::Round,
        count: 3,
        sweep: -180.0,
        round_what: RoundWhat::Point,
        point: Place { x: 10.0, y: 10.0 },
        radius: Some(30.0),
        ..Repeat::default()
    };
    let done = run(
        design(vec![box_at("leaf", 8., 3., 4., 4.)]),
        &[0],
        &settings,
    );
    near(middle(&done.objects[0]), 10., -20.);
    near(middle(&done.objects[1]), 40., 10.);
    near(middle(&done.objects[2]), 10., 40.);
    // What lies on the centre goes straight up.
    let done = run(
        design(vec![box_at("leaf", 8., 8., 4., 4.)]),
        &[0],
        &settings,
    );
    near(middle(&done.objects[0]), 10., -20.);
}

#[test]
fn a_gap_is_measured_between_threads_where_there_are_stitches() {
    let mut list = StitchList::new();
    for x in [0., 4., 8.] {
        list.needle(StitchRole::Cover, Coord { x, y: x / 2.0 });
    }
    let mut object = Object::new("hand", Shape::Manual);
    object.stitches = list.into_blocks();
    let settings = Repeat {
        across: 1.0,
        ..Repeat::default()
    };
    let done = run(design(vec![object]), &[0], &settings);
    let first = stitches_of(&done.objects[1].stitches)
        .next()
        .expect("it is sewn");
    // 8 mm and half a thread on each side, and 1 mm.
    assert!((first.at.x - 9.4).abs() < 1e-9);
}

#[test]
fn copies_on_one_spot_are_warned_of() {
    let settings = Repeat {
        across: 0.0,
        between: Between::Centres,
        ..Repeat::default()
    };
    run(design(vec![box_at("a", 0., 0., 1., 1.)]), &[0], &settings);
    assert_eq!(messages::take()[0].severity, Severity::Warning);
}

#[test]
fn too_many_and_too_far_are_refused_and_nothing_is_a_note() {
    let many = Repeat {
        rows: 100,
        columns: 100,
        ..Repeat::default()
    };
    let objects = (0..3)
        .map(|i| box_at(&format!("o{i}"), 0., 0., 1., 1.))
        .collect();
    let refused = repeat(design(objects), &[0, 1, 2], &many).expect_err("too many");
    assert!(refused.message.contains("29997"), "{refused:?}");
    let far = Repeat {
        columns: 100,
        across: 2000.0,
        ..Repeat::default()
    };
    let refused = repeat(design(vec![box_at("a", 0., 0., 1., 1.)]), &[0], &far);
    assert_eq!(refused.expect_err("too far").object.as_deref(), Some("a"));
    let before = design(vec![Object::new("nothing", Shape::Manual)]);
    assert_eq!(run(before.clone(), &[0], &Repeat::default()), before);
    assert_eq!(messages::take()[0].severity, Severity::Note);
}

#[test]
fn every_setting_has_a_description() {
    let schema: hoopwright_sdk::serde_json::Value =
        hoopwright_sdk::serde_json::from_str(&description().settings_schema).expect("it is JSON");
    let properties = schema["properties"].as_object().expect("it has settings");
    assert_eq!(properties.len(), 16);
    for (name, property) in properties {
        assert!(property["description"].is_string(), "{name}");
    }
}

proptest! {
    /// Whatever is asked for: originals in a grid and all that is not selected stay, ids are
    /// unique, and the same is given twice.
    #[test]
    fn the_unselected_stay_and_ids_are_unique(
        chosen in prop::collection::vec(any::<bool>(), 1..6), rows in 1u32..5, columns in 1u32..5,
        count in 1u32..9, sweep in -360.0..360.0f64, round in any::<bool>(), turned in any::<bool>(),
        all in any::<bool>(), radius in prop::option::of(0.0..90.0f64), shift in -100.0..100.0f64,
    ) {
        let id = |i: usize| if i.is_multiple_of(2) { format!("o{i}") } else { format!("o{}-2-of-3", i - 1) };
        let objects = (0..chosen.len()).map(|i| box_at(&id(i), i as f64, 3., 9., 2.));
        let before = design(objects.collect());
        let selected: Vec<usize> = (0..chosen.len()).filter(|&i| chosen[i]).collect();
        let settings = Repeat {
            arrangement: if round { Arrangement::Round } else { Arrangement::Grid },
            copies_come: if all { CopiesCome::AfterAll } else { CopiesCome::AfterEach },
            rows, columns, count, sweep, turned, radius, row_shift: shift,
            ..Repeat::default()
        };
        let done = run(before.clone(), &selected, &settings);
        prop_assert_eq!(&run(before.clone(), &selected, &settings), &done);
        let copies = if round { count } else { rows * columns } as usize - 1;
        prop_assert_eq!(done.objects.len(), before.objects.len() + copies * selected.len());
        let ids: BTreeSet<&str> = done.objects.iter().map(|object| object.id.as_str()).collect();
        prop_assert_eq!(ids.len(), done.objects.len());
        let olds: Vec<&Object> = done.objects.iter().filter(|o| before.objects.iter().any(|old| old.id == o.id)).collect();
        prop_assert_eq!(olds.len(), before.objects.len());
        for (i, (old, now)) in before.objects.iter().zip(olds).enumerate() {
            if round && selected.contains(&i) {
                prop_assert_eq!(&old.id, &now.id);
            } else {
                prop_assert_eq!(old, now);
            }
        }
        // All round, copies lie as far from the centre as the original, and each from the next.
        if round && selected == [0] {
            let centre = Coord { x: 50., y: 50. };
            let far = |o: &Object| {
                let ring = match &o.shape { Shape::Region(r) => r.polygons[0].outer.clone(), _ => Polyline::new([], true) };
                let all: Vec<Coord<f64>> = ring.corners().collect();
                let sum = all.iter().fold(Coord { x: 0., y: 0. }, |a, b| a + *b) / all.len() as f64;
                geometry::measure::distance(sum, centre)
            };
            let first = far(&done.objects[0]);
            for copy in &done.objects[..=copies] {
                prop_assert!((far(copy) - first).abs() < 1e-6);
            }
        }
    }
}
