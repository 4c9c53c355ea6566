//! A stretch of line divided into steps: evenly where it is straight enough, and otherwise in
//! steps that shorten towards the bends and lengthen again after them, so that one small bend
//! does not shorten all stitches of a long line.

use super::Spacing;
use crate::measured::Measured;

/// How much longer a step may be allowed for each mm away from a bend.
const GROWTH: f64 = 0.5;

/// The ratio of the step lengths that are tried in a bend.
const RUNG: f64 = 0.85;

/// At most this many places are looked at in one stretch.
const MOST_SAMPLES: f64 = 50_000.0;

/// Adds the marks after the first of the stretch from `from` to `to` mm along the line.
pub(super) fn divide(line: &Measured, from: f64, to: f64, spacing: Spacing, marks: &mut Vec<f64>) {
    let total = to - from;
    let fewest = (total / spacing.longest - 1e-9).ceil().max(1.0) as usize;
    let even = |step: usize| from + total * step as f64 / fewest as f64;
    let straight =
        (0..fewest).all(|step| line.sag(even(step), even(step + 1)) <= spacing.tolerance);
    if straight || total <= spacing.shortest {
        marks.extend((1..fewest).map(even));
    } else {
        marks.extend(Sizes::measure(line, from, to, spacing).marks(fewest, spacing));
    }
    marks.push(to);
}

/// The longest step allowed at places of one pitch along a stretch, as the number of steps that
/// it takes to get there from its beginning.
struct Sizes {
    from: f64,
    pitch: f64,
    steps: Vec<f64>,
}

impl Sizes {
    fn measure(line: &Measured, from: f64, to: f64, spacing: Spacing) -> Self {
        let total = to - from;
        let cells = (2.0 * total / spacing.shortest)
            .ceil()
            .clamp(4.0, MOST_SAMPLES) as usize;
        let pitch = total / cells as f64;
        let mut longest: Vec<f64> = (0..=cells)
            .map(|i| allowed(line, (from, to), from + pitch * i as f64, spacing))
            .collect();
        for i in 1..=cells {
            longest[i] = longest[i].min(longest[i - 1] + GROWTH * pitch);
        }
        for i in (0..cells).rev() {
            longest[i] = longest[i].min(longest[i + 1] + GROWTH * pitch);
        }
        let mut steps = vec![0.0];
        let mut so_far = 0.0;
        for pair in longest.windows(2) {
            so_far += pitch * 0.5 * (1.0 / pair[0] + 1.0 / pair[1]);
            steps.push(so_far);
        }
        Self { from, pitch, steps }
    }

    /// The marks strictly inside the stretch.
    fn marks(&self, fewest: usize, spacing: Spacing) -> Vec<f64> {
        let all = self.steps[self.steps.len() - 1];
        let count = ((all - 1e-9).ceil() as usize).max(fewest);
        let marks = self.at_equal_steps(count);
        // Rounding up may have made the shortest steps too short: then one step fewer may fit.
        if count > fewest && self.extremes(&marks).0 < spacing.shortest {
            let fewer = self.at_equal_steps(count - 1);
            if self.extremes(&fewer).1 <= spacing.longest {
                return fewer;
            }
        }
        marks
    }

    fn at_equal_steps(&self, count: usize) -> Vec<f64> {
        let all = self.steps[self.steps.len() - 1];
        (1..count)
            .map(|i| {
                let wanted = all * i as f64 / count as f64;
                let next = self.steps.partition_point(|&steps| steps < wanted).max(1);
                let (before, after) = (self.steps[next - 1], self.steps[next]);
                let cell = (wanted - before) / (after - before);
                self.from + self.pitch * (next as f64 - 1.0 + cell)
            })
            .collect()
    }

    /// The shortest and the longest step, measured along the line.
    fn extremes(&self, marks: &[f64]) -> (f64, f64) {
        let end = self.from + self.pitch * (self.steps.len() - 1) as f64;
        let mut before = self.from;
        let mut extremes = (f64::INFINITY, 0.0_f64);
        for &mark in marks.iter().chain([&end]) {
            let step = mark - before;
            extremes = (extremes.0.min(step), extremes.1.max(step));
            before = mark;
        }
        extremes
    }
}

/// The longest step about the place `at` whose chord keeps the tolerance.
fn allowed(line: &Measured, stretch: (f64, f64), at: f64, spacing: Spacing) -> f64 {
    let fits = |step: f64| {
        let (from, to) = (at - step / 2.0, at + step / 2.0);
        line.sag(from.max(stretch.0), to.min(stretch.1)) <= spacing.tolerance
    };
    longest_step(spacing.longest, spacing.shortest, fits).unwrap_or(spacing.shortest)
}

/// The first step that `fits` of those from `longest` mm down, each the same share shorter than the one
/// before; nothing where none above `shortest` does.
pub fn longest_step(longest: f64, shortest: f64, fits: impl Fn(f64) -> bool) -> Option<f64> {
    let mut steps = std::iter::successors(Some(longest), |step| Some(step * RUNG));
    let step = steps.find(|&step| step <= shortest || fits(step))?;
    (step > shortest).then_some(step)
}
