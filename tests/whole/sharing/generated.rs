//! Packs and paths at random. The makers here are for a fuzzer too: what they make is all there is.

use super::small;
use hoopwright::sharing::{Pack, PackPath};
use proptest::collection::{btree_map, vec};
use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use std::collections::BTreeMap;

/// Any path that a pack may have.
pub fn path() -> impl Strategy<Value = PackPath> {
    let name = "[a-zA-Zäöüß0-9][a-zA-Zäöüß0-9 _-]{0,8}[a-z0-9]";
    let ending = prop_oneof![Just(".json"), Just(".csv"), Just(".wasm")];
    (vec(name, 1..5), ending).prop_filter_map("a name is kept by a system", |(names, ending)| {
        PackPath::parse(&format!("{}{ending}", names.join("/"))).ok()
    })
}

/// Any pack. Files that fall together are left out.
pub fn pack() -> impl Strategy<Value = Pack> {
    let files = btree_map(path(), vec(any::<u8>(), 0..1500), 1..8);
    (".{0,40}", files).prop_filter_map("files fall together", |(title, files)| {
        let pipeline = files
            .keys()
            .find(|path| path.as_str().ends_with(".json"))?
            .clone();
        Pack::new(&title, &pipeline, files).ok()
    })
}

/// One change of any bytes: some are flipped, cut out, doubled or put in.
pub fn change(bytes: &[u8], at: usize, length: usize, deed: u8, byte: u8) -> Vec<u8> {
    let at = at % (bytes.len() + 1);
    let end = (at + length).min(bytes.len());
    let (head, middle, tail) = (&bytes[..at], &bytes[at..end], &bytes[end..]);
    match deed % 4 {
        0 => [
            head,
            &middle.iter().map(|old| old ^ byte).collect::<Vec<u8>>(),
            tail,
        ]
        .concat(),
        1 => [head, tail].concat(),
        2 => [head, middle, middle, tail].concat(),
        _ => [head, &vec![byte; length], middle, tail].concat(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn any_pack_is_read_as_it_was_made(pack in pack()) {
        let bytes = pack.to_bytes().unwrap();
        prop_assert_eq!(Pack::read(&bytes).unwrap(), pack);
    }

    #[test]
    fn any_change_of_any_pack_shows(
        pack in pack(),
        at in any::<usize>(),
        length in 1..700usize,
        deed in any::<u8>(),
        byte in any::<u8>(),
    ) {
        let bytes = pack.to_bytes().unwrap();
        let changed = change(&bytes, at, length, deed, byte);
        prop_assert_eq!(Pack::read(&changed).is_ok(), changed == bytes);
    }

    #[test]
    fn any_bytes_are_refused_and_no_more(bytes in vec(any::<u8>(), 0..3000), at in 0..4000usize) {
        prop_assert!(Pack::read(&bytes).is_err());
        // Also behind a beginning that is sound.
        let mut half = small::pack().to_bytes().unwrap();
        half.truncate(at);
        half.extend(bytes);
        prop_assert!(Pack::read(&half).is_err());
    }

    #[test]
    fn any_text_that_is_a_path_stays_below_its_folder(text in ".{0,60}(/.{0,20}){0,3}(\\.json|\\.csv)?") {
        if let Ok(path) = PackPath::parse(&text) {
            prop_assert_eq!(path.as_str(), &text);
            let parts: Vec<_> = path.to_path().components().map(|part| matches!(part, std::path::Component::Normal(_))).collect();
            prop_assert!(parts.iter().all(|normal| *normal));
            prop_assert_eq!(parts.len(), text.split('/').count());
            prop_assert!(!text.contains('\\') && !text.contains(':') && !text.chars().any(char::is_control));
        }
    }
}

/// The maker of packs makes different ones.
#[test]
fn the_makers_make_something() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let files: BTreeMap<usize, ()> = (0..100)
        .map(|_| {
            pack()
                .new_tree(&mut runner)
                .unwrap()
                .current()
                .files()
                .len()
        })
        .map(|count| (count, ()))
        .collect();
    assert!(files.len() > 4, "{files:?}");
}
