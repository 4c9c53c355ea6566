//! Whatever shape and settings a step gets, what it gives is sound.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use hoopwright_craft::any::{Case, sound};
use hoopwright_craft::runs::Step;
use proptest::prelude::*;
use std::path::Path;

/// All that is wrong with what a step makes of a case.
fn wrongs(case: &Case) -> Vec<String> {
    match case.sew() {
        Ok(outcome) => sound::wrongs(case, &outcome),
        Err(error) => vec![error],
    }
}

/// What fuzzing found once must not come back.
#[test]
fn what_fuzzing_found_stays_mended() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fuzz/regressions");
    let mut files: Vec<_> = ["region_fill", "satin_column"]
        .iter()
        .flat_map(|target| std::fs::read_dir(folder.join(target)).unwrap())
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "json"))
        .collect();
    files.sort();
    assert!(!files.is_empty());
    for file in files {
        let case: Case = serde_json::from_slice(&std::fs::read(&file).unwrap()).unwrap();
        let found = wrongs(&case);
        assert!(found.is_empty(), "{}: {found:?}", file.display());
    }
}

fn bytes() -> impl Strategy<Value = Vec<u8>> {
    proptest::collection::vec(any::<u8>(), 0..600)
}

proptest! {
    // The same cases in every run: what else there is to find, the fuzz targets look for.
    #![proptest_config(ProptestConfig {
        cases: 300,
        rng_seed: proptest::test_runner::RngSeed::Fixed(7),
        ..ProptestConfig::default()
    })]

    #[test]
    fn region_fill_is_sound(bytes in bytes()) {
        let case = Case::of(Step::RegionFill, &bytes);
        let found = wrongs(&case);
        prop_assert!(found.is_empty(), "{:?}\n{:?}", found, case);
    }

    #[test]
    fn satin_column_is_sound(bytes in bytes()) {
        let case = Case::of(Step::SatinColumn, &bytes);
        let found = wrongs(&case);
        prop_assert!(found.is_empty(), "{:?}\n{:?}", found, case);
    }
}
