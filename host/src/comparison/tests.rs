use super::*;
use crate::design::{Object, Shape, StitchList, StitchRole, Thread};
use crate::formats::svg;
use geo::{MultiPolygon, Polygon, Rect, polygon};
use std::path::Path;

const RED: [u8; 3] = [200, 30, 30];
const BLUE: [u8; 3] = [30, 40, 190];
const FABRIC: [u8; 3] = [240, 237, 229];

fn at(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

fn thread([red, green, blue]: [u8; 3]) -> Thread {
    Thread {
        name: String::new(),
        code: String::new(),
        red,
        green,
        blue,
        weight: 40,
    }
}

fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Polygon<f64> {
    Rect::new(at(x, y), at(x + width, y + height)).to_polygon()
}

/// Rows of cover over a rectangle, so close that no fabric shows; thread half a width beyond the
/// first and last row, and beyond the ends of the rows, is taken off.
fn rows(x: f64, y: f64, width: f64, height: f64) -> StitchList {
    const HALF: f64 = 0.2;
    let mut list = StitchList::new();
    // No thread lies loose on the way here.
    list.trim(at(x + HALF, y + HALF));
    let count = (height / 0.1).round() as usize;
    for row in 0..=count {
        let across = y + HALF + (height - 2.0 * HALF) * row as f64 / count as f64;
        let (from, to) = (x + HALF, x + width - HALF);
        let ends = if row % 2 == 0 { [from, to] } else { [to, from] };
        list.needle(StitchRole::Cover, at(ends[0], across));
        list.needle(StitchRole::Cover, at(ends[1], across));
    }
    list
}

fn design(objects: Vec<Object>) -> Design {
    let mut design = Design::on_page(40.0, 40.0, objects);
    design.threads = vec![thread(RED), thread(BLUE)];
    design
}

/// A drawn square of 20 mm in red, and what is sewn of it.
fn square(stitches: Vec<(u32, StitchList)>) -> (Design, Design) {
    let area = MultiPolygon(vec![rectangle(10.0, 10.0, 20.0, 20.0)]);
    let read = design(vec![Object::of_region("square", &area)]);
    let objects = stitches.into_iter().enumerate().map(|(i, (thread, list))| {
        let mut object = Object::of_region(&format!("sewn-{i}"), &area);
        if i == 0 {
            object.id = "square".to_owned();
        }
        object.thread = thread;
        object.stitches = list.into_blocks();
        object
    });
    let sewn = design(objects.collect());
    (read, sewn)
}

fn compared(read: &Design, sewn: &Design) -> Comparison {
    let wound: Vec<Colour> = read.threads.iter().map(Colour::of).collect();
    let drawn = Drawn {
        source: Source::Design,
        read,
        wound: &wound,
    };
    compare(&drawn, sewn, &PreviewOptions::default()).expect("it is drawn")
}

fn near(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "{got}, not {want}");
}

/// 20 x 20 mm are drawn red. 12 x 20 are sewn red, 4 x 20 blue, 4 x 20 not at all: 60, 20 and 20 %.
/// Beyond it, 5 x 20 mm are sewn: a fourth of the drawn area.
#[test]
fn shares_known_by_hand() {
    let (read, sewn) = square(vec![
        (0, rows(10.0, 10.0, 12.0, 20.0)),
        (1, rows(22.0, 10.0, 4.0, 20.0)),
        (1, rows(32.0, 10.0, 5.0, 20.0)),
    ]);
    let comparison = compared(&read, &sewn);
    let score = comparison.score.expect("it is drawn");
    near(score.drawn_area, 400.0, 4.0);
    // Corners are round, and edges are a pixel of 0.07 mm wide.
    near(score.right_thread, 0.6, 0.01);
    near(score.other_thread, 0.2, 0.01);
    near(score.bare, 0.2, 0.015);
    near(score.beyond, 0.25, 0.015);
    let [blue, fabric] =
        [BLUE, FABRIC].map(|other| crate::rack::distance(Colour::new(RED), Colour::new(other)));
    let mean = score.other_thread * blue + score.bare * fabric;
    near(score.difference_as_drawn, mean, 0.02);
    near(score.difference_as_wound, mean, 0.02);
    assert!(comparison.findings.is_empty(), "{:?}", comparison.findings);
}

/// The rack has an orange in the place of the artwork's red: the thread is right, the colour is not.
#[test]
fn a_wound_thread_is_right_though_its_colour_is_not_the_artwork_s() {
    let orange = [220, 90, 20];
    let (read, mut sewn) = square(vec![(0, rows(10.0, 10.0, 20.0, 20.0))]);
    sewn.threads[0] = thread(orange);
    let drawn = Drawn {
        source: Source::Design,
        read: &read,
        wound: &[Colour::new(orange), Colour::new(BLUE)],
    };
    let score = compare(&drawn, &sewn, &PreviewOptions::default())
        .expect("it is drawn")
        .score
        .expect("it is drawn");
    assert!(score.right_thread > 0.99, "{score:?}");
    let far = crate::rack::distance(Colour::new(orange), Colour::new(RED));
    near(score.difference_as_drawn, far, 0.5);
    assert!(score.difference_as_wound < 0.5, "{score:?}");
}

/// Underlay beneath is not on top.
#[test]
fn what_is_sewn_last_counts() {
    let (read, sewn) = square(vec![
        (1, rows(10.0, 10.0, 20.0, 20.0)),
        (0, rows(10.0, 10.0, 20.0, 20.0)),
    ]);
    assert!(
        compared(&read, &sewn)
            .score
            .expect("it is drawn")
            .right_thread
            > 0.99
    );
    let (read, sewn) = square(vec![
        (0, rows(10.0, 10.0, 20.0, 20.0)),
        (1, rows(10.0, 10.0, 20.0, 20.0)),
    ]);
    assert!(
        compared(&read, &sewn)
            .score
            .expect("it is drawn")
            .other_thread
            > 0.99
    );
}

/// A polygon whose hole is as large as itself: nothing is drawn, and there is nothing to divide by.
#[test]
fn a_design_that_is_nothing_but_a_hole_has_no_score() {
    let outer = rectangle(0.0, 0.0, 10.0, 10.0).exterior().clone();
    let nothing = MultiPolygon(vec![Polygon::new(outer.clone(), vec![outer])]);
    let read = design(vec![Object::of_region("hole", &nothing)]);
    let comparison = compared(&read, &read);
    assert_eq!(comparison.score, None);
    assert!(comparison.picture.starts_with(b"\x89PNG"));
    let empty = design(Vec::new());
    assert_eq!(compared(&empty, &empty).score, None);
}

fn moved(design: &Design, by: impl Fn(Coord<f64>) -> Coord<f64>) -> Design {
    let mut design = design.clone();
    for object in &mut design.objects {
        if let Shape::Region(region) = &mut object.shape {
            for polygon in &mut region.polygons {
                for line in std::iter::once(&mut polygon.outer).chain(&mut polygon.holes) {
                    for (x, y) in line.x.iter_mut().zip(&mut line.y) {
                        let place = by(at(*x, *y));
                        (*x, *y) = (place.x, place.y);
                    }
                }
            }
        }
    }
    design
}

fn several() -> Design {
    let shape = polygon![(x: 1.0, y: 1.0), (x: 9.0, y: 2.0), (x: 7.0, y: 8.0), (x: 4.0, y: 5.0)];
    design(vec![
        Object::of_region("a", &MultiPolygon(vec![rectangle(2.0, 3.0, 10.0, 5.0)])),
        Object::of_region("b", &MultiPolygon(vec![shape])),
        Object::of_region("c", &MultiPolygon(vec![rectangle(20.0, 22.0, 3.0, 8.0)])),
    ])
}

/// A turn by the angle of the triangle 3-4-5, half as large again, moved, and with a mirror.
#[test]
fn a_move_turn_scale_and_mirror_are_found() {
    let turned = |place: Coord<f64>| {
        at(
            1.5 * (0.6 * place.x - 0.8 * place.y) + 12.0,
            1.5 * (0.8 * place.x + 0.6 * place.y) - 7.0,
        )
    };
    let mirrored = |place: Coord<f64>| turned(at(-place.x, place.y));
    let shifted = |place: Coord<f64>| place + at(3.25, -1.5);
    let maps: [&dyn Fn(Coord<f64>) -> Coord<f64>; 3] = [&turned, &mirrored, &shifted];
    for map in maps {
        let before = several();
        let placement = Placement::between(&before, &moved(&before, map)).expect("it is drawn");
        for place in [at(0.0, 0.0), at(30.0, 5.0), at(-4.0, 18.0)] {
            let (got, want) = (placement.of(place), map(place));
            near(got.x, want.x, 1e-6);
            near(got.y, want.y, 1e-6);
            let back = placement.drawn_at(got);
            near(back.x, place.x, 1e-6);
            near(back.y, place.y, 1e-6);
        }
    }
}

/// One object of three is moved on its own, and one is cut: the other moves still agree.
#[test]
fn most_objects_decide() {
    let before = several();
    let mut after = moved(&before, |place| place + at(5.0, 5.0));
    let off = moved(&before, |place| place + at(-3.0, 0.0));
    after.objects[2] = off.objects[2].clone();
    let placement = Placement::between(&before, &after).expect("it is drawn");
    near(placement.of(at(1.0, 1.0)).x, 6.0, 1e-6);
}

/// The only object is taken apart into pieces with names of their own after it was moved: as a logo drawn as
/// one path is.
#[test]
fn pieces_of_a_single_object_are_found_where_they_were_moved() {
    let (long, small) = (
        rectangle(2.0, 3.0, 10.0, 5.0),
        rectangle(20.0, 22.0, 3.0, 8.0),
    );
    let whole = MultiPolygon(vec![long.clone(), small.clone()]);
    let before = design(vec![Object::of_region("logo", &whole)]);
    let apart = design(vec![
        Object::of_region("logo-piece-1", &MultiPolygon(vec![long])),
        Object::of_region("logo-piece-2", &MultiPolygon(vec![small])),
    ]);
    let turned = |place: Coord<f64>| at(40.0 - 1.5 * place.y, 1.5 * place.x + 3.0);
    let mirrored = |place: Coord<f64>| at(40.0 - place.x, place.y);
    let maps: [&dyn Fn(Coord<f64>) -> Coord<f64>; 3] = [&turned, &mirrored, &|place| place];
    for map in maps {
        let after = moved(&apart, map);
        let placement = Placement::between(&before, &after).expect("its corners are all there");
        for place in [at(0.0, 0.0), at(30.0, 5.0)] {
            near(placement.of(place).x, map(place).x, 1e-9);
            near(placement.of(place).y, map(place).y, 1e-9);
        }
    }
}

/// A shear is no similarity.
#[test]
fn where_there_is_no_similarity_a_finding_says_so() {
    let before = several();
    let sheared = moved(&before, |place| at(place.x + 0.3 * place.y, place.y));
    assert_eq!(Placement::between(&before, &sheared), None);
    let comparison = compared(&before, &sheared);
    let codes: Vec<_> = comparison.findings.iter().map(|f| f.code).collect();
    assert_eq!(codes, ["artwork-not-placed"]);
    assert_eq!(comparison.score, None);
}

const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">
<g transform="translate(10 10)"><path fill="#c81e1e" d="M0 0h20v20h-20z"/></g></svg>"##;

fn drawn_svg(text: &str, map: impl Fn(Coord<f64>) -> Coord<f64>) -> Comparison {
    let read = svg::read(text, Path::new("art.svg"), svg::Scale::AsDrawn)
        .expect("it is drawn")
        .design;
    let mut sewn = moved(&read, map);
    sewn.objects[0].stitches = rows(13.0, 10.0, 20.0, 20.0).into_blocks();
    let wound: Vec<Colour> = read.threads.iter().map(Colour::of).collect();
    let drawn = Drawn {
        source: Source::Svg(text, svg::Scale::AsDrawn),
        read: &read,
        wound: &wound,
    };
    compare(&drawn, &sewn, &PreviewOptions::default()).expect("it is drawn")
}

/// The renderer's picture of the file lies where the shapes are sewn: 3 mm to the right of where
/// they were drawn. Left where it was drawn, 3 of 20 mm would be bare.
#[test]
fn an_svg_is_painted_from_its_file_where_it_is_sewn() {
    let with = drawn_svg(ART, |place| place + at(3.0, 0.0))
        .score
        .expect("it is drawn");
    assert!(with.right_thread > 0.99, "{with:?}");
    near(with.drawn_area, 400.0, 4.0);
    let without = drawn_svg(ART, |place| place).score.expect("it is drawn");
    near(without.bare, 0.15, 0.01);
}

/// What would take pixels without end is not painted; the shapes as read stand in.
#[test]
fn groups_blended_without_end_are_not_painted() {
    let depth = 60;
    let nested = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">{}<path fill="red" d="M10 10h20v20h-20z"/><path fill="red" d="M1 1h2v2h-2z"/>{}</svg>"#,
        r#"<g opacity="0.99">"#.repeat(depth),
        "</g>".repeat(depth)
    );
    let comparison = drawn_svg(&nested, |place| place);
    let codes: Vec<_> = comparison.findings.iter().map(|f| f.code).collect();
    assert_eq!(codes, ["artwork-not-painted"]);
    assert!(comparison.score.expect("it is drawn").right_thread > 0.8);
}

#[test]
fn the_same_comparison_has_the_same_bytes() {
    let again = || drawn_svg(ART, |place| place + at(3.0, 0.0)).picture;
    assert_eq!(again(), again());
}
