//! The dynamic programme against all choices there are.

use super::*;
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

fn cost(
    ends: &[&Ends],
    candidates: &[Candidates],
    moves: &[Moves],
    path: &[(usize, usize)],
) -> f64 {
    let ways = path.windows(2).zip(moves);
    let ways = ways.map(|(pair, moves)| {
        let way = moves.between(pair[0].1, pair[1].0);
        way.map_or(0.0, Way::seconds)
    });
    let passed = path.iter().enumerate().map(|(at, &(start, finish))| {
        let passes = passes(ends[at], &candidates[at], start, finish);
        if passes { 0.0 } else { 1e6 }
    });
    ways.chain(passed).sum()
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
    fn no_other_choice_costs_less(block in objects()) {
        let ground = Ground::of(&[]);
        let mut hanging = Hanging::nothing(&ground);
        let ends: Vec<&Ends> = block.iter().map(|(ends, _)| ends).collect();
        let candidates: Vec<Candidates> = block.iter().map(|(_, own)| own.clone()).collect();
        let settings = StartsAndFinishes::default();
        let moves: Vec<Moves> = candidates
            .windows(2)
            .map(|pair| Moves::new(&pair[0], &pair[1], &mut hanging, &settings))
            .collect();
        let path = cheapest(&ends, &candidates, &moves);
        let found = cost(&ends, &candidates, &moves, &path);
        let best = least(&ends, &candidates, &moves, &[]);
        prop_assert!((found - best).abs() < 1e-9, "{found} {best} {path:?}");
    }
}
