//! A shop with a home of its own, so that two of them on one machine know nothing of each other.

use crate::files::{hoopwright, scratch};
use crate::guests;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A shop: its home, and the folder it works in.
pub struct Shop {
    pub home: PathBuf,
    pub folder: PathBuf,
}

/// What a command did.
pub struct Done {
    pub code: i32,
    /// Standard output and standard error, without the shop's own folder.
    pub out: String,
    pub err: String,
}

impl Shop {
    pub fn new(name: &str) -> Self {
        let base = scratch().join("sharing").join(name);
        let _ = std::fs::remove_dir_all(&base);
        let (home, folder) = (base.join("home"), base.join("work"));
        for folder in [&home, &folder] {
            std::fs::create_dir_all(folder).unwrap();
        }
        Self { home, folder }
    }

    /// A shop with a routine for patches: the rack and the machine's profile lie above it, and one
    /// step is a plugin of the shop's own, in a folder that the routine names.
    pub fn with_routine(name: &str) -> Self {
        let shop = Self::new(name);
        shop.put("patches/routine.json", ROUTINE);
        shop.put(
            "rack.csv",
            "code;name;colour\n1;Barn;#884422\n2;Night;#1f2a44\n",
        );
        shop.put(
            "machine.json",
            r#"{ "field": { "width": 300, "height": 200 } }"#,
        );
        shop.put("plugins/own.wasm", guests::hostile());
        shop.put("art.svg", ART);
        shop
    }

    pub fn put(&self, path: &str, bytes: impl AsRef<[u8]>) {
        let path = self.folder.join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
    }

    pub fn get(&self, path: &str) -> Vec<u8> {
        std::fs::read(self.folder.join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
    }

    pub fn has(&self, path: &str) -> bool {
        self.folder.join(path).exists()
    }

    pub fn command(&self) -> Command {
        let mut command = hoopwright();
        command
            .current_dir(&self.folder)
            .env("HOME", &self.home)
            .env("XDG_CONFIG_HOME", self.home.join("config"))
            .env("XDG_DATA_HOME", self.home.join("data"))
            .env_remove("HOOPWRIGHT_PASSWORD")
            .env("NO_COLOR", "1")
            .env("COLUMNS", "100");
        command
    }

    /// Runs a command given as words.
    pub fn does(&self, words: &str) -> Done {
        let words: Vec<&str> = words.split_whitespace().collect();
        self.done(self.command().args(words).output().unwrap())
    }

    pub fn done(&self, output: Output) -> Done {
        let told = |bytes: Vec<u8>| {
            let text = String::from_utf8(bytes).unwrap();
            text.replace(&format!("{}/", self.folder.display()), "")
        };
        Done {
            code: output.status.code().unwrap(),
            out: told(output.stdout),
            err: told(output.stderr),
        }
    }

    /// Runs a command that must go well, and gives what it says.
    pub fn well(&self, words: &str) -> String {
        let done = self.does(words);
        assert_eq!(done.code, 0, "{words}: {}{}", done.out, done.err);
        done.out
    }

    /// Runs a command that must be refused, and gives why.
    pub fn refused(&self, words: &str) -> String {
        let done = self.does(words);
        assert!(
            done.code == 1 || done.code == 3,
            "{words}: {} {}",
            done.code,
            done.out
        );
        done.err
    }

    /// Every file below a path of the shop, by its path from there.
    pub fn tree(&self, path: &str) -> BTreeMap<String, Vec<u8>> {
        let mut files = BTreeMap::new();
        walk(&self.folder.join(path), "", &mut files);
        files
    }
}

fn walk(folder: &Path, above: &str, files: &mut BTreeMap<String, Vec<u8>>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = format!("{above}{}", path.file_name().unwrap().to_string_lossy());
        if path.is_dir() {
            walk(&path, &format!("{name}/"), files);
        } else {
            files.insert(name, std::fs::read(path).unwrap());
        }
    }
}

/// The same plugin as another build of it: the same deeds, other bytes.
pub fn other_build(plugin: &[u8]) -> Vec<u8> {
    // A custom section (WebAssembly core specification, 5.5.3), named "b" and empty.
    [plugin, &[0, 2, 1, b'b']].concat()
}

pub const ROUTINE: &str = r#"{
  "title": "Patches for the volunteers",
  "rack": "../rack.csv",
  "machine": "../machine.json",
  "plugins": ["../plugins"],
  "steps": [
    { "step": "region-fill" },
    { "step": "hostile", "settings": { "deed": "move" } },
    { "step": "ties-and-trims" }
  ]
}
"#;

pub const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60"><circle id="eye" cx="30" cy="30" r="9" fill="#884422"/><rect id="perch" x="5" y="45" width="50" height="6" fill="#1f2a44"/></svg>"##;
