//! Folders that cannot be written into and files that cannot be read.

use super::shop::{Files, Said, Shop, all, run};
use std::fs::{self, Permissions};
use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
use std::os::unix::process::CommandExt as _;
use std::path::{Path, PathBuf};
use std::process::Command;

/// A user that owns nothing.
const NOBODY: u32 = 65534;

fn is_superuser() -> bool {
    fs::metadata("/proc/self").is_ok_and(|own| own.uid() == 0)
}

/// A shop whose files are for everybody to read, and the program where everybody can run it. The
/// superuser may write anywhere, so the program then runs as a user that owns nothing.
struct Readable {
    shop: Shop,
    program: PathBuf,
}

impl Readable {
    fn new() -> Self {
        let shop = Shop::new();
        fs::set_permissions(shop.at(""), Permissions::from_mode(0o755)).unwrap();
        let mut program = PathBuf::from(env!("CARGO_BIN_EXE_hoopwright"));
        if is_superuser() {
            let copy = shop.at("program");
            fs::copy(&program, &copy).unwrap();
            fs::set_permissions(&copy, Permissions::from_mode(0o755)).unwrap();
            program = copy;
        }
        Self { shop, program }
    }

    fn says(&self, line: &str, cache: &Path) -> Said {
        let mut command = Command::new(&self.program);
        self.shop.at_home(&mut command);
        command.args(line.split_whitespace());
        command.env("XDG_CACHE_HOME", cache);
        if is_superuser() {
            command.uid(NOBODY).gid(NOBODY);
        }
        command.output().unwrap().into()
    }

    /// A folder of this name that this user may write into.
    fn open(&self, name: &str) -> PathBuf {
        let folder = self.shop.at(name);
        fs::create_dir_all(&folder).unwrap();
        fs::set_permissions(&folder, Permissions::from_mode(0o777)).unwrap();
        folder
    }
}

fn close(path: &Path, mode: u32) {
    fs::set_permissions(path, Permissions::from_mode(mode)).unwrap();
}

#[test]
fn folders_of_others_are_told_and_left_alone() {
    let readable = Readable::new();
    let shop = &readable.shop;
    let (old, new) = (shop.products("old.json"), shop.products("new.json"));
    let cache = readable.open("cache");
    shop.lay("out", &old);
    close(&shop.at("out"), 0o555);
    let said = readable.says(&run("new.json", "out"), &cache);
    assert_eq!(said.code, Some(3), "{}", said.err);
    assert!(said.err.contains("Permission denied"), "{}", said.err);
    assert!(said.err.contains("Nothing was changed"), "{}", said.err);
    assert!(all(&shop.at("out")) == old);
    close(&shop.at("out"), 0o755);

    // Artwork, and then the routine, that only others may read.
    readable.open("into");
    for file in ["art.svg", "new.json"] {
        close(&shop.at(file), 0o000);
        let said = readable.says(&run("new.json", "into"), &cache);
        assert_eq!(said.code, Some(1), "{}", said.err);
        assert!(said.err.contains(file), "{}", said.err);
        assert!(said.err.contains("Permission denied"), "{}", said.err);
        assert!(all(&shop.at("into")) == Files::new());
        close(&shop.at(file), 0o644);
    }

    // A cache that cannot be written: first one that is not there, then one that holds all.
    close(&cache, 0o555);
    let closed = readable.open("closed");
    close(&closed, 0o555);
    let line = format!("{} --notes", run("new.json", "into"));
    let said = readable.says(&line, &closed);
    assert_eq!(said.code, Some(0), "{}", said.err);
    assert!(said.err.contains("cache-unwritable"), "{}", said.err);
    assert!(all(&shop.at("into")) == new);
    let said = readable.says(&line, &cache);
    assert_eq!(said.code, Some(0), "{}", said.err);
    assert!(all(&shop.at("into")) == new);
    close(&cache, 0o755);
}

/// Damage that cannot be removed is not run either.
#[test]
fn a_damaged_cache_that_cannot_be_mended_is_told() {
    let readable = Readable::new();
    let shop = &readable.shop;
    let cache = readable.open("cache");
    readable.open("into");
    let line = run("old.json", "into");
    let said = readable.says(&line, &cache);
    assert_eq!(said.code, Some(0), "{}", said.err);
    let sewn = all(&shop.at("into"));
    let modules = cache.join("hoopwright/compiled/code/modules");
    let engine = fs::read_dir(modules)
        .unwrap()
        .next()
        .unwrap()
        .unwrap()
        .path();
    let entries = all(&engine);
    let entry = entries.keys().find(|name| !name.contains('.')).unwrap();
    let mut bytes = entries[entry].clone();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(engine.join(entry), bytes).unwrap();
    close(&engine, 0o555);
    if is_superuser() {
        std::os::unix::fs::chown(&engine, Some(0), Some(0)).unwrap();
    }
    let said = readable.says(&line, &cache);
    assert_eq!(said.code, Some(1), "{}", said.err);
    assert!(said.err.contains("cache-damaged"), "{}", said.err);
    assert!(said.err.contains("--no-cache"), "{}", said.err);
    let said = readable.says(&format!("{line} --no-cache"), &cache);
    assert_eq!(said.code, Some(0), "{}", said.err);
    assert!(all(&shop.at("into")) == sewn);
    close(&engine, 0o755);
}

/// What even the superuser cannot write: a file system that is mounted for reading.
#[test]
#[ignore = "mounts file systems, which needs the superuser; .ci/run runs this"]
fn a_disk_mounted_for_reading_is_told() {
    let shop = Shop::new();
    let old = shop.products("old.json");
    shop.lay("out", &old);
    for (place, code) in [("out", 3), ("data", 0), ("cache", 0)] {
        fs::create_dir_all(shop.at(place)).unwrap();
        let mut command = Command::new("unshare");
        shop.at_home(&mut command);
        let said: Said = command
            .args(["-m", "sh", "-c"])
            .arg(
                r#"mount --bind "$PLACE" "$PLACE" && mount -o remount,ro,bind "$PLACE" && exec "$@""#,
            )
            .args(["sh", env!("CARGO_BIN_EXE_hoopwright")])
            .args(run("new.json", if place == "out" { "out" } else { "into" }).split_whitespace())
            .env("PLACE", shop.at(place))
            .env("XDG_CACHE_HOME", shop.at("cache"))
            .output()
            .unwrap()
            .into();
        assert_eq!(said.code, Some(code), "{place}: {}", said.err);
        if code == 3 {
            assert!(said.err.contains("Read-only file system"), "{}", said.err);
        }
    }
    assert!(all(&shop.at("out")) == old);
}
