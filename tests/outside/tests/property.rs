//! Whatever comes from outside, what must hold of it holds.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use hoopwright_outside::{Subject, all};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed, TestRunner};
use std::path::{Path, PathBuf};

/// Tries files of a subject at random. The same ones in every run: what else there is to find, the
/// fuzz targets look for.
fn hold(subject: &Subject, cases: u32) {
    let config = Config {
        cases,
        rng_seed: RngSeed::Fixed(11),
        failure_persistence: None,
        ..Config::default()
    };
    let bytes = proptest::collection::vec(any::<u8>(), 0..1500);
    TestRunner::new(config)
        .run(&bytes, |choices| {
            let file = subject.made(&choices);
            let wrongs = (subject.wrongs)(&file);
            prop_assert!(
                wrongs.is_empty(),
                "{:#?}\n{}",
                wrongs,
                String::from_utf8_lossy(&file)
            );
            Ok(())
        })
        .unwrap_or_else(|error| panic!("{}: {error}", subject.name));
}

macro_rules! subjects {
    ($($subject:ident $cases:literal,)*) => {
        $(#[test]
        fn $subject() {
            hold(&hoopwright_outside::$subject::SUBJECT, $cases);
        })*

        #[test]
        fn none_is_left_out() {
            let tried = [$(stringify!($subject)),*];
            assert_eq!(tried.to_vec(), all().map(|subject| subject.name).to_vec());
        }
    };
}

subjects! {
    design 256,
    dst 256,
    lock 256,
    machine 256,
    pack 256,
    part 256,
    pipeline 256,
    rack 256,
    settings 256,
    signed_pack 256,
    step 32,
    svg 256,
    trust 256,
}

/// What lies in a folder, in order of name.
fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).into_iter().flatten();
    let mut files: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files
}

/// What fuzzing found once must not come back.
#[test]
fn what_fuzzing_found_stays_mended() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fuzz/regressions");
    for subject in all() {
        for file in files(&folder.join(subject.name)) {
            let wrongs = (subject.wrongs)(&std::fs::read(&file).unwrap());
            assert!(wrongs.is_empty(), "{}: {wrongs:#?}", file.display());
        }
    }
}

/// So that the fuzz targets begin with what is sound.
#[test]
fn the_demo_is_sound() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    for subject in all() {
        for seed in subject.seeds {
            let wrongs = (subject.wrongs)(&std::fs::read(root.join(seed)).unwrap());
            assert!(wrongs.is_empty(), "{seed}: {wrongs:#?}");
        }
    }
}

/// Most of what is made is to get past the first look, or the tries try little.
#[test]
fn makers_make_files_of_every_sort() {
    for subject in all() {
        let made = |number: u8| subject.made(&[number; 24]);
        let sorts: std::collections::BTreeSet<Vec<u8>> = (0..=99).map(made).collect();
        assert!(sorts.len() > 20, "{}: {} files", subject.name, sorts.len());
        assert_eq!(subject.file(&[2, b'o', b'w', b'l']), b"owl");
    }
}
