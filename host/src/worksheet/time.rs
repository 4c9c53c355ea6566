//! How long the machine needs.

use crate::formats::dst::grid::length;
use crate::formats::dst::record::Record;
use crate::formats::dst::{Machine, Route};
use std::collections::BTreeMap;

/// How long `machine` needs for `route`, in seconds: every stitch at the machine's speed for its
/// length, and the time of each trim and each halt. An estimate: jumps and a person's time are not
/// in it.
pub fn seconds(route: &Route, machine: &Machine) -> f64 {
    sewing_seconds(route, machine)
        + route.trims() as f64 * machine.seconds_per_trim
        + route.halts() as f64 * machine.seconds_per_thread_change
}

/// The mean speed of `machine` along `route` between its halts and trims, in stitches a minute; the
/// machine's own where nothing is sewn.
pub fn mean_speed(route: &Route, machine: &Machine) -> u16 {
    let minutes = sewing_seconds(route, machine) / 60.0;
    if minutes > 0.0 {
        (route.stitches() as f64 / minutes).round() as u16
    } else {
        machine.speed
    }
}

fn sewing_seconds(route: &Route, machine: &Machine) -> f64 {
    let mut by_speed: BTreeMap<u16, usize> = BTreeMap::new();
    for record in &route.records {
        if let Record::Stitch(step) = record {
            let far = length([step.x.units(), step.y.units()]);
            *by_speed.entry(machine.speed_of(far)).or_default() += 1;
        }
    }
    let sewing = by_speed
        .into_iter()
        .map(|(speed, stitches)| stitches as f64 * 60.0 / f64::from(speed.max(1)));
    sewing.sum()
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
    use crate::formats::dst::record::Move;
    use crate::formats::dst::{Run, SpeedUpTo};

    fn stitches(count: usize, units: i32) -> Vec<Record> {
        vec![Record::Stitch(Move::new(units, 0).unwrap_or_default()); count]
    }

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
            records: stitches(8000, 30),
            ..Route::default()
        };
        assert_eq!(seconds(&route, &Machine::default()), 674.0);
        assert_eq!(mean_speed(&route, &Machine::default()), 800);
    }

    #[test]
    fn each_stitch_takes_the_time_of_its_length() {
        // 900 stitches of 2 mm at 900 a minute are 60 s, 400 of 5 mm at 800 are 30 s, and 600 of
        // 8 mm at 600 are 60 s.
        let machine = Machine {
            speed: 600,
            speed_by_length: vec![
                SpeedUpTo {
                    up_to: 3.0,
                    speed: 900,
                },
                SpeedUpTo {
                    up_to: 5.0,
                    speed: 800,
                },
            ],
            ..Machine::default()
        };
        let mut records = stitches(900, 20);
        records.extend(stitches(400, 50));
        records.extend(stitches(600, 80));
        let route = Route {
            records,
            ..Route::default()
        };
        assert!((seconds(&route, &machine) - 150.0).abs() < 1e-9);
    }

    #[test]
    fn times_are_rounded_up_to_the_minute() {
        assert_eq!(in_words(1.0), "1 min");
        assert_eq!(in_words(674.0), "12 min");
        assert_eq!(in_words(3600.0 + 181.0), "1 h 04 min");
    }
}
