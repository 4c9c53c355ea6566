//! What is sewn otherwise than was asked is told.

use crate::measures::{jumps, moves};
use crate::shapes::*;
use hoopwright_region_fill::{Follow, RegionFill, Underlay};
use hoopwright_sdk::{DirectionMark, Finding, Object, Point, Severity, Stitch, stitches_of};

fn bare(follow: Follow) -> RegionFill {
    RegionFill {
        follow,
        underlay: Underlay::None,
        ..RegionFill::default()
    }
}

fn told(object: Object, settings: &RegionFill) -> (Vec<Stitch>, Vec<Finding>) {
    let (object, findings) = sew(object, settings);
    (stitches_of(&object.stitches).collect(), findings)
}

/// 330 x 330 mm, more than a large hoop holds, are more lines than a call's usual memory and work allow.
#[test]
fn what_is_too_large_for_bent_lines_is_sewn_in_straight_rows_with_a_warning() {
    let mut object = Object::of_region("sheet", &rectangle(330.0, 330.0));
    object.sewing.direction_marks = vec![DirectionMark {
        tail: Point { x: 20.0, y: 30.0 },
        head: Point { x: 60.0, y: 20.0 },
    }];
    object.sewing.angle = Some(0.0);
    let (straight, _) = told(object.clone(), &bare(Follow::Rows));
    for follow in [Follow::Marks, Follow::Centre] {
        let (stitches, findings) = told(object.clone(), &bare(follow));
        assert_eq!(findings.len(), 1, "{findings:?}");
        assert_eq!(findings[0].severity, Severity::Warning);
        assert_eq!(findings[0].object.as_deref(), Some("sheet"));
        assert!(findings[0].message.contains("too large"), "{findings:?}");
        assert!(stitches == straight && jumps(&stitches) == 0);
    }
}

#[test]
fn an_objects_own_numbers_out_of_range_are_told() {
    for (density, length, told_of) in [
        (Some(0.4), Some(4.0), vec![]),
        (Some(0.1), None, vec!["density of 0.1 mm; 0.15 mm"]),
        (
            Some(20.0),
            Some(0.5),
            vec!["density of 20 mm; 10 mm", "length of 0.5 mm; 1 mm"],
        ),
        (None, Some(30.0), vec!["length of 30 mm; 12 mm"]),
    ] {
        let mut object = Object::of_region("a", &rectangle(30.0, 20.0));
        (object.sewing.density, object.sewing.stitch_length) = (density, length);
        let (_, findings) = told(object, &bare(Follow::Rows));
        let warnings: Vec<&Finding> = findings
            .iter()
            .filter(|finding| finding.severity == Severity::Warning)
            .collect();
        assert_eq!(warnings.len(), told_of.len(), "{findings:?}");
        for (warning, told_of) in warnings.into_iter().zip(told_of) {
            assert!(warning.message.contains(told_of), "{warning:?}");
            assert_eq!(warning.object.as_deref(), Some("a"));
        }
    }
}

/// 45 % of 2 mm are 0.9.
#[test]
fn a_shortest_stitch_that_does_not_count_is_told() {
    for (shortest, told_of) in [(0.9, false), (1.5, true)] {
        let settings = RegionFill {
            stitch_length: 2.0,
            shortest_stitch: shortest,
            ..bare(Follow::Rows)
        };
        let (_, findings) = told(Object::of_region("a", &rectangle(9.0, 9.0)), &settings);
        assert_eq!(findings.len(), usize::from(told_of), "{findings:?}");
        for finding in findings {
            assert_eq!(finding.severity, Severity::Note);
            assert!(finding.message.contains("0.90 mm"), "{finding:?}");
        }
    }
}

/// Rows all over the area: the distance grows evenly from its one side to its other, so that a
/// part from a to b takes the integral of dx / pitch(x) rows; here pitch(x) = 0.2 + 0.8 x / 100.
#[test]
fn shading_goes_on_from_part_to_part() {
    use hoopwright_sdk::geometry::geo::Translate;
    let mut area = rectangle(20.0, 20.0);
    area.0.extend(rectangle(20.0, 20.0).translate(40.0, 0.0).0);
    area.0.extend(rectangle(20.0, 20.0).translate(80.0, 0.0).0);
    let mut object = Object::of_region("three", &area);
    object.sewing.angle = Some(90.0);
    let settings = RegionFill {
        density_far: Some(2.0),
        ..bare(Follow::Rows)
    };
    let (stitches, _) = told(object, &settings);
    for left in [0.0, 40.0, 80.0] {
        let long: f64 = moves(&stitches)
            .iter()
            .filter(|m| m.from.x >= left - 0.5 && m.from.x <= left + 20.5)
            .map(|m| (m.to.y - m.from.y).abs())
            .sum();
        let pitch = |x: f64| 0.2 + 0.8 * x / 100.0;
        let rows = 100.0 / 0.8 * (pitch(left + 20.0) / pitch(left)).ln();
        let ratio = long / 20.3 / rows;
        assert!((0.93..1.07).contains(&ratio), "{ratio} at {left}");
    }
}

/// Shapes drawn level have an axis a hair above or below level, as rounding has it.
#[test]
fn level_rows_are_shaded_from_the_top_however_rounded() {
    let bar = |lean: f64| solid(&[(0., 0.), (60., lean), (60., 12. + lean), (0., 12.)]);
    for lean in [0.0, 1e-9, -1e-9, 1e-3, -1e-3, 0.9, -0.9] {
        for shape in [bar(lean), bar(lean + 1e-12)] {
            let settings = RegionFill {
                density_far: Some(2.0),
                ..bare(Follow::Rows)
            };
            let (stitches, _) = told(Object::of_region("bar", &shape), &settings);
            let long = |upper: bool| -> f64 {
                let half = moves(&stitches)
                    .into_iter()
                    .filter(|m| (m.from.y < 6.0 + lean * m.from.x / 60.0) == upper);
                half.map(|m| m.length()).sum()
            };
            let (upper, lower) = (long(true), long(false));
            assert!(upper > 1.5 * lower, "{lean}: {upper} above, {lower} below");
        }
    }
}

/// A band 1 mm wide has no room for a run 0.6 mm inside both edges; 8 mm have.
#[test]
fn an_underlay_that_was_asked_for_and_has_no_room_is_told() {
    for (height, asked, is_told) in [
        (1.0, Underlay::EdgeRun, true),
        (1.0, Underlay::CrossRows, true),
        (1.0, Underlay::Both, true),
        (1.0, Underlay::Automatic, false),
        (1.0, Underlay::None, false),
        (8.0, Underlay::EdgeRun, false),
        (8.0, Underlay::CrossRows, false),
        (8.0, Underlay::Both, false),
    ] {
        let settings = RegionFill {
            underlay: asked,
            ..RegionFill::default()
        };
        let object = Object::of_region("band", &rectangle(12.0, height));
        let (_, findings) = told(object, &settings);
        let about: Vec<&Finding> = findings
            .iter()
            .filter(|finding| finding.message.contains("the underlay asked for"))
            .collect();
        assert_eq!(about.len(), usize::from(is_told), "{height} {asked:?}");
        for note in about {
            assert_eq!(note.object.as_deref(), Some("band"));
            assert_eq!(note.severity, Severity::Note);
        }
    }
}
