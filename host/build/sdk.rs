//! The SDK's source, embedded, so that `hoopwright begin` can lay it beside a step's own.

use std::collections::BTreeSet;
use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use toml::{Table, Value};

/// The crates of the SDK.
const CRATES: [&str; 2] = ["sdk", "sdk/geometry"];
/// The folders that are whole part of it.
const FOLDERS: [&str; 3] = ["sdk/src", "sdk/wit", "sdk/geometry/src"];

/// Writes `sdk.rs` into `out`: each file's path and text, in order of path; and the versions that
/// were tested. Where the files lie is left to the compiler: the sources may have moved since.
pub fn embed(root: &Path, out: &Path) -> Result<(), Box<dyn Error>> {
    fs::write(out.join("sdk-workspace.toml"), workspace_of_its_own(root)?)?;
    let mut names: Vec<String> = CRATES.map(|name| format!("{name}/Cargo.toml")).into();
    for folder in FOLDERS {
        gather(root, Path::new(folder), &mut names)?;
    }
    names.sort();
    let mut list = String::from("pub const FILES: &[(&str, &str)] = &[\n");
    let workspace = r#"concat!(env!("OUT_DIR"), "/sdk-workspace.toml")"#;
    writeln!(list, "    (\"Cargo.toml\", include_str!({workspace})),")?;
    for name in &names {
        writeln!(list, "    ({name:?}, include_str!({})),", source(name))?;
    }
    list.push_str("];\n");
    let lock = source("Cargo.lock");
    writeln!(
        list,
        "pub const TESTED_VERSIONS: &str = include_str!({lock});"
    )?;
    fs::write(out.join("sdk.rs"), list)?;
    Ok(())
}

/// The path of a file of the sources, as an expression.
fn source(name: &str) -> String {
    format!(r#"concat!(env!("CARGO_MANIFEST_DIR"), "/../{name}")"#)
}

fn gather(root: &Path, folder: &Path, names: &mut Vec<String>) -> Result<(), Box<dyn Error>> {
    for entry in fs::read_dir(root.join(folder))? {
        let entry = entry?;
        let path = folder.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            gather(root, &path, names)?;
        } else {
            let parts = path.iter().map(|part| part.to_string_lossy());
            names.push(parts.collect::<Vec<_>>().join("/"));
        }
    }
    Ok(())
}

/// The root's manifest, of which only what the SDK's crates inherit is left.
fn workspace_of_its_own(root: &Path) -> Result<String, Box<dyn Error>> {
    let manifest = |path: PathBuf| -> Result<Table, Box<dyn Error>> {
        Ok(fs::read_to_string(path)?.parse::<Table>()?)
    };
    let mut inherited = BTreeSet::new();
    for name in CRATES {
        let own = manifest(root.join(name).join("Cargo.toml"))?;
        for section in ["dependencies", "dev-dependencies", "build-dependencies"] {
            let dependencies = own.get(section).and_then(Value::as_table);
            inherited.extend(dependencies.into_iter().flatten().filter_map(
                |(name, dependency)| {
                    let from_workspace = dependency.get("workspace").and_then(Value::as_bool);
                    (from_workspace == Some(true)).then(|| name.clone())
                },
            ));
        }
    }
    let whole = manifest(root.join("Cargo.toml"))?;
    let mut workspace = whole
        .get("workspace")
        .and_then(Value::as_table)
        .ok_or("the root's Cargo.toml is no workspace")?
        .clone();
    workspace.remove("default-members");
    let members = CRATES.map(|name| Value::String(name.to_owned()));
    workspace.insert("members".to_owned(), Value::Array(members.into()));
    if let Some(Value::Table(dependencies)) = workspace.get_mut("dependencies") {
        dependencies.retain(|name, _| inherited.contains(name));
    }
    let mut cut = Table::new();
    cut.insert("workspace".to_owned(), Value::Table(workspace));
    Ok(format!(
        "# The SDK of Hoopwright, as the program was built with it.\n\n{cut}"
    ))
}
