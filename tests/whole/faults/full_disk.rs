//! Full disks: a small file system in memory, mounted for the program alone.

use super::shop::{Files, Said, Shop, all, names, run};
use crate::registry::server::{Guard, Server};
use std::fs;
use std::path::Path;
use std::process::Command;

/// A page of memory, which is what a file system there gives a file at least.
const PAGE: usize = 4096;

/// Runs a command with a file system of so many bytes at `place`, which holds what lies there now, and
/// besides has so many bytes left. What lies there afterwards is laid into `after`.
fn with_room(shop: &Shop, place: &str, room: usize, after: &str, line: &str, cache: &str) -> Said {
    // In a mount namespace of its own, so that nothing of it is left on this machine.
    let script = r#"
        set -e
        mkdir -p "$PLACE" "$AFTER"
        cp -a "$PLACE" "$AFTER.before"
        mount -t tmpfs -o size=64m,mode=755 none "$PLACE"
        cp -a "$AFTER.before/." "$PLACE/"
        rm -rf "$AFTER.before"
        have=$(df -B1 --output=avail "$PLACE" | tail -1)
        if [ "$have" -gt "$ROOM" ]; then
            head -c $((have - ROOM)) /dev/zero > "$PLACE/filler"
        fi
        code=0
        "$@" || code=$?
        rm -f "$PLACE/filler"
        cp -a "$PLACE/." "$AFTER/"
        exit $code
    "#;
    let mut command = Command::new("unshare");
    shop.at_home(&mut command);
    let _ = fs::remove_dir_all(shop.at(after));
    let output = command
        .args(["-m", "sh", "-c", script, "sh"])
        .arg(env!("CARGO_BIN_EXE_hoopwright"))
        .args(line.split_whitespace())
        .env("PLACE", shop.at(place))
        .env("AFTER", shop.at(after))
        .env("ROOM", room.to_string())
        .env("XDG_CACHE_HOME", cache)
        .output()
        .unwrap();
    output.into()
}

fn pages(bytes: &[u8]) -> usize {
    bytes.len().div_ceil(PAGE) * PAGE
}

/// The cache that the other tests use, warm.
fn warm() -> String {
    crate::files::scratch().join("cache").display().to_string()
}

/// Every file of the set is once the one that does not fit.
#[test]
#[ignore = "mounts file systems, which needs the superuser; .ci/run runs this"]
fn each_product_is_once_the_one_that_does_not_fit() {
    let shop = Shop::new();
    let (old, new) = (shop.products("old.json"), shop.products("new.json"));
    // In the order in which the run tells its products, which is that in which they are written.
    let told = shop.says(&run("new.json", "order")).out;
    let order: Vec<&str> = told
        .lines()
        .filter_map(|line| line.strip_prefix("order/"))
        .collect();
    assert_eq!(order.len(), new.len(), "{told}");
    shop.lay("out", &old);
    let mut room = 0;
    for name in order {
        let size = pages(&new[name]);
        let said = with_room(
            &shop,
            "out",
            room + size - PAGE,
            "after",
            &run("new.json", "out"),
            &warm(),
        );
        assert_eq!(said.code, Some(3), "{name}: {}", said.err);
        let message = format!("out/{name} cannot be written: No space left on device");
        assert!(said.err.contains(&message), "{name}: {}", said.err);
        assert!(said.err.contains("Nothing was changed"), "{}", said.err);
        assert!(all(&shop.at("after")) == old, "{name}");
        room += size;
    }
    let said = with_room(
        &shop,
        "out",
        room,
        "after",
        &run("new.json", "out"),
        &warm(),
    );
    assert_eq!(said.code, Some(0), "all fit: {}", said.err);
    assert!(all(&shop.at("after")) == new);
}

#[test]
#[ignore = "mounts file systems, which needs the superuser; .ci/run runs this"]
fn whatever_else_does_not_fit_is_told_too() {
    let shop = Shop::new();
    shop.done(&run("old.json", "sewn"));
    shop.done("key Barn --to keys/barn.key --no-password");
    shop.done("pack old.json --to packs/old.pack");
    let before = Files::from([("there".to_owned(), b"as it was".to_vec())]);
    shop.lay("place", &before);
    fs::create_dir(shop.at("art")).unwrap();
    shop.draw("art/a.svg", 9);
    for line in [
        "schema --to place/schema.json",
        "picture sewn/owl.dst --to place/picture.png",
        "playback sewn/owl.dst --to place/page.html",
        "manual --into place",
        "pack old.json --to place/old.pack",
        "unpack packs/old.pack --unsigned --into place/unpacked",
        "key Night --to place/night.key --no-password",
        "trust Barn keys/barn.key.pub --trust place/trust.json",
        "begin nudge --into place",
    ] {
        let said = with_room(&shop, "place", 0, "after", line, &warm());
        assert_eq!(said.code, Some(3), "{line}: {}{}", said.out, said.err);
        assert!(said.err.contains("No space left"), "{line}: {}", said.err);
        assert!(
            said.err.contains("cannot be written"),
            "{line}: {}",
            said.err
        );
        let after = all(&shop.at("after"));
        assert!(after == before, "{line}: {:?}", names(&after));
    }
    // A batch tells it of each artwork, and stands behind what it says.
    let batch = "batch old.json art --hold-at never --into place";
    let said = with_room(&shop, "place", 2 * PAGE, "after", batch, &warm());
    assert_eq!(said.code, Some(3), "{}", said.err);
    assert!(said.out.contains("1 not written"), "{}", said.out);
    let mut after = all(&shop.at("after"));
    after.retain(|name, _| {
        !name.starts_with("hoopwright.batch") && name != ".hoopwright-batch.hold"
    });
    assert!(after == before, "{:?}", names(&after));
    // The user's settings, with a shop in them already.
    shop.done("trust Barn keys/barn.key.pub");
    shop.done("key Night --to keys/night.key --no-password");
    let settings = all(&shop.at("config/hoopwright"));
    let said = with_room(
        &shop,
        "config/hoopwright",
        0,
        "after",
        "trust Night keys/night.key.pub",
        &warm(),
    );
    assert_eq!(said.code, Some(3), "{}", said.err);
    assert!(all(&shop.at("after")) == settings && settings.len() == 1);
}

/// Compiled steps that cannot be kept cost time and nothing else.
#[test]
#[ignore = "mounts file systems, which needs the superuser; .ci/run runs this"]
fn a_full_disk_under_the_cache_changes_no_byte() {
    let shop = Shop::new();
    let expected = shop.products("old.json");
    fs::create_dir(shop.at("cache")).unwrap();
    let cache = shop.at("cache").display().to_string();
    for room in [0, 16 * PAGE] {
        let line = format!("{} --notes", run("old.json", "out"));
        let said = with_room(&shop, "cache", room, "after", &line, &cache);
        assert_eq!(said.code, Some(0), "{room}: {}", said.err);
        assert!(
            said.err.contains("cache-unwritable"),
            "{room}: {}",
            said.err
        );
        assert!(all(&shop.at("out")) == expected, "{room}");
    }
}

/// Files that may grow no larger are told like full disks; the system's signal does not end the program.
#[cfg(unix)]
#[test]
fn a_limit_on_the_size_of_files_is_told() {
    let shop = Shop::new();
    let (old, new) = (shop.products("old.json"), shop.products("new.json"));
    let largest = new.values().map(Vec::len).max().unwrap();
    shop.lay("out", &old);
    // In units of 512 bytes (POSIX, ulimit).
    for (blocks, codes) in [(largest / 512 - 1, &[3][..]), (8, &[1, 3]), (0, &[1, 3])] {
        let mut command = Command::new("sh");
        shop.at_home(&mut command);
        command
            .args(["-c", "ulimit -f \"$0\" && exec \"$@\""])
            .arg(blocks.to_string())
            .arg(env!("CARGO_BIN_EXE_hoopwright"))
            .args(run("new.json", "out").split_whitespace())
            .env("XDG_CACHE_HOME", warm());
        let said: Said = command.output().unwrap().into();
        // Where the limit is very low, the engine finds no room for a plugin's memory.
        let code = said.code.unwrap();
        assert!(codes.contains(&code), "{blocks}: {code} {}", said.err);
        assert!(
            said.err.contains("File too large"),
            "{blocks}: {}",
            said.err
        );
        assert!(all(&shop.at("out")) == old, "{blocks}");
    }
    assert!(Path::new(&warm()).exists());
}

/// What a pull cannot keep it does not keep in part.
#[test]
#[ignore = "mounts file systems, and needs docker-registry; .ci/run runs this"]
fn a_full_disk_under_the_store_is_told() {
    let registry = Server::start(&Guard::Open);
    let step = registry.reference("barn/fill:1");
    let shop = Shop::new();
    shop.done(&format!("push region-fill {step}"));
    // What is pushed is kept, too.
    fs::remove_dir_all(shop.at("data")).unwrap();
    let pull = format!("pull {step}");
    // Room for nothing, for the beginning of the download, and for the download but not for keeping it.
    for room in [0, 8 * PAGE, 1 << 20] {
        let said = with_room(&shop, "data/hoopwright", room, "after", &pull, &warm());
        assert_eq!(said.code, Some(3), "{room}: {}", said.err);
        assert!(
            said.err.contains("must be writable"),
            "{room}: {}",
            said.err
        );
        let blobs = all(&shop.at("after/store/blobs/sha256"));
        assert_eq!(names(&blobs), Vec::<&str>::new(), "{room}");
    }
    let said = with_room(&shop, "data/hoopwright", 64 << 20, "after", &pull, &warm());
    assert_eq!(said.code, Some(0), "{}", said.err);
}

/// Neither a log nor a list on a full disk stops the work (full(4): every write finds no room). That a list
/// is lost, the code tells where nothing else does.
#[cfg(target_os = "linux")]
#[test]
fn a_log_on_a_full_disk_stops_nothing() {
    let shop = Shop::new();
    fs::create_dir(shop.at("art")).unwrap();
    fs::copy(shop.at("art.svg"), shop.at("art/owl.svg")).unwrap();
    fs::write(shop.at("art/broken.svg"), "<svg").unwrap();
    let batch = "batch old.json art --hold-at never --into out";
    for (line, code, lost) in [
        (&*run("old.json", "out"), 0, 3),
        (batch, 1, 1),
        (&*format!("{batch} --anew --telling json"), 1, 1),
        ("check missing.json", 1, 1),
    ] {
        let seen = |command: &mut Command, code| {
            let _ = fs::remove_dir_all(shop.at("out"));
            let said: Said = command.arg("--notes").output().unwrap().into();
            assert_eq!(said.code, Some(code), "{line}");
            all(&shop.at("out"))
        };
        let expected = seen(&mut shop.command(line), code);
        let full = || fs::File::options().write(true).open("/dev/full").unwrap();
        let unheard = seen(shop.command(line).stdout(full()).stderr(full()), lost);
        assert!(unheard == expected, "{line}: {:?}", names(&unheard));
    }
}
