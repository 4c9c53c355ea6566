//! A run in the sandbox of the program.

use super::{Done, Run};
use crate::{Design, Finding, Point, Severity};
use serde_json::Value;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicU32, Ordering};

/// Runs the program's command `apply`.
pub fn apply(run: &Run) -> Done {
    let name = &run.step.description.name;
    let program = std::env::var_os("HOOPWRIGHT").unwrap_or_else(|| OsString::from("hoopwright"));
    let plugin = std::env::var_os("HOOPWRIGHT_PLUGIN").map_or_else(
        || PathBuf::from("out").join(format!("{name}.wasm")),
        PathBuf::from,
    );
    assert!(
        plugin.is_file(),
        "there is no plugin {}: run `hoopwright try` first, or name one in HOOPWRIGHT_PLUGIN",
        plugin.display()
    );
    let folder = Folder::new();
    let (given, settings, answer) = (
        folder.0.join("given.design.json"),
        folder.0.join("settings.json"),
        folder.0.join("answer.design.json"),
    );
    write(&given, &json_of(&run.design));
    write(&settings, &run.settings.to_string());
    let mut command = Command::new(&program);
    command.args(["--telling", "json", "--notes", "apply", name, "--plugin"]);
    command.arg(&plugin).arg("--design").arg(&given);
    let mut at = OsString::from("@");
    at.push(&settings);
    command.arg("--settings").arg(at).arg("--to").arg(&answer);
    let ids: Vec<&str> = run
        .places()
        .into_iter()
        .map(|place| run.design.objects[place].id.as_str())
        .collect();
    command.arg("--on").arg(ids.join(","));
    let output = match command.output() {
        Ok(output) => output,
        Err(error) => panic!(
            "{} cannot be started: {error}; put hoopwright into your PATH, or name it in HOOPWRIGHT",
            program.display()
        ),
    };
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    eprint!("{}", log_of(&said));
    assert!(
        output.status.success(),
        "the step failed in the sandbox:\n{said}"
    );
    let after: Design = match std::fs::read_to_string(&answer) {
        Ok(text) => match serde_json::from_str(&text) {
            Ok(design) => design,
            Err(error) => panic!("the program's answer is no design: {error}"),
        },
        Err(error) => panic!("the program's answer cannot be read: {error}"),
    };
    Done {
        before: run.design.clone(),
        after,
        findings: said.lines().filter_map(finding).collect(),
        log: Vec::new(),
    }
}

fn json_of(design: &Design) -> String {
    match serde_json::to_string(design) {
        Ok(text) => text,
        Err(error) => panic!("the design cannot be written: {error}"),
    }
}

/// The lines that are not the program's own.
fn log_of(said: &str) -> String {
    let own = |line: &&str| serde_json::from_str::<Value>(line).is_ok();
    said.lines()
        .filter(|line| !own(line))
        .map(|line| format!("{line}\n"))
        .collect()
}

/// A finding of the step, as the program tells it.
fn finding(line: &str) -> Option<Finding> {
    let told: Value = serde_json::from_str(line).ok()?;
    if told["code"] != "finding" {
        return None;
    }
    let text = |name: &str| told[name].as_str().map(str::to_owned);
    let severity = match told["severity"].as_str()? {
        "note" => Severity::Note,
        "warning" => Severity::Warning,
        _ => Severity::Error,
    };
    Some(Finding {
        severity,
        message: text("message")?,
        object: text("object"),
        place: told["place"].as_array().and_then(|place| {
            Some(Point {
                x: place.first()?.as_f64()?,
                y: place.get(1)?.as_f64()?,
            })
        }),
        help: text("help"),
    })
}

fn write(file: &Path, text: &str) {
    if let Err(error) = std::fs::write(file, text) {
        panic!("{} cannot be written: {error}", file.display());
    }
}

/// A folder of this run alone; it goes when the run ends.
struct Folder(PathBuf);

impl Folder {
    fn new() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let number = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!("hoopwright-test-{}-{number}", std::process::id());
        let folder = std::env::temp_dir().join(name);
        if let Err(error) = std::fs::create_dir_all(&folder) {
            panic!("{} cannot be made: {error}", folder.display());
        }
        Self(folder)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // What is left behind harms nothing.
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
