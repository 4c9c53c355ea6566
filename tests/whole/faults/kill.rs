//! Runs that are killed: SIGKILL, as when the power fails but for what the disk has not written.
//!
//! The moments here are spread over the run, or those at which its folder shows something new. The unit
//! tests of `output` try every moment between two moves, and `system_calls` every call to the system.

use super::shop::{Files, Shop, all, assert_one_set, names, run, start, time, visible};
use std::fs;
use std::path::Path;
use std::process::Child;
use std::time::{Duration, Instant};

const KILLS: u32 = 40;

/// Kills a program and tells whether it was still at work.
fn kill(mut child: Child) -> bool {
    // SIGKILL.
    let _ = child.kill();
    child.wait().unwrap().code().is_none()
}

/// How many files wait in the waiting folders of a folder, old ones among them.
fn waiting(folder: &Path) -> (usize, usize) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let held = entries.filter(|entry| {
        let name = entry.file_name().to_string_lossy().into_owned();
        name.starts_with(".hoopwright-waiting-")
    });
    let inside: Vec<String> = held
        .flat_map(|entry| fs::read_dir(entry.path()).into_iter().flatten().flatten())
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    let old = inside.iter().filter(|name| name.starts_with("old")).count();
    (inside.len(), old)
}

#[test]
fn a_killed_run_leaves_the_files_of_one_run() {
    let shop = Shop::new();
    let (old, new) = (shop.products("old.json"), shop.products("new.json"));
    assert!(old.len() >= 10 && old.keys().eq(new.keys()));
    let dst = |set: &Files| set["owl.dst"].clone();
    assert_ne!(dst(&old), dst(&new));
    let out = shop.at("out");
    let whole = time(shop.command(&run("new.json", "out")));
    let mut killed = 0;
    for moment in 1..=KILLS {
        shop.lay("out", &old);
        let child = start(shop.command(&run("new.json", "out")));
        std::thread::sleep(whole.mul_f64(f64::from(moment) / f64::from(KILLS)));
        killed += u32::from(kill(child));
        assert_one_set(&out, &old, &new, &format!("at {moment} of {KILLS}"));
    }
    assert!(killed >= KILLS / 4, "only {killed} were killed in time");
    shop.done(&run("new.json", "out"));
    assert_eq!(names(&all(&out)), names(&new), "nothing is left over");
    assert!(visible(&out) == new);
}

#[test]
fn a_run_killed_while_it_writes_leaves_the_files_of_one_run() {
    let shop = Shop::new();
    let (old, new) = (shop.products("old.json"), shop.products("new.json"));
    let out = shop.at("out");
    let mut killed = 0;
    for files in 0..=12 {
        shop.lay("out", &old);
        let (left, _) = waiting(&out);
        let mut child = start(shop.command(&run("new.json", "out")));
        let begun = Instant::now();
        // The run clears away what the last one left before it writes its own.
        let mut cleared = left == 0;
        while child.try_wait().unwrap().is_none() && begun.elapsed() < Duration::from_secs(60) {
            let (here, moved) = waiting(&out);
            cleared |= here < left.max(1);
            if cleared && here > files || moved > 0 && files > 10 {
                break;
            }
        }
        killed += usize::from(kill(child));
        assert_one_set(&out, &old, &new, &format!("with {files} files"));
    }
    assert!(killed >= 4, "only {killed} were killed in time");
    shop.done(&run("old.json", "out"));
    assert_eq!(names(&all(&out)), names(&old), "nothing is left over");
    assert!(visible(&out) == old);
}

/// What other commands write is there whole, as before, or not at all, and the next one goes on.
#[test]
fn whatever_else_is_written_is_whole_too() {
    let shop = Shop::new();
    shop.done(&run("old.json", "sewn"));
    shop.done("key Barn --to keys/barn.key --no-password");
    let sizes = |folder: &str| -> Vec<(String, usize)> {
        let files = visible(&shop.at(folder)).into_iter();
        files.map(|(name, bytes)| (name, bytes.len())).collect()
    };
    shop.done("lock old.json");
    shop.done("pack old.json --to packs/old.pack --sign keys/barn.key");
    shop.done("pack old.json --to plain/old.pack");
    let locked = fs::read(shop.at("old.lock.json")).unwrap();
    let packed = visible(&shop.at("packs"));
    for (line, folder) in [
        ("schema --to written/schema.json", "written"),
        ("picture sewn/owl.dst --to written/picture.png", "written"),
        ("lock old.json", "."),
        (
            "pack old.json --to packs/old.pack --sign keys/barn.key",
            "packs",
        ),
        (
            "unpack plain/old.pack --unsigned --into unpacked",
            "unpacked",
        ),
        ("key Night --to night/night.key --no-password", "night"),
        (
            "trust Barn keys/barn.key.pub --trust trusted/trust.json",
            "trusted",
        ),
    ] {
        let again = || {
            for folder in ["written", "unpacked", "night", "trusted"] {
                let _ = fs::remove_dir_all(shop.at(folder));
            }
        };
        again();
        let whole = time(shop.command(line));
        let expected = sizes(folder);
        assert!(!expected.is_empty(), "{line}");
        for moment in 1..=4 {
            again();
            let child = start(shop.command(line));
            std::thread::sleep(whole.mul_f64(f64::from(moment) / 4.0));
            kill(child);
            for file in sizes(folder) {
                assert!(expected.contains(&file), "{line}, at {moment}: {file:?}");
            }
            assert!(fs::read(shop.at("old.lock.json")).unwrap() == locked);
            let packs = visible(&shop.at("packs"));
            // Each signature of the same bytes is another.
            let whole = packs.iter().all(|(name, bytes)| match &packed[name] {
                signature if name.ends_with(".minisig") => signature.len() == bytes.len(),
                pack => pack == bytes,
            });
            assert!(whole, "{line}, at {moment}: {:?}", names(&packs));
        }
        again();
        shop.done(line);
        assert_eq!(sizes(folder), expected, "{line}");
    }
    let left: Vec<String> = ["", "written", "packs", "night", "trusted"]
        .iter()
        .flat_map(|folder| all(&shop.at(folder)).into_keys())
        .filter(|name| name.starts_with('.'))
        .collect();
    assert_eq!(left, Vec::<String>::new(), "nothing is left over");
}
