//! Many artworks at once: what is bad, what is done already, and what happens when it is killed.

use crate::files::{hoopwright, root, scratch};
use crate::guests;
use serde_json::Value;
use std::collections::BTreeMap;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::Duration;

/// The record in the folder written into.
const RECORD: &str = "hoopwright.batch.json";

/// A shop's morning: a folder with some artwork, a pipeline with a rack, and where it goes.
struct Shop {
    folder: PathBuf,
}

impl Shop {
    fn new(name: &str) -> Self {
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

    fn path(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).unwrap();
    }

    fn routine(&self, density: f64) {
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
    fn square(&self, name: &str, side: u32) {
        self.write(
            &format!("art/{name}.svg"),
            &format!(
                r##"<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60"><rect id="box" x="5" y="5" width="{side}" height="{side}" fill="#884422"/></svg>"##
            ),
        );
    }

    fn command(&self) -> Command {
        let mut command = hoopwright();
        command
            .args(["batch", "routine.json", "art", "--into", "out"])
            .args(["--telling", "json"])
            // The shop's routine is made for speed here, not for the cloth.
            .args(["--hold-at", "never"])
            .current_dir(&self.folder);
        command
    }

    /// Runs the batch and gives its lines and its exit code.
    fn run(&self, more: &[&str]) -> Told {
        Told::of(self.command().args(more).output().unwrap())
    }

    /// The bytes of all that was written, the record and the hold left aside.
    fn written(&self) -> BTreeMap<String, Vec<u8>> {
        files(&self.path("out"))
    }
}

fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
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
struct Told {
    code: i32,
    artworks: BTreeMap<String, Value>,
    totals: Value,
    stderr: String,
}

impl Told {
    fn of(output: Output) -> Self {
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

    fn outcome(&self, name: &str) -> &str {
        self.artworks[name]["outcome"].as_str().unwrap()
    }

    /// All outcomes, by name.
    fn outcomes(&self) -> Vec<(&str, &str)> {
        let names = self.artworks.keys();
        names
            .map(|name| (name.as_str(), self.outcome(name)))
            .collect()
    }
}

#[test]
fn a_bad_artwork_never_stops_the_others() {
    let shop = Shop::new("bad");
    shop.square("a", 10);
    shop.write("art/b.svg", "<svg");
    shop.write("art/c.dst", "no machine file");
    std::fs::create_dir(shop.path("art/not-entered")).unwrap();
    shop.square("d", 12);
    shop.write("art/notes.txt", "call them on Monday");
    let told = shop.run(&["art/gone.svg", "--notes"]);
    assert_eq!(told.code, 1, "{}", told.stderr);
    assert_eq!(
        told.outcomes(),
        [
            ("a", "sewn"),
            ("b", "failed"),
            ("c", "failed"),
            ("d", "sewn"),
            ("gone", "failed")
        ]
    );
    assert_eq!(told.totals["artworks"], 5);
    assert_eq!(told.totals["failed"], 3);
    assert!(told.stderr.contains("notes.txt"), "{}", told.stderr);
    for (name, index) in [("a", 1), ("b", 2), ("c", 3), ("d", 4), ("gone", 5)] {
        assert_eq!(told.artworks[name]["index"], index);
    }
    let why = &told.artworks["b"]["findings"][0];
    assert_eq!(
        (&why["severity"], &why["line"]),
        (&"error".into(), &1.into())
    );
    // What is written is what a run by itself writes, and it is listed.
    let alone = shop.path("alone");
    crate::files::sew(&shop.path("routine.json"), &shop.path("art/a.svg"), &alone);
    let written = shop.written();
    for (name, bytes) in files(&alone) {
        // The report names the artwork as it was given.
        if name != "a.report.json" {
            assert!(written[&name] == bytes, "{name}");
        }
    }
    let listed = told.artworks["a"]["files"].as_array().unwrap();
    let of_a = written.keys().filter(|name| name.starts_with("a."));
    assert_eq!(listed.len(), of_a.count());
    assert!(!written.keys().any(|name| name.starts_with("b.")));
}

#[test]
fn what_is_done_and_unchanged_is_not_done_again() {
    let shop = Shop::new("again");
    for (name, side) in [("a", 10), ("b", 12), ("c", 14)] {
        shop.square(name, side);
    }
    let all = |outcome| [("a", outcome), ("b", outcome), ("c", outcome)];
    let first = shop.run(&[]);
    assert_eq!((first.code, first.outcomes()), (0, all("sewn").to_vec()));
    let written = shop.written();
    let second = shop.run(&[]);
    assert_eq!(second.outcomes(), all("unchanged"));
    for name in ["a", "b", "c"] {
        assert_eq!(
            first.artworks[name]["stitches"],
            second.artworks[name]["stitches"]
        );
        assert_eq!(
            first.artworks[name]["files"],
            second.artworks[name]["files"]
        );
    }
    assert_eq!(first.totals["seconds"], second.totals["seconds"]);

    // One artwork changed, one product gone, one damaged.
    shop.square("a", 11);
    std::fs::remove_file(shop.path("out/b.dst")).unwrap();
    let told = shop.run(&[]);
    let expected = [("a", "sewn"), ("b", "sewn"), ("c", "unchanged")];
    assert_eq!(told.outcomes(), expected);
    shop.write("out/c.preview.svg", "scribbled over");
    assert_eq!(shop.run(&[]).outcome("c"), "sewn");
    assert!(shop.written()["c.preview.svg"] == written["c.preview.svg"]);

    // Another layout of the same pipeline is the same; another setting, rack or limit is not.
    let routine = std::fs::read_to_string(shop.path("routine.json")).unwrap();
    shop.write("routine.json", &format!("\n{routine}\n"));
    assert_eq!(shop.run(&[]).outcomes(), all("unchanged"));
    shop.routine(0.5);
    assert_eq!(shop.run(&[]).outcomes(), all("sewn"));
    let rack = std::fs::read_to_string(shop.path("rack.json")).unwrap();
    shop.write("rack.json", &rack.replace("Barn", "Hay"));
    assert_eq!(shop.run(&[]).outcomes(), all("sewn"));
    assert_eq!(shop.run(&[]).outcomes(), all("unchanged"));
    assert_eq!(shop.run(&["--anew"]).outcomes(), all("sewn"));
    let limits = ["--work-limit", "49999"];
    assert_eq!(shop.run(&limits).outcomes(), all("sewn"));

    // A record that cannot be used costs the work, and nothing else.
    shop.write(&format!("out/{RECORD}"), "{ half");
    let told = shop.run(&[]);
    assert_eq!((told.code, told.outcomes()), (0, all("sewn").to_vec()));
    assert!(told.stderr.contains("record-unusable"), "{}", told.stderr);
    assert_eq!(shop.run(&[]).outcomes(), all("unchanged"));
}

/// A part is as much of the routine as the rest: what it does counts, how it is laid out does not.
#[test]
fn a_part_that_changed_is_sewn_anew() {
    let shop = Shop::new("part");
    shop.square("a", 10);
    let part = |default: f64| {
        format!(
            r#"{{ "takes": {{ "density": {{ "type": "number", "default": {default} }} }},
                 "steps": [ {{ "step": "region-fill", "settings": {{ "density": {{ "taken": "density" }} }} }} ] }}"#
        )
    };
    let routine = |entry: &str| {
        let text = format!(r#"{{ "steps": [ {entry}, {{ "step": "ties-and-trims" }} ] }}"#);
        shop.write("routine.json", &text);
    };
    shop.write("fill.json", &part(0.4));
    routine(r#"{ "part": "fill.json" }"#);
    assert_eq!(shop.run(&[]).outcome("a"), "sewn");
    assert_eq!(shop.run(&[]).outcome("a"), "unchanged");
    shop.write("fill.json", &format!("\n{}\n", part(0.4)));
    assert_eq!(shop.run(&[]).outcome("a"), "unchanged");
    shop.write("fill.json", &part(0.5));
    assert_eq!(shop.run(&[]).outcome("a"), "sewn");
    routine(r#"{ "part": "fill.json", "settings": { "density": 0.6 } }"#);
    assert_eq!(shop.run(&[]).outcome("a"), "sewn");
    // The default is not used now.
    shop.write("fill.json", &part(0.4));
    assert_eq!(shop.run(&[]).outcome("a"), "unchanged");
    routine(
        r#"{ "part": "fill.json", "on": { "shape": "region" }, "settings": { "density": 0.6 } }"#,
    );
    assert_eq!(shop.run(&[]).outcome("a"), "sewn");
}

/// The files of an earlier run stay, and it is said that they are not of this artwork.
#[test]
fn outdated_products_of_a_broken_artwork_are_pointed_out() {
    let shop = Shop::new("outdated");
    shop.square("a", 10);
    assert_eq!(shop.run(&[]).code, 0);
    let before = shop.written();
    shop.write("art/a.svg", "<svg");
    let told = shop.run(&[]);
    assert_eq!((told.code, told.outcome("a")), (1, "failed"));
    assert!(
        told.artworks["a"]["findings"]
            .to_string()
            .contains("outdated")
    );
    assert!(shop.written() == before);
    shop.square("a", 10);
    assert_eq!(shop.run(&[]).outcome("a"), "unchanged");
}

#[test]
fn a_plugin_that_traps_fails_only_the_artworks_it_traps_on() {
    let shop = Shop::new("trap");
    std::fs::write(shop.path("hostile.wasm"), guests::hostile()).unwrap();
    shop.write(
        "routine.json",
        r#"{ "steps": [
            { "step": "hostile", "on": { "tag": "bad" }, "settings": { "deed": "panic" } },
            { "step": "region-fill" }, { "step": "ties-and-trims" } ] }"#,
    );
    let hostile = std::process::Command::new(env!("CARGO_BIN_EXE_hoopwright"))
        .args(["steps", "--plugin", "hostile.wasm"])
        .current_dir(&shop.folder)
        .output()
        .unwrap();
    assert!(String::from_utf8_lossy(&hostile.stdout).contains("hostile"));
    for name in ["a", "b", "c"] {
        shop.square(name, 10);
    }
    let b = std::fs::read_to_string(shop.path("art/b.svg")).unwrap();
    shop.write("art/b.svg", &b.replace("id=\"box\"", "id=\"bad\""));
    let told = shop.run(&["--plugin", "hostile.wasm"]);
    assert_eq!(told.code, 1, "{}", told.stderr);
    let expected = [("a", "sewn"), ("b", "failed"), ("c", "sewn")];
    assert_eq!(told.outcomes(), expected);
    let why = told.artworks["b"]["findings"].to_string();
    assert!(why.contains("the needle of this step is bent"), "{why}");
}

#[test]
fn a_product_that_cannot_be_written_is_its_artwork_s_own_trouble() {
    let shop = Shop::new("unwritable");
    shop.square("a", 10);
    shop.square("b", 12);
    std::fs::create_dir_all(shop.path("out/a.preview.svg")).unwrap();
    let told = shop.run(&[]);
    assert_eq!(told.code, 3, "{}", told.stderr);
    assert_eq!(told.outcomes(), [("a", "not-written"), ("b", "sewn")]);
    let written = shop.written();
    assert!(!written.contains_key("a.dst"), "none of a's products");
    assert!(written.contains_key("b.dst"));
    // The next run tries again.
    std::fs::remove_dir(shop.path("out/a.preview.svg")).unwrap();
    let told = shop.run(&[]);
    assert_eq!(told.outcomes(), [("a", "sewn"), ("b", "unchanged")]);
}

#[test]
fn artwork_is_never_written_over() {
    let shop = Shop::new("over");
    shop.square("a", 10);
    assert_eq!(shop.run(&[]).code, 0);
    let dst = std::fs::read(shop.path("out/a.dst")).unwrap();
    let mut command = hoopwright();
    command
        .args(["batch", "routine.json", "out/a.dst", "--into", "out"])
        .current_dir(&shop.folder);
    let output = command.output().unwrap();
    let words = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(3), "{words}");
    assert!(words.contains("is artwork of this batch"), "{words}");
    assert!(std::fs::read(shop.path("out/a.dst")).unwrap() == dst);
}

/// Nothing can be made in `/proc`, not even by the superuser.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_cannot_be_written_into_is_told_before_anything_runs() {
    let shop = Shop::new("read-only");
    shop.square("a", 10);
    for (into, word) in [("/proc/out", "/proc/out"), ("rack.json", "rack.json")] {
        let mut command = hoopwright();
        command
            .args(["batch", "routine.json", "art", "--into", into])
            .current_dir(&shop.folder);
        let output = command.output().unwrap();
        let words = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(3), "{words}");
        assert!(words.contains("cannot be written into"), "{words}");
        assert!(words.contains(word), "{words}");
        assert!(output.stdout.is_empty());
    }
}

/// Those alone fail whose products would have one name, and what was given twice is taken once.
#[test]
fn names_that_fall_together_fail_only_those_that_have_them() {
    let shop = Shop::new("names");
    shop.square("owl", 10);
    shop.square("a", 10);
    shop.write("Owl.dst", "");
    let told = shop.run(&["Owl.dst", "art/a.svg", "art/../art/a.svg"]);
    assert_eq!(told.code, 1);
    let expected = [("Owl", "failed"), ("a", "sewn"), ("owl", "failed")];
    assert_eq!(told.outcomes(), expected);
    assert_eq!(told.totals["artworks"], 3);
    for name in ["Owl", "owl"] {
        let why = &told.artworks[name]["findings"][0];
        assert_eq!(why["code"], "same-name");
        let message = why["message"].as_str().unwrap();
        assert!(message.contains("art/owl.svg, Owl.dst"), "{message}");
    }
    assert!(!shop.written().keys().any(|name| name.contains("wl.")));
    assert_eq!(
        shop.run(&[]).outcomes(),
        [("a", "unchanged"), ("owl", "sewn")]
    );
}

#[test]
fn a_folder_that_cannot_be_taken_is_told_before_anything_runs() {
    let shop = Shop::new("no-folder");
    shop.square("a", 10);
    let mut command = hoopwright();
    command
        .args(["batch", "routine.json", "art", "--into", "art/../art"])
        .current_dir(&shop.folder);
    let words = String::from_utf8(command.output().unwrap().stderr).unwrap();
    assert!(words.contains("same-folder"), "{words}");
    let empty = shop.path("empty");
    std::fs::create_dir(&empty).unwrap();
    let mut command = hoopwright();
    command
        .args(["batch", "routine.json", "empty", "--into", "out"])
        .current_dir(&shop.folder);
    let words = String::from_utf8(command.output().unwrap().stderr).unwrap();
    assert!(words.contains("no-artwork"), "{words}");
}

/// What `run` writes lies beside the artwork unless told otherwise, and is no artwork of its own.
#[test]
fn what_a_run_wrote_beside_the_artwork_is_no_artwork() {
    let shop = Shop::new("beside");
    shop.square("a", 10);
    shop.square("b", 12);
    crate::files::sew(
        &shop.path("routine.json"),
        &shop.path("art/a.svg"),
        &shop.path("art"),
    );
    // A machine file without its SVG is artwork.
    std::fs::copy(shop.path("art/a.dst"), shop.path("art/c.dst")).unwrap();
    let before = files(&shop.path("art"));
    let told = shop.run(&["--notes"]);
    assert_eq!(told.code, 0, "{}", told.stderr);
    let all = [("a", "sewn"), ("b", "sewn"), ("c", "sewn")];
    assert_eq!(told.outcomes(), all);
    assert_eq!(told.artworks["a"]["artwork"], "art/a.svg");
    let left = "products of art/a.svg: a.design.json, a.dst, a.preview.svg";
    assert!(told.stderr.contains(left), "{}", told.stderr);
    assert!(files(&shop.path("art")) == before);
    // Where it would be written over, it is not taken for a product.
    let mut command = hoopwright();
    command
        .args([
            "batch",
            "routine.json",
            "art/a.svg",
            "art/a.dst",
            "--into",
            "art",
        ])
        .current_dir(&shop.folder);
    assert_eq!(command.output().unwrap().status.code(), Some(1));
    assert!(files(&shop.path("art")) == before);
}

#[test]
fn a_broken_pipeline_is_told_once_and_nothing_runs() {
    let shop = Shop::new("pipeline");
    shop.square("a", 10);
    shop.square("b", 10);
    shop.write(
        "routine.json",
        r#"{ "steps": [{ "step": "regoin-fill" }] }"#,
    );
    let told = shop.run(&[]);
    assert_eq!(told.code, 1);
    assert_eq!(told.stderr.matches("unknown-step").count(), 1);
    assert!(told.artworks.is_empty());
    assert!(!shop.path("out").exists());
}

#[test]
fn a_list_comes_from_a_file_or_from_standard_input() {
    let shop = Shop::new("list");
    shop.square("a", 10);
    shop.square("b", 12);
    shop.square("c", 14);
    let list = "art/c.svg\r\n\nart/a.svg\n";
    shop.write("list.txt", list);
    let batch = |list: &str| {
        let mut command = hoopwright();
        command
            .args(["batch", "routine.json", "--list", list, "--into", "out"])
            .args(["--telling", "json"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .current_dir(&shop.folder);
        command.spawn().unwrap()
    };
    let told = Told::of(batch("list.txt").wait_with_output().unwrap());
    assert_eq!(told.outcomes(), [("a", "sewn"), ("c", "sewn")]);
    assert_eq!(told.artworks["c"]["index"], 1);
    let mut child = batch("-");
    let mut input = child.stdin.take().unwrap();
    input.write_all(list.as_bytes()).unwrap();
    input.write_all(b"art/b.svg").unwrap();
    drop(input);
    let told = Told::of(child.wait_with_output().unwrap());
    let expected = [("a", "unchanged"), ("b", "sewn"), ("c", "unchanged")];
    assert_eq!(told.outcomes(), expected);
}

/// How many cores sew, and which artwork finishes first, changes no byte.
#[test]
fn the_number_of_cores_changes_no_byte() {
    let shop = Shop::new("cores");
    for side in 10..16 {
        shop.square(&format!("s{side}"), side);
    }
    assert_eq!(shop.run(&["--cores", "1"]).code, 0);
    let (one, record) = (shop.written(), std::fs::read(shop.path("out").join(RECORD)));
    assert_eq!(shop.run(&["--cores", "2", "--anew"]).code, 0);
    assert!(shop.written() == one);
    assert_eq!(
        std::fs::read(shop.path("out").join(RECORD)).unwrap(),
        record.unwrap()
    );
}

/// What the batch of the kill test sews, long enough to be killed at many moments.
fn long_morning(name: &str) -> Shop {
    let shop = Shop::new(name);
    let owl = root().join("demo-pipelines/owl/owl.svg");
    for copy in 0..8 {
        std::fs::copy(&owl, shop.path(&format!("art/owl{copy}.svg"))).unwrap();
    }
    shop
}

/// Killed at many moments, a batch leaves whole files only, and the next run goes on: it ends with
/// the same bytes as one that was left alone, and never does again what the record says is done.
#[cfg(unix)]
#[test]
fn a_killed_batch_goes_on_where_it_was() {
    let undisturbed = long_morning("undisturbed");
    let begun = std::time::Instant::now();
    assert_eq!(undisturbed.run(&[]).code, 0);
    let whole_time = begun.elapsed();
    let expected = undisturbed.written();

    let shop = long_morning("killed");
    let kills = 24;
    let mut done = Vec::new();
    let mut killed = 0;
    for kill in 0..kills {
        let mut child = shop
            .command()
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // Moments spread over a run, but not evenly; no chance, so that a failure comes again.
        let share = f64::from((kill * 7) % kills + 1) / f64::from(kills);
        std::thread::sleep(whole_time.mul_f64(share * 0.5));
        // Child::kill sends SIGKILL.
        let _ = child.kill();
        let ended = child.wait().unwrap();
        killed += usize::from(ended.code().is_none());
        if !shop.path("out").exists() {
            continue;
        }
        for (name, bytes) in shop.written() {
            // A file that waits for its place is not one of the products.
            if !name.starts_with(".hoopwright-batch-") {
                assert!(expected[&name] == bytes, "{name} is not whole");
            }
        }
        let record = std::fs::read_to_string(shop.path("out").join(RECORD)).unwrap_or_default();
        if !record.is_empty() {
            let record: Value = serde_json::from_str(&record).unwrap();
            let names = record["artworks"].as_object().unwrap();
            for name in &done {
                assert!(
                    names.contains_key(name),
                    "{name} was done, and is forgotten"
                );
            }
            done = names.keys().cloned().collect();
        }
        if kill % 6 == 5 {
            // From the beginning again, so that early moments come too.
            std::fs::remove_dir_all(shop.path("out")).unwrap();
            done.clear();
        }
    }
    assert!(
        killed >= 8,
        "only {killed} of {kills} runs were killed in time"
    );
    let mut child = shop
        .command()
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    std::thread::sleep(whole_time.mul_f64(0.6));
    let _ = child.kill();
    child.wait().unwrap();
    let record = std::fs::read_to_string(shop.path("out").join(RECORD)).unwrap_or_default();
    let told = shop.run(&[]);
    assert_eq!(told.code, 0, "{}", told.stderr);
    for (name, outcome) in told.outcomes() {
        if record.contains(&format!("\"{name}\"")) {
            assert_eq!(outcome, "unchanged", "{name} was done before the kill");
        }
    }
    assert!(shop.written() == expected, "nothing waits, nothing differs");
}

/// Two at once in one folder: one works, the other says so and does nothing.
#[test]
fn two_batches_do_not_share_a_folder() {
    let shop = long_morning("two");
    let mut first = shop
        .command()
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    // One of eight is done.
    while !shop.path("out").join(RECORD).exists() {
        std::thread::sleep(Duration::from_millis(1));
    }
    let second = shop.run(&[]);
    let first_ended = first.try_wait().unwrap().is_some();
    assert!(!first_ended, "the first batch was over before the second");
    assert_eq!(second.code, 3);
    assert!(second.stderr.contains("folder-held"), "{}", second.stderr);
    assert!(second.artworks.is_empty());
    let first = Told::of(first.wait_with_output().unwrap());
    assert_eq!((first.code, first.totals["sewn"].as_u64()), (0, Some(8)));
    assert_eq!(shop.run(&[]).totals["unchanged"], 8);
}

/// Whoever reads the lines may go away; the batch is done all the same.
#[test]
fn a_reader_that_leaves_does_not_stop_the_batch() {
    let shop = Shop::new("reader");
    for side in 10..14 {
        shop.square(&format!("s{side}"), side);
    }
    let mut child = shop
        .command()
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    assert_eq!(child.wait().unwrap().code(), Some(0));
    assert_eq!(shop.run(&[]).totals["unchanged"], 4);
}
