//! Where the thread is tied and where it is cut.
//!
//! Travel longer than 5 to 8 mm is trimmed, and none where later objects cover it: trade practice;
//! 5 mm is the default here.

mod designs;

use designs::{at, design, filled_box, kinds, row, run, trims};
use hoopwright_sdk::prelude::*;
use hoopwright_ties_and_trims::{HiddenTravel, TiesAndTrims, ties_and_trims};

fn all(design: Design, settings: &TiesAndTrims) -> Design {
    let selected: Vec<usize> = (0..design.objects.len()).collect();
    ties_and_trims(design, &selected, settings).expect("it never fails")
}

/// How many ties an object has: blocks of role tie.
fn ties(object: &Object) -> usize {
    let tie = |block: &&StitchBlock| block.role == StitchRole::Tie;
    object.stitches.iter().filter(tie).count()
}

fn note() -> String {
    messages::take()
        .pop()
        .map(|finding| finding.message)
        .unwrap_or_default()
}

#[test]
fn short_travel_belongs_to_the_run_and_long_travel_is_cut() {
    // 0-12, then 3 mm on to 15-27, then 8 mm on to 35-47.
    let before = design(vec![row("a", 0, 0.), row("b", 0, 15.), row("c", 0, 35.)]);
    messages::take();
    let done = all(before, &TiesAndTrims::default());
    assert_eq!(done.objects.iter().map(ties).collect::<Vec<_>>(), [1, 1, 2]);
    assert_eq!(
        done.objects.iter().map(trims).collect::<Vec<_>>(),
        [0, 0, 1]
    );
    assert_eq!(done.objects[2].stitches[0].kind, StitchKind::Trim);
    assert_eq!(done.objects[2].stitches[0].x, [35.0]);
    assert_eq!(
        note(),
        "1 trims, 2 tie-ins, 2 tie-offs; hidden travel: 0 sewn, 0 left as jumps."
    );
}

/// Common practice: no stitch under 0.3 mm.
#[test]
fn an_object_that_begins_a_hair_away_begins_where_the_last_one_ends() {
    let begins = |b: Object| {
        let done = all(design(vec![row("a", 0, 0.), b]), &TiesAndTrims::default());
        let again = all(done.clone(), &TiesAndTrims::default());
        assert_eq!(done, again);
        stitches_of(&done.objects[1].stitches).next().map(|s| s.at)
    };
    // The row before ends at 12.
    assert_eq!(begins(row("b", 0, 12.2)), Some(at(12.0, 0.0)));
    assert_eq!(begins(row("b", 0, 12.3)), Some(at(12.3, 0.0)));
    // Another thread begins where it should, and stitches placed by hand stay.
    assert_eq!(begins(row("b", 1, 12.2)), Some(at(12.2, 0.0)));
    let by_hand = Object {
        shape: Shape::Manual,
        ..row("b", 0, 12.2)
    };
    assert_eq!(begins(by_hand), Some(at(12.2, 0.0)));
}

#[test]
fn a_tie_in_lies_on_the_stitches_to_come_and_a_tie_off_on_those_just_sewn() {
    let done = all(design(vec![row("a", 0, 0.)]), &TiesAndTrims::default());
    let xs: Vec<f64> = stitches_of(&done.objects[0].stitches)
        .map(|s| s.at.x)
        .collect();
    // The start, four tie stitches back to it, the row, four tie stitches back to its end.
    assert_eq!(xs.len(), 1 + 4 + 4 + 4);
    assert_eq!((xs[0], xs[4], xs[5]), (0.0, 0.0, 3.0));
    assert!(xs[1..4].iter().all(|x| (0.0..=1.2).contains(x)), "{xs:?}");
    assert_eq!((xs[8], xs[12]), (12.0, 12.0));
    assert!(
        xs[9..12].iter().all(|x| (10.8..=12.0).contains(x)),
        "{xs:?}"
    );
}

/// Most machines cut at a thread change by themselves (trade practice), so no trim is put.
#[test]
fn a_thread_change_is_tied_and_not_trimmed() {
    let done = all(
        design(vec![row("a", 0, 0.), row("b", 1, 50.)]),
        &TiesAndTrims::default(),
    );
    assert_eq!(done.objects.iter().map(ties).collect::<Vec<_>>(), [2, 2]);
    assert_eq!(done.objects.iter().map(trims).sum::<usize>(), 0);
}

#[test]
fn a_jump_inside_an_object_becomes_a_trim_when_it_is_long() {
    for (gap, cut) in [(4.0, 0), (6.0, 1)] {
        let mut list = StitchList::new();
        run(&mut list, 0.0, 12.0);
        list.jump(at(12.0 + gap, 0.));
        run(&mut list, 12.0 + gap, 24.0 + gap);
        let mut object = Object::new("parts", Shape::Manual);
        object.stitches = list.into_blocks();
        let done = all(design(vec![object]), &TiesAndTrims::default());
        assert_eq!(trims(&done.objects[0]), cut);
        assert_eq!(ties(&done.objects[0]), 2 + 2 * cut);
        let jumps = kinds(&done.objects[0])
            .into_iter()
            .filter(|k| *k == StitchKind::Jump);
        assert_eq!(jumps.count(), 1 - cut);
    }
}

/// A column of 40 stitches as a machine file holds it, with a jump on the way of each of those that are
/// longer than `stored` mm, between two runs of sewing 30 mm away from it.
fn column_read(width: f64, stored: f64) -> Object {
    let mut list = StitchList::new();
    run(&mut list, -42.0, -30.0);
    list.jump(at(0., 0.));
    list.needle(StitchRole::Cover, at(0., 0.));
    for i in 1..40 {
        let to = at(0.2 * f64::from(i), width * f64::from(i % 2));
        if width > stored {
            list.jump(to);
        }
        list.needle(StitchRole::Cover, to);
    }
    list.jump(at(38., 0.));
    run(&mut list, 38., 50.);
    let mut object = Object::new("read", Shape::Manual);
    object.stitches = list.into_blocks();
    object
}

/// A record of a DST file moves by no more than 12.1 mm, so that a longer stitch is jumps and a stitch
/// (the format's own limit). Its parts are no travel: nothing is cut or tied between them, and the column
/// is tied where it begins and ends as if it had been stored in one.
#[test]
fn long_stitches_of_a_machine_file_are_no_travel() {
    for (width, stored) in [(13.0, 12.1), (8.0, 0.0), (8.0, 12.1)] {
        let before = column_read(width, stored);
        let done = all(design(vec![before]), &TiesAndTrims::default());
        let object = &done.objects[0];
        assert_eq!((trims(object), ties(object)), (2, 6), "{width} mm");
        let within = object.stitches.iter().filter(|block| {
            let inside = |x: &f64| (0.3..7.4).contains(x);
            block.role == StitchRole::Tie && block.x.iter().any(inside)
        });
        assert_eq!(within.count(), 0, "{width} mm");
        let again = all(done.clone(), &TiesAndTrims::default());
        assert_eq!(again, done);
    }
}

#[test]
fn the_first_and_the_last_needle_point_of_a_file_are_no_long_stitch() {
    // Many files begin with a needle point where the hoop starts, far from the sewing.
    let mut list = StitchList::new();
    list.needle(StitchRole::Cover, at(-20., 0.));
    list.jump(at(0., 0.));
    run(&mut list, 0., 12.);
    let mut object = Object::new("read", Shape::Manual);
    object.stitches = list.into_blocks();
    let done = all(design(vec![object]), &TiesAndTrims::default());
    assert_eq!((trims(&done.objects[0]), ties(&done.objects[0])), (1, 2));
}

/// A shop that has put its trims keeps them, whatever the limit for new ones.
#[test]
fn trims_of_a_machine_file_stay_however_short_the_way() {
    let mut list = StitchList::new();
    run(&mut list, 0.0, 12.0);
    list.trim(at(13.0, 0.0));
    run(&mut list, 13.0, 25.0);
    let mut by_hand = Object::new("read", Shape::Manual);
    by_hand.stitches = list.into_blocks();
    let done = all(design(vec![by_hand.clone()]), &TiesAndTrims::default());
    assert_eq!((trims(&done.objects[0]), ties(&done.objects[0])), (1, 4));
    let again = all(done.clone(), &TiesAndTrims::default());
    assert_eq!(again, done);

    // The trims of objects with a shape are this step's own.
    let drawn = Object {
        shape: row("drawn", 0, 0.).shape,
        ..by_hand
    };
    let done = all(design(vec![drawn]), &TiesAndTrims::default());
    assert_eq!((trims(&done.objects[0]), ties(&done.objects[0])), (0, 2));
}

#[test]
fn hidden_travel_is_sewn_within_the_next_object() {
    // From x 12 to x 30 beneath a filled box from 5 to 45 that is sewn last.
    let before = design(vec![
        row("a", 0, 0.),
        row("b", 0, 30.),
        filled_box("over", 1, 5., 40.),
    ]);
    messages::take();
    let done = all(before.clone(), &TiesAndTrims::default());
    assert_eq!(trims(&done.objects[1]), 0);
    assert_eq!(ties(&done.objects[0]), 1, "the thread runs on");
    let travel = &done.objects[1].stitches[0];
    assert_eq!(travel.role, StitchRole::Travel);
    // 18 mm in steps of at most 2.5: eight steps of 2.25 mm.
    assert_eq!(travel.x.len(), 7);
    assert!((travel.x[0] - 14.25).abs() < 1e-9);
    assert!(note().contains("1 sewn, 0 left as jumps"));

    let jump = TiesAndTrims {
        hidden_travel_as: HiddenTravel::Jump,
        ..TiesAndTrims::default()
    };
    // Other settings undo the sewn travel first.
    for from in [before.clone(), done.clone()] {
        let done = all(from, &jump);
        assert_eq!(
            done.objects[..2].iter().map(ties).collect::<Vec<_>>(),
            [2, 2]
        );
        assert_eq!(done.objects[1].stitches[0].role, StitchRole::Cover);
        assert!(note().contains("0 sewn, 1 left as jumps"));
    }

    let never = TiesAndTrims {
        hidden_travel: 17.0,
        ..TiesAndTrims::default()
    };
    assert_eq!(trims(&all(done, &never).objects[1]), 1);
}

#[test]
fn travel_beneath_an_earlier_object_shows_and_is_cut() {
    let before = design(vec![
        filled_box("under", 1, 5., 40.),
        row("a", 0, 0.),
        row("b", 0, 30.),
    ]);
    assert_eq!(trims(&all(before, &TiesAndTrims::default()).objects[2]), 1);
}

/// A long float beneath satin heaves it up, and the thread may catch.
#[test]
fn a_hidden_jump_inside_an_object_is_cut_unless_jumps_are_asked_for() {
    let mut list = StitchList::new();
    run(&mut list, 0.0, 12.0);
    list.jump(at(30., 0.));
    run(&mut list, 30., 42.);
    let line = Shape::Lines(hoopwright_sdk::Lines {
        paths: Vec::new(),
        width: 0.4,
    });
    let mut object = Object::new("parts", line);
    object.stitches = list.into_blocks();
    let before = design(vec![object, filled_box("over", 1, 5., 40.)]);
    let jump = TiesAndTrims {
        hidden_travel_as: HiddenTravel::Jump,
        ..TiesAndTrims::default()
    };
    let stitches = TiesAndTrims::default();
    for (settings, trimmed) in [(&stitches, 1), (&jump, 0), (&stitches, 1)] {
        let done = all(before.clone(), settings);
        let parts = &done.objects[0];
        assert_eq!((trims(parts), ties(parts)), (trimmed, 4));
        assert_eq!(all(done.clone(), settings), done);
    }
}

#[test]
fn a_stop_ends_the_run_and_stays() {
    let mut list = StitchList::new();
    run(&mut list, 0.0, 12.0);
    list.push(Stitch {
        at: at(12., 0.),
        kind: StitchKind::Stop,
        role: StitchRole::Travel,
    });
    list.jump(at(40., 0.));
    run(&mut list, 40., 52.);
    let mut object = Object::new("stop", Shape::Manual);
    object.stitches = list.into_blocks();
    let done = all(design(vec![object]), &TiesAndTrims::default());
    assert_eq!((trims(&done.objects[0]), ties(&done.objects[0])), (0, 4));
    assert!(kinds(&done.objects[0]).contains(&StitchKind::Stop));
}

#[test]
fn a_cut_that_would_go_into_an_unselected_object_is_named() {
    let before = design(vec![row("a", 0, 0.), row("b", 0, 35.)]);
    messages::take();
    let done = ties_and_trims(before.clone(), &[0], &TiesAndTrims::default()).expect("never fails");
    assert_eq!(done.objects[1], before.objects[1]);
    assert_eq!(ties(&done.objects[0]), 2);
    let warning = &messages::take()[0];
    assert_eq!(warning.severity, Severity::Warning);
    assert_eq!(warning.object.as_deref(), Some("a"));
    assert!(
        warning.message.contains("23.0 mm of travel to `b`"),
        "{}",
        warning.message
    );
}

#[test]
fn a_single_needle_point_is_named() {
    let mut dot = Object::new("dot", Shape::Manual);
    let mut list = StitchList::new();
    list.needle(StitchRole::Cover, at(0., 0.));
    dot.stitches = list.into_blocks();
    messages::take();
    let done = all(
        design(vec![dot.clone(), Object::new("empty", Shape::Manual)]),
        &TiesAndTrims::default(),
    );
    assert_eq!(done.objects[0].stitches, dot.stitches);
    let findings = messages::take();
    assert_eq!(findings.len(), 2);
    assert_eq!(findings[0].object.as_deref(), Some("dot"));
}

#[test]
fn stitches_of_a_machine_file_that_are_tied_get_no_second_tie() {
    let mut list = StitchList::new();
    for x in [
        0., 0.7, 0.1, 0.8, 0., 3., 6., 9., 12., 11.3, 11.9, 11.2, 12.,
    ] {
        list.needle(StitchRole::Cover, at(x, 0.));
    }
    let mut object = Object::new("read", Shape::Manual);
    object.stitches = list.into_blocks();
    let done = all(design(vec![object.clone()]), &TiesAndTrims::default());
    assert_eq!(done.objects[0], object);
}

#[test]
fn nothing_selected_and_nothing_there() {
    messages::take();
    let before = design(vec![row("a", 0, 0.)]);
    let done = ties_and_trims(before.clone(), &[], &TiesAndTrims::default()).expect("never fails");
    assert_eq!(done, before);
    assert_eq!(messages::take().len(), 1);
    assert!(
        all(design(Vec::new()), &TiesAndTrims::default())
            .objects
            .is_empty()
    );
}

#[test]
fn every_setting_has_a_description_and_its_default() {
    let described = hoopwright_ties_and_trims::description();
    let schema: hoopwright_sdk::serde_json::Value =
        hoopwright_sdk::serde_json::from_str(&described.settings_schema).expect("it is JSON");
    let properties = schema["properties"].as_object().expect("it has settings");
    assert_eq!(properties.len(), 6);
    for (name, property) in properties {
        assert!(property["description"].is_string(), "{name}");
        assert!(!property["default"].is_null(), "{name}");
    }
}
