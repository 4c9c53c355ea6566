//! The pack: a routine with all that it needs, as one archive.

use crate::chance::once_in;
use crate::{Subject, damage, told, words};
use arbitrary::{Result, Unstructured};
use hoopwright::sharing::{Fingerprint, Pack, unpack};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// Packs whose manifests and seals mostly fit, with the paths that an attacker would choose, and headers
/// of every kind.
pub const SUBJECT: Subject = Subject {
    name: "pack",
    make: any,
    wrongs,
    seeds: &[],
};

const PATHS: [&str; 30] = [
    "owl.json",
    "owl.lock.json",
    "steps/fill.wasm",
    "rack.csv",
    "a/b/c.json",
    "../owl.json",
    "/etc/owl.json",
    "a/../../owl.json",
    "C:/owl.json",
    "a\\b.json",
    ".hidden.json",
    "owl.json/a.json",
    "OWL.json",
    "con.json",
    "nul.csv",
    "a//b.json",
    "a/./b.json",
    "",
    ".",
    "..",
    "owl.exe",
    "owl",
    "-rf.json",
    "~/owl.json",
    "e\u{301}.json",
    "é.json",
    "a\u{202e}nosj.json",
    "a b.json",
    "a .json",
    "files/owl.json",
];

/// A file of an archive.
struct Entry {
    path: Vec<u8>,
    bytes: Vec<u8>,
}

fn any(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut files = BTreeMap::new();
    files.insert("owl.json".to_owned(), b"{\"steps\":[]}".to_vec());
    for _ in 0..bytes.int_in_range(0..=3)? {
        let path = if once_in(bytes, 8)? {
            format!("{}.json", words::word(bytes)?)
        } else if once_in(bytes, 12)? {
            format!("{}owl.json", "long/".repeat(bytes.int_in_range(1..=40)?))
        } else {
            (*bytes.choose(&PATHS)?).to_owned()
        };
        let length = bytes.int_in_range(0..=600_usize)?;
        files.insert(path, vec![bytes.arbitrary()?; length]);
    }
    let manifest = manifest(&files, bytes)?;
    let seal = format!("{}  manifest.json\n", Fingerprint::of(&manifest));
    let own = [
        ("manifest.json", manifest),
        ("manifest.sha256", seal.into_bytes()),
    ];
    let own = own
        .into_iter()
        .map(|(path, bytes)| (path.to_owned(), bytes));
    let carried = files
        .into_iter()
        .map(|(path, bytes)| (format!("files/{path}"), bytes));
    let mut entries: Vec<Entry> = own
        .chain(carried)
        .map(|(path, bytes)| Entry {
            path: path.into_bytes(),
            bytes,
        })
        .collect();
    if once_in(bytes, 12)? {
        let [a, b] = [
            bytes.choose_index(entries.len())?,
            bytes.choose_index(entries.len())?,
        ];
        entries.swap(a, b);
    }
    let mut archive = Vec::new();
    for entry in &entries {
        header(&mut archive, entry, bytes)?;
        archive.extend(&entry.bytes);
        archive.resize(archive.len().next_multiple_of(512), 0);
    }
    archive.resize(archive.len() + 1024, 0);
    damage::seldom(archive, bytes)
}

/// A manifest in the program's own layout, which names these files.
fn manifest(files: &BTreeMap<String, Vec<u8>>, bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut carried = Vec::new();
    for (path, file) in files {
        let text = |value: Value| value.to_string();
        let length = if once_in(bytes, 24)? {
            bytes.arbitrary::<u64>()?
        } else {
            file.len() as u64
        };
        carried.push(format!(
            "    {{\n      \"path\": {},\n      \"bytes\": {length},\n      \"sha256\": {}\n    }}",
            text(json!(path)),
            text(json!(Fingerprint::of(file).to_string())),
        ));
    }
    let title = if once_in(bytes, 4)? {
        words::word(bytes)?
    } else {
        "Barn owl patch".to_owned()
    };
    let form = if once_in(bytes, 24)? {
        bytes.arbitrary::<u32>()?
    } else {
        1
    };
    Ok(format!(
        "{{\n  \"form\": {form},\n  \"title\": {},\n  \"pipeline\": \"owl.json\",\n  \"contract\": \"0.1.1\",\n  \
         \"program\": \"0.1.0\",\n  \"files\": [\n{}\n  ]\n}}\n",
        json!(title),
        carried.join(",\n")
    )
    .into_bytes())
}

/// A header as the standard has it (POSIX.1-1988, "ustar"), seldom with a field of another's choice.
fn header(archive: &mut Vec<u8>, entry: &Entry, bytes: &mut Unstructured<'_>) -> Result<()> {
    let mut header = [0; 512];
    let path = &entry.path[..entry.path.len().min(100)];
    header[..path.len()].copy_from_slice(path);
    header[100..108].copy_from_slice(b"0000644\0");
    header[108..116].copy_from_slice(b"0000000\0");
    header[116..124].copy_from_slice(b"0000000\0");
    header[124..136].copy_from_slice(format!("{:011o}\0", entry.bytes.len()).as_bytes());
    header[136..148].copy_from_slice(b"00000000000\0");
    header[156] = b'0';
    header[257..265].copy_from_slice(b"ustar\x0000");
    if once_in(bytes, 10)? {
        let kinds = b"0123456789LKxgSVMD\0";
        header[156] = *bytes.choose(kinds)?;
    }
    if once_in(bytes, 16)? {
        // A field of any bytes: sizes in base 256, names with a prefix, another magic word.
        let (at, length) = *bytes.choose(&[
            (124, 12),
            (0, 100),
            (157, 100),
            (257, 8),
            (345, 155),
            (100, 8),
        ])?;
        for place in &mut header[at..at + length] {
            *place = bytes.arbitrary()?;
        }
    }
    // The sum is taken with spaces in its own place. Archivers end it in two ways.
    header[148..156].copy_from_slice(b"        ");
    let sum: u32 = header.iter().map(|&byte| u32::from(byte)).sum();
    let written = if once_in(bytes, 24)? {
        format!("{sum:06o}\0 ")
    } else {
        format!("{sum:07o}\0")
    };
    header[148..156].copy_from_slice(written.as_bytes());
    archive.extend(header);
    Ok(())
}

/// A pack that is taken packs again to the same bytes, and its files, and nothing else, are written into
/// their folder; one that is refused is refused with a reason.
fn wrongs(file: &[u8]) -> Vec<String> {
    let pack = match Pack::read(file) {
        Ok(pack) => pack,
        Err(why) => return told::reason(&why),
    };
    let mut wrongs = Vec::new();
    if pack.to_bytes().ok().as_deref() != Some(file) {
        wrongs.push("packed again, it is another".to_owned());
    }
    let Ok(folder) = tempfile::tempdir() else {
        return vec!["no folder could be made".to_owned()];
    };
    let into = folder.path().join("into");
    match unpack(&pack, &into) {
        Ok(pipeline) if pipeline.starts_with(&into) => {}
        Ok(pipeline) => wrongs.push(format!("its pipeline lies outside: {}", pipeline.display())),
        Err(problem) => wrongs.push(format!("it is taken and cannot be unpacked: {problem:?}")),
    }
    let mut found = BTreeMap::new();
    collect(folder.path(), Path::new(""), &mut found);
    let files = pack.files().iter();
    let wanted: BTreeMap<String, Vec<u8>> = files
        .map(|(path, bytes)| (format!("into/{path}"), bytes.clone()))
        .collect();
    if found != wanted {
        wrongs.push(format!(
            "there lies {:?}, and should {:?}",
            found.keys().collect::<Vec<_>>(),
            wanted.keys().collect::<Vec<_>>()
        ));
    }
    wrongs
}

/// Every file below a folder.
fn collect(folder: &Path, below: &Path, found: &mut BTreeMap<String, Vec<u8>>) {
    for entry in fs::read_dir(folder.join(below))
        .into_iter()
        .flatten()
        .flatten()
    {
        let path = below.join(entry.file_name());
        if entry.file_type().is_ok_and(|sort| sort.is_dir()) {
            collect(folder, &path, found);
        } else {
            let bytes = fs::read(folder.join(&path)).unwrap_or_default();
            found.insert(path.to_string_lossy().into_owned(), bytes);
        }
    }
}
