//! This program, watched by callgrind.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

/// The function whose calls are counted; see `work.rs`. Counts are dumped before each call, where they are
/// of no interest, and after it, when they are those of the call with all threads that it started.
const COUNTED: &str = "counts::work::the_counted_work";
/// What the C library takes for the processor: without these, memory is copied by the same instructions
/// on every machine. Callgrind itself hides what is newer than AVX2.
const PLAIN: &str = "glibc.cpu.hwcaps=-AVX2,-AVX,-ERMS,-FSRM,-AVX_Fast_Unaligned_Load";

/// Instructions by the name of the work.
pub type Counts = BTreeMap<String, u64>;

/// Starts this program again with the word `work`, which makes it print the name of each counted call in
/// order, and reads what callgrind counted.
pub fn count(work: &str) -> Counts {
    let folder = tempfile::tempdir().unwrap();
    let dump = folder.path().join("counts");
    let mut valgrind = Command::new("valgrind");
    valgrind
        .args(["--tool=callgrind", "--quiet"])
        .arg(format!("--dump-before={COUNTED}"))
        .arg(format!("--dump-after={COUNTED}"))
        .arg(format!("--callgrind-out-file={}", dump.display()))
        .arg(std::env::current_exe().unwrap())
        .arg(work)
        .env("GLIBC_TUNABLES", PLAIN);
    let output = match valgrind.output() {
        Ok(output) => output,
        Err(error) => panic!("valgrind cannot be started: {error}; install it first"),
    };
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "the work failed:\n{said}");
    let names = String::from_utf8(output.stdout).unwrap();
    names
        .lines()
        .enumerate()
        .map(|(i, name)| {
            let part = dump.with_extension((2 * (i + 1)).to_string());
            (name.to_owned(), total(&part))
        })
        .collect()
}

/// The sum of one dump.
fn total(dump: &Path) -> u64 {
    let text = std::fs::read_to_string(dump).expect("callgrind made a dump for each counted call");
    let total = text.lines().find_map(|line| line.strip_prefix("totals: "));
    total.unwrap().trim().parse().unwrap()
}
