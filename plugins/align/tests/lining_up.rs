//! Where objects end up. Expected places were computed by hand from the settings' definitions.

use hoopwright_align::{Across, Align, Down, Frame, RelativeTo, Spread, Unit, align, description};
use hoopwright_sdk::geometry::geo::{line_string, polygon};
use hoopwright_sdk::prelude::*;

fn box_at(id: &str, x: f64, y: f64, width: f64, height: f64) -> Object {
    let area = polygon![
        (x: x, y: y), (x: x + width, y: y), (x: x + width, y: y + height), (x: x, y: y + height)
    ];
    Object::of_region(id, &area.into())
}

fn design(objects: Vec<Object>) -> Design {
    Design {
        title: "Volunteer badges".to_owned(),
        ..Design::on_page(100., 60., objects)
    }
}

/// The least and greatest corner of a region object.
fn corners(object: &Object) -> [f64; 4] {
    let Shape::Region(region) = &object.shape else {
        panic!("{} is no region", object.id)
    };
    let ring = &region.polygons[0].outer;
    let least = |v: &[f64]| v.iter().copied().fold(f64::INFINITY, f64::min);
    let greatest = |v: &[f64]| v.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    [
        least(&ring.x),
        least(&ring.y),
        greatest(&ring.x),
        greatest(&ring.y),
    ]
}

fn three() -> Design {
    design(vec![
        box_at("a", 10., 10., 10., 10.),
        box_at("b", 30., 20., 30., 20.),
        box_at("c", 70., 5., 5., 5.),
    ])
}

fn run(design: Design, selected: &[usize], settings: Align) -> Design {
    align(design, selected, &settings).expect("the settings do not contradict each other")
}

#[test]
fn each_object_goes_to_the_left_edge_and_the_middle_of_the_selection() {
    let settings = Align {
        across: Across::Left,
        down: Down::Middle,
        ..Align::default()
    };
    let done = run(three(), &[0, 1, 2], settings);
    // The selection spans x 10 to 75 and y 5 to 40: its middle is 22.5.
    assert_eq!(corners(&done.objects[0]), [10., 17.5, 20., 27.5]);
    assert_eq!(corners(&done.objects[1]), [10., 12.5, 40., 32.5]);
    assert_eq!(corners(&done.objects[2]), [10., 20., 15., 25.]);
}

#[test]
fn a_group_keeps_its_inner_distances() {
    let settings = Align {
        across: Across::Centre,
        down: Down::Bottom,
        relative_to: RelativeTo::Page,
        unit: Unit::Group,
        ..Align::default()
    };
    let done = run(three(), &[0, 1, 2], settings);
    // Centre 42.5 goes to 50, bottom 40 goes to 60.
    assert_eq!(corners(&done.objects[0]), [17.5, 30., 27.5, 40.]);
    assert_eq!(corners(&done.objects[2]), [77.5, 25., 82.5, 30.]);
}

#[test]
fn the_largest_stays_and_the_others_come_to_it() {
    for unit in [Unit::Object, Unit::Group] {
        let settings = Align {
            across: Across::Right,
            relative_to: RelativeTo::Largest,
            unit,
            ..Align::default()
        };
        let done = run(three(), &[0, 1, 2], settings);
        assert_eq!(corners(&done.objects[1]), [30., 20., 60., 40.]);
        assert_eq!(corners(&done.objects[2])[2], 60.0);
        let a = if unit == Unit::Object { 60.0 } else { 5.0 };
        assert_eq!(corners(&done.objects[0])[2], a);
    }
}

#[test]
fn a_given_rectangle_is_a_frame_and_moving_comes_last() {
    let settings = Align {
        across: Across::Left,
        down: Down::Top,
        relative_to: RelativeTo::Rectangle,
        rectangle: Frame {
            left: 200.0,
            top: 100.0,
            width: 10.0,
            height: 10.0,
        },
        move_right: 1.0,
        move_down: -2.0,
        ..Align::default()
    };
    let done = run(three(), &[2], settings);
    assert_eq!(corners(&done.objects[2]), [201., 98., 206., 103.]);
    assert_eq!(done.objects[..2], three().objects[..2]);
}

#[test]
fn a_thick_line_lines_up_by_its_sewn_edge() {
    let line = line_string![(x: 50., y: 30.), (x: 60., y: 30.)];
    let settings = Align {
        down: Down::Top,
        relative_to: RelativeTo::Page,
        ..Align::default()
    };
    let done = run(
        design(vec![Object::of_line("l", &line, 4.0)]),
        &[0],
        settings,
    );
    let Shape::Lines(lines) = &done.objects[0].shape else {
        panic!("it stays a line")
    };
    assert_eq!(lines.paths[0].y, [2.0, 2.0]);
    assert_eq!(lines.paths[0].x, [50.0, 60.0]);
}

#[test]
fn objects_are_spread_over_the_page() {
    let settings = Align {
        spread_across: Spread::EqualGaps,
        relative_to: RelativeTo::Page,
        ..Align::default()
    };
    let done = run(three(), &[0, 1, 2], settings);
    // 100 less 45 mm of objects: two gaps of 27.5 mm.
    let left: Vec<f64> = done.objects.iter().map(|o| corners(o)[0]).collect();
    assert_eq!(left, [0.0, 37.5, 95.0]);
}

#[test]
fn a_spread_group_is_then_placed_as_a_whole() {
    let settings = Align {
        across: Across::Left,
        spread_across: Spread::EqualCentres,
        relative_to: RelativeTo::Page,
        unit: Unit::Group,
        ..Align::default()
    };
    let done = run(three(), &[0, 1, 2], settings);
    let centres: Vec<f64> = done
        .objects
        .iter()
        .map(corners)
        .map(|c| (c[0] + c[2]) / 2.0)
        .collect();
    assert_eq!(centres, [5.0, 51.25, 97.5]);
}

#[test]
fn spreading_and_lining_up_the_same_way_is_refused() {
    let settings = Align {
        down: Down::Top,
        spread_down: Spread::EqualGaps,
        ..Align::default()
    };
    let failure = align(three(), &[0, 1, 2], &settings).expect_err("it contradicts itself");
    assert!(
        failure.message.contains("`spread-down` and `down`"),
        "{failure:?}"
    );
    assert!(failure.help.is_some());
}

#[test]
fn nothing_selected_is_a_note_and_no_change() {
    messages::take();
    let settings = Align {
        across: Across::Left,
        ..Align::default()
    };
    let done = run(three(), &[], settings);
    assert_eq!(done, three());
    let findings = messages::take();
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].severity, Severity::Note);
}

#[test]
fn an_empty_object_is_named() {
    messages::take();
    let settings = Align {
        across: Across::Left,
        relative_to: RelativeTo::Page,
        ..Align::default()
    };
    let objects = vec![
        Object::new("nothing", Shape::Manual),
        box_at("a", 9., 9., 1., 1.),
    ];
    let done = run(design(objects), &[0, 1], settings);
    assert_eq!(corners(&done.objects[1])[0], 0.0);
    assert_eq!(messages::take()[0].object.as_deref(), Some("nothing"));
}

#[test]
fn every_setting_has_a_description() {
    let described = description();
    let schema: hoopwright_sdk::serde_json::Value =
        hoopwright_sdk::serde_json::from_str(&described.settings_schema).expect("it is JSON");
    let properties = schema["properties"].as_object().expect("it has settings");
    assert_eq!(properties.len(), 11);
    for (name, property) in properties {
        assert!(property["description"].is_string(), "{name}");
    }
}

/// What is lined up with its own bounds lies there already (geometry).
#[test]
fn lining_up_with_itself_is_warned_of() {
    let warnings = |selected: &[usize], settings: Align| {
        messages::take();
        let done = run(three(), selected, settings);
        let said = messages::take();
        let warned = said.into_iter().filter(|f| f.severity == Severity::Warning);
        (done == three(), warned.collect::<Vec<_>>())
    };
    let group = Align {
        across: Across::Left,
        down: Down::Top,
        unit: Unit::Group,
        ..Align::default()
    };
    let (stays, warned) = warnings(&[0, 1, 2], group.clone());
    assert!(stays && warned.len() == 1, "{warned:?}");
    assert!(warned[0].message.starts_with("`across` and `down`"));
    assert!(warned[0].message.contains("`relative-to`"));
    for relative_to in [RelativeTo::Selection, RelativeTo::Largest] {
        let single = Align {
            across: Across::Centre,
            relative_to,
            ..Align::default()
        };
        let (stays, warned) = warnings(&[1], single.clone());
        assert!(stays && warned.len() == 1, "{warned:?}");
        assert!(warned[0].message.contains("`relative-to`"));
        assert_eq!(warned[0].object.as_deref(), Some("b"));
        // Several objects have something to line up with.
        assert_eq!(warnings(&[0, 1, 2], single), (false, vec![]));
    }
    let on_page = Align {
        relative_to: RelativeTo::Page,
        ..group.clone()
    };
    assert_eq!(warnings(&[0, 1, 2], on_page), (false, vec![]));
    // Only moved, or spread first: then the step does something.
    let moved = Align {
        move_right: 3.0,
        unit: Unit::Group,
        ..Align::default()
    };
    assert_eq!(warnings(&[0, 1, 2], moved), (false, vec![]));
    let spread = Align {
        down: Down::Keep,
        spread_across: Spread::EqualCentres,
        ..group
    };
    assert_eq!(warnings(&[0, 1, 2], spread), (false, vec![]));
}
