//! A batch that is killed, doubled, left alone, or given more cores.

use super::shop::{RECORD, Shop, Told};
use crate::files::root;
use serde_json::Value;
use std::process::Stdio;
use std::time::Duration;

/// How many cores sew, and which artwork finishes first, changes no byte.
#[test]
fn the_number_of_cores_changes_no_byte() {
    let shop = Shop::new("cores");
    for side in 10..16 {
        shop.square(&format!("s{side}"), side);
    }
    assert_eq!(shop.run(&["--cores", "1"]).code, 0);
    let (one, record) = (shop.written(), std::fs::read(shop.path("out").join(RECORD)));
    assert_eq!(shop.run(&["--cores", "2", "--anew"]).code, 0);
    assert!(shop.written() == one);
    assert_eq!(
        std::fs::read(shop.path("out").join(RECORD)).unwrap(),
        record.unwrap()
    );
}

/// What the batch of the kill test sews, long enough to be killed at many moments.
fn long_morning(name: &str) -> Shop {
    let shop = Shop::new(name);
    let owl = root().join("demo-pipelines/owl/owl.svg");
    for copy in 0..8 {
        std::fs::copy(&owl, shop.path(&format!("art/owl{copy}.svg"))).unwrap();
    }
    shop
}

/// Killed at many moments, a batch leaves whole files only, and the next run goes on: it ends with
/// the same bytes as one that was left alone, and never does again what the record says is done.
#[cfg(unix)]
#[test]
fn a_killed_batch_goes_on_where_it_was() {
    let undisturbed = long_morning("undisturbed");
    let begun = std::time::Instant::now();
    assert_eq!(undisturbed.run(&[]).code, 0);
    let whole_time = begun.elapsed();
    let expected = undisturbed.written();

    let shop = long_morning("killed");
    let kills = 24;
    let mut done = Vec::new();
    let mut killed = 0;
    for kill in 0..kills {
        let mut child = shop.start(Stdio::null());
        // Moments spread over a run, but not evenly; no chance, so that a failure comes again.
        let share = f64::from((kill * 7) % kills + 1) / f64::from(kills);
        std::thread::sleep(whole_time.mul_f64(share * 0.5));
        // Child::kill sends SIGKILL.
        let _ = child.kill();
        let ended = child.wait().unwrap();
        killed += usize::from(ended.code().is_none());
        if !shop.path("out").exists() {
            continue;
        }
        for (name, bytes) in shop.written() {
            // A file that waits for its place is not one of the products.
            if !name.starts_with(".hoopwright-batch-") {
                assert!(expected[&name] == bytes, "{name} is not whole");
            }
        }
        let record = std::fs::read_to_string(shop.path("out").join(RECORD)).unwrap_or_default();
        if !record.is_empty() {
            let record: Value = serde_json::from_str(&record).unwrap();
            let names = record["artworks"].as_object().unwrap();
            for name in &done {
                assert!(
                    names.contains_key(name),
                    "{name} was done, and is forgotten"
                );
            }
            done = names.keys().cloned().collect();
        }
        if kill % 6 == 5 {
            // From the beginning again, so that early moments come too.
            std::fs::remove_dir_all(shop.path("out")).unwrap();
            done.clear();
        }
    }
    assert!(
        killed >= 8,
        "only {killed} of {kills} runs were killed in time"
    );
    let mut child = shop.start(Stdio::null());
    std::thread::sleep(whole_time.mul_f64(0.6));
    let _ = child.kill();
    child.wait().unwrap();
    let record = std::fs::read_to_string(shop.path("out").join(RECORD)).unwrap_or_default();
    let told = shop.run(&[]);
    assert_eq!(told.code, 0, "{}", told.stderr);
    for (name, outcome) in told.outcomes() {
        if record.contains(&format!("\"{name}\"")) {
            assert_eq!(outcome, "unchanged", "{name} was done before the kill");
        }
    }
    assert!(shop.written() == expected, "nothing waits, nothing differs");
}

/// Two at once in one folder: one works, the other says so and does nothing.
#[test]
fn two_batches_do_not_share_a_folder() {
    let shop = long_morning("two");
    let mut first = shop.start(Stdio::piped());
    // One of eight is done.
    while !shop.path("out").join(RECORD).exists() {
        std::thread::sleep(Duration::from_millis(1));
    }
    let second = shop.run(&[]);
    let first_ended = first.try_wait().unwrap().is_some();
    assert!(!first_ended, "the first batch was over before the second");
    assert_eq!(second.code, 3);
    assert!(second.stderr.contains("folder-held"), "{}", second.stderr);
    assert!(second.artworks.is_empty());
    let first = Told::of(first.wait_with_output().unwrap());
    assert_eq!((first.code, first.totals["sewn"].as_u64()), (0, Some(8)));
    assert_eq!(shop.run(&[]).totals["unchanged"], 8);
}

/// Whoever reads the lines may go away; the batch is done all the same.
#[test]
fn a_reader_that_leaves_does_not_stop_the_batch() {
    let shop = Shop::new("reader");
    for side in 10..14 {
        shop.square(&format!("s{side}"), side);
    }
    let mut child = shop.start(Stdio::piped());
    drop(child.stdout.take());
    assert_eq!(child.wait().unwrap().code(), Some(0));
    assert_eq!(shop.run(&[]).totals["unchanged"], 4);
}
