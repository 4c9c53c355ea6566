//! Times taken by turns, and what is made of them.
//!
//! Work of one thread is timed by the processor's clock of that thread, so that whatever else the computer
//! does meanwhile does not count; work of several threads, and of whole processes, by the clock on the wall.

use cpu_time::ThreadTime;
use std::time::{Duration, Instant};

/// What `work` gives, and how long this thread's processor was at it.
pub fn timed<T>(work: impl FnOnce() -> T) -> (T, Duration) {
    let before = ThreadTime::now();
    let done = work();
    (done, before.elapsed())
}

/// What `work` gives, and how long it took by the clock on the wall.
pub fn waited<T>(work: impl FnOnce() -> T) -> (T, Duration) {
    let before = Instant::now();
    let done = work();
    (done, before.elapsed())
}

/// The middle of some numbers, and how far they spread.
#[derive(Clone, Copy, Debug)]
pub struct Spread {
    /// Half are smaller.
    pub median: f64,
    /// A quarter are smaller.
    pub low: f64,
    /// A quarter are larger.
    pub high: f64,
}

impl Spread {
    /// Of at least one number.
    pub fn of(mut values: Vec<f64>) -> Self {
        assert!(!values.is_empty(), "nothing was measured");
        values.sort_by(f64::total_cmp);
        let share = |share: f64| values[((values.len() - 1) as f64 * share).round() as usize];
        Self {
            median: share(0.5),
            low: share(0.25),
            high: share(0.75),
        }
    }
}

/// Seconds that two ways of one work took, one pair a turn.
#[derive(Default)]
pub struct Pairs {
    first: Vec<f64>,
    second: Vec<f64>,
}

/// How long turns go on.
#[derive(Clone, Copy)]
pub struct Patience {
    /// No turn begins after that.
    pub enough: Duration,
    /// Nor after so many.
    pub most: usize,
}

impl Pairs {
    /// Works both ways by turns, so that whatever slows the machine slows both. The first turn finds
    /// cold caches and does not count, unless there is no time for another.
    pub fn by_turns(
        patience: Patience,
        mut first: impl FnMut() -> Duration,
        mut second: impl FnMut() -> Duration,
    ) -> Self {
        let begun = Instant::now();
        let cold = (first().as_secs_f64(), second().as_secs_f64());
        let mut pairs = Self::default();
        while pairs.first.len() < patience.most && begun.elapsed() < patience.enough {
            pairs.first.push(first().as_secs_f64());
            pairs.second.push(second().as_secs_f64());
        }
        if pairs.first.is_empty() {
            pairs.first.push(cold.0);
            pairs.second.push(cold.1);
        }
        pairs
    }

    /// Seconds of the first way.
    pub fn first(&self) -> Spread {
        Spread::of(self.first.clone())
    }

    /// Seconds of the second way.
    pub fn second(&self) -> Spread {
        Spread::of(self.second.clone())
    }

    /// How many times as long the second way takes as the first, pair by pair.
    pub fn ratio(&self) -> Spread {
        let pairs = self.first.iter().zip(&self.second);
        Spread::of(pairs.map(|(first, second)| second / first).collect())
    }
}

/// Seconds that one work took, turn by turn.
pub fn again(patience: Patience, mut work: impl FnMut() -> Duration) -> Spread {
    Pairs::by_turns(patience, &mut work, || Duration::ZERO).first()
}

/// The power of the size with which the times grow: the slope of the straight line nearest to the
/// logarithms (least squares).
pub fn exponent(points: &[(f64, f64)]) -> f64 {
    let count = points.len() as f64;
    let logs: Vec<(f64, f64)> = points.iter().map(|(x, y)| (x.ln(), y.ln())).collect();
    let mean = |of: fn(&(f64, f64)) -> f64| logs.iter().map(of).sum::<f64>() / count;
    let (x, y) = (mean(|point| point.0), mean(|point| point.1));
    let along: f64 = logs.iter().map(|log| (log.0 - x) * (log.1 - y)).sum();
    along / logs.iter().map(|log| (log.0 - x).powi(2)).sum::<f64>()
}
