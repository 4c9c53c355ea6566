//! Makes what fuzzing begins with, and shows what it found.
//!
//! `hoopwright-outside seeds` writes the demo's own files, and some made of counted bytes, to
//! `tests/fuzz/corpus/<subject>`. `hoopwright-outside show SUBJECT INPUT` writes the file that an input
//! of the fuzzer stands for to standard output, to be kept in `tests/fuzz/regressions/<subject>`. `hoopwright-outside
//! judge SUBJECT FILE` says what does not hold of a file.

use hoopwright_outside::chance::counted;
use hoopwright_outside::{Subject, all, named};
use std::error::Error;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// How many inputs of counted bytes a corpus begins with.
const COUNTED: u64 = 64;
/// How long they are.
const LENGTH: usize = 800;

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words[..] {
        ["seeds"] => all().into_iter().try_for_each(seed),
        ["show", subject, input] => {
            let subject = named(subject).ok_or("there is no such subject")?;
            let file = subject.file(&fs::read(input)?);
            std::io::stdout().write_all(&file)?;
            Ok(())
        }
        ["judge", subject, file] => {
            let subject = named(subject).ok_or("there is no such subject")?;
            let wrongs = (subject.wrongs)(&fs::read(file)?);
            wrongs.iter().for_each(|wrong| println!("{wrong}"));
            Ok(())
        }
        _ => Err("say \"seeds\", \"show SUBJECT INPUT\" or \"judge SUBJECT FILE\"".into()),
    }
}

/// The folder of all tests.
fn tests() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn seed(subject: &Subject) -> Result<(), Box<dyn Error>> {
    let corpus = tests().join("fuzz/corpus").join(subject.name);
    fs::create_dir_all(&corpus)?;
    let found = tests().join("fuzz/regressions").join(subject.name);
    let kept = fs::read_dir(found)
        .into_iter()
        .flatten()
        .flatten()
        .map(|entry| entry.path());
    let demo = subject
        .seeds
        .iter()
        .map(|path| tests().join("..").join(path));
    for path in kept.chain(demo) {
        // An even byte first: the rest is the file itself.
        let mut input = vec![0];
        input.extend(fs::read(&path)?);
        let name = path.file_name().unwrap_or_default();
        fs::write(corpus.join(name), input)?;
    }
    for number in 0..COUNTED {
        let mut input = vec![1];
        input.extend(counted(number).take(LENGTH));
        fs::write(corpus.join(format!("counted-{number:02}")), input)?;
    }
    Ok(())
}
