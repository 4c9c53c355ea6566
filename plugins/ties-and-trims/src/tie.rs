//! The small stitches that lock the thread.
//!
//! 3 to 5 small stitches (H. Hart Momsen); each 0.5 to 1.0 mm (common practice, no source).

use hoopwright_sdk::THREAD_WIDTH;
use hoopwright_sdk::geometry::measure::{distance, to_edge};
use hoopwright_sdk::geometry::measured::Measured;
use hoopwright_sdk::prelude::*;

/// The shortest stitch of a tie, and from one object to the next, in mm (common practice: 0.3 to 0.5).
pub(crate) const SHORTEST: f64 = 0.3;

/// The longest stitch of a tie, in mm.
pub(crate) const LONGEST: f64 = 1.2;

/// How far a tie stitch may lie beside the sewn line, in mm.
const BESIDE: f64 = THREAD_WIDTH / 2.0;

/// The places of a tie at the first place of `line`, which is what is sewn from there on, or what
/// was sewn up to there, backwards. The needle is already at that place, and the last stitch of
/// the tie comes back to it. Nothing where the line has no length.
///
/// A line under 0.3 mm is overshot up to 0.3 mm, less than a thread's own width.
pub(crate) fn tie(line: &[Coord<f64>], stitches: u32, length: f64) -> Option<Vec<Coord<f64>>> {
    let line = Measured::new(beginning(line)?);
    let total = line.length();
    let on_line = |at: &f64| line.place(*at);
    // The stitches go out and back at different lengths; the farthest goes this far out.
    let mut reach = (length * 1.36).min(LONGEST).min(total);
    while reach >= 2.0 * SHORTEST {
        let offsets = back_and_forth(stitches, reach);
        if lies_on(&line, &offsets) {
            return Some(offsets.iter().map(on_line).collect());
        }
        reach = if reach > 2.0 * SHORTEST {
            (reach * 0.85).max(2.0 * SHORTEST)
        } else {
            0.0
        };
    }
    // Too short, or too bent, for all of them: once out and back.
    for out in [total.min(length), total.min(2.0 * SHORTEST), SHORTEST] {
        let offsets = [out, 0.0];
        if out <= total && lies_on(&line, &offsets) {
            return Some(offsets.iter().map(on_line).collect());
        }
    }
    let (start, next) = (*line.corners().first()?, *line.corners().get(1)?);
    let direction = (next - start) / distance(start, next);
    Some(vec![start + direction * SHORTEST, start])
}

/// The first part of a line, long enough for any tie, without repeated places.
fn beginning(line: &[Coord<f64>]) -> Option<Vec<Coord<f64>>> {
    let mut part: Vec<Coord<f64>> = Vec::new();
    let mut length = 0.0;
    for &corner in line {
        let step = part.last().map_or(0.0, |&last| distance(last, corner));
        if !step.is_finite() {
            break;
        }
        if part.is_empty() || step > 1e-6 {
            part.push(corner);
            length += step;
        }
        if length > LONGEST {
            break;
        }
    }
    (part.len() > 1).then_some(part)
}

/// How far along the line the stitches of a tie lie, the farthest at `reach`, the last at 0. The
/// places differ, so that the needle does not strike one hole again and again.
fn back_and_forth(stitches: u32, reach: f64) -> Vec<f64> {
    let first = reach / 1.36;
    let near = (0.27 * reach).min(first - SHORTEST);
    match stitches {
        0..=3 => vec![reach, reach / 2.0, 0.0],
        4 => vec![first, near, reach, 0.0],
        _ => vec![first, near, reach, reach / 2.0, 0.0],
    }
}

/// Whether straight stitches from 0 through all `offsets` are as long as tie stitches may be and
/// stay on the line.
fn lies_on(line: &Measured, offsets: &[f64]) -> bool {
    let mut from = 0.0;
    offsets.iter().all(|&to| {
        let (a, b) = (line.place(from), line.place(to));
        let (least, most) = (from.min(to), from.max(to));
        from = to;
        let long_enough = distance(a, b) >= SHORTEST - 1e-9;
        long_enough
            && distance(a, b) <= LONGEST + 1e-9
            && line.corners()[line.between(least, most)]
                .iter()
                .all(|&corner| to_edge(corner, [a, b]) <= BESIDE)
    })
}

/// Whether `line` begins with a tie: at least three stitches no longer than tie stitches that
/// come back to where they began. Needed only for stitches read from a machine file, where no
/// role tells.
pub(crate) fn is_tied(line: &[Coord<f64>]) -> bool {
    let Some(&start) = line.first() else {
        return false;
    };
    let small = line
        .windows(2)
        .take(6)
        .take_while(|pair| distance(pair[0], pair[1]) <= LONGEST)
        .count();
    // Machine files round to 0.1 mm.
    (2..=small).any(|i| distance(line[i], start) <= 0.25) && small >= 3
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn line(places: &[(f64, f64)]) -> Vec<Coord<f64>> {
        places.iter().map(|&(x, y)| Coord { x, y }).collect()
    }

    fn steps(start: Coord<f64>, tie: &[Coord<f64>]) -> Vec<f64> {
        let mut from = start;
        tie.iter()
            .map(|&to| distance(std::mem::replace(&mut from, to), to))
            .collect()
    }

    /// 3 to 5 small stitches: H. Hart Momsen. 0.5 to 1.0 mm: common practice, no source; the
    /// mean is held to it here, single stitches to 0.3 to 1.2 mm.
    #[test]
    fn a_tie_has_three_to_five_small_stitches_and_comes_back() {
        let run = line(&[(0., 0.), (4., 0.), (8., 0.)]);
        for stitches in 3..=5 {
            for length in [0.5, 0.7, 1.0] {
                let tie = tie(&run, stitches, length).expect("there is a line");
                let steps = steps(run[0], &tie);
                assert_eq!(tie.len(), stitches as usize);
                assert_eq!(tie.last(), Some(&run[0]));
                let allowed = SHORTEST - 1e-9..=LONGEST + 1e-9;
                assert!(steps.iter().all(|s| allowed.contains(s)), "{steps:?}");
                let mean = steps.iter().sum::<f64>() / steps.len() as f64;
                // The common range belongs to the common length.
                let least = if length == 0.7 { 0.5 } else { 0.7 * length };
                assert!(
                    (least..=1.0).contains(&mean),
                    "{stitches} of {length}: {mean}"
                );
            }
        }
    }

    #[test]
    fn the_needle_strikes_no_place_a_third_time() {
        let run = line(&[(0., 0.), (4., 0.)]);
        for stitches in 3..=5 {
            let mut hits = vec![run[0]];
            hits.extend(tie(&run, stitches, 0.7).expect("there is a line"));
            for a in &hits {
                let near = hits.iter().filter(|b| distance(*a, **b) < 0.2).count();
                assert!(near < 3, "{hits:?}");
            }
        }
    }

    #[test]
    fn a_short_run_gets_a_shorter_tie_of_three_points() {
        let tie = tie(&line(&[(0., 0.), (0.4, 0.)]), 4, 0.7).expect("there is a line");
        assert_eq!(tie, line(&[(0.4, 0.), (0., 0.)]));
    }

    #[test]
    fn a_run_of_no_length_cannot_be_tied() {
        assert_eq!(tie(&line(&[(1., 1.)]), 4, 0.7), None);
        assert_eq!(tie(&line(&[(1., 1.), (1., 1.)]), 4, 0.7), None);
        assert_eq!(tie(&line(&[(1., 1.), (f64::NAN, 1.)]), 4, 0.7), None);
        assert_eq!(tie(&[], 4, 0.7), None);
    }

    #[test]
    fn ties_of_a_machine_file_are_known_again_and_sewing_is_not_taken_for_one() {
        assert!(is_tied(&line(&[
            (0., 0.),
            (0.7, 0.),
            (0.1, 0.),
            (0.8, 0.),
            (0., 0.),
            (4., 0.)
        ])));
        // A run of short stitches, and a narrow satin column.
        assert!(!is_tied(&line(&[
            (0., 0.),
            (1., 0.),
            (2., 0.),
            (3., 0.),
            (4., 0.)
        ])));
        assert!(!is_tied(&line(&[
            (0., 0.),
            (1., 0.2),
            (0., 0.4),
            (1., 0.6),
            (0., 0.8)
        ])));
    }

    proptest! {
        /// On any line: stitches from 0.3 to 1.2 mm, no farther from the line than half a thread,
        /// or 0.3 mm where the line itself is shorter or folds upon itself.
        #[test]
        fn a_tie_never_leaves_its_line(
            turns in prop::collection::vec((0.05..3.0f64, -180.0..180.0f64), 1..12),
            stitches in 3..=5u32,
            length in 0.5..=1.0f64,
        ) {
            let mut run = line(&[(0., 0.)]);
            for (step, turn) in turns {
                let turn = turn.to_radians();
                run.push(run[run.len() - 1] + Coord { x: turn.cos(), y: turn.sin() } * step);
            }
            let tie = tie(&run, stitches, length).expect("there is a line");
            prop_assert!(tie.len() >= 2);
            prop_assert_eq!(tie[tie.len() - 1], run[0]);
            let mut from = run[0];
            for &to in &tie {
                let step = distance(from, to);
                prop_assert!((SHORTEST - 1e-9..=LONGEST + 1e-9).contains(&step), "{step}");
                let middle = (from + to) / 2.0;
                let beside = run.windows(2)
                    .map(|pair| to_edge(middle, [pair[0], pair[1]]))
                    .fold(f64::INFINITY, f64::min);
                prop_assert!(beside <= SHORTEST, "{beside} beside");
                from = to;
            }
        }
    }
}
