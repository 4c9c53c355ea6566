use super::*;
use crate::design::{Point, Rectangle, Shape, StitchList, StitchRole};
use crate::formats::dst::Place;

fn thread(name: &str) -> Thread {
    Thread {
        name: name.to_owned(),
        code: String::new(),
        red: 0,
        green: 0,
        blue: 0,
        weight: 40,
    }
}

fn object(id: &str, thread: u32, stitches: impl FnOnce(&mut StitchList)) -> Object {
    let mut list = StitchList::new();
    stitches(&mut list);
    let mut object = Object::new(id, Shape::Manual);
    object.thread = thread;
    object.stitches = list.into_blocks();
    object
}

fn design(objects: Vec<Object>) -> Design {
    Design {
        title: "Barn owl".to_owned(),
        page: Rectangle {
            least: Point { x: 0.0, y: 0.0 },
            greatest: Point { x: 100.0, y: 100.0 },
        },
        threads: vec![thread("tan"), thread("white"), thread("brown")],
        objects,
    }
}

/// The start point where the artwork's origin is, so that moves can be read off.
fn at_origin() -> Machine {
    Machine {
        origin: Some(Place { x: 0.0, y: 0.0 }),
        ..Machine::default()
    }
}

fn plan(objects: Vec<Object>) -> (Route, Vec<Diagnostic>) {
    Route::plan(&design(objects), &at_origin()).expect("sound")
}

/// Needle points at (x, y) in mm.
fn needles(list: &mut StitchList, places: &[(f64, f64)]) {
    for &(x, y) in places {
        list.needle(StitchRole::Cover, Coord { x, y });
    }
}

fn stitch(x: i32, y: i32) -> Record {
    Record::Stitch(Move::new(x, y).expect("within reach"))
}

fn jump(x: i32, y: i32) -> Record {
    Record::Jump(Move::new(x, y).expect("within reach"))
}

#[test]
fn the_first_record_is_a_jump_and_y_is_turned_up() {
    let (route, notes) = plan(vec![object("a", 0, |list| {
        needles(list, &[(2.0, 4.0), (3.0, 4.0), (3.0, 2.5)]);
    })]);
    let expected = [
        jump(10, -20),
        stitch(10, -20),
        stitch(10, 0),
        stitch(0, 15),
        Record::End,
    ];
    assert_eq!(route.records, expected);
    assert_eq!(route.last, [30, -25]);
    assert_eq!(route.stitches(), 3);
    assert!(notes.is_empty());
    let Extents {
        right,
        left,
        up,
        down,
    } = route.extents;
    assert_eq!([right, left, up, down], [30, 0, 0, 40]);
}

#[test]
fn places_are_rounded_and_not_the_ways_between() {
    // 3.64 mm ten times: 36.4 mm. Rounded ways would make it 36.0.
    let places: Vec<(f64, f64)> = (0..=10).map(|i| (f64::from(i) * 3.64, 0.0)).collect();
    let (route, _) = plan(vec![object("a", 0, |list| needles(list, &places))]);
    assert_eq!(route.last, [364, 0]);
}

#[test]
fn the_start_point_is_the_centre_of_what_is_sewn() {
    let objects = vec![object("a", 0, |list| {
        needles(list, &[(10.0, 10.0), (20.0, 10.0), (20.0, 30.0)]);
    })];
    let (route, _) = Route::plan(&design(objects), &Machine::default()).expect("sound");
    assert_eq!(route.origin, Coord { x: 15.0, y: 20.0 });
    assert_eq!(route.extents.right, 50);
    assert_eq!(route.extents.left, 50);
    assert_eq!(route.extents.up, 100);
    assert_eq!(route.extents.down, 100);
}

#[test]
fn a_trim_is_at_least_as_many_jumps_as_the_machine_needs() {
    for trim_jumps in 1..=8 {
        let machine = Machine {
            trim_jumps,
            ..at_origin()
        };
        let objects = vec![object("a", 0, |list| {
            needles(list, &[(0.0, 0.0), (2.0, 0.0)]);
            list.trim(Coord { x: 10.0, y: 0.0 });
            needles(list, &[(10.0, 0.0), (12.0, 0.0)]);
        })];
        let (route, _) = Route::plan(&design(objects), &machine).expect("sound");
        // After the start's own jump and stitch, and one stitch of 2 mm.
        let trim = &route.records[3..];
        let jumps = trim.iter().take_while(|r| matches!(r, Record::Jump(_)));
        assert_eq!(jumps.count(), usize::from(trim_jumps));
        assert!(matches!(trim[usize::from(trim_jumps)], Record::Stitch(_)));
        assert_eq!(route.trims(), 1);
        assert_eq!(route.last, [120, 0]);
        assert_eq!(route.stitches(), 4);
    }
}

#[test]
fn a_trim_ends_in_a_stitch_that_is_part_of_the_way() {
    let (route, _) = plan(vec![object("a", 0, |list| {
        needles(list, &[(1.0, 0.0), (2.0, 0.0)]);
        list.trim(Coord { x: 10.0, y: 4.0 });
        needles(list, &[(10.0, 4.0), (12.0, 4.0)]);
    })]);
    assert_eq!(
        route.records[3..],
        [
            jump(20, -10),
            jump(20, -10),
            jump(20, -10),
            stitch(20, -10),
            stitch(20, 0),
            Record::End
        ]
    );
}

#[test]
fn a_long_jump_is_split_evenly_and_noted_where_it_trims_by_itself() {
    let far = |x: f64| {
        plan(vec![object("wing", 0, |list| {
            needles(list, &[(0.0, 0.0), (1.0, 0.0)]);
            list.jump(Coord { x: 1.0 + x, y: 0.0 });
            needles(list, &[(1.0 + x, 0.0)]);
        })])
    };
    let (route, notes) = far(24.2);
    assert_eq!(route.records[3..5], [jump(121, 0), stitch(121, 0)]);
    assert!(notes.is_empty());
    let (route, notes) = far(36.3);
    assert_eq!(
        route.records[3..6],
        [jump(121, 0), jump(121, 0), stitch(121, 0)]
    );
    assert_eq!((route.trims(), notes.len()), (0, 0));
    let (route, notes) = far(36.4);
    assert_eq!(
        route.records[3..7],
        [jump(91, 0), jump(91, 0), jump(91, 0), stitch(91, 0)]
    );
    assert_eq!(route.trims(), 1);
    assert_eq!(notes[0].code, "trimmed-by-length");
    assert!(notes[0].message.contains("\"wing\""));
}

#[test]
fn between_objects_of_one_thread_a_short_way_is_sewn_and_a_longer_one_jumped() {
    let next_at = |x: f64| {
        let objects = vec![
            object("a", 0, |list| needles(list, &[(0.0, 0.0), (2.0, 0.0)])),
            object("b", 0, |list| needles(list, &[(x, 0.0), (x + 2.0, 0.0)])),
        ];
        plan(objects).0.records.split_off(3)
    };
    assert_eq!(next_at(3.0), [stitch(10, 0), stitch(20, 0), Record::End]);
    assert_eq!(
        next_at(3.1),
        [jump(6, 0), stitch(5, 0), stitch(20, 0), Record::End]
    );
    // Where the next object begins on the last needle point, nothing moves.
    assert_eq!(next_at(2.0), [stitch(20, 0), Record::End]);
}

#[test]
fn a_thread_change_has_no_motion_and_no_trim_beside_it() {
    let (route, _) = plan(vec![
        object("a", 0, |list| needles(list, &[(1.0, 0.0), (2.0, 0.0)])),
        object("b", 1, |list| {
            list.trim(Coord { x: 4.0, y: 0.0 });
            needles(list, &[(4.0, 0.0), (5.0, 0.0)]);
        }),
    ]);
    let expected = [
        Record::Halt,
        jump(10, 0),
        stitch(10, 0),
        stitch(10, 0),
        Record::End,
    ];
    assert_eq!(route.records[3..], expected);
    assert_eq!((route.trims(), route.halts()), (0, 1));
    assert_eq!(route.runs[1].begins, Beginning::ThreadChange);
    assert_eq!(route.runs[1].thread, 1);
}

#[test]
fn a_trim_at_the_end_of_a_thread_is_no_trim_either() {
    let (route, _) = plan(vec![
        object("a", 0, |list| {
            needles(list, &[(1.0, 0.0), (2.0, 0.0)]);
            list.trim(Coord { x: 2.0, y: 0.0 });
        }),
        object("b", 1, |list| needles(list, &[(2.0, 0.0), (5.0, 0.0)])),
    ]);
    // The new thread's first needle point lies where the last one was: the hoop moves away and
    // back, so that the needle goes down there once more.
    assert_eq!(
        route.records[3..6],
        [Record::Halt, jump(-3, -3), stitch(3, 3)]
    );
    assert_eq!(route.trims(), 0);
}

#[test]
fn threads_that_are_alike_need_no_change() {
    let mut design = design(vec![
        object("a", 0, |list| needles(list, &[(0.0, 0.0), (2.0, 0.0)])),
        object("b", 1, |list| needles(list, &[(2.5, 0.0), (5.0, 0.0)])),
    ]);
    design.threads[1] = design.threads[0].clone();
    let (route, _) = Route::plan(&design, &at_origin()).expect("sound");
    assert_eq!(route.halts(), 0);
}

#[test]
fn a_stop_halts_at_its_place_and_goes_on_with_the_same_thread() {
    let (route, _) = plan(vec![object("badge", 2, |list| {
        needles(list, &[(1.0, 0.0), (2.0, 0.0)]);
        list.push(Stitch {
            at: Coord { x: 2.0, y: -9.0 },
            kind: StitchKind::Stop,
            role: StitchRole::Travel,
        });
        needles(list, &[(2.0, 0.0), (3.0, 0.0)]);
    })]);
    assert_eq!(
        route.records[3..],
        [
            jump(0, 90),
            Record::Halt,
            jump(0, -45),
            stitch(0, -45),
            stitch(10, 0),
            Record::End
        ]
    );
    assert_eq!(route.runs[1].begins, Beginning::Stop);
    assert_eq!(route.runs[1].thread, 2);
}

#[test]
fn a_stitch_longer_than_a_record_is_split_with_a_warning_that_names_the_object() {
    let (route, notes) = plan(vec![object("tail", 0, |list| {
        needles(list, &[(0.5, 0.0), (13.0, 0.0), (12.0, 0.0)]);
    })]);
    assert_eq!(route.records[2..4], [stitch(63, 0), stitch(62, 0)]);
    assert_eq!(notes.len(), 1);
    assert_eq!(notes[0].code, "long-stitch");
    assert_eq!(notes[0].object.as_deref(), Some("tail"));
}

#[test]
fn a_needle_point_on_the_one_before_is_left_out_and_counted() {
    let (route, notes) = plan(vec![object("a", 0, |list| {
        needles(list, &[(1.0, 0.0), (1.04, 0.0), (1.0, 0.0), (2.0, 0.0)]);
    })]);
    assert_eq!(route.stitches(), 2);
    assert_eq!(notes[0].code, "still-stitch");
    assert!(notes[0].message.starts_with("2 stitches"));
}

#[test]
fn thread_is_measured_where_it_lies() {
    let (route, _) = plan(vec![object("a", 0, |list| {
        needles(list, &[(0.0, 0.0), (3.0, 4.0)]);
        list.jump(Coord { x: 3.0, y: 10.0 });
        needles(list, &[(3.0, 10.0)]);
        list.trim(Coord { x: 30.0, y: 10.0 });
        needles(list, &[(30.0, 10.0), (30.0, 12.0)]);
    })]);
    // 5 mm sewn, 6 mm carried over, 27 mm cut, 2 mm sewn.
    assert!((route.runs[0].thread_length - 13.0).abs() < 1e-9);
    assert_eq!(route.runs[0].stitch_lengths, Some((2.0, 5.0)));
}

#[test]
fn objects_without_stitches_are_named() {
    let (_, notes) = plan(vec![
        object("eye", 0, |_| {}),
        object("a", 0, |list| needles(list, &[(0.0, 0.0), (2.0, 0.0)])),
    ]);
    assert_eq!(notes[0].code, "unsewn-object");
    assert!(notes[0].message.contains("\"eye\""));
}

#[test]
fn unsound_designs_are_refused_with_every_problem() {
    let none = Route::plan(&design(Vec::new()), &at_origin());
    assert!(none.is_err_and(|Failed(why)| why[0].code == "no-stitches"));
    let bad = design(vec![object("a", 7, |list| {
        needles(list, &[(f64::NAN, 0.0)])
    })]);
    let machine = Machine {
        trim_jumps: 0,
        ..Machine::default()
    };
    let Err(Failed(why)) = Route::plan(&bad, &machine) else {
        panic!("must be refused");
    };
    assert_eq!(why.len(), 3, "{why:?}");
}
