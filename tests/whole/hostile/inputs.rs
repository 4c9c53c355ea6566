//! Files that are none: a device without end, a pipe that nobody writes into, a folder, a file of
//! 10 GiB. Wherever a path may be given, each is refused in words, without being read.

use super::child::run;
use super::raw::Raw;
use crate::files::{root, scratch};
use hoopwright::reading::read_bytes;
use hoopwright::sandbox::Kind;
use insta::assert_snapshot;
use serde_json::json;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};

/// The most memory that the program may hold while it refuses, in MiB.
const MOST_MIB: u64 = 300;

const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20"><rect id="box" x="5" y="5" width="8" height="8" fill="#884422"/></svg>"##;

/// Makes the four at these paths.
fn make_strange(path: &Path, what: &str) {
    match what {
        "device" => std::os::unix::fs::symlink("/dev/zero", path).unwrap(),
        "pipe" => assert!(Command::new("mkfifo").arg(path).status().unwrap().success()),
        "folder" => std::fs::create_dir(path).unwrap(),
        "ten-gibibytes" => {
            let file = std::fs::File::create(path).unwrap();
            // Nothing is written: the file has no blocks on the disk.
            file.set_len(10 << 30).unwrap();
        }
        other => panic!("{other}"),
    }
}

fn shop(name: &str) -> PathBuf {
    let folder = scratch().join("hostile-inputs").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("art.svg"), ART).unwrap();
    std::fs::write(
        folder.join("routine.json"),
        json!({ "steps": [{ "step": "region-fill" }] }).to_string(),
    )
    .unwrap();
    folder
}

#[test]
fn what_is_no_file_is_refused_wherever_a_path_is_given() {
    // Where the strange thing lies, and the command that comes upon it.
    let ways: [(&str, &str); 14] = [
        ("given.wasm", "check routine.json --plugin given.wasm"),
        ("given.pack", "check routine.json --plugin given.pack"),
        ("strange.svg", "run routine.json strange.svg --into out"),
        ("strange.dst", "run routine.json strange.dst --into out"),
        (
            "strange.design.json",
            "run routine.json strange.design.json --into out",
        ),
        ("strange.json", "run strange.json art.svg --into out"),
        ("strange.json", "check strange.json"),
        ("rack.json", "check with-rack.json"),
        ("machine.json", "check with-machine.json"),
        ("part.json", "check with-part.json"),
        ("routine.lock.json", "check routine.json --locked"),
        ("strange.dst", "report strange.dst"),
        ("strange.svg", "inspect strange.svg"),
        ("list.txt", "batch routine.json --list list.txt --into out"),
    ];
    let mut seen = String::new();
    for what in ["device", "pipe", "folder", "ten-gibibytes"] {
        for (path, command) in ways {
            // A folder may be a folder of plugins, whatever its name.
            if what == "folder" && path.starts_with("given") {
                continue;
            }
            let folder = shop(what);
            for (file, value) in [
                (
                    "with-rack.json",
                    json!({ "rack": "rack.json", "steps": [{ "step": "region-fill" }] }),
                ),
                (
                    "with-machine.json",
                    json!({ "machine": "machine.json", "steps": [{ "step": "region-fill" }] }),
                ),
                (
                    "with-part.json",
                    json!({ "steps": [{ "part": "part.json" }] }),
                ),
            ] {
                std::fs::write(folder.join(file), value.to_string()).unwrap();
            }
            make_strange(&folder.join(path), what);
            let words: Vec<&str> = command.split(' ').collect();
            let ended = run(&folder, &words);
            assert!(
                ended.peak_mib < MOST_MIB,
                "{what}, {command}: {} MiB",
                ended.peak_mib
            );
            let told = ended
                .stderr
                .lines()
                .find(|line| line.starts_with("error"))
                .unwrap_or("");
            seen += &format!("{what}: {command}\n  {told} (exit {})\n", ended.code);
            assert!(!folder.join("out").exists() || ended.code == 1, "{command}");
        }
    }
    assert_snapshot!(seen);
}

/// Half a gibibyte of plugin is not read to find out that it is too large.
#[test]
fn a_plugin_of_500_mib_is_refused_unread() {
    let folder = shop("large-plugin");
    let mut bytes = Raw::new(Kind::Object).bytes();
    bytes.truncate(1000);
    std::fs::write(folder.join("large.wasm"), bytes).unwrap();
    let file = std::fs::File::options()
        .write(true)
        .open(folder.join("large.wasm"))
        .unwrap();
    file.set_len(500 << 20).unwrap();
    let ended = run(
        &folder,
        &["check", "routine.json", "--plugin", "large.wasm"],
    );
    assert_eq!(ended.code, 1);
    assert!(
        ended
            .stderr
            .contains("large.wasm cannot be read: it is larger than 32 MiB"),
        "{}",
        ended.stderr
    );
    assert!(ended.peak_mib < MOST_MIB, "{} MiB", ended.peak_mib);
}

/// A file that grows and shrinks while it is read gives what it was at some time, or words.
#[test]
fn a_file_that_changes_while_it_is_read_is_no_trouble() {
    let folder = shop("changing");
    let path = folder.join("changing.svg");
    std::fs::write(&path, ART).unwrap();
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            let file = std::fs::File::options().write(true).open(&path).unwrap();
            while !done.load(Ordering::Relaxed) {
                for size in [0, 3 << 20, 100, 1 << 20] {
                    file.set_len(size).unwrap();
                }
            }
        });
        for _ in 0..500 {
            match read_bytes(&path, 1) {
                Ok(bytes) => assert!(bytes.len() <= 1 << 20),
                Err(problem) => assert!(problem.message.ends_with("it is larger than 1 MiB")),
            }
        }
        done.store(true, Ordering::Relaxed);
    });
}

/// A pack is not compressed, and what is compressed is no pack: there is nothing that could grow.
#[test]
fn what_is_compressed_is_no_pack() {
    let folder = shop("compressed");
    // The first bytes of gzip (RFC 1952, section 2.3.1), of ZIP (PKWARE APPNOTE, section 4.3.7), of
    // Zstandard (RFC 8878, section 3.1.1), of xz (its file format, section 2.1.1.1).
    for (name, magic) in [
        ("gzip", &b"\x1f\x8b\x08\0"[..]),
        ("zip", b"PK\x03\x04"),
        ("zstandard", b"\x28\xb5\x2f\xfd"),
        ("xz", b"\xfd7zXZ\0"),
    ] {
        let mut bytes = magic.to_vec();
        bytes.resize(10_240, 0xff);
        let pack = format!("{name}.pack");
        std::fs::write(folder.join(&pack), bytes).unwrap();
        for command in [
            &["unpack", &pack, "--into", "out"][..],
            &["check", "routine.json", "--plugin", &pack],
            &["inspect", &pack],
        ] {
            let ended = run(&folder, command);
            assert_eq!(ended.code, 1, "{command:?}: {}", ended.stderr);
            assert!(
                ended.stderr.contains(&pack),
                "{command:?}: {}",
                ended.stderr
            );
            assert!(!folder.join("out").exists());
        }
    }
}

/// The files of the system say that they are empty, and are not.
#[test]
fn a_file_that_hides_its_size_is_read() {
    assert!(
        !read_bytes(Path::new("/proc/self/status"), 1)
            .unwrap()
            .is_empty()
    );
    assert!(root().join("Cargo.toml").is_file());
}
