//! Marks drawn over objects, as a digitizer would draw them.

use hoopwright_drawn_marks::{BelongsTo, DrawnMarks, drawn_marks};
use hoopwright_sdk::geometry::geo::{LineString, MultiPolygon, Rect, coord};
use hoopwright_sdk::messages;
use hoopwright_sdk::prelude::*;

fn square(id: &str, left: f64, top: f64, size: f64) -> Object {
    let corner = coord! { x: left, y: top };
    let area = Rect::new(corner, corner + coord! { x: size, y: size }).to_polygon();
    Object::of_region(id, &MultiPolygon::from(area))
}

fn line(id: &str, tag: &str, corners: &[(f64, f64)]) -> Object {
    let mut object = Object::of_line(id, &LineString::from(corners.to_vec()), 0.5);
    object.tags.push(tag.to_owned());
    object
}

fn dot(id: &str, tag: &str, x: f64, y: f64) -> Object {
    let mut object = square(id, x - 0.5, y - 0.5, 1.0);
    object.tags.push(tag.to_owned());
    object
}

fn design(objects: Vec<Object>) -> Design {
    Design::on_page(100.0, 100.0, objects)
}

fn taken(objects: Vec<Object>, settings: &DrawnMarks) -> Design {
    let all: Vec<usize> = (0..objects.len()).collect();
    drawn_marks(design(objects), &all, settings).expect("it works")
}

fn object<'a>(design: &'a Design, id: &str) -> &'a Object {
    design
        .objects
        .iter()
        .find(|object| object.id == id)
        .expect("it is still there")
}

#[test]
fn a_mark_turns_the_topmost_object_and_is_not_sewn() {
    let objects = vec![
        square("sky", 0.0, 0.0, 50.0),
        line("m", "direction-mark", &[(12.0, 12.0), (18.0, 18.0)]),
        square("moon", 10.0, 10.0, 10.0),
    ];
    let design = taken(objects, &DrawnMarks::default());
    assert_eq!(design.objects.len(), 2);
    assert!(object(&design, "sky").sewing.direction_marks.is_empty());
    let marks = &object(&design, "moon").sewing.direction_marks;
    assert_eq!(marks.len(), 1);
    assert_eq!((marks[0].tail.x, marks[0].head.y), (12.0, 18.0));
}

#[test]
fn a_bent_line_marks_with_each_piece_and_can_count_for_all_it_crosses() {
    let objects = vec![
        square("left", 0.0, 0.0, 10.0),
        square("right", 12.0, 0.0, 10.0),
        square("far", 60.0, 0.0, 10.0),
        line(
            "m",
            "direction-mark",
            &[(2.0, 2.0), (8.0, 5.0), (20.0, 5.0), (20.0, 5.0)],
        ),
    ];
    let settings = DrawnMarks {
        belongs_to: BelongsTo::All,
        ..DrawnMarks::default()
    };
    let design = taken(objects, &settings);
    let count = |id| object(&design, id).sewing.direction_marks.len();
    assert_eq!((count("left"), count("right"), count("far")), (2, 2, 0));
}

#[test]
fn dots_say_where_to_begin_and_end_even_beside_the_edge() {
    let objects = vec![
        square("wing", 0.0, 0.0, 10.0),
        dot("from", "start-mark", -1.0, 3.0),
        dot("to", "finish-mark", 9.0, 9.0),
    ];
    let design = taken(objects, &DrawnMarks::default());
    let sewing = &object(&design, "wing").sewing;
    let place = |point: Option<Point>| point.map(|point| (point.x, point.y));
    assert_eq!(place(sewing.start), Some((-1.0, 3.0)));
    assert_eq!(place(sewing.finish), Some((9.0, 9.0)));
}

#[test]
fn a_mark_for_nobody_is_told_and_taken_out() {
    let _ = messages::take();
    let objects = vec![
        square("wing", 0.0, 0.0, 10.0),
        dot("lost", "start-mark", 40.0, 40.0),
        line("point", "direction-mark", &[(1.0, 1.0), (1.0, 1.0)]),
    ];
    let design = taken(objects, &DrawnMarks::default());
    assert_eq!(design.objects.len(), 1);
    let told = messages::take();
    let about: Vec<_> = told
        .iter()
        .filter_map(|finding| finding.object.as_deref())
        .collect();
    assert_eq!(about, ["lost", "point"]);
}

#[test]
fn objects_that_are_not_selected_get_no_marks() {
    let objects = vec![
        square("sky", 0.0, 0.0, 50.0),
        square("moon", 10.0, 10.0, 10.0),
        line("m", "direction-mark", &[(12.0, 12.0), (18.0, 18.0)]),
    ];
    let design = drawn_marks(design(objects), &[0, 2], &DrawnMarks::default()).expect("it works");
    assert_eq!(object(&design, "sky").sewing.direction_marks.len(), 1);
    assert!(object(&design, "moon").sewing.direction_marks.is_empty());
}

#[test]
fn two_kinds_cannot_share_a_tag() {
    let settings = DrawnMarks {
        start_tag: "finish-mark".to_owned(),
        ..DrawnMarks::default()
    };
    assert!(drawn_marks(design(Vec::new()), &[], &settings).is_err());
}
