//! Where steps are found, and which of several with one name a pipeline gets.

use crate::files::{hoopwright, scratch};
use crate::guests;
use insta::assert_snapshot;
use std::path::{Path, PathBuf};

/// A shop with a pipeline, and places for plugins, in none of which there is one yet.
struct Shop {
    folder: PathBuf,
}

/// The places, in the order in which they are looked at, below the shop's folder.
const USER: &str = "data/hoopwright/steps";
const PROJECT: &str = "steps";
const LISTED: &str = "listed";
const GIVEN: &str = "given";

impl Shop {
    fn new(name: &str) -> Self {
        let folder = scratch().join("sources").join(name);
        let _ = std::fs::remove_dir_all(&folder);
        for place in [USER, PROJECT, LISTED, GIVEN] {
            std::fs::create_dir_all(folder.join(place)).unwrap();
        }
        let shop = Self { folder };
        shop.pipeline(r#""steps": [{ "step": "hostile", "settings": { "deed": "move" } }]"#);
        shop
    }

    fn pipeline(&self, entries: &str) {
        std::fs::write(self.folder.join("routine.json"), format!("{{ {entries} }}")).unwrap();
    }

    fn put(&self, place: &str, file: &str, bytes: &[u8]) {
        std::fs::write(self.folder.join(place).join(file), bytes).unwrap();
    }

    /// What a person sees, with the shop's own folder left out.
    fn sees(&self, arguments: &str) -> String {
        let output = hoopwright()
            .current_dir(&self.folder)
            .env("XDG_DATA_HOME", self.folder.join("data"))
            .env("NO_COLOR", "1")
            .env("COLUMNS", "100")
            .args(arguments.split_whitespace().map(Path::new))
            .output()
            .unwrap();
        let seen = [output.stdout, output.stderr].concat();
        let seen = String::from_utf8(seen).unwrap();
        let folder = format!("{}/", self.folder.display());
        seen.replace(&folder, "")
    }

    /// What the list of steps says of the step "hostile".
    fn lists(&self, options: &str) -> Vec<String> {
        let seen = self.sees(&format!("steps routine.json {options}"));
        let mut lines = seen
            .lines()
            .map(str::trim)
            .skip_while(|line| !line.starts_with("hostile "));
        lines.next();
        let own = |line: &&str| line.starts_with("the plugin") || line.starts_with("instead of");
        lines.take_while(own).map(str::to_owned).collect()
    }
}

#[test]
fn a_later_place_stands_in_for_an_earlier() {
    let shop = Shop::new("order");
    let listed = r#""plugins": ["listed"], "steps": [{ "step": "hostile" }]"#;
    assert!(
        shop.sees("check routine.json")
            .contains("there is no step \"hostile\"")
    );
    shop.put(USER, "a.wasm", guests::hostile());
    assert_eq!(
        shop.lists(""),
        [format!("the plugin {USER}/a.wasm from your own folder")]
    );
    shop.put(PROJECT, "b.wasm", guests::hostile());
    assert_eq!(
        shop.lists(""),
        [
            "the plugin steps/b.wasm from the project's folder".to_owned(),
            format!("instead of the plugin {USER}/a.wasm from your own folder"),
        ]
    );
    shop.put(LISTED, "c.wasm", guests::hostile());
    shop.pipeline(listed);
    shop.put(GIVEN, "d.wasm", guests::hostile());
    assert_eq!(
        shop.lists("--plugin given/d.wasm"),
        [
            "the plugin given/d.wasm from --plugin".to_owned(),
            format!("instead of the plugin {USER}/a.wasm from your own folder"),
            "instead of the plugin steps/b.wasm from the project's folder".to_owned(),
            "instead of the plugin listed/c.wasm from the pipeline's list".to_owned(),
        ]
    );
    assert_eq!(
        shop.sees("check routine.json"),
        "routine.json: 1 steps, all well\n"
    );
}

/// Every plugin that cannot be used is told, with the place where the pipeline names it.
#[test]
fn what_cannot_be_used_is_told_at_once() {
    let shop = Shop::new("broken");
    shop.put(PROJECT, "one.wasm", guests::hostile());
    shop.put(PROJECT, "two.wasm", guests::hostile());
    shop.put(LISTED, "text.wasm", b"a thimble");
    shop.pipeline(
        r#""plugins": ["listed", "gone.wasm", "oci:localhost:5000/barn/nudge:1.0.0", 7],
  "steps": [{ "step": "nudge" }, { "step": "regoin-fill", "on": { "tga": "wing" } }]"#,
    );
    assert_snapshot!(shop.sees("check routine.json"));
}

/// A stock step can be replaced by a plugin of its name, and the list says so.
#[test]
fn the_list_as_json_says_what_stands_in() {
    let shop = Shop::new("json");
    shop.put(USER, "a.wasm", guests::hostile());
    shop.put(PROJECT, "b.wasm", guests::hostile());
    let list: serde_json::Value = serde_json::from_str(&shop.sees("steps --json")).unwrap();
    let hostile = list
        .as_array()
        .unwrap()
        .iter()
        .find(|step| step["name"] == "hostile");
    let hostile = hostile.unwrap();
    assert_eq!(hostile["layer"], "project");
    assert_eq!(hostile["origin"], "the plugin steps/b.wasm");
    assert_eq!(
        hostile["stands-in-for"],
        serde_json::json!([format!("the plugin {USER}/a.wasm")])
    );
}

/// Some editors put a mark before UTF-8 text. RFC 8259, section 8.1: it may be ignored.
#[test]
fn files_with_a_mark_before_them_are_read() {
    let shop = Shop::new("mark");
    let put = |file: &str, text: &str| {
        let text = format!("\u{feff}{text}");
        std::fs::write(shop.folder.join(file), text).unwrap();
    };
    put(
        "rack.json",
        r##"{ "name": "Rescue", "threads": [{ "code": "1", "name": "Barn", "colour": "#884422" }] }"##,
    );
    put("machine.json", r#"{ "speed": 700 }"#);
    put(
        "part.json",
        r#"{ "takes": {}, "steps": [{ "step": "line-run" }] }"#,
    );
    put(
        "routine.json",
        r#"{ "rack": "rack.json", "machine": "machine.json", "steps": [{ "part": "part.json" }] }"#,
    );
    assert_eq!(
        shop.sees("check routine.json part.json"),
        "routine.json: 1 steps, all well\npart.json: 1 steps, all well\n"
    );
    put(
        "routine.json",
        "{\n  \"steps\": [{ \"step\": \"regoin-fill\" }] }",
    );
    let seen = shop.sees("check routine.json");
    assert!(seen.contains("routine.json:2:23"), "{seen}");
}

/// A thread in `on` is one of the rack's, also in a part, and is told where it was written.
#[test]
fn a_thread_that_the_rack_does_not_have_is_told() {
    let shop = Shop::new("thread");
    let put = |file: &str, text: &str| std::fs::write(shop.folder.join(file), text).unwrap();
    put(
        "rack.csv",
        "code,name,colour\nN02,Nut,#5a4632\nH01,Hay,#eedd88\n",
    );
    put(
        "part.json",
        r#"{ "takes": { "thread": { "type": "string" } },
  "steps": [{ "step": "line-run", "on": { "thread": { "taken": "thread" } } },
            { "step": "line-run", "on": { "thread": "H1" } }] }"#,
    );
    let steps = r#""steps": [
      { "step": "line-run", "on": { "thread": "N2" } },
      { "part": "part.json", "on": { "thread": "Nuts" }, "settings": { "thread": "Hey" } },
      { "step": "line-run", "on": { "thread": "Hay" } }]"#;
    shop.pipeline(&format!(r#""rack": "rack.csv", {steps}"#));
    assert_snapshot!(shop.sees("check routine.json"));
    // Where no rack is named, the artwork's own threads are sewn, which are not known yet.
    shop.pipeline(steps);
    assert!(shop.sees("check routine.json").contains("all well"));
    assert!(shop.sees("check part.json").contains("all well"));
}
