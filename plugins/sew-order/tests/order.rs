//! What a good order is. Background first, outlines last, few thread changes, then little travel:
//! trade practice.

mod designs;

use designs::{box_at, design, ids, line_at};
use hoopwright_sdk::messages;
use hoopwright_sdk::prelude::*;
use hoopwright_sew_order::{
    Background, CapsOrder, MoveSelected, Outlines, SewOrder, description, plan, sew_order,
};

fn all(design: Design, settings: &SewOrder) -> Design {
    let selected: Vec<usize> = (0..design.objects.len()).collect();
    sew_order(design, &selected, settings).expect("any design can be ordered")
}

fn note() -> String {
    messages::take()
        .pop()
        .map(|finding| finding.message)
        .unwrap_or_default()
}

#[test]
fn one_thread_is_sewn_in_one_block_where_nothing_overlaps() {
    let before = design(vec![
        box_at("a", 0, 0., 0., 5.),
        box_at("b", 1, 10., 0., 5.),
        box_at("c", 0, 20., 0., 5.),
        box_at("d", 1, 30., 0., 5.),
    ]);
    messages::take();
    let done = all(before, &SewOrder::default());
    assert_eq!(ids(&done), ["a", "c", "b", "d"]);
    // Gaps of 5 between neighbours, three before; and 15, 5 and 15 after.
    assert_eq!(
        note(),
        "Thread changes 3 before, 1 after (the fewest possible); trims within a thread, as far as \
         shapes tell, 0 before, 2 after (the fewest possible in such blocks); travel between \
         objects 15.0 mm before, 35.0 mm after."
    );
}

#[test]
fn what_lies_above_stays_later_at_any_price() {
    let before = design(vec![
        box_at("a", 0, 0., 0., 10.),
        box_at("b", 1, 2., 2., 6.),
        box_at("c", 0, 4., 4., 2.),
    ]);
    assert_eq!(ids(&all(before, &SewOrder::default())), ["a", "b", "c"]);
}

#[test]
fn touching_is_no_overlap() {
    let before = design(vec![
        box_at("a", 0, 0., 0., 10.),
        box_at("b", 1, 10., 0., 10.),
        box_at("c", 0, 20., 0., 10.),
    ]);
    messages::take();
    all(before, &SewOrder::default());
    assert!(note().starts_with("Thread changes 2 before, 1 after"));
}

#[test]
fn the_nearest_way_is_taken() {
    // One thread, ten boxes in a row, named and drawn in disorder.
    let places = [3, 7, 0, 9, 5, 1, 8, 2, 6, 4];
    let boxes = places.map(|i| box_at(&format!("box {i}"), 0, 10.0 * f64::from(i), 0., 5.));
    messages::take();
    let done = all(design(boxes.to_vec()), &SewOrder::default());
    let expected: Vec<String> = (0..10).map(|i| format!("box {i}")).collect();
    assert_eq!(ids(&done), expected);
    assert!(note().ends_with("45.0 mm after."));
}

#[test]
fn outlines_come_last_unless_something_lies_on_them() {
    let before = design(vec![
        line_at("beneath", 0, (0., 5.), (20., 5.)),
        box_at("on it", 1, 5., 0., 10.),
        line_at("outline", 0, (50., 5.), (70., 5.)),
        box_at("apart", 1, 80., 0., 10.),
    ]);
    messages::take();
    let done = all(before.clone(), &SewOrder::default());
    assert_eq!(ids(&done), ["beneath", "on it", "apart", "outline"]);
    assert!(
        messages::take()[0]
            .message
            .starts_with("1 outlines are not sewn last")
    );
    let free = SewOrder {
        outlines: Outlines::Free,
        ..SewOrder::default()
    };
    // The box on the line follows at once, and it is nearer to the outline than the other box.
    assert_eq!(
        ids(&all(before, &free)),
        ["outline", "beneath", "on it", "apart"]
    );
}

#[test]
fn a_tag_makes_an_outline_too() {
    let mut rim = box_at("rim", 0, 0., 0., 5.);
    rim.tags.push("edge".to_owned());
    let before = design(vec![
        rim,
        box_at("a", 1, 10., 0., 5.),
        box_at("b", 0, 20., 0., 5.),
    ]);
    let settings = SewOrder {
        outline_tag: "edge".to_owned(),
        ..SewOrder::default()
    };
    assert_eq!(ids(&all(before, &settings)), ["a", "b", "rim"]);
}

#[test]
fn the_background_comes_first_by_size_or_by_tag() {
    let mut small = box_at("small", 1, 60., 0., 5.);
    small.tags.push("ground".to_owned());
    let before = design(vec![
        box_at("a", 1, 0., 0., 5.),
        box_at("large", 0, 10., 0., 40.),
        small,
    ]);
    let settings = SewOrder {
        background: Background::First,
        ..SewOrder::default()
    };
    assert_eq!(ids(&all(before.clone(), &settings))[0], "large");
    let tagged = SewOrder {
        background_tag: "ground".to_owned(),
        ..settings
    };
    assert_eq!(ids(&all(before.clone(), &tagged)), ["small", "a", "large"]);
    let mistyped = SewOrder {
        background_tag: "grund".to_owned(),
        ..tagged
    };
    messages::take();
    all(before, &mistyped);
    let told = messages::take();
    assert!(
        told.iter().any(|it| it.message.contains("\"grund\"")),
        "{told:?}"
    );
}

#[test]
fn caps_are_sewn_from_the_centre_out_or_from_the_brim_up() {
    let before = design(vec![
        box_at("left", 0, 0., 0., 10.),
        box_at("near left", 0, 25., 0., 10.),
        box_at("centre, high", 0, 45., 0., 10.),
        box_at("centre, low", 0, 45., 40., 10.),
        box_at("right", 0, 90., 20., 10.),
    ]);
    let with = |caps_order| SewOrder {
        caps_order,
        ..SewOrder::default()
    };
    assert_eq!(
        ids(&all(before.clone(), &with(CapsOrder::CentreOut))),
        ["centre, low", "centre, high", "right", "near left", "left"]
    );
    assert_eq!(
        ids(&all(before, &with(CapsOrder::BottomUp)))[..2],
        ["centre, low", "right"]
    );
}

/// Caps are sewn from the centre seam outward, one side after the other, so that the fabric is pushed out
/// on each (trade practice): of all ways between letters in a line, only that back to the seam is long.
#[test]
fn a_line_of_letters_on_a_cap_is_sewn_out_to_one_side_and_then_to_the_other() {
    // Thirteen letters, 2 mm apart, the seventh in the middle of the page; named so that the order of
    // names is none of theirs.
    let letter = |i: u32| {
        box_at(
            &format!("{}", i * 5 % 13),
            0,
            f64::from(i) * 6.0 + 12.0,
            40.,
            4.,
        )
    };
    let name = |i: u32| (i * 5 % 13).to_string();
    let outward: Vec<String> = (6..13).chain((0..6).rev()).map(name).collect();
    let mut objects: Vec<Object> = (0..13).map(letter).collect();
    for caps_order in [CapsOrder::CentreOut, CapsOrder::BottomUp] {
        let settings = SewOrder {
            caps_order,
            ..SewOrder::default()
        };
        let before = design(objects.clone());
        let selected: Vec<usize> = (0..objects.len()).collect();
        let planned = plan(&before, &selected, &settings);
        assert_eq!(planned.reached.trims, 1);
        assert_eq!(ids(&all(before, &settings)), outward);
    }
    // The seam is the page's middle, wherever a stray object lies.
    objects.push(box_at("stray", 0, 300., 40., 4.));
    let settings = SewOrder {
        caps_order: CapsOrder::CentreOut,
        ..SewOrder::default()
    };
    let done = all(design(objects), &settings);
    assert_eq!(ids(&done)[..7], outward[..7]);
    assert_eq!(ids(&done)[7], "stray", "the outermost to the right");
    assert_eq!(ids(&done)[8..], outward[7..]);
}

/// Once there are stitches they tell what hides: the way between two boxes lies beneath a third that is
/// filled, and shows through one that is sewn along its edge only.
#[test]
fn what_is_sewn_along_its_edge_only_hides_nothing() {
    let trims = |fill: f64| {
        let mut over = box_at("over", 1, 5., 0., 30.);
        let mut list = StitchList::new();
        for (x, y) in [(5., 0.), (35., 0.), (35., 30.), (5., 30.), (5., 0.)] {
            list.needle(StitchRole::Cover, Coord { x, y });
        }
        for row in 0..(30.0 / fill) as u32 {
            let y = f64::from(row) * fill;
            list.needle(StitchRole::Cover, Coord { x: 5., y });
            list.needle(StitchRole::Cover, Coord { x: 35., y });
        }
        over.stitches = list.into_blocks();
        let ends = [box_at("a", 0, 0., 0., 10.), box_at("b", 0, 30., 0., 10.)];
        let before = design(ends.into_iter().chain([over]).collect());
        plan(&before, &[0, 1, 2], &SewOrder::default())
            .reached
            .trims
    };
    assert_eq!((trims(0.4), trims(1.5), trims(100.0)), (0, 1, 1));
}

#[test]
fn the_unselected_keep_their_order_and_others_pass_only_where_nothing_overlaps() {
    let before = design(vec![
        box_at("fixed 1", 0, 0., 0., 10.),
        box_at("on 1", 1, 2., 2., 5.),
        box_at("fixed 2", 2, 50., 0., 10.),
        box_at("free", 0, 80., 0., 10.),
    ]);
    let done = sew_order(before, &[1, 3], &SewOrder::default()).expect("it can be ordered");
    assert_eq!(ids(&done), ["free", "fixed 1", "on 1", "fixed 2"]);
}

#[test]
fn stitches_tell_where_an_object_begins_and_ends() {
    // Each row is sewn from right to left, so the next one begins far away, unless it is the one
    // below whose start lies at hand.
    let sewn = |id: &str, from: f64, to: f64| {
        let mut object = Object::new(id, Shape::Manual);
        let mut list = StitchList::new();
        list.needle(StitchRole::Cover, Coord { x: from, y: 0. });
        list.needle(StitchRole::Cover, Coord { x: to, y: 0. });
        object.stitches = list.into_blocks();
        object
    };
    let before = design(vec![
        sewn("c", 20., 31.),
        sewn("b", 10.5, 19.5),
        sewn("a", 0., 10.),
    ]);
    assert_eq!(ids(&all(before, &SewOrder::default())), ["a", "b", "c"]);
}

#[test]
fn what_is_moved_by_hand_goes_as_far_as_overlap_allows_and_nothing_else_changes() {
    let before = design(vec![
        box_at("b", 0, 0., 0., 10.),
        box_at("c", 1, 30., 0., 10.),
        box_at("on b", 0, 2., 2., 5.),
        box_at("a", 1, 60., 0., 10.),
        box_at("on all", 2, 3., 3., 30.),
        box_at("z", 0, 80., 0., 10.),
    ]);
    let with = |move_selected| SewOrder {
        move_selected,
        ..SewOrder::default()
    };
    messages::take();
    let first = sew_order(before.clone(), &[2, 3], &with(MoveSelected::First)).expect("ordered");
    assert_eq!(ids(&first), ["a", "b", "on b", "c", "on all", "z"]);
    let found = messages::take();
    assert_eq!(
        found[0].message,
        "\"on b\" cannot be sewn first of all: \"b\" lies beneath it."
    );
    assert_eq!(found[0].object.as_deref(), Some("on b"));
    assert_eq!(found.len(), 2, "and the note on the whole");

    let last = sew_order(before.clone(), &[1, 3], &with(MoveSelected::Last)).expect("ordered");
    assert_eq!(ids(&last), ["b", "on b", "c", "on all", "z", "a"]);
    let found = messages::take();
    assert_eq!(
        found[0].message,
        "\"c\" cannot be sewn last of all: \"on all\" lies on top of it."
    );
    // Together they go all the way, in the order that they have.
    let both = sew_order(before, &[0, 2], &with(MoveSelected::First)).expect("ordered");
    assert_eq!(ids(&both)[..2], ["b", "on b"]);
    assert_eq!(messages::take().len(), 1);
}

#[test]
fn nothing_selected_is_a_note_and_no_change() {
    messages::take();
    let before = design(vec![box_at("a", 0, 0., 0., 5.)]);
    let done = sew_order(before.clone(), &[], &SewOrder::default()).expect("it can be ordered");
    assert_eq!(done, before);
    assert_eq!(messages::take().len(), 1);
}

#[test]
fn objects_without_a_place_are_ordered_too() {
    let before = design(vec![
        Object::new("nothing", Shape::Manual),
        line_at("nowhere", 1, (f64::NAN, 0.), (1., f64::INFINITY)),
        box_at("flat", 0, 5., 5., 0.),
    ]);
    let mut done = all(before, &SewOrder::default());
    done.objects.sort_by(|a, b| a.id.cmp(&b.id));
    assert_eq!(ids(&done), ["flat", "nothing", "nowhere"]);
}

#[test]
fn every_setting_has_a_description() {
    let described = description();
    let schema: hoopwright_sdk::serde_json::Value =
        hoopwright_sdk::serde_json::from_str(&described.settings_schema).expect("it is JSON");
    let properties = schema["properties"].as_object().expect("it has settings");
    assert_eq!(properties.len(), 10);
    for (name, property) in properties {
        assert!(property["description"].is_string(), "{name}");
    }
}

/// A square grid of 12 by 12 places with unit steps cannot be visited in fewer than 143 steps, and
/// a boustrophedon walk takes just that.
#[test]
fn a_grid_is_walked_almost_without_a_detour() {
    let boxes = (0..144u32).map(|i| {
        // Drawn in disorder: 89 and 144 have no common divisor.
        let (row, column) = ((i * 89 % 144) / 12, (i * 89 % 144) % 12);
        box_at(
            &format!("{i:03}"),
            0,
            10.0 * f64::from(column),
            10.0 * f64::from(row),
            5.,
        )
    });
    let done = all(design(boxes.collect()), &SewOrder::default());
    let corner = |object: &Object| match &object.shape {
        Shape::Region(region) => (region.polygons[0].outer.x[0], region.polygons[0].outer.y[0]),
        _ => panic!("it stays a region"),
    };
    let places: Vec<(f64, f64)> = done.objects.iter().map(corner).collect();
    let travel: f64 = places
        .windows(2)
        .map(|p| (p[0].0 - p[1].0).hypot(p[0].1 - p[1].1))
        .sum();
    println!("{travel:.1} mm");
    assert!(travel <= 1430.0 * 1.06, "{travel}");
}
