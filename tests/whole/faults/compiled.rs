//! Damage to compiled plugins on the disk. The engine itself runs what it finds: of 40 owls sewn with
//! one bit of one file changed, 5 crashed or were refused, measured before there were checksums.

use super::shop::{Files, Said, Shop, all, run};
use std::fs;
use std::path::{Path, PathBuf};

/// A shop with a cache of its own, and what it sews.
struct Bench {
    shop: Shop,
    expected: Files,
}

impl Bench {
    fn new() -> Self {
        let bench = Self {
            shop: Shop::new(),
            expected: Files::new(),
        };
        // Steps that are compiled quickly.
        fs::write(
            bench.shop.at("old.json"),
            r#"{ "steps": [ { "step": "line-run" }, { "step": "transform" } ] }"#,
        )
        .unwrap();
        let drawing = r##"<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20"><path id="edge" d="M4 2v10h8" fill="none" stroke="#5a4632" stroke-width="0.5"/></svg>"##;
        fs::write(bench.shop.at("art.svg"), drawing).unwrap();
        let said = bench.sews();
        assert_eq!(said.code, Some(0), "{}", said.err);
        let expected = all(&bench.shop.at("out"));
        assert_eq!(bench.entries().len(), 2);
        Self { expected, ..bench }
    }

    fn sews(&self) -> Said {
        let mut command = self.shop.command(&run("old.json", "out"));
        command.env("XDG_CACHE_HOME", self.shop.at("cache"));
        command.arg("--notes").output().unwrap().into()
    }

    /// The engine's files, in order.
    fn entries(&self) -> Vec<PathBuf> {
        let mut entries = files(&self.shop.at("cache"));
        entries.retain(|path| {
            let text = path.to_string_lossy();
            text.contains("/code/") && !path.file_name().unwrap().to_string_lossy().contains('.')
        });
        entries
    }

    fn sums(&self) -> Vec<PathBuf> {
        let mut sums = files(&self.shop.at("cache"));
        sums.retain(|path| path.to_string_lossy().contains("/sums/"));
        sums
    }

    /// Sews, and sees that nothing differs and that the cache is whole again.
    fn same_again(&self, what: &str, told: bool) {
        let said = self.sews();
        assert_eq!(said.code, Some(0), "{what}: {}", said.err);
        assert_eq!(
            said.err.contains("cache-damaged"),
            told,
            "{what}: {}",
            said.err
        );
        assert!(
            !said.err.contains("cache-unwritable"),
            "{what}: {}",
            said.err
        );
        assert!(all(&self.shop.at("out")) == self.expected, "{what}");
        assert_eq!((self.entries().len(), self.sums().len()), (2, 2), "{what}");
        assert!(self.entries().iter().all(|path| path.is_file()), "{what}");
    }
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        match entry.path() {
            path if path.is_dir() => found.extend(files(&path)),
            path => found.push(path),
        }
    }
    found.sort();
    found
}

#[test]
fn damaged_files_are_never_run() {
    let bench = Bench::new();
    bench.same_again("nothing", false);
    let [one, other] = &bench.entries()[..] else {
        panic!("two entries")
    };
    let sound = || fs::read(one).unwrap();
    // A bit at many places, some of them in machine code.
    for share in 0..5 {
        let mut bytes = sound();
        let place = bytes.len() * (2 * share + 1) / 10;
        bytes[place] ^= 1 << share;
        fs::write(one, bytes).unwrap();
        bench.same_again(&format!("a bit at {share}"), true);
    }
    type Damage<'a> = (&'a str, &'a dyn Fn());
    let damages: [Damage<'_>; 5] = [
        ("cut", &|| {
            fs::write(one, &sound()[..sound().len() / 2]).unwrap()
        }),
        ("empty", &|| fs::write(one, "").unwrap()),
        ("zeroes", &|| {
            fs::write(one, vec![0; sound().len()]).unwrap()
        }),
        ("two that changed places", &|| {
            let first = sound();
            fs::copy(other, one).unwrap();
            fs::write(other, first).unwrap();
        }),
        ("a folder", &|| {
            fs::remove_file(one).unwrap();
            fs::create_dir(one).unwrap();
            fs::write(one.join("inside"), "").unwrap();
        }),
    ];
    for (what, damage) in damages {
        damage();
        bench.same_again(what, true);
    }
}

/// Without its checksum nothing is run either; that is no damage, but what a kill leaves.
#[test]
fn what_has_no_checksum_is_compiled_anew() {
    let bench = Bench::new();
    fs::remove_file(&bench.sums()[0]).unwrap();
    bench.same_again("a checksum gone", false);
    fs::remove_dir_all(bench.sums()[0].parent().unwrap()).unwrap();
    bench.same_again("all checksums gone", false);
    fs::write(&bench.sums()[0], "").unwrap();
    bench.same_again("an empty checksum", true);
    fs::remove_file(&bench.entries()[0]).unwrap();
    bench.same_again("an entry gone", false);
    // Of another version of the engine: neither used nor in the way.
    let engine = bench.entries()[0].parent().unwrap().to_owned();
    let other = engine.with_file_name("wasmtime-0.0.1");
    fs::create_dir(&other).unwrap();
    fs::write(other.join("entry"), "old").unwrap();
    bench.same_again("another version", false);
    assert!(!other.join("entry").exists());
}

/// A run that was killed at writing a plugin does not keep the next ones from keeping it; a clock set
/// back since changes nothing.
#[test]
fn half_written_files_are_not_in_the_way() {
    let bench = Bench::new();
    let entry = bench.entries()[0].clone();
    let half = entry.with_extension("wip-atomic-write-mod");
    let now = std::time::SystemTime::now();
    let hour = std::time::Duration::from_secs(3600);
    for written in [now - hour, now + 24 * hour, std::time::UNIX_EPOCH] {
        fs::remove_file(&entry).unwrap();
        let file = fs::File::create(&half).unwrap();
        file.set_modified(written).unwrap();
        drop(file);
        bench.same_again("half written", false);
        assert!(!half.exists());
    }
    // Files of the future and of long ago are as good as any.
    for path in files(&bench.shop.at("cache")) {
        let file = fs::File::options().append(true).open(&path).unwrap();
        file.set_modified(now + 3650 * 24 * hour).unwrap();
    }
    bench.same_again("the future", false);
    for path in files(&bench.shop.at("cache")) {
        let file = fs::File::options().append(true).open(&path).unwrap();
        file.set_modified(std::time::UNIX_EPOCH).unwrap();
    }
    bench.same_again("long ago", false);
}
