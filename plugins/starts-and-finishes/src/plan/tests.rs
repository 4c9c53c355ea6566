//! The dynamic programme against all choices there are.

use super::*;
use hoopwright_sdk::hiding::area_to_hide;
use proptest::prelude::*;

/// An object at the place `at` of a block: how it ends, and where it may.
fn object(kind: u8, places: Vec<(f64, f64)>) -> (Ends, Candidates) {
    let places: Vec<Coord<f64>> = places.into_iter().map(|(x, y)| Coord { x, y }).collect();
    let both = Candidates {
        starts: places.clone(),
        finishes: places.clone(),
    };
    match kind {
        0 => (Ends::Free, both),
        1 => (Ends::Round, both),
        2 => (
            Ends::Fixed {
                start: places[0],
                finish: places[1],
            },
            Candidates {
                starts: vec![places[0]],
                finishes: vec![places[1]],
            },
        ),
        _ => {
            let ends = [places[0], places[1]];
            let candidates = Candidates {
                starts: ends.to_vec(),
                finishes: ends.to_vec(),
            };
            (Ends::Opposite(ends), candidates)
        }
    }
}

fn objects() -> impl Strategy<Value = Vec<(Ends, Candidates)>> {
    let places = prop::collection::vec((0.0..40.0, 0.0..40.0), 2..4);
    let one = (0_u8..4, places).prop_map(|(kind, places)| object(kind, places));
    prop::collection::vec(one, 2..5)
}

/// What is sewn later, in boxes.
fn cover() -> impl Strategy<Value = Vec<Object>> {
    let one = (0.0..30.0, 0.0..30.0, 3.0..30.0, 3.0..30.0);
    let one = one.prop_map(|(x, y, width, height)| covering_box(x, y, width, height));
    prop::collection::vec(one, 0..4)
}

fn covering_box(x: f64, y: f64, width: f64, height: f64) -> Object {
    let corners = [
        (x, y),
        (x + width, y),
        (x + width, y + height),
        (x, y + height),
    ];
    let area = geo::Polygon::new(corners.to_vec().into(), Vec::new());
    Object::of_region("box", &area.into())
}

fn moves_between(candidates: &[Candidates], cover: &[Object]) -> Vec<Moves> {
    let hides: Vec<_> = cover.iter().map(|one| area_to_hide(one, 1.0)).collect();
    let ground = Ground::of(&hides);
    let mut hanging = Hanging::nothing(&ground);
    hanging.grow_to(0);
    let settings = StartsAndFinishes::default();
    let pairs = candidates.windows(2);
    pairs
        .map(|pair| Moves::new(&pair[0], &pair[1], &mut hanging, &settings))
        .collect()
}

/// The least cost over every choice of a start and a finish for each object.
fn least(
    ends: &[&Ends],
    candidates: &[Candidates],
    moves: &[Moves],
    chosen: &[(usize, usize)],
) -> f64 {
    let Some(own) = candidates.get(chosen.len()) else {
        return cost(ends, candidates, moves, chosen);
    };
    let mut best = f64::INFINITY;
    for start in 0..own.starts.len() {
        for finish in 0..own.finishes.len() {
            let longer: Vec<_> = chosen.iter().copied().chain([(start, finish)]).collect();
            best = best.min(least(ends, candidates, moves, &longer));
        }
    }
    best
}

proptest! {
    #[test]
    fn no_other_choice_costs_less(block in objects(), cover in cover()) {
        let ends: Vec<&Ends> = block.iter().map(|(ends, _)| ends).collect();
        let candidates: Vec<Candidates> = block.iter().map(|(_, own)| own.clone()).collect();
        let moves = moves_between(&candidates, &cover);
        let path = cheapest(&ends, &candidates, &moves);
        let found = cost(&ends, &candidates, &moves, &path);
        let best = least(&ends, &candidates, &moves, &[]);
        prop_assert!((found - best).abs() < 1e-9, "{found} {best} {path:?}");
    }
}

/// 20 mm beneath a box take 0.6 s to sew; 4 mm in the open count 4.
#[test]
fn a_hidden_way_wins_over_a_shorter_open_one() {
    let at = |x: f64, y: f64| Coord { x, y };
    let places = [
        vec![at(10., 0.), at(10., 20.)],
        vec![at(14., 0.), at(30., 20.)],
    ];
    let candidates = places.map(|places| Candidates {
        starts: places.clone(),
        finishes: places,
    });
    let ends = [&Ends::Free, &Ends::Free];
    for (cover, way) in [
        (vec![covering_box(9., 18., 22., 4.)], Way::Hidden(20.)),
        (Vec::new(), Way::Open(4.)),
    ] {
        let moves = moves_between(&candidates, &cover);
        let path = cheapest(&ends, &candidates, &moves);
        assert_eq!(moves[0].between(path[0].1, path[1].0), Some(way));
    }
}
