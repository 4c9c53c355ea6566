use super::*;
use crate::design::Point;
use crate::formats::dst::{Written, write};
use geo::Coord;
use proptest::prelude::*;

const FILE: &str = "owl.dst";

fn read_bytes(bytes: &[u8]) -> Result<(Design, Vec<Diagnostic>), Failed> {
    read(bytes, Path::new(FILE))
}

/// A file of these records, after a plain header.
fn file(records: &[[u8; 3]]) -> Vec<u8> {
    let mut bytes = b"LA:Owl             \r".to_vec();
    bytes.resize(HEADER_LENGTH, b' ');
    bytes.extend(records.as_flattened());
    bytes
}

const RIGHT: [u8; 3] = [0x0A, 0x06, 0x03]; // (14, 0)
const UP: [u8; 3] = [0xA0, 0x80, 0x03]; // (0, 13): 1 + 9 + 3
const JUMP: [u8; 3] = [0x0A, 0x06, 0x83];
const HALT: [u8; 3] = [0x00, 0x00, 0xC3];
const END: [u8; 3] = [0x00, 0x00, 0xF3];

/// Kind and place of each stitch of an object.
fn stitches(object: &Object) -> Vec<(StitchKind, f64, f64)> {
    let stitches = object.each_stitch();
    stitches.map(|s| (s.kind, s.at.x, s.at.y)).collect()
}

#[test]
fn a_file_becomes_one_object_for_each_run_of_thread() {
    let bytes = file(&[JUMP, RIGHT, UP, HALT, RIGHT, RIGHT, END]);
    let (design, notes) = read_bytes(&bytes).expect("readable");
    assert!(notes.is_empty(), "{notes:?}");
    assert_eq!(design.title, "Owl");
    assert_eq!(design.objects.len(), 2);
    assert_eq!(design.threads.len(), 2);
    assert_eq!(
        stitches(&design.objects[0]),
        [
            (StitchKind::Needle, 2.8, 0.0),
            (StitchKind::Needle, 2.8, -1.3)
        ],
        "y is turned down once"
    );
    assert_ne!(design.threads[0], design.threads[1]);
    assert_eq!(
        crate::design::valid::problems(&design),
        Vec::<String>::new()
    );
}

#[test]
fn three_jumps_are_a_trim_and_two_are_a_jump() {
    let bytes = file(&[RIGHT, JUMP, JUMP, RIGHT, JUMP, JUMP, JUMP, RIGHT, END]);
    let (design, _) = read_bytes(&bytes).expect("readable");
    let kinds: Vec<StitchKind> = stitches(&design.objects[0]).iter().map(|s| s.0).collect();
    use StitchKind::{Jump, Needle, Trim};
    assert_eq!(kinds, [Needle, Jump, Needle, Trim, Needle]);
    let machine = Machine {
        trim_jumps: 2,
        ..Machine::default()
    };
    let (design, _) = read_for(&bytes, Path::new(FILE), &machine).expect("readable");
    assert_eq!(stitches(&design.objects[0])[1].0, Trim);
}

#[test]
fn halts_beside_nothing_sewn_are_stops() {
    let bytes = file(&[HALT, RIGHT, UP, HALT, HALT, RIGHT, RIGHT, HALT, END]);
    let (design, _) = read_bytes(&bytes).expect("readable");
    assert_eq!(design.objects.len(), 2);
    let stops: Vec<usize> = design
        .objects
        .iter()
        .map(|object| {
            stitches(object)
                .iter()
                .filter(|s| s.0 == StitchKind::Stop)
                .count()
        })
        .collect();
    // One before the first thread; one before and one after the second.
    assert_eq!(stops, [1, 2]);
    let written = write(&design, &Machine::default()).expect("sound");
    assert_eq!(written.route.halts(), 4, "as many as were read");
}

#[test]
fn the_end_may_be_followed_by_1a_or_be_missing() {
    let plain = file(&[RIGHT, UP, END]);
    let mut followed = plain.clone();
    followed.push(0x1A);
    assert_eq!(read_bytes(&plain), read_bytes(&followed));
    let mut cut = file(&[RIGHT, UP, RIGHT]);
    cut.pop();
    let (design, notes) = read_bytes(&cut).expect("readable");
    assert_eq!(design.objects[0].stitch_count(), 2);
    assert_eq!(notes[0].code, "dst-cut-short");
    assert_eq!(notes[0].file.as_deref(), Some(Path::new(FILE)));
}

#[test]
fn a_header_may_be_odd_or_missing() {
    let mut odd = file(&[RIGHT, UP, END]);
    odd[..HEADER_LENGTH].fill(0);
    let (design, _) = read_bytes(&odd).expect("readable");
    assert_eq!(design.title, "owl", "the file's own name");
    let bare: Vec<u8> = [RIGHT, UP, END].concat();
    let (design, notes) = read_bytes(&bare).expect("readable");
    assert_eq!(design.objects[0].stitch_count(), 2);
    assert_eq!(notes[0].code, "dst-no-header");
}

#[test]
fn what_is_no_machine_file_is_refused() {
    let text = b"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 32 32'></svg>".repeat(20);
    for bytes in [
        &b""[..],
        b"LA:",
        &[0; 2000],
        &text,
        &file(&[]),
        &file(&[END]),
        &file(&[JUMP, END]),
    ] {
        let Err(Failed(why)) = read_bytes(bytes) else {
            panic!("must be refused: {bytes:?}");
        };
        assert!(
            why.iter().all(|d| d.help.is_some() && d.file.is_some()),
            "{why:?}"
        );
    }
}

#[test]
fn moves_that_lead_far_away_are_refused() {
    let bytes = file(&vec![[0x05, 0x05, 0x07]; 2000]);
    assert!(read_bytes(&bytes).is_err(), "{} m", 2000.0 * 12.1 / 1000.0);
}

/// The header has three digits for halts and seven for records (the same sources as `header`): a file of
/// 64 MiB of halts would become as many threads and objects, in many times its memory.
#[test]
fn more_than_a_header_can_tell_is_refused() {
    let code = |bytes: &[u8]| read_bytes(bytes).err().map(|Failed(why)| why[0].code);
    let halts = |count: usize| file(&[RIGHT, HALT].repeat(count));
    assert_eq!(code(&halts(999)), None);
    assert_eq!(code(&halts(1000)), Some("dst-too-long"));
    let back = [0x05, 0x09, 0x03]; // (-14, 0)
    let records = |count: usize| file(&[RIGHT, back].repeat(count / 2));
    assert_eq!(code(&records(10_000_000)), Some("dst-too-long"));
    // What follows the end is not read.
    let mut long = file(&[RIGHT, END]);
    long.extend([HALT; 2000].as_flattened());
    assert_eq!(code(&long), None);
    // Without a header, too.
    assert_eq!(
        code([RIGHT, HALT].repeat(1000).as_flattened()),
        Some("dst-too-long")
    );
}

#[test]
fn placeholder_threads_can_be_told_apart() {
    let colours: std::collections::BTreeSet<[u8; 3]> = (1..=36)
        .map(placeholder)
        .map(|t| [t.red, t.green, t.blue])
        .collect();
    assert_eq!(colours.len(), 36);
}

fn some_object() -> impl Strategy<Value = Object> {
    let place = (-60.0f64..60.0, -60.0f64..60.0);
    let near = (-9.0f64..9.0, -9.0f64..9.0);
    let stitch = (0u8..24, place.clone(), near);
    (0u32..4, place, proptest::collection::vec(stitch, 1..20)).prop_map(
        |(thread, (x, y), stitches)| {
            let mut list = StitchList::new();
            let mut at = Coord { x, y };
            list.needle(StitchRole::Cover, at);
            for (kind, (far_x, far_y), (near_x, near_y)) in stitches {
                let far = Coord { x: far_x, y: far_y };
                match kind {
                    0 => list.trim(far),
                    1 => list.jump(far),
                    2 => list.push(stop([far_x as i32, far_y as i32])),
                    3 => {
                        list.trim(at);
                        list.needle(StitchRole::Cover, at);
                    }
                    4 => {
                        at = far;
                        list.jump(at);
                        list.needle(StitchRole::Cover, at);
                    }
                    5 => {
                        at = far;
                        list.needle(StitchRole::Cover, at);
                    }
                    6 => list.needle(StitchRole::Tie, at + Coord { x: 0.07, y: 0.0 }),
                    _ => {
                        at = at
                            + Coord {
                                x: near_x,
                                y: near_y,
                            };
                        list.needle(StitchRole::Cover, at);
                    }
                }
            }
            let mut object = Object::new("", Shape::Manual);
            object.thread = thread;
            object.stitches = list.into_blocks();
            object
        },
    )
}

fn some_design() -> impl Strategy<Value = Design> {
    proptest::collection::vec(some_object(), 1..6).prop_map(|mut objects| {
        for (i, object) in objects.iter_mut().enumerate() {
            object.id = format!("o{i}");
        }
        Design {
            title: "Barn owl".to_owned(),
            page: Rectangle {
                least: Point { x: 0.0, y: 0.0 },
                greatest: Point { x: 1.0, y: 1.0 },
            },
            threads: (1..=4).map(placeholder).collect(),
            objects,
        }
    })
}

fn written(design: &Design, machine: &Machine) -> Written {
    write(design, machine).expect("a sound design")
}

proptest! {
    #[test]
    fn what_is_written_reads_back_to_the_same_file(
        design in some_design(), trim_jumps in 1u8..=8, longest_move in 3.0f64..=12.1,
    ) {
        let machine = Machine { trim_jumps, longest_move, ..Machine::default() };
        let first = written(&design, &machine);
        let (back, notes) = read_for(&first.bytes, Path::new(FILE), &machine).expect("our own");
        prop_assert!(notes.is_empty());
        let second = written(&back, &machine);
        prop_assert_eq!(&first.route.records, &second.route.records);
        prop_assert_eq!(first.bytes, second.bytes);
    }

    #[test]
    fn no_record_stands_still_and_no_needle_point_is_lost(design in some_design()) {
        let machine = Machine::default();
        let route = written(&design, &machine).route;
        let mut at = [0, 0];
        let mut sewn = std::collections::BTreeSet::new();
        for record in &route.records {
            match record {
                Record::Stitch(way) | Record::Jump(way) => {
                    prop_assert!(!way.is_still());
                    at = [at[0] + way.x.units(), at[1] + way.y.units()];
                    if let Record::Stitch(_) = record {
                        sewn.insert(at);
                    }
                }
                Record::Halt | Record::End => {}
            }
        }
        prop_assert_eq!(at, route.last);
        for stitch in design.objects.iter().flat_map(Object::each_stitch) {
            if stitch.kind == StitchKind::Needle {
                let mm = stitch.at - route.origin;
                let near = sewn.iter().any(|&[x, y]| {
                    (f64::from(x) / 10.0 - mm.x).abs() < 0.0501
                        && (f64::from(-y) / 10.0 - mm.y).abs() < 0.0501
                });
                prop_assert!(near, "{:?} is not sewn", stitch);
            }
        }
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..2000)) {
        if let Ok((design, _)) = read_bytes(&bytes) {
            prop_assert!(crate::design::valid::problems(&design).is_empty());
        }
    }

    #[test]
    fn any_records_are_read_or_refused(records in proptest::collection::vec(any::<[u8; 2]>(), 1..300)) {
        // Records of every kind, with moves that may hold both signs of a digit.
        let kinds = [0x03, 0x03, 0x83, 0xC3, 0x43, 0x07, 0xF3];
        let records: Vec<[u8; 3]> = records
            .iter()
            .map(|&[a, b]| [a & 0x55, b & 0xAA, kinds[usize::from(a ^ b) % kinds.len()]])
            .collect();
        if let Ok((design, _)) = read_bytes(&file(&records)) {
            prop_assert!(crate::design::valid::problems(&design).is_empty());
            prop_assert!(write(&design, &Machine::default()).is_ok());
        }
    }
}
