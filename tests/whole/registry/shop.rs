//! A shop: a home of its own, and a folder to work in.

use crate::files::{hoopwright, root};
use crate::guests;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use tempfile::TempDir;

/// A shop that has nothing yet but artwork and a plugin of its own.
pub struct Shop {
    home: TempDir,
}

/// What a command said.
pub struct Said {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl Shop {
    pub fn new() -> Self {
        let shop = Self {
            home: tempfile::tempdir().unwrap(),
        };
        let art = root().join("tests/commands/artwork/square.svg");
        fs::copy(art, shop.at("square.svg")).unwrap();
        shop
    }

    /// A path in the shop's folder.
    pub fn at(&self, name: &str) -> PathBuf {
        self.home.path().join(name)
    }

    /// Writes the step of the shop's own: it moves what is selected by 1 mm.
    pub fn own_step(&self) -> String {
        fs::write(self.at("own.wasm"), guests::hostile()).unwrap();
        "own.wasm".to_owned()
    }

    /// Writes a routine that uses the shop's own step from these places.
    pub fn routine(&self, name: &str, plugins: &[&str]) {
        let routine = serde_json::json!({
            "plugins": plugins,
            "steps": [
                {"step": "region-fill"},
                {"step": "hostile", "settings": {"deed": "move"}},
                {"step": "ties-and-trims"},
            ],
        });
        fs::write(self.at(name), routine.to_string()).unwrap();
    }

    pub fn says(&self, line: &str) -> Said {
        self.says_with(line, &[])
    }

    /// Runs a command in the shop's folder.
    pub fn says_with(&self, line: &str, variables: &[(&str, &str)]) -> Said {
        let output: Output = hoopwright()
            .current_dir(self.home.path())
            .env("HOME", self.home.path())
            .env("XDG_DATA_HOME", self.at("data"))
            .env("NO_COLOR", "1")
            .env_remove("HOOPWRIGHT_REGISTRY_PASSWORD")
            .envs(variables.iter().copied())
            .args(line.split_whitespace())
            .output()
            .unwrap();
        Said {
            code: output.status.code().unwrap(),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }

    /// Runs a command that must go well, and gives what it prints.
    pub fn done(&self, line: &str) -> String {
        let said = self.says(line);
        assert_eq!(said.code, 0, "{line}: {}{}", said.out, said.err);
        said.out
    }

    /// The machine file that a routine sews.
    pub fn sewn(&self, routine: &str) -> Vec<u8> {
        self.done(&format!(
            "run {routine} square.svg --into out --hold-at never"
        ));
        fs::read(self.at("out/square.dst")).unwrap()
    }

    /// The files of the store, with their sizes, in order.
    pub fn store(&self) -> Vec<(PathBuf, u64)> {
        let mut files = Vec::new();
        gather(&self.at("data/hoopwright/store"), &mut files);
        files.sort();
        files
    }

    /// The files of a folder in the store.
    pub fn files(&self, folder: &str) -> Vec<PathBuf> {
        let mut files = Vec::new();
        gather(&self.at("data/hoopwright/store").join(folder), &mut files);
        files.into_iter().map(|(path, _)| path).collect()
    }

    /// The file in the store that holds these bytes' digest in its name.
    pub fn blob(&self, digest: &str) -> PathBuf {
        let hex = digest.trim_start_matches("sha256:");
        self.at("data/hoopwright/store/blobs/sha256").join(hex)
    }
}

fn gather(folder: &Path, files: &mut Vec<(PathBuf, u64)>) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            gather(&path, files);
        } else {
            files.push((path, entry.metadata().unwrap().len()));
        }
    }
}

/// The text of `key` in what a command printed as JSON: of the first, where it is a list.
pub fn told(json: &str, key: &str) -> String {
    let value: serde_json::Value = serde_json::from_str(json).unwrap();
    let one = value.get(0).unwrap_or(&value);
    one[key].as_str().unwrap_or_default().to_owned()
}
