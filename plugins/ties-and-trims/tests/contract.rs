//! What must hold of any design: the unselected untouched, twice the same as once, nothing lost,
//! every run tied.

mod designs;

use designs::{at, design, filled_box, row, trims};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;
use hoopwright_ties_and_trims::{HiddenTravel, TiesAndTrims, ties_and_trims};
use proptest::prelude::*;

fn kind() -> impl Strategy<Value = StitchKind> {
    prop_oneof![
        20 => Just(StitchKind::Needle),
        2 => Just(StitchKind::Jump),
        1 => Just(StitchKind::Trim),
        1 => Just(StitchKind::Stop),
    ]
}

fn role() -> impl Strategy<Value = StitchRole> {
    prop_oneof![
        4 => Just(StitchRole::Cover),
        1 => Just(StitchRole::Travel),
        1 => Just(StitchRole::Tie),
    ]
}

/// Any stitches: steps from 0.3 to 9 mm in any direction, by hand or along a line.
fn sewn_object() -> impl Strategy<Value = Object> {
    let step = (0.3..9.0f64, 0..8i32, kind(), role());
    let start = (0.0..60.0f64, -20.0..20.0f64);
    let steps = prop::collection::vec(step, 0..20);
    (start, steps, 0..2u32, any::<bool>()).prop_map(|((x, y), steps, thread, by_hand)| {
        let mut object = row("stitches", thread, x);
        if by_hand {
            object.shape = Shape::Manual;
        }
        let mut list = StitchList::new();
        let mut place = at(x, y);
        let mut begun = false;
        for (length, turn, kind, mut role) in steps {
            // No object's own stitches begin with travel: that is this step's.
            begun |= kind == StitchKind::Needle && role == StitchRole::Cover;
            if !begun && role == StitchRole::Travel {
                role = StitchRole::Cover;
            }
            let turn = f64::from(turn) * std::f64::consts::FRAC_PI_4;
            place = place + at(turn.cos(), turn.sin()) * length;
            list.push(Stitch {
                at: place,
                kind,
                role,
            });
        }
        object.stitches = list.into_blocks();
        object
    })
}

fn object() -> impl Strategy<Value = Object> {
    prop_oneof![
        4 => sewn_object(),
        1 => (0.0..40.0f64, 0..2u32).prop_map(|(x, thread)| filled_box("box", thread, x, 50.)),
    ]
}

fn settings() -> impl Strategy<Value = TiesAndTrims> {
    (
        3..=5u32,
        0.5..=1.0f64,
        1.0..12.0f64,
        0.0..60.0f64,
        any::<bool>(),
    )
        .prop_map(
            |(tie_stitches, tie_length, trim_over, hidden_travel, jump)| TiesAndTrims {
                tie_stitches,
                tie_length,
                trim_over,
                hidden_travel,
                hidden_travel_as: if jump {
                    HiddenTravel::Jump
                } else {
                    HiddenTravel::Stitches
                },
                ..TiesAndTrims::default()
            },
        )
}

fn needles(object: &Object) -> Vec<Stitch> {
    let sewn = |s: &Stitch| s.kind == StitchKind::Needle && s.role != StitchRole::Tie;
    stitches_of(&object.stitches).filter(sewn).collect()
}

/// A needle point, and whether the way to it is sewn, other than by hidden travel that the step laid.
type Point = (Stitch, bool);

/// By the numbers of their stitches, the needle points that a stitch leads to which is stored as jumps:
/// in an object of stitches alone, where such a way follows another about as long, with one needle point
/// between. Ties, which the step has put beside needle points, do not count.
fn stored_as_jumps(object: &Object) -> Vec<usize> {
    if object.shape != Shape::Manual {
        return Vec::new();
    }
    // Each needle point with the length of the way to it, where that is by mere jumps.
    let mut needles: Vec<(usize, Coord<f64>, Option<f64>)> = Vec::new();
    let (mut loose, mut jumps) = (true, false);
    for (number, stitch) in stitches_of(&object.stitches).enumerate() {
        match (stitch.kind, stitch.role) {
            (StitchKind::Needle, StitchRole::Tie) => {}
            (StitchKind::Needle, _) => {
                let last = needles.last().filter(|_| loose && jumps);
                let way = last.map(|(_, at, _)| distance(*at, stitch.at));
                needles.push((number, stitch.at, way));
                (loose, jumps) = (false, true);
            }
            (kind, _) => {
                loose = true;
                jumps &= kind == StitchKind::Jump;
            }
        }
    }
    let mut found = Vec::new();
    for pair in needles.windows(2) {
        if let (Some(a), Some(b)) = (pair[0].2, pair[1].2)
            && a.max(b) <= 1.25 * a.min(b)
        {
            found.extend([pair[0].0, pair[1].0]);
        }
    }
    found
}

/// The needle points of each run of thread, found by the definition of a run and by no code of
/// the step.
fn runs(design: &Design, limit: f64) -> Vec<Vec<Point>> {
    let mut runs: Vec<Vec<Point>> = Vec::new();
    let mut cut = true;
    let mut thread = None;
    for object in &design.objects {
        let mut moved = true;
        let stored_as_jumps = stored_as_jumps(object);
        // Travel at the beginning of an object is the step's own; it leads to the stitch of this number.
        let own = |s: &Stitch| s.kind != StitchKind::Needle || s.role != StitchRole::Travel;
        let first_own = stitches_of(&object.stitches).position(|s| own(&s));
        for (number, stitch) in stitches_of(&object.stitches).enumerate() {
            match stitch.kind {
                StitchKind::Trim | StitchKind::Stop => cut = true,
                StitchKind::Jump => moved = true,
                StitchKind::Needle => {
                    moved &= !stored_as_jumps.contains(&number);
                    let last = runs.last().and_then(|run| run.last());
                    let far = last.is_none_or(|(l, _)| distance(l.at, stitch.at) > limit);
                    if cut || thread != Some(object.thread) || (moved && far) {
                        runs.push(Vec::new());
                        moved = true;
                    }
                    if let Some(run) = runs.last_mut() {
                        run.push((stitch, !moved && Some(number) > first_own));
                    }
                    (cut, moved, thread) = (false, false, Some(object.thread));
                }
            }
        }
    }
    runs
}

/// Whether the run's own stitches come back to where they were, as those of a tie do that was
/// read from a machine file.
fn turns_back(run: &[Point]) -> bool {
    let own: Vec<Coord<f64>> = run
        .iter()
        .filter(|p| p.0.role != StitchRole::Tie)
        .map(|p| p.0.at)
        .collect();
    (0..own.len()).any(|i| {
        own[i + 1..]
            .iter()
            .take(6)
            .any(|at| distance(*at, own[i]) <= 0.25)
    })
}

proptest! {
    #[test]
    fn the_contract_holds(
        objects in prop::collection::vec((object(), any::<bool>()), 0..6),
        settings in settings(),
        other in settings(),
        everything in any::<bool>(),
    ) {
        let selected: Vec<usize> =
            (0..objects.len()).filter(|&i| everything || objects[i].1).collect();
        let before = design(objects.into_iter().map(|(object, _)| object).collect());
        let once = ties_and_trims(before.clone(), &selected, &settings).expect("it never fails");

        // The unselected stay, and nothing but ties, trims and travel changes in the others.
        for (i, (old, new)) in before.objects.iter().zip(&once.objects).enumerate() {
            if selected.contains(&i) {
                let (old, new) = (needles(old), needles(new));
                prop_assert!(new.len() >= old.len(), "object {i} lost stitches");
                let (added, kept) = new.split_at(new.len() - old.len());
                // Its first needle point may have moved to where the object before it ends.
                for (k, (old, new)) in old.iter().zip(kept).enumerate() {
                    let near = k == 0 && old.role == new.role && distance(old.at, new.at) < 0.3;
                    prop_assert!(old == new || near, "object {i}, stitch {k}");
                }
                prop_assert!(added.iter().all(|s| s.role == StitchRole::Travel));
            } else {
                prop_assert_eq!(old, new);
            }
        }

        // Twice is once; and so it is after other settings were tried in between, where these put no
        // trims into objects of stitches alone, which stay.
        let twice = ties_and_trims(once.clone(), &selected, &settings).expect("it never fails");
        prop_assert_eq!(&twice, &once);
        let detour = ties_and_trims(once.clone(), &selected, &other).expect("it never fails");
        let by_hand = |object: &&Object| object.shape == Shape::Manual;
        let stay = |design: &Design| design.objects.iter().filter(by_hand).map(trims).sum::<usize>();
        if stay(&detour) == stay(&once) {
            let back = ties_and_trims(detour, &selected, &settings).expect("it never fails");
            for (a, b) in back.objects.iter().zip(&once.objects) {
                prop_assert_eq!(needles(a), needles(b));
            }
        }

        // Ties are 0.3 to 1.2 mm, and no other stitch under 0.3 mm arises.
        for &i in &selected {
            let stitches: Vec<Stitch> = stitches_of(&once.objects[i].stitches).collect();
            for pair in stitches.windows(2) {
                if pair[0].kind != StitchKind::Needle || pair[1].kind != StitchKind::Needle {
                    continue;
                }
                let length = distance(pair[0].at, pair[1].at);
                if pair[1].role == StitchRole::Tie {
                    prop_assert!((0.3 - 1e-9..=1.2 + 1e-9).contains(&length), "tie of {length}");
                }
            }
            let mut shortest = f64::INFINITY;
            let old: Vec<Stitch> = stitches_of(&before.objects[i].stitches)
                .filter(|s| s.role != StitchRole::Tie)
                .collect();
            for pair in old.windows(2) {
                shortest = shortest.min(distance(pair[0].at, pair[1].at));
            }
            let new: Vec<Stitch> =
                stitches.into_iter().filter(|s| s.role != StitchRole::Tie).collect();
            for pair in new.windows(2) {
                let length = distance(pair[0].at, pair[1].at);
                let sewn = pair[1].kind == StitchKind::Needle && pair[0].kind == StitchKind::Needle;
                prop_assert!(!sewn || length >= shortest.min(0.3) - 1e-9);
            }
        }

        // Where all is selected, every run in which anything is sewn is tied in once and off once.
        if selected.len() == before.objects.len() {
            for run in runs(&once, settings.trim_over) {
                let is_tie = |p: &Point| p.0.role == StitchRole::Tie;
                let starts = |pair: &&[Point]| !is_tie(&pair[0]) && is_tie(&pair[1]);
                let ties = run.windows(2).filter(starts).count();
                let sewn = run.iter().any(|p| p.1 && !is_tie(p));
                prop_assert!(ties == if sewn { 2 } else { 0 } || turns_back(&run), "{ties}: {run:?}");
                prop_assert!(ties <= 2);
            }
        }
    }
}
