//! Packs made to do harm: every one has a manifest and a seal that fit, so that only the rule that it
//! breaks can refuse it.

use super::shop::Shop;
use super::small;
use hoopwright::sharing::{Fingerprint, Pack, PackPath, unpack};
use serde_json::{Value, json};
use tar::{Builder, EntryType, Header};

/// A file as a crafted pack carries it.
#[derive(Clone)]
struct File {
    path: String,
    bytes: Vec<u8>,
    kind: EntryType,
    /// Bytes of the header to write over, before its sum is made.
    over: Vec<(usize, Vec<u8>)>,
}

fn file(path: &str, bytes: &[u8]) -> File {
    File {
        path: path.to_owned(),
        bytes: bytes.to_vec(),
        kind: EntryType::Regular,
        over: Vec::new(),
    }
}

/// The files of the small pack.
fn sound() -> Vec<File> {
    let pack = small::pack();
    let files = pack.files().iter();
    files
        .map(|(path, bytes)| file(path.as_str(), bytes))
        .collect()
}

fn manifest(files: &[File]) -> Value {
    let files: Vec<Value> = files
        .iter()
        .map(|file| {
            json!({
                "path": file.path,
                "bytes": file.bytes.len(),
                "sha256": Fingerprint::of(&file.bytes),
            })
        })
        .collect();
    json!({
        "form": 1,
        "title": "Barn owl",
        "pipeline": "owl/owl.json",
        "contract": "0.1.1",
        "program": env!("CARGO_PKG_VERSION"),
        "files": files,
    })
}

/// A manifest's text in the order and layout of the program.
fn text_of(manifest: &Value) -> Vec<u8> {
    let text = |value: &Value| serde_json::to_string(value).unwrap();
    let files: Vec<String> = manifest["files"]
        .as_array()
        .unwrap()
        .iter()
        .map(|file| {
            format!(
                "    {{\n      \"path\": {},\n      \"bytes\": {},\n      \"sha256\": {}\n    }}",
                text(&file["path"]),
                file["bytes"],
                file["sha256"]
            )
        })
        .collect();
    let own: Vec<String> = ["form", "title", "pipeline", "contract", "program"]
        .iter()
        .map(|key| format!("  \"{key}\": {},\n", text(&manifest[key])))
        .collect();
    format!(
        "{{\n{}  \"files\": [\n{}\n  ]\n}}\n",
        own.concat(),
        files.join(",\n")
    )
    .into_bytes()
}

fn archive(entries: &[File]) -> Vec<u8> {
    let mut builder = Builder::new(Vec::new());
    for entry in entries {
        let mut header = Header::new_ustar();
        header.set_entry_type(entry.kind);
        header.set_mode(0o644);
        header.set_uid(0);
        header.set_gid(0);
        header.set_mtime(0);
        header.set_size(entry.bytes.len() as u64);
        // The library would not write most of these paths.
        header.as_mut_bytes()[..entry.path.len()].copy_from_slice(entry.path.as_bytes());
        for (at, bytes) in &entry.over {
            header.as_mut_bytes()[*at..at + bytes.len()].copy_from_slice(bytes);
        }
        header.set_cksum();
        builder.append(&header, entry.bytes.as_slice()).unwrap();
    }
    builder.into_inner().unwrap()
}

fn sealed(manifest: &[u8], files: &[File]) -> Vec<u8> {
    let seal = format!("{}  manifest.json\n", Fingerprint::of(manifest));
    let mut entries = vec![
        file("manifest.json", manifest),
        file("manifest.sha256", seal.as_bytes()),
    ];
    entries.extend(files.iter().map(|file| File {
        path: format!("files/{}", file.path),
        ..file.clone()
    }));
    archive(&entries)
}

/// A pack of these files, sorted, with a manifest that names them.
fn crafted(mut files: Vec<File>) -> Vec<u8> {
    files.sort_by(|a, b| a.path.cmp(&b.path));
    sealed(&text_of(&manifest(&files)), &files)
}

fn why_refused(pack: &[u8]) -> String {
    Pack::read(pack)
        .map(|_| ())
        .expect_err("it must be refused")
}

/// So that the tests below try what they mean to: this maker makes what the program makes.
#[test]
fn the_crafting_is_as_the_program_packs() {
    assert_eq!(crafted(sound()), small::pack().to_bytes().unwrap());
}

#[test]
fn no_path_leads_out_of_the_folder_or_means_something_else_somewhere() {
    let long = format!("{}.json", "n".repeat(76));
    let deep = format!("{}a.json", "owl/".repeat(37));
    let paths = [
        "../a.json",
        "owl/../../a.json",
        "owl/..",
        "..",
        ".",
        "./a.json",
        "/a.json",
        "//host/a.json",
        "C:a.json",
        "C:\\a.json",
        "owl\\a.json",
        "..\\a.json",
        "owl//a.json",
        "owl/",
        "",
        "a.json/",
        "con.json",
        "owl/NUL.csv",
        "aux",
        "COM1.json",
        "lpt9.wasm",
        "com\u{b9}.json",
        "CONIN$.json",
        "con .json",
        "a.json.",
        "a.json ",
        " a.json",
        "owl./a.json",
        "owl /a.json",
        ".git/config.json",
        "owl/.hidden.json",
        "-rf.json",
        "~/a.json",
        "a<b.json",
        "a?.json",
        "a*.json",
        "a|b.json",
        "a\"b.json",
        "a:b.json",
        "a\nb.json",
        "a\u{7f}.json",
        "a\u{202e}nosj.json",
        "a\u{200b}.json",
        "a\u{feff}.json",
        "e\u{301}.json",
        "a\u{a0}b.json",
        "\u{e000}.json",
        "a.sh",
        "a.json.exe",
        "a.JSON",
        "a",
        "run.bat",
        &long,
        &deep,
    ];
    for path in paths {
        assert!(PackPath::parse(path).is_err(), "{path:?}");
        if path.len() < 90 {
            let mut files = sound();
            files.push(file(path, b"{}"));
            let why = why_refused(&crafted(files));
            assert!(
                why.contains("path") || why.contains("manifest"),
                "{path:?}: {why}"
            );
        }
    }
    for path in [
        "a.json",
        "ärmel/größe.csv",
        "owl/steps/nudge.wasm",
        "com/lpt.json",
        "a b/c.d.json",
    ] {
        assert!(PackPath::parse(path).is_ok(), "{path:?}");
    }
}

/// The path in the archive alone, with a manifest that names nothing odd.
#[test]
fn what_the_manifest_does_not_name_is_refused() {
    let whole = sound();
    let text = text_of(&manifest(&whole));
    for path in ["a.json", "../a.json", "/a.json", "owl/more.wasm"] {
        let mut files = whole.clone();
        files.push(file(path, b"{}"));
        assert!(Pack::read(&sealed(&text, &files)).is_err(), "{path}");
    }
    for gone in 0..whole.len() {
        let mut files = whole.clone();
        files.remove(gone);
        assert!(
            why_refused(&sealed(&text, &files)).contains("lacks"),
            "{gone}"
        );
    }
}

#[test]
fn two_files_never_fall_together() {
    let pairs = [
        ("a.json", "a.json"),
        ("a.json", "A.json"),
        ("owl/a.json", "OWL/b.json"),
        ("a.json", "a.json/b.json"),
        ("stra\u{df}e.json", "strasse.json"),
        ("\u{212b}.json", "\u{e5}.json"),
        ("ﬁn.json", "fin.json"),
        ("K.json", "\u{212a}.json"),
    ];
    for (one, other) in pairs {
        let mut files = sound();
        files.extend([file(one, b"1"), file(other, b"2")]);
        let why = why_refused(&crafted(files));
        assert!(
            why.contains("one and the same") || why.contains("twice") || why.contains("NFC"),
            "{one} and {other}: {why}"
        );
    }
}

#[test]
fn nothing_but_plain_files_is_taken() {
    let kinds = [
        EntryType::Symlink,
        EntryType::Link,
        EntryType::Char,
        EntryType::Block,
        EntryType::Fifo,
        EntryType::Directory,
        EntryType::Continuous,
        EntryType::GNULongName,
        EntryType::GNULongLink,
        EntryType::GNUSparse,
        EntryType::XGlobalHeader,
        EntryType::XHeader,
        EntryType::new(b'Z'),
    ];
    for kind in kinds {
        for at in 0..sound().len() {
            let mut files = sound();
            files[at].kind = kind;
            // Where a link would lead.
            files[at].over = vec![(157, b"/etc/passwd".to_vec())];
            let why = why_refused(&crafted(files));
            assert!(why.contains("not a plain file"), "{kind:?}: {why}");
        }
    }
}

#[test]
fn headers_that_lie_are_refused_at_once() {
    let lies: [(usize, &[u8]); 14] = [
        // An older mark of a plain file, and where a link would lead.
        (156, b"\0"),
        (157, b"/etc/passwd"),
        (124, b"77777777777\0"),
        (124, b"00000000001\0"),
        (124, b"00000000000\0"),
        (
            124,
            &[
                0x80, 0, 0, 0, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff,
            ],
        ),
        (124, &[0xff; 12]),
        (124, b"-0000000001\0"),
        (100, b"0004755\0"),
        (108, b"0000001\0"),
        (136, b"00000000001\0"),
        (265, b"root"),
        (257, b"ustar  \0"),
        (345, b"../../"),
    ];
    for (offset, bytes) in lies {
        for at in 0..sound().len() {
            let mut files = sound();
            files[at].over = vec![(offset, bytes.to_vec())];
            why_refused(&crafted(files));
        }
    }
}

/// A pack is not compressed, so it cannot grow; its limits hold for what is there.
#[test]
fn too_many_and_too_large_is_refused() {
    let many = |count: usize| {
        let mut files = sound();
        files.extend((0..count).map(|i| file(&format!("racks/{i:04}.csv"), b"")));
        crafted(files)
    };
    assert!(Pack::read(&many(496)).is_ok());
    assert!(why_refused(&many(497)).contains("more than 500 files"));
    let mut files = sound();
    files.push(file("large.csv", &vec![b'\n'; (32 << 20) + 1]));
    assert!(why_refused(&crafted(files)).contains("larger than 32 MiB"));
    let mut said = manifest(&sound());
    said["title"] = Value::from("x".repeat(600 << 10));
    assert!(why_refused(&sealed(&text_of(&said), &sound())).contains("manifest"));
}

#[test]
fn a_manifest_is_written_in_one_way_only() {
    let files = sound();
    let said = manifest(&files);
    let text = String::from_utf8(text_of(&said)).unwrap();
    let others = [
        text.replace("  \"form\"", " \"form\""),
        text.trim_end().to_owned(),
        format!("{text}\n"),
        text.replace("Barn owl", "Barn \\u006fwl"),
        text.replace("Barn owl", "Barn\\u001b[31m owl"),
        text.replace("Barn owl", "Barn\u{202e} owl"),
        text.replace("\"form\": 1,", "\"form\": 1,\n  \"form\": 1,"),
        text.replace("\"form\": 1,", "\"form\": 2,"),
        text.replace("\"form\": 1,", "\"form\": 1.0,"),
        text.replace("\"form\": 1,", "\"form\": 1,\n  \"more\": 1,"),
        text.replace("owl/owl.json\",", "rack.csv\","),
        text.replacen("owl/owl.json\",", "owl/gone.json\",", 1),
    ];
    for other in others {
        assert_ne!(other, text);
        assert!(
            Pack::read(&sealed(other.as_bytes(), &files)).is_err(),
            "{other}"
        );
    }
    let mut turned = files.clone();
    turned.reverse();
    assert!(Pack::read(&sealed(text.as_bytes(), &turned)).is_err());
    assert!(Pack::read(&sealed(&text_of(&manifest(&turned)), &turned)).is_err());
}

/// Whoever is refused leaves nothing behind: not the folder, nor anything beside it.
#[test]
fn nothing_is_written_of_a_refused_pack() {
    let shop = Shop::new("crafted-nothing");
    let mut files = sound();
    files.push(file("../escaped.json", b"{}"));
    shop.put("evil.pack", crafted(files));
    let mut files = sound();
    files[2].bytes = b"another plugin".to_vec();
    shop.put("swapped.pack", crafted(files));
    let mut files = sound();
    files.remove(1);
    shop.put("unlocked.pack", crafted(files));
    let before = shop.tree("");
    let told = shop.refused("unpack evil.pack --into new --unsigned");
    assert!(
        told.contains("the path \"../escaped.json\" holds \"..\""),
        "{told}"
    );
    let told = shop.refused("unpack swapped.pack --into new --unsigned");
    assert!(
        told.contains("does not hold the plugin that its lock names"),
        "{told}"
    );
    let told = shop.refused("unpack unlocked.pack --into new --unsigned");
    assert!(told.contains("has no lock"), "{told}");
    assert_eq!(shop.tree(""), before);
}

#[test]
fn a_folder_that_holds_something_is_left_alone() {
    let shop = Shop::new("crafted-folder");
    let pack = small::pack();
    let at = |path: &str| unpack(&pack, &shop.folder.join(path));
    shop.put("full/a.txt", "mine");
    shop.put("file", "mine");
    std::fs::create_dir_all(shop.folder.join("empty")).unwrap();
    let before = shop.tree("");
    for path in ["full", "file", "file/below", "full/.."] {
        assert_eq!(at(path).unwrap_err().code, "cannot-write", "{path}");
    }
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(shop.folder.join("empty"), shop.folder.join("link")).unwrap();
        assert!(at("link").is_err());
        std::fs::remove_file(shop.folder.join("link")).unwrap();
    }
    assert_eq!(shop.tree(""), before);
    for path in ["empty", "new", "deep/er/new"] {
        assert_eq!(
            at(path).unwrap(),
            shop.folder.join(path).join("owl/owl.json")
        );
        let tree = shop.tree(path);
        assert_eq!(tree.len(), 4);
        for (name, bytes) in pack.files() {
            assert_eq!(tree[name.as_str()], *bytes);
        }
        assert!(at(path).is_err());
    }
}
