//! The times in print. Growth with the area, and the bounds, are `tests/oracle/craft.py`'s.

use hoopwright_craft::record::Time;
use hoopwright_craft::regions::Sample;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// A line for each run and set.
pub fn of(times: &[Time], samples: &[Sample]) -> String {
    let sets: BTreeMap<&str, &str> = samples
        .iter()
        .map(|sample| (sample.name.as_str(), sample.set.as_str()))
        .collect();
    let mut rows: Vec<((&str, &str), Vec<&Time>)> = Vec::new();
    for time in times {
        for set in [sets[time.region.as_str()], "all"] {
            let key = (time.run.as_str(), set);
            match rows.iter_mut().find(|(other, _)| *other == key) {
                Some((_, of_row)) => of_row.push(time),
                None => rows.push((key, vec![time])),
            }
        }
    }
    let mut text = String::new();
    for ((run, set), of_row) in rows {
        let total = |of: fn(&Time) -> f64| of_row.iter().map(|time| of(time)).sum::<f64>() * 1e3;
        let mut ratios: Vec<f64> = of_row
            .iter()
            .map(|time| time.wasm.unwrap_or_default() / time.native)
            .collect();
        ratios.sort_by(f64::total_cmp);
        let share = |share: f64| ratios[((ratios.len() - 1) as f64 * share) as usize];
        let _ = writeln!(
            text,
            "{run:14} {set:10} {:4} regions, native {:8.1} ms, sandbox {:8.1} ms, \
             ratio {:.2} (5 %) {:.2} (median) {:.2} (95 %)",
            ratios.len(),
            total(|time| time.native),
            total(|time| time.wasm.unwrap_or_default()),
            share(0.05),
            share(0.5),
            share(0.95),
        );
    }
    text
}
