//! A shop's folder with a small drawing and two ways to sew it.

use crate::files::hoopwright;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// Files by name, with their bytes.
pub type Files = BTreeMap<String, Vec<u8>>;

/// A shop's folder: `art.svg`, and the routines `old.json` and `new.json`, whose products all differ.
pub struct Shop {
    folder: TempDir,
}

/// What a command said.
pub struct Said {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Shop {
    pub fn new() -> Self {
        let shop = Self {
            folder: tempfile::tempdir().unwrap(),
        };
        shop.draw("art.svg", 12);
        shop.routine("old.json", 0.5);
        shop.routine("new.json", 0.7);
        shop
    }

    pub fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// A square of so many mm, and a line.
    pub fn draw(&self, name: &str, side: u32) {
        let drawing = format!(
            r##"<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60"><rect id="box" x="5" y="5" width="{side}" height="8" fill="#884422"/><rect id="low" x="5" y="30" width="8" height="8" fill="#336655"/></svg>"##
        );
        fs::write(self.at(name), drawing).unwrap();
    }

    /// A routine of this title and this density of line 1 to line 3, in mm.
    pub fn routine(&self, name: &str, density: f64) {
        let routine = format!(
            r#"{{ "title": "{name}", "steps": [ {{ "step": "region-fill", "settings": {{ "density": {density} }} }}, {{ "step": "ties-and-trims" }} ] }}"#
        );
        fs::write(self.at(name), routine).unwrap();
    }

    /// A command in the shop's folder, with the shop's own settings and data.
    pub fn command(&self, line: &str) -> Command {
        let mut command = hoopwright();
        self.at_home(&mut command);
        command.args(line.split_whitespace());
        command
    }

    /// Lets a program work in the shop's folder, with the shop's own settings and data.
    pub fn at_home(&self, command: &mut Command) {
        command
            .current_dir(self.folder.path())
            .env("XDG_CONFIG_HOME", self.at("config"))
            .env("XDG_DATA_HOME", self.at("data"))
            .env("NO_COLOR", "1");
    }

    pub fn says(&self, line: &str) -> Said {
        self.command(line).output().unwrap().into()
    }

    /// Runs a command that must go well.
    pub fn done(&self, line: &str) {
        let said = self.says(line);
        assert_eq!(said.code, Some(0), "{line}: {}", said.err);
    }

    /// What a routine makes of the drawing.
    pub fn products(&self, routine: &str) -> Files {
        let out = format!("of-{routine}");
        self.done(&run(routine, &out));
        visible(&self.at(&out))
    }

    /// Lays these files into a folder; others there stay.
    pub fn lay(&self, folder: &str, set: &Files) {
        fs::create_dir_all(self.at(folder)).unwrap();
        for (name, bytes) in set {
            fs::write(self.at(folder).join(name), bytes).unwrap();
        }
    }
}

/// The command that runs a routine into a folder.
pub fn run(routine: &str, into: &str) -> String {
    format!("run {routine} art.svg --name owl --hold-at never --into {into}")
}

impl From<Output> for Said {
    fn from(output: Output) -> Self {
        Self {
            code: output.status.code(),
            out: String::from_utf8_lossy(&output.stdout).into_owned(),
            err: String::from_utf8_lossy(&output.stderr).into_owned(),
        }
    }
}

/// The files of a folder that are not hidden.
pub fn visible(folder: &Path) -> Files {
    all(folder)
        .into_iter()
        .filter(|(name, _)| !name.starts_with('.'))
        .collect()
}

/// Everything in a folder; folders in it count as empty files.
pub fn all(folder: &Path) -> Files {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    entries
        .map(|entry| {
            let name = entry.file_name().to_string_lossy().into_owned();
            (name, fs::read(entry.path()).unwrap_or_default())
        })
        .collect()
}

/// That what lies in a folder is of the old set or of the new one, never of both, and that the machine
/// file is there only where all others are.
pub fn assert_one_set(folder: &Path, old: &Files, new: &Files, when: &str) {
    let there = visible(folder);
    let of = |set: &Files| {
        there
            .iter()
            .all(|(name, bytes)| set.get(name) == Some(bytes))
    };
    assert!(of(old) || of(new), "{when}: {:?}", names(&there));
    if there.contains_key("owl.dst") {
        assert_eq!(there.len(), new.len(), "{when}: {:?}", names(&there));
    }
}

pub fn names(files: &Files) -> Vec<&str> {
    files.keys().map(String::as_str).collect()
}

/// Starts a command and gives it no reader.
pub fn start(mut command: Command) -> Child {
    command.stdout(Stdio::null()).stderr(Stdio::null());
    command.spawn().unwrap()
}

/// How long a command takes that must go well.
pub fn time(mut command: Command) -> Duration {
    let begun = Instant::now();
    let output = command.output().unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    begun.elapsed()
}
