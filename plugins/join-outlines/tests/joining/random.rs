//! Whatever is drawn is sewn, and what is not selected stays.

use crate::drawing::{away, design, line, lines_of, patch, wide};
use hoopwright_join_outlines::{JoinOutlines, Weight, join_outlines};
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::prelude::*;
use proptest::prelude::*;

type Drawn = (Vec<(f64, f64)>, bool, u32, usize);

fn objects(drawn: &[Drawn], on_grid: bool) -> Vec<Object> {
    let objects = drawn
        .iter()
        .enumerate()
        .map(|(i, (corners, closed, thread, kind))| {
            let round = |v: f64| if on_grid { (v / 4.0).round() * 4.0 } else { v };
            let corners: Vec<(f64, f64)> =
                corners.iter().map(|&(x, y)| (round(x), round(y))).collect();
            let id = format!("object-{i}");
            let mut object = match kind {
                0 => {
                    let (x, y) = corners[0];
                    patch(&id, (x - 4.0, y - 4.0), (x + 4.0, y + 3.0))
                }
                1 => wide(&id, &corners, 1.5),
                _ => line(&id, &corners),
            };
            object.thread = *thread;
            if let Shape::Lines(lines) = &mut object.shape {
                lines.paths[0].closed = *closed;
            }
            object
        });
    objects.collect()
}

fn steps(objects: &[&Object]) -> Vec<[Coord<f64>; 2]> {
    let lines = objects
        .iter()
        .filter(|o| matches!(o.shape, Shape::Lines(_)));
    let lines = lines.flat_map(|o| lines_of(o));
    lines
        .flat_map(|line| line.0.windows(2).map(|s| [s[0], s[1]]).collect::<Vec<_>>())
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn every_drawn_stretch_is_sewn_and_all_else_stays(
        drawn in prop::collection::vec(
            (
                prop::collection::vec((0.0..24.0f64, 0.0..24.0f64), 2..5),
                any::<bool>(),
                0u32..2,
                0usize..5,
            ),
            1..14,
        ),
        on_grid in any::<bool>(),
        weight in prop::sample::select(vec![
            Weight::LeastThread, Weight::EvenTwice, Weight::EvenTriple, Weight::Once,
        ]),
        come_back in any::<bool>(),
        left_out in prop::collection::vec(any::<bool>(), 14),
    ) {
        let before = design(objects(&drawn, on_grid));
        let selected: Vec<usize> = (0..drawn.len()).filter(|&i| !left_out[i]).collect();
        let settings = JoinOutlines { weight, come_back, ..JoinOutlines::default() };
        let after = join_outlines(before.clone(), &selected, &settings).expect("it never fails");
        prop_assert_eq!(
            &join_outlines(before.clone(), &selected, &settings).expect("it never fails"),
            &after
        );
        // What was not selected, and regions, are there as they were, in their order.
        let stays = |objects: &[Object]| -> Vec<Object> {
            let kept = objects.iter().filter(|o| {
                let number = before.objects.iter().position(|b| b.id == o.id);
                number.is_some_and(|n| !selected.contains(&n))
                    || matches!(o.shape, Shape::Region(_))
            });
            kept.cloned().collect()
        };
        prop_assert_eq!(stays(&before.objects), stays(&after.objects));
        let mut ids: Vec<&str> = after.objects.iter().map(|o| o.id.as_str()).collect();
        ids.sort_unstable();
        ids.dedup();
        prop_assert_eq!(ids.len(), after.objects.len());
        for thread in 0..2 {
            let of_thread = |objects: &'_ [Object]| -> Vec<Object> {
                objects.iter().filter(|o| o.thread == thread).cloned().collect()
            };
            let (was, is) = (of_thread(&before.objects), of_thread(&after.objects));
            let was = steps(&was.iter().collect::<Vec<_>>());
            let is = steps(&is.iter().collect::<Vec<_>>());
            // Ends are moved by up to the reach, and joints of several by a little more; triple
            // run is laid by chords, which pass over the smallest bends.
            let slack = if weight == Weight::EvenTriple { 1.2 } else { 0.7 };
            for [a, b] in was {
                for i in 0..=10 {
                    let at = a + (b - a) * (f64::from(i) / 10.0);
                    let off = is.iter().map(|&s| away(s, at)).fold(f64::INFINITY, f64::min);
                    prop_assert!(off <= slack, "{:?} is {} mm from what is sewn", at, off);
                }
            }
        }
    }

    /// Lines with places that are no numbers, or beyond all bounds, do no harm.
    #[test]
    fn nothing_panics(
        corners in prop::collection::vec(
            prop::collection::vec((prop::num::f64::ANY, prop::num::f64::ANY), 0..5), 0..6),
        weight in prop::sample::select(vec![Weight::LeastThread, Weight::EvenTriple, Weight::Once]),
    ) {
        let corners = corners.iter().enumerate();
        let mut all: Vec<Object> = corners.map(|(i, c)| line(&i.to_string(), c)).collect();
        all.push(patch("cover", (0., 0.), (9., 9.)));
        let selected: Vec<usize> = (0..all.len()).collect();
        let settings = JoinOutlines { weight, region_edges: true, ..JoinOutlines::default() };
        prop_assert!(join_outlines(design(all), &selected, &settings).is_ok());
    }
}
