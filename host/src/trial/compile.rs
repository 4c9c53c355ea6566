//! From a step's source to the bytes of its plugin.
//!
//! The same source and the same Rust give the same bytes in any folder, for any user: nothing that
//! lies outside the crate has a say, and no path of this computer gets into the plugin.

use crate::diagnostics::Diagnostic;
use crate::sandbox::component_of;
use serde_json::Value;
use std::ffi::OsString;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const TARGET: &str = "wasm32-unknown-unknown";

/// Flags and wrappers meant for other builds.
const NOT_OURS: [&str; 5] = [
    "RUSTFLAGS",
    "RUSTC_WRAPPER",
    "RUSTC_WORKSPACE_WRAPPER",
    "CARGO_BUILD_TARGET",
    "CARGO_INCREMENTAL",
];

/// Compiles the crate in `folder` with the user's own Rust, and gives its plugin as a component. What
/// the compiler has to say goes to standard error.
///
/// # Errors
/// There is no crate, no Rust or no Wasm target; the crate does not build, or is no plugin.
pub fn compile(folder: &Path) -> Result<Vec<u8>, Diagnostic> {
    let manifest = folder.join("Cargo.toml");
    if !manifest.is_file() {
        return Err(Diagnostic::error(
            "no-step-here",
            format!("{} holds no Cargo.toml", folder.display()),
        )
        .help("Name the step's folder, or make one: `hoopwright begin NAME`."));
    }
    let folder = real(folder)?;
    let rust = Rust::of(&folder)?;
    rust.add_target_where_missing(&folder)?;
    let module = rust.build(&folder)?;
    let bytes = std::fs::read(&module).map_err(|error| {
        Diagnostic::error(
            "unreadable",
            format!("{} cannot be read: {error}", module.display()),
        )
    })?;
    component_of(&bytes).map_err(|(message, help)| {
        Diagnostic::error(
            "no-plugin",
            format!("what was built is no plugin: {message}"),
        )
        .help(help)
    })
}

/// The folder as the compiler will see it.
fn real(folder: &Path) -> Result<PathBuf, Diagnostic> {
    let path = if cfg!(windows) {
        std::path::absolute(folder)
    } else {
        folder.canonicalize()
    };
    path.map_err(|error| {
        Diagnostic::error(
            "unreadable",
            format!("{} cannot be read: {error}", folder.display()),
        )
    })
}

/// The user's Rust, as it is chosen in the crate's folder.
struct Rust {
    sysroot: PathBuf,
    /// The commit that the compiler was built from.
    commit: Option<String>,
}

impl Rust {
    fn of(folder: &Path) -> Result<Self, Diagnostic> {
        let rustc = program("RUSTC", "rustc");
        let ask = |arguments: &[&str]| {
            let output = Command::new(&rustc)
                .current_dir(folder)
                .args(arguments)
                .stderr(Stdio::inherit())
                .output()
                .map_err(|error| no_rust(&rustc, &error))?;
            if output.status.success() {
                Ok(String::from_utf8_lossy(&output.stdout).into_owned())
            } else {
                Err(Diagnostic::error(
                    "no-rust",
                    format!("{} does not work; see above", rustc.display()),
                )
                .help("Install Rust from https://rustup.rs, then try again."))
            }
        };
        let sysroot = PathBuf::from(ask(&["--print", "sysroot"])?.trim());
        let version = ask(&["-vV"])?;
        let commit = version
            .lines()
            .find_map(|line| line.strip_prefix("commit-hash: "));
        Ok(Self {
            sysroot,
            commit: commit.map(str::to_owned),
        })
    }

    /// Rust can compile for Wasm only when the target's standard library is there.
    fn add_target_where_missing(&self, folder: &Path) -> Result<(), Diagnostic> {
        let library = self.sysroot.join("lib/rustlib").join(TARGET);
        if library.is_dir() {
            return Ok(());
        }
        let added = Command::new("rustup")
            .current_dir(folder)
            .args(["target", "add", TARGET])
            .stdout(Stdio::null())
            .status();
        if matches!(added, Ok(status) if status.success()) && library.is_dir() {
            return Ok(());
        }
        Err(Diagnostic::error(
            "no-wasm-target",
            format!("Rust's target {TARGET} is missing, and it could not be added"),
        )
        .help(format!(
            "Run `rustup target add {TARGET}` in the step's folder. Without rustup, install your \
             system's package of Rust's standard library for that target."
        )))
    }

    /// Runs cargo, and gives the path of the plugin's module.
    fn build(&self, folder: &Path) -> Result<PathBuf, Diagnostic> {
        let cargo = program("CARGO", "cargo");
        let mut command = Command::new(&cargo);
        command
            .current_dir(folder)
            .args(["build", "--lib", "--release", "--target", TARGET])
            .args(["--message-format", "json-render-diagnostics"])
            .stderr(Stdio::inherit());
        for name in NOT_OURS {
            command.env_remove(name);
        }
        command.env("CARGO_ENCODED_RUSTFLAGS", self.flags(folder));
        let output = command.output().map_err(|error| no_rust(&cargo, &error))?;
        if !output.status.success() {
            return Err(Diagnostic::error(
                "does-not-build",
                "the step does not build; the compiler says above what is wrong, and where",
            ));
        }
        let messages = String::from_utf8_lossy(&output.stdout);
        let manifest = folder.join("Cargo.toml");
        let module = messages.lines().find_map(|line| module(line, &manifest));
        module.ok_or_else(|| {
            Diagnostic::error("no-plugin", "the crate builds, but makes no plugin")
                .in_file(&manifest)
                .help("Write `crate-type = [\"cdylib\", \"rlib\"]` below `[lib]`.")
        })
    }

    /// Paths get into a plugin with the messages of panics. They are given names that are the same
    /// everywhere: none for the crate's own folder, `cargo` for other crates, and for Rust's own library
    /// the one that it has where its source is not installed.
    fn flags(&self, folder: &Path) -> OsString {
        let mut named = vec![(folder.to_owned(), String::new())];
        let cargo_home = std::env::var_os("CARGO_HOME").map(PathBuf::from);
        let usual_home = || Some(std::env::home_dir()?.join(".cargo"));
        named.extend(
            cargo_home
                .or_else(usual_home)
                .map(|home| (home, "cargo".to_owned())),
        );
        let library = self.sysroot.join("lib/rustlib/src/rust");
        named.extend(
            self.commit
                .as_ref()
                .map(|commit| (library, format!("/rustc/{commit}"))),
        );
        let mut flags = OsString::new();
        for (path, name) in named {
            if !flags.is_empty() {
                flags.push("\u{1f}");
            }
            flags.push("--remap-path-prefix=");
            flags.push(path);
            flags.push("=");
            flags.push(name);
        }
        flags
    }
}

/// The path of the Wasm module that a line of cargo's account tells of, where it is that of the crate
/// with this manifest.
fn module(line: &str, manifest: &Path) -> Option<PathBuf> {
    let told: Value = serde_json::from_str(line).ok()?;
    let ours = told["reason"] == "compiler-artifact"
        && told["manifest_path"].as_str().map(Path::new) == Some(manifest);
    let files = told["filenames"].as_array().filter(|_| ours)?;
    let mut paths = files.iter().filter_map(Value::as_str).map(PathBuf::from);
    paths.find(|path| path.extension().is_some_and(|ending| ending == "wasm"))
}

/// The program that the environment names, as cargo has it, or the usual one.
fn program(variable: &str, usual: &str) -> PathBuf {
    std::env::var_os(variable).map_or_else(|| PathBuf::from(usual), PathBuf::from)
}

fn no_rust(program: &Path, error: &std::io::Error) -> Diagnostic {
    let why = match error.kind() {
        ErrorKind::NotFound => "is not there".to_owned(),
        _ => format!("cannot be started: {error}"),
    };
    Diagnostic::error(
        "no-rust",
        format!("the step cannot be built: {} {why}", program.display()),
    )
    .help("Install Rust from https://rustup.rs, then try again.")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_module_of_this_crate_is_found_among_others() {
        let line = |manifest: &str, file: &str| {
            format!(
                r#"{{"reason":"compiler-artifact","manifest_path":"{manifest}","filenames":["/t/libx.rlib","{file}"]}}"#
            )
        };
        let ours = Path::new("/a/Cargo.toml");
        let found = |text: &str| module(text, ours);
        assert_eq!(
            found(&line("/a/Cargo.toml", "/t/x.wasm")),
            Some("/t/x.wasm".into())
        );
        assert_eq!(found(&line("/b/Cargo.toml", "/t/x.wasm")), None);
        assert_eq!(found(&line("/a/Cargo.toml", "/t/libx.so")), None);
        assert_eq!(found("no JSON"), None);
    }
}
