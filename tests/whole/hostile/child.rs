//! The program as a child that is watched: it may not hang, and not take the computer's memory.

use crate::files::hoopwright;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// A child still at work after this long hangs. It is generous: nothing here is about speed.
const HANGS: Duration = Duration::from_secs(240);

/// How a child ended.
pub struct Ended {
    pub code: i32,
    pub stdout: String,
    pub stderr: String,
    /// The most memory that it held at any time, in MiB.
    pub peak_mib: u64,
}

/// Runs the program in a folder with arguments.
///
/// # Panics
/// It hangs, or ends by a signal.
pub fn run(folder: &Path, arguments: &[&str]) -> Ended {
    let mut command = hoopwright();
    command
        .current_dir(folder)
        .env("XDG_DATA_HOME", folder.join("data"))
        .env("NO_COLOR", "1")
        .env("COLUMNS", "100")
        .args(arguments);
    watched(command)
}

fn watched(mut command: Command) -> Ended {
    // Files rather than pipes: a pipe that nobody empties would stop the child.
    let told = tempfile::tempdir().unwrap();
    let file = |name: &str| std::fs::File::create(told.path().join(name)).unwrap();
    let mut child = command
        .stdin(Stdio::null())
        .stdout(file("stdout"))
        .stderr(file("stderr"))
        .spawn()
        .unwrap();
    let begun = Instant::now();
    let mut peak_mib = 0;
    let status = loop {
        peak_mib = peak_mib.max(peak_of(&child));
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        if begun.elapsed() > HANGS {
            child.kill().unwrap();
            child.wait().unwrap();
            panic!("{command:?} hangs");
        }
        std::thread::sleep(Duration::from_millis(5));
    };
    let read = |name: &str| {
        let bytes = std::fs::read(told.path().join(name)).unwrap();
        String::from_utf8(bytes).unwrap()
    };
    let (stdout, stderr) = (read("stdout"), read("stderr"));
    let code = status
        .code()
        .unwrap_or_else(|| panic!("{command:?} ended by {status}: {stderr}"));
    Ended {
        code,
        stdout,
        stderr,
        peak_mib,
    }
}

/// The peak of resident memory, as Linux tells it (proc_pid_status(5), VmHWM); elsewhere 0.
fn peak_of(child: &Child) -> u64 {
    let status = PathBuf::from(format!("/proc/{}/status", child.id()));
    let text = std::fs::read_to_string(status).unwrap_or_default();
    let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kib = line.and_then(|line| line.trim().strip_suffix(" kB"));
    kib.and_then(|kib| kib.trim().parse::<u64>().ok())
        .unwrap_or(0)
        >> 10
}

impl Ended {
    /// All that a person sees, with the folder's own path left out.
    pub fn seen(&self, folder: &Path) -> String {
        let folder = format!("{}/", folder.display());
        format!("{}{}(exit {})\n", self.stdout, self.stderr, self.code).replace(&folder, "")
    }
}
