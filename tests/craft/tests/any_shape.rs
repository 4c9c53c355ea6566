//! Whatever shape and settings a step gets, what it gives is sound.

use hoopwright_craft::any::{Case, sound};
use hoopwright_craft::runs::Step;
use proptest::prelude::*;
use std::path::Path;

/// All that is wrong with what a step makes of these bytes.
fn wrongs(step: Step, bytes: &[u8]) -> Vec<String> {
    let case = Case::of(step, bytes);
    match case.sew() {
        Ok(outcome) => sound::wrongs(&case, &outcome),
        Err(error) => vec![error],
    }
}

/// What fuzzing found once: it must not come back. What is not mended yet ends in `.open`.
fn once_found(step: Step, folder: &str) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fuzz/regressions")
        .join(folder);
    let mut files: Vec<_> = std::fs::read_dir(&folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|ending| ending == "bin"))
        .collect();
    files.sort();
    for file in files {
        let bytes = std::fs::read(&file).unwrap_or_default();
        let found = wrongs(step, &bytes);
        assert!(
            found.is_empty(),
            "{}: {}\n{:?}",
            file.display(),
            found.join("; "),
            Case::of(step, &bytes)
        );
    }
}

#[test]
fn what_fuzzing_found_in_region_fill_stays_mended() {
    once_found(Step::RegionFill, "region_fill");
}

#[test]
fn what_fuzzing_found_in_satin_column_stays_mended() {
    once_found(Step::SatinColumn, "satin_column");
}

fn bytes() -> impl Strategy<Value = Vec<u8>> {
    proptest::collection::vec(any::<u8>(), 0..600)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn region_fill_is_sound(bytes in bytes()) {
        let found = wrongs(Step::RegionFill, &bytes);
        prop_assert!(found.is_empty(), "{:?}\n{:?}", found, Case::of(Step::RegionFill, &bytes));
    }

    #[test]
    #[ignore = "satin-column takes without end on some: tests/fuzz/regressions/satin_column/*.open"]
    fn satin_column_is_sound(bytes in bytes()) {
        let found = wrongs(Step::SatinColumn, &bytes);
        prop_assert!(found.is_empty(), "{:?}\n{:?}", found, Case::of(Step::SatinColumn, &bytes));
    }
}
