//! Angles that can be told by hand.

mod drawings;

use drawings::{angles, oblong, region, turned, turned_with};
use hoopwright_border_angles::{BorderAngles, border_angles};
use hoopwright_sdk::geometry::geo::{LineString, MultiPolygon, Polygon};
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::{DirectionMark, Severity, messages};

/// Two halves of a leaf: the larger keeps the routine's angle, whichever is sewn first.
#[test]
fn the_smaller_of_two_is_turned() {
    let leaf = vec![
        region("large", &oblong(0., 0., 20., 10.)),
        region("small", &oblong(20., 0., 10., 10.)),
    ];
    assert_eq!(angles(&turned(leaf.clone())), [Some(45.), Some(105.)]);
    let other_way = leaf.into_iter().rev().collect();
    assert_eq!(angles(&turned(other_way)), [Some(105.), Some(45.)]);
}

#[test]
fn three_that_touch_each_other_all_differ() {
    let three = || {
        vec![
            region("ground", &oblong(0., 10., 20., 10.)),
            region("left", &oblong(0., 0., 10., 10.)),
            region("right", &oblong(10., 0., 10., 10.)),
        ]
    };
    assert_eq!(
        angles(&turned(three())),
        [Some(45.), Some(105.), Some(165.)]
    );
    // At right angles only two can: the shortest border stays, and a note names both.
    let settings = BorderAngles {
        least_turn: 90.0,
        ..BorderAngles::default()
    };
    let mut narrow = three();
    narrow[1] = region("left", &oblong(0., 3., 10., 7.));
    messages::take();
    assert_eq!(
        angles(&turned_with(narrow, &settings)),
        [Some(45.), Some(135.), Some(135.)]
    );
    let told = messages::take();
    let about = told.iter().find(|it| it.object.is_some()).expect("a note");
    assert_eq!(about.object.as_deref(), Some("right"));
    assert!(about.message.contains("\"left\" along 7 mm"), "{about:?}");
}

/// What an artist draws over a ground, and what was cut out of it with an underlap of 0.3 mm.
#[test]
fn what_lies_on_another_touches_it() {
    let on = vec![
        region("ground", &oblong(0., 0., 30., 30.)),
        region("top", &oblong(10., 10., 8., 8.)),
    ];
    assert_eq!(angles(&turned(on.clone())), [Some(45.), Some(105.)]);
    let hole = oblong(10.3, 10.3, 7.4, 7.4).0.remove(0);
    let ground = oblong(0., 0., 30., 30.).0.remove(0);
    let ground = Polygon::new(ground.exterior().clone(), vec![hole.exterior().clone()]);
    let cut = vec![region("ground", &ground.into()), on[1].clone()];
    assert_eq!(angles(&turned(cut)), [Some(45.), Some(105.)]);
}

#[test]
fn only_long_borders_across_narrow_gaps_count() {
    let beside = |gap: f64, high: f64| {
        let pair = vec![
            region("left", &oblong(0., 0., 20., 10.)),
            region("right", &oblong(20. + gap, 0., 10., high)),
        ];
        angles(&turned(pair))[1]
    };
    assert_eq!(beside(0.25, 8.0), Some(105.));
    assert_eq!(beside(0.35, 8.0), None);
    assert_eq!(beside(0.0, 6.1), Some(105.));
    assert_eq!(beside(0.0, 5.5), None);
}

#[test]
fn another_thread_or_colour_between_is_border_enough() {
    let pair = || {
        vec![
            region("left", &oblong(0., 0., 20., 10.)),
            region("right", &oblong(20., 0., 10., 10.)),
        ]
    };
    let none = [None, None];
    let mut threads = pair();
    threads[1].thread = 1;
    assert_eq!(angles(&turned(threads)), none);

    let seam = LineString::from(vec![(20., -1.), (20., 11.)]);
    let mut outline = Object::of_line("outline", &seam, 0.3);
    outline.thread = 1;
    let mut outlined = pair();
    outlined.push(outline.clone());
    assert_eq!(angles(&turned(outlined)), [None, None, None]);
    // Sewn first, it lies beneath both.
    let mut beneath = pair();
    beneath.insert(0, outline);
    assert_eq!(angles(&turned(beneath)), [None, Some(45.), Some(105.)]);

    // A white disc between a red ground and a red pupil.
    let mut white = region("white", &oblong(8., 8., 14., 14.));
    white.thread = 1;
    let eye = vec![
        region("ground", &oblong(0., 0., 30., 30.)),
        white,
        region("pupil", &oblong(11., 11., 8., 8.)),
    ];
    assert_eq!(angles(&turned(eye)), [None, None, None]);
}

#[test]
fn what_the_artwork_shows_in_one_colour_is_one_surface() {
    let pair = |colours: [&str; 2]| {
        let mut pair = vec![
            region("left", &oblong(0., 0., 20., 10.)),
            region("right", &oblong(20., 0., 10., 10.)),
        ];
        for (object, colour) in pair.iter_mut().zip(colours) {
            object.tags = vec!["#leaf".to_owned(), colour.to_owned()];
        }
        pair
    };
    let turned_pair = [Some(45.), Some(105.)];
    assert_eq!(angles(&turned(pair(["#ff6f1f", "#f4580b"]))), turned_pair);
    let one = pair(["#ff6f1f", "#ff6f1f"]);
    assert_eq!(angles(&turned(one.clone())), [None, None]);
    let settings = BorderAngles {
        one_colour: true,
        ..BorderAngles::default()
    };
    assert_eq!(angles(&turned_with(one, &settings)), turned_pair);
}

/// Bamboo: a leaf touches only one of three pieces of the stem.
#[test]
fn one_colour_gets_one_angle_all_over() {
    let coloured = |id: &str, x: f64, y: f64, wide: f64, high: f64, colour: &str| {
        let mut object = region(id, &oblong(x, y, wide, high));
        object.tags = vec![colour.to_owned()];
        object
    };
    let bamboo = || {
        let mut bamboo = vec![
            coloured("stem-1", 0., 0., 6., 20., "#6dba31"),
            coloured("stem-2", 0., 22., 6., 20., "#6dba31"),
            coloured("stem-3", 0., 44., 6., 20., "#6dba31"),
            coloured("leaf-1", 6., 5., 20., 9., "#b1e87e"),
            coloured("leaf-2", 30., 5., 20., 9., "#b1e87e"),
        ];
        bamboo[4].thread = 1;
        bamboo
    };
    let (base, other) = (Some(45.), Some(105.));
    assert_eq!(angles(&turned(bamboo())), [base, base, base, other, None]);
    // One that has an angle already keeps it, and the others go by what they touch.
    let mut own = bamboo();
    own[1].sewing.angle = Some(10.);
    assert_eq!(angles(&turned(own)), [base, Some(10.), base, other, None]);
}

#[test]
fn an_angle_that_is_there_stays_and_others_are_turned_from_it() {
    let chain = |own: f64| {
        let mut chain: Vec<Object> = (0..3)
            .map(|i| {
                region(
                    &format!("link-{i}"),
                    &oblong(10. * f64::from(i), 0., 10., 10.),
                )
            })
            .collect();
        chain[0].sewing.angle = Some(own);
        chain
    };
    assert_eq!(
        angles(&turned(chain(45.))),
        [Some(45.), Some(105.), Some(45.)]
    );
    assert_eq!(
        angles(&turned(chain(200.))),
        [Some(200.), Some(105.), Some(45.)]
    );
    // Where none of the step's own angles will do, one turned from that is taken.
    let settings = BorderAngles {
        least_turn: 90.0,
        ..BorderAngles::default()
    };
    assert_eq!(
        angles(&turned_with(chain(75.), &settings)),
        [Some(75.), Some(165.), Some(75.)]
    );
    // Not selected, it counts as well; without an angle, what is not selected does not.
    let design = Design::on_page(100., 100., chain(45.));
    let after = border_angles(design, &[1], &BorderAngles::default()).expect("it works");
    assert_eq!(angles(&after.objects), [Some(45.), Some(105.), None]);
}

#[test]
fn marks_and_stitches_stay() {
    let pair = || {
        vec![
            region("left", &oblong(0., 0., 20., 10.)),
            region("right", &oblong(20., 0., 10., 10.)),
        ]
    };
    let mut marked = pair();
    marked[1].sewing.direction_marks = vec![DirectionMark {
        tail: Point { x: 21., y: 1. },
        head: Point { x: 29., y: 1. },
    }];
    assert_eq!(turned(marked.clone()), marked);
    let mut sewn = pair();
    let mut list = StitchList::new();
    list.needle(StitchRole::Cover, Coord { x: 1., y: 1. });
    sewn[1].stitches = list.into_blocks();
    messages::take();
    assert_eq!(turned(sewn.clone()), sewn);
    let told = messages::take();
    assert!(told.iter().any(|it| it.severity == Severity::Warning));
}

#[test]
fn a_giant_is_refused_and_hostile_shapes_pass() {
    let giant = vec![region("giant", &oblong(0., 0., 5000., 10.))];
    let design = Design::on_page(100., 100., giant);
    let refused = border_angles(design, &[0], &BorderAngles::default()).expect_err("a giant");
    assert_eq!(refused.object.as_deref(), Some("giant"));

    let bow = Polygon::new(
        LineString::from(vec![(0., 0.), (30., 30.), (30., 0.), (0., 30.)]),
        Vec::new(),
    );
    let objects = vec![
        region("nothing", &MultiPolygon::new(Vec::new())),
        region("flat", &oblong(0., 0., 30., 0.)),
        region("bow", &bow.into()),
        region("twice", &oblong(0., 0., 30., 30.)),
        region("twice-too", &oblong(0., 0., 30., 30.)),
        region("comb", &comb()),
        Object::of_line("dot", &LineString::from(vec![(5., 5.), (5., 5.)]), 1.0),
        Object::of_line("far", &LineString::from(vec![(0., 0.), (1e300, 5.)]), 2.0),
        Object::new("hand", Shape::Manual),
    ];
    let after = turned(objects.clone());
    assert_eq!(after.len(), objects.len());
}

/// Teeth as fine as a hair.
fn comb() -> MultiPolygon<f64> {
    let mut ring = vec![(0., 30.)];
    for tooth in 0..2000 {
        let x = 0.015 * f64::from(tooth);
        ring.extend([(x, 0.), (x + 0.005, 29.)]);
    }
    ring.push((30., 30.));
    Polygon::new(LineString::from(ring), Vec::new()).into()
}
