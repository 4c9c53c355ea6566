//! How long the machine needs.

use crate::formats::dst::{Machine, Route};

/// How long `machine` needs for `route`, in seconds: every stitch at the machine's speed, and the
/// time of each trim and each halt. An estimate: machines slow down for long stitches, and a
/// person's time is not in it.
pub fn seconds(route: &Route, machine: &Machine) -> f64 {
    route.stitches() as f64 * 60.0 / f64::from(machine.speed.max(1))
        + route.trims() as f64 * machine.seconds_per_trim
        + route.halts() as f64 * machine.seconds_per_thread_change
}

/// A time in words, to the minute.
pub fn in_words(seconds: f64) -> String {
    let minutes = (seconds / 60.0).ceil().max(1.0) as u64;
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, minutes) => format!("{hours} h {minutes:02} min"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::dst::Run;

    #[test]
    fn the_estimate_is_the_sum_of_its_parts() {
        // 8000 stitches at 800 a minute are 600 s, 5 trims 35 s, 3 halts 39 s. 7 s a trim:
        // textbook 20387AG, p. 168; 6 to 20 s a colour change: read in trade sources.
        let run = Run {
            stitches: 2000,
            trims: 1,
            ..Run::default()
        };
        let mut runs = vec![run; 4];
        runs[0].trims = 2;
        let route = Route {
            runs,
            ..Route::default()
        };
        assert_eq!(seconds(&route, &Machine::default()), 674.0);
    }

    #[test]
    fn times_are_rounded_up_to_the_minute() {
        assert_eq!(in_words(1.0), "1 min");
        assert_eq!(in_words(674.0), "12 min");
        assert_eq!(in_words(3600.0 + 181.0), "1 h 04 min");
    }
}
