//! What becomes of objects of several pieces.

use hoopwright_sdk::Lines;
use hoopwright_sdk::geometry::geo::{MultiPolygon, Polygon, line_string, polygon};
use hoopwright_sdk::prelude::*;
use hoopwright_single_pieces::{Parted, SinglePieces, single_pieces};

fn square(x: f64) -> Polygon<f64> {
    polygon![(x: x, y: 0.), (x: x + 10., y: 0.), (x: x + 10., y: 10.), (x: x, y: 10.)]
}

/// Three squares in one object, 20 mm apart.
fn squares(id: &str) -> Object {
    let mut object = Object::of_region(
        id,
        &MultiPolygon::new(vec![square(0.), square(20.), square(40.)]),
    );
    object.tags = vec!["toe".to_owned()];
    object.sewing.angle = Some(30.0);
    object.sewing.start = Some(Point { x: 41.0, y: 0.0 });
    object
}

fn two_lines(id: &str) -> Object {
    let mut object = Object::of_line(id, &line_string![(x: 0., y: 0.), (x: 9., y: 0.)], 0.6);
    if let Shape::Lines(Lines { paths, .. }) = &mut object.shape {
        paths.push(paths[0].clone());
    }
    object
}

fn design(objects: Vec<Object>) -> Design {
    Design::on_page(0.0, 0.0, objects)
}

fn parted(objects: Vec<Object>, selected: &[usize], parted: Parted) -> Vec<Object> {
    single_pieces(design(objects), selected, &SinglePieces { parted })
        .expect("it has no errors")
        .objects
}

fn ids(objects: &[Object]) -> Vec<&str> {
    objects.iter().map(|object| object.id.as_str()).collect()
}

#[test]
fn each_piece_becomes_an_object_where_the_whole_was() {
    let before = vec![two_lines("a"), squares("toes"), two_lines("toes-piece")];
    let after = parted(before, &[0, 1, 2], Parted::Regions);
    assert_eq!(
        ids(&after),
        ["a", "toes", "toes-piece-2", "toes-piece-3", "toes-piece"]
    );
    for (place, x) in [(1, 0.0), (2, 20.0), (3, 40.0)] {
        let expected = Object::of_region("", &square(x).into());
        assert_eq!(after[place].shape, expected.shape);
        assert_eq!(after[place].tags, ["toe"]);
        assert_eq!(after[place].sewing.angle, Some(30.0));
        // The start lies on the third square.
        assert_eq!(after[place].sewing.start.is_some(), place == 3);
    }
}

#[test]
fn lines_are_parted_where_asked_for() {
    let after = parted(vec![two_lines("a"), squares("s")], &[0, 1], Parted::Lines);
    assert_eq!(ids(&after), ["a", "a-piece", "s"]);
    let after = parted(vec![two_lines("a"), squares("s")], &[0, 1], Parted::Both);
    assert_eq!(ids(&after), ["a", "a-piece", "s", "s-piece", "s-piece-2"]);
}

#[test]
fn what_is_not_selected_or_sewn_already_stays() {
    let mut sewn = squares("sewn");
    let mut stitches = StitchList::new();
    stitches.needle(StitchRole::Cover, Coord { x: 0., y: 0. });
    sewn.stitches = stitches.into_blocks();
    let before = vec![squares("other"), sewn];
    let after = parted(before.clone(), &[1], Parted::Both);
    assert_eq!(after, before);
    let warned = messages::take();
    assert!(
        warned
            .iter()
            .any(|finding| finding.object.as_deref() == Some("sewn")),
        "{warned:?}"
    );
}

#[test]
fn parting_twice_changes_nothing() {
    let once = parted(vec![squares("s")], &[0], Parted::Both);
    let all: Vec<usize> = (0..once.len()).collect();
    assert_eq!(parted(once.clone(), &all, Parted::Both), once);
}

/// The rule, written out: the first piece keeps the id, the others take the least free number.
#[test]
fn ten_thousand_pieces_are_numbered_one_after_the_other() {
    let mut many = squares("s");
    if let Shape::Region(region) = &mut many.shape {
        let square = region.polygons[0].clone();
        region.polygons.resize(10_000, square);
    }
    let after = parted(vec![many, two_lines("s-piece-500")], &[0], Parted::Regions);
    let numbered = (2..=10_000).filter(|number| *number != 500);
    let mut expected = vec!["s".to_owned(), "s-piece".to_owned()];
    expected.extend(numbered.map(|number| format!("s-piece-{number}")));
    expected.truncate(10_000);
    expected.push("s-piece-500".to_owned());
    assert_eq!(ids(&after), expected);
}
