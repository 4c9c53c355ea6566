//! Every call to the system that changes a file, once as the last one before the program is killed, and
//! once failing. The calls are counted and disturbed from outside, by `strace`.

use super::shop::{Files, Said, Shop, all, assert_one_set, names, run, visible};
use crate::registry::server::{Guard, Server};
use std::fs;
use std::process::Command;

/// What changes files. The calls of a line are counted together at most: `strace` has a count for each.
const CALLS: [&str; 5] = [
    "rename,renameat,renameat2",
    "fsync,fdatasync",
    "mkdir,mkdirat",
    "unlink,unlinkat,rmdir",
    "link,linkat",
];

/// Runs a command that is disturbed at the call of this number, which each thread counts for itself.
fn disturbed(shop: &Shop, line: &str, calls: &str, how: &str, number: usize) -> Said {
    let mut command = Command::new("strace");
    shop.at_home(&mut command);
    command
        .args(["-f", "-qq", "-o", "/dev/null"])
        .arg("-e")
        .arg(format!("trace={calls}"))
        .arg("-e")
        .arg(format!("inject={calls}:{how}:when={number}"))
        .arg(env!("CARGO_BIN_EXE_hoopwright"))
        .args(line.split_whitespace())
        .env("XDG_CACHE_HOME", crate::files::scratch().join("cache"));
    let output = command.output();
    let output = output.expect("strace is missing: apt-get install strace");
    output.into()
}

/// More calls than any command here makes.
const MOST: usize = 200;

#[test]
#[ignore = "needs strace; .ci/run installs it and runs this"]
fn a_run_killed_at_any_call_leaves_the_files_of_one_run() {
    let shop = Shop::new();
    let (old, new) = (shop.products("old.json"), shop.products("new.json"));
    let mut killed = 0;
    for calls in CALLS {
        for number in 1..=MOST {
            shop.lay("out", &old);
            let said = disturbed(&shop, &run("new.json", "out"), calls, "signal=KILL", number);
            let when = format!("at {calls} {number}");
            assert_one_set(&shop.at("out"), &old, &new, &when);
            if said.code == Some(0) {
                break;
            }
            assert!(number < MOST, "{calls}");
            killed += 1;
        }
    }
    // Ten files are written to the disk, ten moved out, and ten moved in, at the least.
    assert!(killed >= 30, "{killed} calls");
    shop.done(&run("old.json", "out"));
    assert!(all(&shop.at("out")) == old, "nothing is left over");
}

#[test]
#[ignore = "needs strace; .ci/run installs it and runs this"]
fn a_run_in_which_any_call_fails_leaves_a_whole_set_and_no_rest() {
    let shop = Shop::new();
    let (old, new) = (shop.products("old.json"), shop.products("new.json"));
    for (calls, how) in [
        ("rename,renameat,renameat2", "error=EIO"),
        ("fsync,fdatasync", "error=EIO"),
        ("mkdir,mkdirat", "error=ENOSPC"),
        ("write,pwrite64", "error=ENOSPC"),
        ("fchmod", "error=EPERM"),
        ("flock", "error=ENOLCK"),
    ] {
        let mut told = 0;
        let mut well = 0;
        for number in 1..=MOST {
            let _ = fs::remove_dir_all(shop.at("out"));
            shop.lay("out", &old);
            let said = disturbed(&shop, &run("new.json", "out"), calls, how, number);
            let there = all(&shop.at("out"));
            let what = format!("{calls} {number}: {:?} {}", names(&there), said.err);
            match said.code {
                // What it did not need failed, or nothing did.
                Some(0) => {
                    assert!(there == new, "{what}");
                    well += 1;
                }
                // Only the list of what was written was lost.
                Some(3) if said.err.contains("standard output") => {
                    assert!(there == new, "{what}");
                    well += 1;
                }
                Some(3) => {
                    assert!(there == old, "{what}");
                    assert!(said.err.contains("cannot be written"), "{what}");
                    (told, well) = (told + 1, 0);
                }
                // The engine itself had no room for a plugin's memory.
                Some(1) if calls.starts_with("write") => {
                    assert!(there == old, "{what}");
                    // Steps are made ready on another thread, which counts for itself: then the words
                    // that tell of it may be the first that this one writes.
                    let told = said.err.contains("No space left on device");
                    assert!(told || number == 1 && said.err.is_empty(), "{what}");
                    well = 0;
                }
                _ => panic!("{what}"),
            }
            // A run writes some lines before it writes files.
            let enough = if calls.starts_with("write") { 30 } else { 8 };
            if well == enough {
                break;
            }
        }
        let needed = !["flock"].contains(&calls);
        assert_eq!(told > 0, needed, "{calls} failed {told} times");
    }
}

#[test]
#[ignore = "needs strace; .ci/run installs it and runs this"]
fn other_commands_killed_at_any_call_leave_whole_files() {
    let shop = Shop::new();
    shop.done(&run("old.json", "sewn"));
    shop.done("key Barn --to keys/barn.key --no-password");
    shop.done("pack old.json --to packs/old.pack");
    fs::create_dir(shop.at("art")).unwrap();
    for side in [9, 10] {
        shop.draw(&format!("art/s{side}.svg"), side);
    }
    let expected = |line: &str| -> Files {
        let _ = fs::remove_dir_all(shop.at("place"));
        shop.done(line);
        visible(&shop.at("place"))
    };
    for line in [
        "schema --to place/schema.json",
        "picture sewn/owl.dst --to place/picture.png",
        "pack old.json --to place/old.pack",
        "unpack packs/old.pack --unsigned --into place",
        "trust Barn keys/barn.key.pub --trust place/trust.json",
        "batch old.json art --hold-at never --into place",
        "begin nudge --into place",
    ] {
        let whole = expected(line);
        assert!(!whole.is_empty(), "{line}");
        let _ = fs::remove_dir_all(shop.at("place"));
        for calls in CALLS {
            for number in 1..=MOST {
                let when = format!("{line} at {calls} {number}");
                let once = ["unpack", "begin", "trust"];
                if once.iter().any(|word| line.starts_with(word)) && shop.at("place").exists() {
                    // What is there is whole, and stands in the way of doing it once more.
                    let there = visible(&shop.at("place"));
                    assert!(there == whole || there.is_empty(), "{when}");
                    fs::remove_dir_all(shop.at("place")).unwrap();
                }
                let said = disturbed(&shop, line, calls, "signal=KILL", number);
                for (name, bytes) in visible(&shop.at("place")) {
                    let record = name == "hoopwright.batch.json";
                    assert!(record || whole[&name] == bytes, "{when}: {name}");
                    if record {
                        serde_json::from_slice::<serde_json::Value>(&bytes).unwrap();
                    }
                }
                if said.code == Some(0) {
                    break;
                }
                assert!(number < MOST, "{when}");
            }
        }
        assert!(visible(&shop.at("place")) == whole, "{line}");
        let hidden: Vec<String> = all(&shop.at("place"))
            .into_keys()
            .chain(all(&shop.at("")).into_keys())
            .filter(|name| name.starts_with(".hoopwright-waiting"))
            .collect();
        assert!(hidden.is_empty(), "{line}: {hidden:?}");
    }
}

/// A pull that is killed leaves a store from which a step is taken whole, or not at all; the next pull
/// goes on.
#[test]
#[ignore = "needs strace and docker-registry; .ci/run installs them and runs this"]
fn a_pull_killed_at_any_call_leaves_a_sound_store() {
    let registry = Server::start(&Guard::Open);
    let step = registry.reference("barn/fill:1");
    let shop = Shop::new();
    shop.done(&format!("push region-fill {step}"));
    let expected = shop.products("old.json");
    let routine = fs::read_to_string(shop.at("old.json")).unwrap();
    let pulled = routine.replacen('{', &format!("{{ \"plugins\": [\"{step}\"],"), 1);
    fs::write(shop.at("pulled.json"), pulled).unwrap();
    let whole = run("pulled.json", "out");
    let pull = format!("pull {step}");
    for calls in CALLS {
        for number in 1..=MOST {
            let _ = fs::remove_dir_all(shop.at("data"));
            let said = disturbed(&shop, &pull, calls, "signal=KILL", number);
            let when = format!("{calls} {number}");
            let sewn = shop.says(&whole);
            if sewn.code == Some(0) {
                assert!(
                    visible(&shop.at("out"))["owl.dst"] == expected["owl.dst"],
                    "{when}"
                );
            } else {
                assert!(sewn.err.contains("not-pulled"), "{when}: {}", sewn.err);
            }
            shop.done(&pull);
            shop.done(&whole);
            if said.code == Some(0) {
                break;
            }
            assert!(number < MOST, "{when}");
        }
    }
}
