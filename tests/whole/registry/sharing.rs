//! Two shops, one registry.

use super::server::{Guard, Server};
use super::shop::{Shop, told};
use std::fs;

/// A shop pushes a step of its own, another pulls it, and both sew the same bytes.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn two_shops_sew_the_same() {
    let registry = Server::start(&Guard::Open);
    let reference = registry.reference("barn/own:1.0.0");
    let [barn, mill] = [Shop::new(), Shop::new()];
    let own = barn.own_step();
    barn.routine("from-file.json", &[&own]);
    let before = barn.sewn("from-file.json");
    let pushed = barn.done(&format!("push {own} {reference} --json"));

    mill.routine("by-tag.json", &[&reference]);
    let unknown = mill.says("run by-tag.json square.svg --into out");
    assert_eq!(unknown.code, 1);
    assert!(
        unknown.err.contains("not on this computer"),
        "{}",
        unknown.err
    );
    assert!(
        unknown
            .err
            .contains(&format!("hoopwright pull {reference}")),
        "{}",
        unknown.err
    );
    assert!(!mill.at("out").exists());

    let pulled = mill.done("pull by-tag.json --json");
    for key in ["reference", "manifest", "sha256"] {
        assert_eq!(told(&pulled, key), told(&pushed, key), "{key}");
    }
    let for_ever = format!(
        "{}@{}",
        registry.reference("barn/own"),
        told(&pushed, "manifest")
    );
    mill.routine("by-digest.json", &[&for_ever]);
    mill.done(&format!("pull {for_ever}"));

    // From here on there is no registry; a run does not miss it.
    drop(registry);
    assert_eq!(mill.sewn("by-tag.json"), before);
    assert_eq!(mill.sewn("by-digest.json"), before);
    // Who pushed has it in the own store as well.
    barn.routine("by-tag.json", &[&reference]);
    assert_eq!(barn.sewn("by-tag.json"), before);
}

/// The same plugin is the same artifact, whoever pushes it and whenever.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn pushing_twice_gives_one_digest() {
    let registry = Server::start(&Guard::Open);
    let other = Server::start(&Guard::Open);
    let [barn, mill] = [Shop::new(), Shop::new()];
    let own = barn.own_step();
    let push = |shop: &Shop, to: &str| {
        shop.own_step();
        told(&shop.done(&format!("push {own} {to} --json")), "manifest")
    };
    let first = push(&barn, &registry.reference("barn/own:1"));
    assert_eq!(push(&mill, &other.reference("mill/theirs:2")), first);
    let again = barn.done(&format!("push {own} {}", registry.reference("barn/own:1")));
    assert!(again.contains("there already"), "{again}");
}

/// A tag that means something else now is told, with both digests.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn a_tag_that_moves_is_told() {
    let registry = Server::start(&Guard::Open);
    let reference = registry.reference("barn/step:latest");
    let [barn, mill] = [Shop::new(), Shop::new()];
    let push = |step: &str| {
        let said = barn.says(&format!("push {step} {reference} --json"));
        assert_eq!(said.code, 0, "{}", said.err);
        (told(&said.out, "manifest"), said.err)
    };
    let (old, quiet) = push("align");
    assert_eq!(quiet, "");
    mill.done(&format!("pull {reference}"));
    let (new, warned) = push(&barn.own_step());
    let pulled = mill.says(&format!("pull {reference} --json"));
    assert_eq!(pulled.code, 0, "{}", pulled.err);
    for warning in [&warned, &pulled.err] {
        assert!(warning.contains("tag-moved"), "{warning}");
        assert!(
            warning.contains(&old) && warning.contains(&new),
            "{warning}"
        );
    }
    assert_eq!(told(&pulled.out, "moved-from"), old);
    let again = mill.says(&format!("pull {reference}"));
    assert!(again.out.contains("here already"), "{}", again.out);
    assert_eq!(again.err, "");
}

/// To try what a tag means now takes nothing from the pipelines that are locked to what it meant.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn a_locked_pipeline_keeps_its_step_when_the_tag_moves() {
    let registry = Server::start(&Guard::Open);
    let reference = registry.reference("barn/step:latest");
    let [barn, mill] = [Shop::new(), Shop::new()];
    let own = barn.own_step();
    barn.done(&format!("push {own} {reference}"));
    mill.done(&format!("pull {reference}"));
    mill.routine("routine.json", &[&reference]);
    mill.done("lock routine.json");
    let sewn = mill.sewn("routine.json");

    barn.done(&format!("push align {reference}"));
    mill.done(&format!("pull {reference}"));
    let now = mill.says("check routine.json");
    assert_eq!(
        now.code, 1,
        "the tag's new step is another one: {}",
        now.out
    );
    mill.done("run routine.json square.svg --into out --hold-at never --locked");
    assert_eq!(fs::read(mill.at("out/square.dst")).unwrap(), sewn);
}

/// The lock keeps the digest under which a step was pulled, and a registry gives what that names for ever (OCI
/// distribution specification 1.1, "Pulling manifests"): a second computer gets the locked step when its tag has
/// moved, and a lock of before, which tells no digest, still asks by the tag.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn a_second_computer_pulls_the_locked_step_when_the_tag_has_moved() {
    let registry = Server::start(&Guard::Open);
    let reference = registry.reference("barn/step:latest");
    let [barn, mill, yard] = [Shop::new(), Shop::new(), Shop::new()];
    let own = barn.own_step();
    let pushed = barn.done(&format!("push {own} {reference} --json"));
    mill.done(&format!("pull {reference}"));
    mill.routine("routine.json", &[&reference]);
    mill.done("lock routine.json");
    let locked = fs::read_to_string(mill.at("routine.lock.json")).unwrap();
    let for_ever = format!("{reference}@{}", told(&pushed, "manifest"));
    let for_ever = for_ever.trim_start_matches("oci:");
    assert!(locked.contains(&format!("\"{for_ever}\"")), "{locked}");
    let sewn = mill.sewn("routine.json");

    barn.done(&format!("push align {reference}"));
    yard.routine("routine.json", &[&reference]);
    fs::write(yard.at("routine.lock.json"), &locked).unwrap();
    let pulled = yard.done("pull routine.json --json");
    for key in ["manifest", "sha256"] {
        assert_eq!(told(&pulled, key), told(&pushed, key), "{key}");
    }
    yard.done("run routine.json square.svg --into out --hold-at never --locked");
    assert_eq!(fs::read(yard.at("out/square.dst")).unwrap(), sewn);
    assert_eq!(yard.sewn("routine.json"), sewn);

    // What was pulled by the tag since stays what the tag means here, and the locked step comes beside it.
    let moved = told(&yard.done(&format!("pull {reference} --json")), "manifest");
    assert_ne!(moved, told(&pushed, "manifest"));
    let again = yard.says("pull routine.json");
    assert_eq!((again.code, &*again.err), (0, ""), "{}", again.out);
    let now = yard.says(&format!("pull {reference} --json"));
    assert_eq!(told(&now.out, "manifest"), moved);
    assert_eq!(now.err, "");
}

/// A copy that was changed is never run; pulling again mends it.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn a_damaged_copy_is_told_and_mended() {
    let registry = Server::start(&Guard::Open);
    let reference = registry.reference("barn/own:1");
    let shop = Shop::new();
    let own = shop.own_step();
    let pushed = shop.done(&format!("push {own} {reference} --json"));
    shop.routine("routine.json", &[&reference]);
    let sewn = shop.sewn("routine.json");
    for key in ["sha256", "manifest"] {
        let blob = shop.blob(&told(&pushed, key));
        let sound = fs::read(&blob).unwrap();
        for place in [0, sound.len() / 2, sound.len() - 1] {
            let mut bytes = sound.clone();
            bytes[place] ^= 1;
            fs::write(&blob, bytes).unwrap();
            let run = shop.says("run routine.json square.svg --into damaged");
            assert_eq!(run.code, 1);
            assert!(run.err.contains("store-damaged"), "{}", run.err);
            assert!(
                run.err.contains(&format!("hoopwright pull {reference}")),
                "{}",
                run.err
            );
            assert!(!shop.at("damaged").exists());
        }
        let pulled = shop.says(&format!("pull {reference}"));
        assert_eq!(pulled.code, 0, "{}", pulled.err);
        assert!(fs::read(&blob).unwrap() == sound);
    }
    let [record] = &shop.files("references")[..] else {
        panic!("one tag has one record");
    };
    fs::write(record, "{").unwrap();
    let run = shop.says("run routine.json square.svg --into damaged");
    assert!(run.err.contains("store-damaged"), "{}", run.err);
    shop.done(&format!("pull {reference}"));
    assert_eq!(shop.sewn("routine.json"), sewn);
}

/// Two processes that pull the same at once both have it in the end.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn two_at_once_do_not_disturb_each_other() {
    let registry = Server::start(&Guard::Open);
    let reference = registry.reference("barn/step:1");
    let [barn, mill] = [Shop::new(), Shop::new()];
    barn.done(&format!("push region-fill {reference}"));
    std::thread::scope(|threads| {
        let pulls: Vec<_> = (0..4)
            .map(|_| threads.spawn(|| mill.says(&format!("pull {reference}"))))
            .collect();
        for pull in pulls {
            let said = pull.join().unwrap();
            assert_eq!(said.code, 0, "{}", said.err);
        }
    });
    let left: Vec<_> = mill.store();
    // A manifest, a config, a component and what the tag means; no download is left.
    assert_eq!(left.len(), 4, "{left:?}");
}

/// A pipeline that is locked takes no other step from a registry than the one it was locked to.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn a_lock_holds_against_a_tag_that_moved() {
    let registry = Server::start(&Guard::Open);
    let reference = registry.reference("barn/own:1");
    let [barn, mill] = [Shop::new(), Shop::new()];
    let own = barn.own_step();
    let pushed = barn.done(&format!("push {own} {reference} --json"));
    mill.routine("routine.json", &[&reference]);
    let lock = |sha256: &str| {
        let bare = reference.trim_start_matches("oci:");
        let lock = serde_json::json!({
            "form": 1,
            "steps": [{
                "step": "hostile", "version": "0.1.0", "contract": "0.1.1",
                "source": {"registry": bare}, "sha256": sha256,
            }],
        });
        fs::write(mill.at("routine.lock.json"), lock.to_string()).unwrap();
    };
    lock(&told(&pushed, "sha256"));
    mill.done("pull routine.json");
    let before = mill.store();
    barn.done(&format!("push align {reference}"));
    let held = mill.says("pull routine.json");
    assert_eq!(held.code, 1);
    assert!(held.err.contains("not-the-locked"), "{}", held.err);
    assert!(held.err.contains(&told(&pushed, "sha256")), "{}", held.err);
    assert_eq!(mill.store(), before);
    lock("no digest");
    let broken = mill.says("pull routine.json");
    assert!(broken.err.contains("lock-broken"), "{}", broken.err);
}

/// A store that cannot be written into ends the command as outputs do that cannot be written.
#[test]
#[ignore = "needs the server docker-registry; .ci/run installs it and runs this"]
fn a_store_that_cannot_be_written_is_told() {
    let registry = Server::start(&Guard::Open);
    let reference = registry.reference("barn/step:1");
    let [barn, mill] = [Shop::new(), Shop::new()];
    barn.done(&format!("push align {reference}"));
    // A file where the store's folder belongs holds off everybody, the superuser too.
    fs::create_dir_all(mill.at("data/hoopwright")).unwrap();
    fs::write(mill.at("data/hoopwright/store"), "in the way").unwrap();
    let said = mill.says(&format!("pull {reference}"));
    assert_eq!(said.code, 3, "{}", said.err);
    assert!(said.err.contains("cannot-write"), "{}", said.err);
    assert!(said.err.contains("must be writable"), "{}", said.err);
}
