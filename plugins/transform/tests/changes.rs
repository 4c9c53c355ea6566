//! Where objects end up. Expected places were computed by hand from the settings' definitions.

use hoopwright_sdk::DirectionMark;
use hoopwright_sdk::copies::CopiesCome;
use hoopwright_sdk::geometry::geo::{line_string, polygon};
use hoopwright_sdk::prelude::*;
use hoopwright_transform::{About, Mirror, Place, Transform, description, transform};

fn design(objects: Vec<Object>) -> Design {
    Design::on_page(90., 60., objects)
}

fn box_at(id: &str, x: f64, y: f64, width: f64, height: f64) -> Object {
    let area = polygon![
        (x: x, y: y), (x: x + width, y: y), (x: x + width, y: y + height), (x: x, y: y + height)
    ];
    Object::of_region(id, &area.into())
}

/// Left, top, right, bottom.
fn edges(object: &Object) -> [f64; 4] {
    let (x, y): (Vec<f64>, Vec<f64>) = match &object.shape {
        Shape::Region(region) => {
            let ring = &region.polygons[0].outer;
            (ring.x.clone(), ring.y.clone())
        }
        Shape::Lines(lines) => (lines.paths[0].x.clone(), lines.paths[0].y.clone()),
        Shape::Manual => {
            let all: Vec<Stitch> = stitches_of(&object.stitches).collect();
            let x = all.iter().map(|s| s.at.x).collect();
            (x, all.iter().map(|s| s.at.y).collect())
        }
    };
    let least = |v: &[f64]| v.iter().copied().fold(f64::INFINITY, f64::min);
    let greatest = |v: &[f64]| v.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    [least(&x), least(&y), greatest(&x), greatest(&y)]
}

fn run(design: Design, selected: &[usize], settings: &Transform) -> Design {
    messages::take();
    transform(design, selected, settings).expect("the settings do not contradict each other")
}

fn close(a: [f64; 4], b: [f64; 4]) {
    let near = a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-9);
    assert!(near, "{a:?} is not {b:?}");
}

#[test]
fn the_other_eye() {
    let mut eye = box_at("left-eye", 20., 10., 10., 8.);
    eye.sewing.angle = Some(20.0);
    eye.sewing.start = Some(Point { x: 21., y: 11. });
    eye.sewing.direction_marks = vec![DirectionMark {
        tail: Point { x: 22., y: 12. },
        head: Point { x: 24., y: 13. },
    }];
    eye.tags = vec!["eye".to_owned()];
    let pupil = box_at("left-pupil", 24., 12., 3., 3.);
    let before = design(vec![eye, box_at("beak", 40., 20., 10., 10.), pupil]);
    let settings = Transform {
        mirror: Mirror::LeftRight,
        about: About::Page,
        keep_original: true,
        ..Transform::default()
    };
    let after = run(before.clone(), &[0, 2], &settings);
    let ids: Vec<&str> = after.objects.iter().map(|o| o.id.as_str()).collect();
    assert_eq!(
        ids,
        [
            "left-eye",
            "left-eye-copy",
            "beak",
            "left-pupil",
            "left-pupil-copy"
        ]
    );
    assert_eq!(after.objects[0], before.objects[0]);
    assert_eq!(after.objects[2], before.objects[1]);
    let copy = &after.objects[1];
    // The page's middle lies at 45.
    assert_eq!(edges(copy), [60., 10., 70., 18.]);
    assert!((copy.sewing.angle.unwrap_or_default() - 160.0).abs() < 1e-9);
    assert_eq!(copy.sewing.start, Some(Point { x: 69., y: 11. }));
    assert_eq!(
        copy.sewing.direction_marks[0].head,
        Point { x: 66., y: 13. }
    );
    assert_eq!(copy.tags, ["eye", "copy"]);

    let last = Transform {
        copies_come: CopiesCome::AfterAll,
        copy_tag: String::new(),
        ..settings
    };
    let after = run(before, &[0, 2], &last);
    let ids: Vec<&str> = after.objects.iter().map(|o| o.id.as_str()).collect();
    assert_eq!(
        ids,
        [
            "left-eye",
            "beak",
            "left-pupil",
            "left-eye-copy",
            "left-pupil-copy"
        ]
    );
    assert_eq!(after.objects[3].tags, ["eye"]);
}

#[test]
fn each_has_its_own_centre_and_a_group_has_one() {
    let two = || {
        design(vec![
            box_at("a", 0., 0., 10., 4.),
            box_at("b", 20., 0., 10., 4.),
        ])
    };
    let turn = |about| Transform {
        turn: 90.0,
        about,
        point: Place { x: 0.0, y: 0.0 },
        ..Transform::default()
    };
    let each = run(two(), &[0, 1], &turn(About::Each));
    close(edges(&each.objects[0]), [3., -3., 7., 7.]);
    close(edges(&each.objects[1]), [23., -3., 27., 7.]);
    // About (15, 2), right goes up: what lay at 0 to 10 lies at 7 to 17 below.
    let group = run(two(), &[0, 1], &turn(About::Group));
    close(edges(&group.objects[0]), [13., 7., 17., 17.]);
    close(edges(&group.objects[1]), [13., -13., 17., -3.]);
    let point = run(two(), &[1], &turn(About::Point));
    close(edges(&point.objects[1]), [0., -30., 4., -20.]);
    assert_eq!(point.objects[0], two().objects[0]);
}

#[test]
fn scaled_mirrored_turned_moved_in_this_order() {
    let settings = Transform {
        scale_across: 200.0,
        mirror: Mirror::LeftRight,
        turn: 90.0,
        move_right: 100.0,
        about: About::Point,
        ..Transform::default()
    };
    let done = run(design(vec![box_at("a", 1., 0., 2., 1.)]), &[0], &settings);
    // Scaled: x 2 to 6. Mirrored: x -6 to -2. Turned: y 2 to 6, x 0 to 1. Moved: x 100 to 101.
    close(edges(&done.objects[0]), [100., 2., 101., 6.]);
}

#[test]
fn a_slanted_mirror_swaps_across_its_line() {
    let settings = Transform {
        mirror: Mirror::Slanted,
        mirror_line: -45.0,
        about: About::Point,
        ..Transform::default()
    };
    // The line goes down to the right: x and y change places.
    let done = run(design(vec![box_at("a", 1., 5., 2., 1.)]), &[0], &settings);
    close(edges(&done.objects[0]), [5., 1., 6., 3.]);
    let level = Transform {
        mirror: Mirror::TopBottom,
        about: About::Page,
        ..Transform::default()
    };
    let done = run(design(vec![box_at("a", 1., 5., 2., 1.)]), &[0], &level);
    close(edges(&done.objects[0]), [1., 54., 3., 55.]);
}

#[test]
fn a_size_counts_the_stroke_which_grows_by_the_mean() {
    let line = line_string![(x: 10., y: 10.), (x: 30., y: 20.)];
    let before = || design(vec![Object::of_line("vein", &line, 2.0)]);
    let measured = |object: &Object| {
        let Shape::Lines(lines) = &object.shape else {
            panic!("it stays a line")
        };
        let [left, top, right, bottom] = edges(object);
        (right - left + lines.width, bottom - top + lines.width)
    };
    // 22 x 12 mm: to 44 mm wide in proportion is to 24 mm high.
    let width = Transform {
        width: Some(44.0),
        ..Transform::default()
    };
    let (w, h) = measured(&run(before(), &[0], &width).objects[0]);
    assert!(
        (w - 44.0).abs() < 1e-6 && (h - 24.0).abs() < 1e-6,
        "{w} {h}"
    );
    let both = Transform {
        height: Some(30.0),
        ..width
    };
    let (w, h) = measured(&run(before(), &[0], &both).objects[0]);
    assert!(
        (w - 44.0).abs() < 1e-6 && (h - 30.0).abs() < 1e-6,
        "{w} {h}"
    );
}

#[test]
fn a_size_of_something_sewn_is_that_of_its_thread() {
    let mut list = StitchList::new();
    for x in [0., 4., 8.] {
        list.needle(StitchRole::Cover, Coord { x, y: x / 2.0 });
    }
    let mut object = Object::new("hand", Shape::Manual);
    object.stitches = list.into_blocks();
    let settings = Transform {
        width: Some(16.4),
        ..Transform::default()
    };
    let done = run(design(vec![object]), &[0], &settings);
    let [left, _, right, _] = edges(&done.objects[0]);
    // The thread is 0.4 mm wide before and after.
    assert!((right - left - 16.0).abs() < 1e-6);
}

#[test]
fn what_has_no_width_cannot_be_scaled_to_one() {
    let line = line_string![(x: 10., y: 10.), (x: 10., y: 20.)];
    let before = design(vec![Object::of_line("hair", &line, 0.0)]);
    let settings = Transform {
        width: Some(5.0),
        about: About::Each,
        ..Transform::default()
    };
    assert_eq!(run(before.clone(), &[0], &settings), before);
    let findings = messages::take();
    assert_eq!(findings[0].severity, Severity::Warning);
    assert_eq!(findings[0].object.as_deref(), Some("hair"));
}

#[test]
fn stitches_that_leave_what_can_be_sewn_are_told() {
    let mut list = StitchList::new();
    for x in [0., 4., 5., 11., 11.5] {
        list.needle(StitchRole::Cover, Coord { x, y: 0. });
    }
    list.jump(Coord { x: 40., y: 0. });
    list.needle(StitchRole::Cover, Coord { x: 40., y: 0. });
    let mut object = Object::new("hand", Shape::Manual);
    object.stitches = list.into_blocks();
    let scaled = |percent| Transform {
        scale_across: percent,
        scale_down: percent,
        ..Transform::default()
    };
    let before = || design(vec![object.clone()]);
    run(before(), &[0], &scaled(110.0));
    assert!(messages::take().is_empty(), "all can still be sewn");
    // 6 mm become 15; the jump is no stitch.
    run(before(), &[0], &scaled(250.0));
    let words = messages::take().remove(0).message;
    assert!(
        words.contains("1 became too long for one stitch, the longest 15.0 mm"),
        "{words}"
    );
    // 1 becomes 0.4 and 0.5 becomes 0.2.
    run(before(), &[0], &scaled(40.0));
    let words = messages::take().remove(0).message;
    assert!(
        words.contains("2 of its stitches became too short to sew, the shortest 0.20"),
        "{words}"
    );
}

#[test]
fn percent_and_size_at_once_are_refused() {
    let settings = Transform {
        width: Some(5.0),
        scale_down: 50.0,
        ..Transform::default()
    };
    let refused = transform(design(vec![box_at("a", 0., 0., 1., 1.)]), &[0], &settings);
    assert!(refused.expect_err("it contradicts itself").help.is_some());
}

#[test]
fn nothing_selected_and_nothing_asked_are_notes() {
    let before = design(vec![
        box_at("a", 0., 0., 1., 1.),
        Object::new("b", Shape::Manual),
    ]);
    let turn = Transform {
        turn: 10.0,
        ..Transform::default()
    };
    for (selected, settings) in [
        (&[][..], &turn),
        (&[1][..], &turn),
        (&[0][..], &Transform::default()),
    ] {
        assert_eq!(run(before.clone(), selected, settings), before);
        let findings = messages::take();
        assert!(!findings.is_empty());
        assert!(
            findings
                .iter()
                .all(|finding| finding.severity == Severity::Note)
        );
    }
}

#[test]
fn every_setting_has_a_description() {
    let schema: hoopwright_sdk::serde_json::Value =
        hoopwright_sdk::serde_json::from_str(&description().settings_schema).expect("it is JSON");
    let properties = schema["properties"].as_object().expect("it has settings");
    assert_eq!(properties.len(), 15);
    for (name, property) in properties {
        assert!(property["description"].is_string(), "{name}");
    }
}
