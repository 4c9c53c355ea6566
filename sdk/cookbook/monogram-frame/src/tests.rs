use super::*;
use hoopwright_sdk::geometry::geo::{Area, line_string};
use hoopwright_sdk::geometry::measure;
use std::f64::consts::PI;

/// A letter whose thread takes 20 mm by 30 mm, about (50, 40).
fn letter() -> Design {
    let mut stitches = StitchList::new();
    for (x, y) in [(40.2, 25.2), (59.8, 54.8)] {
        stitches.needle(StitchRole::Cover, Coord { x, y });
    }
    let letter = Object {
        stitches: stitches.into_blocks(),
        ..Object::new("letter", Shape::Manual)
    };
    Design::on_page(
        100.0,
        100.0,
        vec![letter, Object::new("after", Shape::Manual)],
    )
}

fn framed(settings: &MonogramFrame) -> Object {
    let after = monogram_frame(letter(), &[0], settings);
    let design = after.unwrap_or_else(|why| panic!("{why:?}"));
    let ids: Vec<&str> = design.objects.iter().map(|o| o.id.as_str()).collect();
    assert_eq!(ids, ["letter", "frame", "after"]);
    design.objects[1].clone()
}

/// The least distance from the letter's four corners and four sides to the frame's inner edge.
fn clear(frame: &Object, width: f64) -> f64 {
    let Shape::Lines(lines) = &frame.shape else {
        panic!("a line");
    };
    let ring = lines.paths[0].to_line_string();
    let mut least = f64::MAX;
    for i in 0..=60 {
        let t = f64::from(i) / 60.0;
        for place in [
            Coord {
                x: 40.0 + 20.0 * t,
                y: 25.0,
            },
            Coord {
                x: 40.0 + 20.0 * t,
                y: 55.0,
            },
            Coord {
                x: 40.0,
                y: 25.0 + 30.0 * t,
            },
            Coord {
                x: 60.0,
                y: 25.0 + 30.0 * t,
            },
        ] {
            for edge in ring.lines() {
                least = least.min(measure::to_edge(place, [edge.start, edge.end]));
            }
        }
    }
    least - width / 2.0
}

#[test]
fn every_form_keeps_exactly_the_distance() {
    for form in [Form::Round, Form::Rounded, Form::Pointed] {
        for (distance, width, corner_radius) in [(4.0, 2.5, 8.0), (0.0, 1.0, 0.0), (2.0, 3.0, 60.0)]
        {
            let settings = MonogramFrame {
                form,
                distance,
                width,
                corner_radius,
                ..MonogramFrame::default()
            };
            let clear = clear(&framed(&settings), width);
            assert!(clear > distance - 0.02, "{form:?} {distance}: {clear}");
            // Where a radius is too large for its sides, the frame lies farther out.
            let exact = corner_radius < 60.0 || form != Form::Rounded;
            assert!(
                !exact || clear < distance + 0.02,
                "{form:?} {distance}: {clear}"
            );
        }
    }
}

/// Half of the diagonal of 20 by 30 is 18.028; with 4 mm and half of 2.5 mm the radius is 23.278.
#[test]
fn a_round_frame_is_a_circle_about_the_letter() {
    let frame = framed(&MonogramFrame::default());
    let Shape::Lines(lines) = &frame.shape else {
        panic!("a line");
    };
    assert_eq!(lines.width, 2.5);
    for corner in lines.paths[0].corners() {
        let radius = measure::distance(corner, Coord { x: 50.0, y: 40.0 });
        assert!((radius - 23.278).abs() < 0.002, "{radius}");
    }
}

/// The vesica of two circles of radius r, each through the other's centre, has the area
/// `(4 pi - 3 √3) r² / 6` and is `√3` times as long as wide (Euclid, Elements I.1, draws it; the area
/// follows from two circular segments of 120°).
#[test]
fn a_pointed_frame_is_the_figure_of_two_circles() {
    let frame = framed(&MonogramFrame {
        form: Form::Pointed,
        ..MonogramFrame::default()
    });
    let bounds = Bounds::as_drawn(&frame).unwrap_or_else(|| panic!("it has a shape"));
    // Half of the stroke's width on each side is not part of the figure.
    let (width, height) = (bounds.across.length() - 2.5, bounds.down.length() - 2.5);
    assert!(
        (height / width - 3.0_f64.sqrt()).abs() < 0.002,
        "{width} {height}"
    );
    let Shape::Lines(lines) = &frame.shape else {
        panic!("a line");
    };
    let inside = geo::Polygon::new(lines.paths[0].to_line_string(), vec![]).unsigned_area();
    let formula = (4.0 * PI - 3.0 * 3.0_f64.sqrt()) * width * width / 6.0;
    assert!((inside / formula - 1.0).abs() < 0.001, "{inside} {formula}");
}

/// A ring of mean radius 23.278 and 2.5 mm width has 2 pi 23.278 × 2.5 = 365.65 mm².
#[test]
fn an_area_has_a_hole() {
    let frame = framed(&MonogramFrame {
        made_of: MadeOf::Area,
        ..MonogramFrame::default()
    });
    let Shape::Region(region) = &frame.shape else {
        panic!("an area");
    };
    assert_eq!(
        (region.polygons.len(), region.polygons[0].holes.len()),
        (1, 1)
    );
    let area = region.to_multi_polygon().unsigned_area();
    assert!((area - 365.65).abs() < 0.5, "{area}");
}

#[test]
fn a_run_is_sewn_already() {
    let frame = framed(&MonogramFrame {
        made_of: MadeOf::Run,
        ..MonogramFrame::default()
    });
    let needles: Vec<Stitch> = stitches_of(&frame.stitches).collect();
    assert_eq!(needles.first().map(|n| n.at), needles.last().map(|n| n.at));
    // 146.26 mm in steps of at most 2.5 mm.
    assert!((59..70).contains(&(needles.len() - 1)), "{}", needles.len());
}

#[test]
fn what_lies_in_the_way_is_named() {
    let mut design = letter();
    let line = line_string![(x: 40., y: 40.), (x: 90., y: 40.)];
    design.objects.push(Object::of_line("whisker", &line, 0.4));
    messages::take();
    assert!(monogram_frame(design, &[0], &MonogramFrame::default()).is_ok());
    let said = messages::take();
    assert_eq!(said.len(), 1);
    assert_eq!(said[0].object.as_deref(), Some("whisker"));
}

#[test]
fn a_thread_that_is_not_there_is_named() {
    let settings = MonogramFrame {
        thread: "silver".into(),
        ..MonogramFrame::default()
    };
    let why = monogram_frame(letter(), &[0], &settings).expect_err("no silver");
    assert_eq!(why.message, "The design has no thread \"silver\".");
}
