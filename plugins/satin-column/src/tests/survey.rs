//! Surveys over thousands of shapes, for whoever changes the craft:
//! `SURVEY=200 cargo test --release -p hoopwright-satin-column survey -- --ignored --nocapture`.

use super::families::{Family, families};
use super::measures::Measured;
use super::sew;
use crate::SatinColumn;
use hoopwright_sdk::prelude::*;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngSeed, TestRunner};

#[test]
#[ignore = "takes minutes"]
fn survey() {
    let number = |name: &str, otherwise: u64| {
        std::env::var(name)
            .ok()
            .and_then(|value| value.parse().ok())
            .unwrap_or(otherwise)
    };
    let (cases, seed) = (number("SURVEY", 100), number("SURVEY_SEED", 1));
    for Family { name, shapes } in families() {
        let mut runner = TestRunner::new(Config {
            rng_seed: RngSeed::Fixed(seed),
            ..Config::default()
        });
        let mut rows: Vec<(Measured, u64)> = (0..cases)
            .map(|case| {
                let area = shapes.new_tree(&mut runner).expect("a shape").current();
                let (stitches, _) = sew(Object::of_region(name, &area), &SatinColumn::default());
                (Measured::of(&area, &stitches, 0.2), case)
            })
            .collect();
        if rows.is_empty() {
            continue;
        }
        let mut column = |title: &str, pick: fn(&Measured) -> f64| {
            rows.sort_by(|a, b| pick(&a.0).total_cmp(&pick(&b.0)));
            let at = |share: f64| pick(&rows[((rows.len() - 1) as f64 * share).round() as usize].0);
            let tail: Vec<u64> = rows.iter().rev().take(5).map(|row| row.1).collect();
            println!(
                "{name:10} {title:16} median {:8.4} 90 % {:8.4} 99 % {:8.4} worst {:8.4} cases {tail:?}",
                at(0.5),
                at(0.9),
                at(0.99),
                at(1.0)
            );
        };
        column("% bare", |m| 100.0 * (1.0 - m.covered));
        column("% cover outside", |m| 100.0 * m.cover_outside);
        column("% other outside", |m| 100.0 * m.other_outside);
        column("% under 1 mm", |m| 100.0 * m.under_1);
        column("shortest (neg)", |m| -m.shortest);
        column("jumps too many", |m| m.jumps_too_many);
        column("mm per mm2", |m| m.thread_per_area);
    }
}

/// Writes pictures of single cases of a family: `FAMILY=spiky CASES=3,14`.
#[test]
#[ignore = "writes pictures"]
fn survey_pictures() {
    let text = |name: &str| std::env::var(name).unwrap_or_default();
    let folder = text("HOOPWRIGHT_PICTURES");
    let seed = text("SURVEY_SEED").parse().unwrap_or(1);
    let wanted: Vec<u64> = text("CASES")
        .split(',')
        .filter_map(|c| c.parse().ok())
        .collect();
    for Family { name, shapes } in families() {
        if name != text("FAMILY") {
            continue;
        }
        let mut runner = TestRunner::new(Config {
            rng_seed: RngSeed::Fixed(seed),
            ..Config::default()
        });
        for case in 0..=wanted.iter().copied().max().unwrap_or(0) {
            let area = shapes.new_tree(&mut runner).expect("a shape").current();
            if wanted.contains(&case) {
                super::picture::draw(
                    &folder,
                    &format!("{name}-{case}"),
                    Object::of_region(name, &area),
                );
            }
        }
    }
}
