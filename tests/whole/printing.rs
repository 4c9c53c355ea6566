//! What is printed: where it is lost the program says so, and where nobody reads it any more it does not.
//! full(4): every write to /dev/full finds no room.

use crate::files::{hoopwright, root, scratch, sew};
use std::fs::File;
use std::io::Read as _;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::sync::LazyLock;

/// Commands whose answer is what they print. `$SEWN` is a machine file.
const PRINTING: [&str; 11] = [
    "--help",
    "--version",
    "run --help",
    "steps",
    "steps --json",
    "describe align",
    "schema machine",
    "check demo-pipelines/owl/owl.json",
    "inspect demo-pipelines/owl/owl.svg",
    "report $SEWN --hold-at never --json",
    "completions bash",
];

static SEWN: LazyLock<PathBuf> = LazyLock::new(|| {
    let commands = root().join("tests/commands");
    let into = scratch().join("printing");
    sew(
        &commands.join("pipelines/sound.json"),
        &commands.join("artwork/square.svg"),
        &into,
    );
    into.join("square.dst")
});

fn command(line: &str) -> Command {
    let mut command = hoopwright();
    command.current_dir(root()).env("NO_COLOR", "1");
    command.args(line.split_whitespace().map(|word| match word {
        "$SEWN" => SEWN.clone(),
        word => PathBuf::from(word),
    }));
    command
}

#[cfg(target_os = "linux")]
#[test]
fn words_that_find_no_room_end_with_the_code_of_outputs() {
    for line in PRINTING {
        let full = File::options().write(true).open("/dev/full").unwrap();
        let output = command(line).stdout(full).output().unwrap();
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(3), "{line}: {said}");
        assert!(
            said.contains("standard output cannot be written"),
            "{line}: {said}"
        );
    }
}

/// As `head` does: what is left unread is not lost.
#[cfg(unix)]
#[test]
fn whoever_reads_may_go() {
    for line in PRINTING {
        let mut child = command(line)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // Gone before the first word.
        drop(child.stdout.take());
        let mut said = String::new();
        child
            .stderr
            .take()
            .unwrap()
            .read_to_string(&mut said)
            .unwrap();
        let code = child.wait().unwrap().code();
        assert_eq!(code, Some(0), "{line}: {said}");
    }
}

/// Where the command fails by itself, that is the code, wherever its words went.
#[cfg(target_os = "linux")]
#[test]
fn what_else_went_wrong_says_more() {
    let full = || File::options().write(true).open("/dev/full").unwrap();
    let missing = scratch().join("never-written.json");
    let mut command = command("check demo-pipelines/owl/owl.json");
    let output = command.arg(missing).stdout(full()).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
}
