//! Signatures and archives held against programs from outside: minisign and tar.

use super::shop::Shop;
use super::small;
use std::io::Write as _;
use std::process::{Command, Stdio};

fn program(shop: &Shop, words: &str) -> std::process::Output {
    let words: Vec<&str> = words.split_whitespace().collect();
    Command::new(words[0])
        .args(&words[1..])
        .current_dir(&shop.folder)
        .output()
        .unwrap_or_else(|error| panic!("{}: {error}", words[0]))
}

/// Runs a program that asks, and answers it.
fn answered(shop: &Shop, words: &str, answers: &str) -> std::process::Output {
    let words: Vec<&str> = words.split_whitespace().collect();
    let mut child = Command::new(words[0])
        .args(&words[1..])
        .current_dir(&shop.folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut asks = child.stdin.take().unwrap();
    asks.write_all(answers.as_bytes()).unwrap();
    drop(asks);
    child.wait_with_output().unwrap()
}

fn goes_well(shop: &Shop, words: &str) {
    let output = program(shop, words);
    assert!(
        output.status.success(),
        "{words}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
}

/// minisign 0.11, as Debian packages it: each takes what the other signed, with the other's keys too.
#[test]
#[ignore = "needs the program minisign"]
fn minisign_and_we_take_each_other_s_signatures() {
    let shop = Shop::new("oracle-minisign");
    let pack = small::pack().to_bytes().unwrap();
    for path in ["theirs.pack", "ours.pack", "with-their-key.pack"] {
        shop.put(path, &pack);
    }
    // Theirs, taken by us.
    goes_well(&shop, "minisign -G -W -p their.pub -s their.key");
    goes_well(&shop, "minisign -S -s their.key -m theirs.pack");
    shop.well("trust Theirs their.pub");
    let told = shop.well("unpack theirs.pack --into theirs");
    assert!(told.contains("signed by Theirs"), "{told}");
    // Ours, taken by them.
    let routine = Shop::with_routine("oracle-minisign-routine");
    routine.well("key Barn --to barn.key --no-password");
    routine.well("pack patches/routine.json --to ours.pack --sign barn.key");
    goes_well(&routine, "minisign -V -p barn.key.pub -m ours.pack");
    let mut changed = routine.get("ours.pack");
    changed[1000] ^= 1;
    routine.put("ours.pack", changed);
    assert!(
        !program(&routine, "minisign -V -p barn.key.pub -m ours.pack")
            .status
            .success()
    );
    // Our key in their hands, and theirs in ours.
    goes_well(&routine, "minisign -S -s barn.key -m art.svg");
    goes_well(&routine, "minisign -V -p barn.key.pub -m art.svg");
    let made = answered(
        &routine,
        "minisign -G -p their.pub -s their.key",
        "stitch\nstitch\n",
    );
    assert!(made.status.success());
    let packed = routine
        .command()
        .args(["pack", "patches/routine.json", "--to", "again.pack"])
        .args(["--sign", "their.key"])
        .env("HOOPWRIGHT_PASSWORD", "stitch")
        .output()
        .unwrap();
    assert!(packed.status.success(), "{}", routine.done(packed).err);
    goes_well(&routine, "minisign -V -p their.pub -m again.pack");
}

/// GNU tar and coreutils read a pack: the carried files come out as they were, and the seal holds.
#[test]
#[ignore = "needs the program tar"]
fn tar_reads_a_pack() {
    let shop = Shop::new("oracle-tar");
    let pack = small::pack();
    shop.put("owl.pack", pack.to_bytes().unwrap());
    goes_well(&shop, "tar --extract --file owl.pack");
    for (path, bytes) in pack.files() {
        assert_eq!(shop.get(&format!("files/{path}")), *bytes);
    }
    goes_well(&shop, "sha256sum --check --strict manifest.sha256");
}
