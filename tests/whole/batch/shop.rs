//! A shop with a morning of artwork.

use crate::files::{hoopwright, scratch};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

/// The record in the folder written into.
pub const RECORD: &str = "hoopwright.batch.json";

/// A shop's morning: a folder with some artwork, a pipeline with a rack, and where it goes.
pub struct Shop {
    pub folder: PathBuf,
}

impl Shop {
    pub fn new(name: &str) -> Self {
        let folder = scratch().join("batch").join(name);
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(folder.join("art")).unwrap();
        let shop = Self { folder };
        shop.routine(0.4);
        shop.write(
            "rack.json",
            r##"{ "name": "Rescue", "threads": [{ "code": "1", "name": "Barn", "colour": "#884422" }] }"##,
        );
        shop
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    pub fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).unwrap();
    }

    pub fn routine(&self, density: f64) {
        self.write(
            "routine.json",
            &format!(
                r#"{{ "rack": "rack.json", "steps": [
                    {{ "step": "region-fill", "settings": {{ "density": {density} }} }},
                    {{ "step": "ties-and-trims" }} ] }}"#
            ),
        );
    }

    /// A square of so many mm.
    pub fn square(&self, name: &str, side: u32) {
        self.write(
            &format!("art/{name}.svg"),
            &format!(
                r##"<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60"><rect id="box" x="5" y="5" width="{side}" height="{side}" fill="#884422"/></svg>"##
            ),
        );
    }

    pub fn command(&self) -> Command {
        let mut command = hoopwright();
        command
            .args(["batch", "routine.json", "art", "--into", "out"])
            .args(["--telling", "json"])
            // The shop's routine is made for speed here, not for the cloth.
            .args(["--hold-at", "never"])
            .current_dir(&self.folder);
        command
    }

    /// Starts the batch, and lets what it prints go to `stdout`.
    pub fn start(&self, stdout: Stdio) -> Child {
        let mut command = self.command();
        command.stdout(stdout).stderr(Stdio::null());
        command.spawn().unwrap()
    }

    /// Runs the batch and gives its lines and its exit code.
    pub fn run(&self, more: &[&str]) -> Told {
        Told::of(self.command().args(more).output().unwrap())
    }

    /// The bytes of all that was written, the record and the hold left aside.
    pub fn written(&self) -> BTreeMap<String, Vec<u8>> {
        files(&self.path("out"))
    }
}

pub fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = std::fs::read_dir(folder).unwrap();
    entries
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_file())
        .map(|path| {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (name, std::fs::read(path).unwrap())
        })
        .filter(|(name, _)| name != RECORD && name != ".hoopwright-batch.hold")
        .collect()
}

/// What a batch told.
pub struct Told {
    pub code: i32,
    pub artworks: BTreeMap<String, Value>,
    pub totals: Value,
    pub stderr: String,
}

impl Told {
    pub fn of(output: Output) -> Self {
        let text = String::from_utf8(output.stdout).unwrap();
        let lines: Vec<Value> = text
            .lines()
            .map(|line| serde_json::from_str(line).unwrap())
            .collect();
        let (totals, artworks): (Vec<Value>, Vec<Value>) =
            lines.into_iter().partition(|line| line["line"] == "totals");
        Self {
            code: output.status.code().unwrap(),
            totals: totals.into_iter().next().unwrap_or_default(),
            artworks: artworks
                .into_iter()
                .map(|line| (line["name"].as_str().unwrap().to_owned(), line))
                .collect(),
            stderr: String::from_utf8(output.stderr).unwrap(),
        }
    }

    pub fn outcome(&self, name: &str) -> &str {
        self.artworks[name]["outcome"].as_str().unwrap()
    }

    /// All outcomes, by name.
    pub fn outcomes(&self) -> Vec<(&str, &str)> {
        let names = self.artworks.keys();
        names
            .map(|name| (name.as_str(), self.outcome(name)))
            .collect()
    }
}
