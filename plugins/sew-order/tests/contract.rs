//! What must hold of any design: objects only change places, the unselected keep their order, what
//! lies above stays later, and ordering twice is ordering once.

mod designs;

use designs::{box_at, design, ids, line_at};
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::{Lines, Polygon};
use hoopwright_sew_order::{Background, CapsOrder, MoveSelected, Outlines, SewOrder, sew_order};
use proptest::prelude::*;

#[derive(Clone, Debug)]
struct Drawn {
    x: f64,
    y: f64,
    side: f64,
    thread: u32,
    line: bool,
    selected: bool,
    by_hand: bool,
}

fn drawn() -> impl Strategy<Value = Drawn> {
    let place = (0.0..60.0f64, 0.0..60.0f64, 1.0..25.0f64);
    (
        place,
        0..4u32,
        prop::bool::weighted(0.3),
        prop::bool::weighted(0.7),
        prop::bool::weighted(0.2),
    )
        .prop_map(|((x, y, side), thread, line, selected, by_hand)| Drawn {
            x,
            y,
            side,
            thread,
            line,
            selected,
            by_hand,
        })
}

fn object(place: usize, drawn: &Drawn) -> Object {
    // Ids in an order that is not the drawing's.
    let id = format!("{}", (place * 7) % 31 + 31 * place);
    let Drawn {
        x, y, side, thread, ..
    } = *drawn;
    if drawn.by_hand {
        // Stitches alone: a zigzag over the same square.
        let mut list = StitchList::new();
        for i in 0..=20u32 {
            let (along, across) = (f64::from(i) / 20.0, f64::from(i % 2));
            let at = Coord {
                x: x + side * along,
                y: y + side * across,
            };
            list.needle(StitchRole::Cover, at);
        }
        let mut object = Object::new(&id, Shape::Manual);
        object.thread = thread;
        object.stitches = list.into_blocks();
        object
    } else if drawn.line {
        line_at(&id, thread, (x, y), (x + side, y + side / 2.0))
    } else {
        box_at(&id, thread, x, y, side)
    }
}

fn settings() -> impl Strategy<Value = SewOrder> {
    (any::<bool>(), any::<bool>(), 0..4u8, 0..6u8).prop_map(|(outlines, background, caps, hand)| {
        SewOrder {
            move_selected: match hand {
                0 => MoveSelected::First,
                1 => MoveSelected::Last,
                _ => MoveSelected::ByCost,
            },
            outlines: if outlines {
                Outlines::Last
            } else {
                Outlines::Free
            },
            background: if background {
                Background::First
            } else {
                Background::Free
            },
            caps_order: match caps {
                0 => CapsOrder::CentreOut,
                1 => CapsOrder::BottomUp,
                _ => CapsOrder::Free,
            },
            ..SewOrder::default()
        }
    })
}

/// What two boxes share in mm², where it is more than the tolerance and more than a hair, by plain arithmetic.
fn boxes_overlap(a: &Drawn, b: &Drawn) -> Option<f64> {
    let along = |a0: f64, a1: f64, b0: f64, b1: f64| (a1.min(b1) - a0.max(b0)).max(0.0);
    let (wide, high) = (
        along(a.x, a.x + a.side, b.x, b.x + b.side),
        along(a.y, a.y + a.side, b.y, b.y + b.side),
    );
    let boxes = [a, b].iter().all(|d| !d.line && !d.by_hand);
    (boxes && wide * high > 0.11 && wide.min(high) > 0.11).then_some(wide * high)
}

fn changes(design: &Design) -> usize {
    design
        .objects
        .windows(2)
        .filter(|pair| pair[0].thread != pair[1].thread)
        .count()
}

proptest! {
    #[test]
    fn the_contract_holds(drawings in prop::collection::vec(drawn(), 1..24), settings in settings()) {
        let objects: Vec<Object> = drawings.iter().enumerate().map(|(i, d)| object(i, d)).collect();
        let selected: Vec<usize> = (0..objects.len()).filter(|&i| drawings[i].selected).collect();
        let before = design(objects);
        let once = sew_order(before.clone(), &selected, &settings).expect("it can be ordered");

        let mut sorted = once.clone();
        sorted.objects.sort_by_key(|o| before.objects.iter().position(|b| b.id == o.id));
        prop_assert_eq!(&sorted, &before, "objects only change places");

        let place = |i: usize| once.objects.iter().position(|o| o.id == before.objects[i].id);
        for later in 0..drawings.len() {
            for first in 0..later {
                let unselected = !drawings[first].selected && !drawings[later].selected;
                let shared = boxes_overlap(&drawings[first], &drawings[later]);
                // Up to 1 mm² may lie hidden: beneath what was drawn after both, and is sewn so.
                let hidden = || (later + 1..drawings.len()).any(|above| place(above) > place(first));
                let free = shared.is_none_or(|shared| shared <= 1.01 && hidden());
                if unselected || !free {
                    prop_assert!(place(first) < place(later), "{first} before {later}");
                }
            }
        }
        let by_cost = settings.move_selected == MoveSelected::ByCost;
        let free = settings.outlines == Outlines::Free && settings.background == Background::Free;
        if by_cost && free {
            prop_assert!(changes(&once) <= changes(&before));
        }
        if by_cost && settings.caps_order != CapsOrder::Free {
            // Caps sew the same blocks in another order within them.
            let without = SewOrder { caps_order: CapsOrder::Free, ..settings.clone() };
            let free = sew_order(before.clone(), &selected, &without).expect("it can be ordered");
            prop_assert!(changes(&once) >= changes(&free));
            if settings.outlines == Outlines::Free && settings.background == Background::Free {
                prop_assert_eq!(changes(&once), changes(&free));
            }
        }
        let same = sew_order(before.clone(), &selected, &settings).expect("it can be ordered");
        prop_assert_eq!(&same, &once, "the same comes out again");

        let again: Vec<usize> = (0..once.objects.len())
            .filter(|&i| selected.iter().any(|&s| before.objects[s].id == once.objects[i].id))
            .collect();
        let twice = sew_order(once.clone(), &again, &settings).expect("it can be ordered");
        prop_assert_eq!(ids(&twice), ids(&once));
    }
}

/// A corner of any kind of drawing: few places, so that corners coincide and edges cross, and some
/// that are none.
fn corner() -> impl Strategy<Value = Coord<f64>> {
    let along = || {
        prop_oneof![
            8 => (0..6u8).prop_map(|i| 4.0 * f64::from(i)),
            4 => -20.0..40.0f64,
            1 => prop::sample::select(vec![f64::NAN, f64::INFINITY, 1e8, -1e12, 1e-9]),
        ]
    };
    (along(), along()).prop_map(|(x, y)| Coord { x, y })
}

fn any_object(corners: &[Coord<f64>], kind: u8, thread: u32, id: usize) -> Object {
    let line = Polyline::new(corners.iter().copied(), kind.is_multiple_of(2));
    let shape = match kind % 3 {
        0 => Shape::Region(Region {
            polygons: vec![Polygon {
                outer: line.clone(),
                holes: vec![line],
            }],
        }),
        1 => Shape::Region(Region {
            polygons: vec![Polygon {
                outer: line,
                holes: Vec::new(),
            }],
        }),
        _ => Shape::Lines(Lines {
            paths: vec![line.clone(), line],
            width: corners.first().map_or(-1.0, |c| c.x),
        }),
    };
    let mut object = Object::new(&id.to_string(), shape);
    object.thread = thread;
    if kind > 5 {
        object.sewing.start = corners.last().copied().map(Point::from);
    }
    if kind > 7 {
        let mut list = StitchList::new();
        for &at in corners {
            list.needle(StitchRole::Cover, at);
        }
        object.stitches = list.into_blocks();
    }
    object
}

proptest! {
    #[test]
    fn no_drawing_is_too_bad(
        drawings in prop::collection::vec((prop::collection::vec(corner(), 0..9), 0..10u8, 0..3u32), 1..14),
        settings in settings(),
    ) {
        let objects = drawings.iter().enumerate();
        let objects = objects.map(|(id, (corners, kind, thread))| any_object(corners, *kind, *thread, id));
        let before = design(objects.collect());
        let selected: Vec<usize> = (0..before.objects.len()).collect();
        let done = sew_order(before.clone(), &selected, &settings).expect("it can be ordered");
        let mut names: Vec<usize> = ids(&done).iter().map(|id| id.parse().expect("a number")).collect();
        let twice = sew_order(done.clone(), &selected, &settings).expect("it can be ordered");
        prop_assert_eq!(ids(&twice), ids(&done));
        names.sort_unstable();
        prop_assert_eq!(names, selected);
    }
}

/// The least travel by trying all orders, against the search's, for one thread and no overlap.
#[test]
fn little_travel_is_close_to_the_least() {
    let (mut found, mut least, mut equal) = (0.0, 0.0, 0);
    // A fixed sequence of places: x(n+1) = 1103515245 x(n) + 12345 mod 2^31 (the C standard's
    // example of a random number generator).
    let mut state = 1u64;
    let mut next = || {
        state = (state * 1_103_515_245 + 12_345) % (1 << 31);
        (state >> 8) as f64 / f64::from(1 << 23) * 100.0
    };
    for _ in 0..60 {
        let places: Vec<(f64, f64)> = (0..7).map(|_| (next(), next())).collect();
        let dots = places
            .iter()
            .enumerate()
            .map(|(i, &(x, y))| box_at(&i.to_string(), 0, x, y, 1e-3));
        let done = sew_order(
            design(dots.collect()),
            &[0, 1, 2, 3, 4, 5, 6],
            &SewOrder::default(),
        )
        .expect("it can be ordered");
        let order: Vec<usize> = ids(&done)
            .iter()
            .map(|id| id.parse().expect("a number"))
            .collect();
        let length = |order: &[usize]| -> f64 {
            let step = |p: &[usize]| {
                (places[p[0]].0 - places[p[1]].0).hypot(places[p[0]].1 - places[p[1]].1)
            };
            order.windows(2).map(step).sum()
        };
        let mut best = f64::INFINITY;
        try_all(&mut (0..7).collect(), 0, &mut |order| {
            best = best.min(length(order))
        });
        found += length(&order);
        least += best;
        equal += usize::from(length(&order) <= best + 1e-6);
    }
    println!("travel {found:.1} mm, least {least:.1} mm, the least in {equal} of 60");
    assert!(found <= 1.03 * least, "{found} against {least}");
    assert!(equal >= 40, "the least in {equal} of 60");
}

fn try_all(order: &mut Vec<usize>, fixed: usize, visit: &mut impl FnMut(&[usize])) {
    if fixed == order.len() {
        visit(order);
        return;
    }
    for i in fixed..order.len() {
        order.swap(fixed, i);
        try_all(order, fixed + 1, visit);
        order.swap(fixed, i);
    }
}
