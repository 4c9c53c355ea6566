//! Two shops, each with a home of its own, exchange a routine and sew the same.

use super::shop::{Shop, other_build};
use crate::files::root;
use crate::guests;
use hoopwright::sharing::Pack;

/// Hands a file over from one shop to another.
fn send(from: &Shop, to: &Shop, path: &str) {
    to.put(path, from.get(path));
}

#[test]
fn the_receiver_sews_the_sender_s_bytes() {
    let barn = Shop::with_routine("barn");
    barn.well("key Barn --to barn.key --no-password");
    barn.well("lock patches/routine.json");
    let told = barn.well("pack patches/routine.json --to routine.pack --sign barn.key");
    assert!(told.contains("routine.pack.minisig"), "{told}");
    barn.well("run patches/routine.json art.svg --locked --into out --hold-at never");

    let night = Shop::new("night");
    for path in [
        "routine.pack",
        "routine.pack.minisig",
        "barn.key.pub",
        "art.svg",
    ] {
        send(&barn, &night, path);
    }
    let told = night.well("inspect routine.pack");
    assert!(
        told.contains("Patches for the volunteers") && told.contains("patches/steps/hostile.wasm"),
        "{told}"
    );
    assert!(
        night
            .refused("unpack routine.pack --into shared")
            .contains("is not trusted here")
    );
    night.well("trust Barn barn.key.pub");
    let told = night.well("unpack routine.pack --into shared");
    assert!(told.contains("signed by Barn"), "{told}");
    assert!(
        told.ends_with("hoopwright run --locked shared/patches/routine.json ARTWORK\n"),
        "{told}"
    );
    let names: Vec<String> = night.tree("shared").into_keys().collect();
    assert_eq!(
        names,
        [
            "machine.json",
            "patches/routine.json",
            "patches/routine.lock.json",
            "patches/steps/hostile.wasm",
            "patches/steps/region-fill.wasm",
            "patches/steps/ties-and-trims.wasm",
            "rack.csv",
        ]
    );
    assert_eq!(
        night.get("shared/patches/steps/hostile.wasm"),
        guests::hostile()
    );
    night.well("run shared/patches/routine.json art.svg --locked --into out --hold-at never");
    assert_eq!(night.get("out/art.dst"), barn.get("out/art.dst"));

    // Packed again, it is the same pack: nothing of the receiver's is in it.
    night.well("pack shared/patches/routine.json --to again.pack");
    assert_eq!(night.get("again.pack"), barn.get("routine.pack"));
    // What the receiver changes, the lock tells.
    night.put(
        "shared/patches/steps/hostile.wasm",
        other_build(guests::hostile()),
    );
    let why = night.refused("run shared/patches/routine.json art.svg --locked --into out");
    assert!(why.contains("lock-changed"), "{why}");
    let why = night.refused("pack shared/patches/routine.json --to third.pack");
    assert!(why.contains("lock-changed"), "{why}");
    assert!(!night.has("third.pack"));
}

#[test]
fn a_pack_is_the_same_from_any_folder_at_any_time() {
    let one = Shop::with_routine("same-one");
    let two = Shop::with_routine("same-two/deeper");
    one.well("pack patches/routine.json --to routine.pack");
    one.well("pack patches/routine.json --to again.pack");
    let absolute = two.folder.join("patches/routine.json");
    two.well(&format!("pack {} --to routine.pack", absolute.display()));
    assert_eq!(one.get("again.pack"), one.get("routine.pack"));
    assert_eq!(two.get("routine.pack"), one.get("routine.pack"));
    let pack = Pack::read(&one.get("routine.pack")).unwrap();
    for (path, bytes) in pack.files() {
        let home = one.home.display().to_string();
        let holds = bytes
            .windows(home.len())
            .any(|part| part == home.as_bytes());
        assert!(
            !holds || path.as_str().ends_with(".wasm"),
            "{path} names a folder of the sender"
        );
    }
}

/// The owl, with its rack and machine above it, sewn by the stock steps of the pack.
#[test]
fn the_owl_goes_from_shop_to_shop() {
    let shop = Shop::new("owl");
    let owl = root().join("demo-pipelines/owl");
    let art = owl.join("owl.svg");
    shop.well(&format!(
        "pack {} --to owl.pack",
        owl.join("owl.json").display()
    ));
    shop.well("unpack owl.pack --into shared --unsigned");
    assert_eq!(
        shop.get("shared/owl/owl.json"),
        std::fs::read(owl.join("owl.json")).unwrap()
    );
    for (pipeline, into) in [
        (owl.join("owl.json"), "sent"),
        (shop.folder.join("shared/owl/owl.json"), "received"),
    ] {
        let locked = if into == "received" { "--locked" } else { "" };
        shop.well(&format!(
            "run {} {} --into {into} {locked}",
            pipeline.display(),
            art.display()
        ));
    }
    assert_eq!(shop.get("received/owl.dst"), shop.get("sent/owl.dst"));
}

/// A pack may be named as a place for plugins, where its signature counts as well.
#[test]
fn a_pack_is_a_place_for_plugins() {
    let barn = Shop::with_routine("place-barn");
    barn.well("key Barn --to barn.key --no-password");
    barn.well("pack patches/routine.json --to routine.pack --sign barn.key");
    let night = Shop::new("place-night");
    for path in [
        "routine.pack",
        "routine.pack.minisig",
        "barn.key.pub",
        "art.svg",
    ] {
        send(&barn, &night, path);
    }
    night.put(
        "own.json",
        r#"{ "plugins": ["routine.pack"], "steps": [{ "step": "region-fill" }, { "step": "hostile" }] }"#,
    );
    let why = night.refused("check own.json");
    assert!(
        why.contains("signer-unknown") && why.contains("own.json"),
        "{why}"
    );
    night.well("trust Barn barn.key.pub");
    night.well("check own.json");
    night.well("lock own.json");
    let lock = String::from_utf8(night.get("own.lock.json")).unwrap();
    assert!(lock.contains("\"pack\": \"routine.pack\""), "{lock}");
    night.well("check own.json --locked");
    std::fs::remove_file(night.folder.join("routine.pack.minisig")).unwrap();
    assert!(night.refused("check own.json").contains("error[unsigned]"));
    assert!(
        night
            .refused("steps --plugin routine.pack")
            .contains("error[unsigned]")
    );
}

#[test]
fn what_cannot_be_packed_is_told_at_once() {
    let shop = Shop::with_routine("cannot-pack");
    let routine = |rack: &str, machine: &str| {
        shop.put(
            "patches/routine.json",
            format!(r#"{{ "rack": "{rack}", "machine": "{machine}", "steps": [{{ "step": "region-fill" }}] }}"#),
        );
    };
    let absolute = shop.folder.join("rack.csv");
    shop.put("patches/.odd.json", r#"{}"#);
    routine(&absolute.display().to_string(), "./.odd.json");
    let why = shop.refused("pack patches/routine.json --to a.pack");
    assert!(
        why.contains("not relative to the file that names it"),
        "{why}"
    );
    assert!(
        why.contains(".odd.json") && why.contains("systems take for something else"),
        "{why}"
    );
    routine("../patches/../rack.csv", "../machine.json");
    let why = shop.refused("pack patches/routine.json --to a.pack");
    assert!(why.contains("leads down and up again"), "{why}");
    routine("../rack.csv", "../machine.json");
    for name in ["a.zip", ".pack", "a.pack.txt"] {
        assert!(!shop.has("a.pack"));
        shop.refused(&format!("pack patches/routine.json --to {name}"));
    }
    shop.well("pack patches/routine.json --to a.pack");
    shop.put("a.pack.minisig", "of another time");
    let why = shop.refused("pack patches/routine.json --to a.pack");
    assert!(why.contains("would not fit the new pack"), "{why}");
}
