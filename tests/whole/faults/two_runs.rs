//! Several runs at once, in one folder or from one cache.

use super::shop::{Said, Shop, all, names, run, visible};
use std::fs;
use std::process::Stdio;

/// Runs commands side by side; all must go well.
fn at_once(shop: &Shop, lines: &[String]) {
    let running: Vec<_> = lines
        .iter()
        .map(|line| {
            let mut command = shop.command(line);
            command.stdout(Stdio::piped()).stderr(Stdio::piped());
            command.spawn().unwrap()
        })
        .collect();
    for (child, line) in running.into_iter().zip(lines) {
        let said: Said = child.wait_with_output().unwrap().into();
        assert_eq!(said.code, Some(0), "{line}: {}", said.err);
    }
}

#[test]
fn runs_of_one_name_leave_the_files_of_one_of_them() {
    let shop = Shop::new();
    let sets = [shop.products("old.json"), shop.products("new.json")];
    for round in 0..4 {
        let lines = ["old.json", "new.json", "old.json", "new.json"].map(|one| run(one, "out"));
        at_once(&shop, &lines);
        let there = all(&shop.at("out"));
        assert!(sets.contains(&there), "round {round}: {:?}", names(&there));
    }
}

#[test]
fn runs_of_different_names_and_a_batch_do_not_disturb_each_other() {
    let shop = Shop::new();
    let expected = shop.products("new.json");
    fs::create_dir(shop.at("art")).unwrap();
    for side in 8..12 {
        shop.draw(&format!("art/s{side}.svg"), side);
    }
    let batch = "batch old.json art --hold-at never --into out".to_owned();
    let one = |name: &str| run("new.json", "out").replace("owl", name);
    at_once(&shop, &[one("a"), batch.clone(), one("b"), one("c")]);
    let there = visible(&shop.at("out"));
    for name in ["a", "b", "c"] {
        for (product, bytes) in &expected {
            // The report and the worksheet name the artwork, not the product.
            assert!(
                there[&product.replace("owl", name)] == *bytes,
                "{name}: {product}"
            );
        }
    }
    assert_eq!(there.len(), 7 * expected.len() + 1, "and the record");
    let said = shop.says(&batch);
    assert!(said.out.contains("4 unchanged"), "{}", said.out);
    let hidden: Vec<String> = all(&shop.at("out"))
        .into_keys()
        .filter(|name| name.starts_with('.'))
        .collect();
    assert_eq!(hidden, [".hoopwright-batch.hold"]);
}

/// The first two starts of a new user, at the same moment.
#[test]
fn two_first_starts_share_a_cold_cache() {
    let shop = Shop::new();
    let expected = shop.products("old.json");
    let cache = shop.at("cache");
    let running: Vec<_> = ["one", "two"]
        .map(|into| {
            let mut command = shop.command(&run("old.json", into));
            command.env("XDG_CACHE_HOME", &cache);
            command.stderr(Stdio::piped()).stdout(Stdio::null());
            command.spawn().unwrap()
        })
        .into_iter()
        .collect();
    for child in running {
        let said: Said = child.wait_with_output().unwrap().into();
        assert_eq!(said.code, Some(0), "{}", said.err);
    }
    assert!(all(&shop.at("one")) == expected);
    assert!(all(&shop.at("two")) == expected);
    let mut command = shop.command(&format!("{} --notes", run("old.json", "three")));
    let said: Said = command
        .env("XDG_CACHE_HOME", &cache)
        .output()
        .unwrap()
        .into();
    assert_eq!(said.code, Some(0), "{}", said.err);
    assert!(!said.err.contains("cache-"), "{}", said.err);
    assert!(all(&shop.at("three")) == expected);
}
