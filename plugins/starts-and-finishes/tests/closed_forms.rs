//! Small designs whose best starts and finishes are known.

use hoopwright_sdk::geometry::geo::polygon;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;
use hoopwright_starts_and_finishes::{StartsAndFinishes, starts_and_finishes};

fn square(id: &str, thread: u32, x: f64, y: f64, side: f64) -> Object {
    let area = polygon![
        (x: x, y: y), (x: x + side, y: y), (x: x + side, y: y + side), (x: x, y: y + side)
    ];
    let mut object = Object::of_region(id, &area.into());
    object.thread = thread;
    object
}

fn planned(objects: Vec<Object>) -> (Design, String) {
    let design = Design {
        title: "Owl".to_owned(),
        ..Design::on_page(100., 100., objects)
    };
    let all: Vec<usize> = (0..design.objects.len()).collect();
    messages::take();
    let done = starts_and_finishes(design, &all, &StartsAndFinishes::default());
    let says = messages::take()
        .pop()
        .map_or_else(String::new, |f| f.message);
    (done.expect("it never fails"), says)
}

fn gap(design: &Design, first: usize) -> f64 {
    let finish = design.objects[first].sewing.finish.expect("it is chosen");
    let start = design.objects[first + 1]
        .sewing
        .start
        .expect("it is chosen");
    distance(finish.into(), start.into())
}

#[test]
fn in_a_row_of_touching_squares_nothing_lies_open() {
    let row = (0..5).map(|i| square(&format!("s{i}"), 0, f64::from(i) * 10., 0., 10.));
    let (done, says) = planned(row.collect());
    for i in 0..4 {
        assert!(gap(&done, i) < 1e-6, "{}", gap(&done, i));
    }
    assert!(
        says.contains("0 want a trim") && says.contains("0.0 mm"),
        "{says}"
    );
}

#[test]
fn two_squares_apart_are_joined_under_a_later_one_and_cut_without_it() {
    let (left, right) = (square("a", 0, 0., 0., 10.), square("b", 0, 20., 0., 10.));
    let (_, says) = planned(vec![left.clone(), right.clone()]);
    assert!(says.contains("1 want a trim"), "{says}");
    let over = square("over", 1, 5., 0., 20.);
    let (_, says) = planned(vec![left.clone(), right.clone(), over.clone()]);
    assert!(
        says.contains("1 lie under") && says.contains("0 want a trim"),
        "{says}"
    );
    // What is sewn before hides nothing.
    let (_, says) = planned(vec![over, left, right]);
    assert!(says.contains("1 want a trim"), "{says}");
}

#[test]
fn only_starts_and_finishes_change_and_those_that_are_set_stay() {
    let mut first = square("a", 0, 0., 0., 10.);
    first.sewing.finish = Some(Point { x: 0., y: 5. });
    let objects = vec![first, square("b", 0, 20., 0., 10.)];
    let (done, _) = planned(objects.clone());
    assert_eq!(done.objects[0].sewing.finish, Some(Point { x: 0., y: 5. }));
    for (mut after, before) in done.objects.into_iter().zip(objects) {
        after.sewing.start = before.sewing.start;
        after.sewing.finish = before.sewing.finish;
        assert_eq!(after, before);
    }
}
